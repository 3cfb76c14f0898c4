package practice_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// refusedAt is the field that a request is refused for.
func refusedAt(t *testing.T, err error, path, reason string) {
	t.Helper()
	var field *curriculum.FieldError
	require.ErrorAs(t, err, &field)
	assert.Equal(t, path, field.Path)
	assert.Contains(t, field.Reason, reason)
}

// TestALatheOutOfUse: while it is, nobody may use it, whatever was signed off, and
// nothing new is planned for it; the record of sign-offs does not change.
func TestALatheOutOfUse(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		steward, p := f.steward(t, "Door"), f.place(0, signoff.Turning)
		f.master(t, db, 0)
		require.True(t, f.signUp(t, steward, 0, signoff.Turning).MayUse)
		_, err := f.SetJob(ctx, f.instructor, curriculum.Job{Class: f.class.ID, Learner: p.Learner, Lathe: p.Lathe, Request: threeStarts(t), Allowed: true})
		require.NoError(t, err)
		_, err = f.SetCourse(ctx, f.instructor, f.class.ID, 0, f.courseSpec())
		require.NoError(t, err)
		_, _, err = f.JobCard(ctx, f.instructor, f.class.ID, p.Learner)
		require.NoError(t, err)
		spec := curriculum.ShopSpec{Title: "Evening", Lathes: []string{}, CheckMinutes: 5}
		for _, l := range mustLathes(t, f) {
			spec.Lathes = append(spec.Lathes, l.ID)
		}
		begins := f.now.Add(48 * time.Hour)
		session, err := f.PlanShop(ctx, f.instructor, f.class.ID, begins, spec)
		require.NoError(t, err)
		hasTurn := func(s curriculum.ShopSession) bool {
			return slices.ContainsFunc(s.Plan.Bookings, func(b curriculum.Booking) bool {
				return b.Kind == curriculum.BookedLathe && b.Learner == p.Learner && b.Place == p.Lathe
			})
		}
		require.True(t, hasTurn(session))
		end, err := f.ChainEnd(ctx, f.instructor)
		require.NoError(t, err)

		// Who stands there and sees it says so, once; another reason does not cover up the first.
		learner := f.join(t, 0, "4711")
		_, err = f.TakeOutOfUse(ctx, learner, p.Lathe, "chuck guard broken")
		require.ErrorIs(t, err, curriculum.ErrDenied)
		_, err = f.TakeOutOfUse(ctx, steward, p.Lathe, " ")
		refusedAt(t, err, "/reason", "is empty")
		stranger := f.instructor
		stranger.Workshop = "elsewhere"
		_, err = f.TakeOutOfUse(ctx, stranger, p.Lathe, "chuck guard broken")
		require.ErrorIs(t, err, curriculum.ErrNotFound)
		l, err := f.TakeOutOfUse(ctx, steward, p.Lathe, " chuck guard  broken")
		require.NoError(t, err)
		assert.Equal(t, &curriculum.Ending{At: f.now, By: steward.ID, Reason: "chuck guard broken"}, l.OutOfUse)
		version := l.Version
		l, err = f.TakeOutOfUse(ctx, steward, p.Lathe, "chuck guard broken")
		require.NoError(t, err)
		assert.Equal(t, version, l.Version, "sent again it changes nothing")
		_, err = f.TakeOutOfUse(ctx, f.instructor, p.Lathe, "coolant leaks")
		require.ErrorIs(t, err, curriculum.ErrConflict)
		why := "is out of use since " + f.now.Format(time.DateOnly) + " (Door): chuck guard broken"
		assert.ErrorContains(t, err, "already, since "+f.now.Format(time.DateOnly)+" (Door): chuck guard broken")
		_, err = f.PutBackInUse(ctx, steward, p.Lathe)
		require.ErrorIs(t, err, curriculum.ErrDenied)

		// Who may use it: nobody, and every answer says why.
		today, err := f.SignOffToday(ctx, steward, p.Lathe)
		require.NoError(t, err)
		assert.Empty(t, today.MayUse)
		assert.Equal(t, why, today.Why)
		assert.Equal(t, l.OutOfUse, today.Lathe.OutOfUse)
		own, err := f.SignOffs(ctx, learner, learner.ID)
		require.NoError(t, err)
		out := 0
		for _, s := range own.States {
			if s.Lathe != p.Lathe {
				assert.Nil(t, s.OutOfUse)
				continue
			}
			out++
			assert.False(t, s.MayUse)
			assert.Zero(t, s.Until)
			assert.Equal(t, "this lathe "+why, s.Why)
			assert.Equal(t, l.OutOfUse, s.OutOfUse)
			if s.Operation == signoff.Turning {
				assert.Equal(t, signoff.Signed, s.Status, "the record stays as it is")
			}
		}
		assert.Equal(t, len(signoff.Operations()), out)
		card, err := f.SignOffCard(ctx, steward, p.Learner)
		require.NoError(t, err)
		assert.True(t, slices.ContainsFunc(card.States, func(s practice.SignOffState) bool { return s.Lathe == p.Lathe && s.MayUse }), "a card outlasts a repair")
		found, err := f.FindSignOff(ctx, steward, card.Code)
		require.NoError(t, err)
		state, err := f.SignOff(ctx, steward, found[0].ID, p.Lathe, signoff.Turning)
		require.NoError(t, err)
		assert.Equal(t, "this lathe "+why, state.Why, "where the code of the card leads")

		// Nothing is got ready for it, and nothing begun at it.
		prepared, _, err := f.Preparation(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Empty(t, prepared.Groups)
		require.Len(t, prepared.Without, 1)
		assert.Contains(t, prepared.Without[0].Is, why)
		_, err = f.CheckIn(ctx, steward, practice.CheckingIn{Place: p, Job: "stepped shaft", Second: f.learners[1].ID, Dress: dress()})
		require.ErrorIs(t, err, curriculum.ErrConflict)
		require.ErrorContains(t, err, why)
		items := map[string]string{}
		o, _ := signoff.OperationOf(signoff.Turning)
		for _, it := range o.Checklist {
			items[it.ID] = signoff.Done
		}
		_, err = f.Witness(ctx, steward, practice.Witnessing{Place: p, Job: "stepped shaft", Items: items})
		require.ErrorContains(t, err, why)
		after, err := f.ChainEnd(ctx, f.instructor)
		require.NoError(t, err)
		assert.Equal(t, end, after, "no line of the record was added")

		// No card, no turn, and nothing new is planned for it.
		var refused *curriculum.RefusedCard
		_, _, err = f.JobCard(ctx, f.instructor, f.class.ID, p.Learner)
		require.ErrorAs(t, err, &refused)
		assert.Equal(t, []curriculum.CardReason{{Path: "/lathe", Why: "the lathe " + why}}, refused.Reasons)
		jobs, err := f.Jobs(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Equal(t, "the lathe "+why, jobs[0].Why)
		assert.Empty(t, jobs[0].AllowedBy)
		_, _, err = f.BuildSet(ctx, f.instructor, f.class.ID, f.spec())
		refusedAt(t, err, "/lathe", why)
		_, err = f.SetJob(ctx, f.instructor, curriculum.Job{Class: f.class.ID, Learner: f.learners[1].ID, Lathe: p.Lathe, Request: threeStarts(t)})
		refusedAt(t, err, "/lathe", why)
		other, err := f.AddClass(ctx, f.instructor, "Another")
		require.NoError(t, err)
		_, err = f.SetCourse(ctx, f.instructor, other.ID, 0, f.courseSpec())
		refusedAt(t, err, "/lathe", why)
		_, err = f.PlanShop(ctx, f.instructor, f.class.ID, begins, spec)
		refusedAt(t, err, "/spec/lathes/"+string(rune('0'+slices.Index(spec.Lathes, p.Lathe))), why)

		// What had it keeps it, for when it is back.
		kept := jobs[0].Job
		kept.Factor = 1.5
		_, err = f.SetJob(ctx, f.instructor, kept)
		require.NoError(t, err)
		course := f.courseSpec()
		course.Minutes = 120
		_, err = f.SetCourse(ctx, f.instructor, f.class.ID, 1, course)
		require.NoError(t, err)

		// The session that is planned with it says whose turn is lost; planned again
		// it is left out, and with nothing else it cannot be held.
		lost, err := f.ShopLathesOut(ctx, f.instructor, session)
		require.NoError(t, err)
		require.Len(t, lost, 1)
		assert.Equal(t, []string{p.Learner}, lost[0].Turns)
		assert.Equal(t, why, lost[0].Why)
		begin := 30
		fixed := session.Spec
		fixed.Fixed = []curriculum.Fixed{{Learner: p.Learner, Place: p.Lathe, Begin: &begin}}
		session, err = f.ChangeShop(ctx, f.instructor, session.ID, session.Version, begins, fixed)
		require.NoError(t, err, "a decision by hand for it waits as well")
		assert.False(t, hasTurn(session))
		left := slices.IndexFunc(session.Plan.Left, func(l curriculum.LeftOut) bool { return l.Learner == p.Learner })
		require.GreaterOrEqual(t, left, 0)
		assert.Equal(t, "the lathe "+why, session.Plan.Left[left].Why)
		assert.Contains(t, session.Spec.Lathes, p.Lathe)
		assert.False(t, slices.ContainsFunc(session.Plan.Idle.Lathes, func(m curriculum.PlaceMinutes) bool { return m.Place == p.Lathe }))
		alone := session.Spec
		alone.Lathes = []string{p.Lathe}
		_, err = f.ChangeShop(ctx, f.instructor, session.ID, session.Version, begins, alone)
		refusedAt(t, err, "/spec/lathes", f.lathe.Name+" "+why)

		// What does not stand at it goes on.
		_, err = f.CheckLathe(ctx, f.instructor, curriculum.LatheCheck{Lathe: p.Lathe, Entry: "leadscrew", What: "scratch over 10 turns", Predicted: "60 mm", Measured: "60 mm", Division: "0.02 mm"})
		require.NoError(t, err)
		renamed, err := f.ChangeLathe(ctx, f.instructor, p.Lathe, l.Version, "Lathe 2b", f.lathe.Profile)
		require.NoError(t, err)
		assert.NotNil(t, renamed.OutOfUse, "another name puts it not back")

		// Back in use everything is as it was, and the log keeps the reason.
		back, err := f.PutBackInUse(ctx, f.instructor, p.Lathe)
		require.NoError(t, err)
		assert.Nil(t, back.OutOfUse)
		_, err = f.PutBackInUse(ctx, f.instructor, p.Lathe)
		require.NoError(t, err, "a lathe in use stays so")
		today, err = f.SignOffToday(ctx, steward, p.Lathe)
		require.NoError(t, err)
		assert.Len(t, today.MayUse, 1)
		session, err = f.ChangeShop(ctx, f.instructor, session.ID, session.Version, begins, session.Spec)
		require.NoError(t, err)
		assert.True(t, hasTurn(session))
		lost, err = f.ShopLathesOut(ctx, f.instructor, session)
		require.NoError(t, err)
		assert.Empty(t, lost)
		events, _, err := f.Events(ctx, f.instructor, curriculum.EventQuery{About: p.Lathe, Most: 20})
		require.NoError(t, err)
		var said []string
		for _, e := range slices.Backward(events) {
			if strings.Contains(e.What, " use") {
				said = append(said, e.What)
			}
		}
		assert.Equal(t, []string{"lathe taken out of use: chuck guard broken", "lathe put back in use"}, said)
	})
}

