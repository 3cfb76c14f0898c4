package signoff_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/signoff"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// shop writes lines the way the service does, at a clock that tests turn.
type shop struct {
	t     *testing.T
	now   time.Time
	lines []curriculum.Line
}

func newShop(t *testing.T) *shop {
	return &shop{t: t, now: time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)}
}

func (s *shop) line(kind, operation, by string, body any) {
	s.t.Helper()
	data, err := curriculum.Canonical(body)
	require.NoError(s.t, err)
	s.lines = append(s.lines, curriculum.Line{
		Seq: int64(len(s.lines) + 1), At: s.now, Kind: kind, Subject: "learner", By: by, Lathe: "lathe", Operation: operation, Body: data,
	})
}

func (s *shop) record() *signoff.Record {
	s.t.Helper()
	r, err := signoff.Read(s.lines, nil)
	require.NoError(s.t, err)
	return r
}

func (s *shop) state(operation string) signoff.State {
	s.t.Helper()
	return s.record().State("learner", "lathe", operation, s.now)
}

func (s *shop) later(d time.Duration) { s.now = s.now.Add(d) }

const day = 24 * time.Hour

// sit opens a sitting and hands it in.
func (s *shop) sit(kind, operation string, passed bool) {
	opened, done := signoff.KindTheoryOpened, signoff.KindTheory
	if kind == signoff.SittingRecheck {
		opened, done = signoff.KindRecheckOpened, signoff.KindRecheck
	}
	id := fmt.Sprint(len(s.lines))
	s.line(opened, operation, "instructor", signoff.Opened{Sitting: id, Closes: s.now.Add(time.Hour).UnixMilli()})
	s.later(30 * time.Minute)
	s.line(done, operation, "instructor", signoff.Sat{Sitting: id, Marks: 9, OutOf: 10, PassMark: 80, Passed: passed})
}

func (s *shop) demonstrate(operation, witness string, passed bool) {
	s.line(signoff.KindDemonstration, operation, witness, signoff.Demonstration{Version: 1, Passed: passed})
}

func (s *shop) piece(operation string, accepted bool) {
	s.line(signoff.KindTestPiece, operation, "instructor", signoff.TestPiece{Accepted: accepted})
}

// evidence gathers all that a decision takes, over two days.
func (s *shop) evidence(operation string) {
	s.sit(signoff.SittingTheory, operation, true)
	s.demonstrate(operation, "steward", true)
	s.later(day)
	s.demonstrate(operation, "steward", true)
	s.piece(operation, true)
}

func (s *shop) decide(operation, restriction string) {
	s.t.Helper()
	d, err := s.record().Decide("learner", "lathe", operation, signoff.Decision{Granted: true, Age: true, Restriction: restriction}, s.now)
	require.NoError(s.t, err)
	s.line(signoff.KindDecision, operation, "instructor", d)
}

func (s *shop) sign(operation string) {
	s.t.Helper()
	s.evidence(operation)
	s.decide(operation, "")
}

func (s *shop) all() {
	s.t.Helper()
	for _, o := range signoff.Operations() {
		s.sign(o.Slug)
	}
}

