package main

import (
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/demo"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

func TestRecompute(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "halfnut.db")
	db, err := store.Open(t.Context(), file)
	require.NoError(t, err)
	random := storetest.Random(t)
	service := practice.New(db, practice.Options{Random: random})
	require.NoError(t, demo.Fill(t.Context(), db, time.Now(), random))
	ws, err := service.Workshops(t.Context())
	require.NoError(t, err)
	p, err := service.FirstInstructor(t.Context(), ws[0].ID)
	require.NoError(t, err)
	a := practice.Actor{ID: p.ID, Workshop: ws[0].ID, Role: p.Role}
	classes, err := service.Classes(t.Context(), a)
	require.NoError(t, err)
	sets, err := service.Sets(t.Context(), a, classes[0].ID)
	require.NoError(t, err)
	set := sets[slices.IndexFunc(sets, func(s curriculum.ClassSet) bool { return s.Spec.Title == "First leads and starts" })]
	variants, err := service.Variants(t.Context(), a, set.ID)
	require.NoError(t, err)
	variants = variants[len(variants)-2:] // of these two the demo has no answers
	_, err = service.EnterPaper(t.Context(), a, set.ID, []practice.PaperAnswer{{Variant: variants[0].Code, Position: 1, Answers: map[string]string{"a": "1"}}})
	require.NoError(t, err)

	out, errs, code := halfnut(t, "", "recompute", "--data", file)
	require.Equal(t, exitOK, code, errs)
	assert.Equal(t, "12 learners, 0 differences left as they are\n", out)

	// An attempt that is kept without being folded, as by a program of before.
	v := variants[1]
	_, err = db.RecordAttempts(t.Context(), []curriculum.Attempt{{
		ID: uuid.NewString(), Variant: v.Code, Position: 1, Learner: v.Learner, Source: curriculum.SourceTyped, Answers: map[string]string{"a": "1"}, At: time.Now(),
		Verdicts: []curriculum.Verdict{{Part: "a", Skill: v.Exercises[0].Skill, Outcome: curriculum.Right}},
	}}, func(curriculum.Cells, []curriculum.Attempt, curriculum.Attempt) {})
	require.NoError(t, err)
	require.NoError(t, db.Close())

	out, _, code = halfnut(t, "", "recompute", "--data", file)
	assert.Equal(t, exitMissed, code)
	assert.Contains(t, out, v.Learner+" "+v.Exercises[0].Skill+": kept nothing, computed ")
	assert.Contains(t, out, "1 differences left")
	out, errs, code = halfnut(t, "", "recompute", "--data", file, "--write")
	require.Equal(t, exitOK, code, errs)
	assert.Contains(t, out, "1 differences mended")
	_, _, code = halfnut(t, "", "recompute", "--data", file)
	assert.Equal(t, exitOK, code)
}
