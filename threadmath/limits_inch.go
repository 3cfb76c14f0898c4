package threadmath

import "math"

// acmeClassOf holds the coefficients of a general purpose class of ASME B1.5,
// inches under the root of inches: the pitch diameter's allowance k·√D and its
// tolerance a·√D + b·√P.
type acmeClassOf struct{ allowance, diameter, pitch float64 }

// 2G reproduces the published rows; 3G's and 4G's allowances were seen in a
// handbook's table, their tolerances are from memory.
var acmeClasses = map[string]acmeClassOf{
	"2G": {0.008, 0.006, 0.030},
	"3G": {0.006, 0.0028, 0.014},
	"4G": {0.004, 0.0020, 0.010},
}

func acmeClass(text string, _ bool) (limiter, bool) {
	c, ok := acmeClasses[text]
	return func(j *job) Limits { return j.acmeLimits(text, c) }, ok
}

// acmeLimits returns the limits of a general purpose Acme thread in inches to
// four decimals (ASME B1.5): external major and internal minor diameters with
// 0.05·P but not less than 0.005 in; root diameters 1.5 times the pitch
// diameter's tolerance outside, the root clearance inside.
func (j *job) acmeLimits(class string, c acmeClassOf) Limits {
	d, p := j.diameter.In(Inch).Float64(), j.pitch.In(Inch).Float64()
	if d < 0.25 || d > 5 || p < 1.0/16 || p > 0.5 {
		return Limits{
			Source: "ASME B1.5",
			Why:    "ASME B1.5 covers 1/4 to 5 in diameter and 16 to 2 threads per inch; this thread lies outside, so there are no figures",
		}
	}
	out := Limits{Source: "ASME B1.5 formulas, four decimals"}
	if class != "2G" {
		out.Source += " (tolerance of " + class + " from memory, confirm)"
	}
	if !acmeStandardPair(*j.diameter, j.pitch) {
		out.Source += "; this diameter and pitch are no standard pair: some makers' tables take the allowance of the diameter that is standard for the pitch"
	}
	width := c.diameter*math.Sqrt(d) + c.pitch*math.Sqrt(p)
	crest := tenths(roundTenths(math.Max(0.05*p, 0.005)))
	basic := func(a amount) Length { return tenths(roundTenths(a.mm / 25.4)) }
	if j.internal {
		clearance := j.majorDiameter.exact.Sub(*j.diameter)
		out.MajorDiameter = j.from(basic(j.majorDiameter), clearance)
		out.PitchDiameter = j.from(basic(j.pitchDiameter), tenths(roundTenths(width)))
		out.MinorDiameter = j.from(basic(j.minorDiameter), crest)
		return out
	}
	allowance := tenths(roundTenths(c.allowance * math.Sqrt(d)))
	out.MajorDiameter = j.from(basic(exactAmount(*j.diameter)), crest)
	out.PitchDiameter = j.from(basic(j.pitchDiameter).Sub(allowance), tenths(roundTenths(width)))
	out.MinorDiameter = j.from(basic(j.minorDiameter), tenths(roundTenths(1.5*width)))
	return out
}

// acmePairs lists the standard pairs of ASME B1.5: diameter in sixteenths of an
// inch, threads per inch.
var acmePairs = [][2]int{
	{4, 16}, {5, 14}, {6, 12}, {7, 12}, {8, 10}, {10, 8}, {12, 6}, {14, 6}, {16, 5}, {18, 5}, {20, 5}, {22, 4},
	{24, 4}, {28, 4}, {32, 4}, {36, 3}, {40, 3}, {44, 3}, {48, 2}, {56, 2}, {64, 2}, {72, 2}, {80, 2},
}

func acmeStandardPair(d, p Length) bool {
	for _, pair := range acmePairs {
		if d.Equal(Inches(frac(int64(pair[0]), 16))) {
			return p.Equal(Inches(frac(1, int64(pair[1]))))
		}
	}
	return false
}

// whitworthClassOf is a class of BS 84: the share of T that its effective
// diameter gets, and the root term of a bolt.
type whitworthClassOf struct {
	share     float64
	root      float64 // bolt: root tolerance beyond share·T, times √p
	allowance bool
}

var (
	whitworthBolts = map[string]whitworthClassOf{
		"close":  {share: 2.0 / 3, root: 0.013},
		"medium": {share: 1, root: 0.020, allowance: true},
		"free":   {share: 1.5, root: 0.020, allowance: true},
	}
	whitworthNuts = map[string]whitworthClassOf{"medium": {share: 1}, "normal": {share: 1.5}}
)

func whitworthClass(text string, internal bool) (limiter, bool) {
	classes := whitworthBolts
	if internal {
		classes = whitworthNuts
	}
	c, ok := classes[text]
	return func(j *job) Limits { return j.whitworthLimits(c) }, ok
}

// whitworthLimits returns the limits of a Whitworth thread in inches to four
// decimals (BS 84, length of engagement the diameter):
//
//	T = 0.002·D^(1/3) + 0.003·L^(1/2) + 0.005·p^(1/2)     effective diameter, medium
//	bolt: major share·T + 0.01·√p, minor share·T + 0.013·√p (close) or 0.02·√p
//	nut: minor 0.2·p + 0.004, 0.005 or 0.007 in by pitch
//
// Medium and free bolts up to 3/4 in have an allowance of 0.3·T. The shares and
// the allowance were seen in a tap maker's page and the major diameter's term
// in a discussion of BS 84:2007; the rest is from memory of the standard.
func (j *job) whitworthLimits(c whitworthClassOf) Limits {
	d, p := j.diameter.In(Inch).Float64(), j.pitch.In(Inch).Float64()
	if d < 0.125 || d > 6 || p < 1.0/40 || p > 0.5 {
		return Limits{
			Source: "BS 84",
			Why:    "BS 84 is held for 1/8 to 6 in diameter and 40 to 2 threads per inch; this thread lies outside, so there are no figures",
		}
	}
	out := Limits{Source: "BS 84 formulas, length of engagement the diameter, four decimals (formulas partly from memory, confirm)"}
	medium := 0.002*math.Cbrt(d) + 0.003*math.Sqrt(d) + 0.005*math.Sqrt(p)
	width := c.share * medium
	basic := func(a amount) Length { return tenths(roundTenths(a.mm / 25.4)) }
	if j.internal {
		root := 0.007
		switch {
		case p < 1/25.5:
			root = 0.004
		case p < 1/21.5:
			root = 0.005
		}
		out.MajorDiameter = &LimitOfSize{Min: j.dimp(*j.diameter)}
		out.PitchDiameter = j.from(basic(j.pitchDiameter), tenths(roundTenths(width)))
		out.MinorDiameter = j.from(basic(j.minorDiameter), tenths(roundTenths(0.2*p+root)))
		return out
	}
	allowance := Length{}
	if c.allowance && d <= 0.75 {
		allowance = tenths(roundTenths(0.3 * medium))
	}
	out.MajorDiameter = j.from(basic(exactAmount(*j.diameter)).Sub(allowance), tenths(roundTenths(width+0.01*math.Sqrt(p))))
	out.PitchDiameter = j.from(basic(j.pitchDiameter).Sub(allowance), tenths(roundTenths(width)))
	out.MinorDiameter = j.from(basic(j.minorDiameter).Sub(allowance), tenths(roundTenths(width+c.root*math.Sqrt(p))))
	return out
}
