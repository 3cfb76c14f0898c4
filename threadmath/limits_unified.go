package threadmath

import "math"

// unifiedClassOf holds what a class multiplies the 2A pitch diameter tolerance
// by, in thousandths, and what it does to the crest (ASME B1.1 section 5).
type unifiedClassOf struct {
	internal  bool
	factor    int64 // thousandths of the 2A tolerance
	allowance bool
	major     float64 // in·in^(−2/3): tolerance of an external major diameter over P^(2/3)
	three     bool    // 3A and 3B have their own minor diameter rules
}

var unifiedClasses = map[string]unifiedClassOf{
	"1A": {factor: 1500, allowance: true, major: 0.090},
	"2A": {factor: 1000, allowance: true, major: 0.060},
	"3A": {factor: 750, major: 0.060, three: true},
	"1B": {internal: true, factor: 1950},
	"2B": {internal: true, factor: 1300},
	"3B": {internal: true, factor: 975, three: true},
}

func unifiedClass(text string, internal bool) (limiter, bool) {
	c, ok := unifiedClasses[text]
	if !ok || c.internal != internal {
		return nil, false
	}
	return func(j *job) Limits { return j.unifiedLimits(c) }, true
}

// The sizes that the formulas of ASME B1.1 are made for, inches and per inch.
const (
	unifiedSmallest, unifiedLargest = 0.06, 6.0
	unifiedFinest, unifiedCoarsest  = 80, 4
)

// unifiedLimits returns the limits of a Unified thread in inches:
//
//	T = 0.0015·D^(1/3) + 0.0015·LE^(1/2) + 0.015·P^(2/3)     pitch diameter, 2A
//	allowance = 0.3·T                                         1A and 2A
//	major diameter: 0.060·P^(2/3), 1A 0.090·P^(2/3)
//
// LE is the length of engagement: D for the coarse and fine series and 4, 6 and
// 8 per inch, 9·P otherwise; for some sizes D in T is that of the block of the
// table that they stand in ([unifiedBlocks]). Rounding as the tables do it:
// T to 6 decimals, times the class's factor to 4; allowance to 6, then to 4,
// half to even; the basic pitch diameter to 4, then added. What no rule makes is
// held as printed ([unifiedRoots]). "halfnut checks" lists the published limits
// that this reproduces.
func (j *job) unifiedLimits(c unifiedClassOf) Limits {
	d, p := j.diameter.In(Inch).Float64(), j.pitch.In(Inch).Float64()
	if d < unifiedSmallest || d > unifiedLargest || p < 1.0/unifiedFinest || p > 1.0/unifiedCoarsest {
		return Limits{
			Source: "ASME B1.1",
			Why:    "ASME B1.1 covers 0.06 to 6 in diameter and 80 to 4 threads per inch; this thread lies outside, so there are no figures",
		}
	}
	two, engagement := j.unifiedTolerance(d, p)
	width := divideRound(two*c.factor, 100_000)
	out := Limits{Source: "ASME B1.1 section 5 formulas for a length of engagement of " + engagement + ", rounded as its tables"}
	basicPitch := roundTenths(d - 0.75*sharp60*p)
	basic := roundTenths(d)
	if c.internal {
		out.MajorDiameter = &LimitOfSize{Min: j.dimp(*j.diameter)}
		out.PitchDiameter = j.from(tenths(basicPitch), tenths(width))
		out.MinorDiameter = j.unifiedMinor(c, d, p)
		return out
	}
	allowance := int64(0)
	if c.allowance {
		allowance = divideEven(divideRound(3*two, 10), 100)
	}
	out.MajorDiameter = j.from(tenths(basic-allowance), tenths(roundTenths(c.major*math.Cbrt(p*p))))
	out.PitchDiameter = j.from(tenths(basicPitch-allowance), tenths(width))
	root, source := j.unifiedRoot(c, basic-allowance, p)
	out.MinorDiameter = &LimitOfSize{Max: j.dimp(tenths(root))}
	out.Source += source
	return out
}

