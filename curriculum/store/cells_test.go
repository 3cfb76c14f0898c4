package store_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// differences lists what CompareCells reports.
func differences(t *testing.T, db *store.DB, fold curriculum.FoldCells, write bool) []store.Difference {
	t.Helper()
	var out []store.Difference
	n, err := db.CompareCells(t.Context(), fold, write, func(d store.Difference) error {
		out = append(out, d)
		return nil
	})
	require.NoError(t, err)
	assert.Positive(t, n)
	return out
}

// TestCellsAreWhatTheAttemptsGive records attempts one by one, in batches, twice
// and out of the order of their times; the cells must always be those that the
// record alone gives.
func TestCellsAreWhatTheAttemptsGive(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		random := rand.New(rand.NewPCG(1, 2))
		outcomes := []curriculum.Outcome{curriculum.Right, curriculum.Right, curriculum.WrongRuleUsed, curriculum.Unknown, curriculum.AskBack, curriculum.FollowThrough}
		for minute := range 60 {
			var batch []curriculum.Attempt
			for range 1 + random.IntN(3) {
				a := s.attempt(random.IntN(2), 1+random.IntN(2), 1, outcomes[random.IntN(len(outcomes))], minute*300-random.IntN(2)*1000)
				a.Numbers = fmt.Sprint(random.IntN(5))
				if a.Verdicts[0].Outcome == curriculum.WrongRuleUsed {
					a.Verdicts[0].WrongRule = "pitch-for-lead"
					a.Verdicts[0].Charges = []string{"", "designation"}[random.IntN(2)]
				}
				batch = append(batch, a)
			}
			_, err := db.RecordAttempts(ctx, batch, mastery.Fold)
			require.NoError(t, err)
			if minute%7 == 0 {
				_, err := db.RecordAttempts(ctx, batch, mastery.Fold)
				require.NoError(t, err)
			}
			require.Empty(t, differences(t, db, mastery.Fold, false), "after minute %d", minute)
		}
		cells, err := db.ClassCells(ctx, s.class.ID)
		require.NoError(t, err)
		require.NotEmpty(t, cells)
		own, err := db.Cells(ctx, s.learners[0].ID)
		require.NoError(t, err)
		assert.Equal(t, cells[:len(own)], own)
		assert.Equal(t, s.learners[0].ID, own[0].Learner)

		// A cache that has gone wrong is found and mended.
		spoiled := func(cells curriculum.Cells, before []curriculum.Attempt, a curriculum.Attempt) {
			mastery.Fold(cells, before, a)
			for _, c := range cells {
				c.Rights = 99
			}
		}
		found := differences(t, db, spoiled, true)
		assert.Len(t, found, len(cells))
		found = differences(t, db, mastery.Fold, false)
		require.Len(t, found, len(cells), "a look alone mends nothing")
		assert.Equal(t, 99, found[0].Kept.Rights)
		assert.Len(t, differences(t, db, mastery.Fold, true), len(cells))
		assert.Empty(t, differences(t, db, mastery.Fold, false))
	})
}

func TestCellsOfConcurrentAttempts(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := fill(t, db)
		var wait sync.WaitGroup
		for w := range 6 {
			wait.Go(func() {
				for i := range 15 {
					// Both learners in one batch, in either order.
					batch := []curriculum.Attempt{
						s.attempt(w%2, 1, 1, curriculum.Right, i), s.attempt(1-w%2, 2, 1, curriculum.Unknown, i),
					}
					_, err := db.RecordAttempts(context.Background(), batch, mastery.Fold)
					assert.NoError(t, err)
				}
			})
		}
		wait.Wait()
		assert.Empty(t, differences(t, db, mastery.Fold, false))
	})
}

func TestAHintIsRemembered(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		for range 2 {
			require.NoError(t, db.RecordHint(ctx, s.variants[0].Code, 1, "a", 1, at))
		}
		kept, err := db.RecordAttempts(ctx, []curriculum.Attempt{
			s.attempt(0, 1, 2, curriculum.Right, 1), s.attempt(0, 2, 2, curriculum.Right, 2),
		}, mastery.Fold)
		require.NoError(t, err)
		assert.True(t, kept[0].Hinted)
		assert.False(t, kept[1].Hinted)
		cells, err := db.Cells(ctx, s.learners[0].ID)
		require.NoError(t, err)
		require.Len(t, cells, 1)
		assert.Equal(t, 2, cells[0].Chances)
		assert.Equal(t, 1, cells[0].Rights)
		attempts, err := db.Attempts(ctx, s.variants[0].Code)
		require.NoError(t, err)
		assert.True(t, attempts[0].Hinted)
		assert.ErrorIs(t, db.RecordHint(ctx, "NONE", 1, "a", 1, at), curriculum.ErrInvalid)
	})
}

// BenchmarkRecordAttempt keeps one attempt after another, with marks and cells,
// each durably.
func BenchmarkRecordAttempt(b *testing.B) {
	for name, address := range map[string]func(testing.TB) string{"sqlite": storetest.SQLite, "postgres": storetest.Postgres} {
		b.Run(name, func(b *testing.B) {
			db := storetest.OpenAddress(b, address(b))
			s := fill(b, db)
			const exercises = 2000 // enough to stay with one or two tries at each
			for i := range s.variants {
				v := &s.variants[i]
				v.Set = store.NewID()
				v.Code += "L"
				for len(v.Exercises) < exercises {
					v.Exercises = append(v.Exercises, v.Exercises[0])
				}
				set := s.set
				set.ID = v.Set
				require.NoError(b, db.CreateSet(b.Context(), set, s.variants[i:i+1], s.workshop.ID, s.person.ID))
			}
			n := 0
			for b.Loop() {
				a := s.attempt(n%2, 1+n/2%exercises, 1, curriculum.Right, 0)
				a.At = at.Add(time.Duration(n) * time.Second)
				if _, err := db.RecordAttempts(b.Context(), []curriculum.Attempt{a}, mastery.Fold); err != nil {
					b.Fatal(err)
				}
				n++
			}
		})
	}
}

// TestCellsOfEarlierRulesAreComputedAnew: a database from before attempts said what
// they are evidence by comes out with the cells that its attempts give today, and
// attempts from before get their basis from the exercise as issued.
func TestCellsOfEarlierRulesAreComputedAnew(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		old := func(cells curriculum.Cells, before []curriculum.Attempt, a curriculum.Attempt) {
			mastery.Fold(cells, before, a)
			for _, c := range cells {
				c.RightOn = []string{"by earlier rules"}
			}
		}
		a := s.attempt(0, 1, 1, curriculum.Right, 0)
		_, err := db.RecordAttempts(ctx, []curriculum.Attempt{a}, old)
		require.NoError(t, err)
		n, err := db.RefoldCells(ctx, mastery.Fold)
		require.NoError(t, err)
		assert.Zero(t, n, "nothing is of earlier rules")
		require.NoError(t, store.Rewind(ctx, db))
		n, err = db.RefoldCells(ctx, mastery.Fold)
		require.NoError(t, err)
		assert.Equal(t, 1, n)
		assert.Empty(t, differences(t, db, mastery.Fold, false))
		kept, err := db.Attempt(ctx, a.ID)
		require.NoError(t, err)
		assert.NotEmpty(t, kept.Basis.Keys)
		assert.False(t, kept.Basis.Closed)
	})
}
