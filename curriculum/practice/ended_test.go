package practice_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// secondInstructor adds an instructor and signs them in with a passphrase.
func (f *fixture) secondInstructor(t *testing.T) (practice.Actor, string) {
	t.Helper()
	ctx := t.Context()
	_, link, err := f.AddPerson(ctx, f.instructor, "Second Instructor", curriculum.RoleInstructor)
	require.NoError(t, err)
	session, _, err := f.UseLink(ctx, link)
	require.NoError(t, err)
	a, err := f.Actor(ctx, session)
	require.NoError(t, err)
	require.NoError(t, f.SetPassphrase(ctx, a, session, passphrase))
	return a, session
}

// TestWhoHasLeft: nothing lets somebody in who has left, their work stays theirs, and
// whoever is let in again begins with new doors.
func TestWhoHasLeft(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		second, session := f.secondInstructor(t)
		_, unused, err := f.LinkFor(ctx, f.instructor, second.ID)
		require.NoError(t, err)
		token, secret, err := f.NewToken(ctx, second, "Marks", "mark", 3)
		require.NoError(t, err)
		_, err = f.AddClass(ctx, second, "Theirs")
		require.NoError(t, err)
		f.master(t, db, 0)
		opened, err := f.OpenSitting(ctx, second, practice.OpeningSitting{Place: f.place(0, signoff.Turning), Kind: signoff.SittingTheory})
		require.NoError(t, err)

		_, err = f.EndPerson(ctx, f.instructor, f.instructor.ID, "")
		require.ErrorIs(t, err, curriculum.ErrConflict)
		assert.ErrorContains(t, err, "nobody ends themselves")
		_, err = f.EndPerson(ctx, f.instructor, second.ID, strings.Repeat("x", 1000))
		require.ErrorIs(t, err, curriculum.ErrInvalid)
		_, err = f.EndPerson(ctx, f.steward(t, "Door"), second.ID, "")
		require.ErrorIs(t, err, curriculum.ErrDenied)
		_, stranger, err := f.Begin(ctx, "Another workshop", "Somebody", "in")
		require.NoError(t, err)
		_, err = f.EndPerson(ctx, practice.Actor{ID: stranger.ID, Workshop: stranger.Workshop, Role: stranger.Role}, second.ID, "")
		require.ErrorIs(t, err, curriculum.ErrNotFound)

		p, err := f.EndPerson(ctx, f.instructor, second.ID, "  retired,  well ")
		require.NoError(t, err)
		want := curriculum.Ending{At: f.now, By: f.instructor.ID, Reason: "retired, well"}
		require.NotNil(t, p.Ended)
		assert.Equal(t, want, *p.Ended)
		f.now = f.now.Add(time.Hour)
		p, err = f.EndPerson(ctx, f.instructor, second.ID, "retired, well")
		require.NoError(t, err)
		assert.Equal(t, want, *p.Ended, "the first end counts")
		_, err = f.EndPerson(ctx, f.instructor, second.ID, "again")
		require.ErrorIs(t, err, curriculum.ErrConflict)
		assert.ErrorContains(t, err, "this person has left already, since 2026-03-02")
		assert.ErrorContains(t, err, "retired, well")

		_, _, wrong := f.SignIn(ctx, "Nobody Here", passphrase)
		for _, open := range []func() error{
			func() error { _, err := f.Actor(ctx, session); return err },
			func() error { _, _, err := f.TokenActor(ctx, secret); return err },
			func() error { _, _, err := f.UseLink(ctx, unused); return err },
		} {
			assert.ErrorIs(t, open(), curriculum.ErrNoSession)
		}
		_, _, err = f.SignIn(ctx, "Second Instructor", passphrase)
		require.ErrorIs(t, err, curriculum.ErrDenied)
		assert.Equal(t, wrong.Error(), err.Error(), "a stranger does not learn who has left")
		_, _, err = f.LinkFor(ctx, f.instructor, second.ID)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		assert.ErrorContains(t, err, "let them in again first")

		// They sign nothing and stand beside nobody.
		_, err = f.FindPresent(ctx, f.instructor, "Second Instructor")
		require.ErrorIs(t, err, curriculum.ErrInvalid)
		_, err = f.CheckIn(ctx, f.instructor, practice.CheckingIn{Place: f.place(0, signoff.Turning), Job: "shaft", Second: second.ID, Dress: dress()})
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field)
		assert.Equal(t, "/second", field.Path)
		_, err = f.Revoke(ctx, second, practice.Changing{Place: f.place(0, signoff.Turning), Reason: "x"})
		assert.ErrorContains(t, err, "has left")
		_, err = f.HandIn(ctx, practice.Actor{ID: f.learners[0].ID, Workshop: f.instructor.Workshop, Role: practice.RoleLearner}, opened.ID, nil)
		assert.ErrorContains(t, err, "has left", "the line would be theirs")

		// Nothing is erased.
		events, _, err := f.Events(ctx, f.instructor, curriculum.EventQuery{Who: second.ID})
		require.NoError(t, err)
		require.NotEmpty(t, events)
		assert.Equal(t, "Second Instructor", events[0].WhoName)
		events, _, err = f.Events(ctx, f.instructor, curriculum.EventQuery{About: second.ID})
		require.NoError(t, err)
		assert.Equal(t, [2]string{"person ended: retired, well", f.instructor.ID}, [2]string{events[0].What, events[0].Who})
		tokens, err := f.Tokens(ctx, f.instructor)
		require.NoError(t, err)
		require.Len(t, tokens, 1)
		assert.Equal(t, token.ID, tokens[0].ID)
		assert.NotNil(t, tokens[0].Revoked)

		p, err = f.LetInAgain(ctx, f.instructor, second.ID)
		require.NoError(t, err)
		assert.Nil(t, p.Ended)
		_, err = f.Actor(ctx, session)
		require.ErrorIs(t, err, curriculum.ErrNoSession, "what was gone stays gone")
		_, _, err = f.TokenActor(ctx, secret)
		require.ErrorIs(t, err, curriculum.ErrNoSession)
		fresh, _, err := f.SignIn(ctx, "Second Instructor", passphrase)
		require.NoError(t, err, "the passphrase is good again")
		back, err := f.Actor(ctx, fresh)
		require.NoError(t, err)
		assert.Equal(t, second, back)

		_, err = f.EndPerson(ctx, second, f.instructor.ID, "")
		require.NoError(t, err, "whoever began the workshop can leave as well")
		first, err := f.FirstInstructor(ctx, f.instructor.Workshop)
		require.NoError(t, err)
		assert.Equal(t, second.ID, first.ID, "the link that the service prints is for who can use it")
	})
}

