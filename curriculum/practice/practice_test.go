package practice_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

var _ practice.Store = (*store.DB)(nil)

type fixture struct {
	*practice.Service
	now        time.Time
	instructor practice.Actor
	class      curriculum.Class
	learners   []curriculum.Learner
	lathe      curriculum.Lathe
	set        curriculum.ClassSet
	variants   []curriculum.Variant
}

func begin(t *testing.T, db *store.DB) *fixture {
	t.Helper()
	ctx := t.Context()
	f := &fixture{now: time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)}
	f.Service = practice.New(db, practice.Options{Now: func() time.Time { return f.now }, Random: storetest.Random(t)})
	demo, err := workshop.Demo()
	require.NoError(t, err)
	w, p, err := f.Begin(ctx, demo.Name, demo.Instructor, demo.Units)
	require.NoError(t, err)
	f.instructor = practice.Actor{ID: p.ID, Workshop: w.ID, Role: p.Role}
	for _, l := range demo.Lathes {
		kept, err := f.AddLathe(ctx, f.instructor, l.Name, l)
		require.NoError(t, err)
		if l.Name == "Lathe 2" {
			f.lathe = kept
		}
	}
	f.class, err = f.AddClass(ctx, f.instructor, demo.Class)
	require.NoError(t, err)
	f.learners, err = f.AddLearners(ctx, f.instructor, f.class.ID, practice.Adding{Names: demo.Learners})
	require.NoError(t, err)
	f.set, f.variants, err = f.BuildSet(ctx, f.instructor, f.class.ID, f.spec())
	require.NoError(t, err)
	return f
}

func (f *fixture) spec() curriculum.SetSpec {
	return curriculum.SetSpec{Title: "Leads", Skills: []string{"lead", "axial-offset"}, Count: 3, Lathe: f.lathe.ID, Units: "mm"}
}

// join signs a learner in with a PIN.
func (f *fixture) join(t *testing.T, i int, pin string) practice.Actor {
	t.Helper()
	token, _, err := f.Join(t.Context(), f.class.JoiningCode, f.learners[i].ID, pin)
	require.NoError(t, err)
	a, err := f.Actor(t.Context(), token)
	require.NoError(t, err)
	return a
}

// right answers every part of an exercise from its key.
func right(e curriculum.Exercise) map[string]string {
	out := map[string]string{}
	for _, p := range e.Parts {
		switch {
		case p.Answer.Length != nil:
			out[p.ID] = strconv.FormatFloat(p.Answer.Length.MM(), 'f', p.Decimals, 64) + " mm"
			if p.Unit == curriculum.UnitInch { // the same size in millimetres would be asked back
				out[p.ID] = strconv.FormatFloat(p.Answer.Length.Value(threadmath.Inch), 'f', p.Decimals, 64) + " in"
			}
		default:
			out[p.ID] = p.Answer.String()
		}
	}
	return out
}

