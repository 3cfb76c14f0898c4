package practice_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/threadmath"
)

// master puts a learner at the gate of every skill, without the weeks.
func (f *fixture) master(t *testing.T, db *store.DB, i int) {
	t.Helper()
	v := f.variants[i]
	_, err := db.RecordAttempts(t.Context(), []curriculum.Attempt{{
		ID: uuid.NewString(), Variant: v.Code, Position: 1, Exercise: v.Exercises[0].ID, Learner: v.Learner, Source: curriculum.SourceTyped,
		Answers: map[string]string{}, At: f.now, By: v.Learner,
	}}, func(cells curriculum.Cells, _ []curriculum.Attempt, a curriculum.Attempt) {
		for _, s := range curriculum.Skills() {
			cells[s.Slug] = &curriculum.Cell{Learner: a.Learner, Skill: s.Slug, Known: 0.99, Chances: 4, Rights: 4, LastRight: true, Last: a.At, Days: 2, RightOn: []string{"a", "b", "c"},
				WorkedOn: []string{"a", "b", "c"}, RightBy: modelsOf(t, s.Slug)}
		}
	})
	require.NoError(t, err)
}

func (f *fixture) place(i int, operation string) practice.Place {
	return practice.Place{Learner: f.learners[i].ID, Lathe: f.lathe.ID, Operation: operation}
}

func (f *fixture) steward(t *testing.T, name string) practice.Actor {
	t.Helper()
	p, link, err := f.AddPerson(t.Context(), f.instructor, name, curriculum.RoleSteward)
	require.NoError(t, err)
	token, _, err := f.UseLink(t.Context(), link)
	require.NoError(t, err)
	a, err := f.Actor(t.Context(), token)
	require.NoError(t, err)
	require.Equal(t, practice.Actor{ID: p.ID, Workshop: f.instructor.Workshop, Role: curriculum.RoleSteward}, a)
	return a
}

// sit opens a sitting and hands in the right answers but for the first wrong.
func (f *fixture) sit(t *testing.T, a practice.Actor, p practice.Place, kind string, wrong int) practice.SatResult {
	t.Helper()
	sitting, err := f.OpenSitting(t.Context(), a, practice.OpeningSitting{Place: p, Kind: kind})
	require.NoError(t, err)
	var answers []map[string]string
	for i, e := range sitting.Exercises {
		if full, err := f.Sitting(t.Context(), f.instructor, sitting.ID); assert.NoError(t, err) {
			e = full.Exercises[i]
		}
		if i < wrong {
			answers = append(answers, map[string]string{})
			continue
		}
		answers = append(answers, right(e))
	}
	out, err := f.HandIn(t.Context(), a, sitting.ID, answers)
	require.NoError(t, err)
	return out
}

func (f *fixture) witness(t *testing.T, a practice.Actor, p practice.Place) practice.SignOffState {
	t.Helper()
	o, _ := signoff.OperationOf(p.Operation)
	items := map[string]string{}
	for _, it := range o.Checklist {
		items[it.ID] = signoff.Done
	}
	state, err := f.Witness(t.Context(), a, practice.Witnessing{Place: p, Job: "Tr 24x10 P5 in brass", Items: items})
	require.NoError(t, err)
	return state
}

// pieces are test pieces that pass, by operation.
func piece(t *testing.T, p practice.Place) practice.Measuring {
	t.Helper()
	thread := map[string]string{signoff.Turning: "three diameters", signoff.SingleStart: "M24x2", signoff.MultiStart: "Tr 24x10 P5"}[p.Operation]
	in := practice.Measuring{Place: p, Thread: thread, Instrument: "calliper, micrometer"}
	measures, _, err := practice.MeasuresFor(p.Operation, thread)
	require.NoError(t, err)
	for _, m := range measures {
		switch {
		case m.What == signoff.LeadOverFive && p.Operation == signoff.SingleStart:
			m.Measured = "10.01 mm"
		case m.What == signoff.LeadOverFive:
			m.Measured = "50.01 mm"
		case strings.HasPrefix(m.What, "start"):
			m.Measured = "5.00 mm"
		default:
			m.Low, m.High, m.Measured = "21.3 mm", "21.5 mm", "21.4 mm"
		}
		m.U = "0.03 mm"
		in.Measures = append(in.Measures, m)
	}
	return in
}

