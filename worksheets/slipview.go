package worksheets

import (
	"fmt"
	"slices"
)

// SlipSpec is a thread of several starts whose second start was cut out of place.
type SlipSpec struct {
	Form     []Point // the surface over one pitch, as in ProfileSpec
	Starts   int     // 2 to 12
	Slip     float64 // mm along the axis, up to half a pitch either way; positive towards start 3
	Internal bool
	Width    float64 // mm of paper with the lettering
	Height   float64 // mm
	Text     float64 // points; 0 is 9

	SlipLabel string // of the slip's dimension; none when empty
}

// shownGrooves is the most grooves that SlipView shows.
const shownGrooves = 5

// SlipView returns the thread in section with the second start's groove where it was cut, and in dashes the thread as
// it should be, which is what the mate needs room for. Where the cut stays above the dashes the mate finds metal
// in its way; where it lies below, a ridge has lost its thickness.
//
// Classes: "surface" as cut, "true" as it should be, "metal", "start:1" and so on for the labels, "dim:slip" from
// where the groove belongs to where it is.
func SlipView(s SlipSpec) (Group, error) {
	profile := ProfileSpec{Form: s.Form}
	if err := profile.checkForm(); err != nil {
		return Group{}, fmt.Errorf("slip: %w", err)
	}
	pitch := s.Form[len(s.Form)-1].X
	if err := firstError(
		inRange("number of starts", float64(s.Starts), 2, 12),
		inRange("slip", s.Slip, -pitch/2, pitch/2),
		inRange("width", s.Width, 40, 400),
		inRange("height", s.Height, 20, 400),
	); err != nil {
		return Group{}, fmt.Errorf("slip: %w", err)
	}
	n := min(s.Starts+1, shownGrooves)
	depth := 0.0
	for _, p := range s.Form {
		depth = max(depth, p.Y)
	}
	size := textSize(s.Text)
	row := size * 1.25 / pointsPerMM
	const body = 5.0
	over := 3 * row // the labels of the starts and the dimension outside the crests
	scale, ok := fitScale(pitch*float64(n), depth, s.Width-2, s.Height-body-over-row)
	if !ok {
		return Group{}, fmt.Errorf("slip: %w", &FitError{Owner: "drawing", What: "the grooves side by side", Needs: pitch * float64(n) * scales[len(scales)-1], Room: s.Width})
	}
	cut, want := s.surfaces(n, pitch)
	side := 1.0
	if s.Internal {
		side = -1
	}
	at := func(p Point) Point { return Point{p.X * scale, side * p.Y * scale} }
	place := func(in []Point) []Point {
		out := make([]Point, len(in))
		for i, p := range in {
			out[i] = at(p)
		}
		return out
	}
	base := side * (depth*scale + body)
	end := pitch * float64(n) * scale
	metal := append(append([]Point{{0, base}}, place(cut)...), Point{end, base})
	g := Group{
		Class: "slip", Scale: scale,
		Title: "The fit when start 2 is out of place",
		Desc:  fmt.Sprintf("Section of a thread of %d starts, the groove of start 2 moved along the axis; the thread as it should be in dashes.", s.Starts) + told("Out of place by", s.SlipLabel),
	}
	g.add(Polygon{Points: metal, Fill: Shade, Class: "metal"},
		Polyline{Points: place(cut), Stroke: Edge, Class: "surface"},
		Polyline{Points: place(want), Stroke: Hidden, Class: "true"})
	root := profile.rootMiddle(depth).X
	letters := -side * (1 + row/2)
	for i := range n {
		x := root + float64(i)*pitch
		if i == 1 {
			x += s.Slip
		}
		g.add(Text{At: Point{x * scale, letters + Regular.CapHeight(size)/2}, Text: fmt.Sprintf("%d", i%s.Starts+1), Size: size, Face: Bold, Anchor: Middle, Class: fmt.Sprintf("start:%d", i+1)})
	}
	if s.Slip != 0 {
		y := letters - side*row
		a, b := Point{root + pitch, depth}, Point{root + pitch + s.Slip, depth}
		g.add(dimension("dim:slip", s.SlipLabel, Point{a.X * scale, y}, Point{b.X * scale, y}, at(a), at(b), size))
	}
	return g, nil
}

// surfaces returns the surface as cut and as it should be over n pitches. A tool leaves the deeper of two grooves that
// meet, so the surface is the deepest groove at each place.
func (s SlipSpec) surfaces(n int, pitch float64) (cut, want []Point) {
	groove := func(x float64) float64 { // the form about its own pitch, nothing beyond it
		if x <= 0 || x >= pitch {
			return 0
		}
		i, _ := slices.BinarySearchFunc(s.Form, x, func(p Point, x float64) int {
			if p.X < x {
				return -1
			}
			return 1
		})
		a, b := s.Form[i-1], s.Form[i]
		if b.X == a.X {
			return max(a.Y, b.Y)
		}
		return a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)
	}
	// Every corner of a groove, true or moved, and steps between where two grooves cross.
	var xs []float64
	const steps = 60
	for i := -1; i <= n; i++ {
		for _, p := range s.Form {
			xs = append(xs, p.X+float64(i)*pitch, p.X+float64(i)*pitch+s.Slip)
		}
		for k := range steps {
			xs = append(xs, (float64(i)+float64(k)/steps)*pitch)
		}
	}
	slices.Sort(xs)
	xs = slices.Compact(xs)
	for _, x := range xs {
		if x < 0 || x > pitch*float64(n) {
			continue
		}
		is, should := 0.0, 0.0
		for i := -1; i <= n; i++ {
			x0 := float64(i) * pitch
			should = max(should, groove(x-x0))
			if (i%s.Starts+s.Starts)%s.Starts == 1%s.Starts {
				x0 += s.Slip
			}
			is = max(is, groove(x-x0))
		}
		cut, want = append(cut, Point{x, is}), append(want, Point{x, should})
	}
	return cut, want
}
