package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store/storetest"
)

// syncBuffer is a buffer that a test reads while the command writes.
type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *syncBuffer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *syncBuffer) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// TestServe starts the demo on both engines, signs in with the printed link, and
// stops it; started again it still knows its class, and speaks a language more.
func TestServe(t *testing.T) {
	t.Parallel()
	for engine, flags := range map[string]func(t *testing.T) []string{
		"sqlite":   func(t *testing.T) []string { return []string{"--data", filepath.Join(t.TempDir(), "demo.db")} },
		"postgres": func(t *testing.T) []string { return []string{"--database", storetest.Postgres(t)} },
	} {
		t.Run(engine, func(t *testing.T) {
			t.Parallel()
			where := flags(t)
			code := serveOnce(t, where, func(t *testing.T, base, said string) string {
				link := regexp.MustCompile(`/link/(\S+)`).FindStringSubmatch(said)[1]
				client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
				res, err := client.Post(base+"/v1/session", "application/json", strings.NewReader(`{"link": "`+link+`"}`))
				require.NoError(t, err)
				require.Equal(t, http.StatusCreated, res.StatusCode)
				require.NoError(t, res.Body.Close())
				r, err := http.NewRequest(http.MethodGet, base+"/v1/classes", nil)
				require.NoError(t, err)
				r.AddCookie(res.Cookies()[0])
				res, err = client.Do(r)
				require.NoError(t, err)
				body, err := io.ReadAll(res.Body)
				require.NoError(t, err)
				require.NoError(t, res.Body.Close())
				assert.Contains(t, string(body), "Tuesday evening")
				return regexp.MustCompile(`with the code (\S+)`).FindStringSubmatch(said)[1]
			})
			texts := t.TempDir()
			require.NoError(t, os.WriteFile(filepath.Join(texts, "cs.po"), []byte("msgid \"Bench\"\nmsgstr \"Ponk\"\n"), 0o600))
			again := serveOnce(t, append(where, "--texts", texts), func(t *testing.T, base, said string) string {
				r, err := http.NewRequest(http.MethodGet, base+"/bench", nil)
				require.NoError(t, err)
				r.Header.Set("Accept-Language", "cs,en;q=0.5")
				res, err := http.DefaultClient.Do(r)
				require.NoError(t, err)
				page, err := io.ReadAll(res.Body)
				require.NoError(t, err)
				require.NoError(t, res.Body.Close())
				assert.Contains(t, string(page), `<html lang="cs">`)
				assert.Contains(t, string(page), "<h1>Ponk</h1>")
				return regexp.MustCompile(`with the code (\S+)`).FindStringSubmatch(said)[1]
			})
			assert.Equal(t, code, again)
		})
	}
}

func serveOnce(t *testing.T, where []string, visit func(t *testing.T, base, said string) string) string {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var out, errs syncBuffer
	done := make(chan int, 1)
	go func() {
		done <- run(ctx, append([]string{"serve", "--demo", "--address", "127.0.0.1:0"}, where...), console{strings.NewReader(""), &out, &errs})
	}()
	listening := regexp.MustCompile(`Listening on (http://\S+)\. Stop`)
	require.Eventually(t, func() bool { return listening.MatchString(out.String()) }, 60*time.Second, 10*time.Millisecond, "%s", &errs)
	result := visit(t, listening.FindStringSubmatch(out.String())[1], out.String())
	stop()
	select {
	case code := <-done:
		assert.Equal(t, exitOK, code, errs.String())
	case <-time.After(30 * time.Second):
		t.Fatal("it does not stop")
	}
	return result
}