// sign takes a learner the whole way for an operation.
func (f *fixture) signUp(t *testing.T, steward practice.Actor, i int, operation string) practice.SignOffState {
	t.Helper()
	p := f.place(i, operation)
	got := f.sit(t, f.instructor, p, signoff.SittingTheory, 0)
	require.True(t, got.Result.Passed, "%+v", got.Result)
	f.witness(t, steward, p)
	f.now = f.now.Add(24 * time.Hour)
	f.witness(t, steward, p)
	state, err := f.Measure(t.Context(), f.instructor, piece(t, p))
	require.NoError(t, err)
	require.Equal(t, signoff.Ready, state.Status, "%+v", state.Steps)
	state, err = f.Decide(t.Context(), f.instructor, practice.Deciding{Place: p, Granted: true, Age: true})
	require.NoError(t, err)
	return state
}

func dress() []string {
	var out []string
	for _, it := range signoff.DressItems() {
		out = append(out, it.ID)
	}
	return out
}

// TestTheWholeSignOff goes from nothing to a check-in for a multi-start thread,
// on both engines.
func TestTheWholeSignOff(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		steward := f.steward(t, "Door")
		p := f.place(0, signoff.MultiStart)

		_, err := f.OpenSitting(ctx, f.instructor, practice.OpeningSitting{Place: f.place(0, signoff.Turning), Kind: signoff.SittingTheory})
		require.ErrorIs(t, err, curriculum.ErrConflict)
		assert.ErrorContains(t, err, "collar-reading (not met yet)")
		f.master(t, db, 0)

		for _, o := range signoff.Operations() {
			state := f.signUp(t, steward, 0, o.Slug)
			assert.True(t, state.MayUse, "%s: %s", o.Slug, state.Why)
			assert.Equal(t, "Instructor", state.Signer[:10])
		}
		in := practice.CheckingIn{Place: p, Job: "Tr 24x10 P5, four nuts", Second: f.learners[1].ID, Dress: dress()}
		state, err := f.CheckIn(ctx, steward, in)
		require.NoError(t, err)
		assert.True(t, state.MayUse)
		in.Second = ""
		_, err = f.CheckIn(ctx, steward, in)
		assert.ErrorContains(t, err, "alone")
		in.Second, in.Dress = f.learners[1].ID, in.Dress[1:]
		_, err = f.CheckIn(ctx, steward, in)
		assert.ErrorContains(t, err, "Eye protection")

		// The list at the door, the search, the learner's own view.
		today, err := f.SignOffToday(ctx, steward, f.lathe.ID)
		require.NoError(t, err)
		require.Len(t, today.MayUse, 3)
		assert.Equal(t, f.learners[0].Name, today.MayUse[0].Name)
		found, err := f.FindSignOff(ctx, steward, strings.ToUpper(f.learners[0].Name[:4]))
		require.NoError(t, err)
		require.NotEmpty(t, found)
		card, err := f.SignOffCard(ctx, steward, f.learners[0].ID)
		require.NoError(t, err)
		again, err := f.SignOffCard(ctx, steward, f.learners[0].ID)
		require.NoError(t, err)
		assert.Equal(t, card.Code, again.Code, "a card keeps its code")
		found, err = f.FindSignOff(ctx, steward, strings.ToLower(card.Code[:4]+" "+card.Code[4:]))
		require.NoError(t, err)
		require.Len(t, found, 1)
		assert.Equal(t, f.learners[0].ID, found[0].ID)
		learner := f.join(t, 0, "4711")
		own, err := f.SignOffs(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.Len(t, own.States, 3*len(mustLathes(t, f)))

		// A job on the lathe is allowed by the sign-off, without the instructor's tick.
		_, err = f.SetJob(ctx, f.instructor, curriculum.Job{Class: f.class.ID, Learner: p.Learner, Lathe: p.Lathe, Request: threeStarts(t)})
		require.NoError(t, err)
		job := func() practice.JobState {
			jobs, err := f.Jobs(ctx, f.instructor, f.class.ID)
			require.NoError(t, err)
			require.Len(t, jobs, 1)
			return jobs[0]
		}
		assert.Equal(t, practice.AllowedBySignOff, job().AllowedBy)
		assert.NotContains(t, job().Why, "allowed")

		// Taken back at the door, with a reason; nothing is let through after it.
		_, err = f.Revoke(ctx, steward, practice.Changing{Place: p})
		assert.ErrorContains(t, err, "/reason")
		state, err = f.Revoke(ctx, steward, practice.Changing{Place: p, Reason: "hand on the turning chuck"})
		require.NoError(t, err)
		assert.Equal(t, signoff.Revoked, state.Status)
		ticked := job().Job
		ticked.Allowed = true
		_, err = f.SetJob(ctx, f.instructor, ticked)
		require.NoError(t, err)
		assert.Empty(t, job().AllowedBy, "a tick does not outweigh a revocation")
		assert.Contains(t, job().Why, "hand on the turning chuck")
		in.Dress = dress()
		_, err = f.CheckIn(ctx, steward, in)
		assert.ErrorIs(t, err, curriculum.ErrDenied)
		assert.ErrorContains(t, err, "hand on the turning chuck")

		history, err := f.SignOffHistory(ctx, steward, f.learners[0].ID)
		require.NoError(t, err)
		assert.Equal(t, "revoked: hand on the turning chuck", history[0].What)
		assert.Equal(t, "Door", history[0].By)
		assert.Equal(t, f.learners[1].Name, history[1].Second)

		audit, err := f.AuditSignOffs(ctx, curriculum.Workshop{ID: f.instructor.Workshop})
		require.NoError(t, err)
		assert.Empty(t, audit.Faults)
		assert.Equal(t, int64(audit.Lines), audit.Head.Seq)
		require.NoError(t, f.EraseSignOffName(ctx, f.instructor, f.learners[0].ID))
		audit, err = f.AuditSignOffs(ctx, curriculum.Workshop{ID: f.instructor.Workshop}, audit.Head)
		require.NoError(t, err)
		assert.Empty(t, audit.Faults, "the chain is whole without the name")
		today, err = f.SignOffToday(ctx, steward, f.lathe.ID)
		require.NoError(t, err)
		assert.Empty(t, today.MayUse)
	})
}

