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

func ref[T any](v T) *T { return &v }

func mustSolve(t testing.TB, q Request) Answer {
	t.Helper()
	a, err := Solve(q)
	require.NoError(t, err)
	return a
}

// TestTradeFacts are facts of the trade: common practice, no source.
func TestTradeFacts(t *testing.T) {
	t.Parallel()
	twelve := Request{Thread: Thread{Form: "american-national", Diameter: "1 in", Pitch: "12 tpi", Starts: ref(Count(2))}}

	// A two-start thread of 12 per inch is about 0.054 in deep.
	a := mustSolve(t, twelve)
	assert.InDelta(t, 0.054, a.Depth.Value(Inch), 0.0005)

	// Its second start lies half the lead away: exactly 1/12 in, which a shop
	// reads as 0.083 or 0.084; the slide says what that costs.
	l, ok := a.Starts[1].Offset.Exact()
	require.True(t, ok)
	assert.Equal(t, "1/12 in", l.Exact(Inch))
	assert.InDelta(t, a.Lead.MM()/2, a.Starts[1].Offset.MM(), 1e-12)
	for graduation, reading := range map[string]string{"0.001 in": "83/1000 in", "0.002 in": "21/250 in"} {
		q := twelve
		q.Lathe = &Lathe{CompoundSlide: &Slide{Graduation: graduation, Travel: "3 in"}}
		move := mustSolve(t, q).CompoundSlide.Moves[1]
		l, ok := move.Reading.Exact()
		require.True(t, ok)
		assert.Equal(t, reading, l.Exact(Inch))
		e, ok := move.Error.Exact()
		require.True(t, ok)
		assert.True(t, e.Equal(l.Sub(Inches(frac(1, 12)))))
	}

	// Chuck jaws serve two and four starts on four jaws, three on three.
	for jaws, serves := range map[Count][]int{4: {1, 2, 4}, 3: {1, 3}} {
		for n := 1; n <= 5; n++ {
			a := mustSolve(t, Request{
				Thread: Thread{Pitch: "2 mm", Starts: ref(Count(n))},
				Lathe:  &Lathe{Holders: []Holder{{Kind: "chuck-jaws", Stations: jaws}}},
			})
			assert.Equal(t, slices.Contains(serves, n), a.Holders[0].Usable, "%d jaws, %d starts", jaws, n)
		}
	}

	// The compound is set at 29, 29.5 or 30 degrees, depending on the shop.
	for _, deg := range []float64{29, 29.5, 30} {
		q := twelve
		q.Cut = &Cut{InfeedAngleDeg: &deg}
		plan := mustSolve(t, q).Infeed[0]
		assert.Equal(t, deg, plan.InfeedAngleDeg)
		assert.InDelta(t, a.Depth.MM()/math.Cos(deg*math.Pi/180), plan.SlideTravel.MM(), 1e-12)
	}

	// Passes get lighter as the thread gets deeper, with a few at no added depth
	// at the end.
	q := twelve
	q.Cut = &Cut{FirstCut: "0.010 in", SpringPasses: ref(Count(2))}
	plan := mustSolve(t, q).Infeed[0]
	require.Greater(t, len(plan.Passes), 3)
	for i := 1; i < len(plan.Passes); i++ {
		assert.Less(t, plan.Passes[i].Step.MM(), plan.Passes[i-1].Step.MM())
	}
	assert.Equal(t, 2, plan.SpringPasses)
}

func TestGearbox(t *testing.T) {
	t.Parallel()
	q := Request{Thread: Thread{Pitch: "12 tpi", Starts: ref(Count(2))}, Lathe: &Lathe{Gearbox: []string{"4 tpi", "8 tpi", "12 tpi"}}}
	g := mustSolve(t, q).Gearbox
	assert.False(t, g.Usable)
	assert.Equal(t, "no setting cuts a lead of 1/6 in exactly; the nearest are 8 tpi and 4 tpi; 12 tpi is the pitch, and a gearbox is set to the lead", g.Why)

	q.Lathe.Gearbox = append(q.Lathe.Gearbox, "6 tpi")
	assert.Equal(t, &GearboxAnswer{Usable: true, Setting: "6 tpi"}, mustSolve(t, q).Gearbox)
	q.Lathe.Gearbox = []string{"127/30 mm"} // exactly 1/6 in
	assert.True(t, mustSolve(t, q).Gearbox.Usable)
	q.Lathe.Gearbox = []string{"4.233333333 mm"} // nearly
	assert.Contains(t, mustSolve(t, q).Gearbox.Why, "the longest is")
	q.Lathe.Gearbox = []string{"5 mm"}
	assert.Contains(t, mustSolve(t, q).Gearbox.Why, "the shortest is 5 mm")
	q.Lathe.Gearbox = []string{}
	assert.False(t, mustSolve(t, q).Gearbox.Usable)
	q.Lathe.Gearbox = nil
	assert.Nil(t, mustSolve(t, q).Gearbox)
}

