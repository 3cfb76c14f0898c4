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
	assert.Contains(t, noGroove.Why, "give the groove, or the room")

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

// TestRoomBeyondTheThread: what lies beyond the full thread decides, with a mark as
// without. Tr 60x32(P8) of 50 mm at 400 rev/min and 0.7 s: 32·400·0.7/60 =
// 149.333 mm of overrun; in 5 mm of room nothing fits, mark or none.
func TestRoomBeyondTheThread(t *testing.T) {
	t.Parallel()
	steep := func(mark, room string, rpm float64) *RunOut {
		a, err := Solve(Request{
			Thread: Thread{Form: "trapezoidal", Diameter: "60 mm", Pitch: "8 mm", Starts: ref(Count(4)), Length: "50 mm"},
			Lathe:  &Lathe{Leadscrew: "32 mm"}, // closes anywhere
			Cut:    &Cut{SpindleRPM: &rpm, WithdrawalMark: mark, Room: room, ReactionS: ref(0.7)},
		})
		require.NoError(t, err)
		return a.RunOut
	}
	r := steep("50 mm", "", 400)
	assert.InDelta(t, 149.333333, r.Overrun.MM(), 1e-6)
	assert.Nil(t, r.Fits, "an unknown room is no permission")
	assert.Nil(t, r.Limit)
	r = steep("50 mm", "5 mm", 400)
	assert.False(t, *r.Fits)
	assert.InDelta(t, 55, r.Limit.MM(), 1e-12)
	assert.InDelta(t, 199.333333, r.StillBy.MM(), 1e-6)
	assert.InDelta(t, 60*5/(32*0.7), *r.GreatestRPM, 1e-9)
	r = steep("250 mm", "160 mm", 40)
	assert.False(t, *r.Fits, "the mark lies beyond the room")
	assert.Contains(t, r.Why, "already ends")
	assert.Nil(t, r.GreatestRPM)
	r = steep("53 mm", "20 mm", 40)
	assert.True(t, *r.Fits) // 14.933 mm from 53 mm on, of 70 mm
	assert.InDelta(t, 53+14.933333, r.StillBy.MM(), 1e-6)

	// The groove's usable width is the room, or less where less is free.
	both := runOutOf(t, func(q *Request) { q.Cut.Room = "3 mm" })
	assert.InDelta(t, 3, both.Room.MM(), 1e-12)
	assert.InDelta(t, 4, both.UsableWidth.MM(), 1e-12)
	assert.InDelta(t, 4, runOutOf(t, func(q *Request) { q.Cut.Room = "30 mm" }).Room.MM(), 1e-12)
}

// TestStartingGroove: a left-hand thread begins in a groove that takes the tool, 3
// mm wide, and one lead, 6 mm.
func TestStartingGroove(t *testing.T) {
	t.Parallel()
	assert.Nil(t, runOutOf(t, func(*Request) {}).StartingGroove)
	assert.InDelta(t, 9, runOutOf(t, func(q *Request) { q.Thread.Hand = "left" }).StartingGroove.MM(), 1e-12)
}

func TestRunOutRefuses(t *testing.T) {
	t.Parallel()
	for path, cut := range map[string]Cut{
		"/cut/reaction_s":  {ReactionS: ref(0.0)},
		"/cut/coast_turns": {CoastTurns: ref(-1.0)},
		"/cut/spindle_rpm": {SpindleRPM: ref(0.0)},
		"/cut/groove":      {Groove: "0 mm"},
		"/cut/tool_width":  {ToolWidth: "-3 mm"},
		"/cut/room":        {Room: "-1 mm"},

		"/cut/starting_groove": {StartingGroove: "0 mm"},
	} {
		_, err := Solve(Request{Thread: Thread{Pitch: "2 mm"}, Cut: &cut})
		var d *DomainError
		require.ErrorAs(t, err, &d, path)
		assert.Equal(t, path, d.Quantity)
		assert.NotEmpty(t, d.Range)
	}
}