// TestSignOffsUnderANewName: a sign-off stays in force when the learner is renamed,
// is shown under the name of today, and breaks no seal; back under the old name
// likewise. Erasing takes every name that there was.
func TestSignOffsUnderANewName(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		steward := f.steward(t, "Door")
		f.master(t, db, 0)
		who := f.learners[0]
		rules := signoff.DefaultSettings()
		rules.SecondPerson = false
		require.NoError(t, f.SetSignOffRules(ctx, f.instructor, rules))
		f.signUp(t, steward, 0, signoff.Turning)
		for i, name := range []string{"Another Name", who.Name, "A Third Name"} {
			l, err := f.LearnerOf(ctx, f.instructor, f.class.ID, who.ID)
			require.NoError(t, err)
			l, err = f.ChangeLearner(ctx, f.instructor, f.class.ID, l.ID, l.Version, name, l.Seat)
			require.NoError(t, err)
			assert.Equal(t, name, l.Name)
			today, err := f.SignOffToday(ctx, steward, f.lathe.ID)
			require.NoError(t, err)
			require.Len(t, today.MayUse, 1, "before any line is made under the new name")
			assert.Equal(t, name, today.MayUse[0].Name)
			_, err = f.CheckIn(ctx, steward, practice.CheckingIn{Place: f.place(0, signoff.Turning), Job: "shaft", Dress: dress()})
			require.NoError(t, err)
			history, err := f.SignOffHistory(ctx, steward, who.ID)
			require.NoError(t, err)
			assert.Len(t, history, 7+i, "every line, whatever the name was")
			card, err := f.SignOffCard(ctx, steward, who.ID)
			require.NoError(t, err)
			assert.Equal(t, name, card.Learner.Name)
		}
		names, err := db.SignOffNames(ctx, f.instructor.Workshop)
		require.NoError(t, err)
		own := 0
		for _, n := range names {
			if n.Ref == who.ID {
				own++
				assert.Equal(t, "A Third Name", n.Today)
			}
		}
		assert.Equal(t, 3, own)
		audit, err := f.AuditSignOffs(ctx, curriculum.Workshop{ID: f.instructor.Workshop})
		require.NoError(t, err)
		assert.Empty(t, audit.Faults)
		_, err = f.EraseLearner(ctx, f.instructor, who.ID, "A Third Name")
		require.NoError(t, err)
		names, err = db.SignOffNames(ctx, f.instructor.Workshop)
		require.NoError(t, err)
		for _, n := range names {
			assert.NotEqual(t, who.ID, n.Ref)
		}
		audit, err = f.AuditSignOffs(ctx, curriculum.Workshop{ID: f.instructor.Workshop}, audit.Head)
		require.NoError(t, err)
		assert.Empty(t, audit.Faults, "the chain is whole")
	})
}