// unifiedTolerance returns the 2A pitch diameter tolerance in millionths of an
// inch, so that what follows is exact, and words for its length of engagement.
func (j *job) unifiedTolerance(d, p float64) (millionths int64, engagement string) {
	engaged, engagement := d, "the diameter"
	if !inSeries("UNC", *j.diameter, j.pitch) && !inSeries("UNF", *j.diameter, j.pitch) {
		if !unifiedLongSeries(j.pitch) {
			engaged, engagement = 9*p, "9 pitches"
			if block, ok := unifiedBlocks[j.unifiedSize()]; ok {
				d = block
				engagement += " and the diameter of its block in the printed table, " + formatFloat(block) + " in"
			}
		}
		if !unifiedRead[j.unifiedSize().perInch] {
			engagement += " (for this series from memory, confirm)"
		}
	}
	return int64(math.Round(1e6 * (0.0015*math.Cbrt(d) + 0.0015*math.Sqrt(engaged) + 0.015*math.Cbrt(p*p)))), engagement
}

// unifiedRoot returns the greatest minor diameter of an external thread with a
// rounded root in ten-thousandths of an inch, 11/16 H below the greatest major
// diameter or as printed, and what the source must say about it. It is a
// reference value: no gauge is made to it.
func (j *job) unifiedRoot(c unifiedClassOf, major int64, p float64) (tenths int64, source string) {
	if printed, ok := unifiedRoots[j.unifiedSize()]; ok {
		if c.allowance {
			return printed.allowed, "; minor diameter for the rounded root (UNR) as printed in " + printed.source
		}
		if printed.basic != 0 {
			return printed.basic, "; minor diameter for the rounded root (UNR) as printed in " + printed.source
		}
	}
	return roundTenths(float64(major)/10_000 - 2*11.0/16*sharp60*p), "; minor diameter for the rounded root (UNR), a reference value"
}

// unifiedMinor returns the minor diameter of an internal thread: from
// D − 1.082532·P with the tolerance of the class, each rounded to four decimals
// of an inch and added, then from No. 6 (0.138 in) up to three, half to even
// (ASME B1.30); 3B rounds its least size only, and prints a zero after it.
func (j *job) unifiedMinor(c unifiedClassOf, d, p float64) *LimitOfSize {
	tolerance := 0.25*p - 0.4*p*p
	small := math.Min(0.05*math.Cbrt(p*p)+0.03*p/d-0.002, 0.394*p)
	switch {
	case c.three && p < 1/12.5:
		tolerance = math.Max(small, 0.23*p-1.5*p*p)
	case c.three:
		tolerance = math.Max(small, 0.120*p)
	case d < 0.25:
		tolerance = math.Max(small, tolerance)
	case p > 0.25:
		tolerance = 0.15 * p
	}
	least, width := roundTenths(d-1.25*sharp60*p), roundTenths(tolerance)
	thousandths := func(tenThousandths int64) Length { return tenths(10 * divideEven(tenThousandths, 10)) }
	switch {
	case d < 0.138:
		return j.maxMin(tenths(least+width), tenths(least))
	case c.three:
		return j.maxMin(tenths(least+width), thousandths(least))
	}
	return j.maxMin(thousandths(least+width), thousandths(least))
}

// unifiedLongSeries reports whether the pitch is that of the 4, 6 and 8 per
// inch series, which are also engaged over a diameter.
func unifiedLongSeries(p Length) bool {
	perInch := Inches(Int(1)).Quo(p)
	return perInch.Equal(Int(4)) || perInch.Equal(Int(6)) || perInch.Equal(Int(8))
}

// divideRound returns n/d for n ≥ 0, halves up.
func divideRound(n, d int64) int64 { return (n + d/2) / d }

// divideEven returns n/d for n ≥ 0, halves to the even neighbour.
func divideEven(n, d int64) int64 {
	q, r := n/d, n%d
	if 2*r > d || 2*r == d && q%2 == 1 {
		q++
	}
	return q
}
