package threadmath

import "math"

// Blank is what is turned or bored before the first pass.
type Blank struct {
	// Diameter to turn (external) or to bore (internal), nominal.
	Diameter Dimension `json:"diameter"`
	// Max and Min are the limits of that diameter where the class gives them.
	Max *Dimension `json:"max,omitempty"`
	Min *Dimension `json:"min,omitempty"`
	// ChamferTo is the diameter at the end face; ChamferLength lies along the axis.
	ChamferTo     Dimension `json:"chamfer_to"`
	ChamferDeg    float64   `json:"chamfer_deg"`
	ChamferLength Dimension `json:"chamfer_length"`
	Rule          string    `json:"rule"`
}

// chamferDeg is the chamfer at the mouth of a thread, from the axis (common
// practice, no source).
const chamferDeg = 45

// blank returns the blank of an external thread (its major diameter) or the
// bore of an internal one (its minor diameter), with the limits of the class
// where there are any, and a chamfer of 45° down to the root of the thread, so
// that no start begins in a feather edge; nil without form and diameter. Exact
// where the form's diameters are.
func (j *job) blank(limits *Limits) *Blank {
	if j.form == nil || j.diameter == nil {
		return nil
	}
	size, to := j.majorDiameter, j.minorDiameter
	b := &Blank{ChamferDeg: chamferDeg, Rule: "turn to the major diameter"}
	var limit *LimitOfSize
	if limits != nil {
		limit = limits.MajorDiameter
	}
	if j.internal {
		size, to = to, size
		b.Rule = "bore to the minor diameter"
		if limits != nil {
			limit = limits.MinorDiameter
		}
	}
	b.Rule += "; chamfer 45° to the root of the thread (common practice, no source)"
	b.Diameter, b.ChamferTo = size.dimension(j.system), to.dimension(j.system)
	if limit != nil {
		b.Max, b.Min = limit.Max, limit.Min
		if b.Max != nil && b.Min != nil {
			b.Rule += "; stay between max and min of the class"
		}
	}
	if size.known && to.known {
		l := size.exact.Sub(to.exact).Mul(frac(1, 2))
		if l.Sign() < 0 {
			l = l.Neg()
		}
		b.ChamferLength = j.dim(l)
	} else {
		b.ChamferLength = ApproxDimension(math.Abs(size.mm-to.mm) / 2)
	}
	return b
}
