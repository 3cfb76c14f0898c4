package main

import (
	"bytes"
	"fmt"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestKilledServerAnswersAgain kills the program while requests that make
// something are under way, and sends each of them again under its key: it was
// done and is answered as it was, or it is done now. A class's name may be there
// once, so an effect without its answer would be refused.
func TestKilledServerAnswersAgain(t *testing.T) {
	const clients, kills, each = 6, 3, 60
	for engine, address := range map[string]string{"sqlite": storetest.SQLite(t), "postgres": storetest.Postgres(t)} {
		t.Run(engine, func(t *testing.T) {
			where := []string{"--data", address}
			if engine == "postgres" {
				where = []string{"--database", address}
			}
			db, err := store.Open(t.Context(), address)
			require.NoError(t, err)
			service := practice.New(db, practice.Options{Random: storetest.Random(t)})
			w, p, err := service.Begin(t.Context(), "Invented workshop", "Somebody", "mm")
			require.NoError(t, err)
			link, err := service.NewLink(t.Context(), p)
			require.NoError(t, err)
			token, _, err := service.UseLink(t.Context(), link)
			require.NoError(t, err)
			require.NoError(t, db.Close())

			var acknowledged atomic.Int64
			said := make([]map[string]string, clients) // answers by key
			next := make([]int, clients)
			var again int
			for kill := range kills + 1 {
				server := startProcess(t, where)
				for i := range clients { // what was answered before is answered so again
					for key, answer := range said[i] {
						if got, status := makeClass(t, server.base, token, key); assert.Equal(t, http.StatusCreated, status, got) {
							assert.Equal(t, answer, got)
							again++
						}
					}
				}
				stop := make(chan struct{})
				var wait, killed sync.WaitGroup
				if kill < kills {
					at := acknowledged.Load() + each*clients/(kills+1)
					killed.Go(func() {
						for acknowledged.Load() < at {
							select {
							case <-stop:
								return
							case <-time.After(time.Millisecond):
							}
						}
						server.kill()
					})
				}
				for i := range clients {
					if said[i] == nil {
						said[i] = map[string]string{}
					}
					wait.Go(func() {
						for next[i] < each {
							key := fmt.Sprintf("client %d class %d", i, next[i])
							answer, status := makeClass(t, server.base, token, key)
							if status == 0 {
								return // the server is gone
							}
							if !assert.Equal(t, http.StatusCreated, status, "%s: %s", key, answer) {
								return
							}
							said[i][key] = answer
							next[i]++
							acknowledged.Add(1)
						}
					})
				}
				wait.Wait()
				close(stop)
				killed.Wait()
				server.kill()
			}
			db, err = store.Open(t.Context(), address)
			require.NoError(t, err)
			defer func() { require.NoError(t, db.Close()) }()
			classes, err := db.Classes(t.Context(), w.ID)
			require.NoError(t, err)
			assert.Len(t, classes, clients*each, "each made once")
			t.Logf("%s: %d classes, %d kills, %d sent again and answered alike", engine, len(classes), kills, again)
		})
	}
}

// makeClass asks for the class that belongs to a key; the status is 0 where the
// server is gone.
func makeClass(t *testing.T, base, token, key string) (answer string, status int) {
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, base+"/v1/classes", bytes.NewBufferString(fmt.Sprintf(`{"name": %q}`, key)))
	if !assert.NoError(t, err) {
		return "", 0
	}
	r.Header.Set("Authorization", "Bearer "+token)
	r.Header.Set("Idempotency-Key", fmt.Sprintf("%x", key))
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return "", 0
	}
	defer func() { _ = res.Body.Close() }()
	var body bytes.Buffer
	if _, err := body.ReadFrom(res.Body); err != nil {
		return "", 0
	}
	return body.String(), res.StatusCode
}
