package store

import (
	"context"
	"errors"
	"sync"
	"time"

	"halfnut/curriculum"
)

// localQueue does the work of an SQLite file in this process. It keeps nothing but
// when a work that failed may be tried again: what waits stands in the table, and
// is taken up at the next start as it was left.
type localQueue struct {
	db   *DB
	c    QueueConfig
	ctx  context.Context // of the works; ends when they must be given back
	give context.CancelFunc
	quit chan struct{} // closed when no new work is taken
	wait sync.WaitGroup

	mu    sync.Mutex
	again map[string]time.Time
	fails map[string]int
}

func (db *DB) startLocal(c QueueConfig) *localQueue {
	q := &localQueue{db: db, c: c, quit: make(chan struct{}), again: map[string]time.Time{}, fails: map[string]int{}}
	q.ctx, q.give = context.WithCancel(context.Background())
	for range queueHands {
		q.wait.Go(q.hand)
	}
	return q
}

func (q *localQueue) stop() {
	close(q.quit)
	soft := time.AfterFunc(softStop, q.give)
	q.wait.Wait()
	soft.Stop()
	q.give()
}

// hand does one work after the other.
func (q *localQueue) hand() {
	tick := time.NewTicker(queuePoll)
	defer tick.Stop()
	for {
		for q.one() {
			q.db.wake() // there may be more, for the other hand too
		}
		select {
		case <-q.quit:
			return
		case <-q.db.woken:
		case <-tick.C:
		}
	}
}

// one does the oldest work that waits, and reports whether there was any. Two
// hands may find the same; one of them finds that the other has it.
func (q *localQueue) one() bool {
	select {
	case <-q.quit:
		return false
	default:
	}
	id, err := q.next()
	if err == nil {
		if err = q.c.Do(q.ctx, id); err == nil {
			q.rest(id, false)
			return true
		}
		q.rest(id, true)
	}
	if !errors.Is(err, curriculum.ErrNotFound) && q.ctx.Err() == nil {
		q.c.Log.WarnContext(q.ctx, "work", "id", id, "error", err.Error())
	}
	return false
}

// next returns the oldest work that waits and need not rest.
func (q *localQueue) next() (string, error) {
	waiting, err := rows(q.ctx, q.db.read, scanText, `SELECT id FROM work WHERE state = 'waiting' ORDER BY created_at, id`)
	if err != nil {
		return "", err
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	for _, id := range waiting {
		if !time.Now().Before(q.again[id]) {
			return id, nil
		}
	}
	return "", curriculum.ErrNotFound
}

// rest lets a work that failed wait, longer each time.
func (q *localQueue) rest(id string, failed bool) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if !failed {
		delete(q.again, id)
		delete(q.fails, id)
		return
	}
	q.fails[id]++
	q.again[id] = time.Now().Add(backoff(q.fails[id]))
}

// backoff is how long a work rests after it has failed n times: 2, 4, 8 … 64 s.
func backoff(n int) time.Duration { return time.Second << min(n, 6) }