// TestAShopSessionIsCalledOff: it stands with its plan and the reason, and is not
// planned again until it is held after all.
func TestAShopSessionIsCalledOff(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		_, err := f.SetJob(ctx, f.instructor, curriculum.Job{Class: f.class.ID, Learner: f.learners[0].ID, Lathe: f.lathe.ID, Request: threeStarts(t), Allowed: true})
		require.NoError(t, err)
		planned, err := f.PlanShop(ctx, f.instructor, f.class.ID, f.now.Add(48*time.Hour), curriculum.ShopSpec{Title: "Evening", Lathes: []string{f.lathe.ID}, CheckMinutes: 5})
		require.NoError(t, err)

		_, err = f.CallOffShop(ctx, f.steward(t, "Door"), planned.ID, "no heating")
		require.ErrorIs(t, err, curriculum.ErrDenied)
		_, err = f.CallOffShop(ctx, f.instructor, planned.ID, "")
		refusedAt(t, err, "/reason", "is empty")
		f.now = f.now.Add(time.Hour)
		off, err := f.CallOffShop(ctx, f.instructor, planned.ID, "no heating")
		require.NoError(t, err)
		assert.Equal(t, &curriculum.Ending{At: f.now, By: f.instructor.ID, Reason: "no heating"}, off.CalledOff)
		assert.Equal(t, planned.Version+1, off.Version, "the calendar's SEQUENCE grows with it")
		assert.Equal(t, f.now, off.Changed)
		assert.Equal(t, planned.Plan, off.Plan)
		again, err := f.CallOffShop(ctx, f.instructor, planned.ID, "no heating")
		require.NoError(t, err)
		assert.Equal(t, off, again)
		_, err = f.CallOffShop(ctx, f.instructor, planned.ID, "nobody comes")
		require.ErrorIs(t, err, curriculum.ErrConflict)
		require.ErrorContains(t, err, "no heating")
		listed, err := f.ShopSessions(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Equal(t, []curriculum.ShopSession{off}, listed)

		_, err = f.ChangeShop(ctx, f.instructor, off.ID, off.Version, off.Begins, off.Spec)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		require.ErrorContains(t, err, "is called off since")
		_, err = f.TakeOutOfUse(ctx, f.instructor, f.lathe.ID, "sold")
		require.NoError(t, err)
		lost, err := f.ShopLathesOut(ctx, f.instructor, off)
		require.NoError(t, err)
		assert.Empty(t, lost, "who has no session loses no turn")
		_, err = f.PutBackInUse(ctx, f.instructor, f.lathe.ID)
		require.NoError(t, err)

		held, err := f.HoldShop(ctx, f.instructor, off.ID)
		require.NoError(t, err)
		assert.Nil(t, held.CalledOff)
		assert.Equal(t, off.Version+1, held.Version)
		_, err = f.ChangeShop(ctx, f.instructor, off.ID, off.Version, off.Begins, off.Spec)
		require.ErrorIs(t, err, curriculum.ErrChanged, "a page that was open meanwhile shows it as it is")
		held, err = f.ChangeShop(ctx, f.instructor, held.ID, held.Version, held.Begins, held.Spec)
		require.NoError(t, err)
		assert.NotEmpty(t, held.Plan.Bookings)
	})
}