// TestSwing: which way the compound is swung turns over with the hand and with
// the side (geometry: the tool must move with its travel while it is fed).
func TestSwing(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ side, hand, swing, feed string }{
		{"external", "right", "handle towards the tailstock", "inward"},
		{"external", "left", "handle towards the headstock", "inward"},
		{"internal", "right", "handle towards the headstock", "outward"},
		{"internal", "left", "handle towards the tailstock", "outward"},
	} {
		p := mustSolve(t, Request{Thread: Thread{Designation: "M30x2", Side: tt.side, Hand: tt.hand}}).Infeed[0]
		assert.Equal(t, tt.swing, p.Swing, tt)
		assert.Contains(t, p.Feed, tt.feed)
	}
}

// TestInfeedAngles: the default angle stays at or under the trailing flank; one
// over it is refused; a buttress needs to say which flank leads.
func TestInfeedAngles(t *testing.T) {
	t.Parallel()
	for form, want := range map[string]float64{"iso-metric": 29.5, "whitworth": 27, "acme": 14.5, "trapezoidal": 15} {
		p := mustSolve(t, Request{Thread: Thread{Form: form, Diameter: "2 in", Pitch: "1/5 in"}}).Infeed
		require.Len(t, p, 2)
		assert.Equal(t, want, p[0].InfeedAngleDeg, form)
		assert.Equal(t, 90-want, p[0].AngleFromAxisDeg, form)
		assert.NotContains(t, p[0].Methods, "compound-parallel")
		assert.Contains(t, p[1].Methods, "compound-parallel")
	}
	square := mustSolve(t, Request{Thread: Thread{Form: "square", Diameter: "2 in", Pitch: "1/5 in"}}).Infeed
	require.Len(t, square, 1)
	assert.Equal(t, FedByCrossSlide, square[0].FedBy)

	buttress := Thread{Form: "buttress-metric", Diameter: "48 mm", Pitch: "8 mm"}
	assert.Contains(t, mustSolve(t, Request{Thread: buttress}).Infeed[0].Why, "which flank leads")
	buttress.LeadingFlank = "load"
	assert.Equal(t, 29.5, mustSolve(t, Request{Thread: buttress}).Infeed[0].InfeedAngleDeg)
	buttress.LeadingFlank = "clearance"
	assert.Equal(t, 3.0, mustSolve(t, Request{Thread: buttress}).Infeed[0].InfeedAngleDeg)

	for _, tt := range []struct {
		thread Thread
		deg    float64
	}{
		{Thread{Designation: "M30x2"}, 30.5}, {Thread{Designation: "1-5 ACME"}, 15}, {Thread{Designation: "Tr 40x7"}, 15.5},
		{Thread{Form: "square", Diameter: "1 in", Pitch: "1/5 in"}, 1}, {buttress, 4},
	} {
		_, err := Solve(Request{Thread: tt.thread, Cut: &Cut{InfeedAngleDeg: &tt.deg}})
		var d *DomainError
		require.ErrorAs(t, err, &d, tt)
		assert.Equal(t, "/cut/infeed_angle_deg", d.Quantity)
	}
}

