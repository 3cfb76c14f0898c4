package worksheets

import (
	"fmt"
)

// CompoundSpec is the compound slide set to feed a thread.
type CompoundSpec struct {
	AngleDeg float64 // of the slide from the cross-slide's direction, 0 to 85
	LeftHand bool
	Internal bool
	Width    float64 // mm of paper, 60 to 250
	Text     float64 // points; 0 is 9

	AngleLabel string // of the angle from the cross-slide; none when empty
	AxisLabel  string // of the angle from the work's axis; none when empty
}

// CompoundView returns the compound seen from above with the headstock on the left and the operator below. The handle
// is swung so that feeding moves the tool with its travel: towards the tailstock for an external right-hand and an
// internal left-hand thread, towards the headstock for the others. The angle is true; lengths are not to scale.
//
// Classes: "axis" and "cross-slide" for the two directions that the angle may be counted from, "compound" for the
// slide's middle line from the tool to the handle, "angle:infeed", "angle:axis", "feed" and "travel" for the arrows.
func CompoundView(s CompoundSpec) (Group, error) {
	if err := firstError(
		inRange("infeed angle", s.AngleDeg, 0, 85),
		inRange("width", s.Width, 60, 250),
	); err != nil {
		return Group{}, fmt.Errorf("compound: %w", err)
	}
	size := textSize(s.Text)
	row := size * 1.3 / pointsPerMM
	towardsTail := s.LeftHand == s.Internal
	way := 1.0 // from the tool, the handle lies to the right
	hand := "handle towards the tailstock"
	if !towardsTail {
		way, hand = -1, "handle towards the headstock"
	}
	side := "external"
	if s.Internal {
		side = "internal"
	}
	thread := map[bool]string{false: "right-hand", true: "left-hand"}[s.LeftHand]
	g := Group{
		Class: "compound-view", Title: "The compound slide seen from above",
		Desc: fmt.Sprintf("Seen from above, headstock on the left, operator below. %s %s thread: %s. The tool is fed %s and travels %s.",
			capitalized(side), thread, hand, s.feedWord(), s.travelWord()) + told("Angle from the cross-slide", s.AngleLabel) + told("Angle from the axis", s.AxisLabel),
	}
	half := s.Width/2 - 2
	const workHalf = 9.0
	slide := min(half*0.78, 46.0) // from the tool to the handle
	// The work: a bar for an external thread, the two walls of a bore for an internal one. The tool's point is the origin.
	wall := Stroke{Width: Thick, Tone: Ink}
	axis := -workHalf
	reach := min(half, slide)
	if s.Internal {
		const thick = 5.0
		for _, y := range []float64{0, -2*workHalf - thick} {
			g.add(Rect{Box: Box{-reach, y, 2 * reach, thick}, Stroke: wall, Fill: Shade, Class: "work"})
		}
	} else {
		g.add(Rect{Box: Box{-reach, -2 * workHalf, 2 * reach, 2 * workHalf}, Stroke: wall, Fill: Shade, Class: "work"})
	}
	g.add(
		Line{A: Point{-half, axis}, B: Point{half, axis}, Stroke: Centre, Class: "axis"},
	)
	down := 270.0
	handle := down + way*s.AngleDeg
	tool := Point{}
	knob := tool.Polar(slide, handle)
	g.add(Line{A: Point{0, axis}, B: tool.Polar(slide+3, down), Stroke: Centre, Class: "cross-slide"})
	// The slide: its body, the handle and the middle line.
	const body = 4.0
	near, far := tool.Polar(11, handle), tool.Polar(slide-4, handle)
	g.add(
		Polygon{Points: []Point{near.Polar(body, handle+90), far.Polar(body, handle+90), far.Polar(body, handle-90), near.Polar(body, handle-90)}, Stroke: Edge, Fill: White, Class: "slide"},
		Polygon{Points: []Point{tool, near.Polar(1.6, handle+90), near.Polar(1.6, handle-90)}, Stroke: Fine, Fill: White, Class: "tool"},
		Line{A: tool, B: knob, Stroke: Centre, Class: "compound"},
		Line{A: knob.Polar(body, handle+90), B: knob.Polar(body, handle-90), Stroke: Edge, Class: "handle"},
	)
	// Feeding: inward along the slide for an external thread, outward for an internal one.
	from, to := tool.Polar(slide*0.78, handle).Polar(body+2, handle+90*way), tool.Polar(slide*0.78-9, handle).Polar(body+2, handle+90*way)
	if s.Internal {
		from, to = to, from
	}
	g.add(arrowLine("feed", from, to)...)
	travel := -1.0
	if s.LeftHand {
		travel = 1
	}
	y := axis - workHalf - 4
	if s.Internal {
		y -= 5
	}
	g.add(arrowLine("travel", Point{-travel * 7, y}, Point{travel * 7, y})...)
	g.add(Text{At: Point{0, y - 1.5}, Text: "tool travel", Size: size, Anchor: Middle, Class: "note"})
	g.add(Text{At: Point{-half, y - 1.5 - row}, Text: "headstock", Size: size, Class: "note"},
		Text{At: Point{half, y - 1.5 - row}, Text: "tailstock", Size: size, Anchor: End, Class: "note"})
	if s.AngleDeg > 0 && s.AngleLabel != "" {
		g.add(angleDimension("angle:infeed", s.AngleLabel, tool, slide+1, down, handle, size))
	}
	if s.AxisLabel != "" && s.AngleDeg > 0 {
		level := down + way*90
		g.add(Line{A: tool, B: tool.Polar(slide*0.62, level), Stroke: Fine, Class: "level"})
		g.add(angleDimension("angle:axis", s.AxisLabel, tool, slide*0.5, handle, level, size))
	}
	below := g.Bounds()
	notes := []string{"seen from above, " + side + " " + thread + " thread", hand + "; fed " + s.feedWord()}
	if s.AngleDeg == 0 {
		notes[1] = "in line with the cross-slide; fed " + s.feedWord()
	}
	g.add(noteLines(Point{-half, below.Y + below.H + row*0.4}, s.Width-4, size, notes...)...)
	g, err := withinWidth(g, "the compound with its labels", s.Width)
	if err != nil {
		return Group{}, fmt.Errorf("compound: %w", err)
	}
	return g, nil
}

func (s CompoundSpec) feedWord() string {
	if s.Internal {
		return "outward, towards the operator"
	}
	return "inward, away from the operator"
}

func (s CompoundSpec) travelWord() string {
	if s.LeftHand {
		return "towards the tailstock"
	}
	return "towards the headstock"
}

// arrowLine returns a line of the class with an arrowhead at its end.
func arrowLine(class string, from, to Point) []Item {
	l := Line{A: from, B: to, Stroke: Fine, Class: class}
	return []Item{l, arrowhead(to, degreesOf(from, to))}
}
