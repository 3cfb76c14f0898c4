package worksheets

import (
	"fmt"
	"math"
)

// ProfileSpec is a thread form to be shown in section.
type ProfileSpec struct {
	// Form is the surface over one pitch: X along the axis from 0 to the pitch, never going back, Y the depth into the
	// metal from the crest, 0 and up; it begins and ends at the same depth. Millimetres, for both external and
	// internal threads.
	Form     []Point
	Internal bool
	Turns    int     // pitches shown, 3 to 6
	Width    float64 // mm of paper with the dimensions
	Height   float64 // mm
	Text     float64 // points; 0 is 9

	// Labels of the dimensions; an empty one is left out.
	PitchLabel, DepthLabel, AngleLabel string
}

// ProfileView returns the thread in section, the axis below: the metal of an external thread lies below its surface,
// that of an internal one above. The included angle is that of the steepest pair of flanks; a form with
// parallel flanks has none.
//
// The description tells what the labels tell and no number besides: on an exercise the rest is asked.
//
// Classes: "surface", "metal", "axis", "dim:pitch", "dim:depth", "angle:included".
func ProfileView(s ProfileSpec) (Group, error) {
	if err := firstError(
		inRange("pitches shown", float64(s.Turns), 3, 6),
		inRange("width", s.Width, 30, 400),
		inRange("height", s.Height, 25, 400),
		s.checkForm(),
	); err != nil {
		return Group{}, fmt.Errorf("thread profile: %w", err)
	}
	pitch := s.Form[len(s.Form)-1].X
	depth := 0.0
	for _, p := range s.Form {
		depth = max(depth, p.Y)
	}
	var b Box
	for _, scale := range scales { // the flanks' lines reach out by more than a sum could tell, so try
		if pitch*float64(s.Turns)*scale > s.Width || depth*scale > s.Height {
			continue
		}
		g := s.draw(pitch, depth, scale)
		if b = g.Bounds(); b.W <= s.Width && b.H <= s.Height {
			return g, nil
		}
	}
	return Group{}, fmt.Errorf("thread profile: %w", &FitError{Owner: "drawing", What: "the thread form with its dimensions", Needs: max(b.W, b.H), Room: min(s.Width, s.Height)})
}

// draw returns the drawing at the scale.
func (s ProfileSpec) draw(pitch, depth, scale float64) Group {
	size := textSize(s.Text)
	row := size * 1.25 / pointsPerMM
	const body = 6.0 // paper of metal below the root
	side, kind := 1.0, "external"
	if s.Internal {
		side, kind = -1, "internal"
	}
	at := func(p Point) Point { return Point{p.X * scale, side * p.Y * scale} }
	g := Group{
		Class: "profile", Scale: scale,
		Title: fmt.Sprintf("Profile of an %s thread", kind),
		Desc:  fmt.Sprintf("Section of an %s thread.", kind) + told("Pitch", s.PitchLabel) + told("Depth", s.DepthLabel),
	}
	var surface []Point
	for i := range s.Turns {
		for k, p := range s.Form {
			if i > 0 && k == 0 {
				continue // where the form joins the one before
			}
			surface = append(surface, at(Point{p.X + float64(i)*pitch, p.Y}))
		}
	}
	base := side * (depth*scale + body)
	metal := append([]Point{{0, base}}, surface...)
	metal = append(metal, Point{pitch * float64(s.Turns) * scale, base})
	g.add(Polygon{Points: metal, Fill: Shade, Class: "metal"}, Polyline{Points: surface, Stroke: Edge, Class: "surface"})

	root := s.rootMiddle(depth)
	out := -side * 2.0 // outwards from the crests, away from the metal
	if s.AngleLabel != "" {
		if flanks, ok := s.flanks(); ok {
			g.add(flanks.angle(s.AngleLabel, at, 6, size))
			g.Desc += told("Included angle", s.AngleLabel)
			out -= side * (6 + 1.3*row)
		}
	}
	if s.PitchLabel != "" {
		out -= side * 1.3 * row
		a, b := at(Point{root.X + pitch, root.Y}), at(Point{root.X + 2*pitch, root.Y}) // clear of the angle
		g.add(dimension("dim:pitch", s.PitchLabel, Point{a.X, out}, Point{b.X, out}, a, b, size))
	}
	end := pitch * float64(s.Turns) * scale
	if s.DepthLabel != "" {
		crest := at(s.lastCrest(pitch * float64(s.Turns-1)))
		low := at(Point{root.X + pitch*float64(s.Turns-1), root.Y})
		x := end + 4 + row
		g.add(dimension("dim:depth", s.DepthLabel, Point{x, low.Y}, Point{x, crest.Y}, low, crest, size))
	}
	axis := base + 4
	if s.Internal {
		axis = out + extension + 4
	}
	g.add(Line{A: Point{-2, axis}, B: Point{end + 2, axis}, Stroke: Centre, Class: "axis"})
	g.add(Text{At: Point{0, axis + row}, Text: kind + " thread, " + scaleText(scale), Size: size * 0.9, Class: "note"})
	g.add(Text{At: Point{0, axis + 2*row}, Text: "the axis is nearer than it should be", Size: size * 0.9, Class: "note"})
	return g
}