// TestSessionOfWhoHasLeft: a session made by who signed in at the moment of being
// ended is of no use, and none after they are let in again.
func TestSessionOfWhoHasLeft(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		second, _ := f.secondInstructor(t)
		_, err := f.EndPerson(ctx, f.instructor, second.ID, "")
		require.NoError(t, err)
		link, err := f.NewLink(ctx, curriculum.Person{ID: second.ID, Workshop: second.Workshop})
		require.NoError(t, err, "as of an instructor who asked just before")
		late, _, err := f.UseLink(ctx, link)
		require.NoError(t, err)
		_, secret, err := f.NewToken(ctx, second, "Late", "manage", 3)
		require.NoError(t, err)
		void := func() {
			_, err = f.Actor(ctx, late)
			require.ErrorIs(t, err, curriculum.ErrNoSession)
			_, _, err = f.TokenActor(ctx, secret)
			require.ErrorIs(t, err, curriculum.ErrNoSession)
		}
		void()
		_, err = f.LetInAgain(ctx, f.instructor, second.ID)
		require.NoError(t, err)
		void()
	})
}

// TestLastInstructorStays: of two instructors who end each other at once, through two
// copies of the service where there can be two, one stays.
func TestLastInstructorStays(t *testing.T) {
	t.Parallel()
	run := func(t *testing.T, one, other *store.DB) {
		f := begin(t, one)
		ctx := t.Context()
		second, _ := f.secondInstructor(t)
		copies := [2]*practice.Service{f.Service, practice.New(other, practice.Options{Now: func() time.Time { return f.now }})}
		for range 5 {
			var errs [2]error
			var wait sync.WaitGroup
			for i, a := range []practice.Actor{f.instructor, second} {
				wait.Go(func() {
					_, errs[i] = copies[i].EndPerson(ctx, a, map[bool]string{true: second.ID, false: f.instructor.ID}[i == 0], "")
				})
			}
			wait.Wait()
			kept, gone := f.instructor, second
			if errs[0] != nil {
				kept, gone = second, f.instructor
				errs[0], errs[1] = errs[1], errs[0]
			}
			require.NoError(t, errs[0])
			require.ErrorIs(t, errs[1], curriculum.ErrConflict)
			assert.ErrorContains(t, errs[1], "no other instructor could sign in any more")
			people, err := f.Staff(ctx, kept)
			require.NoError(t, err)
			in := 0
			for _, p := range people {
				if p.Ended == nil {
					in++
					assert.Equal(t, kept.ID, p.ID)
				}
			}
			assert.Equal(t, 1, in)
			_, err = f.LetInAgain(ctx, kept, gone.ID)
			require.NoError(t, err)
		}
	}
	t.Run("sqlite", func(t *testing.T) {
		t.Parallel()
		db := storetest.OpenAddress(t, storetest.SQLite(t))
		run(t, db, db)
	})
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		address := storetest.Postgres(t)
		run(t, storetest.OpenAddress(t, address), storetest.OpenAddress(t, address))
	})
}

