package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/gofrs/flock"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"halfnut/curriculum"
	"halfnut/migrations"
)

// provider returns what carries the migrations out. Copies on PostgreSQL that
// start at the same moment wait for one another by a session lock; on SQLite
// the caller holds the file's lock.
func (db *DB) provider() (*goose.Provider, error) {
	files, err := fs.Sub(migrations.Files, string(db.engine))
	if err != nil {
		return nil, err
	}
	dialect := goose.DialectPostgres
	options := []goose.ProviderOption{goose.WithDisableGlobalRegistry(true)}
	if db.engine == engineSQLite {
		dialect = goose.DialectSQLite3
	} else {
		session, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 120))
		if err != nil {
			return nil, err
		}
		options = append(options, goose.WithSessionLocker(session))
	}
	return goose.NewProvider(dialect, db.write, files, options...)
}

// migrate brings the database to the newest version.
func (db *DB) migrate(ctx context.Context) error {
	p, err := db.provider()
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	// An older program must not write into what a newer one has changed.
	at, err := db.Version(ctx)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	newest, err := NewestVersion()
	if err != nil {
		return err
	}
	if at > newest {
		return fmt.Errorf("migrate: %w: the database is of version %d, this program knows versions up to %d; use a newer halfnut", curriculum.ErrUnavailable, at, newest)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", norm(err))
	}
	if db.engine == enginePostgres {
		if err := migrateRiver(ctx, db.write); err != nil {
			return fmt.Errorf("migrate the queue: %w", norm(err))
		}
	}
	return nil
}

// holdFile waits until no other process opens or migrates the same file, and
// returns what lets the next one in. The lock's own file stays: removing it
// would let two in.
func holdFile(ctx context.Context, path string) (release func(), err error) {
	file := flock.New(path + ".lock")
	if _, err := file.TryLockContext(ctx, 20*time.Millisecond); err != nil {
		return nil, err
	}
	return func() { _ = file.Unlock() }, nil
}

// beginLock is the number under which copies on PostgreSQL wait for one another
// in Alone.
const beginLock = 0x6861_6c66_6e75_74

// Alone runs act while no other copy on the same database is in Alone: what a
// first start makes is made once.
func (db *DB) Alone(ctx context.Context, act func() error) error {
	if db.engine == engineSQLite {
		release, err := holdFile(ctx, db.path)
		if err != nil {
			return err
		}
		defer release()
		return act()
	}
	conn, err := db.write.Conn(ctx)
	if err != nil {
		return norm(err)
	}
	defer func() { _ = conn.Close() }()
	if _, err := conn.ExecContext(ctx, `SELECT pg_advisory_lock($1)`, int64(beginLock)); err != nil {
		return norm(err)
	}
	// Given back even when ctx has ended, or the pooled connection would keep it.
	defer func() {
		_, _ = conn.ExecContext(context.WithoutCancel(ctx), `SELECT pg_advisory_unlock($1)`, int64(beginLock))
	}()
	return act()
}

// connect makes the first connection. The change to a write-ahead log does not
// wait for others as statements do, so it is tried again while the file is
// busy.
func connect(ctx context.Context, pool *sql.DB) error {
	for deadline := time.Now().Add(10 * time.Second); ; {
		err := pool.PingContext(ctx)
		var lite *sqlite.Error
		if !errors.As(err, &lite) || lite.Code()&0xff != sqlite3.SQLITE_BUSY || time.Now().After(deadline) {
			return norm(err)
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(20 * time.Millisecond):
		}
	}
}
