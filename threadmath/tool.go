package threadmath

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
	t.NoseRule = j.noseRule()
	if j.section.roundRoot {
		t.NoseRadius = approx(j.section.radius(j.section.rootFlat))
	}
	if k := j.cut.reliefDeg; k != nil && j.leadAngle != nil {
		leading, trailing := *k+j.leadAngle.Minor, *k-j.leadAngle.Major
		t.LeadingGrindDeg, t.TrailingGrindDeg = &leading, &trailing
	}
	return t
}

// flankSlope is tan α1 + tan α2: how much wider the groove grows per depth.
func (j *job) flankSlope() float64 { return j.section.slope() }

// nose is the flat in mm at the bottom of the full-depth groove, 0 for a sharp V.
func (j *job) nose() float64 { return j.section.rootFlat }

// noseRule says where the nose comes from.
func (j *job) noseRule() string {
	switch j.form.Slug {
	case "sharp-v":
		return "sharp V: a point"
	case "american-national":
		return "American National: flat P/8"
	case "iso-metric", "unified":
		if j.internal {
			return j.form.Title + ", internal: flat P/8"
		}
		// A radius of H/6 just touches both flanks and the depth 17/24 H (ISO 68-1).
		return j.form.Title + ", external: radius H/6 = 0.144338 P; a flat of P/6 reaches the same depth"
	case "whitworth":
		return "Whitworth: radius 0.137329 P; the flat is that of the flanks cut off at the same depth"
	case "acme":
		return "Acme: flat 0.3707 P − 0.517 times the clearance"
	case "stub-acme":
		return "stub Acme: flat 0.4224 P − 0.517 times the clearance"
	case "trapezoidal":
		return "ISO trapezoidal: flat 0.366 P − 0.536 a_c"
	case "square":
		return "square: P/2, plus the play the nut needs (common practice, no source)"
	case "buttress-metric":
		if j.internal {
			return "metric buttress, internal: flat 0.26384 P (DIN 513, from memory)"
		}
		return "metric buttress, external: radius 0.12427 P (DIN 513, from memory); the flat is that of the flanks"
	case "buttress-inch":
		return "inch buttress: radius 0.0714 P (ASME B1.9, from memory); the flat is that of the flanks"
	case "knuckle":
		if j.internal {
			return "knuckle, internal: radius 0.221047 P (DIN 405, from memory); the flat is that of straight flanks of the same depth"
		}
		return "knuckle, external: radius 0.238507 P (DIN 405, from memory); the flat is that of straight flanks of the same depth"
	}
	return ""
}