// TestTheWayToASignOff takes one step after the other; nothing but the whole of
// it lets a person use the lathe.
func TestTheWayToASignOff(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	state := s.state(signoff.Turning)
	assert.Equal(t, signoff.None, state.Status)
	assert.NotEmpty(t, state.Why)
	assert.ErrorContains(t, s.record().MayDemonstrate("learner", "lathe", signoff.Turning, s.now), "theory")

	granted := signoff.Decision{Granted: true, Age: true}
	for i, step := range []func(){
		func() { s.sit(signoff.SittingTheory, signoff.Turning, true) },
		func() { s.demonstrate(signoff.Turning, "steward", true) },
		func() { s.demonstrate(signoff.Turning, "steward", true) }, // the same day
		func() { s.later(day); s.demonstrate(signoff.Turning, "steward", false) },
		func() { s.demonstrate(signoff.Turning, "steward", true) },
		func() { s.piece(signoff.Turning, false) },
	} {
		step()
		assert.Equal(t, signoff.Training, s.state(signoff.Turning).Status, "after step %d", i)
		_, err := s.record().Decide("learner", "lathe", signoff.Turning, granted, s.now)
		require.ErrorIs(t, err, curriculum.ErrConflict, "after step %d", i)
	}
	s.piece(signoff.Turning, true)
	assert.Equal(t, signoff.Ready, s.state(signoff.Turning).Status)
	assert.False(t, s.state(signoff.Turning).MayUse)

	_, err := s.record().Decide("learner", "lathe", signoff.Turning, signoff.Decision{Granted: true}, s.now)
	assert.ErrorContains(t, err, "18 or older", "the age is stated, not kept")
	_, err = s.record().Decide("learner", "lathe", signoff.Turning, signoff.Decision{}, s.now)
	assert.ErrorContains(t, err, "/reason")

	s.decide(signoff.Turning, "not above 380 rpm")
	state = s.state(signoff.Turning)
	assert.True(t, state.MayUse)
	assert.Equal(t, "not above 380 rpm", state.Restriction)
	assert.Equal(t, "instructor", state.SignedBy)
	assert.EqualValues(t, len(s.lines), state.SignedLine)
	assert.Equal(t, s.now.AddDate(1, 0, 0), state.Expires)
	assert.Equal(t, s.now.Add(90*day), state.Until, "the lapse comes first")

	// Nothing of it holds elsewhere.
	assert.False(t, s.record().State("learner", "other lathe", signoff.Turning, s.now).MayUse)
	assert.False(t, s.record().State("other", "lathe", signoff.Turning, s.now).MayUse)
	assert.False(t, s.state(signoff.SingleStart).MayUse)
	// Evidence is used up: a second decision takes new.
	_, err = s.record().Decide("learner", "lathe", signoff.Turning, granted, s.now)
	assert.ErrorIs(t, err, curriculum.ErrConflict)
}

func TestMultiStartComesLast(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.sign(signoff.Turning)
	s.sit(signoff.SittingTheory, signoff.MultiStart, true)
	err := s.record().MayDemonstrate("learner", "lathe", signoff.MultiStart, s.now)
	require.ErrorContains(t, err, "single-start threading on this lathe comes first")
	s.sign(signoff.SingleStart)
	s.sign(signoff.MultiStart)
	require.True(t, s.state(signoff.MultiStart).MayUse)
	// What it builds on is taken back: it goes with it, and comes back with it.
	s.line(signoff.KindRestriction, signoff.Turning, "instructor", signoff.Reason{Restriction: "under direct supervision", Reason: "new chuck"})
	assert.Equal(t, "under direct supervision", s.state(signoff.MultiStart).Restriction)
	s.line(signoff.KindRevocation, signoff.Turning, "steward", signoff.Reason{Reason: "measured with the spindle turning"})
	state := s.state(signoff.MultiStart)
	assert.False(t, state.MayUse)
	assert.Equal(t, "basic turning on this lathe is revoked", state.Why)
	s.sign(signoff.Turning)
	assert.True(t, s.state(signoff.MultiStart).MayUse)
	assert.Empty(t, s.state(signoff.MultiStart).Restriction, "a new decision has its own restriction")
}

func TestEvidenceIsGoneAfterARevocation(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.evidence(signoff.Turning)
	s.decide(signoff.Turning, "")
	s.line(signoff.KindRevocation, signoff.Turning, "steward", signoff.Reason{Reason: "left the key in the chuck"})
	state := s.state(signoff.Turning)
	assert.Equal(t, signoff.Revoked, state.Status)
	assert.Contains(t, state.Why, "left the key in the chuck")
	for _, step := range state.Steps {
		assert.False(t, step.Done, step.Name)
	}
	assert.ErrorIs(t, s.record().MayChange("learner", "lathe", signoff.Turning, s.now), curriculum.ErrConflict, "it cannot be revoked twice")
	// The pause between tries is not shortened by it.
	s.later(-23 * time.Hour)
	s.sit(signoff.SittingTheory, signoff.Turning, false)
	s.later(23 * time.Hour)
	assert.ErrorIs(t, s.record().MayOpen(signoff.SittingTheory, "learner", "lathe", signoff.Turning, s.now), curriculum.ErrConflict)
}

