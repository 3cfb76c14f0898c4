package threadmath

import (
	"math"
	"strconv"
)

// ProfilePoint is a point of a thread form, mm: X along the axis, Y the depth
// into the metal from the crest.
type ProfilePoint struct{ X, Y float64 }

// chordDeg bounds the turn of each chord of a rounding; a chord then leaves the
// arc by less than 0.0014 of the radius.
const chordDeg = 6

// Profile returns the surface of one pitch of the basic form, from the middle of
// one crest to that of the next: X from 0 to the pitch, never going back, Y from
// 0 at the crest to the single depth at the root, mm. It serves external and
// internal threads alike, both measured into the metal. The load flank of a
// buttress comes first. Roundings are chords of at most 6°, on the arc at their
// ends: those of the root of external ISO and Unified threads, of Whitworth,
// buttress and knuckle roots (a metric buttress nut has a flat one), and of
// Whitworth and knuckle crests. Every rounding is the circle that touches both
// flanks and the crest or root line, which gives the radii that ISO 68-1, BS 84,
// DIN 513, ASME B1.9 and DIN 405 print. An unknown form, a pitch that is not
// positive, and one so fine that the flanks meet above the root give a
// DomainError. Floats, error below 1e-12 of the pitch.
func Profile(form string, pitch Length, internal bool) ([]ProfilePoint, error) {
	f, err := FormOf(form)
	if err != nil {
		return nil, err
	}
	if pitch.Cmp(shortest) < 0 || pitch.Cmp(longest) > 0 {
		return nil, &DomainError{Quantity: "pitch", Value: pitch.Exact(Metric), Range: shortest.Exact(Metric) + " to " + longest.Exact(Metric)}
	}
	s := f.section(pitch, f.geometry(pitch, internal), internal)
	if s.flanksMeet() {
		return nil, &DomainError{Quantity: "pitch", Value: pitch.Exact(Metric), Reason: flanksMeetWhy, Range: "a coarser pitch"}
	}
	return s.points(), nil
}

const flanksMeetWhy = "too fine for this form: the flanks meet above the root"

// section is the axial section of one pitch, mm and radians: straight flanks
// that cut a crest flat and a root flat at the depth, either rounded where the
// form has it so.
type section struct {
	pitch, depth          float64
	load, clearance       float64 // flank angles from the normal to the axis
	crestFlat, rootFlat   float64 // between the flanks' lines at crest and root
	roundCrest, roundRoot bool
}

// section places the flanks so that groove and ridge are equal on the pitch
// line: the groove between them at depth x is
//
//	P/2 + (x_p − x)·(tan α1 + tan α2)
//
// with x_p the depth of the pitch line. It reproduces the published flats:
// 0.125 P of American National, 0.3707 P less 0.259 times the diametral
// allowance of Acme, 0.366 P − 0.536 a_c of ISO trapezoidal, 0.26384 P at the
// crest of metric buttress.
func (f Form) section(pitch Length, p proportions, internal bool) section {
	s := section{
		pitch: pitch.MM(), depth: p.depth.mm,
		load: f.LoadFlankDeg * math.Pi / 180, clearance: f.ClearanceFlankDeg * math.Pi / 180,
	}
	line := p.pitchBelow.mm / 2
	if internal {
		line = (p.minorBelow.mm - p.pitchBelow.mm) / 2
	}
	groove := func(x float64) float64 { return s.pitch/2 + (line-x)*s.slope() }
	s.crestFlat, s.rootFlat = s.pitch-groove(0), groove(s.depth)
	for _, flat := range []*float64{&s.crestFlat, &s.rootFlat} {
		if math.Abs(*flat) < 1e-9*s.pitch {
			*flat = 0 // a point, less rounding
		}
	}
	switch f.Slug {
	case "iso-metric", "unified", "buttress-metric":
		s.roundRoot = !internal
	case "buttress-inch":
		s.roundRoot = true
	case "whitworth", "knuckle":
		s.roundRoot, s.roundCrest = true, true
	}
	return s
}

// slope is tan α1 + tan α2: how much wider the groove grows per depth.
func (s section) slope() float64 { return math.Tan(s.load) + math.Tan(s.clearance) }

// flanksMeet reports whether the clearance of the form lies deeper than its
// flanks reach.
func (s section) flanksMeet() bool { return s.rootFlat < 0 }

