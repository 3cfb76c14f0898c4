package threadmath

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// runOutOf solves a two-start 3 mm pitch thread, lead 6 mm, after change.
func runOutOf(t require.TestingT, change func(*Request)) *RunOut {
	q := Request{
		Thread: Thread{Form: "trapezoidal", Diameter: "24 mm", Pitch: "3 mm", Starts: ref(Count(2)), Length: "40 mm"},
		Lathe:  &Lathe{Leadscrew: "6 mm", SpindleSpeeds: []float64{40, 70, 120, 210}},
		Cut:    &Cut{SpindleRPM: ref(70.0), Groove: "8 mm", ToolWidth: "3 mm"},
	}
	change(&q)
	a, err := Solve(q)
	require.NoError(t, err)
	return a.RunOut
}

// TestRunOut goes through the ways a thread ends. Worked by hand: lead 6 mm at
// 70 rev/min is 7 mm/s; 0.7 s of reaction overruns 4.9 mm; of a groove of 8 mm
// with a tool of 3 mm half, 4 mm, is usable; 60·4/(6·0.7) = 57.1 rev/min.
func TestRunOut(t *testing.T) {
	t.Parallel()
	open := runOutOf(t, func(*Request) {})
	assert.Equal(t, HalfNutOpened, open.HalfNut)
	assert.Equal(t, "headstock end", open.End)
	assert.InDelta(t, 7, *open.CarriageMMPerS, 1e-12)
	assert.InDelta(t, 4, open.UsableWidth.MM(), 1e-12)
	assert.InDelta(t, 4.9, open.Overrun.MM(), 1e-12)
	assert.False(t, *open.Fits)
	assert.InDelta(t, 57.142857, *open.GreatestRPM, 1e-6)
	assert.Equal(t, 40.0, *open.NextLowerRPM)
	assert.Contains(t, open.Why, "run slower")

	slow := runOutOf(t, func(q *Request) { q.Cut.SpindleRPM = ref(40.0) })
	assert.True(t, *slow.Fits)
	assert.Empty(t, slow.Why)

	wide := runOutOf(t, func(q *Request) { q.Cut.ToolWidth = "6 mm" })
	assert.InDelta(t, 2, wide.UsableWidth.MM(), 1e-12, "groove less tool is the smaller")

	// A metric lead on an inch screw keeps the half-nut closed: no greatest speed.
	closed := func(q *Request) { q.Lathe.Leadscrew = "8 tpi" }
	unknown := runOutOf(t, closed)
	assert.Equal(t, HalfNutKeptClosed, unknown.HalfNut)
	assert.Nil(t, unknown.Overrun)
	assert.Nil(t, unknown.Fits)
	assert.Nil(t, unknown.GreatestRPM)
	assert.Nil(t, unknown.NextLowerRPM)
	assert.Contains(t, unknown.Why, "coast")
	coast := runOutOf(t, func(q *Request) { closed(q); q.Cut.CoastTurns = ref(1.5) })
	assert.InDelta(t, 4.9+9, coast.Overrun.MM(), 1e-12)
	assert.False(t, *coast.Fits)
	assert.Nil(t, coast.GreatestRPM)
	assert.Contains(t, coast.Why, "measure the coast at that speed")
	noSpeed := runOutOf(t, func(q *Request) { closed(q); q.Cut.CoastTurns, q.Cut.SpindleRPM = ref(1.5), nil })
	assert.Nil(t, noSpeed.Overrun)
	assert.Contains(t, noSpeed.Why, "speed at which the coast was measured")

	noHalfNut := runOutOf(t, func(q *Request) { q.Lathe.HalfNut = ref(false) })
	assert.Equal(t, HalfNutKeptClosed, noHalfNut.HalfNut)

	noGroove := runOutOf(t, func(q *Request) { q.Cut.Groove = "" })
	assert.Nil(t, noGroove.UsableWidth)
	assert.Nil(t, noGroove.GreatestRPM)
	assert.NotNil(t, noGroove.Overrun)
	assert.Contains(t, noGroove.Why, "state a mark at which the tool is withdrawn")

	blocked := runOutOf(t, func(q *Request) { q.Cut.ToolWidth = "8 mm" })
	assert.Nil(t, blocked.UsableWidth)
	assert.Nil(t, blocked.GreatestRPM)
	assert.Contains(t, blocked.Why, "as wide as the groove")

	fast := runOutOf(t, func(q *Request) { q.Lathe.SpindleSpeeds = []float64{200, 400} })
	assert.Nil(t, fast.NextLowerRPM)
	assert.Contains(t, fast.Why, "no speed of this lathe is slow enough")

	unsaid := runOutOf(t, func(q *Request) { q.Lathe = nil })
	assert.Contains(t, unsaid.Why, "give the leadscrew")
	assert.Nil(t, runOutOf(t, func(q *Request) { q.Lathe, q.Cut = nil, nil }))

	// Without its own width the tool is as wide as the form at the surface.
	form := runOutOf(t, func(q *Request) { q.Cut.ToolWidth = "" })
	assert.Greater(t, form.ToolWidth.MM(), 1.0)
	assert.Less(t, form.ToolWidth.MM(), 3.0)
}

// TestRunOutEnds: left-hand threads run out at the tailstock, a blind bore at
// its bottom, and then with its own caution.
func TestRunOutEnds(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		side, hand string
		blind      bool
		end        string
	}{
		{"external", "right", false, "headstock end"},
		{"external", "left", false, "tailstock end"},
		{"internal", "right", true, "bottom of the blind bore"},
		{"internal", "left", true, "tailstock end"},
	} {
		r := runOutOf(t, func(q *Request) { q.Thread.Side, q.Thread.Hand, q.Cut.Blind = tt.side, tt.hand, tt.blind })
		assert.Equal(t, tt.end, r.End, tt)
	}
}

// TestRunOutCeiling: at the greatest speed the overrun fills the usable width
// exactly, and a lower speed never overruns more.
func TestRunOutCeiling(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		reaction := rapid.Float64Range(0.05, 5).Draw(t, "reaction")
		set := func(rpm *float64) func(*Request) {
			return func(q *Request) { q.Cut.ReactionS, q.Cut.SpindleRPM = &reaction, rpm }
		}
		most := *runOutOf(t, set(nil)).GreatestRPM
		at := runOutOf(t, set(&most))
		require.InEpsilon(t, at.UsableWidth.MM(), at.Overrun.MM(), 1e-12)
		slower := most * rapid.Float64Range(0.01, 0.99).Draw(t, "share")
		if slower < 0.1 {
			return
		}
		require.Less(t, runOutOf(t, set(&slower)).Overrun.MM(), at.Overrun.MM())
	})
}

func TestRunOutRefuses(t *testing.T) {
	t.Parallel()
	for path, cut := range map[string]Cut{
		"/cut/reaction_s":  {ReactionS: ref(0.0)},
		"/cut/coast_turns": {CoastTurns: ref(-1.0)},
		"/cut/spindle_rpm": {SpindleRPM: ref(0.0)},
		"/cut/groove":      {Groove: "0 mm"},
		"/cut/tool_width":  {ToolWidth: "-3 mm"},
	} {
		_, err := Solve(Request{Thread: Thread{Pitch: "2 mm"}, Cut: &cut})
		var d *DomainError
		require.ErrorAs(t, err, &d, path)
		assert.Equal(t, path, d.Quantity)
		assert.NotEmpty(t, d.Range)
	}
}
