package store

import (
	"context"
	"errors"
	"sync"
	"time"

	"halfnut/curriculum"
)

// Once carries out a request under a key: all that act writes with its context,
// and the answer that act returns, are kept in one transaction. So there is never
// an effect without its answer, whatever is killed when, and of two who send the
// same key at once the second waits for the first and gets its answer. repeated
// says that the answer was kept before and nothing was done now. An error of act
// takes back everything and leaves the key free. A key that was used for another
// request is ErrInvalid.
//
// From act's first write until it returns its transaction stays open, on SQLite
// the only one that writes. So act computes first and writes last, and writes with
// its own context only: without it, it would wait for itself.
func (db *DB) Once(ctx context.Context, r curriculum.KeyedRequest, act func(ctx context.Context) (curriculum.KeptAnswer, error)) (a curriculum.KeptAnswer, repeated bool, err error) {
	if a, err = db.keptAnswer(ctx, r); !errors.Is(err, curriculum.ErrNotFound) {
		return a, true, err
	}
	k := &keyed{db: db, request: r}
	defer func() { _ = k.end(errAbandoned) }() // where act panics
	if a, err = act(context.WithValue(ctx, keyedContext{}, k)); err == nil {
		err = k.keep(ctx, a)
	}
	err = k.end(err)
	if k.taken {
		a, err = db.keptAnswer(ctx, r)
		return a, true, err
	}
	return a, false, err
}

var (
	errTaken     = errors.New("store: the key is taken")
	errAbandoned = errors.New("store: the request is over")
)

func (db *DB) keptAnswer(ctx context.Context, r curriculum.KeyedRequest) (curriculum.KeptAnswer, error) {
	var hash string
	a, err := one(ctx, db.read, func(row scanner) (a curriculum.KeptAnswer, err error) {
		err = row.Scan(&hash, &a.Status, &a.Location, &a.ETag, &a.Body)
		return a, err
	}, `SELECT request_hash, status, location, etag, body FROM keyed_request WHERE owner = $1 AND request_key = $2 AND created_at >= $3`,
		r.Owner, r.Key, toMicros(r.Since))
	if err == nil && hash != r.Hash {
		err = &curriculum.FieldError{Path: "Idempotency-Key", Value: r.Key, Reason: "used for another request", Allowed: "a key of its own for each request"}
	}
	return a, err
}

// ForgetKeys deletes the keys used before since.
func (db *DB) ForgetKeys(ctx context.Context, since time.Time) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `DELETE FROM keyed_request WHERE created_at < $1`, toMicros(since))
		return err
	})
}

type keyedContext struct{}

// keyedOf returns the keyed request that a context belongs to, or nil.
func keyedOf(ctx context.Context) *keyed {
	k, _ := ctx.Value(keyedContext{}).(*keyed)
	return k
}

// keyed is a request being carried out under a key.
type keyed struct {
	db      *DB
	request curriculum.KeyedRequest

	mu sync.Mutex
	// q is the open transaction, nil before the first write and after the end;
	// finish commits it, or takes it back on an error.
	q      querier
	finish func(err error) error
	// taken says that another request was first with the key.
	taken, over bool
}

// reader returns where a request reads: in its own transaction where it has
// written, so that it sees what it wrote.
func (db *DB) reader(ctx context.Context) querier {
	if k := keyedOf(ctx); k != nil {
		k.mu.Lock()
		defer k.mu.Unlock()
		if k.q != nil {
			return k.q
		}
	}
	return db.read
}

// update is DB.update within the transaction of the request. An act that fails is
// rolled back by itself, as everywhere: its caller may try again.
func (k *keyed) update(ctx context.Context, act func(q querier) error) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	if err := k.begin(ctx); err != nil {
		return err
	}
	if err := k.do(ctx, "SAVEPOINT step"); err != nil {
		return err
	}
	if err := act(k.q); err != nil {
		return errors.Join(norm(err), k.do(ctx, "ROLLBACK TO step"), k.do(ctx, "RELEASE step"))
	}
	return k.do(ctx, "RELEASE step")
}

func (k *keyed) do(ctx context.Context, query string) error {
	_, err := k.q.ExecContext(ctx, query)
	return norm(err)
}

// begin opens the transaction and takes the key. Another that took it and is not
// done yet is waited for.
func (k *keyed) begin(ctx context.Context) error {
	if k.over {
		return errAbandoned
	}
	if k.taken {
		return errTaken
	}
	if k.q != nil {
		return nil
	}
	q, finish, err := k.db.hold(ctx)
	if err != nil {
		return err
	}
	k.q, k.finish = q, finish
	r := k.request
	result, err := q.ExecContext(ctx, `INSERT INTO keyed_request (owner, request_key, request_hash, status, location, etag, body, created_at)
		VALUES ($1, $2, $3, 0, '', '', '', $4)
		ON CONFLICT (owner, request_key) DO UPDATE SET request_hash = excluded.request_hash, created_at = excluded.created_at
		WHERE keyed_request.created_at < $5`, r.Owner, r.Key, r.Hash, toMicros(r.At), toMicros(r.Since))
	if err != nil {
		return norm(err)
	}
	n, err := result.RowsAffected()
	if err == nil && n == 0 {
		k.taken, err = true, errTaken
	}
	return norm(err)
}

// keep writes the answer down.
func (k *keyed) keep(ctx context.Context, a curriculum.KeptAnswer) error {
	return k.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `UPDATE keyed_request SET status = $3, location = $4, etag = $5, body = $6 WHERE owner = $1 AND request_key = $2`,
			k.request.Owner, k.request.Key, int64(a.Status), a.Location, a.ETag, a.Body)
		return err
	})
}

// end commits, or takes everything back on an error, which it returns. Only its
// first call counts.
func (k *keyed) end(err error) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.over {
		return err
	}
	k.over = true
	if k.q == nil {
		return err
	}
	k.q = nil
	return k.finish(err)
}

// hold opens a transaction that stays open until finish is called: with nil it is
// committed, with an error taken back, and the error returned.
func (db *DB) hold(ctx context.Context) (q querier, finish func(err error) error, err error) {
	if db.group != nil {
		return db.group.hold(ctx)
	}
	tx, err := db.beginForWork(ctx)
	if err != nil {
		return nil, nil, err
	}
	return tx, tx.end, nil
}

// hold is an act that lasts until finish is called.
func (g *group) hold(ctx context.Context) (querier, func(err error) error, error) {
	begun, ended, fate := make(chan querier), make(chan error), make(chan error, 1)
	go func() {
		fate <- g.do(ctx, func(q querier) error {
			begun <- q
			return <-ended
		})
	}()
	select {
	case q := <-begun:
		return q, func(err error) error {
			ended <- err
			return <-fate
		}, nil
	case err := <-fate: // it never began
		return nil, nil, err
	}
}
