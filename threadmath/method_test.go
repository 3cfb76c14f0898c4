package threadmath

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// oneLathe solves a thread on a lathe, both as JSON without their braces.
func oneLathe(t testing.TB, thread, lathe string) Answer {
	t.Helper()
	return solved(t, `{"thread": {`+thread+`}, "lathe": {`+lathe+`}}`)
}

func exactText(t testing.TB, d Dimension) string {
	t.Helper()
	l, ok := d.Exact()
	require.True(t, ok)
	return l.Exact(d.system)
}

// Published rows of indexing and carriage shift, by the ids of the project's
// list of published checks.
func TestPublishedIndexing(t *testing.T) {
	t.Parallel()
	const jones = "Jones, Turning and Boring, Industrial Press 1914, ch. IV, Cutting Multiple Threads"
	assert.InDelta(t, 180, oneLathe(t, `"pitch": "8 tpi", "starts": 2`, ``).Starts[1].AngleDeg, 0, "D0012 "+jones)
	assert.InDelta(t, 90, oneLathe(t, `"pitch": "8 tpi", "starts": 4`, ``).Starts[1].AngleDeg, 0, "D0013 "+jones)
	for starts, teeth := range map[int]string{3: "32", 4: "24"} { // D0014, D0015
		a := oneLathe(t, fmt.Sprintf(`"pitch": "8 tpi", "starts": %d`, starts), `"stud_gear": {"teeth": 96}`)
		assert.Equal(t, teeth, a.StudGear.TeethPerStart.String(), "D0014, D0015 "+jones)
	}
	// D0016, US War Department TM 1-420, Lathes, 1940, p. 81: the compound parallel
	// to the ways advances one pitch.
	a := oneLathe(t, `"pitch": "8 tpi", "starts": 3`, `"compound_slide": {}`)
	assert.Equal(t, a.Pitch, a.CompoundSlide.Moves[1].Distance, "D0016 TM 1-420")

	// D0017, D0018: double thread of 1 in lead, 5 in long: 1/2 in, and 5-1/2 in to
	// clear; D0019: the leadscrew's threads per inch must be a multiple of 2.
	for tpi := 1; tpi <= 12; tpi++ {
		a := oneLathe(t, `"lead": "1 in", "starts": 2, "length": "5 in"`, fmt.Sprintf(`"leadscrew": "%d tpi"`, tpi))
		require.Equal(t, tpi%2 == 0, a.CarriageShift.Usable, "D0019 "+jones)
		if a.CarriageShift.Usable {
			assert.Equal(t, "1/2 in", exactText(t, a.CarriageShift.Shifts[1].Distance), "D0017 "+jones)
			assert.Equal(t, "11/2 in", exactText(t, *a.CarriageShift.Shifts[1].Clears), "D0018 "+jones)
		}
	}
	// D0020, D0021: quadruple thread, 1-1/2 single threads an inch (lead 2/3 in):
	// pitch and two leads are 1-1/2 in, which needs a multiple of 2 per inch.
	for tpi := 1; tpi <= 12; tpi++ {
		a := oneLathe(t, `"lead": "2/3 in", "starts": 4, "length": "1.4 in"`, fmt.Sprintf(`"leadscrew": "%d tpi"`, tpi))
		found := false
		for _, s := range a.CarriageShift.Shifts {
			found = found || s.Start == 2 && exactText(t, *s.Clears) == "3/2 in"
		}
		assert.Equal(t, tpi%2 == 0, found, "D0020, D0021 at %d per inch: %s", tpi, jones)
	}
}