func (s ProfileSpec) checkForm() error {
	n := len(s.Form)
	if n < 3 || n > 2000 {
		return fmt.Errorf("the form has %d points", n)
	}
	low := math.Inf(1)
	for i, p := range s.Form {
		if err := firstError(inRange("x of the form", p.X, 0, 200), inRange("depth of the form", p.Y, 0, 200)); err != nil {
			return err
		}
		if i > 0 && p.X < s.Form[i-1].X {
			return fmt.Errorf("the form goes back at point %d", i+1)
		}
		low = min(low, p.Y)
	}
	deep := 0.0
	for _, p := range s.Form {
		deep = max(deep, p.Y)
	}
	if s.Form[0].X != 0 || s.Form[n-1].X < 0.01 || math.Abs(s.Form[0].Y-s.Form[n-1].Y) > 1e-9 || low != 0 || deep < 1e-3 {
		return fmt.Errorf("the form must run from x = 0 over one pitch, end at the depth where it begins, and reach from depth 0 into the metal")
	}
	return nil
}

// rootMiddle returns the middle of the deepest part of the form.
func (s ProfileSpec) rootMiddle(depth float64) Point {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range s.Form {
		if depth-p.Y < 1e-9*depth {
			lo, hi = min(lo, p.X), max(hi, p.X)
		}
	}
	return Point{(lo + hi) / 2, depth}
}

// lastCrest returns the last point of the form that lies on the crest line, moved along by dx.
func (s ProfileSpec) lastCrest(dx float64) Point {
	for i := len(s.Form) - 1; i > 0; i-- {
		if s.Form[i].Y < 1e-9 {
			return Point{s.Form[i].X + dx, 0}
		}
	}
	return Point{s.Form[0].X + dx, 0}
}

// flankPair is the flank into the groove and the flank out of it, each from the crest's side to the root's.
type flankPair struct{ in, out [2]Point }

// flanks returns the tallest straight flank down and the tallest up; false when they are parallel.
func (s ProfileSpec) flanks() (flankPair, bool) {
	var f flankPair
	tallIn, tallOut := 0.0, 0.0
	for i := 1; i < len(s.Form); i++ {
		a, b := s.Form[i-1], s.Form[i]
		if d := b.Y - a.Y; d > tallIn+1e-12 {
			tallIn, f.in = d, [2]Point{a, b}
		} else if -d > tallOut+1e-12 {
			tallOut, f.out = -d, [2]Point{b, a}
		}
	}
	if tallIn == 0 || tallOut == 0 {
		return f, false
	}
	if f.out[0].X < f.in[0].X { // the form begins in a groove: its way out is that of the next pitch
		pitch := s.Form[len(s.Form)-1].X
		for i := range f.out {
			f.out[i].X += pitch
		}
	}
	return f, f.included() > 0.5
}

// included returns the angle between the flanks in degrees.
func (f flankPair) included() float64 {
	lean := func(p [2]Point) float64 { return math.Atan(math.Abs(p[1].X-p[0].X)/(p[1].Y-p[0].Y)) * 180 / math.Pi }
	return lean(f.in) + lean(f.out)
}

// angle returns the dimension of the included angle, lift millimetres outside the crests.
func (f flankPair) angle(text string, at func(Point) Point, lift, size float64) Group {
	// The flanks' lines meet at depth y below the crests: x1 + k1*y = x2 - k2*y.
	k1 := (f.in[1].X - f.in[0].X) / (f.in[1].Y - f.in[0].Y)
	k2 := (f.out[0].X - f.out[1].X) / (f.out[1].Y - f.out[0].Y)
	x1, x2 := f.in[0].X-k1*f.in[0].Y, f.out[0].X+k2*f.out[0].Y
	y := (x2 - x1) / (k1 + k2)
	vertex := at(Point{x1 + k1*y, y})
	crest1, crest2 := at(Point{x1, 0}), at(Point{x2, 0})
	towards := func(p Point) float64 { return math.Atan2(vertex.Y-p.Y, p.X-vertex.X) * 180 / math.Pi }
	radius := max(vertex.Distance(crest1), vertex.Distance(crest2)) + lift
	from, to := towards(crest2), towards(crest1)
	if to < from { // the groove opens downwards
		from, to, crest1, crest2 = to, from, crest2, crest1
	}
	g := angleDimension("angle:included", text, vertex, radius, from, to, size)
	for _, e := range []struct {
		p Point
		d float64
	}{{crest1, to}, {crest2, from}} {
		g.Items = append([]Item{Line{A: e.p, B: vertex.Polar(radius+extension, e.d), Stroke: Fine, Class: "extension"}}, g.Items...)
	}
	return g
}