func TestPauseBetweenTries(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	may := func() error {
		return s.record().MayOpen(signoff.SittingTheory, "learner", "lathe", signoff.Turning, s.now)
	}
	require.NoError(t, may())
	begun := s.now
	s.line(signoff.KindTheoryOpened, signoff.Turning, "instructor", signoff.Opened{Sitting: "x", Closes: s.now.Add(time.Hour).UnixMilli()})
	s.later(59 * time.Minute)
	assert.ErrorContains(t, may(), "a sitting is open until 2026-03-02 19:00")
	s.later(2 * time.Minute) // never handed in: that was a try
	assert.ErrorContains(t, may(), "next try can begin on 2026-03-03 18:00")
	s.now = begun.Add(day - time.Millisecond)
	require.Error(t, may())
	s.now = begun.Add(day)
	require.NoError(t, may())
	assert.ErrorContains(t, s.record().MayOpen(signoff.SittingRecheck, "learner", "lathe", signoff.Turning, s.now), "there is none")
}

func TestLapseAndRecheck(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.all()
	signed := s.now
	s.now = signed.Add(80 * day)
	require.True(t, s.state(signoff.MultiStart).MayUse)
	// A check-in for multi-start keeps what it builds on in practice too.
	s.line(signoff.KindCheckIn, signoff.MultiStart, "steward", signoff.CheckIn{Job: "Tr 24x10 P5", Second: "other"})
	s.now = signed.Add(120 * day)
	for _, o := range signoff.Operations() {
		assert.True(t, s.state(o.Slug).MayUse, o.Slug)
	}
	// One for turning does not keep threading in practice.
	s.line(signoff.KindCheckIn, signoff.Turning, "steward", signoff.CheckIn{Job: "a spindle", Second: "other"})
	s.now = signed.Add(171 * day)
	assert.Equal(t, signoff.Lapsed, s.state(signoff.MultiStart).Status)
	assert.Equal(t, signoff.Lapsed, s.state(signoff.SingleStart).Status)
	assert.True(t, s.state(signoff.Turning).MayUse)

	s.sit(signoff.SittingRecheck, signoff.SingleStart, true)
	require.True(t, s.state(signoff.SingleStart).MayUse)
	s.sit(signoff.SittingRecheck, signoff.MultiStart, false)
	assert.Contains(t, s.state(signoff.MultiStart).Why, "re-check was not passed")
	require.ErrorContains(t, s.record().MayOpen(signoff.SittingRecheck, "learner", "lathe", signoff.MultiStart, s.now), "next try")
	s.later(day)
	s.sit(signoff.SittingRecheck, signoff.MultiStart, true)
	assert.True(t, s.state(signoff.MultiStart).MayUse)
	// A re-check at the door that is not passed stops at once.
	s.sit(signoff.SittingRecheck, signoff.MultiStart, false)
	assert.False(t, s.state(signoff.MultiStart).MayUse)
}

func TestExpiry(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.all()
	signed := s.state(signoff.MultiStart).SignedAt
	for range 6 { // in use all the time
		s.later(60 * day)
		s.line(signoff.KindCheckIn, signoff.MultiStart, "steward", signoff.CheckIn{Job: "practice"})
	}
	s.now = signed.AddDate(1, 0, 0).Add(-time.Millisecond)
	assert.Equal(t, signoff.Signed, s.state(signoff.MultiStart).Status)
	assert.False(t, s.state(signoff.MultiStart).MayUse, "turning was signed off earlier, so it ran out earlier")
	s.later(time.Millisecond)
	state := s.state(signoff.MultiStart)
	assert.Equal(t, signoff.Expired, state.Status)
	assert.Equal(t, "ran out on 2027-03-05", state.Why)
	assert.ErrorContains(t, s.record().MayOpen(signoff.SittingRecheck, "learner", "lathe", signoff.MultiStart, s.now), "run out")
	s.all()
	assert.True(t, s.state(signoff.MultiStart).MayUse)
}

