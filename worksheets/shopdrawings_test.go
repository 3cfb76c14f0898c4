package worksheets

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/threadmath"
)

// leaning returns the direction of the line of the class in degrees, 0 to 360.
func leaning(t require.TestingT, g Group, class string) float64 {
	l := only[Line](t, g, class)
	return math.Mod(degreesOf(l.A, l.B)+720, 360)
}

func TestCompoundViewReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := CompoundSpec{
			AngleDeg: rapid.Float64Range(1, 60).Draw(t, "angle"), LeftHand: rapid.Bool().Draw(t, "left"), Internal: rapid.Bool().Draw(t, "internal"),
			Width: rapid.Float64Range(70, 180).Draw(t, "width"), Text: rapid.SampledFrom([]float64{0, 9, 14}).Draw(t, "text"), AngleLabel: "θ",
		}
		g, err := CompoundView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		require.InDelta(t, s.AngleDeg, math.Abs(swept(t, g, "angle:infeed")), 1e-9)
		require.InDelta(t, 270, leaning(t, g, "cross-slide"), 1e-9)
		handle := leaning(t, g, "compound")
		require.InDelta(t, s.AngleDeg, math.Abs(handle-270), 1e-9)
		// Feeding moves the tool with its travel, whichever hand and side.
		feed, travel := only[Line](t, g, "feed"), only[Line](t, g, "travel")
		require.Positive(t, (feed.B.X-feed.A.X)*(travel.B.X-travel.A.X))
		require.Equal(t, s.LeftHand, travel.B.X > travel.A.X, "a left-hand thread travels away from the headstock on the left")
		require.Equal(t, s.Internal, feed.B.Y > feed.A.Y, "an internal thread is fed outward, towards the operator below")
	})
}

// The words that the mathematics says of the swing agree with the picture.
func TestCompoundSwingsAsTheAnswerSays(t *testing.T) {
	t.Parallel()
	angle := 29.5
	for _, hand := range []string{"right", "left"} {
		for _, side := range []string{"external", "internal"} {
			a, err := threadmath.Solve(threadmath.Request{
				Thread: threadmath.Thread{Form: "iso-metric", Pitch: "2 mm", Hand: hand, Side: side}, Cut: &threadmath.Cut{InfeedAngleDeg: &angle},
			})
			require.NoError(t, err)
			g, err := CompoundView(CompoundSpec{AngleDeg: a.Infeed[0].InfeedAngleDeg, LeftHand: hand == "left", Internal: side == "internal", Width: 90, AngleLabel: "θ", AxisLabel: "60.5°"})
			require.NoError(t, err)
			towards := "handle towards the headstock"
			if leaning(t, g, "compound") > 270 {
				towards = "handle towards the tailstock"
			}
			assert.Equal(t, a.Infeed[0].Swing, towards, "%s %s", hand, side)
			assert.InDelta(t, a.Infeed[0].AngleFromAxisDeg, math.Abs(swept(t, g, "angle:axis")), 1e-9)
		}
	}
}

func TestFlankViewReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		major := rapid.Float64Range(0.5, 20).Draw(t, "major")
		s := FlankSpec{
			LeadMajorDeg: major, LeadMinorDeg: major + rapid.Float64Range(0.1, 8).Draw(t, "more"), ReliefDeg: rapid.Float64Range(3, 12).Draw(t, "relief"),
			LeftHand: rapid.Bool().Draw(t, "left"), Width: rapid.Float64Range(80, 180).Draw(t, "width"), LeadingLabel: "a", TrailingLabel: "b", ReliefLabel: "r",
		}
		g, err := FlankView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		way := 1.0 // to the right going down
		if s.LeftHand {
			way = -1
		}
		// As the answer's tool: leading = relief + φ(minor), trailing = relief − φ(major), which may lean the other way.
		require.InDelta(t, 270+way*(s.ReliefDeg+s.LeadMinorDeg), leaning(t, g, "flank:leading"), 1e-6)
		require.InDelta(t, 270-way*(s.ReliefDeg-s.LeadMajorDeg), leaning(t, g, "flank:trailing"), 1e-6)
		require.InDelta(t, 270+way*s.LeadMinorDeg, leaning(t, g, "wall:leading")+0, 1e-6)
		require.InDelta(t, 270+way*s.LeadMajorDeg, leaning(t, g, "wall:trailing"), 1e-6)
		for _, flank := range []string{"relief:leading", "relief:trailing"} {
			require.InDelta(t, s.ReliefDeg, math.Abs(swept(t, g, flank)), 1e-9)
		}
		// The leading flank is on the side the tool travels to.
		travel, lead := only[Line](t, g, "travel"), only[Line](t, g, "flank:leading")
		require.Positive(t, (travel.B.X-travel.A.X)*lead.A.X)
	})
}

func TestRunOutReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := RunOutSpec{
			Groove: rapid.Float64Range(2, 15).Draw(t, "groove"), Depth: rapid.Float64Range(0.3, 4).Draw(t, "depth"), Pitch: rapid.Float64Range(0.8, 8).Draw(t, "pitch"),
			Overrun: rapid.Float64Range(0.2, 12).Draw(t, "overrun"), LeftHand: rapid.Bool().Draw(t, "left"), Internal: rapid.Bool().Draw(t, "internal"),
			Width: rapid.Float64Range(100, 180).Draw(t, "width"), GrooveLabel: "G", ToolLabel: "T", OverrunLabel: "overrun",
		}
		s.ToolWidth = s.Groove * rapid.Float64Range(0.1, 0.9).Draw(t, "tool")
		g, err := RunOutView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		require.InDelta(t, s.Groove, measured(t, g, "dim:groove"), 1e-9)
		require.InDelta(t, s.ToolWidth, measured(t, g, "dim:tool"), 1e-9)
		require.InDelta(t, s.Overrun, measured(t, g, "dim:overrun"), 1e-9)
		tool, after := only[Polygon](t, g, "tool").Bounds(), only[Polygon](t, g, "tool:overrun").Bounds()
		travel := -1.0
		if s.LeftHand {
			travel = 1
		}
		require.InDelta(t, s.Overrun*travel, (after.X-tool.X)/g.Scale, 1e-9, "the tool runs on towards the shoulder")
		shoulder := only[Line](t, g, "shoulder")
		require.InDelta(t, s.Groove*travel, shoulder.A.X/g.Scale, 1e-9)
		// The depth runs into the metal: down for an external thread, up for an internal one.
		require.Equal(t, s.Internal, shoulder.B.Y < shoulder.A.Y)
		says := fmt.Sprint(g.Find("note")) + g.Desc
		if s.Overrun > s.Groove-s.ToolWidth+1e-6 {
			require.Contains(t, says, "reaches the shoulder")
		}
	})
}

func TestTrainViewReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		teeth := rapid.IntRange(16, 127)
		n := rapid.IntRange(1, 2).Draw(t, "pairs")
		s := TrainSpec{Drivers: rapid.SliceOfN(teeth, n, n).Draw(t, "drivers"), Driven: rapid.SliceOfN(teeth, n, n).Draw(t, "driven"), Width: 150, Height: 90}
		g, err := TrainView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		circle := func(class string) Circle { return only[Circle](t, g, class) }
		for i := range n {
			require.InDelta(t, float64(s.Drivers[i]), 2*circle(fmt.Sprintf("pitch:driver:%d", i+1)).Radius/g.Scale, 1e-9)
			require.InDelta(t, float64(s.Driven[i]), 2*circle(fmt.Sprintf("pitch:driven:%d", i+1)).Radius/g.Scale, 1e-9)
		}
		touch := func(a, b Circle) { require.InDelta(t, a.Radius+b.Radius, a.Centre.Distance(b.Centre), 1e-9) }
		if n == 1 {
			touch(circle("pitch:driver:1"), circle("idler"))
			touch(circle("idler"), circle("pitch:driven:1"))
			return
		}
		touch(circle("pitch:driver:1"), circle("pitch:driven:1"))
		touch(circle("pitch:driver:2"), circle("pitch:driven:2"))
		require.Equal(t, circle("pitch:driven:1").Centre, circle("pitch:driver:2").Centre, "keyed together")
	})
}

