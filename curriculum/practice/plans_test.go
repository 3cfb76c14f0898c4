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
	"halfnut/threadmath"
)

func (f *fixture) courseSpec() curriculum.CourseSpec {
	return curriculum.CourseSpec{
		Title: "Three-start nut", Thread: threadmath.Thread{Designation: "M30xPh6P2", Length: "45 mm"}, Lathe: f.lathe.ID, Units: "mm",
		First: f.now.Add(time.Hour), EveryDays: 7, Minutes: 150, Date: f.now.AddDate(0, 0, 70), PracticeDays: 3, PracticeSize: 8,
	}
}

func TestCoursePlanAndForecast(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		_, err := f.Course(ctx, f.instructor, f.class.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		c, err := f.SetCourse(ctx, f.instructor, f.class.ID, 0, f.courseSpec())
		require.NoError(t, err)
		assert.Equal(t, 1, c.Version)
		_, err = f.SetCourse(ctx, f.instructor, f.class.ID, 0, f.courseSpec())
		require.ErrorIs(t, err, curriculum.ErrConflict, "somebody else set one meanwhile")
		spec := f.courseSpec()
		spec.Minutes = 120
		c, err = f.SetCourse(ctx, f.instructor, f.class.ID, 1, spec)
		require.NoError(t, err)
		assert.Equal(t, 2, c.Version)
		assert.Equal(t, 120, c.Spec.Minutes)

		// Two learners hold a mistake: the next lesson shows it on this lathe's numbers.
		for i := range 2 {
			learner := f.join(t, i, "4711")
			v := f.leads(t, i, 2)
			for position := 1; position <= 2; position++ {
				f.answer(t, learner, v, position, map[string]string{"a": v.Exercises[position-1].Givens.Values["P"]})
			}
		}
		p, err := f.CoursePlan(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Equal(t, "Lathe 2", p.LatheName)
		assert.Contains(t, p.Wanted, "axial-offset")
		assert.Len(t, p.Lessons, 10)
		next := p.Lessons[0]
		assert.Len(t, next.Questions, len(next.WarmUp))
		require.NotEmpty(t, next.Mistakes)
		b := next.Mistakes[0]
		assert.Equal(t, "pitch-for-lead", b.Rule)
		assert.Equal(t, 2, b.Learners)
		assert.NotEmpty(t, b.Task)
		require.Len(t, b.Wrong, 2)
		assert.NotEqual(t, b.Wrong[0], b.Right[len(b.Right)-1])
		assert.Contains(t, b.Wrong[1], "groove")
		assert.Empty(t, p.Lessons[1].Questions)
		again, err := f.CoursePlan(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Equal(t, p, again, "the same lesson keeps its questions")

		fc, err := f.ClassForecast(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		require.Len(t, fc.Rows, 12)
		sum := 0.0
		for _, r := range fc.Rows {
			assert.GreaterOrEqual(t, r.Chance, 0.0)
			assert.LessOrEqual(t, r.Chance, 1.0)
			assert.Positive(t, r.Goals)
			sum += r.Chance
		}
		assert.InDelta(t, sum, fc.Expected, 1e-9)
	})
}

func TestCourseRefusals(t *testing.T) {
	t.Parallel()
	f := begin(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	for path, spoil := range map[string]func(s *curriculum.CourseSpec){
		"/title":         func(s *curriculum.CourseSpec) { s.Title = "" },
		"/lathe":         func(s *curriculum.CourseSpec) { s.Lathe = "none" },
		"/units":         func(s *curriculum.CourseSpec) { s.Units = "cm" },
		"/every_days":    func(s *curriculum.CourseSpec) { s.EveryDays = 0 },
		"/minutes":       func(s *curriculum.CourseSpec) { s.Minutes = 5 },
		"/practice_days": func(s *curriculum.CourseSpec) { s.PracticeDays = 99 },
		"/practice_size": func(s *curriculum.CourseSpec) { s.PracticeSize = 0 },
		"/first":         func(s *curriculum.CourseSpec) { s.First = time.Time{} },
		"/date":          func(s *curriculum.CourseSpec) { s.Date = s.First },
		"designation":    func(s *curriculum.CourseSpec) { s.Thread.Designation = "M banana" },
	} {
		spec := f.courseSpec()
		spoil(&spec)
		_, err := f.SetCourse(t.Context(), f.instructor, f.class.ID, 0, spec)
		assert.ErrorContains(t, err, path)
	}
}

func TestPracticePlan(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		learner := f.join(t, 0, "4711")

		// Without a course the class's sets say what to practise.
		free, err := f.Plan(ctx, learner, learner.ID, true)
		require.NoError(t, err)
		assert.Equal(t, []string{"designation", "lead", "starts-from-lead", "axial-offset"}, free.Wanted)
		assert.Nil(t, free.Gate)
		assert.Nil(t, free.Chance)

		_, err = f.SetCourse(ctx, f.instructor, f.class.ID, 0, f.courseSpec())
		require.NoError(t, err)
		p, err := f.Plan(ctx, f.instructor, learner.ID, true)
		require.NoError(t, err)
		require.NotNil(t, p.Gate)
		require.NotNil(t, p.Chance)
		require.NotEmpty(t, p.Sessions)
		assert.Equal(t, f.now, p.Sessions[0].Date)
		assert.Equal(t, 72*time.Hour, p.Sessions[1].Date.Sub(p.Sessions[0].Date))
		again, err := f.Plan(ctx, learner, learner.ID, true)
		require.NoError(t, err)
		assert.Equal(t, p, again)
		_, err = f.Plan(ctx, f.join(t, 1, "0000"), learner.ID, true)
		require.ErrorIs(t, err, curriculum.ErrNotFound)

		// The next sitting as a sheet: what the plan says, without the key.
		set, v, err := f.PracticeSheet(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.Equal(t, learner.ID, set.Spec.For)
		assert.Zero(t, set.Seed)
		require.Len(t, v.Exercises, len(p.Sessions[0].Items))
		for i, e := range v.Exercises {
			assert.Equal(t, p.Sessions[0].Items[i].Skill, e.Skill)
			assert.Nil(t, e.Parts[0].Answer)
		}
		_, same, err := f.PracticeSheet(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.Equal(t, v.Code, same.Code, "a sheet without an answer is not drawn twice")
		sets, err := f.Sets(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Len(t, sets, 1, "class sets only")
		whole, err := f.Variant(ctx, f.instructor, v.Code)
		require.NoError(t, err)
		f.now = f.now.Add(time.Minute)
		_, err = f.Submit(ctx, learner, practice.Submission{ID: uuid.NewString(), Variant: v.Code, Position: 1, Answers: right(whole.Exercises[0])})
		require.NoError(t, err)
		f.now = f.now.Add(48 * time.Hour)
		_, another, err := f.PracticeSheet(ctx, f.instructor, learner.ID)
		require.NoError(t, err)
		assert.NotEqual(t, v.Code, another.Code)
		assert.NotNil(t, another.Exercises[0].Parts[0].Answer, "an instructor prints it with its key")
	})
}
