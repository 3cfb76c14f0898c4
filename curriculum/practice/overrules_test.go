package practice_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// byPitch answers an exercise with its pitch in place of its lead.
func byPitch(e curriculum.Exercise) map[string]string {
	return map[string]string{"a": e.Givens.Values["P"]}
}

func TestOverruleMarksEverybodyAnew(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		var sheets []curriculum.Variant
		var who []practice.Actor
		for i := range 3 {
			who = append(who, f.join(t, i, "4711"))
			sheets = append(sheets, f.leads(t, i, 2))
		}
		f.answer(t, who[0], sheets[0], 1, byPitch(sheets[0].Exercises[0]))
		f.answer(t, who[1], sheets[1], 1, byPitch(sheets[1].Exercises[0]))
		f.answer(t, who[2], sheets[2], 1, map[string]string{"a": "777 mm"})
		_, tries, err := f.Tries(ctx, f.instructor, sheets[0].Code)
		require.NoError(t, err)
		require.Equal(t, curriculum.WrongRuleUsed, tries[0].Verdicts[0].Outcome)

		for path, c := range map[string]struct {
			part, reason string
			to           curriculum.Outcome
		}{"/part": {"zz", "so", curriculum.Right}, "/to": {"a", "so", curriculum.WrongRuleUsed}, "/reason": {"a", " ", curriculum.Right}} {
			_, _, err = f.Overrule(ctx, f.instructor, tries[0].ID, c.part, c.to, c.reason)
			assert.ErrorContains(t, err, path)
		}
		_, _, err = f.Overrule(ctx, who[0], tries[0].ID, "a", curriculum.Right, "I say so")
		require.ErrorIs(t, err, curriculum.ErrDenied)

		o, touched, err := f.Overrule(ctx, f.instructor, tries[0].ID, "a", curriculum.Right, "The drawing called the lead a pitch.")
		require.NoError(t, err)
		assert.Equal(t, "pitch-for-lead", o.With)
		require.Len(t, touched, 2, "the other learner with the same mistake on other numbers, and nobody else")
		assert.Equal(t, []string{who[0].ID, who[1].ID}, []string{touched[0].Learner, touched[1].Learner})
		assert.Zero(t, touched[0].Before)
		assert.Positive(t, touched[0].After)
		assert.Equal(t, f.learners[1].Name, touched[1].Name)

		for i := range 2 {
			progress, err := f.Progress(ctx, who[i], sheets[i].Code)
			require.NoError(t, err)
			v := progress[1].Attempt.Verdicts[0]
			assert.Equal(t, curriculum.Right, v.Outcome)
			assert.Contains(t, v.Reason, "The drawing called", "the learner is told")
			assert.Equal(t, o.ID, v.Overruled)
			assert.True(t, progress[1].Due)
			all, err := f.Mastery(ctx, who[i], who[i].ID)
			require.NoError(t, err)
			assert.Equal(t, 1, standing(t, all, "lead").Rights, "mastery follows")
		}
		all, err := f.Mastery(ctx, who[2], who[2].ID)
		require.NoError(t, err)
		assert.Zero(t, standing(t, all, "lead").Rights)

		// What comes later is judged alike; the cache agrees with the record.
		f.answer(t, who[2], sheets[2], 2, byPitch(sheets[2].Exercises[1]))
		_, tries, err = f.Tries(ctx, f.instructor, sheets[2].Code)
		require.NoError(t, err)
		assert.Equal(t, curriculum.Right, tries[1].Verdicts[0].Outcome)

		// An answer without an explanation: only the same answer to the same task.
		_, touched, err = f.Overrule(ctx, f.instructor, tries[0].ID, "a", curriculum.Rounding, "A slip of the pen on the sheet.")
		require.NoError(t, err)
		assert.Len(t, touched, 1)

		// An overrule can be overruled; nothing of the record goes away.
		_, tries, err = f.Tries(ctx, f.instructor, sheets[0].Code)
		require.NoError(t, err)
		_, touched, err = f.Overrule(ctx, f.instructor, tries[0].ID, "a", curriculum.Unknown, "The drawing was right after all.")
		require.NoError(t, err)
		assert.NotEmpty(t, touched)
		_, tries, err = f.Tries(ctx, f.instructor, sheets[0].Code)
		require.NoError(t, err)
		assert.Equal(t, curriculum.Unknown, tries[0].Verdicts[0].Outcome)
		assert.Zero(t, tries[0].Marks)
		kept, err := f.Overrules(ctx, f.instructor)
		require.NoError(t, err)
		assert.Len(t, kept, 3)

		_, err = db.CompareCells(ctx, mastery.Fold, false, func(d store.Difference) error {
			assert.Fail(t, "cells differ", "%+v", d)
			return nil
		})
		require.NoError(t, err)
		report, err := db.Check(ctx, mastery.Fold)
		require.NoError(t, err)
		assert.Empty(t, report.Faults)
		events, err := db.Events(ctx, curriculum.EventQuery{Workshop: f.instructor.Workshop, Most: 50})
		require.NoError(t, err)
		whats := ""
		for _, e := range events {
			whats += e.What + "\n"
		}
		assert.Contains(t, whats, "verdict overruled, 2 answers marked anew")
	})
}
