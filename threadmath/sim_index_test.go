package threadmath_test

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/threadmath"
	"halfnut/threadmath/lathesim"
)

// checkAgainstLathe compares everything that Solve says about indexing with what the simulated lathe does.
func checkAgainstLathe(t tb, j simJob) {
	t.Helper()
	a, err := threadmath.Solve(j.request())
	require.NoError(t, err, j)
	reached := checkHalfNut(t, j, a)
	dialServes := checkDials(t, j, a, reached)
	checkCarriageShift(t, j, a)
	checkCompoundSlide(t, j, a)
	checkAngledSlide(t, j, a)
	checkHolders(t, j, a)
	checkStudGear(t, j, a)
	checkLeadscrewGear(t, j, a)
	checkMethods(t, j, a, dialServes)
}

// checkCarriageShift moves the carriage back by hand, one leadscrew thread after the other.
func checkCarriageShift(t tb, j simJob, a threadmath.Answer) {
	t.Helper()
	l, w := j.setUp(t, nil)
	thread := ratTimes(j.leadscrew.rat(), 1, int64(j.leadscrewStarts))
	step := new(big.Rat).Mul(thread, new(big.Rat).Neg(l.Travel()))

	type shift struct{ distance, clears string }
	shifts := make([]shift, j.starts)
	back, missing, around := new(big.Rat), 2*j.starts, new(big.Rat)
	for missing > 0 {
		if start := cut(t, l, w); start > 0 {
			s := &shifts[start-1]
			if s.distance == "" {
				s.distance = back.RatString()
				missing--
			}
			if s.clears == "" && back.Cmp(j.length.rat()) >= 0 {
				s.clears = back.RatString()
				missing--
			}
			if start == 1 && back.Sign() > 0 && around.Sign() == 0 {
				around = back
			}
		}
		back = new(big.Rat).Add(back, thread)
		require.NoError(t, l.MoveCarriage(step))
		// Once it came round to start 1 everything repeats; past the length by another such distance nothing new comes.
		if around.Sign() > 0 && new(big.Rat).Sub(back, around).Cmp(j.length.rat()) > 0 && back.Cmp(around) > 0 {
			break
		}
	}

	require.NotNil(t, a.CarriageShift, j)
	got := make([]shift, j.starts)
	for _, s := range a.CarriageShift.Shifts {
		require.NotNil(t, s.Clears, j)
		got[s.Start-1] = shift{exactMM(t, s.Distance).RatString(), exactMM(t, *s.Clears).RatString()}
	}
	assert.Equal(t, shifts, got, "carriage shifts: %v", j)
	assert.Equal(t, !slices.Contains(shifts, shift{}), a.CarriageShift.Usable, j)
}

// deviation cuts, which start is nearest, and by how much the path lies ahead of it along the travel, mm.
func deviation(t tb, l lathesim.Lathe, w *lathesim.Work) (start int, ahead *big.Rat) {
	t.Helper()
	require.NoError(t, l.CloseHalfNut())
	path, err := l.Cut(w)
	require.NoError(t, err)
	start, beside := w.Nearest(path)
	return start, new(big.Rat).Mul(beside, l.Travel())
}

// checkCompoundSlide winds the slide, parallel to the axis, by every distance, and by what the collar then reads.
func checkCompoundSlide(t tb, j simJob, a threadmath.Answer) {
	t.Helper()
	require.NotNil(t, a.CompoundSlide, j)
	require.Len(t, a.CompoundSlide.Moves, j.starts, j)
	set, w := j.setUp(t, func(c *lathesim.Config) { c.Backlash = big.NewRat(1, 7) })
	graduation, perTurn := lengthMM(t, j.compound.Graduation), lengthMM(t, j.compound.PerTurn)
	if j.compound.Reads == "diameter" {
		graduation, perTurn = ratTimes(graduation, 1, 2), ratTimes(perTurn, 1, 2)
	}
	for i, m := range a.CompoundSlide.Moves {
		assert.Equal(t, i, m.Move)
		l := set
		l.WindSlide(new(big.Rat).Mul(exactMM(t, m.Distance), l.Travel()))
		assert.Equal(t, m.Start, cut(t, l, w), "move %d of the slide: %v", i, j)

		require.NotNil(t, m.Turns, j)
		require.NotNil(t, m.Divisions, j)
		require.NotNil(t, m.Error, j)
		moved := new(big.Rat).Add(new(big.Rat).Mul(perTurn, ratOf(t, m.Turns.Ratio)), new(big.Rat).Mul(graduation, ratOf(t, m.Divisions.Ratio)))
		l = set
		l.WindSlide(new(big.Rat).Mul(moved, l.Travel()))
		start, ahead := deviation(t, l, w)
		require.Equal(t, m.Start, start, "collar reading of move %d: %v", i, j)
		assert.Zero(t, ahead.Cmp(exactMM(t, *m.Error)), "error of move %d is %s, the answer says %s: %v", i, ahead.RatString(), exactMM(t, *m.Error).RatString(), j)
		assert.LessOrEqual(t, new(big.Rat).Abs(ahead).Cmp(ratTimes(graduation, 1, 2)), 0, "nearest division: %v", j)
	}
}

