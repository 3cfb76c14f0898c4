package worksheets

import (
	"fmt"
	"math"
)

// Projection is how two views lie to each other on a page (ISO 5456-2, from memory).
type Projection uint8

// FirstAngle puts the view from the left to the right of the front view, as European drawings do; ThirdAngle puts it
// to the left, as American ones do.
const (
	FirstAngle Projection = iota
	ThirdAngle
)

// ProjectionOf returns the projection that goes with a paper: third-angle with US Letter, first-angle otherwise
// (common practice, no source).
func ProjectionOf(p Paper) Projection {
	if p.Name == Letter.Name {
		return ThirdAngle
	}
	return FirstAngle
}

// Symbol returns the projection's symbol, a cut-off cone in two views, height millimetres high. The cone's small end
// looks to the left, and the view of it lies on the right in first-angle and on the left in third-angle projection.
//
// Classes: "cone" and "cone-end".
func (p Projection) Symbol(height float64) Group {
	g := Group{Class: "projection", Title: p.String() + " projection", Desc: "A cut-off cone in two views: " + p.String() + " projection."}
	length, small := height*0.9, height/2
	cone := 0.0
	end := length + height*0.9
	if p == ThirdAngle {
		cone, end = height*1.4, height/2
	}
	g.add(
		Polygon{Points: []Point{{cone, -small / 2}, {cone + length, -height / 2}, {cone + length, height / 2}, {cone, small / 2}}, Stroke: Edge, Class: "cone"},
		Circle{Centre: Point{end, 0}, Radius: height / 2, Stroke: Edge, Class: "cone-end"},
		Circle{Centre: Point{end, 0}, Radius: small / 2, Stroke: Edge, Class: "cone-end"},
		Line{A: Point{cone - 1.5, 0}, B: Point{cone + length + 1.5, 0}, Stroke: Centre, Class: "axis"},
		Line{A: Point{end - height/2 - 1.5, 0}, B: Point{end + height/2 + 1.5, 0}, Stroke: Centre, Class: "axis"},
		Line{A: Point{end, -height/2 - 1.5}, B: Point{end, height/2 + 1.5}, Stroke: Centre, Class: "axis"},
	)
	return g
}

// String returns "first-angle" or "third-angle".
func (p Projection) String() string {
	if p == ThirdAngle {
		return "third-angle"
	}
	return "first-angle"
}

// ThreadViewsSpec is the threaded end of a bar in two views. Lengths are millimetres.
type ThreadViewsSpec struct {
	Major, Minor float64 // diameters, minor under major
	Length       float64 // of thread shown
	Starts       int     // 1 to 12
	LeftHand     bool
	Projection   Projection
	Width        float64 // mm of paper, 80 to 250
	Height       float64 // mm of paper, 40 to 250
	Text         float64 // points; 0 is 9

	MajorLabel, MinorLabel, LengthLabel string // an empty one is left out
}