func TestTheWholeTrip(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		require.Len(t, f.variants, 12)

		learner := f.join(t, 0, "4711")
		sheets, err := f.OwnSheets(ctx, learner)
		require.NoError(t, err)
		require.Len(t, sheets, 1)
		code := sheets[0].Variant.Code
		v, err := f.Variant(ctx, learner, strings.ToLower(code[:4])+"-"+code[4:])
		require.NoError(t, err, "a code may be typed in any case and with a dash")
		for _, e := range v.Exercises {
			assert.Zero(t, e.Seed)
			for _, p := range e.Parts {
				assert.Nil(t, p.Answer)
				assert.Empty(t, p.Steps)
			}
		}

		// A known mistake gets its sentence and no solution.
		key := f.variants[0].Exercises[0]
		sub := practice.Submission{ID: uuid.NewString(), Variant: code, Position: 1, Answers: map[string]string{"a": key.Givens.Values["P"]}}
		res, err := f.Submit(ctx, learner, sub)
		require.NoError(t, err)
		verdict := res.Attempt.Verdicts[0]
		assert.Equal(t, curriculum.WrongRuleUsed, verdict.Outcome)
		assert.Contains(t, verdict.Reason, "one groove")
		assert.False(t, res.Due)
		assert.Empty(t, res.Solution)
		assert.Empty(t, verdict.Evidence.Expected, "the evidence holds the answer")
		assert.Equal(t, 2, res.TriesLeft)

		again, err := f.Submit(ctx, learner, sub)
		require.NoError(t, err)
		assert.Equal(t, res, again, "sent twice, counted once")

		res, err = f.Submit(ctx, learner, practice.Submission{ID: uuid.NewString(), Variant: code, Position: 1, Answers: right(key)})
		require.NoError(t, err)
		assert.Equal(t, curriculum.Right, res.Attempt.Verdicts[0].Outcome)
		assert.True(t, res.Due)
		require.NotEmpty(t, res.Solution)
		assert.Contains(t, strings.Join(res.Solution[0].Lines, "\n"), "n × P")

		_, err = f.Submit(ctx, learner, practice.Submission{ID: uuid.NewString(), Variant: code, Position: 1, Answers: right(key)})
		require.ErrorIs(t, err, curriculum.ErrConflict, "after the solution no more tries are taken")

		// Another learner sees nothing of it.
		other := f.join(t, 1, "0000")
		_, err = f.Variant(ctx, other, code)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = f.Submit(ctx, other, sub)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = f.ClassMarks(ctx, other, f.set.ID)
		require.ErrorIs(t, err, curriculum.ErrDenied)

		// From paper, typed in twice.
		rows, err := practice.ReadPaperCSV(strings.NewReader("sheet,exercise,part,answer\n" + f.variants[1].Code + ",1,a," + right(f.variants[1].Exercises[0])["a"] + "\n"))
		require.NoError(t, err)
		for range 2 {
			_, err = f.EnterPaper(ctx, f.instructor, f.set.ID, rows)
			require.NoError(t, err)
		}
		table, err := f.ClassMarks(ctx, f.instructor, f.set.ID)
		require.NoError(t, err)
		require.Len(t, table.Rows, 12)
		var paged []practice.MarkRow
		for after, pages := 0, 0; pages == 0 || after > 0; pages++ {
			page, err := f.ClassMarksPage(ctx, f.instructor, f.set.ID, after, 5)
			require.NoError(t, err)
			assert.Equal(t, table.OutOf, page.OutOf)
			assert.LessOrEqual(t, len(page.Rows), 5)
			paged, after = append(paged, page.Rows...), page.Next
		}
		assert.Equal(t, table.Rows, paged, "pages put together are the whole")
		_, err = f.ClassMarksPage(ctx, f.instructor, f.set.ID, 0, 0)
		require.ErrorIs(t, err, curriculum.ErrInvalid)
		assert.Equal(t, 2, table.Rows[0].Marks[0].Tries)
		assert.Equal(t, 0, table.Rows[0].Marks[0].First)
		assert.Equal(t, table.OutOf[0], table.Rows[0].Marks[0].Best)
		assert.Equal(t, 1, table.Rows[1].Marks[0].Tries)
		assert.Equal(t, table.OutOf[0], table.Rows[1].Total)
		assert.Nil(t, table.Rows[2].Marks[0])
	})
}

func TestThreeTriesThenTheSolution(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		learner := f.join(t, 2, "123456")
		code := f.variants[2].Code
		ask := map[string]string{"a": "1,250"}
		res, err := f.Submit(t.Context(), learner, practice.Submission{ID: uuid.NewString(), Variant: code, Position: 2, Answers: ask})
		require.NoError(t, err)
		assert.Equal(t, curriculum.AskBack, res.Attempt.Verdicts[0].Outcome)
		assert.Equal(t, 3, res.TriesLeft, "what is asked back costs no try")
		for left := 2; left >= 0; left-- {
			res, err = f.Submit(t.Context(), learner, practice.Submission{ID: uuid.NewString(), Variant: code, Position: 2, Answers: map[string]string{"a": fmt.Sprint(97+left, " mm")}})
			require.NoError(t, err)
			assert.Equal(t, left, res.TriesLeft)
			assert.Equal(t, left == 0, len(res.Solution) > 0)
		}
		progress, err := f.Progress(t.Context(), learner, code)
		require.NoError(t, err)
		assert.True(t, progress[2].Due)
		hint, err := f.Hint(t.Context(), learner, code, 1, "a", 1)
		require.NoError(t, err)
		assert.NotEmpty(t, hint)
	})
}