// TestOldEvidence: what was shown more than a year ago does not count.
func TestOldEvidence(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.evidence(signoff.Turning)
	s.now = s.now.AddDate(1, 0, 0)
	_, err := s.record().Decide("learner", "lathe", signoff.Turning, signoff.Decision{Granted: true, Age: true}, s.now)
	require.ErrorContains(t, err, "theory")
	s.sit(signoff.SittingTheory, signoff.Turning, true)
	_, err = s.record().Decide("learner", "lathe", signoff.Turning, signoff.Decision{Granted: true, Age: true}, s.now)
	require.ErrorContains(t, err, "demonstrations")
}

func TestShortMonths(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		zone, from, to string
		months         int
	}{
		{"UTC", "2028-02-29T10:00:00Z", "2029-02-28T10:00:00Z", 12},
		{"UTC", "2026-08-31T10:00:00Z", "2026-09-30T10:00:00Z", 1},
		{"UTC", "2026-12-31T23:30:00Z", "2027-06-30T23:30:00Z", 6},
		// Noon in summer is noon in winter, over the change of the clocks.
		{"Europe/Berlin", "2026-07-01T10:00:00Z", "2027-01-01T11:00:00Z", 6},
	} {
		s := newShop(t)
		rules := signoff.DefaultSettings()
		rules.Zone, rules.ValidMonths = c.zone, c.months
		s.line(signoff.KindSettings, "", "instructor", rules)
		from, err := time.Parse(time.RFC3339, c.from)
		require.NoError(t, err)
		s.now = from.Add(-day - 30*time.Minute)
		s.sign(signoff.Turning)
		require.Equal(t, from, s.now)
		assert.Equal(t, c.to, s.state(signoff.Turning).Expires.Format(time.RFC3339), c.from)
	}
}

// TestDaysAreThoseOfTheSite: one evening is one day, whatever the date is in
// Greenwich.
func TestDaysAreThoseOfTheSite(t *testing.T) {
	t.Parallel()
	for zone, want := range map[string]bool{"UTC": true, "America/New_York": false} {
		s := newShop(t)
		rules := signoff.DefaultSettings()
		rules.Zone = zone
		s.line(signoff.KindSettings, "", "instructor", rules)
		s.now = time.Date(2026, 3, 2, 22, 0, 0, 0, time.UTC)
		s.sit(signoff.SittingTheory, signoff.Turning, true)
		s.demonstrate(signoff.Turning, "steward", true)
		s.later(3 * time.Hour) // 01:30 in Greenwich, 20:30 in New York
		s.demonstrate(signoff.Turning, "steward", true)
		s.piece(signoff.Turning, true)
		assert.Equal(t, want, s.state(signoff.Turning).Status == signoff.Ready, zone)
	}
}

func TestSecondWitness(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	rules := signoff.DefaultSettings()
	rules.SecondWitness = true
	s.line(signoff.KindSettings, "", "instructor", rules)
	s.evidence(signoff.Turning)
	state := s.state(signoff.Turning)
	assert.Equal(t, signoff.Training, state.Status)
	assert.Contains(t, fmt.Sprint(state.Steps), "witnessed by somebody else")
	s.demonstrate(signoff.Turning, "instructor", true)
	assert.Equal(t, signoff.Ready, s.state(signoff.Turning).Status)
}

func TestNobodySignsForThemselves(t *testing.T) {
	t.Parallel()
	learner := signoff.Who{Token: "a", Name: "Ines Okafor"}
	assert.ErrorIs(t, signoff.NotOneself(signoff.Who{Token: "a", Name: "x"}, learner), curriculum.ErrDenied)
	assert.ErrorIs(t, signoff.NotOneself(signoff.Who{Token: "b", Name: " ines  OKAFOR"}, learner), curriculum.ErrDenied)
	assert.NoError(t, signoff.NotOneself(signoff.Who{Token: "b", Name: "Jo"}, learner))
}