// TestASetIsWithdrawn: its sheets are not found, answered or printed any more; what
// was answered before keeps counting, and all of it comes back.
func TestASetIsWithdrawn(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		learner, v := f.join(t, 0, "4711"), f.variants[0]
		f.answer(t, learner, v, 1, right(v.Exercises[0]))
		marks, err := f.ClassMarks(ctx, f.instructor, f.set.ID)
		require.NoError(t, err)
		standing, err := f.Mastery(ctx, learner, learner.ID)
		require.NoError(t, err)
		answered, err := db.Answered(ctx, f.instructor.Workshop, f.class.ID)
		require.NoError(t, err)
		require.NotEmpty(t, answered)

		_, err = f.WithdrawSet(ctx, learner, f.set.ID, "wrong lathe")
		require.ErrorIs(t, err, curriculum.ErrDenied)
		_, err = f.WithdrawSet(ctx, f.instructor, f.set.ID, strings.Repeat("x", 81))
		refusedAt(t, err, "/reason", "is too long")
		out, err := f.WithdrawSet(ctx, f.instructor, f.set.ID, "wrong lathe")
		require.NoError(t, err)
		assert.Equal(t, &curriculum.Ending{At: f.now, By: f.instructor.ID, Reason: "wrong lathe"}, out.Withdrawn)

		sheets, err := f.OwnSheets(ctx, learner)
		require.NoError(t, err)
		assert.Empty(t, sheets)
		const why = "): wrong lathe"
		_, err = f.Variant(ctx, learner, v.Code)
		require.ErrorIs(t, err, curriculum.ErrConflict)
		require.ErrorContains(t, err, "this sheet is withdrawn since")
		require.ErrorContains(t, err, why)
		_, err = f.Submit(ctx, learner, practice.Submission{ID: uuid.NewString(), Variant: v.Code, Position: 2, Answers: right(v.Exercises[1])})
		require.ErrorIs(t, err, curriculum.ErrConflict)
		require.ErrorContains(t, err, why)
		_, err = f.Variant(ctx, f.join(t, 1, "4712"), v.Code)
		require.ErrorIs(t, err, curriculum.ErrNotFound, "nobody else learns that there was one")
		_, err = f.EnterPaper(ctx, f.instructor, f.set.ID, []practice.PaperAnswer{{Variant: v.Code, Position: 2, Answers: right(v.Exercises[1])}})
		require.ErrorContains(t, err, why)
		_, err = f.AskPack(ctx, f.instructor, f.set.ID, "")
		require.ErrorContains(t, err, why)
		_, _, err = f.SetInUse(ctx, f.instructor, f.set.ID)
		require.ErrorContains(t, err, why)

		sets, err := f.Sets(ctx, f.instructor, f.class.ID)
		require.NoError(t, err)
		assert.Equal(t, []curriculum.ClassSet{out}, sets, "it stands in its class's list")
		after, err := f.ClassMarks(ctx, f.instructor, f.set.ID)
		require.NoError(t, err)
		assert.Equal(t, marks.Rows, after.Rows)
		counts, err := f.Mastery(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.Equal(t, standing, counts)
		still, err := db.Answered(ctx, f.instructor.Workshop, f.class.ID)
		require.NoError(t, err)
		assert.Equal(t, answered, still)

		back, err := f.BringSetBack(ctx, f.instructor, f.set.ID)
		require.NoError(t, err)
		assert.Nil(t, back.Withdrawn)
		sheets, err = f.OwnSheets(ctx, learner)
		require.NoError(t, err)
		assert.Len(t, sheets, 1)
		f.answer(t, learner, v, 2, right(v.Exercises[1]))

		// A practice sheet that is withdrawn is not handed out again.
		_, err = f.SetCourse(ctx, f.instructor, f.class.ID, 0, f.courseSpec())
		require.NoError(t, err)
		first, _, err := f.PracticeSheet(ctx, learner, learner.ID)
		require.NoError(t, err)
		_, err = f.WithdrawSet(ctx, f.instructor, first.ID, "too hard")
		require.NoError(t, err)
		second, _, err := f.PracticeSheet(ctx, learner, learner.ID)
		require.NoError(t, err)
		assert.NotEqual(t, first.ID, second.ID)
	})
}
