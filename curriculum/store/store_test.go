package store_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/migrations"
	"halfnut/threadmath"
)

// at is the clock of these tests, with a part below the millisecond that must
// not come back.
var at = time.Date(2026, 3, 2, 17, 30, 0, 123_456_789, time.UTC)

// shop fills a database with one workshop, a class of two, and a set of two
// exercises each.
type shop struct {
	workshop curriculum.Workshop
	person   curriculum.Person
	lathe    curriculum.Lathe
	class    curriculum.Class
	learners []curriculum.Learner
	set      curriculum.ClassSet
	variants []curriculum.Variant
}

func fill(t testing.TB, db *store.DB) shop {
	t.Helper()
	ctx := t.Context()
	var s shop
	s.workshop = curriculum.Workshop{ID: store.NewID(), Name: "Shed Nine", Units: "mm", Version: 1, Created: at}
	s.person = curriculum.Person{ID: store.NewID(), Workshop: s.workshop.ID, Name: "Instructor", Role: curriculum.RoleInstructor, Created: at}
	require.NoError(t, db.CreateWorkshop(ctx, s.workshop, s.person))
	s.lathe = curriculum.Lathe{ID: store.NewID(), Workshop: s.workshop.ID, Name: "Lathe 1", Created: at, Version: 1,
		Profile: threadmath.Lathe{Leadscrew: "6 mm", ThreadDials: []threadmath.ThreadDial{}}}
	require.NoError(t, db.CreateLathe(ctx, s.lathe, s.person.ID))
	s.class = curriculum.Class{ID: store.NewID(), Workshop: s.workshop.ID, Name: "Tuesday", JoiningCode: "TUE-" + store.NewID()[24:], Created: at}
	require.NoError(t, db.CreateClass(ctx, s.class, s.person.ID))
	var err error
	s.learners, err = db.AddLearners(ctx, s.class, []curriculum.Learner{{ID: store.NewID(), Name: "Zoë"}, {ID: store.NewID(), Name: "Émile"}}, s.person.ID, at)
	require.NoError(t, err)
	s.set = curriculum.ClassSet{ID: store.NewID(), Class: s.class.ID, LatheName: "Lathe 1", Profile: s.lathe.Profile, Seed: 1<<53 - 1, Created: at,
		Spec: curriculum.SetSpec{Title: "Leads", Skills: []string{"lead"}, Count: 2, Lathe: s.lathe.ID, Units: "mm"}}
	for i, l := range s.learners {
		v := curriculum.Variant{Code: fmt.Sprintf("V%d%s", i, store.NewID()[30:]), Set: s.set.ID, Learner: l.ID, Name: l.Name, Seat: l.Seat, Created: at}
		for p := range 2 {
			v.Exercises = append(v.Exercises, curriculum.Exercise{
				ID: fmt.Sprintf("lead-%d-%d", i, p), Skill: "lead", Model: "lead/basic", ModelVersion: 3, Seed: 77, Units: "mm", Prompt: "What is the lead? ½ ⌀",
				Givens: curriculum.Givens{Values: map[string]string{"P": "2 mm", "n": "3"}},
				Parts: []curriculum.Part{{ID: "a", Kind: curriculum.KindLength, Unit: "mm", Decimals: 2, Marks: 2,
					Answer: curriculum.LengthValue(threadmath.ApproxDimension(6)), Accept: &curriculum.Band{Low: 5.995, High: 6.005}}},
			})
		}
		s.variants = append(s.variants, v)
	}
	require.NoError(t, db.CreateSet(ctx, s.set, s.variants, s.workshop.ID, s.person.ID))
	return s
}

func (s shop) attempt(variant, position, marks int, outcome curriculum.Outcome, minute int) curriculum.Attempt {
	v := s.variants[variant]
	return curriculum.Attempt{
		ID: store.NewID(), Variant: v.Code, Position: position, Exercise: v.Exercises[position-1].ID, Learner: v.Learner,
		Source: curriculum.SourceTyped, Answers: map[string]string{"a": "6 mm"}, Marks: marks, OutOf: 2, By: v.Learner,
		At:       at.Add(time.Duration(minute) * time.Minute),
		Verdicts: []curriculum.Verdict{{Part: "a", Skill: "lead", Outcome: outcome, Marks: marks, OutOf: 2, Reason: "so"}},
	}
}

func TestWhatIsKeptComesBack(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		cut := at.Truncate(time.Millisecond)

		w, err := db.Workshop(ctx, s.workshop.ID)
		require.NoError(t, err)
		s.workshop.Created = cut
		assert.Equal(t, s.workshop, w)

		ls, err := db.Lathes(ctx, s.workshop.ID)
		require.NoError(t, err)
		s.lathe.Created = cut
		assert.Equal(t, []curriculum.Lathe{s.lathe}, ls, "an empty list of dials stays empty, not unknown")

		learners, err := db.Learners(ctx, s.class.ID)
		require.NoError(t, err)
		require.Len(t, learners, 2)
		assert.Equal(t, []string{"Zoë", "Émile"}, []string{learners[0].Name, learners[1].Name}, "seat order, not an engine's idea of the alphabet")

		vs, err := db.Variants(ctx, s.set.ID)
		require.NoError(t, err)
		for i := range s.variants {
			s.variants[i].Created = cut
		}
		assert.Equal(t, mustJSON(t, s.variants), mustJSON(t, vs), "exercises come back whole")

		set, err := db.Set(ctx, s.set.ID)
		require.NoError(t, err)
		assert.Equal(t, uint64(1<<53-1), set.Seed)

		events, err := db.Events(ctx, curriculum.EventQuery{Workshop: s.workshop.ID, Most: 10})
		require.NoError(t, err)
		assert.Len(t, events, 5)
	})
}

func mustJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return string(b)
}

func TestClashesAndGapsHaveOneNameOnBothEngines(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)

		again := s.lathe
		again.ID = store.NewID()
		require.ErrorIs(t, db.CreateLathe(ctx, again, "x"), curriculum.ErrConflict)

		_, err := db.Lathe(ctx, "nowhere")
		require.ErrorIs(t, err, curriculum.ErrNotFound)

		orphan := s.lathe
		orphan.ID, orphan.Workshop = store.NewID(), "nowhere"
		require.ErrorIs(t, db.CreateLathe(ctx, orphan, "x"), curriculum.ErrInvalid)

		_, err = db.AddLearners(ctx, s.class, []curriculum.Learner{{ID: store.NewID(), Name: "Ada"}, {ID: store.NewID(), Name: "Zoë"}}, "x", at)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		learners, err := db.Learners(ctx, s.class.ID)
		require.NoError(t, err)
		assert.Len(t, learners, 2, "nobody was half-added")

		changed := s.lathe
		changed.Name = "Lathe 1a"
		require.NoError(t, db.UpdateLathe(ctx, changed, "x", at))
		require.ErrorIs(t, db.UpdateLathe(ctx, changed, "x", at), curriculum.ErrConflict, "the version has moved on")

		require.NoError(t, db.ChoosePIN(ctx, s.learners[0], "hash", time.Now()))
		require.ErrorIs(t, db.ChoosePIN(ctx, s.learners[0], "other", time.Now()), curriculum.ErrConflict)
	})
}

func TestAttemptsAreCountedOnce(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		unread := s.attempt(0, 1, 0, curriculum.AskBack, 0)
		wrong := s.attempt(0, 1, 0, curriculum.WrongRuleUsed, 1)
		right := s.attempt(0, 1, 2, curriculum.Right, 2)
		other := s.attempt(1, 2, 1, curriculum.Rounding, 3)
		for _, a := range []curriculum.Attempt{unread, wrong, wrong, right, right, other} {
			kept, err := db.RecordAttempts(ctx, []curriculum.Attempt{a}, mastery.Fold)
			require.NoError(t, err)
			assert.Equal(t, a.ID, kept[0].ID)
		}
		marks, err := db.Marks(ctx, s.set.ID)
		require.NoError(t, err)
		assert.Equal(t, []curriculum.Mark{
			{Variant: s.variants[0].Code, Learner: s.learners[0].ID, Position: 1, Tries: 2, First: 0, Best: 2, OutOf: 2, Last: "right"},
			{Variant: s.variants[1].Code, Learner: s.learners[1].ID, Position: 2, Tries: 1, First: 1, Best: 1, OutOf: 2, Last: "rounding"},
		}, marks)
		rebuilt, err := db.RebuildMarks(ctx, s.set.ID)
		require.NoError(t, err)
		assert.Equal(t, rebuilt, marks)

		attempts, err := db.Attempts(ctx, s.variants[0].Code)
		require.NoError(t, err)
		require.Len(t, attempts, 3)
		assert.Equal(t, []int{0, 1, 2}, []int{attempts[0].Try, attempts[1].Try, attempts[2].Try})
		assert.Equal(t, wrong.Verdicts, attempts[1].Verdicts)

		stolen := s.attempt(1, 1, 2, curriculum.Right, 4)
		stolen.ID = right.ID
		_, err = db.RecordAttempts(ctx, []curriculum.Attempt{stolen}, mastery.Fold)
		require.ErrorIs(t, err, curriculum.ErrConflict, "an id belongs to one exercise of one learner")

		lost := s.attempt(1, 1, 2, curriculum.Right, 5)
		lost.Position = 9
		_, err = db.RecordAttempts(ctx, []curriculum.Attempt{s.attempt(1, 1, 2, curriculum.Right, 5), lost}, mastery.Fold)
		require.ErrorIs(t, err, curriculum.ErrInvalid)
		marks, err = db.Marks(ctx, s.set.ID)
		require.NoError(t, err)
		assert.Len(t, marks, 2, "of a batch that fails nothing is kept")
	})
}

