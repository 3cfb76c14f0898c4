// Package storetest opens fresh databases of both engines for tests.
package storetest

import (
	"cmp"
	"context"
	"crypto/sha256"
	"database/sql"
	"io"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store"
)

// PostgresVariable names the environment variable with the address of a
// PostgreSQL server on which tests may create databases.
const PostgresVariable = "HALFNUT_TEST_POSTGRES"

const defaultPostgres = "postgres://root@127.0.0.1:5432/postgres?sslmode=disable"

// Each runs a test on an empty database of every engine. PostgreSQL is left out
// where no server answers, except in CI, where that is a failure.
func Each(t *testing.T, run func(t *testing.T, db *store.DB)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		run(t, OpenAddress(t, SQLite(t)))
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		run(t, OpenAddress(t, Postgres(t)))
	})
}

// SQLite returns the path of a database file that does not exist yet.
func SQLite(t testing.TB) string {
	t.Helper()
	return filepath.Join(t.TempDir(), "halfnut.db")
}

// Postgres creates an empty database and returns its address; it is dropped
// when the test ends.
func Postgres(t testing.TB) string {
	t.Helper()
	address := os.Getenv(PostgresVariable)
	if address == "" {
		address = defaultPostgres
	}
	admin, err := sql.Open("pgx", address)
	require.NoError(t, err)
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	if err := admin.PingContext(ctx); err != nil {
		_ = admin.Close()
		if os.Getenv("CI") != "" {
			require.NoError(t, err, "PostgreSQL must answer in CI")
		}
		t.Skip("no PostgreSQL server answers; set " + PostgresVariable)
	}
	name := "halfnut_test_" + uuid.NewString()[:8]
	_, err = admin.ExecContext(ctx, `CREATE DATABASE "`+name+`"`)
	require.NoError(t, err)
	t.Cleanup(func() {
		_, err := admin.ExecContext(context.Background(), `DROP DATABASE "`+name+`" WITH (FORCE)`)
		require.NoError(t, err)
		require.NoError(t, admin.Close())
	})
	u, err := url.Parse(address)
	require.NoError(t, err)
	u.Path = "/" + name
	return u.String()
}

// OpenAddress opens a database and closes it when the test ends.
func OpenAddress(t testing.TB, address string) *store.DB {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	db, err := store.Open(ctx, address)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	return db
}

// SeedVariable names the environment variable with the text from which the
// tests' draws come. Without it they are the same in every run: what decides on
// landing must not turn on a draw. Other texts are for looking for a test that
// does, see DEVELOPERS.md.
const SeedVariable = "HALFNUT_TEST_SEED"

// Random returns the source of a test's seeds and codes: another one for each
// test, and the same whenever the test runs again. A test that fails says what
// brings its draws back. Called twice, it says the same twice.
func Random(t testing.TB) io.Reader {
	t.Helper()
	seed := cmp.Or(os.Getenv(SeedVariable), "1")
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("drawn with %s=%s", SeedVariable, seed)
		}
	})
	return &random{source: rand.NewChaCha8(sha256.Sum256([]byte(seed + " " + t.Name())))}
}

// random is read by several requests at once.
type random struct {
	mu     sync.Mutex
	source *rand.ChaCha8
}

func (r *random) Read(p []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.source.Read(p)
}