// TestClassThatEnded: nothing is added to it or changed, everything is read and
// marked, and it can be opened again.
func TestClassThatEnded(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		learner := f.join(t, 0, "4711")
		job := curriculum.Job{Class: f.class.ID, Learner: f.learners[0].ID, Lathe: f.lathe.ID, Request: threeStarts(t), Allowed: true, Factor: 1}
		job, err := f.SetJob(ctx, f.instructor, job)
		require.NoError(t, err)
		begins, spec := f.now.AddDate(0, 0, 7), curriculum.ShopSpec{Title: "Evening", Lathes: []string{f.lathe.ID}, CheckMinutes: 5}
		evening, err := f.PlanShop(ctx, f.instructor, f.class.ID, begins, spec)
		require.NoError(t, err)
		course, err := f.SetCourse(ctx, f.instructor, f.class.ID, 0, f.courseSpec())
		require.NoError(t, err)
		l, err := f.LearnerOf(ctx, f.instructor, f.class.ID, f.learners[1].ID)
		require.NoError(t, err)

		names := "seat,name,class\n" // more than are added while somebody waits
		for i := range 201 {
			names += fmt.Sprintf("%d,Learner %d,\n", i+100, i)
		}
		_, asked, err := f.ImportRoster(ctx, f.instructor, f.class.ID, practice.Roster{CSV: []byte(names)})
		require.NoError(t, err)
		require.NotNil(t, asked)

		c, err := f.EndClass(ctx, f.instructor, f.class.ID, "the course is over")
		require.NoError(t, err)
		want := curriculum.Ending{At: f.now, By: f.instructor.ID, Reason: "the course is over"}
		require.NotNil(t, c.Ended)
		assert.Equal(t, want, *c.Ended)
		f.now = f.now.Add(time.Hour)
		_, err = f.EndClass(ctx, f.instructor, f.class.ID, "")
		require.ErrorIs(t, err, curriculum.ErrConflict)
		assert.ErrorContains(t, err, "this class is over already, since 2026-03-02")
		c, err = f.EndClass(ctx, f.instructor, f.class.ID, "the course is over")
		require.NoError(t, err)
		assert.Equal(t, want, *c.Ended, "the first end counts")

		open, err := f.Classes(ctx, f.instructor)
		require.NoError(t, err)
		assert.Empty(t, open)
		ended, err := f.EndedClasses(ctx, f.instructor)
		require.NoError(t, err)
		assert.Equal(t, []curriculum.Class{c}, ended)
		_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[0].ID, "4711")
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field)
		assert.Contains(t, field.Reason, "has ended")

		changes := map[string]func() error{
			"learners": func() error {
				_, err := f.AddLearners(ctx, f.instructor, f.class.ID, practice.Adding{Names: []string{"New One"}})
				return err
			},
			"roster": func() error {
				_, _, err := f.ImportRoster(ctx, f.instructor, f.class.ID, practice.Roster{CSV: []byte("seat,name,class\n90,From a list,\n"), Partial: true})
				return err
			},
			"leaving": func() error { return f.LeaveClass(ctx, f.instructor, f.class.ID, l.ID) },
			"learner": func() error {
				_, err := f.ChangeLearner(ctx, f.instructor, f.class.ID, l.ID, l.Version, "Another Name", l.Seat)
				return err
			},
			"set": func() error { _, _, err := f.BuildSet(ctx, f.instructor, f.class.ID, f.spec()); return err },
			"course": func() error {
				_, err := f.SetCourse(ctx, f.instructor, f.class.ID, course.Version, f.courseSpec())
				return err
			},
			"job":      func() error { _, err := f.SetJob(ctx, f.instructor, job); return err },
			"job away": func() error { return f.RemoveJob(ctx, f.instructor, job) },
			"shop":     func() error { _, err := f.PlanShop(ctx, f.instructor, f.class.ID, begins, spec); return err },
			"shop change": func() error {
				_, err := f.ChangeShop(ctx, f.instructor, evening.ID, evening.Version, begins, spec)
				return err
			},
			"code": func() error { _, err := f.NewJoiningCode(ctx, f.instructor, f.class.ID); return err },
		}
		for name, change := range changes {
			err := change()
			if assert.ErrorIs(t, err, curriculum.ErrConflict, name) {
				assert.ErrorContains(t, err, "this class has ended", name)
			}
		}
		require.NoError(t, f.DoWork(ctx, asked.ID))
		done, err := f.Work(ctx, f.instructor, asked.ID)
		require.NoError(t, err)
		assert.Equal(t, curriculum.WorkFailed, done.State, "what was asked for before comes too late")
		assert.Contains(t, done.Problem, "this class has ended")
		_, _, err = f.PracticeSheet(ctx, learner, learner.ID)
		require.ErrorIs(t, err, curriculum.ErrNotFound, "nothing is practised for a class that is over")

		// Answers from paper still go in; a record stays.
		_, err = f.EnterPaper(ctx, f.instructor, f.set.ID, []practice.PaperAnswer{{Variant: f.variants[2].Code, Position: 1, Answers: right(f.variants[2].Exercises[0])}})
		require.NoError(t, err)
		table, err := f.ClassMarks(ctx, f.instructor, f.set.ID)
		require.NoError(t, err)
		assert.Equal(t, table.OutOf[0], table.Rows[2].Total)
		for name, read := range map[string]func() error{
			"learners":   func() error { _, err := f.Learners(ctx, f.instructor, f.class.ID); return err },
			"map":        func() error { _, err := f.ClassMap(ctx, f.instructor, f.class.ID); return err },
			"jobs":       func() error { _, err := f.Jobs(ctx, f.instructor, f.class.ID); return err },
			"plan":       func() error { _, err := f.CoursePlan(ctx, f.instructor, f.class.ID); return err },
			"statistics": func() error { _, err := f.Statistics(ctx, f.instructor, f.class.ID); return err },
			"record":     func() error { _, err := f.LearnerRecord(ctx, learner, learner.ID); return err },
			"sheets":     func() error { _, err := f.OwnSheets(ctx, learner); return err },
		} {
			assert.NoError(t, read(), name)
		}

		// Its name is free for the class of the next year once it is renamed.
		_, err = f.AddClass(ctx, f.instructor, f.class.Name)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		assert.ErrorContains(t, err, "one that has ended can be renamed")
		c, err = f.RenameClass(ctx, f.instructor, f.class.ID, c.Version, f.class.Name+" 2026")
		require.NoError(t, err)
		require.NotNil(t, c.Ended)

		c, err = f.ReopenClass(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Nil(t, c.Ended)
		for _, name := range []string{"learner", "course", "job", "shop", "set"} {
			assert.NoError(t, changes[name](), name)
		}
		_, _, err = f.Join(ctx, f.class.JoiningCode, f.learners[0].ID, "4711")
		require.NoError(t, err)
		events, _, err := f.Events(ctx, f.instructor, curriculum.EventQuery{About: f.class.ID})
		require.NoError(t, err)
		told := map[string]int{}
		for _, e := range events {
			told[e.What]++
		}
		assert.Equal(t, [2]int{1, 1}, [2]int{told["class ended: the course is over"], told["class opened again"]}, "an end that changes nothing leaves no event")
	})
}

// TestNewJoiningCode: the code before lets nobody in any more.
func TestNewJoiningCode(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		learner := f.join(t, 0, "4711")
		c, err := f.NewJoiningCode(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.NotEqual(t, f.class.JoiningCode, c.JoiningCode)
		_, _, err = f.Joining(ctx, f.class.JoiningCode)
		require.ErrorIs(t, err, curriculum.ErrInvalid)
		_, _, err = f.Join(ctx, c.JoiningCode, f.learners[0].ID, "4711")
		require.NoError(t, err, "with the PIN chosen before")
		_, err = f.OwnSheets(ctx, learner)
		require.NoError(t, err)
		_, err = f.NewJoiningCode(ctx, learner, f.class.ID)
		require.ErrorIs(t, err, curriculum.ErrDenied)
	})
}
