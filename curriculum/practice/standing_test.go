package practice_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

func standing(t *testing.T, all []practice.Standing, skill string) practice.Standing {
	t.Helper()
	for _, s := range all {
		if s.Skill == skill {
			return s
		}
	}
	require.Fail(t, "no such skill", skill)
	return practice.Standing{}
}

// set builds another set of leads and returns the sheet of learner i.
func (f *fixture) leads(t *testing.T, i, count int) curriculum.Variant {
	t.Helper()
	_, vs, err := f.BuildSet(t.Context(), f.instructor, f.class.ID, curriculum.SetSpec{Title: "More", Skills: []string{"lead"}, Count: count, Lathe: f.lathe.ID, Units: "mm"})
	require.NoError(t, err)
	return vs[i]
}

func (f *fixture) answer(t *testing.T, a practice.Actor, v curriculum.Variant, position int, answers map[string]string) {
	t.Helper()
	f.now = f.now.Add(time.Minute)
	_, err := f.Submit(t.Context(), a, practice.Submission{ID: uuid.NewString(), Variant: v.Code, Position: position, Answers: answers})
	require.NoError(t, err)
}

func TestMasteryFollowsTheAnswers(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		learner := f.join(t, 0, "4711")
		v := f.leads(t, 0, 4)
		all, err := f.Mastery(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.Len(t, all, len(curriculum.Skills()))
		assert.Nil(t, standing(t, all, "lead").Last)

		for i := range 2 {
			f.answer(t, learner, v, i+1, right(v.Exercises[i]))
		}
		f.now = f.now.Add(24 * time.Hour)
		f.answer(t, learner, v, 3, right(v.Exercises[2]))
		all, err = f.Mastery(ctx, f.instructor, learner.ID)
		require.NoError(t, err)
		lead := standing(t, all, "lead")
		assert.True(t, lead.MoveOn, "%+v", lead)
		assert.True(t, lead.Machine, "%+v", lead)
		assert.Equal(t, f.now, *lead.Last)
		assert.True(t, lead.Due.After(f.now))
		assert.Empty(t, lead.Missing)

		// After a hint a right answer is none for the gate.
		_, err = f.Hint(ctx, learner, v.Code, 4, "a", 1)
		require.NoError(t, err)
		f.answer(t, learner, v, 4, right(v.Exercises[3]))
		all, err = f.Mastery(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.False(t, standing(t, all, "lead").MoveOn)

		_, err = f.Mastery(ctx, f.join(t, 1, "0000"), learner.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound, "another learner's is nobody's business")
	})
}

func TestClassMapNamesTheStuck(t *testing.T) {
	t.Parallel()
	f := begin(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	ctx := t.Context()
	for i := range 2 {
		learner := f.join(t, i, "4711")
		v := f.leads(t, i, 2)
		for position := 1; position <= 2; position++ {
			f.answer(t, learner, v, position, map[string]string{"a": v.Exercises[position-1].Givens.Values["P"]})
		}
	}
	m, err := f.ClassMap(ctx, f.instructor, f.class.ID)
	require.NoError(t, err)
	require.Len(t, m.Rows, len(f.learners))
	require.Len(t, m.Skills, 1)
	assert.Equal(t, practice.MapColumn{Skill: "lead", Title: "Lead", Met: 2}, m.Skills[0])
	require.Len(t, m.Held, 1)
	assert.Equal(t, "pitch-for-lead", m.Held[0].Rule)
	assert.Equal(t, []string{f.learners[0].ID, f.learners[1].ID}, m.Held[0].Learners)
	require.Len(t, m.Rows[0].Stuck, 1)
	assert.Contains(t, m.Rows[0].Stuck[0].Reason, "groove")
	assert.Empty(t, m.Rows[2].Stuck)
	_, err = f.ClassMap(ctx, practice.Actor{ID: f.learners[0].ID, Workshop: f.instructor.Workshop, Role: practice.RoleLearner}, f.class.ID)
	require.ErrorIs(t, err, curriculum.ErrDenied)
}
