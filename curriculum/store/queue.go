package store

import (
	"context"
	"log/slog"
	"sync"
	"time"
)

// Work goes to whichever copy is free. On PostgreSQL River hands it out (river.go);
// on SQLite, which one process serves, a queue in the process does, over the table
// itself (localqueue.go). Either calls the same function, any number of times: the
// row of the work lets one try at a time have it and one alone end it.

// QueueConfig is what a copy that does work needs.
type QueueConfig struct {
	// Do does a work, or finds that there is nothing to do. An error brings it back
	// later; when its context ends, it is to give back what it has.
	Do func(ctx context.Context, id string) error
	// Silent is how long a running work may be unheard of before it is given to
	// another try.
	Silent time.Duration
	Log    *slog.Logger
}

// Queue is a copy's part in the queue.
type Queue struct {
	hands interface{ stop() }
	end   context.CancelFunc
	done  sync.WaitGroup
}

const (
	// queueHands is how many works a copy does at once; requests need the rest of
	// the machine.
	queueHands = 2
	// softStop is how long a stop waits for works under way before they are given
	// back.
	softStop = 3 * time.Second
	// longestWork is how long a try may take; it is then tried again.
	longestWork = 30 * time.Minute
	// queuePoll is how often a copy looks for work that others put into the queue.
	queuePoll = time.Second
	// forgetEvery is how often old works are looked for.
	forgetEvery = 10 * time.Minute
)

// StartQueue begins to do work, until Stop.
func (db *DB) StartQueue(c QueueConfig) (*Queue, error) {
	do := c.Do
	c.Do = func(ctx context.Context, id string) error {
		ctx, cancel := context.WithTimeout(ctx, longestWork)
		defer cancel()
		return do(ctx, id)
	}
	hands, err := db.startHands(c)
	if err != nil {
		return nil, err
	}
	ctx, end := context.WithCancel(context.Background())
	q := &Queue{hands: hands, end: end}
	q.done.Go(func() { db.watchWork(ctx, c) })
	return q, nil
}

func (db *DB) startHands(c QueueConfig) (interface{ stop() }, error) {
	if db.engine == enginePostgres {
		return db.startRiver(c)
	}
	return db.startLocal(c), nil
}

// Stop takes no new work, waits a little for what is under way and gives the rest
// back.
func (q *Queue) Stop() {
	q.end()
	q.done.Wait()
	q.hands.stop()
}

// watchWork brings back what copies that died had, and forgets what is old. Every
// copy watches, so that one suffices.
func (db *DB) watchWork(ctx context.Context, c QueueConfig) {
	tick := time.NewTicker(c.Silent / 4)
	defer tick.Stop()
	forget := time.Time{}
	for {
		now := time.Now()
		err := db.rescueWork(ctx, now.Add(-c.Silent))
		if err == nil && now.Sub(forget) >= forgetEvery {
			forget = now
			err = db.forgetWork(ctx, now)
		}
		if err != nil && ctx.Err() == nil {
			c.Log.WarnContext(ctx, "work", "watch", err.Error())
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// wake tells this copy that there may be work.
func (db *DB) wake() {
	select {
	case db.woken <- struct{}{}:
	default: // it is told already
	}
}
