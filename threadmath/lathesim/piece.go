package lathesim

import (
	"math"
	"slices"
)

// Nose is the cutting end of a tool: a flat, mm, between two flanks, radians from the
// normal to the axis. The leading flank looks where the tool travels.
type Nose struct{ Flat, Leading, Trailing float64 }

// Width is how wide the tool is so far above its flat, mm.
func (n Nose) Width(above float64) float64 {
	return n.Flat + above*(math.Tan(n.Leading)+math.Tan(n.Trailing))
}

// Mark is one pass of the tool: where the middle of its nose crossed the reference
// line of the work, how deep below the blank's surface, mm, and which groove it was
// meant for.
type Mark struct {
	At, Deep float64
	Groove   int
}

// Piece is the work while it is cut: a blank of Radius mm, turned on the outside or
// bored, whose grooves repeat every Lead mm. It knows nothing of threads: it keeps
// what metal is gone.
type Piece struct {
	Radius   float64
	Internal bool
	Lead     float64
	Tool     Nose

	marks []Mark
	gone  []float64 // depth at each cell of one lead
}

// cellsPerLead is how finely chips are weighed.
const cellsPerLead = 1536

// Cut takes a pass and returns the section of the chip, mm²: what the tool's outline
// covers and no pass before it did.
func (p *Piece) Cut(groove int, at, deep float64) (chip float64) {
	if deep <= 0 {
		return 0
	}
	if p.gone == nil {
		p.gone = make([]float64, cellsPerLead)
	}
	p.marks = append(p.marks, Mark{at, deep, groove})
	cell := p.Lead / cellsPerLead
	lead, trail := math.Tan(p.Tool.Leading), math.Tan(p.Tool.Trailing)
	from := int(math.Floor((at - p.Tool.Flat/2 - deep*trail) / cell))
	to := int(math.Ceil((at + p.Tool.Flat/2 + deep*lead) / cell))
	for i := from; i <= to; i++ {
		off := (float64(i)+0.5)*cell - at
		here := deep
		switch beyond := math.Abs(off) - p.Tool.Flat/2; {
		case beyond <= 0:
		case off > 0 && lead > 0:
			here = deep - beyond/lead
		case off < 0 && trail > 0:
			here = deep - beyond/trail
		default:
			here = 0 // beside a square flank
		}
		k := ((i % cellsPerLead) + cellsPerLead) % cellsPerLead
		if here > p.gone[k] {
			chip += (here - p.gone[k]) * cell
			p.gone[k] = here
		}
	}
	return chip
}

// Groove is one groove as it is measured: its middle on the pitch line, mm along the
// work, how deep it is, and the diameter at which it is half as wide as the
// distance from one groove to the next.
type Groove struct{ At, Deep, PitchDiameter float64 }

// Measure measures the groove that was meant by a number, where so many grooves lie in
// a lead; ok is false where none was cut.
func (p *Piece) Measure(groove, starts int) (g Groove, ok bool) {
	var marks []Mark
	for _, m := range p.marks {
		if m.Groove == groove {
			marks = append(marks, m)
		}
	}
	if len(marks) == 0 {
		return Groove{}, false
	}
	last := marks[len(marks)-1].At
	for i := range marks {
		marks[i].At -= math.Round((marks[i].At-last)/p.Lead) * p.Lead
	}
	return p.measure(marks, p.Lead/float64(starts)), true
}

// measure finds where the groove is half a pitch wide. Its sides are the outermost
// of all passes.
func (p *Piece) measure(marks []Mark, pitch float64) Groove {
	deepest := slices.MaxFunc(marks, func(a, b Mark) int {
		if a.Deep < b.Deep {
			return -1
		}
		return 1
	})
	lead, trail := math.Tan(p.Tool.Leading), math.Tan(p.Tool.Trailing)
	sides := func(depth float64) (left, right float64) {
		left, right = math.Inf(1), math.Inf(-1)
		for _, m := range marks {
			if m.Deep >= depth {
				left = min(left, m.At-p.Tool.Flat/2-(m.Deep-depth)*trail)
				right = max(right, m.At+p.Tool.Flat/2+(m.Deep-depth)*lead)
			}
		}
		return left, right
	}
	low, high := 0.0, deepest.Deep
	for range 60 {
		mid := (low + high) / 2
		if l, r := sides(mid); r-l > pitch/2 {
			low = mid
		} else {
			high = mid
		}
	}
	l, r := sides(low)
	g := Groove{At: (l + r) / 2, Deep: deepest.Deep, PitchDiameter: 2 * (p.Radius - low)}
	if p.Internal {
		g.PitchDiameter = 2 * (p.Radius + low)
	}
	return g
}
