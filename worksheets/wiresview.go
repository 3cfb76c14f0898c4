package worksheets

import (
	"fmt"
	"math"
)

// WiresSpec is an external thread measured over wires. Lengths are millimetres.
type WiresSpec struct {
	Form          []Point // as in ProfileSpec
	FlankDeg      float64 // angle of one flank, 5 to 45; the form is symmetrical
	MajorDiameter float64
	PitchDiameter float64
	Wire          float64 // diameter
	Starts        int     // 1 to 12; an odd number puts the groove straight opposite half a pitch off
	Width         float64 // mm of paper, 50 to 250
	Height        float64 // mm of paper for the work, 30 to 250
	Text          float64 // points; 0 is 9

	OverLabel, WireLabel, PitchLabel string // an empty one is left out
	// DetailOnly shows one groove with its wire, for an exercise that asks for the wire; it takes no diameter.
	DetailOnly bool
}

// WiresView returns the wires in the grooves: the whole work to scale with one groove enlarged beside it. The wires
// touch the flanks; the measurement is that of wires square to the axis, without the term for the lead.
//
// Classes: "wire" for the wires, "dim:over" for the measurement, and in the group "detail", which has a scale of its
// own, "wire:detail", "dim:wire", "dim:pitch", "pitch-line", "contact".
func WiresView(s WiresSpec) (Group, error) {
	if err := firstError(
		ProfileSpec{Form: s.Form}.checkForm(),
		inRange("flank angle", s.FlankDeg, 5, 45),
		inRange("wire", s.Wire, 1e-3, 100),
		inRange("number of starts", float64(s.Starts), 1, 12),
		inRange("width", s.Width, 50, 250),
		inRange("height", s.Height, 30, 250),
	); err != nil {
		return Group{}, fmt.Errorf("wires: %w", err)
	}
	if !s.DetailOnly {
		if err := firstError(inRange("pitch diameter", s.PitchDiameter, 0.1, 2000), inRange("major diameter", s.MajorDiameter, s.PitchDiameter, 2000)); err != nil {
			return Group{}, fmt.Errorf("wires: %w", err)
		}
	}
	size := textSize(s.Text)
	g := Group{Class: "wires", Title: "Wires in the grooves", Desc: "Wires lie in the grooves and touch both flanks." + told("Pitch", s.PitchLabel) + told("Wire", s.WireLabel)}
	room := s.Width
	left := 0.0
	if !s.DetailOnly {
		work, err := s.work(size)
		if err != nil {
			return Group{}, err
		}
		g.Scale = work.Scale
		g.Desc += s.arrangement() + told("Over wires", s.OverLabel)
		g.add(work)
		b := work.Bounds()
		left = b.X + b.W + 10
		room = s.Width - b.W - 10
	}
	detail, err := s.detail(room, size)
	if err != nil {
		return Group{}, err
	}
	if s.DetailOnly {
		g.Scale = detail.Scale
	}
	b := detail.Bounds()
	whole := g.Bounds()
	g.add(detail.Moved(left-b.X, whole.Y+max(0, (whole.H-b.H)/2)-b.Y))
	all := g.Bounds()
	notes := []string{"chain line: pitch line"}
	if !s.DetailOnly {
		notes = []string{"chain line: pitch line in the groove, axis in the work", "whole work " + scaleText(g.Scale) + ", groove " + scaleText(detail.Scale)}
	}
	g.add(noteLines(Point{all.X, all.Y + all.H + 1}, max(all.W, s.Width*0.9), size*0.9, notes...)...)
	if g, err = withinWidth(g, "the wires with their labels", s.Width); err != nil {
		return Group{}, fmt.Errorf("wires: %w", err)
	}
	return g, nil
}

func (s WiresSpec) arrangement() string {
	if s.Starts%2 == 0 {
		return " The groove straight opposite lines up: one wire on each side, and a third beside one of them."
	}
	return " The groove straight opposite is half a pitch off: two wires in neighbouring grooves, the third between them on the other side."
}

func (s WiresSpec) pitch() float64 { return s.Form[len(s.Form)-1].X }

// outline returns the surface over turns pitches, x along the axis, y the depth.
func (s WiresSpec) outline(turns int, shift float64) []Point {
	var out []Point
	for i := range turns {
		for k, p := range s.Form {
			if i == 0 || k > 0 {
				out = append(out, Point{p.X + float64(i)*s.pitch() + shift, p.Y})
			}
		}
	}
	return out
}

// seat returns how far a wire's middle lies outside the apex of the flanks.
func (s WiresSpec) seat() float64 { return s.Wire / 2 / math.Sin(s.FlankDeg*math.Pi/180) }

// apexRadius returns the radius at which the flanks would meet.
func (s WiresSpec) apexRadius() float64 {
	return s.PitchDiameter/2 - s.pitch()/4/math.Tan(s.FlankDeg*math.Pi/180)
}