func mustLathes(t *testing.T, f *fixture) []curriculum.Lathe {
	t.Helper()
	ls, err := f.Lathes(t.Context(), f.instructor)
	require.NoError(t, err)
	return ls
}

func TestSittings(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	f := begin(t, db)
	ctx := t.Context()
	f.master(t, db, 0)
	steward := f.steward(t, "Door")
	p := f.place(0, signoff.MultiStart)
	open := practice.OpeningSitting{Place: p, Kind: signoff.SittingTheory}
	_, err := f.OpenSitting(ctx, steward, open)
	require.ErrorIs(t, err, curriculum.ErrDenied, "theory is an instructor's")

	sitting, err := f.OpenSitting(ctx, f.instructor, open)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(sitting.Exercises), signoff.SafetyItems+8)
	assert.LessOrEqual(t, len(sitting.Exercises), signoff.SafetyItems+10)
	learner, other := f.join(t, 0, "4711"), f.join(t, 1, "0815")
	seen, err := f.Sitting(ctx, learner, sitting.ID)
	require.NoError(t, err)
	for _, e := range seen.Exercises {
		assert.Zero(t, e.Seed)
		for _, part := range e.Parts {
			assert.Nil(t, part.Answer)
			assert.Empty(t, part.Wrong)
		}
	}
	_, err = f.Sitting(ctx, other, sitting.ID)
	require.ErrorIs(t, err, curriculum.ErrNotFound)
	_, err = f.HandIn(ctx, other, sitting.ID, nil)
	require.ErrorIs(t, err, curriculum.ErrNotFound)
	_, err = f.HandIn(ctx, learner, sitting.ID, []map[string]string{{"zz": "1"}})
	require.ErrorIs(t, err, curriculum.ErrInvalid)
	got, err := f.HandIn(ctx, learner, sitting.ID, nil)
	require.NoError(t, err)
	assert.False(t, got.Result.Passed)
	assert.Zero(t, got.Result.Marks)
	assert.Contains(t, got.Result.Missed, "run-out")
	_, err = f.HandIn(ctx, learner, sitting.ID, nil)
	require.ErrorIs(t, err, curriculum.ErrConflict, "once")
	_, err = f.OpenSitting(ctx, f.instructor, open)
	require.ErrorContains(t, err, "next try can begin")

	f.now = f.now.Add(24 * time.Hour)
	second, err := f.OpenSitting(ctx, f.instructor, open)
	require.NoError(t, err)
	assert.NotEqual(t, sitting.Exercises[0].Seed, second.Exercises[0].Seed, "fresh numbers at every try")
	f.now = second.Closes.Add(time.Second)
	_, err = f.HandIn(ctx, learner, second.ID, nil)
	require.ErrorContains(t, err, "closed")

	// One wrong of ten is above the pass mark, unless it is one of safety.
	f.now = f.now.Add(24 * time.Hour)
	assert.False(t, f.sit(t, f.instructor, p, signoff.SittingTheory, 1).Result.Passed, "safety comes first")
}

