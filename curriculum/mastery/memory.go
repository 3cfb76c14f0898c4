package mastery

import (
	"math"
	"time"

	"halfnut/curriculum"
)

// Grade is how a review went.
type Grade int

// The grades. A right first try is Good, a mistake that the learner put right
// without help Hard, anything else Again.
const (
	Again Grade = 1
	Hard  Grade = 2
	Good  Grade = 3
)

// weights are the published default weights w0 to w20 of FSRS-6, fitted to
// flash cards; for procedures at a machine they are a start value.
var weights = [21]float64{
	0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666, 0.796,
	1.4835, 0.0614, 0.2629, 1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658, 0.1542,
}

const (
	leastStability = 0.001 // days
	mostStability  = 36_500
)

// What the formulas need of the weights alone. curveFactor makes the retention
// 0.9 after one stability.
var (
	curveFactor   = math.Pow(0.9, -1/weights[20]) - 1
	successFactor = math.Exp(weights[8])
	lapseDivisor  = math.Exp(weights[17] * weights[18])
	easyStart     = weights[4] - math.Exp(weights[5]*3) + 1
	wantedFactor  = Interval(1, wantedRetention) // an interval is in proportion to the stability
)

// Retention returns the probability, 0 to 1, of recalling a skill the given
// number of days after its last review.
func Retention(days, stability float64) float64 {
	return math.Pow(1+curveFactor*max(days, 0)/stability, -weights[20])
}

// Interval returns after how many days the retention has fallen to r, 0 < r < 1.
func Interval(stability, r float64) float64 {
	return stability / curveFactor * (math.Pow(r, -1/weights[20]) - 1)
}

// Review returns the stability and difficulty after a review, days after the
// last one; a stability of 0 stands for the first.
func Review(m curriculum.Memory, days int, g Grade) curriculum.Memory {
	if m.Stability == 0 {
		return curriculum.Memory{Stability: weights[g-1], Difficulty: clamp(startDifficulty(g), 1, 10)}
	}
	out := curriculum.Memory{Difficulty: nextDifficulty(m.Difficulty, g)}
	s, d := m.Stability, m.Difficulty
	forgotten := 0.0
	if days > 0 {
		forgotten = 1 - Retention(float64(days), s)
	}
	switch {
	case days == 0:
		growth := math.Exp(weights[17]*(float64(g)-3+weights[18])) * math.Pow(s, -weights[19])
		if g >= Hard {
			growth = max(growth, 1)
		}
		out.Stability = s * growth
	case g == Again:
		lapsed := weights[11] * math.Pow(d, -weights[12]) * (math.Pow(s+1, weights[13]) - 1) * math.Exp(weights[14]*forgotten)
		out.Stability = min(lapsed, s/lapseDivisor)
	default:
		growth := successFactor * (11 - d) * math.Pow(s, -weights[9]) * (math.Exp(weights[10]*forgotten) - 1)
		if g == Hard {
			growth *= weights[15]
		}
		out.Stability = s * (1 + growth)
	}
	out.Stability = clamp(out.Stability, leastStability, mostStability)
	return out
}

func startDifficulty(g Grade) float64 {
	return weights[4] - math.Exp(weights[5]*float64(g-1)) + 1
}

// nextDifficulty moves with the grade, less the nearer it is to 10, and is drawn
// back a little towards the difficulty of what is easy (grade 4).
func nextDifficulty(d float64, g Grade) float64 {
	moved := d - weights[6]*float64(g-3)*(10-d)/9
	return clamp(weights[7]*easyStart+(1-weights[7])*moved, 1, 10)
}

func clamp(x, low, high float64) float64 { return min(max(x, low), high) }

// night separates two days. The service does not know the shop's time zone, so a
// day ends with twelve hours of rest and not at a midnight.
const night = 12 * time.Hour

// daysBetween counts the nights between two moments.
func daysBetween(a, b time.Time) int { return max(0, int(math.Round(b.Sub(a).Hours()/24))) }

// The bounds of the time until a skill is due again.
const (
	wantedRetention = 0.9
	longestGap      = 14 * 24 * time.Hour
	shortestGap     = 24 * time.Hour
	shareOfCalendar = 0.2
)

// Due returns when the skill should be met again: when its retention falls to
// 0.9, but no later than after a fifth of the time that is left until the gate
// (the day at the lathe) and than after fourteen days, and no earlier than after
// one day. A zero gate stands for none. A skill never met is due at once.
func Due(c curriculum.Cell, gate time.Time) time.Time {
	m := c.Memory
	if m.Stability == 0 {
		return time.Time{}
	}
	days := math.Round(m.Stability * wantedFactor)
	gap := longestGap
	if days < longestGap.Hours()/24 {
		gap = time.Duration(days) * 24 * time.Hour
	}
	if left := gate.Sub(m.At); !gate.IsZero() && left > 0 {
		gap = min(gap, time.Duration(shareOfCalendar*float64(left)))
	}
	return m.At.Add(max(gap, shortestGap))
}

// Recall returns the retention of the skill at a moment, 0 where it was never
// met.
func Recall(c curriculum.Cell, now time.Time) float64 {
	if c.Memory.Stability == 0 {
		return 0
	}
	return Retention(now.Sub(c.Memory.At).Hours()/24, c.Memory.Stability)
}

// coldAfter is how old the last evidence may be without a look at the curve.
const coldAfter = 14 * 24 * time.Hour

// Cold reports whether a skill needs a fresh check before it is relied on: its
// last evidence is older than fourteen days and its retention below 0.9.
func Cold(c curriculum.Cell, now time.Time) bool {
	return now.Sub(c.Last) > coldAfter && Recall(c, now) < wantedRetention
}