// radius returns the circle that touches both flanks and the line on which they
// are flat apart:
//
//	r = (flat/(tan α1 + tan α2)) / (cos((α1 − α2)/2)/sin((α1 + α2)/2) − 1)
func (s section) radius(flat float64) float64 {
	half, tilt := (s.load+s.clearance)/2, (s.load-s.clearance)/2
	return flat / s.slope() / (math.Cos(tilt)/math.Sin(half) - 1)
}

func (s section) points() []ProfilePoint {
	left := s.crestFlat / 2 // where the first flank's line meets the crest line
	right := s.pitch - left
	var out []ProfilePoint
	if s.roundCrest { // symmetrical forms only: the circle's centre lies under X 0
		r := s.radius(s.crestFlat)
		out = arc(out, 0, r, r, -math.Pi/2, -s.load)
	} else {
		out = append(out, ProfilePoint{0, 0}, ProfilePoint{left, 0})
	}
	if s.roundRoot {
		r := s.radius(s.rootFlat)
		apex := (s.pitch - s.crestFlat) / s.slope()
		half, tilt := (s.load+s.clearance)/2, (s.clearance-s.load)/2
		up := r / math.Sin(half)
		x, y := left+apex*math.Tan(s.load)+up*math.Sin(tilt), apex-up*math.Cos(tilt)
		out = arc(out, x, y, r, math.Pi-s.load, math.Pi/2) // in two, so that the deepest point is on it
		out = arc(out, x, y, r, math.Pi/2, s.clearance)
	} else {
		out = append(out,
			ProfilePoint{left + s.depth*math.Tan(s.load), s.depth},
			ProfilePoint{right - s.depth*math.Tan(s.clearance), s.depth})
	}
	if s.roundCrest {
		r := s.radius(s.crestFlat)
		out = arc(out, s.pitch, r, r, math.Pi+s.clearance, 3*math.Pi/2)
	} else {
		out = append(out, ProfilePoint{right, 0}, ProfilePoint{s.pitch, 0})
	}
	return tidy(out, s.pitch)
}

// arc appends the chords of a circle from one angle to the other, both counted
// from the X axis towards depth.
func arc(out []ProfilePoint, x, y, r, from, to float64) []ProfilePoint {
	n := int(math.Ceil(math.Abs(to-from) * 180 / math.Pi / chordDeg))
	for i := range n + 1 {
		sin, cos := math.Sincos(from + (to-from)*float64(i)/float64(n))
		out = append(out, ProfilePoint{x + r*cos, y + r*sin})
	}
	return out
}

// tidy puts both ends on the pitch exactly, keeps rounding from leading back,
// and drops points that fall on the one before.
func tidy(in []ProfilePoint, pitch float64) []ProfilePoint {
	in[0] = ProfilePoint{0, 0}
	in[len(in)-1] = ProfilePoint{pitch, 0}
	out := in[:1]
	for _, p := range in[1:] {
		last := out[len(out)-1]
		p.X = min(max(p.X, last.X), pitch)
		p.Y = max(p.Y, 0)
		if p != last {
			out = append(out, p)
		}
	}
	return out
}

// Edge is the crest or the root of the thread: a flat or a rounding, and the
// rule it comes from. Neither means a point.
type Edge struct {
	Flat   *Dimension `json:"flat,omitempty"`
	Radius *Dimension `json:"radius,omitempty"`
	Rule   string     `json:"rule"`
}

// edges returns crest and root of the side asked for.
func (j *job) edges() (crest, root *Edge) {
	s := j.section
	crest = &Edge{Rule: j.form.Title + ": a point"}
	share := func(mm float64) string { return strconv.FormatFloat(mm/s.pitch, 'f', 6, 64) + " P" }
	switch {
	case s.roundCrest:
		r := s.radius(s.crestFlat)
		crest.Radius, crest.Rule = approx(r), j.form.Title+": radius "+share(r)
	case s.crestFlat > 0:
		crest.Flat, crest.Rule = approx(s.crestFlat), j.form.Title+": flat "+share(s.crestFlat)
	}
	root = &Edge{Rule: j.noseRule()}
	switch {
	case s.roundRoot:
		root.Radius = approx(s.radius(s.rootFlat))
	case s.rootFlat > 0:
		root.Flat = approx(s.rootFlat)
	}
	return crest, root
}
