package threadmath

import (
	"math"
	"strconv"
)

// Limits are the limits of size of a tolerance class, exact lengths as the
// standard's tables round them (0.001 mm, 0.0001 in):
//
//	iso-metric   ISO 965-1 tables: pitch 0.2 to 8 mm, diameter over 0.99 to 355 mm; 6az of ISO 965-4
//	trapezoidal  ISO 2903 tables: pitch 1.5 to 44 mm, diameter over 5.6 to 355 mm
//	unified      ASME B1.1 formulas: 0.06 to 6 in, 80 to 4 per inch
//	acme         ASME B1.5 formulas, general purpose: 1/4 to 5 in, 16 to 2 per inch
//	whitworth    BS 84 formulas: 1/8 to 6 in, 40 to 2 per inch
//
// Outside a standard's range, and without a diameter, there are no figures and
// Why says so. Source says what is held from memory only.
type Limits struct {
	Class         string       `json:"class"`
	MajorDiameter *LimitOfSize `json:"major_diameter,omitempty"`
	PitchDiameter *LimitOfSize `json:"pitch_diameter,omitempty"`
	MinorDiameter *LimitOfSize `json:"minor_diameter,omitempty"`
	Source        string       `json:"source"`
	// MultiStart says what more than one start does to the class.
	MultiStart string `json:"multi_start,omitempty"`
	Why        string `json:"why,omitempty"`
}

// LimitOfSize holds the largest and smallest size; either is absent where the
// standard gives none.
type LimitOfSize struct {
	Max *Dimension `json:"max,omitempty"`
	Min *Dimension `json:"min,omitempty"`
}

// toleranceSystem is the standard that gives a form its classes.
type toleranceSystem struct {
	// external and internal list the classes for people.
	external, internal string
	// class reads a class; ok is false where the standard has no such class for
	// the side.
	class func(text string, internal bool) (limiter, bool)
}

// limiter computes the limits of size of one class for a job whose form and
// diameter are known. Where the standard's tables do not reach it returns no
// figures but says why.
type limiter func(j *job) Limits

// toleranceSystems holds the forms that have classes; of the others no
// published tables were at hand.
var toleranceSystems = map[string]toleranceSystem{
	"iso-metric": {
		external: "grade 3 to 9 and position e, f, g or h (6g, 4h, 8g); two for pitch and major diameter (4g6g; major 4, 6 or 8); 6az",
		internal: "grade 4 to 8 and position G or H (6H, 5H, 6G); two for pitch and minor diameter (4H5H)",
		class:    iso965Class,
	},
	"unified":     {external: "1A, 2A, 3A", internal: "1B, 2B, 3B", class: unifiedClass},
	"trapezoidal": {external: "7e, 8e, 9e, 7c, 8c, 9c", internal: "7H, 8H, 9H", class: trapezoidalClass},
	"acme":        {external: "2G, 3G, 4G", internal: "2G, 3G, 4G", class: acmeClass},
	"whitworth":   {external: "close, medium, free", internal: "medium, normal", class: whitworthClass},
}

// settleLimits computes the limits of the class that the job asks for. A class
// that does not fit form or side gives a DomainError at /thread/class.
func (j *job) settleLimits() error {
	class := j.class
	if class == "" {
		return nil
	}
	if j.form == nil {
		j.limits = &Limits{Class: class, Source: "none", Why: "no form is given, so it is not known whose class this is"}
		return nil
	}
	refuse := func(reason, allowed string) error {
		return &DomainError{Quantity: "/thread/class", Value: j.class, Reason: reason, Range: allowed}
	}
	system, ok := toleranceSystems[j.form.Slug]
	if !ok {
		return refuse("no tolerance classes are held for the form "+j.form.Slug, "left out")
	}
	side, allowed := "an external", system.external
	if j.internal {
		side, allowed = "an internal", system.internal
	}
	limits, ok := system.class(class, j.internal)
	if !ok {
		return refuse("no class of "+side+" "+j.form.Slug+" thread", allowed)
	}
	l := Limits{Source: j.form.Standard, Why: "no diameter is given, so there are no figures"}
	if j.diameter != nil {
		l = limits(j)
	}
	if !l.leavesCore() {
		l = Limits{Source: l.Source, Why: "the tolerance of the class is more than this small thread has, so there are no figures"}
	}
	l.Class = class
	if j.starts > 1 && l.MultiStart == "" && l.PitchDiameter != nil {
		l.MultiStart = "the classes are made for single-start threads: these are the limits of the single-start thread of the same pitch"
	}
	j.limits = &l
	return nil
}

// leavesCore reports whether every size is more than nothing.
func (l Limits) leavesCore() bool {
	for _, z := range []*LimitOfSize{l.MajorDiameter, l.PitchDiameter, l.MinorDiameter} {
		if z != nil && z.Min != nil && z.Min.MM() <= 0 {
			return false
		}
	}
	return true
}

// pitchDiameterTolerance returns the width of the class's pitch diameter zone
// in mm; ok is false where no class is asked for or its tables do not reach.
func (j *job) pitchDiameterTolerance() (mm float64, ok bool) {
	if j.limits == nil || j.limits.PitchDiameter == nil {
		return 0, false
	}
	p := j.limits.PitchDiameter
	return p.Max.MM() - p.Min.MM(), true
}

// maxMin returns the limits from the larger to the smaller size.
func (j *job) maxMin(max, min Length) *LimitOfSize {
	return &LimitOfSize{Max: j.dimp(max), Min: j.dimp(min)}
}

// from returns the limits that begin at a size and go by a tolerance, outward
// for internal threads and inward for external ones.
func (j *job) from(size, tolerance Length) *LimitOfSize {
	if j.internal {
		return j.maxMin(size.Add(tolerance), size)
	}
	return j.maxMin(size, size.Sub(tolerance))
}

// um returns n µm.
func um(n int) Length { return Millimetres(frac(int64(n), 1000)) }

// tenths returns n ten-thousandths of an inch, the last place of the inch
// standards' tables.
func tenths(n int64) Length { return Inches(frac(n, 10_000)) }

// roundTenths rounds inches to ten-thousandths, halves away from zero.
func roundTenths(in float64) int64 { return int64(math.Round(in * 10_000)) }

// roundMicrometres rounds millimetres to µm, halves away from zero.
func roundMicrometres(mm float64) Length { return um(int(math.Round(mm * 1000))) }

// micrometres returns a pitch in whole µm, the key of the metric tables.
func micrometres(p Length) (int, bool) {
	n, whole := p.In(Metric).Mul(Int(1000)).Int64()
	return int(n), whole && n > 0 && n < 1_000_000
}

// gradeAndPosition reads "6g" off the front of a class.
func gradeAndPosition(text string) (grade int, position, rest string, ok bool) {
	i := 0
	for i < len(text) && text[i] >= '0' && text[i] <= '9' {
		i++
	}
	k := i
	for k < len(text) && (text[k] < '0' || text[k] > '9') {
		k++
	}
	grade, err := strconv.Atoi(text[:i])
	return grade, text[i:k], text[k:], err == nil && k > i
}
