package store_test

import (
	"fmt"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestLearnersChangePlaces: a learner gets another name or seat under the version
// that was seen; whoever has the seat takes the other, and what was issued keeps
// its own.
func TestLearnersChangePlaces(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		zoe, emile := s.learners[0], s.learners[1]
		update := func(l curriculum.Learner) error { return db.UpdateLearner(ctx, s.class, l, s.person.ID, at) }
		list := func() (out []string) {
			learners, err := db.Learners(ctx, s.class.ID)
			require.NoError(t, err)
			for _, l := range learners {
				out = append(out, fmt.Sprintf("%d %s v%d", l.Seat, l.Name, l.Version))
			}
			return out
		}
		zoe.Name, zoe.Seat = "Zoë K.", 2
		require.NoError(t, update(zoe))
		assert.Equal(t, []string{"1 Émile v2", "2 Zoë K. v2"}, list(), "both have changed")
		require.ErrorIs(t, update(zoe), curriculum.ErrChanged, "seen before")
		emile.Seat = 7
		require.ErrorIs(t, update(emile), curriculum.ErrChanged, "moved by the other change")
		emile.Version = 2
		require.NoError(t, update(emile))
		assert.Equal(t, []string{"2 Zoë K. v2", "7 Émile v3"}, list())
		emile.Version, emile.Name = 3, "Zoë K."
		err := update(emile)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		require.NotErrorIs(t, err, curriculum.ErrChanged)
		require.ErrorIs(t, update(curriculum.Learner{ID: "none", Name: "X", Seat: 9, Version: 1}), curriculum.ErrNotFound)
		require.ErrorIs(t, db.UpdateLearner(ctx, fill(t, db).class, zoe, s.person.ID, at), curriculum.ErrNotFound, "of another class")
		assert.Equal(t, []string{"2 Zoë K. v2", "7 Émile v3"}, list())
		class, err := db.Class(ctx, s.class.ID)
		require.NoError(t, err)
		assert.Equal(t, 2, class.Version, "the class is what it was")
		vs, err := db.Variants(ctx, s.set.ID)
		require.NoError(t, err)
		assert.Equal(t, []any{1, "Zoë K.", 2, "Émile"}, []any{vs[0].Seat, vs[0].Name, vs[1].Seat, vs[1].Name})
		added, err := db.AddLearners(ctx, s.class, []curriculum.Learner{{ID: store.NewID(), Name: "Ada"}}, s.person.ID, at)
		require.NoError(t, err)
		assert.Equal(t, 8, added[0].Seat, "behind the last seat")

		// Two at once: one counts.
		errs := make([]error, 8)
		var wait sync.WaitGroup
		for i := range errs {
			wait.Go(func() {
				errs[i] = db.UpdateLearner(ctx, s.class, curriculum.Learner{ID: zoe.ID, Name: fmt.Sprintf("Zoë %d", i), Seat: 7 - i%2*5, Version: 2}, s.person.ID, at)
			})
		}
		wait.Wait()
		kept := 0
		for _, err := range errs {
			if err == nil {
				kept++
				continue
			}
			require.ErrorIs(t, err, curriculum.ErrChanged)
		}
		assert.Equal(t, 1, kept)
	})
}

// TestAnOldNameIsNotLeftBehind: what was said of a class list and quotes the name
// goes when it changes, since erasing finds by the name of today.
func TestAnOldNameIsNotLeftBehind(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		said := func(kind, problem string) string {
			w := curriculum.Work{ID: store.NewID(), Workshop: s.workshop.ID, Kind: kind, Title: "x", By: s.person.ID, Role: s.person.Role, Args: "{}", Created: at}
			require.NoError(t, db.StartWork(ctx, w))
			_, err := db.ClaimWork(ctx, w.ID, "run", at)
			require.NoError(t, err)
			require.NoError(t, db.FinishWork(ctx, curriculum.WorkEnd{ID: w.ID, Run: "run", Problem: problem, At: at}))
			return w.ID
		}
		quotes, other, export := said(curriculum.WorkRoster, `line 3: the class already has "Zoë"`), said(curriculum.WorkRoster, "line 1: empty"), said(curriculum.WorkExport, "Zoë")
		zoe := s.learners[0]
		zoe.Name = "Zoë K."
		require.NoError(t, db.UpdateLearner(ctx, s.class, zoe, s.person.ID, at.Add(time.Second)))
		_, err := db.Work(ctx, quotes)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		for _, id := range []string{other, export} {
			_, err = db.Work(ctx, id)
			require.NoError(t, err)
		}
	})
}

// TestTwoChangeTheWorkshop: the second is told.
func TestTwoChangeTheWorkshop(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		w, err := db.Workshop(ctx, s.workshop.ID)
		require.NoError(t, err)
		w.Name, w.Units = "Shed Ten", "in"
		require.NoError(t, db.UpdateWorkshop(ctx, w, s.person.ID, at))
		require.ErrorIs(t, db.UpdateWorkshop(ctx, w, s.person.ID, at), curriculum.ErrChanged)
		now, err := db.Workshop(ctx, s.workshop.ID)
		require.NoError(t, err)
		w.Version++
		assert.Equal(t, w, now)
	})
}
