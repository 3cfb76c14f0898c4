package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/riverqueue/river"
	_ "modernc.org/sqlite" // driver "sqlite"

	"halfnut/curriculum"
)

// DB is an open database. It is safe for concurrent use.
type DB struct {
	engine  engine
	read    *sql.DB
	write   *sql.DB
	path    string // SQLite's file
	address string // PostgreSQL's, with its password
	// group carries SQLite's writes to the one goroutine that commits them
	// together; nil on PostgreSQL.
	group *group
	// river puts work into PostgreSQL's queue; nil on SQLite.
	river *river.Client[*sql.Tx]
	// woken tells the local queue to look for work.
	woken chan struct{}
}

type engine string

const (
	engineSQLite   engine = "sqlite"
	enginePostgres engine = "postgres"
)

// Open opens the database at address, a file's path or a postgres:// URL, and
// brings it to the newest version. Several copies may open one database at
// once.
func Open(ctx context.Context, address string) (*DB, error) {
	if IsPostgres(address) {
		return openPostgres(ctx, address)
	}
	return openSQLite(ctx, address)
}

// IsPostgres tells an address of PostgreSQL from the path of a file.
func IsPostgres(address string) bool {
	return strings.HasPrefix(address, "postgres://") || strings.HasPrefix(address, "postgresql://")
}

func openPostgres(ctx context.Context, address string) (*DB, error) {
	pool, err := connectPostgres(ctx, address)
	if err != nil {
		return nil, err
	}
	db := &DB{engine: enginePostgres, read: pool, write: pool, address: address, woken: make(chan struct{}, 1)}
	// River's migrations wait for no other copy by themselves.
	if err := db.Alone(ctx, func() error { return db.migrate(ctx) }); err != nil {
		_ = pool.Close()
		return nil, err
	}
	if db.river, err = newInserter(pool); err != nil {
		_ = pool.Close()
		return nil, err
	}
	return db, nil
}

const connectTimeout = 5 * time.Second

func connectPostgres(ctx context.Context, address string) (*sql.DB, error) {
	config, err := pgx.ParseConfig(address)
	if err != nil {
		// The driver's text may repeat the address with its password.
		return nil, fmt.Errorf("open: the postgres:// address cannot be read")
	}
	if config.ConnectTimeout == 0 { // a server that does not answer is told to the client soon
		config.ConnectTimeout = connectTimeout
	}
	pool := stdlib.OpenDB(*config)
	pool.SetMaxOpenConns(16)
	pool.SetMaxIdleConns(16)
	if err := pool.PingContext(ctx); err != nil {
		_ = pool.Close()
		return nil, fmt.Errorf("open: %w: PostgreSQL does not answer", curriculum.ErrUnavailable)
	}
	return pool, nil
}

func openSQLite(ctx context.Context, path string) (*DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("open: %w", err)
	}
	// Settings belong in the address: a PRAGMA by Exec reaches one pooled
	// connection only.
	pragmas := []string{"busy_timeout(10000)", "journal_mode(WAL)", "foreign_keys(1)", "synchronous(FULL)"}
	write, err := sql.Open("sqlite", fileAddress(abs, url.Values{"_pragma": pragmas, "_txlock": {"immediate"}}))
	if err != nil {
		return nil, fmt.Errorf("open: %w", err)
	}
	write.SetMaxOpenConns(1)
	read, err := sql.Open("sqlite", fileAddress(abs, url.Values{"_pragma": append([]string{"query_only(1)"}, pragmas...)}))
	if err != nil {
		_ = write.Close()
		return nil, fmt.Errorf("open: %w", err)
	}
	read.SetMaxOpenConns(4)
	db := &DB{engine: engineSQLite, read: read, write: write, path: abs, woken: make(chan struct{}, 1)}
	if err := db.prepareFile(ctx, abs); err != nil {
		_ = read.Close()
		_ = write.Close()
		return nil, fmt.Errorf("open %s: %w", filepath.Base(abs), err)
	}
	db.group = startGroup(write)
	return db, nil
}

// prepareFile opens and migrates a file while no other process does either.
func (db *DB) prepareFile(ctx context.Context, path string) error {
	release, err := holdFile(ctx, path)
	if err != nil {
		return err
	}
	defer release()
	if err := connect(ctx, db.write); err != nil {
		return err
	}
	if err := connect(ctx, db.read); err != nil {
		return err
	}
	return db.migrate(ctx)
}

// Close waits for writes under way and closes the database.
func (db *DB) Close() error {
	if db.group != nil {
		db.group.stop()
		return errors.Join(db.read.Close(), db.write.Close())
	}
	return db.write.Close() // reads and writes share it
}

// Engine names the engine, "sqlite" or "postgres".
func (db *DB) Engine() string { return string(db.engine) }

// Ping reports whether the database answers.
func (db *DB) Ping(ctx context.Context) error { return norm(db.read.PingContext(ctx)) }

// Pools tells how each pool of connections stands.
func (db *DB) Pools(tell func(name string, stats sql.DBStats)) {
	tell("write", db.write.Stats())
	if db.read != db.write {
		tell("read", db.read.Stats())
	}
}

// querier is what reads and writes have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

// update runs act in a transaction: all of it is kept, durably, or none.
func (db *DB) update(ctx context.Context, act func(q querier) error) error {
	if k := keyedOf(ctx); k != nil {
		return k.update(ctx, act)
	}
	if db.group != nil {
		return db.group.do(ctx, act)
	}
	return inPostgres(ctx, db.beginPostgres, act)
}

// updateWork is update for what puts work into the queue.
func (db *DB) updateWork(ctx context.Context, act func(q querier) error) error {
	if db.group != nil || keyedOf(ctx) != nil {
		return db.update(ctx, act)
	}
	return inPostgres(ctx, db.beginForWork, act)
}

func inPostgres(ctx context.Context, begin func(context.Context) (*postgresTx, error), act func(q querier) error) error {
	tx, err := begin(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = tx.end(errPanic) }() // where act panics
	return tx.end(act(tx))
}

// rows collects a query's rows; every row is read before it returns.
func rows[T any](ctx context.Context, q querier, scan func(scanner) (T, error), query string, args ...any) ([]T, error) {
	rs, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, norm(err)
	}
	defer func() { _ = rs.Close() }()
	var out []T
	for rs.Next() {
		v, err := scan(rs)
		if err != nil {
			return nil, norm(err)
		}
		out = append(out, v)
	}
	return out, norm(rs.Err())
}

// one returns a query's single row, or ErrNotFound.
func one[T any](ctx context.Context, q querier, scan func(scanner) (T, error), query string, args ...any) (T, error) {
	all, err := rows(ctx, q, scan, query, args...)
	if err == nil && len(all) == 0 {
		err = curriculum.ErrNotFound
	}
	if err != nil {
		var zero T
		return zero, err
	}
	return all[0], nil
}

// NewID returns an id that sorts by the time it was made.
func NewID() string { return uuid.Must(uuid.NewV7()).String() }

// Times are kept as Unix microseconds, cut to milliseconds so that a value reads
// back as it was given.
func toMicros(t time.Time) int64 { return t.UTC().Truncate(time.Millisecond).UnixMicro() }

func fromMicros(us int64) time.Time { return time.UnixMicro(us).UTC() }
