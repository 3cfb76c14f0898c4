package threadmath

import "math"

// Form is one of the twelve thread forms of the contract.
type Form struct {
	Slug string
	// Title is the form's name as the trade writes it.
	Title string
	// LoadFlankDeg and ClearanceFlankDeg are the flank angles from the normal
	// to the axis, degrees; equal for symmetrical forms.
	LoadFlankDeg, ClearanceFlankDeg float64
	// Standard names the document the proportions come from.
	Standard string

	// geometry computes the proportions for the pitch.
	geometry func(pitch Length, internal bool) proportions
}

// Symmetrical reports whether both flanks have the same angle.
func (f Form) Symmetrical() bool { return f.LoadFlankDeg == f.ClearanceFlankDeg }

// proportions are what a form makes of a pitch: single depth, and how far the
// pitch and minor diameters of that side lie below the nominal diameter.
type proportions struct {
	depth, pitchBelow, minorBelow amount
	// majorAbove is how far an internal thread's major diameter passes the nominal.
	majorAbove amount
	rule       string
}

// amount is a length that is exact or not, before a unit system is chosen.
type amount struct {
	mm    float64
	exact Length
	known bool
}

func exactAmount(l Length) amount      { return amount{mm: l.MM(), exact: l, known: true} }
func approxAmount(mm float64) amount   { return amount{mm: mm} }
func times(p Length, k float64) amount { return approxAmount(p.MM() * k) }

func (a amount) dimension(s System) Dimension {
	if a.known {
		return ExactDimension(a.exact, s)
	}
	return ApproxDimension(a.mm)
}

// below returns d − a.
func (a amount) below(d Length) amount {
	if a.known {
		return exactAmount(d.Sub(a.exact))
	}
	return approxAmount(d.MM() - a.mm)
}

// sharp60 is H/P of the 60° fundamental triangle, √3/2.
var sharp60 = math.Sqrt(3) / 2

// whitworthH is H/P of the 55° triangle, 1/(2·tan 27.5°).
var whitworthH = 1 / (2 * math.Tan(27.5*math.Pi/180))

// sixty returns the geometry of a 60° form whose depths are parts of H.
func sixty(external, internal, pitchBelow float64, ruleExternal, ruleInternal string) func(Length, bool) proportions {
	return func(p Length, in bool) proportions {
		k, rule := external, ruleExternal
		if in {
			k, rule = internal, ruleInternal
		}
		return proportions{
			depth: times(p, k*sharp60), pitchBelow: times(p, pitchBelow*sharp60),
			minorBelow: times(p, 2*k*sharp60), rule: rule,
		}
	}
}

func half(p Length) Length { return p.Div(2) }

// acmeClearance is 0.010 in at 10 threads per inch and coarser, 0.005 in finer
// (ASME B1.5; Jones 1914 for 0.010 in).
func acmeClearance(p Length) Length {
	if p.Cmp(Inches(frac(1, 10))) >= 0 {
		return Inches(frac(10, 1000))
	}
	return Inches(frac(5, 1000))
}

// trapezoidalClearance is a_c of ISO 2904 (DIN 103) for the pitch. Pitches
// between the standard's take the value of the next coarser one.
func trapezoidalClearance(p Length) Length {
	mm := p.In(Metric)
	switch {
	case mm.Cmp(frac(3, 2)) <= 0:
		return Millimetres(frac(15, 100))
	case mm.Cmp(Int(5)) <= 0:
		return Millimetres(frac(1, 4))
	case mm.Cmp(Int(12)) <= 0:
		return Millimetres(frac(1, 2))
	}
	return Millimetres(Int(1))
}

// withClearance is the geometry of the 29° and 30° forms: engagement h1 and a
// root clearance on both sides.
func withClearance(engagement Ratio, clearance func(Length) Length, rule string) func(Length, bool) proportions {
	return func(p Length, in bool) proportions {
		h1, c := p.Mul(engagement), clearance(p)
		depth := h1.Add(c)
		out := proportions{depth: exactAmount(depth), pitchBelow: exactAmount(h1), rule: rule}
		if in {
			out.minorBelow = exactAmount(h1.Times(2))
			out.majorAbove = exactAmount(c.Times(2))
		} else {
			out.minorBelow = exactAmount(depth.Times(2))
		}
		return out
	}
}