// TestToolGrind: leading = relief + φ(minor), trailing = relief − φ(major), which
// steep leads make negative.
func TestToolGrind(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		relief := rapid.Float64Range(0, 20).Draw(t, "relief")
		starts := rapid.IntRange(1, 6).Draw(t, "starts")
		a, err := Solve(Request{
			Thread: Thread{Form: "trapezoidal", Diameter: "40 mm", Pitch: "7 mm", Starts: ref(Count(starts))},
			Cut:    &Cut{ReliefDeg: &relief},
		})
		require.NoError(t, err)
		phi := func(d float64) float64 { return math.Atan(7*float64(starts)/(math.Pi*d)) * 180 / math.Pi }
		require.InDelta(t, relief+phi(32), *a.Tool.LeadingGrindDeg, 1e-9)
		require.InDelta(t, relief-phi(40), *a.Tool.TrailingGrindDeg, 1e-9)
		require.InDelta(t, 0.366025*7-0.535898*0.5, a.Tool.Nose.MM(), 1e-5) // ISO 2904: 0.366 P − 0.536 a_c
	})
	a := mustSolve(t, Request{Thread: Thread{Form: "trapezoidal", Diameter: "40 mm", Pitch: "7 mm", Starts: ref(Count(6))}, Cut: &Cut{ReliefDeg: ref(8.0)}})
	assert.Negative(t, *a.Tool.TrailingGrindDeg)
}

// TestJobMinutes are the worked values of the planning notes: our own
// arithmetic by the formula at timing, no outside source; printed to 0.1 min.
func TestJobMinutes(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		starts, passes, spring int
		lead, rpm, want        float64
	}{
		{1, 8, 2, 2, 80, 21.5},
		{3, 10, 2, 6, 60, 38.3},
		{4, 12, 2, 12, 40, 48.6},
	} {
		got := timing{
			starts: tt.starts, passes: tt.passes + tt.spring, lengthMM: 30, leadMM: tt.lead, rpm: tt.rpm,
			setUp: setUpStart, index: indexStart, measure: measureStart, handlingS: handlingStart,
		}.minutes()
		assert.InDelta(t, tt.want, got.Minutes, 0.05)
		assert.InDelta(t, got.Minutes, got.SetUp+got.Cutting+got.Handling+got.Indexing+got.Measuring, 1e-9)
		assert.GreaterOrEqual(t, got.Handling, got.Cutting, "a longer lead does not shorten the job much")
	}
}

func TestJobTimeUsesTheShopsTimes(t *testing.T) {
	t.Parallel()
	q := fullRequest(t)
	start := mustSolve(t, q).JobTime
	assert.Contains(t, start.Basis, "start values without a source")
	q.Cut.SetUpMin, q.Cut.HandlingS, q.Cut.IndexMin, q.Cut.MeasureMin = ref(10.0), ref(0.0), ref(1.0), ref(0.0)
	own := mustSolve(t, q).JobTime
	assert.Equal(t, 10.0, own.SetUp)
	assert.Equal(t, 2.0, own.Indexing) // three starts
	assert.Zero(t, own.Handling+own.Measuring)
	assert.Equal(t, start.Cutting, own.Cutting)
	assert.Contains(t, own.Basis, "times as given")
	q.Cut.SpindleRPM = nil
	assert.Nil(t, mustSolve(t, q).JobTime)
}

// TestSpindleRPM: N·π·d = V, and twice the diameter halves the speed.
func TestSpindleRPM(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		v, d := rapid.Float64Range(0.1, 1000).Draw(t, "V"), rapid.Float64Range(0.5, 1000).Draw(t, "d")
		n, err := SpindleRPM(v, d)
		require.NoError(t, err)
		require.InEpsilon(t, v*1000, n*math.Pi*d, 1e-12)
		half, err := SpindleRPM(v, 2*d)
		require.NoError(t, err)
		require.InEpsilon(t, n/2, half, 1e-12)
	})
	for _, bad := range [][2]float64{{0, 10}, {10, 0}, {-1, 10}, {math.NaN(), 10}, {10, math.Inf(1)}, {1e300, 1e-300}} {
		_, err := SpindleRPM(bad[0], bad[1])
		var d *DomainError
		assert.ErrorAs(t, err, &d, bad)
	}
}