func TestDoors(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		link, err := f.NewLink(ctx, curriculum.Person{ID: f.instructor.ID, Workshop: f.instructor.Workshop})
		require.NoError(t, err)
		token, _, err := f.UseLink(ctx, link)
		require.NoError(t, err)
		a, err := f.Actor(ctx, token)
		require.NoError(t, err)
		assert.Equal(t, f.instructor, a)
		_, _, err = f.UseLink(ctx, link)
		require.ErrorIs(t, err, curriculum.ErrNoSession)
		require.NoError(t, f.SignOut(ctx, token))
		_, err = f.Actor(ctx, token)
		require.ErrorIs(t, err, curriculum.ErrNoSession)

		_ = f.join(t, 3, "2468")
		for range 5 {
			_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[3].ID, "1357")
			require.ErrorIs(t, err, curriculum.ErrDenied)
		}
		_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[3].ID, "2468")
		require.ErrorIs(t, err, curriculum.ErrTooMany, "five wrong PINs shut the door for a while")
		f.now = f.now.Add(time.Minute)
		_ = f.join(t, 3, "2468")
		for _, pause := range []time.Duration{time.Minute, 2 * time.Minute, 4 * time.Minute} {
			for range 5 {
				_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[3].ID, "1357")
				require.ErrorIs(t, err, curriculum.ErrDenied)
			}
			var wait *curriculum.WaitError
			_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[3].ID, "2468")
			require.ErrorAs(t, err, &wait)
			assert.Equal(t, pause, wait.Wait, "each time twice as long")
			f.now = f.now.Add(pause)
		}
		_ = f.join(t, 3, "2468")

		require.NoError(t, f.ClearPIN(ctx, f.instructor, f.learners[3].ID))
		_ = f.join(t, 3, "9999")

		for _, pin := range []string{"", "12", "1234567890123", "12a4", "１２３４"} {
			var field *curriculum.FieldError
			_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[4].ID, pin)
			require.ErrorAs(t, err, &field, "PIN %q", pin)
			assert.Equal(t, "/pin", field.Path)
		}
		_, _, err = f.Join(ctx, "NOSUCH", f.learners[4].ID, "1234")
		require.ErrorIs(t, err, curriculum.ErrInvalid)
	})
}

func TestWorkshopsAreApart(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		w, p, err := f.Begin(ctx, "Another", "Somebody", "in")
		require.NoError(t, err)
		stranger := practice.Actor{ID: p.ID, Workshop: w.ID, Role: p.Role}
		_, err = f.Class(ctx, stranger, f.class.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = f.Variants(ctx, stranger, f.set.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = f.Lathe(ctx, stranger, f.lathe.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		_, err = f.Variant(ctx, stranger, f.variants[0].Code)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		require.ErrorIs(t, f.ClearPIN(ctx, stranger, f.learners[0].ID), curriculum.ErrNotFound)
	})
}

func TestRefusalsNameTheField(t *testing.T) {
	t.Parallel()
	f := begin(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	ctx := t.Context()
	for path, change := range map[string]func(*curriculum.SetSpec){
		"/title":    func(s *curriculum.SetSpec) { s.Title = "  " },
		"/units":    func(s *curriculum.SetSpec) { s.Units = "cm" },
		"/count":    func(s *curriculum.SetSpec) { s.Count = 0 },
		"/lathe":    func(s *curriculum.SetSpec) { s.Lathe = "nowhere" },
		"/skills":   func(s *curriculum.SetSpec) { s.Skills = nil },
		"/skills/1": func(s *curriculum.SetSpec) { s.Skills = []string{"lead", "lead"} },
		"/skills/0": func(s *curriculum.SetSpec) { s.Skills = []string{"flying"} },
	} {
		spec := f.spec()
		change(&spec)
		_, _, err := f.BuildSet(ctx, f.instructor, f.class.ID, spec)
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field, path)
		assert.Equal(t, path, field.Path)
		assert.NotEmpty(t, field.Error())
	}
	for name, want := range map[string]string{"": "/names/0", strings.Repeat("x", 81): "/names/0", "a\x00b": "/names/0"} {
		_, err := f.AddLearners(ctx, f.instructor, f.class.ID, practice.Adding{Names: []string{name}})
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field)
		assert.Equal(t, want, field.Path)
	}
}

