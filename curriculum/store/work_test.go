package store_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

func (s shop) ask(t *testing.T, db *store.DB) curriculum.Work {
	t.Helper()
	w := curriculum.Work{
		ID: store.NewID(), Workshop: s.workshop.ID, Kind: curriculum.WorkExport, Title: "Shed", By: s.person.ID, Role: s.person.Role,
		Args: `{"names":["Zoë"]}`, State: curriculum.WorkWaiting, Created: at.Truncate(time.Millisecond),
	}
	require.NoError(t, db.StartWork(t.Context(), w))
	return w
}

// TestWorkIsOneTrysAtATime: one try has a work, only that try ends it, and the
// effect comes with the end or not at all.
func TestWorkIsOneTrysAtATime(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		w := s.ask(t, db)
		got, err := db.Work(ctx, w.ID)
		require.NoError(t, err)
		assert.Equal(t, w, got)

		got, err = db.ClaimWork(ctx, w.ID, "first", at)
		require.NoError(t, err)
		assert.Equal(t, 1, got.Tries)
		assert.Equal(t, at.Truncate(time.Millisecond), got.Started)
		_, err = db.ClaimWork(ctx, w.ID, "second", at)
		require.ErrorIs(t, err, curriculum.ErrTaken)
		require.NoError(t, db.BeatWork(ctx, w.ID, "first", 3, 10, at))
		require.ErrorIs(t, db.BeatWork(ctx, w.ID, "second", 9, 10, at), curriculum.ErrTaken)
		got, err = db.Work(ctx, w.ID)
		require.NoError(t, err)
		assert.Equal(t, []int{3, 10}, []int{got.Done, got.Total})
		require.NoError(t, db.WriteWorkFile(ctx, w.ID, "first", 1, []byte("half")))

		// Given back: the try does not count, and what it wrote is gone.
		require.NoError(t, db.LeaveWork(ctx, w.ID, "first", false))
		got, err = db.ClaimWork(ctx, w.ID, "second", at)
		require.NoError(t, err)
		assert.Equal(t, 1, got.Tries)
		assert.Zero(t, got.Done)
		learners, err := db.Learners(ctx, s.class.ID)
		require.NoError(t, err)
		end := curriculum.WorkEnd{ID: w.ID, Run: "first", Result: curriculum.WorkResult{Class: s.class.ID}, At: at}
		fresh := []curriculum.Learner{{ID: store.NewID(), Name: "Ida"}}
		require.ErrorIs(t, db.FinishLearners(ctx, end, s.class, fresh, s.person.ID), curriculum.ErrTaken)
		set := s.set
		set.ID = store.NewID()
		require.ErrorIs(t, db.FinishSet(ctx, end, set, nil, s.workshop.ID, s.person.ID), curriculum.ErrTaken)
		_, err = db.Set(ctx, set.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		// A failing effect leaves the work as it is.
		end.Run = "second"
		require.ErrorIs(t, db.FinishLearners(ctx, end, s.class, []curriculum.Learner{{ID: store.NewID(), Name: learners[0].Name}}, s.person.ID), curriculum.ErrConflict)
		require.NoError(t, db.WriteWorkFile(ctx, w.ID, "second", 1, []byte("whole")))
		_, err = db.ReadWorkFile(ctx, w.ID, 1)
		require.ErrorIs(t, err, curriculum.ErrNotFound, "before the end there is no file")
		require.NoError(t, db.FinishLearners(ctx, end, s.class, fresh, s.person.ID))
		after, err := db.Learners(ctx, s.class.ID)
		require.NoError(t, err)
		assert.Len(t, after, len(learners)+1)

		body, err := db.ReadWorkFile(ctx, w.ID, 1)
		require.NoError(t, err)
		assert.Equal(t, "whole", string(body))
		got, err = db.Work(ctx, w.ID)
		require.NoError(t, err)
		assert.Equal(t, curriculum.WorkDone, got.State)
		assert.Equal(t, &curriculum.WorkResult{Class: s.class.ID}, got.Result)
		assert.Empty(t, got.Args, "names are forgotten")
		require.ErrorIs(t, db.FinishWork(ctx, end), curriculum.ErrTaken)
		_, err = db.ClaimWork(ctx, w.ID, "third", at)
		require.ErrorIs(t, err, curriculum.ErrTaken)

		own, err := db.WorkOf(ctx, s.workshop.ID, s.person.ID, 10)
		require.NoError(t, err)
		assert.Len(t, own, 1)
		counts := map[string]int64{}
		require.NoError(t, db.WorkStates(ctx, func(kind, state string, n int64) { counts[kind+" "+state] = n }))
		assert.Equal(t, map[string]int64{"export done": 1}, counts)

		// A day later the file is gone, a month later the work.
		require.NoError(t, store.ForgetWork(ctx, db, at.Add(curriculum.KeepWorkFile+time.Hour)))
		_, err = db.ReadWorkFile(ctx, w.ID, 1)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = db.Work(ctx, w.ID)
		require.NoError(t, err)
		require.NoError(t, store.ForgetWork(ctx, db, at.Add(curriculum.KeepWork+time.Hour)))
		_, err = db.Work(ctx, w.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
	})
}

