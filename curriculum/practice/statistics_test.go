package practice_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

func TestStatistics(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		learner := f.join(t, 0, "4711")
		v := f.leads(t, 0, 2)
		f.answer(t, learner, v, 1, byPitch(v.Exercises[0]))
		f.answer(t, learner, v, 2, right(v.Exercises[1]))
		for _, class := range []string{"", f.class.ID} {
			items, err := f.Statistics(ctx, f.instructor, class)
			require.NoError(t, err)
			require.NotEmpty(t, items)
			assert.Equal(t, "lead", items[0].Skill)
			assert.Equal(t, 2, items[0].Answers)
			assert.InDelta(t, 0.5, items[0].Difficulty, 1e-9)
			assert.Equal(t, "pitch-for-lead", items[0].Mistakes[0].Rule)
			require.NotNil(t, items[0].Minutes)
			assert.InDelta(t, 1, *items[0].Minutes, 1e-9)
			assert.NotEmpty(t, items[1].Model)
		}
		_, err := f.Statistics(ctx, f.instructor, "none")
		require.Error(t, err)
		_, err = f.Statistics(ctx, learner, "")
		require.Error(t, err)
	})
}