func TestCarriageShiftByTrying(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		pitch, screw string
		starts       int
	}{{"2 mm", "6 mm", 3}, {"5/2 mm", "6 mm", 4}, {"12 tpi", "8 tpi", 2}, {"7 tpi", "4 tpi", 5}, {"2 mm", "4 tpi", 2}} {
		a := oneLathe(t, fmt.Sprintf(`"pitch": %q, "starts": %d, "length": "43 mm"`, c.pitch, c.starts), fmt.Sprintf(`"leadscrew": %q`, c.screw))
		p, _, err := ParsePitch(c.pitch)
		require.NoError(t, err)
		thread, _, err := ParsePitch(c.screw)
		require.NoError(t, err)
		for _, s := range a.CarriageShift.Shifts {
			// The first leadscrew thread at which distance − j·P is whole leads.
			right := func(k int) bool {
				off := thread.Times(k).Sub(p.Times(s.Start - 1))
				return off.Quo(p.Times(c.starts)).IsInt()
			}
			k := 0
			for !right(k) {
				k++
			}
			assert.Equal(t, a.dim(thread.Times(k)), s.Distance, "%v start %d", c, s.Start)
			for !right(k) || thread.Times(k).MM() < 43 {
				k++
			}
			assert.Equal(t, a.dim(thread.Times(k)), *s.Clears, "%v start %d", c, s.Start)
		}
	}
}

// dim writes a length as the answer does.
func (a Answer) dim(l Length) Dimension { return ExactDimension(l, a.Pitch.system) }

// Common practice, no source: the second start of a two-start 12 per inch lies
// half the lead away, which a shop reads as 0.083 or 0.084 in. Exactly it is
// 1/12 in, and a collar that can only show 0.084 costs 0.0012 in of pitch
// diameter at 60°.
func TestTwelvePerInchOnTheCollar(t *testing.T) {
	t.Parallel()
	const thread = `"form": "american-national", "pitch": "12 tpi", "starts": 2`
	a := oneLathe(t, thread, `"compound_slide": {"graduation": "0.001 in", "per_turn": "0.1 in", "travel": "3 in"}`)
	assert.Equal(t, "1/12 in", exactText(t, a.Starts[1].Offset))
	m := a.CompoundSlide.Moves[1]
	assert.Equal(t, "1/12 in", exactText(t, m.Distance))
	assert.Equal(t, "83/1000 in", exactText(t, *m.Reading))
	assert.Equal(t, "-1/3000 in", exactText(t, *m.Error))
	assert.Equal(t, "83", m.Divisions.String())

	a = oneLathe(t, thread, `"compound_slide": {"graduation": "0.002 in", "per_turn": "0.1 in", "travel": "3 in"}`)
	m = a.CompoundSlide.Moves[1]
	assert.Equal(t, "21/250 in", exactText(t, *m.Reading), "0.084")
	assert.Equal(t, "1/1500 in", exactText(t, *a.CompoundSlide.SpacingError))
	assert.InDelta(t, math.Sqrt(3)/1500, a.CompoundSlide.PitchDiameterCost.Value(Inch), 1e-9)
}

func TestParallelSlide(t *testing.T) {
	t.Parallel()
	// Worked by hand: P 2.25, collar 0.02 a division, 2 mm a turn. 2.25 is 112.5
	// divisions, set at 113; 4.5 is 225 exactly.
	a := oneLathe(t, `"pitch": "2.25 mm", "starts": 3`, `"compound_slide": {"graduation": "0.02 mm", "per_turn": "2 mm", "travel": "6.75 mm"}`)
	s := a.CompoundSlide
	require.True(t, *s.FitsTravel)
	assert.Equal(t, []int{1, 3, 2}, []int{s.Moves[0].Start, s.Moves[1].Start, s.Moves[2].Start})
	assert.Equal(t, "1", s.Moves[1].Turns.String())
	assert.Equal(t, "13", s.Moves[1].Divisions.String())
	assert.Equal(t, "1/100 mm", exactText(t, *s.Moves[1].Error))
	assert.Zero(t, s.Moves[2].Error.MM())
	assert.Equal(t, "1/100 mm", exactText(t, *s.SpacingError))
	assert.Equal(t, "9/4 mm", exactText(t, s.Reserve), "one pitch")
	assert.InDelta(t, 2.25*math.Sin(math.Pi/180), s.PerDegree.MM(), 1e-12)

	// The moves without the reserve do not fit, nor does lost motion.
	for _, slide := range []string{`"travel": "4.5 mm"`, `"travel": "6.75 mm", "backlash": "0.1 mm"`} {
		a = oneLathe(t, `"pitch": "2.25 mm", "starts": 3`, `"compound_slide": {`+slide+`}`)
		assert.False(t, *a.CompoundSlide.FitsTravel)
		assert.False(t, a.CompoundSlide.Usable)
		assert.NotEmpty(t, a.CompoundSlide.Why)
	}

	// A collar that reads diameter shows twice the move.
	a = oneLathe(t, `"pitch": "2.25 mm", "starts": 2`, `"compound_slide": {"graduation": "0.02 mm", "per_turn": "2 mm", "reads": "diameter"}`)
	m := a.CompoundSlide.Moves[1]
	assert.Equal(t, "2", m.Turns.String())
	assert.Equal(t, "25", m.Divisions.String())
	assert.Equal(t, "9/2 mm", exactText(t, *m.CollarShows))
	assert.Equal(t, "9/4 mm", exactText(t, *m.Reading))
	assert.Nil(t, a.CompoundSlide.FitsTravel, "travel not said")
}

