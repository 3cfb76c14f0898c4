package threadmath

import "math"

// Tool holds the angles to grind below the flanks and the nose of the tool.
type Tool struct {
	// LeadingGrindDeg and TrailingGrindDeg are the clearance angles below the two
	// flanks, degrees from the vertical; absent without relief and diameter.
	LeadingGrindDeg  *float64 `json:"leading_grind_deg,omitempty"`
	TrailingGrindDeg *float64 `json:"trailing_grind_deg,omitempty"`
	// Nose is the width of a flat nose that gives the form at its full depth.
	Nose *Dimension `json:"nose,omitempty"`
	// NoseRadius is the rounding of the nose where the form has one.
	NoseRadius *Dimension `json:"nose_radius,omitempty"`
	NoseRule   string     `json:"nose_rule,omitempty"`
	// IncludedDeg is the angle between the cutting edges.
	IncludedDeg float64 `json:"included_deg"`
}

// tool returns the tool for the form; nil without a form.
//
//	leading grind  = relief + φ(minor diameter)
//	trailing grind = relief − φ(major diameter)
//
// The leading flank runs into the rising helix, steepest at the minor diameter;
// the trailing one runs away from it, least at the major diameter. The trailing
// angle may be negative on steep leads. Source: the two side angles of Jones,
// Turning and Boring (1914), ch. IV, "Cutting a Square Thread". Floats, error
// below 1e-12 degrees.
func (j *job) tool() *Tool {
	if j.form == nil {
		return nil
	}
	t := &Tool{IncludedDeg: j.form.LoadFlankDeg + j.form.ClearanceFlankDeg}
	t.Nose = approx(j.nose())
	t.NoseRadius, t.NoseRule = j.noseRadius()
	if k := j.cut.reliefDeg; k != nil && j.leadAngle != nil {
		leading, trailing := *k+j.leadAngle.Minor, *k-j.leadAngle.Major
		t.LeadingGrindDeg, t.TrailingGrindDeg = &leading, &trailing
	}
	return t
}

// flankSlope is tan α1 + tan α2: how much wider the groove grows per depth.
func (j *job) flankSlope() float64 {
	return math.Tan(j.form.LoadFlankDeg*math.Pi/180) + math.Tan(j.form.ClearanceFlankDeg*math.Pi/180)
}

// grooveWidth returns the width in mm of the groove between its straight flanks
// at radial depth x below the crest of the side asked for:
//
//	P/2 + (x_p − x)·(tan α1 + tan α2)
//
// with x_p the depth of the pitch line, where groove and ridge are equal. It
// reproduces the published flats: 0.125 P of American National, 0.3707 P less
// 0.259 times the diametral allowance of Acme, 0.366 P − 0.536 a_c of ISO
// trapezoidal, 0.1897 P of metric buttress.
func (j *job) grooveWidth(x float64) float64 {
	line := j.prop.pitchBelow.mm / 2
	if j.internal {
		line = (j.prop.minorBelow.mm - j.prop.pitchBelow.mm) / 2
	}
	return j.pitch.MM()/2 + (line-x)*j.flankSlope()
}

// nose is the flat in mm at the bottom of the full-depth groove, 0 for a sharp V.
func (j *job) nose() float64 {
	w := j.grooveWidth(j.prop.depth.mm)
	if w < 1e-9*j.pitch.MM() {
		return 0 // the sharp V's apex, less rounding
	}
	return w
}

// noseRadius returns the nose rounding of forms that have one, and the rule
// for the nose.
func (j *job) noseRadius() (*Dimension, string) {
	p := j.pitch.MM()
	switch j.form.Slug {
	case "sharp-v":
		return nil, "sharp V: a point"
	case "american-national":
		return nil, "American National: flat P/8"
	case "iso-metric", "unified":
		if j.internal {
			return nil, j.form.Title + ", internal: flat P/8"
		}
		// A radius of H/6 just touches both flanks and the depth 17/24 H (ISO 68-1).
		return approx(p * sharp60 / 6), j.form.Title + ", external: radius H/6 = 0.144338 P; a flat of P/6 reaches the same depth"
	case "whitworth":
		return approx(0.137329 * p), "Whitworth: radius 0.137329 P; the flat is that of the flanks cut off at the same depth"
	case "acme":
		return nil, "Acme: flat 0.3707 P − 0.517 times the clearance"
	case "stub-acme":
		return nil, "stub Acme: flat 0.4224 P − 0.517 times the clearance"
	case "trapezoidal":
		return nil, "ISO trapezoidal: flat 0.366 P − 0.536 a_c"
	case "square":
		return nil, "square: P/2, plus the play the nut needs (common practice, no source)"
	case "buttress-metric":
		return approx(0.12427 * p), "metric buttress: radius 0.12427 P (DIN 513, from memory); the flat is that of the flanks"
	case "buttress-inch":
		return approx(0.0714 * p), "inch buttress: radius 0.0714 P (ASME B1.9, from memory); the flat is that of the flanks"
	case "knuckle":
		return approx(0.238507 * p), "knuckle: radius 0.238507 P (DIN 405, from memory); the flat is that of straight flanks of the same depth"
	}
	return nil, ""
}
