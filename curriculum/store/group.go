package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"sync"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

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
	db     *sql.DB
	acts   chan *act
	wait   sync.WaitGroup
	writer *writer // the goroutine's own

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
	if g.writer != nil {
		g.writer.forget()
		_ = g.writer.conn.Close()
	}
}

// commit runs a batch in one transaction. An act that fails is rolled back to
// its savepoint and takes no other with it.
func (g *group) commit(batch []*act) {
	fail := func(err error) {
		for _, a := range batch {
			if a.err == nil {
				a.err = norm(err)
			}
		}
	}
	w, err := g.begin()
	if err != nil {
		fail(err)
		return
	}
	for _, a := range batch {
		if a.err = a.ctx.Err(); a.err != nil {
			continue
		}
		if err := w.do("SAVEPOINT act"); err != nil {
			_ = w.do("ROLLBACK")
			fail(err)
			return
		}
		a.err = norm(runAct(a, w))
		if a.err != nil {
			if err := w.do("ROLLBACK TO act"); err != nil {
				// A full disk makes SQLite take the whole transaction back by itself, and
				// there is no savepoint left. The act's own error tells why.
				_ = w.do("ROLLBACK")
				fail(errors.Join(curriculum.ErrUnavailable, a.err))
				return
			}
		}
		if err := w.do("RELEASE act"); err != nil {
			_ = w.do("ROLLBACK")
			fail(err)
			return
		}
	}
	if err := w.do("COMMIT"); err != nil {
		_ = w.do("ROLLBACK")
		fail(err)
	}
}

// begin starts a transaction on the writing connection, on a new one if the old
// is of no use any more.
func (g *group) begin() (*writer, error) {
	if g.writer != nil {
		err := g.writer.do("BEGIN IMMEDIATE")
		if err == nil {
			return g.writer, nil
		}
		g.writer.discard()
		g.writer = nil
		var lite *sqlite.Error
		if errors.As(err, &lite) && lite.Code()&0xff == sqlite3.SQLITE_BUSY {
			return nil, err // another process writes; a new connection would wait as well
		}
	}
	ctx, cancel := context.WithTimeout(context.Background(), groupTimeout)
	defer cancel()
	conn, err := g.db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	w := &writer{conn: conn, prepared: map[string]*sql.Stmt{}}
	if err := w.do("BEGIN IMMEDIATE"); err != nil {
		w.discard()
		return nil, err
	}
	g.writer = w
	return w, nil
}

// writer is the connection that all writes go through. It keeps its statements
// prepared: to read them anew for every answer took half of its time. It does
// not look at the callers' contexts: an act that was begun is finished, and one
// that is cancelled must not undo the others.
type writer struct {
	conn     *sql.Conn
	prepared map[string]*sql.Stmt
}

// mostPrepared bounds what is kept; our statements are fewer, but for lists of
// several lengths.
const mostPrepared = 256

func (w *writer) statement(query string) (*sql.Stmt, error) {
	if s := w.prepared[query]; s != nil {
		return s, nil
	}
	if len(w.prepared) >= mostPrepared {
		w.forget()
	}
	s, err := w.conn.PrepareContext(context.Background(), query)
	if err == nil {
		w.prepared[query] = s
	}
	return s, err
}

func (w *writer) forget() {
	for _, s := range w.prepared {
		_ = s.Close()
	}
	clear(w.prepared)
}

func (w *writer) do(query string) error {
	_, err := w.ExecContext(context.Background(), query)
	return err
}

// ExecContext and QueryContext make it a querier.
func (w *writer) ExecContext(_ context.Context, query string, args ...any) (sql.Result, error) {
	s, err := w.statement(query)
	if err != nil {
		return nil, err
	}
	return s.ExecContext(context.Background(), args...)
}

func (w *writer) QueryContext(_ context.Context, query string, args ...any) (*sql.Rows, error) {
	s, err := w.statement(query)
	if err != nil {
		return nil, err
	}
	return s.QueryContext(context.Background(), args...)
}

// discard closes the connection itself, and with it a transaction left open.
func (w *writer) discard() {
	w.forget()
	_ = w.conn.Raw(func(any) error { return driver.ErrBadConn })
	_ = w.conn.Close()
}

// runAct keeps a panic of one act from ending the goroutine that all share.
func runAct(a *act, w *writer) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = errors.Join(errPanic, fmt.Errorf("%v", p))
		}
	}()
	return a.run(w)
}

var errPanic = errors.New("store: panic in a write")