// The wires of the drawing lie as the answer measures them: over them, without the lead's term, and on the flanks.
func TestWiresViewReadsBack(t *testing.T) {
	t.Parallel()
	for starts := 1; starts <= 4; starts++ {
		for _, form := range []string{"iso-metric", "acme", "trapezoidal", "whitworth"} {
			count := threadmath.Count(starts)
			a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Form: form, Diameter: "36 mm", Pitch: "3 mm", Starts: &count}})
			require.NoError(t, err)
			pitch, _ := a.Pitch.Exact()
			profile, err := threadmath.Profile(form, pitch, false)
			require.NoError(t, err)
			points := make([]Point, len(profile))
			for i, p := range profile {
				points[i] = Point(p)
			}
			g, err := WiresView(WiresSpec{
				Form: points, FlankDeg: a.Tool.IncludedDeg / 2, MajorDiameter: a.MajorDiameter.MM(), PitchDiameter: a.PitchDiameter.MM(), Wire: a.Wires.Used.MM(),
				Starts: starts, Width: 150, Height: 90, OverLabel: "M", WireLabel: "w", PitchLabel: "P",
			})
			require.NoError(t, err)
			checkDrawing(t, g, 150)
			over, ok := g.Measure("dim:over")
			require.True(t, ok)
			assert.InDelta(t, a.Wires.Over.MM()-a.Wires.LeadTerm.MM(), over/g.Scale, 1e-6, "%s, %d starts", form, starts)
			wires := g.Find("wire")
			require.Len(t, wires, 3)
			opposite := wires[2].(Circle).Centre.X - wires[0].(Circle).Centre.X
			assert.InDelta(t, float64(starts%2)*1.5, opposite/g.Scale, 1e-9, "an odd number of starts puts the groove opposite half a pitch off")
			detail := only[Group](t, g, "detail")
			assert.InDelta(t, a.Wires.Used.MM(), measured(t, detail, "dim:wire"), 1e-9)
			assert.InDelta(t, 3, measured(t, detail, "dim:pitch"), 1e-9)
			// The best wire touches on the pitch line.
			line := only[Line](t, detail, "pitch-line")
			for _, c := range detail.Find("contact") {
				assert.InDelta(t, line.A.Y, c.(Circle).Centre.Y, 1e-6, "%s", form)
			}
		}
	}
}

func TestThreadViewsReadBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := ThreadViewsSpec{
			Major: rapid.Float64Range(6, 80).Draw(t, "major"), Length: rapid.Float64Range(10, 80).Draw(t, "length"), Starts: rapid.IntRange(1, 12).Draw(t, "starts"),
			LeftHand: rapid.Bool().Draw(t, "left"), Projection: Projection(rapid.IntRange(0, 1).Draw(t, "projection")),
			Width: 150, Height: 80, MajorLabel: "⌀d", MinorLabel: "⌀d3", LengthLabel: "l",
		}
		s.Minor = s.Major * rapid.Float64Range(0.6, 0.95).Draw(t, "minor")
		g, err := ThreadViews(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		require.InDelta(t, s.Major, measured(t, g, "dim:major"), 1e-9)
		require.InDelta(t, s.Minor, measured(t, g, "dim:minor"), 1e-9)
		require.InDelta(t, s.Length, measured(t, g, "dim:length"), 1e-9)
		circle := only[Circle](t, g, "crest-circle")
		bar := only[Polygon](t, g, "bar").Bounds()
		// The end shown lies on the left: first-angle puts its view on the right, third-angle on the left.
		require.Equal(t, s.Projection == FirstAngle, circle.Centre.X > bar.X)
		symbol := only[Group](t, g, "projection")
		cone, end := only[Polygon](t, symbol, "cone").Bounds(), symbol.Find("cone-end")[0].(Circle)
		require.Equal(t, s.Projection == FirstAngle, end.Centre.X > cone.X)
		for j := range s.Starts {
			p := only[Circle](t, g, fmt.Sprintf("start:%d", j+1)).Centre
			want := math.Mod(360-float64(j)*360/float64(s.Starts), 360)
			require.InDelta(t, 0, math.Remainder(degreesOf(circle.Centre, p)-90-want, 360), 1e-6)
		}
	})
}

