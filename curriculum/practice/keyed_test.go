package practice_test

import (
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestWitnessedOnceUnderAKey: an entry of the sign-off reads what the same
// request wrote before it, the signer's name and the line, and sent again it
// makes no second line.
func TestWitnessedOnceUnderAKey(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		steward := f.steward(t, "Door")
		f.master(t, db, 0)
		p := f.place(0, signoff.Turning)
		require.True(t, f.sit(t, f.instructor, p, signoff.SittingTheory, 0).Result.Passed)
		o, _ := signoff.OperationOf(p.Operation)
		items := map[string]string{}
		for _, it := range o.Checklist {
			items[it.ID] = signoff.Done
		}
		witness := func() (curriculum.KeptAnswer, bool) {
			a, repeated, err := f.Once(ctx, steward, "one", "hash", func(ctx context.Context) (curriculum.KeptAnswer, error) {
				state, err := f.Witness(ctx, steward, practice.Witnessing{Place: p, Job: "a pin in brass", Items: items})
				body, _ := json.Marshal(state)
				return curriculum.KeptAnswer{Status: 201, Body: string(body)}, err
			})
			require.NoError(t, err)
			return a, repeated
		}
		first, repeated := witness()
		assert.False(t, repeated)
		assert.Contains(t, first.Body, "1 of 2 days", "the answer counts the line just made")
		lines, err := db.LinesOf(ctx, f.instructor.Workshop, p.Learner)
		require.NoError(t, err)
		again, repeated := witness()
		assert.True(t, repeated)
		assert.Equal(t, first, again)
		after, err := db.LinesOf(ctx, f.instructor.Workshop, p.Learner)
		require.NoError(t, err)
		assert.Len(t, after, len(lines))
		_, _, err = f.Once(ctx, steward, "two words", "hash", nil)
		require.ErrorIs(t, err, curriculum.ErrInvalid)
	})
}
