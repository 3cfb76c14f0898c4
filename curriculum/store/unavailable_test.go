package store_test

import (
	"context"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// tell records attempts from four writers until each has been refused once, or
// has written enough, and returns what was acknowledged and what was refused.
// Every refusal must say that the record cannot be reached.
func tell(t *testing.T, db *store.DB, s shop, most int, after func(i int)) (acknowledged, refused []curriculum.Attempt) {
	t.Helper()
	var mu sync.Mutex
	var wait sync.WaitGroup
	for w := range 4 {
		wait.Go(func() {
			for i := range most {
				a := s.attempt(w%2, 1+w/2, 1, curriculum.Rounding, w*most+i)
				_, err := db.RecordAttempts(context.Background(), []curriculum.Attempt{a}, mastery.Fold)
				mu.Lock()
				if err == nil {
					acknowledged = append(acknowledged, a)
				} else {
					refused = append(refused, a)
				}
				mu.Unlock()
				if err != nil {
					assert.ErrorIs(t, err, curriculum.ErrUnavailable)
					return
				}
				after(i)
			}
		})
	}
	wait.Wait()
	return acknowledged, refused
}

// settled checks that what was acknowledged is there once, that nothing of what
// was refused is half there, and that everything refused can be sent again.
func settled(t *testing.T, db *store.DB, s shop, acknowledged, refused []curriculum.Attempt) {
	t.Helper()
	ctx := t.Context()
	r, err := db.Check(ctx, mastery.Fold)
	require.NoError(t, err)
	assert.Empty(t, r.Faults)
	for _, a := range append(acknowledged, refused...) {
		_, err := db.RecordAttempts(ctx, []curriculum.Attempt{a}, mastery.Fold)
		require.NoError(t, err)
	}
	seen := map[string]int{}
	for _, v := range s.variants {
		as, err := db.Attempts(ctx, v.Code)
		require.NoError(t, err)
		for _, a := range as {
			seen[a.ID]++
		}
	}
	assert.Len(t, seen, len(acknowledged)+len(refused))
	for id, n := range seen {
		assert.Equal(t, 1, n, id)
	}
	r, err = db.Check(ctx, mastery.Fold)
	require.NoError(t, err)
	assert.Empty(t, r.Faults)
}

// TestFullDisk fills the disk under four writers: each is refused, nothing is
// half there, and with room again all goes on without a restart.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	s := fill(t, db)
	require.NoError(t, store.LimitPages(t.Context(), db, 12))
	acknowledged, refused := tell(t, db, s, 400, func(int) {})
	require.Len(t, refused, 4, "all writers meet the full disk")
	require.NotEmpty(t, acknowledged)
	require.NoError(t, db.Ping(t.Context()), "it still reads")
	require.NoError(t, store.LimitPages(t.Context(), db, 0))
	settled(t, db, s, acknowledged, refused)
}

// TestLostServer takes PostgreSQL away under four writers: each is refused, at
// once and not after a time-out, and when it is back all goes on without a
// restart.
func TestLostServer(t *testing.T) {
	t.Parallel()
	proxy := storetest.NewProxy(t, storetest.Postgres(t))
	db := storetest.OpenAddress(t, proxy.Address)
	s := fill(t, db)
	var once sync.Once
	acknowledged, refused := tell(t, db, s, 400, func(i int) {
		if i == 20 {
			once.Do(proxy.Cut)
		}
	})
	require.Len(t, refused, 4, "all writers meet the cut")
	require.NotEmpty(t, acknowledged)
	begun := time.Now()
	require.ErrorIs(t, db.Ping(t.Context()), curriculum.ErrUnavailable)
	assert.Less(t, time.Since(begun), 10*time.Second)
	_, err := store.Open(t.Context(), proxy.Address)
	require.ErrorIs(t, err, curriculum.ErrUnavailable)
	proxy.Mend()
	require.NoError(t, db.Ping(t.Context()))
	settled(t, db, s, acknowledged, refused)
}
