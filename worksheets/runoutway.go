package worksheets

import "fmt"

// RunOutWaySpec is the way of the tool along the work, with the places where the hand acts. Lengths are millimetres
// from the end at which the thread begins.
type RunOutWaySpec struct {
	Thread, ActAt, StillBy, Limit float64 // Thread more than 0; then Thread ≤ ActAt ≤ StillBy ≤ Limit
	LeftHand                      bool    // the thread begins at the headstock end
	Width                         float64 // mm of paper, 80 to 250
	Text                          float64 // points; 0 is 9

	ThreadLabel, ActLabel, StillLabel, LimitLabel string
	Begin, End                                    string // what the two ends are called
}

// RunOutWay returns the work from the front, headstock on the left, with the thread, the way that the tool goes, and the
// places on it: where the hand acts, where the tool stands, where the room ends. It is not to scale: the room is drawn
// as long as the thread, so that it can be read.
//
// Classes: "work", "thread", "travel" for the arrow, "place:act", "place:still", "place:limit", "solid".
func RunOutWay(s RunOutWaySpec) (Group, error) {
	const hair = 1e-6
	if err := firstError(
		inRange("thread", s.Thread, 0.1, 10_000),
		inRange("place to act", s.ActAt, s.Thread-hair, s.StillBy+hair),
		inRange("place to stand still", s.StillBy, s.ActAt-hair, s.Limit+hair),
		inRange("width", s.Width, 80, 250),
	); err != nil {
		return Group{}, fmt.Errorf("way of the tool: %w", err)
	}
	// The labels lie beside the work, so that it is drawn as long as they leave room for.
	var g Group
	for share := 0.40; share > 0.14; share -= 0.02 {
		if g = s.draw(s.Width * share); g.Bounds().W <= s.Width {
			break
		}
	}
	g, err := withinWidth(g, "the way of the tool", s.Width)
	if err != nil {
		return Group{}, fmt.Errorf("way of the tool: %w", err)
	}
	return g, nil
}

// draw draws thread and room half as long each, mm of paper.
func (s RunOutWaySpec) draw(half float64) Group {
	const hair = 1e-6
	size := textSize(s.Text)
	row := size * 1.3 / pointsPerMM
	const high = 7.0 // half the height of the work
	// x is the paper to the left of where the thread begins, turned over for a left-hand thread.
	x := func(mm float64) float64 {
		if mm <= s.Thread {
			return mirrored(-half*mm/s.Thread, s.LeftHand)
		}
		return mirrored(-half-half*(mm-s.Thread)/max(s.Limit-s.Thread, hair), s.LeftHand)
	}
	solid := mirrored(-2*half-5, s.LeftHand)
	g := Group{
		Class: "run-out-way", Title: "The end of every pass",
		Desc: fmt.Sprintf("The work from the front, the headstock on the left. The thread begins at the %s and the tool travels to the %s: %s of full thread, then %s, %s, %s.",
			s.Begin, s.End, s.ThreadLabel, s.ActLabel, s.StillLabel, s.LimitLabel),
	}
	box := func(x0, x1, y0, y1 float64) []Point {
		return []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
	}
	g.add(
		Polygon{Points: box(x(0), x(s.Thread), -high, high), Stroke: Edge, Fill: Shade, Class: "thread"},
		Polygon{Points: box(x(s.Thread), x(s.Limit), -high+3, high-3), Stroke: Edge, Class: "work"},
		Polygon{Points: box(x(s.Limit), solid, -high-6, high+6), Stroke: Edge, Fill: Shade, Class: "solid"},
		Line{A: Point{x(0) + mirrored(6, s.LeftHand), 0}, B: Point{solid, 0}, Stroke: Centre, Class: "centre-line"},
	)
	const lines = 7 // across the thread, slanting as the groove does
	for i := range lines {
		a := x(s.Thread * (float64(i) + 0.3) / lines)
		lean := -2.0
		if s.LeftHand {
			lean = 2
		}
		g.add(Line{A: Point{a - lean/2, -high}, B: Point{a + lean/2, high}, Stroke: Fine, Class: "groove"})
	}
	way := high + 4
	g.add(Line{A: Point{x(0) + mirrored(8, s.LeftHand), way}, B: Point{x(s.Thread), way}, Stroke: Fine, Class: "travel"})
	heading := 180.0
	if s.LeftHand {
		heading = 0
	}
	g.add(arrowhead(Point{x(s.Thread), way}, heading))
	g.add(Text{At: Point{x(s.Thread / 2), way + row}, Text: "full thread " + s.ThreadLabel, Size: size, Anchor: Middle, Class: "note"})
	for i, p := range []struct {
		class, text string
		at          float64
	}{{"place:act", s.ActLabel, s.ActAt}, {"place:still", s.StillLabel, s.StillBy}, {"place:limit", s.LimitLabel, s.Limit}} {
		y := -high - 3 - row*float64(3-i)
		at := x(p.at)
		g.add(Line{A: Point{at, high + 1}, B: Point{at, y + 0.5}, Stroke: Fine, Class: p.class})
		// Each label lies on the side of the room, above the lower line of the next place.
		t := Text{At: Point{at - mirrored(1.2, s.LeftHand), y + Regular.CapHeight(size)}, Text: p.text, Face: Bold, Size: size, Anchor: End, Class: p.class}
		if s.LeftHand {
			t.Anchor = Start
		}
		g.add(label(t)...)
	}
	b := g.Bounds()
	left, right := s.End, s.Begin
	if s.LeftHand {
		left, right = s.Begin, s.End
	}
	foot := b.Y + b.H + row
	g.add(Text{At: Point{b.X, foot}, Text: left, Size: size * 0.9, Anchor: Start, Class: "note"},
		Text{At: Point{b.X + b.W, foot}, Text: right, Size: size * 0.9, Anchor: End, Class: "note"})
	return g
}