func lengthMM(t tb, text string) *big.Rat {
	l, _, err := threadmath.ParseLength(text)
	require.NoError(t, err)
	return ratOf(t, l.In(threadmath.Metric))
}

// checkAngledSlide winds the slide at the infeed angle and the cross-slide back; sine, cosine and the answer are float64.
func checkAngledSlide(t tb, j simJob, a threadmath.Answer) {
	t.Helper()
	require.NotNil(t, a.AngledSlide, j)
	sin, cos := sinCosDeg(j.infeedDeg)
	set, w := j.setUp(t, func(c *lathesim.Config) { c.SlideSin, c.SlideCos = sin, cos })
	perPitch := new(big.Rat).SetFloat64(a.AngledSlide.SlidePerPitch.MM())
	withdrawal := new(big.Rat).SetFloat64(a.AngledSlide.CrossSlideWithdrawal.MM())
	for i := range j.starts {
		l := set
		l.WindSlide(new(big.Rat).Mul(ratTimes(perPitch, int64(i), 1), l.Travel()))
		l.MoveCrossSlide(ratTimes(withdrawal, int64(-i), 1))
		start, ahead := deviation(t, l, w)
		assert.Equal(t, 1+(j.starts-i)%j.starts, start, "move %d of the slide at an angle: %v", i, j)
		assertNearly(t, 0, ahead, "move %d of the slide at an angle: %v", i, j)
		assertNearly(t, 0, l.Infeed(), "infeed after move %d of the slide at an angle: %v", i, j)
	}
	for _, m := range a.AngledSlide.Moves {
		l := set
		l.WindSlide(new(big.Rat).Mul(new(big.Rat).SetFloat64(m.Distance.MM()), l.Travel()))
		start, ahead := deviation(t, l, w)
		assert.Equal(t, m.Start, start, j)
		assertNearly(t, 0, ahead, "%v", j)
	}
}

func assertNearly(t tb, want float64, got *big.Rat, format string, args ...any) {
	t.Helper()
	f, _ := got.Float64()
	assert.InDelta(t, want, f, 1e-9, append([]any{format}, args...)...)
}

// checkHolders turns the work from station to station, and the spindle from index hole to index hole.
func checkHolders(t tb, j simJob, a threadmath.Answer) {
	t.Helper()
	require.Len(t, a.Holders, len(j.holders), j)
	for i, h := range j.holders {
		got := a.Holders[i]
		stations := int(h.Stations)
		at := func(station int, late *big.Rat) lathesim.Lathe { // stations are counted from 1
			l, _ := j.setUp(t, func(c *lathesim.Config) { c.IndexHoles = stations })
			if h.Kind != threadmath.IndexHoles {
				l.ClampWork(new(big.Rat).Add(big.NewRat(int64(station-1), int64(stations)), late))
				return l
			}
			require.NoError(t, l.OpenTrain(lathesim.SpindleMesh))
			for range station - 1 {
				require.NoError(t, l.TurnToNextHole())
			}
			require.NoError(t, l.CloseTrain())
			l.ClampWork(late)
			return l
		}
		_, w := j.setUp(t, nil)
		want := make([]int, j.starts)
		for station := 1; station <= stations; station++ {
			if start := cut(t, at(station, new(big.Rat)), w); start > 0 {
				want[start-1] = station
			}
		}
		if slices.Contains(want, 0) || j.internal && h.Kind != threadmath.IndexHoles { // no dog drives the work inside a bore
			assert.False(t, got.Usable, "%s, %d stations: %v", h.Kind, stations, j)
			assert.NotEmpty(t, got.Why)
			continue
		}
		assert.True(t, got.Usable, "%s, %d stations: %v", h.Kind, stations, j)
		assert.Equal(t, want, got.StationsOfStarts, "%s, %d stations: %v", h.Kind, stations, j)
		if h.ErrorDeg == nil || j.starts == 1 {
			continue
		}
		// One station late by the error: its start lies by the spacing error beside its place.
		late := ratTimes(new(big.Rat).SetFloat64(*h.ErrorDeg), 1, 360)
		start, ahead := deviation(t, at(want[1], late), w)
		assert.Equal(t, 2, start, j)
		require.NotNil(t, got.SpacingError, j)
		assertNearly(t, got.SpacingError.MM(), new(big.Rat).Neg(ahead), "%s: %v", h.Kind, j)
	}
}

