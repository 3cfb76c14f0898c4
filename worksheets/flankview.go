package worksheets

import (
	"fmt"
	"math"
)

// FlankSpec is a threading tool seen along the cross-slide, from the operator's side.
type FlankSpec struct {
	// LeadMinorDeg and LeadMajorDeg are the thread's lead angles at the minor and the major diameter, ReliefDeg the
	// clearance wanted below each flank: 0 to 45 degrees each.
	LeadMinorDeg, LeadMajorDeg, ReliefDeg float64
	LeftHand                              bool
	Width                                 float64 // mm of paper, 60 to 250
	Text                                  float64 // points; 0 is 9

	// Labels are what is written of the two angles to grind and of the relief; an empty one is left out.
	LeadingLabel, TrailingLabel, ReliefLabel string
}

// FlankView returns the tool's front with the walls of the groove that pass its flanks: below the cutting edges the
// walls of a right-hand groove run away from the headstock, so the leading flank is ground by the relief more than the
// lead angle at the minor diameter and the trailing flank by the relief less the lead angle at the major diameter.
// Angles are true, the tool's width is not.
//
// Classes: "flank:leading", "flank:trailing" and "wall:leading", "wall:trailing" for the lines from the cutting edges
// down, "angle:leading" and "angle:trailing" for the angles from the vertical, "relief:leading" and "relief:trailing".
func FlankView(s FlankSpec) (Group, error) {
	if err := firstError(
		inRange("lead angle at the minor diameter", s.LeadMinorDeg, 0, 45),
		inRange("lead angle at the major diameter", s.LeadMajorDeg, 0, 45),
		inRange("relief", s.ReliefDeg, 0, 45),
		inRange("leading angle", s.LeadMinorDeg+s.ReliefDeg, 0, 60),
		inRange("width", s.Width, 60, 250),
	); err != nil {
		return Group{}, fmt.Errorf("tool flanks: %w", err)
	}
	size := textSize(s.Text)
	half := min(s.Width/2-18, 24) // beside it walls, arrows and letters
	x := func(v float64) float64 { return mirrored(v, s.LeftHand) }
	angle := func(deg float64) float64 { return leftTurned(deg, s.LeftHand) }
	leading, trailing := s.LeadMinorDeg+s.ReliefDeg, s.ReliefDeg-s.LeadMajorDeg
	tan := func(deg float64) float64 { return math.Tan(deg * math.Pi / 180) }
	// As deep as the flanks leave a third of the width.
	depth := 34.0
	if narrowing := tan(leading) + tan(trailing); narrowing > 0 {
		depth = min(depth, 2*half*2/3/narrowing)
	}
	thread := map[bool]string{false: "right-hand", true: "left-hand"}[s.LeftHand]
	g := Group{
		Class: "flanks", Title: "Clearance of the tool's flanks",
		Desc: fmt.Sprintf("The tool's front for a %s thread, seen from the operator, headstock on the left. Below the cutting edges the groove's walls run away from the leading side, by the lead angle.", thread) +
			told("Ground below the leading flank", s.LeadingLabel) + told("Ground below the trailing flank", s.TrailingLabel) + told("Relief", s.ReliefLabel),
	}
	lead, trail := Point{x(-half), 0}, Point{x(half), 0}
	down := 270.0
	// In the picture of a right-hand thread a line that leans to the right going down has an angle above 270.
	flankL, flankT := angle(down+leading), angle(down-trailing)
	wallL, wallT := angle(down+s.LeadMinorDeg), angle(down+s.LeadMajorDeg)
	to := func(p Point, deg float64) Point { return p.Polar(depth/math.Abs(math.Cos((deg-270)*math.Pi/180)), deg) }
	g.add(
		Polygon{Points: []Point{lead, trail, to(trail, flankT), to(lead, flankL)}, Fill: Shade, Class: "tool"},
		Line{A: lead, B: trail, Stroke: Edge, Class: "face"},
		Line{A: lead, B: to(lead, flankL), Stroke: Edge, Class: "flank:leading"},
		Line{A: trail, B: to(trail, flankT), Stroke: Edge, Class: "flank:trailing"},
		Line{A: to(lead, flankL), B: to(trail, flankT), Stroke: Fine, Class: "break"},
	)
	for _, e := range []struct {
		class      string
		p          Point
		wall, up   float64
		flank, mid float64
	}{
		{"leading", lead, wallL, wallL + 180, flankL, leading},
		{"trailing", trail, wallT, wallT + 180, flankT, trailing},
	} {
		g.add(
			Line{A: e.p.Polar(9, e.up), B: to(e.p, e.wall), Stroke: Hidden, Class: "wall:" + e.class},
			Line{A: e.p, B: e.p.Polar(depth+3, down), Stroke: Centre, Class: "vertical:" + e.class},
		)
		g.add(angleDimension("angle:"+e.class, "", e.p, depth*0.92, angle(down), e.flank, size))
		g.add(angleDimension("relief:"+e.class, "", e.p, depth*0.66, e.wall, e.flank, size))
	}
	// Letters stand outside the angles so that nothing runs through them; the notes say what they are.
	foot := depth*0.92 + Regular.CapHeight(size)/2
	right := math.Abs(math.Max(x(to(trail, wallT).X), x(to(trail, flankT).X)))
	for _, t := range []struct {
		text string
		x    float64
	}{{"a", x(-half - 5)}, {"b", x(max(right, half) + 5)}} {
		g.add(Text{At: Point{t.x, foot}, Text: t.text, Face: Bold, Size: size, Anchor: Middle, Class: "letter"})
	}
	g.add(arrowLine("travel", Point{x(8), -7}, Point{x(-8), -7})...)
	g.add(Text{At: Point{0, -9}, Text: "tool travel", Size: size, Anchor: Middle, Class: "note"})
	b := g.Bounds()
	notes := []string{"tool seen from the operator, " + thread + " thread; walls of the groove dashed"}
	if s.LeadingLabel != "" {
		notes = append(notes, "a: below the leading flank, "+s.LeadingLabel)
	}
	if s.TrailingLabel != "" {
		notes = append(notes, "b: below the trailing flank, "+s.TrailingLabel)
	}
	if s.ReliefLabel != "" {
		notes = append(notes, "inner arcs: relief, "+s.ReliefLabel)
	}
	g.add(noteLines(Point{-s.Width/2 + 2, b.Y + b.H + 2}, s.Width-4, size, notes...)...)
	g, err := withinWidth(g, "the tool with its angles", s.Width)
	if err != nil {
		return Group{}, fmt.Errorf("tool flanks: %w", err)
	}
	return g, nil
}