func TestSpeed(t *testing.T) {
	t.Parallel()
	q := Request{Thread: Thread{Designation: "M30x2"}, Lathe: &Lathe{SpindleSpeeds: []float64{40, 70, 120, 210}}, Cut: &Cut{Material: "Brass"}}
	s := mustSolve(t, q).Speed
	assert.Contains(t, s.Source, "Jones")
	assert.InDelta(t, 150*0.3048, s.TurningMPerMin.Low, 1e-9)
	assert.InDelta(t, s.TurningMPerMin.Low/4, s.ThreadingMPerMin.Low, 1e-9)
	assert.Equal(t, 120.0, *s.NextLowerRPM) // 200 ft/min/4 at 30 mm is 161.7 rev/min
	for _, m := range materials {
		_, source, ok := turningSpeed(m.names[0])
		require.True(t, ok)
		assert.NotEmpty(t, source)
		assert.Less(t, m.turning.Low, m.turning.High)
	}
	q.Cut = &Cut{Material: "unheard of"}
	assert.Nil(t, mustSolve(t, q).Speed)
	q.Cut.CuttingSpeedMPerMin = ref(3.0)
	assert.InDelta(t, 1000*3/(math.Pi*30), mustSolve(t, q).Speed.ThreadingRPM.High, 1e-9)
}

// TestUse: a frictionless screw is perfect, self-locking follows tan ρ′ > tan φ,
// more starts are more efficient and drop the load, and torque in and work out
// agree: 2π·T·efficiency = F·L.
func TestUse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		form := rapid.SampledFrom([]string{"square", "trapezoidal", "acme", "iso-metric"}).Draw(t, "form")
		mu := rapid.Float64Range(0, 0.4).Draw(t, "friction")
		load := rapid.Float64Range(1, 1e5).Draw(t, "load")
		before := 0.0
		for starts := Count(1); starts <= 4; starts++ {
			a, err := Solve(Request{Thread: Thread{Form: form, Diameter: "40 mm", Pitch: "5 mm", Starts: &starts}, Cut: &Cut{Friction: &mu, LoadN: &load}})
			require.NoError(t, err)
			u := a.Use
			require.InEpsilon(t, load*a.Lead.MM()/1000, 2*math.Pi**u.TorqueRaise*u.Efficiency, 1e-9)
			require.Equal(t, u.SelfLocking, *u.TorqueLower > 0)
			require.Equal(t, a.Lead, u.NutAdvance)
			if mu == 0 {
				require.InDelta(t, 1, u.Efficiency, 1e-12)
			} else {
				require.Greater(t, u.Efficiency, before-1e-12)
			}
			if u.SelfLocking {
				require.Less(t, u.Efficiency, 0.5) // identity: tan φ/tan(φ+ρ′) < 1/2 for ρ′ > φ
			}
			before = u.Efficiency
		}
	})
	jam := mustSolve(t, Request{Thread: Thread{Form: "square", Diameter: "5 mm", Pitch: "2 mm", Starts: ref(Count(8))}, Cut: &Cut{Friction: ref(9.0), LoadN: ref(10.0)}})
	assert.Zero(t, jam.Use.Efficiency)
	assert.Nil(t, jam.Use.TorqueRaise)
	assert.Contains(t, jam.Use.Why, "jams")
}

func TestBlank(t *testing.T) {
	t.Parallel()
	b := mustSolve(t, Request{Thread: Thread{Designation: "Tr 40x7-7e"}}).Blank
	assert.Equal(t, 40.0, b.Diameter.MM())
	assert.Equal(t, 40.0, b.Max.MM())
	assert.Less(t, b.Min.MM(), 40.0)
	assert.Equal(t, 32.0, b.ChamferTo.MM()) // d3 = d − P − 2a_c
	assert.Equal(t, 4.0, b.ChamferLength.MM())
	in := mustSolve(t, Request{Thread: Thread{Designation: "Tr 40x7", Side: "internal"}}).Blank
	assert.Equal(t, 33.0, in.Diameter.MM()) // D1 = d − P
	assert.Equal(t, 41.0, in.ChamferTo.MM())
	assert.Nil(t, in.Max)
	assert.Nil(t, mustSolve(t, Request{Thread: Thread{Form: "square", Pitch: "2 mm"}}).Blank)
}

// ExampleSpindleRPM turns a surface speed of 3 m/min at 30 mm into a speed.
func ExampleSpindleRPM() {
	n, err := SpindleRPM(3, 30)
	fmt.Printf("%.1f %v\n", n, err)
	// Output: 31.8 <nil>
}