// forms holds the proportions of the twelve forms, sources beside each.
var forms = []Form{
	{
		Slug: "sharp-v", Title: "sharp V, 60°", LoadFlankDeg: 30, ClearanceFlankDeg: 30,
		Standard: "geometry of the equilateral triangle",
		geometry: sixty(1, 1, 1, "sharp V: 0.866025 P", "sharp V: 0.866025 P"),
	},
	{
		Slug: "american-national", Title: "American National, 60°", LoadFlankDeg: 30, ClearanceFlankDeg: 30,
		Standard: "NBS Handbook H28",
		geometry: sixty(0.75, 0.75, 0.75, "American National: 0.649519 P", "American National: 0.649519 P"),
	},
	{
		Slug: "iso-metric", Title: "ISO metric, 60°", LoadFlankDeg: 30, ClearanceFlankDeg: 30,
		Standard: "ISO 68-1",
		geometry: sixty(17.0/24, 0.625, 0.75, "ISO metric external: 0.613435 P", "ISO metric internal: 0.541266 P"),
	},
	{
		Slug: "unified", Title: "Unified, 60°", LoadFlankDeg: 30, ClearanceFlankDeg: 30,
		Standard: "ASME B1.1",
		geometry: sixty(17.0/24, 0.625, 0.75, "Unified external, flat root: 0.613435 P (UNR, rounded root: 0.595393 P)", "Unified internal: 0.541266 P"),
	},
	{
		Slug: "whitworth", Title: "Whitworth, 55°", LoadFlankDeg: 27.5, ClearanceFlankDeg: 27.5,
		Standard: "BS 84",
		geometry: func(p Length, _ bool) proportions {
			h := times(p, whitworthH*2/3)
			return proportions{depth: h, pitchBelow: h, minorBelow: times(p, whitworthH*4/3), rule: "Whitworth: 0.640327 P"}
		},
	},
	{
		Slug: "acme", Title: "Acme, general purpose, 29°", LoadFlankDeg: 14.5, ClearanceFlankDeg: 14.5,
		Standard: "ASME B1.5",
		geometry: withClearance(frac(1, 2), acmeClearance, "Acme: P/2 + 0.010 in (10 per inch and coarser), + 0.005 in (finer)"),
	},
	{
		Slug: "stub-acme", Title: "stub Acme, 29°", LoadFlankDeg: 14.5, ClearanceFlankDeg: 14.5,
		Standard: "ASME B1.8",
		geometry: withClearance(frac(3, 10), acmeClearance, "stub Acme: 0.3 P + 0.010 in (10 per inch and coarser), + 0.005 in (finer)"),
	},
	{
		Slug: "trapezoidal", Title: "ISO metric trapezoidal, 30°", LoadFlankDeg: 15, ClearanceFlankDeg: 15,
		Standard: "ISO 2904",
		geometry: withClearance(frac(1, 2), trapezoidalClearance, "trapezoidal: P/2 + a_c (0.15, 0.25, 0.5 or 1 mm by pitch)"),
	},
	{
		Slug: "square", Title: "square", LoadFlankDeg: 0, ClearanceFlankDeg: 0,
		Standard: "common practice, no source",
		geometry: func(p Length, _ bool) proportions {
			return proportions{depth: exactAmount(half(p)), pitchBelow: exactAmount(half(p)), minorBelow: exactAmount(p), rule: "square: P/2"}
		},
	},
	{
		Slug: "buttress-metric", Title: "metric buttress, 3°/30°", LoadFlankDeg: 3, ClearanceFlankDeg: 30,
		Standard: "DIN 513-1 (engagement 0.75 P from memory)",
		geometry: func(p Length, in bool) proportions {
			out := proportions{depth: times(p, 0.86777), pitchBelow: exactAmount(p.Mul(frac(3, 4))), minorBelow: times(p, 2*0.86777), rule: "metric buttress external: 0.86777 P"}
			if in {
				out.depth, out.minorBelow = exactAmount(p.Mul(frac(3, 4))), exactAmount(p.Mul(frac(3, 2)))
				out.rule = "metric buttress internal: 0.75 P"
			}
			return out
		},
	},
	{
		Slug: "buttress-inch", Title: "inch buttress, 7°/45°", LoadFlankDeg: 7, ClearanceFlankDeg: 45,
		Standard: "ASME B1.9 (engagement 0.6 P from memory)",
		geometry: func(p Length, in bool) proportions {
			out := proportions{depth: times(p, 0.66271), pitchBelow: exactAmount(p.Mul(frac(3, 5))), minorBelow: times(p, 2*0.66271), rule: "inch buttress: 0.66271 P"}
			if in {
				out.minorBelow = exactAmount(p.Mul(frac(6, 5)))
				out.majorAbove = times(p, 2*(0.66271-0.6))
			}
			return out
		},
	},
	{
		Slug: "knuckle", Title: "knuckle (round), 30°", LoadFlankDeg: 15, ClearanceFlankDeg: 15,
		Standard: "DIN 405 (depth from memory)",
		geometry: func(p Length, in bool) proportions {
			out := proportions{depth: exactAmount(half(p)), pitchBelow: exactAmount(half(p)), minorBelow: exactAmount(p), rule: "knuckle: P/2"}
			if in {
				// DIN 405: D4 = d + 0.1 P, D1 = D4 − P (from memory).
				out.majorAbove, out.minorBelow = exactAmount(p.Mul(frac(1, 10))), exactAmount(p.Mul(frac(9, 10)))
			}
			return out
		},
	},
}

// Forms returns the thread forms in the contract's order.
func Forms() []Form { return append([]Form(nil), forms...) }

// FormOf returns the form with the slug, or a DomainError that lists them.
func FormOf(slug string) (Form, error) {
	list := ""
	for i, f := range forms {
		if f.Slug == slug {
			return f, nil
		}
		if i > 0 {
			list += ", "
		}
		list += f.Slug
	}
	return Form{}, &DomainError{Quantity: "form", Value: slug, Range: list}
}