func TestCheckIn(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	learner, other := signoff.Who{Token: "learner", Name: "Ines"}, signoff.Who{Token: "other", Name: "Jo"}
	err := s.record().MayCheckIn(learner, &other, "lathe", signoff.Turning, s.now)
	require.ErrorIs(t, err, curriculum.ErrDenied)
	s.sign(signoff.Turning)
	r := s.record()
	assert.NoError(t, r.MayCheckIn(learner, &other, "lathe", signoff.Turning, s.now))
	assert.ErrorContains(t, r.MayCheckIn(learner, nil, "lathe", signoff.Turning, s.now), "alone")
	assert.ErrorContains(t, r.MayCheckIn(learner, &learner, "lathe", signoff.Turning, s.now), "somebody else")
	r.Settings.SecondPerson = false
	assert.NoError(t, r.MayCheckIn(learner, nil, "lathe", signoff.Turning, s.now))

	var seen []string
	for _, it := range signoff.DressItems() {
		require.Error(t, signoff.Dressed(seen), "without %s", it.ID)
		seen = append(seen, it.ID)
	}
	assert.NoError(t, signoff.Dressed(seen))
	assert.Error(t, signoff.Dressed(append(seen, "cape")))
}

func TestChecklists(t *testing.T) {
	t.Parallel()
	for _, o := range signoff.Operations() {
		items := map[string]string{}
		for _, it := range o.Checklist {
			require.NotContains(t, items, it.ID, o.Slug)
			items[it.ID] = signoff.Done
		}
		passed, err := signoff.Witnessed(o, items)
		require.NoError(t, err)
		assert.True(t, passed)
		for _, it := range o.Checklist {
			was := items[it.ID]
			items[it.ID] = signoff.NotDone
			passed, err = signoff.Witnessed(o, items)
			assert.NoError(t, err)
			assert.False(t, passed, "every item counts: %s", it.ID)
			items[it.ID] = signoff.NotHere
			_, err = signoff.Witnessed(o, items)
			assert.Equal(t, it.Unless == "", err != nil, it.ID)
			delete(items, it.ID)
			_, err = signoff.Witnessed(o, items)
			assert.ErrorContains(t, err, it.Text, "an item left out is named")
			items[it.ID] = was
		}
		items["dance"] = signoff.Done
		_, err = signoff.Witnessed(o, items)
		assert.ErrorIs(t, err, curriculum.ErrInvalid)
	}
}

// TestSkillsOfEveryLathe: eight to ten skills of the lathe at hand, the safety
// one always among them, and none about a part that the lathe does not have.
func TestSkillsOfEveryLathe(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	about := map[string]bool{}
	for _, l := range lathes {
		turning := 0
		for _, units := range []threadmath.System{threadmath.Metric, threadmath.Inch} {
			serves := func(skill string) bool { return generate.Serves(skill, l, units) == nil }
			multi := signoff.Skills(signoff.MultiStart, l, serves)
			assert.GreaterOrEqual(t, len(multi), 8, "%s: %v", l.Name, multi)
			assert.LessOrEqual(t, len(multi), 11, l.Name)
			assert.Subset(t, multi, []string{"safe-multi-start", "run-out", "safe-order"}, l.Name)
			for _, o := range signoff.Operations() {
				own := signoff.Skills(o.Slug, l, serves)
				assert.Equal(t, curriculum.SafetySkillOf(o.Slug), own[0], "%s on %s: its own safety comes first", o.Slug, l.Name)
			}
			if len(l.ThreadDials) == 0 {
				assert.NotContains(t, multi, "thread-dial", l.Name)
			}
			if l.CompoundSlide == nil {
				assert.NotContains(t, multi, "axial-offset", l.Name)
			}
			assert.NotEmpty(t, signoff.Skills(signoff.SingleStart, l, serves), l.Name)
			turning += len(signoff.Skills(signoff.Turning, l, serves))
			about[strings.Join(multi, " ")] = true
		}
		assert.Positive(t, turning, "%s: in the units of its collars, if in no other", l.Name)
	}
	assert.Greater(t, len(about), 1, "the lathes differ, and so do their tests")
}