// A rounded step added up drifts; measured from zero it never passes half a
// division (5 starts of 7 per inch on a collar of 0.001 in).
func TestMovesFromZero(t *testing.T) {
	t.Parallel()
	a := oneLathe(t, `"pitch": "7 tpi", "starts": 5`, `"compound_slide": {"graduation": "0.001 in"}`)
	for i, m := range a.CompoundSlide.Moves {
		want := math.Round(float64(i)/7*1000) / 1000
		assert.InDelta(t, want, m.Reading.Value(Inch), 1e-12)
		assert.LessOrEqual(t, math.Abs(m.Error.Value(Inch)), 0.0005+1e-12)
	}
}

func TestAngledSlide(t *testing.T) {
	t.Parallel()
	solve := func(deg string, slide string) *AngledSlide {
		return solved(t, `{"thread": {"form": "iso-metric", "pitch": "2 mm", "starts": 3}, "lathe": {"compound_slide": {`+slide+`}}, "cut": {"infeed_angle_deg": `+deg+`}}`).AngledSlide
	}
	// sin 30° is 1/2: the slide moves two pitches and goes in √3 of them.
	s := solve("30", `"graduation": "0.02 mm", "travel": "60 mm"`)
	assert.InDelta(t, 4, s.SlidePerPitch.MM(), 1e-12)
	assert.InDelta(t, 2*math.Sqrt(3), s.CrossSlideWithdrawal.MM(), 1e-12)
	assert.True(t, s.Usable)
	assert.Equal(t, 3, s.Moves[1].Start)
	assert.Equal(t, "400", s.Moves[2].Divisions.String())
	// 8 mm of moves, 4 of reserve and 1.4167 of infeed.
	assert.InDelta(t, 12+2*0.613435/math.Cos(math.Pi/6), s.Needs.MM(), 1e-5)
	assert.False(t, *solve("30", `"travel": "13 mm"`).FitsTravel)
	assert.True(t, *solve("30", `"travel": "13.5 mm"`).FitsTravel)
	// The slide 1° out, by turning it there.
	along := s.SlidePerPitch.MM() * math.Sin(29*math.Pi/180)
	assert.InDelta(t, 2-along, s.SpacingPerDegree.MM(), 1e-12)
	assert.False(t, solve("0", `"travel": "13 mm"`).Usable)
}