func TestConcurrentAttemptsAreAllKept(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := fill(t, db)
		const writers, each = 8, 25
		var wait sync.WaitGroup
		for w := range writers {
			wait.Go(func() {
				for i := range each {
					a := s.attempt(w%2, 1, 1, curriculum.Rounding, w*each+i)
					for range 2 { // every one is sent twice
						_, err := db.RecordAttempts(context.Background(), []curriculum.Attempt{a}, mastery.Fold)
						assert.NoError(t, err)
					}
				}
			})
		}
		wait.Wait()
		marks, err := db.Marks(t.Context(), s.set.ID)
		require.NoError(t, err)
		require.Len(t, marks, 2)
		assert.Equal(t, writers*each, marks[0].Tries+marks[1].Tries)
		rebuilt, err := db.RebuildMarks(t.Context(), s.set.ID)
		require.NoError(t, err)
		assert.Equal(t, rebuilt, marks)
	})
}

func TestLinkWorksOnce(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		s := fill(t, db)
		link := curriculum.Session{Kind: curriculum.SessionLink, Subject: s.person.ID, Workshop: s.workshop.ID, Created: at, Expires: at.Add(time.Hour)}
		require.NoError(t, db.CreateSession(ctx, "link", link, ""))
		_, err := db.Session(ctx, "link", at)
		require.ErrorIs(t, err, curriculum.ErrNotFound, "a link is no session")
		_, err = db.UseLink(ctx, "link", "late", at.Add(time.Hour), at.Add(2*time.Hour))
		require.ErrorIs(t, err, curriculum.ErrNotFound, "an hour later it has expired")
		got, err := db.UseLink(ctx, "link", "session", at, at.Add(time.Hour))
		require.NoError(t, err)
		assert.Equal(t, s.person.ID, got.Subject)
		_, err = db.UseLink(ctx, "link", "second", at, at.Add(time.Hour))
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		got, err = db.Session(ctx, "session", at)
		require.NoError(t, err)
		assert.Equal(t, curriculum.SessionPerson, got.Kind)
		require.NoError(t, db.EndSession(ctx, "session", at))
		_, err = db.Session(ctx, "session", at)
		require.ErrorIs(t, err, curriculum.ErrNotFound)
	})
}

func TestClosedDatabaseRefuses(t *testing.T) {
	t.Parallel()
	db, err := store.Open(t.Context(), storetest.SQLite(t))
	require.NoError(t, err)
	require.NoError(t, db.Close())
	require.ErrorIs(t, db.ChoosePIN(t.Context(), curriculum.Learner{ID: "a"}, "b", time.Now()), curriculum.ErrUnavailable)
}

// TestCopiesMigrateTogether starts six processes at once on an empty database,
// three times over on each engine; none may fail, and what the first makes is
// made once.
func TestCopiesMigrateTogether(t *testing.T) {
	t.Parallel()
	if address := os.Getenv("HALFNUT_TEST_OPEN"); address != "" {
		db, err := store.Open(t.Context(), address)
		require.NoError(t, err)
		require.NoError(t, db.Alone(t.Context(), func() error {
			ws, err := db.Workshops(t.Context())
			if err != nil || len(ws) > 0 {
				return err
			}
			w := curriculum.Workshop{ID: store.NewID(), Name: "Shed Nine", Units: "mm", Version: 1, Created: at}
			return db.CreateWorkshop(t.Context(), w, curriculum.Person{ID: store.NewID(), Workshop: w.ID, Name: "Instructor", Role: curriculum.RoleInstructor, Created: at})
		}))
		require.NoError(t, db.Close())
		return
	}
	for name, address := range map[string]func(testing.TB) string{"sqlite": storetest.SQLite, "postgres": storetest.Postgres} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for range 3 {
				where := address(t)
				var wait sync.WaitGroup
				for range 6 {
					wait.Go(func() {
						cmd := exec.Command(os.Args[0], "-test.run=^TestCopiesMigrateTogether$")
						cmd.Env = append(os.Environ(), "HALFNUT_TEST_OPEN="+where)
						out, err := cmd.CombinedOutput()
						assert.NoError(t, err, string(out))
					})
				}
				wait.Wait()
				ws, err := storetest.OpenAddress(t, where).Workshops(t.Context())
				require.NoError(t, err)
				assert.Len(t, ws, 1)
			}
		})
	}
}

// TestSchemasMatch compares the two folders of migrations: the same files, and
// the same text but for the engines' type names and what a file says last, below
// "-- By engine:".
func TestSchemasMatch(t *testing.T) {
	t.Parallel()
	read := func(engine string) map[string]string {
		out := map[string]string{}
		files, err := fs.Glob(migrations.Files, engine+"/*.sql")
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, f := range files {
			b, err := fs.ReadFile(migrations.Files, f)
			require.NoError(t, err)
			text := strings.ReplaceAll(string(b), " STRICT;", ";")
			text = strings.NewReplacer("INTEGER", "BIGINT", "BLOB", "BYTEA").Replace(text)
			text, _, _ = strings.Cut(text, "-- By engine:")
			out[strings.TrimPrefix(f, engine+"/")] = regexp.MustCompile(`\s+`).ReplaceAllString(text, " ")
		}
		return out
	}
	assert.Equal(t, read("sqlite"), read("postgres"))
}
