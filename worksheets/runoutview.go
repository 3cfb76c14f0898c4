package worksheets

import "fmt"

// RunOutSpec is the groove at the end of a thread, with the tool in it. Lengths are millimetres.
type RunOutSpec struct {
	Groove    float64 // width of the groove, more than 0
	ToolWidth float64 // of the tool at the work's surface, more than 0 and at most the groove
	Depth     float64 // of the thread, more than 0
	Pitch     float64 // of the teeth shown beside the groove, more than 0
	// Overrun is how far the carriage runs on from where the tool is clear of the thread; 0 leaves it out.
	Overrun  float64
	LeftHand bool // the groove is at the tailstock end
	Internal bool
	Width    float64 // mm of paper, 50 to 250
	Text     float64 // points; 0 is 9

	GrooveLabel, ToolLabel, OverrunLabel string // an empty one is left out
}

// RunOutView returns the groove in section to scale: the tool where it has just left the thread, and dashed where it
// stands after the overrun.
//
// Classes: "surface" for the outline, "tool" and "tool:overrun" for the tool, "shoulder", "dim:groove", "dim:tool",
// "dim:overrun".
func RunOutView(s RunOutSpec) (Group, error) {
	if err := firstError(
		inRange("groove", s.Groove, 0.1, 200),
		inRange("tool width", s.ToolWidth, 0.01, s.Groove),
		inRange("depth", s.Depth, 0.01, 50),
		inRange("pitch", s.Pitch, 0.05, 100),
		inRange("overrun", s.Overrun, 0, 500),
		inRange("width", s.Width, 50, 250),
	); err != nil {
		return Group{}, fmt.Errorf("run-out: %w", err)
	}
	size := textSize(s.Text)
	row := size * 1.3 / pointsPerMM
	const teeth, beyond = 3, 9.0 // pitches of thread beside the groove, paper of shoulder
	reach := max(s.Groove, s.Overrun+s.ToolWidth)
	scale, ok := fitScale(reach+teeth*s.Pitch, s.Depth*2.2, s.Width-beyond-14, 45)
	if !ok {
		return Group{}, fmt.Errorf("run-out: %w", &FitError{Owner: "drawing", What: "the groove", Needs: (reach + teeth*s.Pitch) * scales[len(scales)-1], Room: s.Width - beyond - 14})
	}
	// The end of the thread is x = 0, the groove lies to the left of it for a right-hand thread, depth runs down for an
	// external thread.
	side := 1.0
	if s.Internal {
		side = -1
	}
	at := func(x, depth float64) Point { return Point{mirrored(x*scale, s.LeftHand), side * depth * scale} }
	floor := s.Depth * 1.25
	paper := func(p Point, dx, dy float64) Point { return Point{p.X + mirrored(dx, s.LeftHand), p.Y + side*dy} }
	surface := []Point{paper(at(-s.Groove, 0), -beyond, 0), at(-s.Groove, 0), at(-s.Groove, floor), at(0, floor), at(0, 0)}
	for i := range teeth {
		x := float64(i) * s.Pitch
		surface = append(surface, at(x+s.Pitch*0.1, 0), at(x+s.Pitch*0.5, s.Depth), at(x+s.Pitch*0.9, 0), at(x+s.Pitch, 0))
	}
	last := surface[len(surface)-1]
	base := floor*scale + 6
	metal := append([]Point{{surface[0].X, side * base}}, surface...)
	metal = append(metal, Point{last.X, side * base})
	end := map[bool]string{false: "headstock end", true: "tailstock end"}[s.LeftHand]
	kind := map[bool]string{false: "external", true: "internal"}[s.Internal]
	g := Group{
		Class: "run-out", Scale: scale, Title: "The groove at the end of the thread",
		Desc: fmt.Sprintf("Section of an %s thread that runs out into a groove at the %s; the shoulder lies beyond it.", kind, end) +
			told("Groove", s.GrooveLabel) + told("Tool at the surface", s.ToolLabel) + told("Overrun", s.OverrunLabel),
	}
	g.add(
		Polygon{Points: metal, Fill: Shade, Class: "metal"},
		Polyline{Points: surface, Stroke: Edge, Class: "surface"},
		Line{A: at(-s.Groove, 0), B: at(-s.Groove, floor), Stroke: Edge, Class: "shoulder"},
	)
	// The tool reaches to the full depth; above the surface it goes on as wide as it is there.
	tool := func(x float64) []Point {
		nose := s.ToolWidth * 0.2
		left, right := at(x-s.ToolWidth, 0), at(x, 0)
		return []Point{paper(left, 0, -5), left, at(x-s.ToolWidth/2-nose, s.Depth), at(x-s.ToolWidth/2+nose, s.Depth), right, paper(right, 0, -5)}
	}
	g.add(Polygon{Points: tool(0), Stroke: Edge, Fill: White, Class: "tool"})
	hits := s.Overrun > s.Groove-s.ToolWidth+1e-9
	if s.Overrun > 0 {
		g.add(Polygon{Points: tool(-s.Overrun), Stroke: Hidden, Class: "tool:overrun"})
		if hits {
			g.Desc += " The tool reaches the shoulder."
		}
	}
	out := -side * (5 + 2 + row*0.6)
	measure := func(class, text string, x0, x1, y, fromDepth float64) {
		if text != "" {
			a, b := at(x0, 0), at(x1, 0)
			g.add(dimension(class, text, Point{a.X, y}, Point{b.X, y}, at(x0, fromDepth), at(x1, fromDepth), size))
		}
	}
	measure("dim:tool", s.ToolLabel, -s.ToolWidth, 0, out, 0)
	if s.Overrun > 0 {
		measure("dim:overrun", s.OverrunLabel, -s.Overrun, 0, out-side*(row+1.5), 0)
	}
	measure("dim:groove", s.GrooveLabel, -s.Groove, 0, side*(base+2+row*0.9), floor)
	b := g.Bounds()
	notes := []string{kind + " thread, " + end, scaleText(scale), "the tool travels towards the shoulder"}
	if hits && s.Overrun > 0 {
		notes = append(notes, "⚠ the tool reaches the shoulder")
	}
	g.add(noteLines(Point{b.X, b.Y + b.H + 1.5}, max(b.W, 45), size, notes...)...)
	g, err := withinWidth(g, "the groove with its dimensions", s.Width)
	if err != nil {
		return Group{}, fmt.Errorf("run-out: %w", err)
	}
	return g, nil
}