// Common practice, no source: four jaws serve two and four starts, three jaws
// three.
func TestHolders(t *testing.T) {
	t.Parallel()
	serves := func(kind string, stations, starts int, more string) HolderAnswer {
		return oneLathe(t, fmt.Sprintf(`"form": "iso-metric", "pitch": "2 mm", "starts": %d`, starts),
			fmt.Sprintf(`"holders": [{"kind": %q, "stations": %d}]%s`, kind, stations, more)).Holders[0]
	}
	for stations := 1; stations <= 60; stations++ {
		for starts := 1; starts <= 6; starts++ {
			// A station serves a start when it stands a whole number of 1/starts turns on.
			var want []int
			for s := range stations {
				if s*starts%stations == 0 {
					want = append(want, s+1)
				}
			}
			h := serves(ChuckJaws, stations, starts, "")
			assert.Equal(t, len(want) == starts, h.Usable, "%d stations, %d starts", stations, starts)
			if h.Usable {
				assert.Equal(t, want, h.StationsOfStarts)
			}
		}
	}
	h := serves(ChuckJaws, 4, 2, "")
	assert.Equal(t, []int{1, 3}, h.StationsOfStarts)
	assert.Equal(t, "in the direction of rotation", h.Counted)
	assert.Nil(t, h.SpacingError, "an unknown error is not zero")
	assert.Nil(t, h.PitchDiameterCost)
	assert.False(t, serves(ChuckJaws, 3, 2, "").Usable)
	assert.True(t, serves(ChuckJaws, 3, 3, "").Usable)
	assert.Equal(t, "against the direction of rotation", serves(IndexHoles, 12, 3, "").Counted)
	assert.False(t, serves(IndexHoles, 12, 3, `, "train_opens": false`).Usable)
	assert.True(t, serves(FaceplateSlots, 12, 3, `, "train_opens": false`).Usable)

	// Half a degree of a 6 mm lead is 6/720 mm, exactly.
	a := oneLathe(t, `"form": "iso-metric", "pitch": "2 mm", "starts": 3`, `"holders": [{"kind": "faceplate-slots", "stations": 6, "error_deg": 0.5}, {"kind": "drive-plate-slots", "stations": 3, "error_deg": 0}]`)
	assert.Equal(t, "1/120 mm", exactText(t, *a.Holders[0].SpacingError))
	assert.InDelta(t, math.Sqrt(3)/120, a.Holders[0].PitchDiameterCost.MM(), 1e-12)
	assert.Equal(t, "0 mm", exactText(t, *a.Holders[1].SpacingError), "known to be none")
}

// The gears are tried tooth by tooth.
func TestGearIndexByTrying(t *testing.T) {
	t.Parallel()
	usable := 0
	for _, rho := range [][2]int64{{1, 1}, {1, 2}, {2, 3}, {3, 2}, {5, 4}} {
		for _, teeth := range []int{30, 36, 40, 45, 96, 127} {
			for starts := 1; starts <= 6; starts++ {
				a := oneLathe(t, fmt.Sprintf(`"pitch": "2 mm", "starts": %d`, starts),
					fmt.Sprintf(`"leadscrew": "6 mm", "leadscrew_gear": {"teeth": %d}, "stud_gear": {"teeth": %d, "turns_per_spindle_turn": "%d/%d"}`, teeth, teeth, rho[0], rho[1]))
				// A whole number of spindle turns beyond 1/starts.
				try := func(right func(k int64) bool) int64 {
					for k := int64(1); k < 10_000; k++ {
						if right(k) {
							return k
						}
					}
					return 0
				}
				turns := func(k int64) Ratio { return frac(k*rho[1], int64(teeth)*rho[0]) }
				stud := try(func(k int64) bool { return turns(k).Sub(frac(1, int64(starts))).IsInt() })
				require.Equal(t, stud > 0, a.StudGear.Usable, "stud %d, %v, %d starts", teeth, rho, starts)
				if stud > 0 {
					usable++
					assert.Equal(t, Int(stud).String(), a.StudGear.TeethPerStart.String())
					assert.True(t, turns(stud).Equal(*a.StudGear.SpindleTurns))
					assert.Equal(t, min(2, starts), a.StudGear.StartsInOrder[min(1, starts-1)])
				}
				screw := try(func(k int64) bool { return frac(6*k, int64(teeth)).Sub(Int(2)).Quo(Int(int64(2 * starts))).IsInt() })
				require.Equal(t, screw > 0, a.LeadscrewGear.Usable, "leadscrew gear %d, %d starts", teeth, starts)
				if screw > 0 {
					usable++
					assert.Equal(t, Int(screw).String(), a.LeadscrewGear.TeethPerStart.String())
					assert.Equal(t, starts, a.LeadscrewGear.StartsInOrder[min(1, starts-1)])
				}
			}
		}
	}
	assert.Greater(t, usable, 100)
	a := oneLathe(t, `"pitch": "2 mm", "starts": 3`, `"leadscrew": "6 mm", "train_opens": false, "leadscrew_gear": {"teeth": 60}, "stud_gear": {"teeth": 45}`)
	assert.False(t, a.StudGear.Usable)
	assert.False(t, a.LeadscrewGear.Usable)
	assert.Equal(t, trainShut, a.StudGear.Why)
}

