package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
)

// scanner is a row to be read, of database/sql or of pgx.
type scanner interface{ Scan(dest ...any) error }

// statement is a write whose outcome nobody waits for.
type statement struct {
	query string
	args  []any
}

// question is a query with what takes each of its rows.
type question struct {
	statement
	take func(scanner) error
}

// askAll asks in order. On PostgreSQL the questions travel together, and a round
// trip costs more than most of what they do; SQLite has no way to go.
func askAll(ctx context.Context, q querier, all []question) error {
	if t, ok := q.(*postgresTx); ok {
		return t.ask(ctx, all)
	}
	for _, x := range all {
		if _, err := rows(ctx, q, func(r scanner) (struct{}, error) { return struct{}{}, x.take(r) }, x.query, x.args...); err != nil {
			return err
		}
	}
	return nil
}

// sendAll carries writes out in order. On PostgreSQL they travel with what is next
// asked or with the COMMIT, and what is wrong with them is said there.
func sendAll(ctx context.Context, q querier, all []statement) error {
	if t, ok := q.(*postgresTx); ok {
		t.waiting = append(t.waiting, all...)
		return nil
	}
	for _, s := range all {
		if _, err := q.ExecContext(ctx, s.query, s.args...); err != nil {
			return err
		}
	}
	return nil
}

// postgresTx is a transaction with the connection that it is on. It makes as few
// round trips as it can: BEGIN travels with what comes first, COMMIT with the
// last writes.
type postgresTx struct {
	ctx     context.Context // a transaction is of one request, as sql.Tx is
	conn    *sql.Conn
	tx      *sql.Tx // begun for River, which takes nothing else; nil otherwise
	begun   bool
	over    bool
	waiting []statement
}

func (db *DB) beginPostgres(ctx context.Context) (*postgresTx, error) {
	conn, err := db.write.Conn(ctx)
	if err != nil {
		return nil, norm(err)
	}
	return &postgresTx{ctx: ctx, conn: conn}, nil
}

// beginForWork begins a transaction that may put work into River's queue.
func (db *DB) beginForWork(ctx context.Context) (*postgresTx, error) {
	t, err := db.beginPostgres(ctx)
	if err != nil {
		return nil, err
	}
	if t.tx, err = t.conn.BeginTx(ctx, nil); err != nil {
		_ = t.conn.Close()
		return nil, norm(err)
	}
	t.begun = true
	return t, nil
}

// batch returns what must travel before anything else.
func (t *postgresTx) batch() *pgx.Batch {
	b := &pgx.Batch{}
	if !t.begun {
		b.Queue("BEGIN")
		t.begun = true
	}
	for _, s := range t.waiting {
		b.Queue(s.query, s.args...)
	}
	t.waiting = nil
	return b
}

// send makes the round trip.
func (t *postgresTx) send(ctx context.Context, b *pgx.Batch) error {
	if b.Len() == 0 {
		return nil
	}
	return t.raw(func(c *pgx.Conn) error { return c.SendBatch(ctx, b).Close() })
}

func (t *postgresTx) raw(do func(c *pgx.Conn) error) error {
	return t.conn.Raw(func(c any) error { return do(c.(*stdlib.Conn).Conn()) })
}

func (t *postgresTx) ask(ctx context.Context, all []question) error {
	b := t.batch()
	for _, x := range all {
		b.Queue(x.query, x.args...).Query(func(rs pgx.Rows) error {
			for rs.Next() {
				if err := x.take(rs); err != nil {
					return err
				}
			}
			return rs.Err()
		})
	}
	return norm(t.send(ctx, b))
}

// ExecContext and QueryContext make it a querier.
func (t *postgresTx) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	var done driver.RowsAffected
	b := t.batch()
	b.Queue(query, args...).Exec(func(tag pgconn.CommandTag) error {
		done = driver.RowsAffected(tag.RowsAffected())
		return nil
	})
	err := t.send(ctx, b)
	return done, err
}

func (t *postgresTx) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	if err := t.send(ctx, t.batch()); err != nil {
		return nil, err
	}
	return t.conn.QueryContext(ctx, query, args...)
}

// rollbackTimeout is how long taking a transaction back may take; the request's
// own time may be over.
const rollbackTimeout = 5 * time.Second

// end commits, or takes everything back on an error, which it returns. Only its
// first call counts.
func (t *postgresTx) end(err error) error {
	if t.over {
		return err
	}
	t.over = true
	defer func() { _ = t.conn.Close() }() // back to the pool
	if err == nil {
		err = t.commit()
	}
	if err != nil {
		t.rollback()
	}
	return norm(err)
}

func (t *postgresTx) commit() error {
	if t.tx != nil {
		if err := t.send(t.ctx, t.batch()); err != nil {
			return err
		}
		return t.tx.Commit()
	}
	if !t.begun && len(t.waiting) == 0 {
		return nil
	}
	b := t.batch()
	b.Queue("COMMIT").Exec(func(tag pgconn.CommandTag) error {
		if tag.String() != "COMMIT" { // somebody went on after an error
			return pgx.ErrTxCommitRollback
		}
		return nil
	})
	return t.send(t.ctx, b)
}

func (t *postgresTx) rollback() {
	switch {
	case t.tx != nil:
		_ = t.tx.Rollback()
	case t.begun:
		ctx, cancel := context.WithTimeout(context.WithoutCancel(t.ctx), rollbackTimeout)
		defer cancel()
		err := t.raw(func(c *pgx.Conn) error {
			if c.PgConn().TxStatus() == 'I' { // nothing is open: BEGIN or COMMIT failed
				return nil
			}
			_, err := c.Exec(ctx, "ROLLBACK")
			return err
		})
		if err != nil && !errors.Is(err, driver.ErrBadConn) { // a connection in a transaction must not go back to the pool
			_ = t.conn.Raw(func(any) error { return driver.ErrBadConn })
		}
	}
}
