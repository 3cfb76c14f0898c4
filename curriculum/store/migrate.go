package store

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"time"

	"github.com/gofrs/flock"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"halfnut/migrations"
)

// migrate brings the database to the newest version. Copies that start at the
// same moment wait for one another: PostgreSQL by a session lock, SQLite by a
// lock on a file beside it.
func (db *DB) migrate(ctx context.Context, file *fileLock) error {
	files, err := fs.Sub(migrations.Files, string(db.engine))
	if err != nil {
		return err
	}
	dialect := goose.DialectPostgres
	options := []goose.ProviderOption{goose.WithDisableGlobalRegistry(true)}
	if file != nil {
		dialect = goose.DialectSQLite3
		options = append(options, goose.WithLocker(file))
	} else {
		session, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 120))
		if err != nil {
			return err
		}
		options = append(options, goose.WithSessionLocker(session))
	}
	p, err := goose.NewProvider(dialect, db.write, files, options...)
	if err != nil {
		return fmt.Errorf("migrate: %w", err)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("migrate: %w", norm(err))
	}
	return nil
}

// fileLock is goose's Locker on a file, held between processes.
type fileLock struct{ file *flock.Flock }

// Lock waits until no other process migrates the same database.
func (l *fileLock) Lock(ctx context.Context, _ *sql.DB) error {
	_, err := l.file.TryLockContext(ctx, 20*time.Millisecond)
	return err
}

// Unlock lets the next one in. The file stays: removing it would let two in.
func (l *fileLock) Unlock(context.Context, *sql.DB) error { return l.file.Unlock() }