// work returns the whole work with its wires.
func (s WiresSpec) work(size float64) (Group, error) {
	const turns = 4
	p, r := s.pitch(), s.MajorDiameter/2
	wireAt := s.apexRadius() + s.seat()
	over := 2*wireAt + s.Wire
	row := size * 1.3 / pointsPerMM
	scale, ok := fitScale(turns*p, max(over, s.MajorDiameter), s.Width*0.55-row-6, s.Height)
	if !ok {
		return Group{}, fmt.Errorf("wires: %w", &FitError{Owner: "drawing", What: "the work with its wires", Needs: over * scales[len(scales)-1], Room: s.Height})
	}
	g := Group{Class: "work", Scale: scale}
	shift := 0.0
	if s.Starts%2 == 1 {
		shift = p / 2
	}
	at := func(x, radius float64) Point { return Point{x * scale, -radius * scale} }
	var upper, lower []Point
	for _, q := range s.outline(turns, 0) {
		upper = append(upper, at(q.X, r-q.Y))
	}
	// The other side runs over the same length; half a pitch over is cut off at its ends.
	for _, q := range s.outline(turns+1, shift-p) {
		if q.X >= -1e-9 && q.X <= turns*p+1e-9 {
			lower = append(lower, at(q.X, -(r-q.Y)))
		}
	}
	metal := append([]Point{}, upper...)
	for i := len(lower) - 1; i >= 0; i-- {
		metal = append(metal, lower[i])
	}
	g.add(Polygon{Points: metal, Fill: Shade, Class: "metal"}, Polyline{Points: upper, Stroke: Edge, Class: "surface"}, Polyline{Points: lower, Stroke: Edge, Class: "surface"},
		Line{A: at(-0.3*p, 0), B: at(turns*p+0.3*p, 0), Stroke: Centre, Class: "axis"})
	root := ProfileSpec{Form: s.Form}.rootMiddle(s.depth()).X
	above := []float64{root + p}
	below := root + p
	if s.Starts%2 == 1 {
		above = append(above, root+2*p)
		below = root + 1.5*p
	} else {
		above = append(above, root+2*p)
	}
	for _, x := range above {
		g.add(Circle{Centre: at(x, wireAt), Radius: s.Wire / 2 * scale, Stroke: Fine, Fill: White, Class: "wire"})
	}
	g.add(Circle{Centre: at(below, -wireAt), Radius: s.Wire / 2 * scale, Stroke: Fine, Fill: White, Class: "wire"})
	if s.OverLabel != "" {
		x := turns*p*scale + 4 + row
		top, foot := at(0, over/2), at(0, -over/2)
		g.add(dimension("dim:over", s.OverLabel, Point{x, foot.Y}, Point{x, top.Y}, Point{at(below, 0).X, foot.Y}, Point{at(above[len(above)-1], 0).X, top.Y}, size))
	}
	return g, nil
}

func (s WiresSpec) depth() float64 {
	d := 0.0
	for _, p := range s.Form {
		d = max(d, p.Y)
	}
	return d
}

// detail returns one groove with its wire, enlarged.
func (s WiresSpec) detail(room, size float64) (Group, error) {
	p := s.pitch()
	flank := s.FlankDeg * math.Pi / 180
	sin, cos := math.Sincos(flank)
	spec := ProfileSpec{Form: s.Form}
	pair, ok := spec.flanks()
	if !ok {
		return Group{}, fmt.Errorf("wires: the form has no flanks for wires to lie on")
	}
	// The flanks meet at this depth below the crest, over the middle of the groove.
	middle := (pair.in[0].X + pair.out[0].X) / 2
	apex := pair.in[0].Y + (middle-pair.in[0].X)/math.Tan(flank)
	centre := apex - s.seat() // depth of the wire's middle, negative above the crests
	row := size * 1.3 / pointsPerMM
	scale, found := fitScale(2*p, s.depth()+s.Wire, room-row-10, s.Height*0.6)
	if !found {
		return Group{}, fmt.Errorf("wires: %w", &FitError{Owner: "drawing", What: "one groove with its wire", Needs: 2 * p * scales[len(scales)-1], Room: room})
	}
	g := Group{Class: "detail", Scale: scale}
	at := func(x, depth float64) Point { return Point{(x - middle) * scale, depth * scale} }
	var surface []Point
	for _, q := range s.outline(3, -p) {
		if q.X >= middle-p-1e-9 && q.X <= middle+p+1e-9 {
			surface = append(surface, at(q.X, q.Y))
		}
	}
	base := s.depth()*scale + 5
	metal := append([]Point{{surface[0].X, base}}, surface...)
	metal = append(metal, Point{surface[len(surface)-1].X, base})
	w := at(middle, centre)
	g.add(
		Polygon{Points: metal, Fill: Shade, Class: "metal"}, Polyline{Points: surface, Stroke: Edge, Class: "surface"},
		Circle{Centre: w, Radius: s.Wire / 2 * scale, Stroke: Edge, Fill: White, Class: "wire:detail"},
	)
	for _, side := range []float64{-1, 1} { // where the wire touches the flanks
		g.add(Circle{Centre: Point{w.X + side*s.Wire/2*cos*scale, w.Y + s.Wire/2*sin*scale}, Radius: 0.5, Fill: Ink, Class: "contact"})
	}
	// The pitch line, where groove and ridge are equally wide.
	line := apex - p/4/math.Tan(flank)
	g.add(Line{A: at(middle-p*0.95, line), B: at(middle+p*0.95, line), Stroke: Centre, Class: "pitch-line"})
	if s.WireLabel != "" {
		x := p*scale + 3 + row
		top, foot := at(middle, centre-s.Wire/2), at(middle, centre+s.Wire/2)
		g.add(dimension("dim:wire", s.WireLabel, Point{x, foot.Y}, Point{x, top.Y}, foot, top, size))
	}
	if s.PitchLabel != "" {
		y := base + 2 + row
		g.add(dimension("dim:pitch", s.PitchLabel, Point{at(middle-p/2, 0).X, y}, Point{at(middle+p/2, 0).X, y}, at(middle-p/2, line), at(middle+p/2, line), size))
	}
	return g, nil
}
