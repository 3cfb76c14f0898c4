package threadmath

import "math"

// Wires is measurement over wires.
type Wires struct {
	// Best touches the flanks at the pitch line.
	Best *Dimension `json:"best,omitempty"`
	Used *Dimension `json:"used,omitempty"`
	// WireMin and WireMax bound the wires that touch both flanks, stand above the
	// crests and clear the root.
	WireMin *Dimension `json:"wire_min,omitempty"`
	WireMax *Dimension `json:"wire_max,omitempty"`
	// Over is the measurement at the basic pitch diameter, lead term included.
	Over     *Dimension `json:"over,omitempty"`
	LeadTerm *Dimension `json:"lead_term,omitempty"`
	// OverOne is the measurement over one wire and the crests opposite, at the
	// basic major diameter; the reading moves by half of what the work's measured
	// major diameter differs from it.
	OverOne *Dimension `json:"over_one,omitempty"`
	// FormulaError is how far Over may lie from the tangency of wires that are
	// free to lean; over wires thicker than the best it lies too high.
	FormulaError *Dimension `json:"formula_error,omitempty"`
	// Tangency says that Over comes from the tangency itself and not from the series.
	Tangency bool       `json:"tangency,omitempty"`
	OverMax  *Dimension `json:"over_max,omitempty"`
	OverMin  *Dimension `json:"over_min,omitempty"`
	// PitchDiameterOf is the pitch diameter of the reading in the request.
	PitchDiameterOf *Dimension `json:"pitch_diameter_of,omitempty"`
	// Count is 2 for an even number of starts and 3 for an odd one.
	Count       int    `json:"count,omitempty"`
	Arrangement string `json:"arrangement,omitempty"`
	Why         string `json:"why,omitempty"`
}

// vee is a symmetrical groove with straight flanks, lengths in mm, the flank
// angle in radians and more than 0.
type vee struct{ pitch, lead, flank float64 }

// best returns w = P/(2·cos α), which touches the flanks at the pitch line.
func (v vee) best() float64 { return v.pitch / (2 * math.Cos(v.flank)) }

// leadTerm returns (w/2)·tan²φ·cos α·cot α at a pitch diameter, the first term
// of the series of the general formula for wires that lie at the lead angle.
func (v vee) leadTerm(pitchDiameter, wire float64) float64 {
	tan := v.lead / (math.Pi * pitchDiameter)
	return wire / 2 * tan * tan * math.Cos(v.flank) / math.Tan(v.flank)
}

// over returns M = d2 − (P/2)·cot α + w·(1 + 1/sin α) + lead term.
func (v vee) over(pitchDiameter, wire float64) float64 {
	return pitchDiameter - v.pitch/2/math.Tan(v.flank) + wire*(1+1/math.Sin(v.flank)) + v.leadTerm(pitchDiameter, wire)
}

// pitchDiameterOf returns the pitch diameter between low and high over which the wires
// measure m; over rises with it wherever a reading is unique.
func pitchDiameterOf(over func(float64) float64, m, low, high float64) float64 {
	for range 100 {
		mid := low + (high-low)/2
		if over(mid) < m {
			low = mid
		} else {
			high = mid
		}
	}
	return low + (high-low)/2
}

// readable reports whether over rises with the pitch diameter from there up,
// so that a reading has one pitch diameter. It fails for leads of several times
// the girth only.
func (v vee) readable(least, wire float64) bool { return 2*v.leadTerm(least, wire) < least }

// vee returns the groove that wires lie in; why says why there is none.
func (j *job) vee() (v vee, why string) {
	switch {
	case j.internal:
		return v, "wires do not measure an internal thread: use a gauge, or balls"
	case j.form.Slug == "knuckle":
		return v, "a round form has no straight flanks for wires to lie on"
	case !j.form.Symmetrical():
		return v, "the formula needs flanks of equal angle"
	case j.form.LoadFlankDeg == 0:
		return v, "wires find no seat between square flanks: measure the groove and the diameters"
	}
	return vee{j.pitch.MM(), j.lead.MM(), j.form.LoadFlankDeg * math.Pi / 180}, ""
}

// wireRange returns the least and greatest wire for the groove: the contact
// must lie on the flank below the crest and the wire must clear the root and
// stand above the crest. Around the apex of the flanks, at the diameter
// a = d2 − (P/2)·cot α, a wire centre lies w/sin α higher and its contact
// w·cos²α/sin α higher (both in diameter).
func (j *job) wireRange(v vee) (least, greatest float64) {
	sin, cos := math.Sincos(v.flank)
	apex := j.pitchDiameter.mm - v.pitch/2*cos/sin
	least = math.Max(
		(j.majorDiameter.mm-apex)/(1+1/sin), // stands above the crest
		(j.minorDiameter.mm-apex)/(1/sin-1), // clears the root
	)
	greatest = (j.majorDiameter.mm - apex) * sin / (cos * cos)
	return least, greatest
}