// The cost is checked by pushing two straight flanks together: a ridge that
// stands e out of place enters the groove when it is made lower by half the
// cost on each side of the axis.
func TestPitchDiameterCost(t *testing.T) {
	t.Parallel()
	for _, f := range Forms() {
		cost, ok := PitchDiameterCost(f, 1)
		if f.LoadFlankDeg == 0 && f.ClearanceFlankDeg == 0 {
			assert.False(t, ok)
			continue
		}
		// Moving in by x frees x·tan α on each flank; find x by halving.
		low, high := 0.0, 100.0
		for range 100 {
			x := (low + high) / 2
			free := x*math.Tan(f.LoadFlankDeg*math.Pi/180) + x*math.Tan(f.ClearanceFlankDeg*math.Pi/180)
			if free < 1 {
				low = x
			} else {
				high = x
			}
		}
		assert.InDelta(t, 2*low, cost, 1e-9, f.Slug)
	}
	// As the trade quotes them (from memory): 60°, 29°, 30°.
	for slug, want := range map[string]float64{"iso-metric": 1.732, "acme": 3.867, "trapezoidal": 3.732} {
		f, err := FormOf(slug)
		require.NoError(t, err)
		got, _ := PitchDiameterCost(f, 1)
		assert.InDelta(t, want, got, 0.0005, slug)
	}
}

func order(a Answer) (names []string) {
	for _, m := range a.Methods {
		if m.Usable {
			names = append(names, m.Method)
		}
	}
	return names
}

func TestMethodsRanked(t *testing.T) {
	t.Parallel()
	// Sample job: a 20-tooth dial varies, the half-nut reaches no other start.
	const thread = `"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm"`
	const slide = `"compound_slide": {"graduation": "0.02 mm", "per_turn": "2 mm", "travel": "70 mm"}, `
	const lathe = slide + `"leadscrew": "6 mm", "thread_dials": [{"teeth": 20, "graduations": 4}], "stud_gear": {"teeth": 45}, "leadscrew_gear": {"teeth": 60}, `
	a := oneLathe(t, thread+`, "class": "6g"`, lathe+`"holders": [{"kind": "chuck-jaws", "stations": 3}, {"kind": "faceplate-slots", "stations": 6, "error_deg": 0.5}, {"kind": "index-holes", "stations": 60, "error_deg": 0.001}]`)
	assert.Len(t, a.Methods, 11)
	assert.Equal(t, []string{
		ByCompoundParallel,                        // exact, and soonest done
		ByFaceplateSlots,                          // within a quarter
		ByIndexHoles, ByStudGear, ByLeadscrewGear, // take longer
		ByChuckJaws, // not known
	}, order(a))
	for _, m := range a.Methods {
		assert.NotEmpty(t, m.Why, m.Method)
		if !m.Usable {
			assert.Nil(t, m.SpacingError, m.Method)
		}
	}
	// Beyond a quarter of the tolerance the slots fall behind the gears, and
	// still stand before an unknown error.
	a = oneLathe(t, thread+`, "class": "6g"`, lathe+`"holders": [{"kind": "chuck-jaws", "stations": 3}, {"kind": "faceplate-slots", "stations": 6, "error_deg": 2}]`)
	assert.Equal(t, []string{ByCompoundParallel, ByStudGear, ByLeadscrewGear, ByFaceplateSlots, ByChuckJaws}, order(a))
	// Without a class a twentieth of the pitch stands in for the tolerance.
	a = oneLathe(t, thread, lathe+`"holders": [{"kind": "faceplate-slots", "stations": 6, "error_deg": 2}]`)
	assert.Equal(t, []string{ByCompoundParallel, ByStudGear, ByLeadscrewGear, ByFaceplateSlots}, order(a))
	a = oneLathe(t, thread, lathe+`"holders": [{"kind": "faceplate-slots", "stations": 6, "error_deg": 0.5}]`)
	assert.Equal(t, []string{ByCompoundParallel, ByFaceplateSlots, ByStudGear, ByLeadscrewGear}, order(a))
	// A geared head cannot open its train.
	a = oneLathe(t, thread, lathe+`"train_opens": false, "holders": [{"kind": "index-holes", "stations": 60}]`)
	assert.Equal(t, []string{ByCompoundParallel}, order(a))
	// Of two holders of a kind the better one is ranked.
	a = oneLathe(t, thread, `"holders": [{"kind": "chuck-jaws", "stations": 4}, {"kind": "chuck-jaws", "stations": 3, "error_deg": 0.1}, {"kind": "chuck-jaws", "stations": 6}]`)
	require.Equal(t, []string{ByChuckJaws}, order(a))
	assert.NotNil(t, a.Methods[0].SpacingError)
	// A dial that catches all is first.
	a = oneLathe(t, `"pitch": "2 mm", "starts": 3`, slide+`"leadscrew": "4 mm", "thread_dials": [{"teeth": 21, "graduations": 21}]`)
	assert.Equal(t, []string{ByThreadDial, ByCompoundParallel, ByHalfNut, ByCarriageShift}, order(a))
	// One that needs closings between its lines says where they are.
	a = oneLathe(t, `"pitch": "12 tpi", "starts": 2`, `"leadscrew": "8 tpi", "thread_dials": [{"teeth": 16, "graduations": 4}]`)
	assert.Equal(t, []string{ByHalfNut, ByCarriageShift}, order(a))
	for _, m := range a.Methods {
		if m.Method == ByThreadDial {
			assert.Contains(t, m.Why, "start 2 lies 2 leadscrew threads past line 0")
		}
	}
	// A square thread's error is no pitch-diameter cost.
	a = oneLathe(t, `"form": "square", "pitch": "2 mm", "starts": 3`, `"holders": [{"kind": "chuck-jaws", "stations": 3, "error_deg": 0.1}]`)
	assert.Nil(t, a.Methods[0].PitchDiameterCost)
	assert.Contains(t, a.Methods[0].Why, "axial play")
}

