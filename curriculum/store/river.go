package store

import (
	"context"
	"database/sql"
	"fmt"
	"log/slog"
	"os"
	"time"

	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverdatabasesql"
	"github.com/riverqueue/river/rivermigrate"
	"github.com/riverqueue/river/rivertype"
)

// riverSchema keeps River's tables apart from ours.
const riverSchema = "river"

// riverArgs is a work as River knows it: it decides who does it and when it is
// tried again, and our own row the rest.
type riverArgs struct {
	Work string `json:"work"`
}

// Kind is river.JobArgs'.
func (riverArgs) Kind() string { return "work" }

type riverWorker struct {
	river.WorkerDefaults[riverArgs]
	do func(ctx context.Context, id string) error
}

// Work is river.Worker's.
func (w *riverWorker) Work(ctx context.Context, job *river.Job[riverArgs]) error {
	err := w.do(ctx, job.Args.Work)
	if err != nil && context.Cause(ctx) != nil {
		return river.JobSnooze(0) // given back: the next copy may have it at once
	}
	return err
}

// riverRetry lets a work rest as the local queue does.
type riverRetry struct{}

// NextRetry is river.ClientRetryPolicy's.
func (riverRetry) NextRetry(job *rivertype.JobRow) time.Time {
	return time.Now().Add(backoff(len(job.Errors) + 1))
}

// quiet is for the parts of River that nobody waits for.
var quiet = slog.New(slog.DiscardHandler)

// migrateRiver brings River's own tables to the version of this program's River.
func migrateRiver(ctx context.Context, pool *sql.DB) error {
	if _, err := pool.ExecContext(ctx, `CREATE SCHEMA IF NOT EXISTS `+riverSchema); err != nil {
		return err
	}
	m, err := rivermigrate.New(riverdatabasesql.New(pool), &rivermigrate.Config{Schema: riverSchema, Logger: quiet})
	if err != nil {
		return err
	}
	_, err = m.Migrate(ctx, rivermigrate.DirectionUp, nil)
	return err
}

// newInserter returns the client through which this copy puts work into the queue.
func newInserter(pool *sql.DB) (*river.Client[*sql.Tx], error) {
	return river.NewClient(riverdatabasesql.New(pool), &river.Config{Schema: riverSchema, Logger: quiet})
}

// enqueue gives a work to River in the transaction that keeps it; the local queue
// looks into the table.
func (db *DB) enqueue(ctx context.Context, q querier, id string) error {
	if db.river == nil {
		return nil
	}
	_, err := db.river.InsertTx(ctx, q.(*postgresTx).tx, riverArgs{Work: id}, nil)
	return err
}

// riverHands are a River client that works.
type riverHands struct{ client *river.Client[*sql.Tx] }

func (db *DB) startRiver(c QueueConfig) (*riverHands, error) {
	workers := river.NewWorkers()
	river.AddWorker(workers, &riverWorker{do: c.Do})
	client, err := river.NewClient(riverdatabasesql.New(db.write), &river.Config{
		ID: copyName(), Schema: riverSchema, Logger: c.Log, Workers: workers, RetryPolicy: riverRetry{},
		Queues:            map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: queueHands}},
		FetchPollInterval: queuePoll, JobTimeout: longestWork + time.Minute, SoftStopTimeout: softStop,
		// watchWork brings back what a dead copy had within seconds. River's own rescue
		// may only come after the longest work, and then finds it done.
		RescueStuckJobsAfter: longestWork + 5*time.Minute,
	})
	if err != nil {
		return nil, err
	}
	return &riverHands{client}, client.Start(context.Background())
}

func (r *riverHands) stop() { _ = r.client.Stop(context.Background()) } // its only error is the context's

// copyName tells this copy from others in River's tables: machine and process.
func copyName() string {
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	return fmt.Sprintf("%.60s pid %d %s", host, os.Getpid(), NewID()[24:])
}