// TestWorkIsCalledOff: a work called off while it waits is begun by nobody, and one
// called off while it runs ends without any effect.
func TestWorkIsCalledOff(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		learners, err := db.Learners(ctx, s.class.ID)
		require.NoError(t, err)
		later := at.Add(time.Minute).Truncate(time.Millisecond)
		off := func(w curriculum.Work) {
			require.NoError(t, db.CallOffWork(ctx, w, s.person.ID, later))
			got, err := db.Work(ctx, w.ID)
			require.NoError(t, err)
			assert.Equal(t, curriculum.WorkCalledOff, got.State)
			assert.Equal(t, later, got.Finished)
			assert.True(t, got.Ended())
			assert.Empty(t, got.Args, "names are forgotten")
			require.ErrorIs(t, db.CallOffWork(ctx, w, s.person.ID, later), curriculum.ErrConflict, "it has ended")
			_, err = db.ClaimWork(ctx, w.ID, "late", at)
			require.ErrorIs(t, err, curriculum.ErrTaken)
		}
		off(s.ask(t, db))

		w := s.ask(t, db)
		_, err = db.ClaimWork(ctx, w.ID, "run", at)
		require.NoError(t, err)
		require.NoError(t, db.WriteWorkFile(ctx, w.ID, "run", 1, []byte("half")))
		off(w)
		require.ErrorIs(t, db.BeatWork(ctx, w.ID, "run", 1, 2, at), curriculum.ErrTaken, "how the try notices")
		require.ErrorIs(t, db.WriteWorkFile(ctx, w.ID, "run", 2, []byte("whole")), curriculum.ErrTaken)
		require.ErrorIs(t, db.LeaveWork(ctx, w.ID, "run", true), curriculum.ErrTaken)
		end := curriculum.WorkEnd{ID: w.ID, Run: "run", Result: curriculum.WorkResult{Class: s.class.ID}, At: at}
		require.ErrorIs(t, db.FinishWork(ctx, end), curriculum.ErrTaken)
		require.ErrorIs(t, db.FinishLearners(ctx, end, s.class, []curriculum.Learner{{ID: store.NewID(), Name: "Ida"}}, s.person.ID), curriculum.ErrTaken)
		set := s.set
		set.ID = store.NewID()
		require.ErrorIs(t, db.FinishSet(ctx, end, set, nil, s.workshop.ID, s.person.ID), curriculum.ErrTaken)
		_, err = db.Set(ctx, set.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		after, err := db.Learners(ctx, s.class.ID)
		require.NoError(t, err)
		assert.Equal(t, learners, after, "nothing is half-imported")
		_, err = db.ReadWorkFile(ctx, w.ID, 1)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		require.NoError(t, store.RescueWork(ctx, db, later.Add(time.Hour)))
		got, err := db.Work(ctx, w.ID)
		require.NoError(t, err)
		assert.Equal(t, curriculum.WorkCalledOff, got.State, "nobody brings it back")

		done := s.ask(t, db)
		_, err = db.ClaimWork(ctx, done.ID, "run", at)
		require.NoError(t, err)
		require.NoError(t, db.FinishWork(ctx, curriculum.WorkEnd{ID: done.ID, Run: "run", At: at}))
		require.ErrorIs(t, db.CallOffWork(ctx, done, s.person.ID, later), curriculum.ErrConflict)
		require.NoError(t, store.ForgetWork(ctx, db, later.Add(curriculum.KeepWork+time.Hour)))
		_, err = db.Work(ctx, w.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound, "forgotten as others are")
	})
}

// TestErasingBeginsWorkAnew: a work that has read who is erased now does not end
// with it.
func TestErasingBeginsWorkAnew(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		w := s.ask(t, db)
		_, err := db.ClaimWork(ctx, w.ID, "first", time.Now())
		require.NoError(t, err)
		require.NoError(t, db.WriteWorkFile(ctx, w.ID, "first", 1, []byte("Zoë")))
		_, err = db.EraseLearner(ctx, s.learners[0], s.person.ID, at)
		require.NoError(t, err)
		require.ErrorIs(t, db.WriteWorkFile(ctx, w.ID, "first", 2, []byte("Zoë")), curriculum.ErrTaken)
		require.ErrorIs(t, db.BeatWork(ctx, w.ID, "first", 1, 1, time.Now()), curriculum.ErrTaken)
		require.ErrorIs(t, db.FinishWork(ctx, curriculum.WorkEnd{ID: w.ID, Run: "first", At: at}), curriculum.ErrTaken)
		var ended atomic.Int64
		c := copyOf{db: db, ended: &ended, began: func(context.Context, string, string) error { return nil }}
		q, err := db.StartQueue(store.QueueConfig{Do: c.do, Silent: 2 * time.Second, Log: slog.New(slog.DiscardHandler)})
		require.NoError(t, err)
		defer q.Stop()
		require.Eventually(t, func() bool { return ended.Load() == 1 }, time.Minute, 20*time.Millisecond)
		_, err = db.ReadWorkFile(ctx, w.ID, 1)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
	})
}