func TestPaperCSVNamesEveryBadLine(t *testing.T) {
	t.Parallel()
	_, err := practice.ReadPaperCSV(strings.NewReader("\ufeffsheet,exercise,part,answer\nK7,x,a,1\nK7,1,a,1\nK7,1,a,2\nK7,1\n"))
	require.Error(t, err)
	for _, want := range []string{"line 2", "line 4", "line 5"} {
		assert.Contains(t, err.Error(), want)
	}
	for _, head := range []string{"", "a,b\n", "\x00"} {
		_, err := practice.ReadPaperCSV(strings.NewReader(head))
		require.ErrorIs(t, err, curriculum.ErrInvalid, "%q", head)
	}
	f := begin(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	_, err = f.EnterPaper(t.Context(), f.instructor, f.set.ID, []practice.PaperAnswer{
		{Variant: "NONE", Position: 1, Answers: map[string]string{"a": "1"}},
		{Variant: f.variants[0].Code, Position: 9, Answers: map[string]string{"a": "1"}},
		{Variant: f.variants[0].Code, Position: 1, Answers: map[string]string{"z": "1"}},
		{Variant: f.variants[0].Code, Position: 1, Answers: right(f.variants[0].Exercises[0])},
	})
	for _, want := range []string{"/answers/0/variant", "/answers/1/position", "/answers/2/answers"} {
		assert.ErrorContains(t, err, want)
	}
	table, err := f.ClassMarks(t.Context(), f.instructor, f.set.ID)
	require.NoError(t, err)
	assert.Nil(t, table.Rows[0].Marks[0], "nothing of a refused upload is kept")
}

func TestAnIssuedExerciseMarksTheSameForEver(t *testing.T) {
	t.Parallel()
	f := begin(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	kept, err := f.Variants(t.Context(), f.instructor, f.set.ID)
	require.NoError(t, err)
	for i := range kept {
		for p := range kept[i].Exercises {
			assert.Equal(t, f.variants[i].Exercises[p].Parts[0].Steps, kept[i].Exercises[p].Parts[0].Steps)
			assert.Equal(t, right(f.variants[i].Exercises[p]), right(kept[i].Exercises[p]))
		}
	}
}

// Empty parts are asked about before anything counts; sent all the same, they are
// wrong, and wrong from paper.
func TestEmptyPartsAreAskedAboutFirst(t *testing.T) {
	t.Parallel()
	f := begin(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	ctx := t.Context()
	set, vs, err := f.BuildSet(ctx, f.instructor, f.class.ID, curriculum.SetSpec{Title: "Stations", Skills: []string{"station-index"}, Count: 4, Lathe: f.lathe.ID, Units: "mm"})
	require.NoError(t, err)
	position := 1
	for len(vs[0].Exercises[position-1].Parts) < 2 {
		position++
	}
	e := vs[0].Exercises[position-1]
	first := map[string]string{"a": right(e)["a"]}
	learner := f.join(t, 0, "4711")
	sub := practice.Submission{ID: uuid.NewString(), Variant: vs[0].Code, Position: position, Answers: first}
	_, err = f.Submit(ctx, learner, sub)
	var incomplete *curriculum.IncompleteError
	require.ErrorAs(t, err, &incomplete)
	assert.Equal(t, []string{"b"}, incomplete.Parts)
	assert.Contains(t, err.Error(), "part b is empty; nothing was counted")
	progress, err := f.Progress(ctx, learner, vs[0].Code)
	require.NoError(t, err)
	assert.Empty(t, progress, "neither counted nor cost")
	assert.Zero(t, standingOf(t, f, learner, "station-index").Chances)

	sub.Partial = true
	res, err := f.Submit(ctx, learner, sub)
	require.NoError(t, err)
	assert.Equal(t, 2, res.TriesLeft)
	st := standingOf(t, f, learner, "station-index")
	assert.Equal(t, []int{1, 0}, []int{st.Chances, st.Rights})

	e = vs[1].Exercises[position-1]
	_, err = f.EnterPaper(ctx, f.instructor, set.ID, []practice.PaperAnswer{{Variant: vs[1].Code, Position: position, Answers: map[string]string{"a": right(e)["a"]}}})
	require.NoError(t, err)
	st = standingOf(t, f, practice.Actor{ID: vs[1].Learner, Workshop: f.instructor.Workshop, Role: practice.RoleLearner}, "station-index")
	assert.Equal(t, []int{1, 0}, []int{st.Chances, st.Rights})
}

func standingOf(t *testing.T, f *fixture, a practice.Actor, skill string) practice.Standing {
	t.Helper()
	all, err := f.Mastery(t.Context(), a, a.ID)
	require.NoError(t, err)
	i := slices.IndexFunc(all, func(s practice.Standing) bool { return s.Skill == skill })
	require.GreaterOrEqual(t, i, 0)
	return all[i]
}