func TestRecheckByASteward(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	f := begin(t, db)
	ctx := t.Context()
	f.master(t, db, 0)
	steward := f.steward(t, "Door")
	p := f.place(0, signoff.Turning)
	_, err := f.OpenSitting(ctx, steward, practice.OpeningSitting{Place: p, Kind: signoff.SittingRecheck})
	require.ErrorIs(t, err, curriculum.ErrConflict)
	f.signUp(t, steward, 0, signoff.Turning)
	f.now = f.now.Add(91 * 24 * time.Hour)
	state, err := f.SignOff(ctx, steward, p.Learner, p.Lathe, p.Operation)
	require.NoError(t, err)
	require.Equal(t, signoff.Lapsed, state.Status)
	got := f.sit(t, steward, p, signoff.SittingRecheck, 0)
	assert.Len(t, got.Sitting.Exercises, 3)
	assert.Nil(t, got.Sitting.Exercises[0].Parts[0].Answer, "a steward gets no key")
	assert.True(t, got.Result.Passed)
	assert.True(t, got.State.MayUse)
}

func TestWhoMaySign(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	f := begin(t, db)
	ctx := t.Context()
	f.master(t, db, 0)
	steward := f.steward(t, "Door")
	learner := f.join(t, 0, "4711")
	p := f.place(0, signoff.Turning)
	for name, act := range map[string]func(a practice.Actor) error{
		"decide":   func(a practice.Actor) error { _, err := f.Decide(ctx, a, practice.Deciding{Place: p}); return err },
		"measure":  func(a practice.Actor) error { _, err := f.Measure(ctx, a, practice.Measuring{Place: p}); return err },
		"restrict": func(a practice.Actor) error { _, err := f.Restrict(ctx, a, practice.Changing{Place: p}); return err },
		"rules":    func(a practice.Actor) error { return f.SetSignOffRules(ctx, a, signoff.DefaultSettings()) },
		"erase":    func(a practice.Actor) error { return f.EraseSignOffName(ctx, a, p.Learner) },
		"people":   func(a practice.Actor) error { _, _, err := f.AddPerson(ctx, a, "x", "steward"); return err },
	} {
		assert.ErrorIs(t, act(steward), curriculum.ErrDenied, name)
		assert.ErrorIs(t, act(learner), curriculum.ErrDenied, name)
	}
	for name, act := range map[string]func() error{
		"witness":  func() error { _, err := f.Witness(ctx, learner, practice.Witnessing{Place: p}); return err },
		"check in": func() error { _, err := f.CheckIn(ctx, learner, practice.CheckingIn{Place: p}); return err },
		"revoke":   func() error { _, err := f.Revoke(ctx, learner, practice.Changing{Place: p, Reason: "x"}); return err },
		"find":     func() error { _, err := f.FindSignOff(ctx, learner, ""); return err },
		"today":    func() error { _, err := f.SignOffToday(ctx, learner, p.Lathe); return err },
		"history":  func() error { _, err := f.SignOffHistory(ctx, learner, p.Learner); return err },
		"card":     func() error { _, err := f.SignOffCard(ctx, learner, p.Learner); return err },
		"end":      func() error { _, err := f.ChainEnd(ctx, learner); return err },
		"sitting": func() error {
			_, err := f.OpenSitting(ctx, learner, practice.OpeningSitting{Place: p, Kind: signoff.SittingRecheck})
			return err
		},
	} {
		assert.ErrorIs(t, act(), curriculum.ErrDenied, name)
	}
	_, err := f.SignOffs(ctx, learner, f.learners[1].ID)
	assert.ErrorIs(t, err, curriculum.ErrNotFound)

	// A steward who stands on the class list under the same name.
	self := f.steward(t, strings.ToLower(f.learners[0].Name))
	o, _ := signoff.OperationOf(signoff.Turning)
	items := map[string]string{}
	for _, it := range o.Checklist {
		items[it.ID] = signoff.Done
	}
	_, err = f.Witness(ctx, self, practice.Witnessing{Place: p, Job: "x", Items: items})
	assert.ErrorContains(t, err, "nobody signs for themselves")

	// Another workshop's people see nothing.
	_, stranger, err := f.Begin(ctx, "Another workshop", "Somebody", "in")
	require.NoError(t, err)
	_, err = f.Revoke(ctx, practice.Actor{ID: stranger.ID, Workshop: stranger.Workshop, Role: stranger.Role}, practice.Changing{Place: p, Reason: "x"})
	assert.ErrorIs(t, err, curriculum.ErrInvalid)
}