// boundOf returns what bounds a method of an answer, and why.
func boundOf(t *testing.T, a Answer, method string) (bound, why string) {
	t.Helper()
	i := slices.IndexFunc(a.Methods, func(m Method) bool { return m.Method == method })
	require.GreaterOrEqual(t, i, 0)
	require.Equal(t, a.Methods[i].Bound == "", a.Methods[i].Usable, a.Methods[i].Why)
	return a.Methods[i].Bound, a.Methods[i].Why
}

// TestBounds: what the arithmetic allows and no shop would do is not usable, with
// what bounds it; a lathe and a person that can do more say so.
func TestBounds(t *testing.T) {
	t.Parallel()
	solve := func(q Request) Answer {
		a, err := Solve(q)
		require.NoError(t, err)
		return a
	}
	// 8 threads per inch, two starts of 3 mm: the half-nut finds the other start
	// after dozens of threads and never the same one by a dial.
	metric := Request{Thread: Thread{Pitch: "3 mm", Starts: ref(Count(2))}, Lathe: &Lathe{Leadscrew: "8 tpi", ThreadDials: []ThreadDial{{Teeth: 32, Graduations: 8}}}}
	a := solve(metric)
	assert.Equal(t, PickUpKeepClosed, a.PickUp.Rule)
	for _, m := range a.Methods {
		assert.False(t, m.Usable && (m.Method == ByHalfNut || m.Method == ByCarriageShift), "it contradicts pick_up")
	}
	// 12 per inch on 8 per inch, two starts of 1/12 in: two threads to count; at 600
	// rev/min the leadscrew turns 800 times a minute.
	inch := Request{Thread: Thread{Pitch: "12 tpi", Starts: ref(Count(2))}, Lathe: &Lathe{Leadscrew: "8 tpi", ThreadDials: []ThreadDial{{Teeth: 16, Graduations: 4}}}, Cut: &Cut{}}
	bound, _ := boundOf(t, solve(inch), ByHalfNut)
	assert.Empty(t, bound)
	inch.Cut.SpindleRPM = ref(600.0)
	bound, why := boundOf(t, solve(inch), ByHalfNut)
	assert.Equal(t, BoundClosingRPM, bound)
	assert.Contains(t, why, "800 times a minute")
	inch.Lathe.ClosingRPM = ref(1000.0)
	bound, _ = boundOf(t, solve(inch), ByHalfNut)
	assert.Empty(t, bound, "as the lathe's record says")
	inch.Cut.GreatestCount = ref(Count(1))
	bound, _ = boundOf(t, solve(inch), ByHalfNut)
	assert.Equal(t, BoundGreatestCount, bound)
	// A shift that clears 12 in of thread goes further than 300 mm.
	inch.Thread.Length = "12 in"
	bound, _ = boundOf(t, solve(inch), ByCarriageShift)
	assert.Equal(t, BoundTravel, bound)
	inch.Lathe.CarriageTravel = "30 in"
	bound, _ = boundOf(t, solve(inch), ByCarriageShift)
	assert.Empty(t, bound)
}