// checkStudGear lets the stud gear by tooth by tooth until the second start is under the tool, or all came round.
func checkStudGear(t tb, j simJob, a threadmath.Answer) {
	t.Helper()
	checkGear(t, j, a.StudGear, "stud gear", lathesim.StudMesh, func(l *lathesim.Lathe, teeth int) error { return l.TurnStudGear(teeth) })
	if a.StudGear.Usable {
		turns := new(big.Rat).Mul(big.NewRat(j.rhoNum, j.rhoDen), whole(j.studTeeth))
		turns.Quo(ratOf(t, a.StudGear.TeethPerStart.Ratio), turns)
		require.NotNil(t, a.StudGear.SpindleTurns, j)
		assert.Zero(t, turns.Cmp(ratOf(t, *a.StudGear.SpindleTurns)), "spindle turns: %v", j)
	}
}

// checkLeadscrewGear turns the leadscrew gear tooth by tooth, the spindle standing, the half-nut closed.
func checkLeadscrewGear(t tb, j simJob, a threadmath.Answer) {
	t.Helper()
	checkGear(t, j, a.LeadscrewGear, "leadscrew gear", lathesim.LeadscrewMesh, func(l *lathesim.Lathe, teeth int) error { return l.TurnLeadscrewGear(teeth) })
}

func checkGear(t tb, j simJob, got *threadmath.GearIndex, name string, mesh lathesim.Mesh, turn func(*lathesim.Lathe, int) error) {
	t.Helper()
	require.NotNil(t, got, j)
	set, w := j.setUp(t, nil)
	require.NoError(t, set.CloseHalfNut())
	by := func(l lathesim.Lathe, teeth int) lathesim.Lathe {
		require.NoError(t, l.OpenTrain(mesh))
		require.NoError(t, turn(&l, teeth))
		require.NoError(t, l.CloseTrain())
		for l.Carriage().Sign()*l.Travel().Sign() > 0 {
			l.TurnSpindle(whole(-1)) // back before the work, half-nut closed
		}
		return l
	}
	scratch := func(l lathesim.Lathe) int {
		path, err := l.Scratch(w)
		require.NoError(t, err)
		return w.Start(path)
	}

	next := 2 // the start that the first step must reach
	if mesh == lathesim.LeadscrewMesh {
		next = j.starts
	}
	next = min(next, j.starts)
	teeth, at := 0, 0
	for l := set; ; {
		l = by(l, 1)
		teeth++
		at = scratch(l)
		if at == next || at == 1 {
			break // reached, or round without reaching it
		}
	}
	if at != next {
		assert.False(t, got.Usable, "%s: %v", name, j)
		assert.NotEmpty(t, got.Why)
		return
	}
	require.True(t, got.Usable, "%s: %v", name, j)
	require.NotNil(t, got.TeethPerStart, j)
	assert.Equal(t, fmt.Sprint(teeth), got.TeethPerStart.String(), "%s: %v", name, j)

	order := []int{1}
	for l := set; len(order) < j.starts; {
		l = by(l, teeth)
		order = append(order, cut(t, l, w))
	}
	assert.Equal(t, order, got.StartsInOrder, "%s: %v", name, j)
}

// checkMethods compares what the list of methods calls usable with what was found at the lathe; the single answers were
// compared before.
func checkMethods(t tb, j simJob, a threadmath.Answer, dialServes bool) {
	t.Helper()
	want := map[string]bool{
		threadmath.ByThreadDial: dialServes, threadmath.ByHalfNut: a.HalfNut.AllStarts, threadmath.ByCarriageShift: a.CarriageShift.Usable,
		threadmath.ByCompoundParallel: a.CompoundSlide.Usable, threadmath.ByCompoundAngled: a.AngledSlide.Usable,
		threadmath.ByStudGear: a.StudGear.Usable, threadmath.ByLeadscrewGear: a.LeadscrewGear.Usable,
	}
	for _, kind := range holderKinds {
		want[kind] = slices.ContainsFunc(a.Holders, func(h threadmath.HolderAnswer) bool { return h.Kind == kind && h.Usable })
	}
	got := map[string]bool{}
	before := true
	for _, m := range a.Methods {
		got[m.Method] = m.Usable || m.Bound != "" // the lathe can, the shop would not
		assert.False(t, m.Usable && !before, "usable methods come first: %v", j)
		before = m.Usable
	}
	assert.Equal(t, want, got, "methods: %v", j)
	assert.Len(t, a.Methods, len(want), j)
}