// wires returns measurement over wires; nil without form and diameter.
//
//	best wire w = P/(2·cos α)
//	M = d2 − (P/2)·cot α + w·(1 + 1/sin α) + (w/2)·tan²φ·cos α·cot α
//
// for symmetrical forms with straight flanks, external only. φ is the lead angle
// at the pitch diameter, from the lead. Source: Jones, Turning and Boring (1914),
// ch. IV, "Three-wire System" without the lead term; the lead term is the series
// of the general formula of NBS Handbook H28, from memory.
//
// How good the series is was found by solving the tangency in three dimensions
// for wires that are free to lean between flat anvils. Over best wires it comes
// out too high, and a pitch diameter worked out from a reading too small by as
// much, by less than
//
//	            60° form, 1, 2, 4 starts   others, 1, 2, 4 starts
//	0.0001 P    up to 3.6°, 4.5°, 5.5°     up to 3.5°, 4.3°, 5.2°
//	0.0005 P          6.2°, 7.6°, 9.2°           5.8°, 7.0°, 8.3°
//	0.001 P           7.8°, 9.5°, 11.4°          7.2°, 8.6°, 10.0°
//
// and over thicker wires by several times that, because they touch further out,
// where the lead angle is less. FormulaError bounds it for the wire that is used;
// where that would pass 0.001 P the tangency is solved instead, up to where a wire
// no longer touches both flanks.
// (A gage maker's sheet ends the formulas without lead term at 5°.) Otherwise
// floats, error below 1e-12 of the value.
func (j *job) wires(limits *Limits) *Wires {
	if j.form == nil || j.diameter == nil {
		return nil
	}
	v, why := j.vee()
	if why != "" {
		return &Wires{Why: why}
	}
	least, greatest := j.wireRange(v)
	best := v.best()
	out := &Wires{Best: approx(best), Used: approx(best), Count: 2 + j.starts%2}
	out.WireMin, out.WireMax = approx(least), approx(greatest)
	out.Arrangement = "odd number of starts: the groove straight opposite is half a pitch off, so two wires lie in neighbouring grooves on one side and the third between them opposite"
	if out.Count == 2 {
		out.Arrangement = "even number of starts: the groove straight opposite lines up, so one wire on each side; a third beside one of them keeps flat anvils square"
	}
	wire := best
	if j.cut.wire != nil {
		wire = j.cut.wire.MM()
		out.Used = j.dimp(*j.cut.wire)
	}
	// The best wire of a sharp V is just flush with its crests.
	if wire < least*(1-1e-9) || wire > greatest {
		out.Why = "this wire does not measure: it must touch the flanks, stand above the crests and clear the root"
		return out
	}
	d2 := j.pitchDiameter.mm
	m := v.overWiresOf(d2, wire)
	if m.touch > 0 && (m.touch > j.majorDiameter.mm || m.touch < j.minorDiameter.mm) {
		out.Why = "at this lead the wire no longer touches both flanks: it rests on their edges; use a gauge, or a thinner wire"
		return out
	}
	over := m.of(d2)
	out.Over, out.LeadTerm = approx(over), approx(over-v.over(d2, wire)+v.leadTerm(d2, wire))
	out.OverOne = approx((over + j.majorDiameter.mm) / 2)
	out.FormulaError, out.Tangency = approx(m.bound), m.touch > 0
	if limits != nil && limits.PitchDiameter != nil {
		if d := limits.PitchDiameter.Max; d != nil {
			out.OverMax = approx(m.of(d.MM()))
		}
		if d := limits.PitchDiameter.Min; d != nil {
			out.OverMin = approx(m.of(d.MM()))
		}
	}
	if r := j.cut.overWires; r != nil && v.readable(j.minorDiameter.mm, wire) {
		out.PitchDiameterOf = approx(pitchDiameterOf(m.of, r.MM(), j.minorDiameter.mm, j.majorDiameter.mm))
	}
	return out
}

// formulaError bounds in mm how far over lies from the tangency; ok is false
// beyond a lead angle of 10° or a wire more than 1.4 times or less than 0.95
// times the best one, where that was not compared.
//
// To the second order of the lead the tangency has the diameters dc at which
// the wire touches and dw on which its axis lies where the series has d2 twice:
//
//	(w/2)·cos α·cot α·(L/π)²/(dc·dw)
//
// The bound is the difference of the two and what the tangency solved in three
// dimensions showed to be left over, at most 0.0013 P at 10° and falling with
// the fourth power of the lead angle.
func (v vee) formulaError(pitchDiameter, wire float64) (mm float64, ok bool) {
	phi := math.Atan2(v.lead, math.Pi*pitchDiameter) * 180 / math.Pi
	if share := wire / v.best(); phi > 10 || share < 0.95 || share > 1.4 {
		return 0, false
	}
	sin, cos := math.Sincos(v.flank)
	apex := pitchDiameter - v.pitch/2*cos/sin
	touch, axis := apex+wire*cos*cos/sin, apex+wire/sin
	series := v.leadTerm(pitchDiameter, wire)
	closer := series * pitchDiameter * pitchDiameter / (touch * axis)
	return math.Abs(series-closer) + 0.0013*v.pitch*math.Pow(phi/10, 4), true
}

// checkOverWires refuses a reading that no thread of this job can give.
func (j *job) checkOverWires() error {
	m := j.cut.overWires
	if m == nil || j.form == nil || j.diameter == nil {
		return nil
	}
	v, why := j.vee()
	if why != "" {
		return nil // the answer says why wires do not serve
	}
	wire := v.best()
	if j.cut.wire != nil {
		wire = j.cut.wire.MM()
	}
	if !v.readable(j.minorDiameter.mm, wire) {
		return nil // the answer says that the lead is too steep
	}
	over := v.overWiresOf(j.pitchDiameter.mm, wire).of
	low, high := over(j.minorDiameter.mm), over(j.majorDiameter.mm)
	if mm := m.MM(); mm < low || mm > high {
		return &DomainError{
			Quantity: "/cut/over_wires", Value: m.Exact(j.system), Reason: "the pitch diameter would lie outside the thread",
			Range: approxText(low, j.system) + " to " + approxText(high, j.system),
		}
	}
	return nil
}
