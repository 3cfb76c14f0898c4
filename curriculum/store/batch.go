package store

import (
	"context"
	"database/sql"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"
)

// statement is a write whose outcome nobody waits for.
type statement struct {
	query string
	args  []any
}

// batcher is a querier that sends several writes in one round trip.
type batcher interface {
	sendBatch(ctx context.Context, all []statement) error
}

// sendAll carries writes out in order. On PostgreSQL they travel together, and a
// round trip costs more than most of what they do; SQLite has no way to go.
func sendAll(ctx context.Context, q querier, all []statement) error {
	if b, ok := q.(batcher); ok && len(all) > 1 {
		return b.sendBatch(ctx, all)
	}
	for _, s := range all {
		if _, err := q.ExecContext(ctx, s.query, s.args...); err != nil {
			return err
		}
	}
	return nil
}

// postgresTx is a transaction with the connection that it is on.
type postgresTx struct {
	*sql.Tx
	conn *sql.Conn
}

func (db *DB) beginPostgres(ctx context.Context) (*postgresTx, error) {
	conn, err := db.write.Conn(ctx)
	if err != nil {
		return nil, norm(err)
	}
	tx, err := conn.BeginTx(ctx, nil)
	if err != nil {
		_ = conn.Close()
		return nil, norm(err)
	}
	return &postgresTx{tx, conn}, nil
}

// end commits, or takes everything back on an error, which it returns.
func (t *postgresTx) end(err error) error {
	defer func() { _ = t.conn.Close() }() // back to the pool
	if err != nil {
		_ = t.Rollback()
		return norm(err)
	}
	return norm(t.Commit())
}

func (t *postgresTx) sendBatch(ctx context.Context, all []statement) error {
	var b pgx.Batch
	for _, s := range all {
		b.Queue(s.query, s.args...)
	}
	return t.conn.Raw(func(c any) error { return c.(*stdlib.Conn).Conn().SendBatch(ctx, &b).Close() })
}