func TestMark(t *testing.T) {
	t.Parallel()
	exercise := func(skill string, marks int) curriculum.Exercise {
		return curriculum.Exercise{Skill: skill, Parts: []curriculum.Part{{ID: "a", Marks: marks}}}
	}
	verdict := func(marks int, o curriculum.Outcome) []curriculum.Verdict {
		return []curriculum.Verdict{{Part: "a", Marks: marks, Outcome: o}}
	}
	es := []curriculum.Exercise{exercise("lead", 2), exercise("depth-60", 2), exercise("run-out", 1)}
	for name, c := range map[string]struct {
		verdicts [][]curriculum.Verdict
		theory   bool
		recheck  bool
	}{
		"all right":         {[][]curriculum.Verdict{verdict(2, curriculum.Right), verdict(2, curriculum.Right), verdict(1, curriculum.Right)}, true, true},
		"80 % exactly":      {[][]curriculum.Verdict{verdict(2, curriculum.Right), verdict(1, curriculum.UnitSlip), verdict(1, curriculum.Right)}, true, false},
		"60 %":              {[][]curriculum.Verdict{verdict(2, curriculum.Right), verdict(0, curriculum.Unknown), verdict(1, curriculum.Right)}, false, false},
		"safety missed":     {[][]curriculum.Verdict{verdict(2, curriculum.Right), verdict(2, curriculum.Right), verdict(0, curriculum.Unknown)}, false, false},
		"safety, follows":   {[][]curriculum.Verdict{verdict(2, curriculum.Right), verdict(2, curriculum.Right), verdict(1, curriculum.FollowThrough)}, false, false},
		"nothing handed in": {nil, false, false},
	} {
		got := signoff.Mark(signoff.SittingTheory, es, c.verdicts, 80)
		assert.Equal(t, c.theory, got.Passed, name)
		assert.Equal(t, 5, got.OutOf, name)
		assert.Equal(t, c.recheck, signoff.Mark(signoff.SittingRecheck, es, c.verdicts, 80).Passed, name)
	}
}

func TestGuardBand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		low, high, measured, u, want string
	}{
		{"29.95 mm", "30.05 mm", "30.00 mm", "0.02 mm", signoff.Inside},
		{"29.95 mm", "30.05 mm", "30.03 mm", "0.02 mm", signoff.Inside}, // on the band's edge
		{"29.95 mm", "30.05 mm", "30.0300001 mm", "0.02 mm", signoff.Unsure},
		{"29.95 mm", "30.05 mm", "30.07 mm", "0.02 mm", signoff.Unsure},
		{"29.95 mm", "30.05 mm", "30.0700001 mm", "0.02 mm", signoff.Outside},
		{"29.95 mm", "30.05 mm", "29.97 mm", "0.02 mm", signoff.Inside},
		{"29.95 mm", "30.05 mm", "29.94 mm", "0.02 mm", signoff.Unsure},
		{"29.95 mm", "30.05 mm", "29.92 mm", "0.02 mm", signoff.Outside},
		{"", "1 in", "0.998 in", "1 thou", signoff.Inside},
		{"25.4 mm", "", "1 in", "0.001 mm", signoff.Unsure},
		{"1 in", "", "25.401 mm", "1 µm", signoff.Inside}, // exact across units
	} {
		m, err := signoff.Measure{What: "x", Low: c.low, High: c.high, Measured: c.measured, U: c.u}.Judge("/measures/0")
		require.NoError(t, err)
		assert.Equal(t, c.want, m.Result, "%+v", c)
	}
	for _, m := range []signoff.Measure{
		{Measured: "1 mm", U: "0.01 mm"},
		{Low: "2 mm", High: "1 mm", Measured: "1 mm", U: "0.01 mm"},
		{Low: "1 mm", Measured: "1 mm", U: "0 mm"},
		{Low: "1 mm", Measured: "1", U: "0.01 mm"},
		{Low: "1 mm", High: "1.01 mm", Measured: "1.005 mm", U: "0.006 mm"},
	} {
		_, err := m.Judge("/measures/3")
		var field *curriculum.FieldError
		require.True(t, errors.As(err, &field), "%+v", m)
		assert.Contains(t, field.Path, "/measures/3/")
	}
}