// TestTwoAtOnce: two instructors decide at the same moment on the same evidence;
// the second finds it used up.
func TestTwoAtOnce(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		f.master(t, db, 0)
		steward := f.steward(t, "Door")
		p := f.place(0, signoff.Turning)
		f.sit(t, f.instructor, p, signoff.SittingTheory, 0)
		f.witness(t, steward, p)
		f.now = f.now.Add(24 * time.Hour)
		f.witness(t, steward, p)
		_, err := f.Measure(t.Context(), f.instructor, piece(t, p))
		require.NoError(t, err)
		const at = 4
		errs := make([]error, at)
		var wg sync.WaitGroup
		for i := range at {
			wg.Go(func() {
				_, errs[i] = f.Decide(t.Context(), f.instructor, practice.Deciding{Place: p, Granted: true, Age: true, Restriction: fmt.Sprint(i)})
			})
		}
		wg.Wait()
		granted := 0
		for _, err := range errs {
			if err == nil {
				granted++
				continue
			}
			assert.ErrorIs(t, err, curriculum.ErrConflict)
		}
		assert.Equal(t, 1, granted)
	})
}

// TestLimitsOfATestPiece: lead and spacing about the nominal size, the pitch
// diameter of M24 x 2 6g from ISO 965-1: 22.701 mm less 0.038 mm, tolerance
// 0.170 mm.
func TestLimitsOfATestPiece(t *testing.T) {
	t.Parallel()
	got, starts, err := practice.MeasuresFor(signoff.MultiStart, "M24xPh6P2-6g")
	require.NoError(t, err)
	assert.Equal(t, 3, starts)
	assert.Equal(t, []signoff.Measure{
		{What: "lead over 5 turns", Low: "29.95 mm", High: "30.05 mm"},
		{What: "start 2 from start 1", Low: "1.95 mm", High: "2.05 mm"},
		{What: "start 3 from start 2", Low: "1.95 mm", High: "2.05 mm"},
		{What: "pitch diameter", Low: "22.493 mm", High: "22.663 mm"},
	}, got)
	_, _, err = practice.MeasuresFor(signoff.SingleStart, "nonsense")
	assert.ErrorIs(t, err, curriculum.ErrInvalid)
	got, _, err = practice.MeasuresFor(signoff.SingleStart, "1/2-13 UNC")
	require.NoError(t, err)
	assert.Contains(t, got[0].Low, "mm")
}

// threeStarts is a job whose minutes can be told.
func threeStarts(t *testing.T) threadmath.Request {
	t.Helper()
	r, err := threadmath.ParseRequest([]byte(`{"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm"},
		"cut": {"first_cut": "0.25 mm", "least_cut": "0.03 mm", "spring_passes": 2, "spindle_rpm": 40, "reaction_s": 0.7, "groove": "8 mm", "tool_width": "3 mm"}}`))
	require.NoError(t, err)
	return r
}

// modelsOf are the names of a skill's item models.
func modelsOf(t *testing.T, skill string) []string {
	t.Helper()
	models, err := generate.Models(skill)
	require.NoError(t, err)
	out := make([]string, len(models))
	for i, m := range models {
		out[i] = m.Name
	}
	return out
}