func whole(i int) *big.Rat { return big.NewRat(int64(i), 1) }

func sinCosDeg(deg float64) (sin, cos *big.Rat) {
	s, c := math.Sincos(deg * math.Pi / 180)
	return new(big.Rat).SetFloat64(s), new(big.Rat).SetFloat64(c)
}

func TestIndexingAgainstTheLathe(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) { checkAgainstLathe(rt, anyJob(rt)) })
}

// The reference lathe of the solve contract: three starts of 2 mm on a 6 mm leadscrew. Its numbers are plain enough to be
// checked by hand, here and on the simulated lathe.
func TestThreeStartsOnASixMillimetreLeadscrew(t *testing.T) {
	t.Parallel()
	for _, left := range []bool{false, true} {
		j := simJob{
			pitch: mm(2, 1), starts: 3, left: left, length: mm(45, 1), leadscrew: mm(6, 1), leadscrewStarts: 1,
			dials:     []threadmath.ThreadDial{{Teeth: 20, Graduations: 4}},
			holders:   []threadmath.Holder{{Kind: "chuck-jaws", Stations: 3}, {Kind: "faceplate-slots", Stations: 6}, {Kind: "index-holes", Stations: 4}},
			studTeeth: 45, rhoNum: 1, rhoDen: 1, leadscrewTeeth: 60, infeedDeg: 29.5,
			compound: threadmath.Slide{Graduation: "0.02 mm", PerTurn: "2 mm", Travel: "70 mm"},
		}
		checkAgainstLathe(t, j)
		a, err := threadmath.Solve(j.request())
		require.NoError(t, err)
		assert.Equal(t, "1", a.HalfNut.Paths.String(), "the lead is one leadscrew thread: every closing finds start 1")
		assert.Equal(t, []int{1, 3, 5}, a.Holders[1].StationsOfStarts)
		assert.Equal(t, "15", a.StudGear.TeethPerStart.String())
		assert.Equal(t, "20", a.LeadscrewGear.TeethPerStart.String())
		assert.Equal(t, []int{1, 3, 2}, a.LeadscrewGear.StartsInOrder)
	}
}

// TestIndexingOverAGrid walks through starts, hands, threads and leadscrews of both systems with every number of stations
// and a set of gears in turn, stud gears that do not turn with the spindle among them.
func TestIndexingOverAGrid(t *testing.T) {
	t.Parallel()
	gears := []struct {
		stud           int
		rhoNum, rhoDen int64
		leadscrew      int
	}{{45, 1, 1, 60}, {40, 1, 2, 40}, {96, 3, 2, 80}, {20, 2, 3, 48}, {57, 4, 3, 72}, {64, 1, 3, 55}, {30, 2, 1, 36}}
	next := 0
	for _, pitch := range []measure{mm(3, 2), mm(4, 1), inch(1, 8), inch(1, 10)} {
		for _, screw := range []measure{mm(6, 1), inch(1, 4)} {
			for starts := 1; starts <= 6; starts++ {
				for _, left := range []bool{false, true} {
					g := gears[next%len(gears)]
					j := simJob{
						pitch: pitch, starts: starts, left: left, internal: next%3 == 0, length: mm(int64(10+next), 1),
						leadscrew: screw, leadscrewStarts: 1 + next/2%2,
						studTeeth: g.stud, rhoNum: g.rhoNum, rhoDen: g.rhoDen, leadscrewTeeth: g.leadscrew, infeedDeg: 29,
						compound: threadmath.Slide{Graduation: "0.02 mm", PerTurn: "2 mm", Travel: "70 mm"},
					}
					j.build.toolBehind = next%5 == 0
					for stations := 1; stations <= 12; stations++ {
						j.holders = append(j.holders, threadmath.Holder{Kind: holderKinds[(stations+next)%len(holderKinds)], Stations: threadmath.Count(stations)})
					}
					next++
					checkAgainstLathe(t, j)
				}
			}
		}
	}
}
