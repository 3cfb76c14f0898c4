package threadmath

import "math"

// tangency returns the measurement over wires that lie in the grooves between parallel
// anvils, free to lean, in mm, and the diameter at which they touch the flanks. It is
// exact for straight flanks of equal angle, at any lead: nothing is expanded in it.
//
// The thread's axis is z, the groove faces the x axis, and the axial section of its
// upper flank is z = P/4 + (r − d2/2)·tan α at the angle 0, carried round with the lead.
// Half a turn about the x axis carries one flank into the other and the wire into
// itself, so that one flank decides. A flank point at the distance v from the plane of
// wire and x axis holds the wire's axis at x + √(w²/4 − v²); along a straight line of
// the flank that is highest where the line touches the wire's section,
//
//	x = −v0·k + (w/2)·√(1 + k²), k = dx/dv along the line
//
// The highest over the angles holds the wire, at the tilt that lets it lie lowest. Both
// are searched; error below 1e-7 of the pitch. Source: geometry; the tests look over a
// net of both flanks for a point that would cut into the wire.
func (v vee) tangency(pitchDiameter, wire float64) (over, touch float64) {
	phi := math.Atan2(v.lead, math.Pi*pitchDiameter)
	tan := math.Tan(v.flank)
	type contact struct{ x, r float64 }
	at := func(angle, sin, cos float64) contact {
		sa, ca := math.Sincos(angle)
		v0 := (v.lead*angle/(2*math.Pi) + v.pitch/4 - pitchDiameter/2*tan) * cos
		across := tan*cos - sa*sin
		if across <= 0 {
			return contact{x: math.Inf(-1)} // the line leans away under the wire
		}
		k := ca / across
		root := math.Sqrt(1 + k*k)
		return contact{x: -v0*k + wire/2*root, r: (wire/2*k/root - v0) / across}
	}
	lowest := func(tilt float64) contact {
		sin, cos := math.Sincos(tilt)
		const span, steps = 0.5, 12
		best, near := contact{x: math.Inf(-1)}, 0.0
		for i := -steps; i <= steps; i++ {
			angle := span * float64(i) / steps
			if c := at(angle, sin, cos); c.x > best.x {
				best, near = c, angle
			}
		}
		angle := valley(func(a float64) float64 { return -at(a, sin, cos).x }, near-span/steps, near+span/steps)
		return at(angle, sin, cos)
	}
	held := lowest(valley(func(tilt float64) float64 { return lowest(tilt).x }, phi-0.3, phi+0.02))
	return 2*held.x + wire, 2 * held.r
}

// valley returns where a function with one valley has it, by golden section.
func valley(f func(float64) float64, low, high float64) float64 {
	const golden = 0.6180339887498949
	a, b := high-golden*(high-low), low+golden*(high-low)
	fa, fb := f(a), f(b)
	for range 24 {
		if fa < fb {
			high, b, fb = b, a, fa
			a = high - golden*(high-low)
			fa = f(a)
		} else {
			low, a, fa = a, b, fb
			b = low + golden*(high-low)
			fb = f(b)
		}
	}
	return low + (high-low)/2
}

// closer is over with the lead term that the tangency has to the second order of the
// lead: see formulaError.
func (v vee) closer(pitchDiameter, wire float64) float64 {
	sin, cos := math.Sincos(v.flank)
	apex := pitchDiameter - v.pitch/2*cos/sin
	touch, axis := apex+wire*cos*cos/sin, apex+wire/sin
	return apex + wire*(1+1/sin) + v.leadTerm(pitchDiameter, wire)*pitchDiameter*pitchDiameter/(touch*axis)
}

// overWires is how a job's readings follow from pitch diameters.
type overWires struct {
	of func(pitchDiameter float64) float64
	// bound is how far of may lie from the tangency, mm; touch the diameter at which the
	// wires touch the flanks where of is the tangency itself, 0 for the series.
	bound, touch float64
}

// overWiresOf takes the series where it lies within a thousandth of the pitch of the
// tangency, and else the tangency, solved at the basic pitch diameter and carried to
// others near it by the second order of the lead.
func (v vee) overWiresOf(basic, wire float64) overWires {
	if bound, ok := v.formulaError(basic, wire); ok && bound <= v.pitch/1000 {
		return overWires{of: func(d float64) float64 { return v.over(d, wire) }, bound: bound}
	}
	over, touch := v.tangency(basic, wire)
	off := over - v.closer(basic, wire)
	return overWires{of: func(d float64) float64 { return v.closer(d, wire) + off }, bound: v.pitch * 1e-6, touch: touch}
}