// TestGearsCountTheTrainsWheels: Lathe 3 of the review cuts 2 starts of 1.5 mm with
// 40/20 on a 6 mm screw, so a turn of the work lets 40 teeth of the driver by and half
// a turn 20. The leadscrew takes 1.5/6 of a turn, 5 teeth of the 20-tooth wheel.
func TestGearsCountTheTrainsWheels(t *testing.T) {
	t.Parallel()
	a, err := Solve(Request{
		Thread: Thread{Pitch: "3 mm", Starts: ref(Count(4))},
		Lathe:  &Lathe{Leadscrew: "6 mm", StudGear: &StudGear{Teeth: 48}, LeadscrewGear: &LeadscrewGear{Teeth: 60}, ChangeGears: []Count{20, 40}},
	})
	require.NoError(t, err)
	require.NotEmpty(t, a.GearTrains)
	require.Zero(t, a.GearTrains[0].ErrorPPM)
	assert.Equal(t, a.GearTrains[0].Drivers[0], a.StudGear.Wheel)
	assert.Equal(t, "10", a.StudGear.TeethPerStart.String(), "a quarter of 40")
	assert.Equal(t, 20, a.LeadscrewGear.Wheel)
	assert.Equal(t, "10", a.LeadscrewGear.TeethPerStart.String(), "3/6 of 20")
	// A gearbox makes the lead: the wheels of the record stay on.
	a, err = Solve(Request{
		Thread: Thread{Pitch: "3 mm", Starts: ref(Count(4))},
		Lathe:  &Lathe{Leadscrew: "6 mm", StudGear: &StudGear{Teeth: 48}, Gearbox: []string{"12 mm"}, ChangeGears: []Count{20, 40}},
	})
	require.NoError(t, err)
	assert.Equal(t, 48, a.StudGear.Wheel)
	assert.Equal(t, "12", a.StudGear.TeethPerStart.String())
}

// TestAngledSlideStatesItsError: three starts of 2 mm at 29.5° set 0.25° wrong. By
// hand: 2·P·(sin 29.75°/sin 29.5° − 1) = 0.0308 mm, and the collar's own on top.
func TestAngledSlideStatesItsError(t *testing.T) {
	t.Parallel()
	a, err := Solve(Request{
		Thread: Thread{Form: "iso-metric", Pitch: "2 mm", Starts: ref(Count(3))},
		Lathe:  &Lathe{CompoundSlide: &Slide{Graduation: "0.02 mm"}}, Cut: &Cut{InfeedAngleDeg: ref(29.5)},
	})
	require.NoError(t, err)
	e := a.AngledSlide.SpacingError.MM()
	assert.Greater(t, e, 4*(math.Sin(29.75*math.Pi/180)/math.Sin(29.5*math.Pi/180)-1))
	assert.Less(t, e, 0.0308+0.02)
}

// jobs draws a thread and a lathe in plain numbers.
type drawn struct {
	num, den, starts, screwNum, screwDen, screwStarts, teeth, lines int
}

func drawJob(t *rapid.T) drawn {
	small := rapid.IntRange(1, 12)
	return drawn{
		num: small.Draw(t, "num"), den: small.Draw(t, "den"), starts: rapid.IntRange(1, 6).Draw(t, "starts"),
		screwNum: small.Draw(t, "screw num"), screwDen: small.Draw(t, "screw den"), screwStarts: rapid.IntRange(1, 3).Draw(t, "screw starts"),
		teeth: rapid.IntRange(1, 60).Draw(t, "teeth"), lines: rapid.IntRange(1, 12).Draw(t, "lines"),
	}
}