func TestShopDrawingsRefuseBadNumbers(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for want, err := range map[string]error{
		"infeed angle NaN":            second(CompoundView(CompoundSpec{AngleDeg: nan, Width: 90})),
		"leading angle 70":            second(FlankView(FlankSpec{LeadMinorDeg: 40, ReliefDeg: 30, Width: 90})),
		"tool width 9 is not between": second(RunOutView(RunOutSpec{Groove: 6, ToolWidth: 9, Depth: 1, Pitch: 1, Width: 90})),
		"driven wheels 1":             second(TrainView(TrainSpec{Drivers: []int{20, 30}, Driven: []int{40}, Width: 90, Height: 60})),
		"a wheel of 5 teeth":          second(TrainView(TrainSpec{Drivers: []int{5}, Driven: []int{40}, Width: 90, Height: 60})),
		"the form has 0 points":       second(WiresView(WiresSpec{Width: 90, Height: 60})),
		"minor diameter 20 is not":    second(ThreadViews(ThreadViewsSpec{Major: 10, Minor: 20, Length: 5, Starts: 1, Width: 90, Height: 60})),
		"the two views needs":         second(ThreadViews(ThreadViewsSpec{Major: 10, Minor: 8, Length: 5, Starts: 1, Width: 80, Height: 60, Text: 40})),
	} {
		require.ErrorContains(t, err, want)
	}
}

func TestShopDrawingsGolden(t *testing.T) {
	t.Parallel()
	two, _, err := threadmath.ParseLength("2 mm")
	require.NoError(t, err)
	profile, err := threadmath.Profile("sharp-v", two, false)
	require.NoError(t, err)
	form := make([]Point, len(profile))
	for i, p := range profile {
		form[i] = Point(p)
	}
	var items []Item
	for _, d := range []drawn{
		pair(CompoundView(CompoundSpec{AngleDeg: 29.5, Width: 85, AngleLabel: "29.5°", AxisLabel: "60.5°"})),
		pair(FlankView(FlankSpec{LeadMinorDeg: 12, LeadMajorDeg: 9, ReliefDeg: 7, Width: 85, LeadingLabel: "19°", TrailingLabel: "-2°", ReliefLabel: "7°"})),
		pair(RunOutView(RunOutSpec{Groove: 6, ToolWidth: 2.2, Depth: 1.4, Pitch: 2.3, Overrun: 4.4, LeftHand: true, Internal: true, Width: 85, GrooveLabel: "6 mm", ToolLabel: "2.2", OverrunLabel: "4.4"})),
		pair(TrainView(TrainSpec{Drivers: []int{40, 0}, Driven: []int{60, 127}, Width: 120, Height: 80})),
		pair(WiresView(WiresSpec{Form: form, FlankDeg: 30, MajorDiameter: 24, PitchDiameter: 22.7, Wire: 1.155, Starts: 3, Width: 130, Height: 70, OverLabel: "M", WireLabel: "w", PitchLabel: "P"})),
		pair(ThreadViews(ThreadViewsSpec{Major: 24, Minor: 21.5, Length: 30, Starts: 3, Width: 150, Height: 70, Projection: ThirdAngle, MajorLabel: "⌀24", MinorLabel: "⌀21.5", LengthLabel: "30"})),
	} {
		require.NoError(t, d.err)
		items = append(items, d.g)
	}
	golden(t, "shop-drawings", items)
}