// TestGuardBandRisk: at the edge of the band the probability that the true size
// lies beyond the limit is that of a normal value two standard uncertainties
// off, 2.3 % (JCGM 106:2012, 8.3.2, r = 1; arithmetic of the normal
// distribution).
func TestGuardBandRisk(t *testing.T) {
	t.Parallel()
	const limit, u = 30.05, 0.02
	edge := 0.0
	for x := 30.0; x < 30.1; x += 0.0001 {
		m, err := signoff.Measure{High: "30.05 mm", Measured: fmt.Sprintf("%.4f mm", x), U: "0.02 mm"}.Judge("")
		require.NoError(t, err)
		if m.Result == signoff.Inside {
			edge = x
		}
	}
	risk := math.Erfc((limit-edge)/(u/2)/math.Sqrt2) / 2
	assert.InDelta(t, 0.0228, risk, 0.0005)
}

func TestTestPiece(t *testing.T) {
	t.Parallel()
	size := func(what string) signoff.Measure {
		return signoff.Measure{What: what, Low: "9.9 mm", High: "10.1 mm", Measured: "10 mm", U: "0.02 mm"}
	}
	assert.Equal(t, []string{"lead over 5 turns", "start 2 from start 1", "start 3 from start 2", "pitch diameter"}, signoff.SizesFor(signoff.MultiStart, 3))
	var ms []signoff.Measure
	for _, what := range signoff.SizesFor(signoff.MultiStart, 3) {
		_, _, err := signoff.Accept(signoff.MultiStart, 3, ms)
		require.ErrorContains(t, err, "is not measured")
		ms = append(ms, size(what))
	}
	judged, ok, err := signoff.Accept(signoff.MultiStart, 3, ms)
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, signoff.Inside, judged[0].Result)
	ms[1].Measured = "10.09 mm"
	_, ok, err = signoff.Accept(signoff.MultiStart, 3, ms)
	require.NoError(t, err)
	assert.False(t, ok, "between the bands nothing is accepted")
	_, _, err = signoff.Accept(signoff.MultiStart, 3, append(ms, ms[0]))
	assert.ErrorContains(t, err, "twice")
}

func TestSettings(t *testing.T) {
	t.Parallel()
	require.NoError(t, signoff.DefaultSettings().Check())
	for _, change := range []func(*signoff.Settings){
		func(s *signoff.Settings) { s.PassMark = 79 },
		func(s *signoff.Settings) { s.PassMark = 101 },
		func(s *signoff.Settings) { s.WaitHours = 23 },
		func(s *signoff.Settings) { s.ValidMonths = 25 },
		func(s *signoff.Settings) { s.LapseDays = 0 },
		func(s *signoff.Settings) { s.MinimumAge = -1 },
		func(s *signoff.Settings) { s.SittingMinutes = 0 },
		func(s *signoff.Settings) { s.Zone = "Kiln Row" },
		func(s *signoff.Settings) { s.Zone = "Local" },
		func(s *signoff.Settings) { s.Zone = "" },
	} {
		s := signoff.DefaultSettings()
		change(&s)
		assert.ErrorIs(t, s.Check(), curriculum.ErrInvalid, "%+v", s)
	}
	_, err := signoff.Text("/reason", "  ", false)
	assert.Error(t, err)
	text, err := signoff.Text("/reason", " a \n b ", false)
	assert.NoError(t, err)
	assert.Equal(t, "a b", text)
	_, err = signoff.Text("/reason", strings.Repeat("x", 301), true)
	assert.Error(t, err)
}

func TestUnknownKind(t *testing.T) {
	t.Parallel()
	_, err := signoff.Read([]curriculum.Line{{Seq: 4, Kind: "party", Body: []byte("{}")}}, nil)
	assert.ErrorContains(t, err, "line 4")
}

// TestOneOfTwoTokens: a person who was renamed has two tokens and one file.
func TestOneOfTwoTokens(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.evidence(signoff.Turning)
	for i := range s.lines[:2] {
		s.lines[i].Subject = "old name"
	}
	r, err := signoff.Read(s.lines, func(token string) string { return strings.Replace(token, "old name", "learner", 1) })
	require.NoError(t, err)
	assert.Equal(t, signoff.Ready, r.State("learner", "lathe", signoff.Turning, s.now).Status)
	assert.Equal(t, []string{"learner"}, r.Subjects("lathe"))
}
