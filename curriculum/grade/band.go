package grade

import (
	"math"

	"halfnut/curriculum"
)

// greatest is the largest number that is judged, in any unit: beyond it lies
// no size, speed or count of a workshop.
const greatest = 1e12

// band is a part's accept band around its right value, kept as distances so
// that it can be laid around another value.
type band struct {
	below, above float64
}

// bandOf returns the distances of the part's accept band from its answer. A
// part without one is exact, or asked to its decimals.
func bandOf(p *curriculum.Part, answer float64) band {
	if p.Accept != nil {
		return band{answer - p.Accept.Low, p.Accept.High - answer}
	}
	if p.Decimals <= 0 || p.Kind == curriculum.KindCount {
		return band{}
	}
	half := 0.5 * math.Pow10(-p.Decimals)
	return band{half, half}
}

// around reports whether x lies in the band, widened by the factor and laid
// around v. The ends count, give or take the noise of binary fractions: of
// 0.03125 to four decimals 0.0312 and 0.0313 are both as near.
func (b band) around(v, x, widened float64) bool {
	noise := 1e-12 + 1e-9*(b.below+b.above) + 1e-13*math.Abs(v)
	return x >= v-b.below*widened-noise && x <= v+b.above*widened+noise
}