// ThreadViews returns the end of a threaded bar as technical drawings show it (ISO 6410-1, from memory): crests in
// thick lines, roots in thin ones, the root circle of the end view three quarters round. The thread's end lies on the
// left, so the end view is the view from the left; where it stands follows the projection, whose symbol is drawn. In
// the end view the starts are numbered where they begin, start 1 at the top, each next one where it comes to the tool
// when the work turns forward.
//
// Classes: "dim:major", "dim:minor", "dim:length", "start:1" and so on, "crest-circle", "root-circle", "projection".
func ThreadViews(s ThreadViewsSpec) (Group, error) {
	if err := firstError(
		inRange("major diameter", s.Major, 0.5, 1000),
		inRange("minor diameter", s.Minor, 0.1, s.Major*0.999),
		inRange("length", s.Length, 0.5, 2000),
		inRange("number of starts", float64(s.Starts), 1, 12),
		inRange("width", s.Width, 80, 250),
		inRange("height", s.Height, 40, 250),
	); err != nil {
		return Group{}, fmt.Errorf("thread views: %w", err)
	}
	size := textSize(s.Text)
	row := size * 1.3 / pointsPerMM
	// Between the views there is room for numbers and dimensions, on the left and right for dimensions.
	between, aside, over := 14+2*row, 2*row+8, 4*row+8
	scale, ok := fitScale(s.Length*1.25+s.Major, s.Major, s.Width-between-aside-6, s.Height-over)
	if !ok {
		return Group{}, fmt.Errorf("thread views: %w", &FitError{Owner: "drawing", What: "the two views", Needs: (s.Length*1.25 + s.Major) * scales[len(scales)-1], Room: s.Width - between - aside})
	}
	r, low, l := s.Major/2*scale, s.Minor/2*scale, s.Length*scale
	hand := map[bool]string{false: "right-hand", true: "left-hand"}[s.LeftHand]
	g := Group{
		Class: "thread-views", Scale: scale, Title: "Threaded end in two views",
		Desc: fmt.Sprintf("Side view and end view, %s projection, of a %s thread with %s.", s.Projection, hand, counted(s.Starts, "start")) +
			told("Major diameter", s.MajorLabel) + told("Minor diameter", s.MinorLabel) + told("Length of thread", s.LengthLabel),
	}
	side := 0.0
	if s.Projection == ThirdAngle {
		side = 2*r + between
	}
	end := Point{side + l*1.25 + between + r, 0}
	if s.Projection == ThirdAngle {
		end.X = r
	}
	g.add(
		Polygon{Points: []Point{{side, -r}, {side + l*1.25, -r}, {side + l*1.25, r}, {side, r}}, Stroke: Edge, Class: "bar"},
		Line{A: Point{side, -low}, B: Point{side + l, -low}, Stroke: Fine, Class: "root"},
		Line{A: Point{side, low}, B: Point{side + l, low}, Stroke: Fine, Class: "root"},
		Line{A: Point{side + l, -r}, B: Point{side + l, r}, Stroke: Edge, Class: "thread-end"},
		Line{A: Point{side - 3, 0}, B: Point{side + l*1.25 + 3, 0}, Stroke: Centre, Class: "axis"},
		Circle{Centre: end, Radius: r, Stroke: Edge, Class: "crest-circle"},
		Arc{Centre: end, Radius: low, From: 100, To: 370, Stroke: Fine, Class: "root-circle"},
		Line{A: Point{end.X - r - 3, 0}, B: Point{end.X + r + 3, 0}, Stroke: Centre, Class: "axis"},
		Line{A: Point{end.X, -r - 3}, B: Point{end.X, r + 3}, Stroke: Centre, Class: "axis"},
	)
	// Seen from the tailstock the work turns counter-clockwise when cutting, so the next start comes to the place of
	// start 1 from the clockwise side. The thread's end lies on the left here; a lathe's tailstock end is what is seen.
	out := r + 2 + Regular.CapHeight(size)
	step := 360 / float64(s.Starts)
	turned := min(14, step/4) // clear of the centre lines
	crowded := out*step*math.Pi/180 < 2.2*Regular.Width("0", size, 0)+1
	for j := range s.Starts {
		a := 90 - float64(j)*step
		p := end.Polar(r, a)
		g.add(Circle{Centre: p, Radius: 0.9, Fill: Ink, Class: fmt.Sprintf("start:%d", j+1)})
		if j > 1 && crowded {
			continue // the first two tell which way it goes on
		}
		away := end.Polar(out, a+turned)
		g.add(Text{At: Point{away.X, away.Y + Regular.CapHeight(size)/2}, Text: fmt.Sprint(j + 1), Face: Bold, Size: size, Anchor: Middle, Class: "number"})
	}
	x := side + l*1.25
	if s.MajorLabel != "" {
		at := x + 3 + row
		g.add(dimension("dim:major", s.MajorLabel, Point{at, r}, Point{at, -r}, Point{x, r}, Point{x, -r}, size))
	}
	if s.MinorLabel != "" {
		at := side - 4
		g.add(dimension("dim:minor", s.MinorLabel, Point{at, low}, Point{at, -low}, Point{side, low}, Point{side, -low}, size))
	}
	if s.LengthLabel != "" {
		y := r + 3 + row
		g.add(dimension("dim:length", s.LengthLabel, Point{side, y}, Point{side + l, y}, Point{side, r}, Point{side + l, r}, size))
	}
	b := g.Bounds()
	symbol := s.Projection.Symbol(6)
	sb := symbol.Bounds()
	g.add(symbol.Moved(b.X-sb.X, b.Y+b.H+3-sb.Y))
	g.add(noteLines(Point{b.X + sb.W + 3, b.Y + b.H + 3}, max(b.W-sb.W-3, 40), size*0.9, s.Projection.String()+" projection, "+scaleText(scale), "numbers: where each start begins")...)
	g, err := withinWidth(g, "the two views with their dimensions", s.Width)
	if err != nil {
		return Group{}, fmt.Errorf("thread views: %w", err)
	}
	return g, nil
}
