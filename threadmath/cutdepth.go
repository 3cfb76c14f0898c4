package threadmath

// CutDepth is how deep the tool goes from the place where it touches the blank, so
// that the pitch diameter comes to the middle of its class.
type CutDepth struct {
	// Depth is radial, from touch on a blank of diameter Touch.
	Depth Dimension `json:"depth"`
	// Touch is the largest blank of an external thread, the smallest bore of an
	// internal one; absent without a diameter.
	Touch *Dimension `json:"touch,omitempty"`
	// Aim is the pitch diameter that this depth gives.
	Aim  *Dimension `json:"aim,omitempty"`
	Rule string     `json:"rule"`
	// Flat is the flat of the tool's nose that the depth is reckoned for.
	Flat Dimension `json:"flat"`
	// RootClears says whether the root of the thread passes the crest of a mate at
	// its basic size; a nose that is too flat ends before it.
	RootClears *bool `json:"root_clears,omitempty"`
	// Preset is the depth that counts as reached when the tool touches the blank as
	// measured.
	Preset *Dimension `json:"preset,omitempty"`
	Why    string     `json:"why,omitempty"`
}

// flat returns the flat of the tool's nose in mm: the request's, or the form's.
func (j *job) flat() float64 {
	if j.cut.toolFlat != nil {
		return j.cut.toolFlat.MM()
	}
	return j.nose()
}

// aimAndTouch returns, in mm, the pitch diameter aimed at and the blank that the
// depth is reckoned from; both are the basic ones without a class.
func (j *job) aimAndTouch() (aim, touch float64, classed bool) {
	aim, touch = j.pitchDiameter.mm, j.majorDiameter.mm
	if j.internal {
		touch = j.minorDiameter.mm
	}
	l := j.limits
	if l == nil || l.PitchDiameter == nil || l.PitchDiameter.Max == nil || l.PitchDiameter.Min == nil {
		return aim, touch, false
	}
	aim = (l.PitchDiameter.Max.MM() + l.PitchDiameter.Min.MM()) / 2
	if crest := l.MajorDiameter; !j.internal && crest != nil && crest.Max != nil {
		touch = crest.Max.MM()
	}
	if crest := l.MinorDiameter; j.internal && crest != nil && crest.Min != nil {
		touch = crest.Min.MM()
	}
	return aim, touch, true
}

// settleDepthOfCut computes the depth that the passes go to. A tool with a nose of
// flat f leaves a groove of f + x·(tan α1 + tan α2) at x from its bottom; the groove
// is half a pitch wide on the pitch line, so that from a blank of diameter B
//
//	external: x = (B − d2)/2 + (P/2 − f)/(tan α1 + tan α2)
//	internal: x = (D2 − B)/2 + (P/2 − f)/(tan α1 + tan α2)
//
// with the pitch diameter aimed at. Without class and tool_flat it is the form's
// depth h, exactly. Flanks of 0° have no pitch line that a depth would move: h, as
// it is. Float64, error below 1e-12 of the pitch. Source: geometry of two straight
// flanks; limits as the class gives them.
func (j *job) settleDepthOfCut() error {
	if j.prop == nil {
		return nil
	}
	j.depthOfCut = j.prop.depth
	slope := j.flankSlope()
	if slope == 0 {
		return nil
	}
	x := j.prop.depth.mm + (j.nose()-j.flat())/slope
	classed := false
	if j.diameter != nil {
		var aim, touch float64
		aim, touch, classed = j.aimAndTouch()
		basic := j.majorDiameter.mm
		if j.internal {
			basic = j.minorDiameter.mm
			x += (aim - j.pitchDiameter.mm - touch + basic) / 2
		} else {
			x += (touch - basic + j.pitchDiameter.mm - aim) / 2
		}
	}
	if !classed && j.cut.toolFlat == nil {
		return nil
	}
	if x <= 0 {
		return &DomainError{
			Quantity: "/cut/tool_flat", Value: j.cut.toolFlat.Exact(j.system), Reason: "the nose is as wide as the groove at the surface: it would cut no thread",
			Range: "less than " + approxText(j.nose()+j.prop.depth.mm*slope, j.system),
		}
	}
	j.depthOfCut = approxAmount(x)
	return nil
}

// cutDepth returns the depth with what it is reckoned from; nil without a form.
func (j *job) cutDepth(blank *Blank) *CutDepth {
	if j.prop == nil {
		return nil
	}
	out := &CutDepth{Depth: j.depthOfCut.dimension(j.system), Flat: ApproxDimension(j.flat()), Rule: "to the basic size: no class is given"}
	if j.cut.toolFlat != nil {
		out.Flat = j.dim(*j.cut.toolFlat)
	}
	if j.diameter == nil {
		return out
	}
	aim, touch, classed := j.aimAndTouch()
	out.Aim, out.Touch = approx(aim), approx(touch)
	if classed {
		out.Rule = "to the middle between the limits of the pitch diameter"
	}
	mate := j.form.geometry(j.pitch, !j.internal)
	const hair = 1e-9
	clears := touch-2*j.depthOfCut.mm <= j.diameter.MM()-mate.minorBelow.mm+hair
	if j.internal {
		clears = touch+2*j.depthOfCut.mm >= j.diameter.MM()-hair
	}
	out.RootClears = &clears
	if b := j.cut.measuredBlank; b != nil {
		j.preset(out, blank, b.MM(), touch)
	}
	return out
}

// preset fills in what counts as reached at touch: half of what the blank lacks.
func (j *job) preset(out *CutDepth, blank *Blank, measured, touch float64) {
	lacks := touch - measured
	if j.internal {
		lacks = -lacks
	}
	const hair = 1e-9
	switch over := blank.Min; {
	case lacks < -hair:
		out.Why = "the blank is not down to " + approxText(touch, j.system) + ": turn it again"
		if j.internal {
			out.Why = "the bore is not up to " + approxText(touch, j.system) + ": bore it again"
		}
		return
	case j.internal && blank.Max != nil && measured > blank.Max.MM()+hair:
		out.Why = "the bore is larger than its class allows"
	case !j.internal && over != nil && measured < over.MM()-hair:
		out.Why = "the blank is smaller than its class allows"
	case blank.Min == nil && lacks > j.pitch.MM()/20:
		out.Why = "the blank is more than a twentieth of the pitch from its size (common practice, no source)"
	}
	out.Preset = approx(max(lacks, 0) / 2)
}
