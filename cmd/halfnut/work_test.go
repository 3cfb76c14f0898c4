package main

import (
	"database/sql"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
)

// The class of the proof is large enough for its set to take seconds.
const (
	bigClass  = 200
	bigCount  = 16
	proofTime = 6 * time.Minute // until the test gives up; nothing waits for it
)

// largePools are skills with so many exercises that drawing them takes no repeats.
var largePools = []string{"whole-job", "gear-train", "pass-schedule", "job-time", "choose-method", "safe-order", "inch-mm", "run-out"}

// bigShop is a database with a large class, and the way to ask for its set.
type bigShop struct {
	*practice.Service
	db         *store.DB
	where      []string
	instructor practice.Actor
	class      curriculum.Class
	spec       curriculum.SetSpec
}

func newBigShop(t *testing.T, engine string) bigShop {
	t.Helper()
	ctx := t.Context()
	address, flag := storetest.SQLite, "--data"
	if engine == "postgres" {
		address, flag = storetest.Postgres, "--database"
	}
	at := address(t)
	db := storetest.OpenAddress(t, at)
	b := bigShop{Service: practice.New(db, practice.Options{Random: storetest.Random(t)}), db: db, where: []string{flag, at, "--rescue-after", leastSilence.String()}}
	demo, err := workshop.Demo()
	require.NoError(t, err)
	w, p, err := b.Begin(ctx, demo.Name, demo.Instructor, demo.Units)
	require.NoError(t, err)
	b.instructor = practice.Actor{ID: p.ID, Workshop: w.ID, Role: p.Role}
	lathe, err := b.AddLathe(ctx, b.instructor, "Lathe 2", demo.Lathes[1])
	require.NoError(t, err)
	b.class, err = b.AddClass(ctx, b.instructor, "Everybody")
	require.NoError(t, err)
	names := make([]string, bigClass)
	for i := range names {
		names[i] = fmt.Sprintf("Learner %d", i+1)
	}
	_, err = b.AddLearners(ctx, b.instructor, b.class.ID, practice.Adding{Names: names})
	require.NoError(t, err)
	b.spec = curriculum.SetSpec{Title: "For everybody", Skills: largePools, Count: bigCount, Lathe: lathe.ID, Units: "mm"}
	return b
}

// until waits until the work is as wanted; it ends the test if the work ends
// before.
func (b bigShop) until(t *testing.T, id, what string, wanted func(curriculum.Work) bool) curriculum.Work {
	t.Helper()
	for deadline := time.Now().Add(proofTime); ; time.Sleep(5 * time.Millisecond) {
		w, err := b.Work(t.Context(), b.instructor, id)
		require.NoError(t, err)
		if wanted(w) {
			return w
		}
		require.False(t, w.Ended(), "it ended before it was %s: %+v", what, w)
		require.True(t, time.Now().Before(deadline), "it is not %s: %+v", what, w)
	}
}

func underWay(w curriculum.Work) bool { return w.State == curriculum.WorkRunning && w.Done > 0 }

// TestKilledWorkIsDoneOnce kills a copy in the middle of drawing a large class
// set. On PostgreSQL another copy, on SQLite the same one started again takes the
// work up, and its result is there once and whole.
func TestKilledWorkIsDoneOnce(t *testing.T) {
	t.Run("postgres, two copies", func(t *testing.T) {
		t.Parallel()
		b := newBigShop(t, "postgres")
		copies := []*process{startProcess(t, b.where), startProcess(t, b.where)}
		for _, c := range copies {
			defer c.kill()
		}
		w := b.askBigSet(t)
		b.until(t, w.ID, "under way", underWay)
		b.whoHas(t, copies).kill()
		b.doneOnce(t, w.ID)
	})
	t.Run("sqlite, started again", func(t *testing.T) {
		t.Parallel()
		b := newBigShop(t, "sqlite")
		first := startProcess(t, b.where)
		defer first.kill()
		w := b.askBigSet(t)
		b.until(t, w.ID, "under way", underWay)
		first.kill()
		again := startProcess(t, b.where)
		defer again.kill()
		b.doneOnce(t, w.ID)
	})
}

func (b bigShop) askBigSet(t *testing.T) curriculum.Work {
	t.Helper()
	_, _, w, err := b.AskSet(t.Context(), b.instructor, b.class.ID, b.spec)
	require.NoError(t, err)
	require.NotNil(t, w)
	return *w
}

// whoHas asks River which copy has the work that runs.
func (b bigShop) whoHas(t *testing.T, copies []*process) *process {
	t.Helper()
	pool, err := sql.Open("pgx", b.where[1])
	require.NoError(t, err)
	defer func() { require.NoError(t, pool.Close()) }()
	var name string
	require.NoError(t, pool.QueryRowContext(t.Context(), `SELECT attempted_by[array_length(attempted_by, 1)] FROM river.river_job WHERE state = 'running'`).Scan(&name))
	for _, c := range copies {
		if strings.Contains(name, fmt.Sprintf(" pid %d ", c.cmd.Process.Pid)) {
			return c
		}
	}
	require.FailNow(t, "no copy has it", name)
	return nil
}

// doneOnce waits for the end and looks at everything there is of it.
func (b bigShop) doneOnce(t *testing.T, id string) {
	t.Helper()
	w := b.until(t, id, "done", func(w curriculum.Work) bool { return w.State == curriculum.WorkDone })
	assert.Equal(t, 2, w.Tries)
	sets, err := b.Sets(t.Context(), b.instructor, b.class.ID)
	require.NoError(t, err)
	require.Len(t, sets, 1)
	assert.Equal(t, w.Result.Set, sets[0].ID)
	variants, err := b.Variants(t.Context(), b.instructor, sets[0].ID)
	require.NoError(t, err)
	require.Len(t, variants, bigClass)
	for _, v := range variants {
		assert.Len(t, v.Exercises, bigCount, v.Name)
	}
}

// TestStoppedCopyGivesItsWorkBack: a copy that is stopped in the middle leaves the
// work to the next, and ends cleanly.
func TestStoppedCopyGivesItsWorkBack(t *testing.T) {
	t.Parallel()
	b := newBigShop(t, "sqlite")
	b.spec.Count = practice.MaxCount // longer than a stop waits
	p := startProcess(t, b.where)
	defer p.kill()
	w := b.askBigSet(t)
	b.until(t, w.ID, "under way", underWay)
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait())
	left, err := b.Work(t.Context(), b.instructor, w.ID)
	require.NoError(t, err)
	if left.State != curriculum.WorkDone { // a fast machine may have finished it
		assert.Equal(t, curriculum.WorkWaiting, left.State)
		assert.Zero(t, left.Tries)
	}
}
