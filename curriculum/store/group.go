package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"
	"time"

	"halfnut/curriculum"
)

// SQLite has one writer and pays for durability by the commit, so one goroutine
// owns the writing connection and commits whatever waits as one transaction,
// each act behind its own savepoint. Every caller learns the fate of its own act
// only after the commit that holds it.

const (
	groupMost    = 64
	groupTimeout = 30 * time.Second
)

type act struct {
	ctx  context.Context
	run  func(q querier) error
	err  error
	done chan struct{}
}

type group struct {
	db   *sql.DB
	acts chan *act
	wait sync.WaitGroup

	mu     sync.RWMutex // guards closed against acts being sent
	closed bool
}

func startGroup(db *sql.DB) *group {
	g := &group{db: db, acts: make(chan *act, groupMost)}
	g.wait.Add(1)
	go g.loop()
	return g
}

// stop lets the acts under way finish and ends the goroutine.
func (g *group) stop() {
	g.mu.Lock()
	if !g.closed {
		g.closed = true
		close(g.acts)
	}
	g.mu.Unlock()
	g.wait.Wait()
}

func (g *group) do(ctx context.Context, run func(q querier) error) error {
	a := &act{ctx: ctx, run: run, done: make(chan struct{})}
	if err := g.send(a); err != nil {
		return err
	}
	// Once taken an act is awaited to its end: the caller must not be told of a
	// failure when the commit went through.
	<-a.done
	return a.err
}

func (g *group) send(a *act) error {
	g.mu.RLock()
	defer g.mu.RUnlock()
	if g.closed {
		return fmt.Errorf("%w: closed", curriculum.ErrUnavailable)
	}
	select {
	case g.acts <- a:
		return nil
	case <-a.ctx.Done():
		return a.ctx.Err()
	}
}

func (g *group) loop() {
	defer g.wait.Done()
	for first := range g.acts {
		batch := []*act{first}
	gather:
		for len(batch) < groupMost {
			select {
			case a, ok := <-g.acts:
				if !ok {
					break gather
				}
				batch = append(batch, a)
			default:
				break gather
			}
		}
		g.commit(batch)
		for _, a := range batch {
			close(a.done)
		}
	}
}

// commit runs a batch in one transaction. An act that fails is rolled back to
// its savepoint and takes no other with it.
func (g *group) commit(batch []*act) {
	// Not the callers' contexts: one that is cancelled must not undo the others.
	ctx, cancel := context.WithTimeout(context.Background(), groupTimeout)
	defer cancel()
	fail := func(err error) {
		for _, a := range batch {
			if a.err == nil {
				a.err = norm(err)
			}
		}
	}
	tx, err := g.db.BeginTx(ctx, nil)
	if err != nil {
		fail(err)
		return
	}
	for _, a := range batch {
		if a.err = a.ctx.Err(); a.err != nil {
			continue
		}
		if _, err := tx.ExecContext(ctx, "SAVEPOINT act"); err != nil {
			_ = tx.Rollback()
			fail(err)
			return
		}
		a.err = norm(runAct(a, tx))
		if a.err != nil {
			if _, err := tx.ExecContext(ctx, "ROLLBACK TO act"); err != nil {
				// A full disk makes SQLite take the whole transaction back by itself, and
				// there is no savepoint left. The act's own error tells why.
				_ = tx.Rollback()
				fail(errors.Join(curriculum.ErrUnavailable, a.err))
				return
			}
		}
		if _, err := tx.ExecContext(ctx, "RELEASE act"); err != nil {
			_ = tx.Rollback()
			fail(err)
			return
		}
	}
	if err := tx.Commit(); err != nil {
		_ = tx.Rollback()
		fail(err)
	}
}

// runAct keeps a panic of one act from ending the goroutine that all share.
func runAct(a *act, tx *sql.Tx) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errors.Join(errPanic, fmt.Errorf("%v", p))
		}
	}()
	return a.run(tx)
}

var errPanic = errors.New("store: panic in a write")