// copyOf is a copy of the service that does works of this test.
type copyOf struct {
	db    *store.DB
	began func(ctx context.Context, id, run string) error
	ended *atomic.Int64
}

func (c copyOf) do(ctx context.Context, id string) error {
	run := store.NewID()
	if _, err := c.db.ClaimWork(ctx, id, run, time.Now()); err != nil {
		if errors.Is(err, curriculum.ErrTaken) {
			return nil
		}
		return err
	}
	if err := c.began(ctx, id, run); err != nil {
		return err
	}
	err := c.db.FinishWork(ctx, curriculum.WorkEnd{ID: id, Run: run, At: time.Now()})
	if err == nil {
		c.ended.Add(1)
	}
	if errors.Is(err, curriculum.ErrTaken) {
		return nil
	}
	return err
}

// TestQueueDoesEveryWorkOnce: two copies do what is asked for, each work once,
// also those whose copy fell silent, those that fail at first, and those that were
// asked for while nobody was there.
func TestQueueDoesEveryWorkOnce(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		const works = 24
		ids := make([]string, works)
		for i := range works / 2 {
			ids[i] = s.ask(t, db).ID
		}
		// One was begun by a copy that is gone.
		_, err := db.ClaimWork(ctx, ids[0], "gone", time.Now().Add(-time.Hour))
		require.NoError(t, err)
		var ended atomic.Int64
		var failed sync.Map
		c := copyOf{db: db, ended: &ended, began: func(ctx context.Context, id, run string) error {
			if id != ids[1] {
				return nil
			}
			if _, again := failed.LoadOrStore(id, true); again {
				return nil
			}
			return errors.Join(errors.New("at first it fails"), db.LeaveWork(ctx, id, run, true))
		}}
		for range 2 {
			q, err := db.StartQueue(store.QueueConfig{Do: c.do, Silent: 2 * time.Second, Log: slog.New(slog.DiscardHandler)})
			require.NoError(t, err)
			defer q.Stop()
		}
		for i := works / 2; i < works; i++ {
			ids[i] = s.ask(t, db).ID
		}
		for _, id := range ids {
			require.Eventually(t, func() bool {
				w, err := db.Work(ctx, id)
				return err == nil && w.State == curriculum.WorkDone
			}, time.Minute, 20*time.Millisecond)
		}
		assert.EqualValues(t, works, ended.Load())
		for i, tries := range []int{2, 2, 1} {
			w, err := db.Work(ctx, ids[i])
			require.NoError(t, err)
			assert.Equal(t, tries, w.Tries, fmt.Sprint("work ", i))
		}
	})
}

// TestQueueStopGivesBack: what cannot be finished in time is given back, and a copy
// that comes later has it.
func TestQueueStopGivesBack(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		w := s.ask(t, db)
		var ended atomic.Int64
		under := make(chan struct{})
		slow := copyOf{db: db, ended: &ended, began: func(ctx context.Context, id, run string) error {
			close(under)
			<-ctx.Done()
			return errors.Join(ctx.Err(), db.LeaveWork(context.WithoutCancel(ctx), id, run, false))
		}}
		config := store.QueueConfig{Do: slow.do, Silent: time.Minute, Log: slog.New(slog.DiscardHandler)}
		q, err := db.StartQueue(config)
		require.NoError(t, err)
		<-under
		q.Stop()
		got, err := db.Work(ctx, w.ID)
		require.NoError(t, err)
		assert.Equal(t, curriculum.WorkWaiting, got.State)
		assert.Zero(t, got.Tries)
		config.Do = copyOf{db: db, ended: &ended, began: func(context.Context, string, string) error { return nil }}.do
		q, err = db.StartQueue(config)
		require.NoError(t, err)
		defer q.Stop()
		require.Eventually(t, func() bool { return ended.Load() == 1 }, time.Minute, 20*time.Millisecond)
	})
}

// TestQueueStopEndsEverything: when it has stopped, nothing of it runs any more.
func TestQueueStopEndsEverything(t *testing.T) { // not parallel: it looks at every goroutine
	for _, engine := range []string{"sqlite", "postgres"} {
		t.Run(engine, func(t *testing.T) {
			where := engines[engine](t)
			before := goleak.IgnoreCurrent()
			db, err := store.Open(t.Context(), where)
			require.NoError(t, err)
			s := fill(t, db)
			var ended atomic.Int64
			c := copyOf{db: db, ended: &ended, began: func(context.Context, string, string) error { return nil }}
			q, err := db.StartQueue(store.QueueConfig{Do: c.do, Silent: 2 * time.Second, Log: slog.New(slog.DiscardHandler)})
			require.NoError(t, err)
			s.ask(t, db)
			require.Eventually(t, func() bool { return ended.Load() == 1 }, time.Minute, 20*time.Millisecond)
			q.Stop()
			require.NoError(t, db.Close())
			goleak.VerifyNone(t, before)
		})
	}
}