// solve writes the job with all lengths in the unit, scaled by num/den.
func (d drawn) solve(t testing.TB, unit, hand, side string, num, den int) Answer {
	return oneLathe(t,
		fmt.Sprintf(`"form": "iso-metric", "hand": %q, "side": %q, "pitch": "%d/%d %s", "starts": %d, "length": "%d/%d %s"`, hand, side, d.num*num, d.den*den, unit, d.starts, 20*num, den, unit),
		fmt.Sprintf(`"leadscrew": "%d/%d %s", "leadscrew_starts": %d, "thread_dials": [{"teeth": %d, "graduations": %d}], "stud_gear": {"teeth": %d}, "leadscrew_gear": {"teeth": %d},
			"holders": [{"kind": "faceplate-slots", "stations": %d, "error_deg": 0.25}], "compound_slide": {"graduation": "%d/%d %s", "travel": "%d/%d %s"}`,
			d.screwNum*num, d.screwDen*den, unit, d.screwStarts, d.teeth, d.lines, d.teeth, d.teeth, d.lines, num, 50*den, unit, 30*num, den, unit))
}

// counts keeps what carries no length.
type counts struct {
	half    HalfNut
	dials   []DialAnswer
	rule    string
	screw   GearIndex
	stud    GearIndex
	starts  [][]int
	methods []string
}

func countsOf(a Answer) counts {
	c := counts{half: *a.HalfNut, dials: a.ThreadDials, rule: a.PickUp.Rule, screw: *a.LeadscrewGear, stud: *a.StudGear}
	for _, m := range order(a) {
		if m != ByCarriageShift { // its bound is a length
			c.methods = append(c.methods, m)
		}
	}
	c.screw.Why, c.stud.Why = "", ""
	for _, h := range a.Holders {
		c.starts = append(c.starts, h.StationsOfStarts)
	}
	return c
}

func TestIndexProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		d := drawJob(rt)
		a := d.solve(t, "mm", "right", "external", 1, 1)
		// The hand and the side change no count, and a unit or a scale does not either.
		for _, other := range []Answer{
			d.solve(t, "mm", "left", "external", 1, 1),
			d.solve(t, "mm", "right", "external", 7, 3), d.solve(t, "in", "right", "external", 1, 1),
			d.solve(t, "in", "right", "external", 5, 127),
		} {
			require.Equal(rt, countsOf(a), countsOf(other))
		}
		// Inside a bore no dog drives the work; all else is the same.
		in := countsOf(d.solve(t, "mm", "right", "internal", 1, 1))
		out := countsOf(a)
		require.NotContains(rt, in.methods, ByFaceplateSlots)
		out.methods = slices.DeleteFunc(out.methods, func(m string) bool { return m == ByFaceplateSlots })
		in.starts, out.starts = nil, nil
		require.Equal(rt, out, in)
		// The same lengths written in inches.
		inches := d.solve(t, "in", "right", "external", 5, 127)
		for i, s := range a.CarriageShift.Shifts {
			x, _ := s.Distance.Exact()
			y, _ := inches.CarriageShift.Shifts[i].Distance.Exact()
			require.True(rt, x.Equal(y))
		}
		// Start 1 is no offset and the starts part the lead evenly.
		require.Zero(rt, a.Starts[0].Offset.MM())
		lead, _ := a.Lead.Exact()
		last, _ := a.Starts[d.starts-1].Offset.Exact()
		pitch, _ := a.Pitch.Exact()
		require.True(rt, last.Add(pitch).Equal(lead))
		// A dial line on a start is one that the half-nut reaches.
		reached := map[int]bool{}
		for _, r := range a.HalfNut.Reaches {
			reached[r.Start] = true
		}
		for _, l := range a.ThreadDials[0].Lines {
			if l.Catches == CatchesStart {
				require.True(rt, reached[l.Start])
			}
		}
		require.Equal(rt, a.HalfNut.AllStarts, len(reached) == d.starts)
		require.Equal(rt, a.HalfNut.AllStarts, a.CarriageShift.Usable)
	})
}
