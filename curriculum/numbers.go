package curriculum

import (
	"fmt"
	"math"

	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// The units that are printed at a blank. A length is in mm or in.
const (
	UnitMM        = "mm"
	UnitInch      = "in"
	UnitDegrees   = "°"
	UnitRevPerMin = "rev/min"
	UnitMMPerSec  = "mm/s"
	UnitInPerSec  = "in/s"
	UnitMinutes   = "min"
	UnitPerInch   = "per inch" // threads or turns
	UnitTeeth     = "teeth"
	UnitDivisions = "divisions"
	UnitPieces    = "" // counts, ratios, choices
)

// Numbers returns the number of each value in its printed unit, by name: what
// the formulas of the exercise compute with. Values that are no numbers
// (designations, lists) are left out.
func (g Givens) Numbers() map[string]formula.Value {
	out := make(map[string]formula.Value, len(g.Values)+8)
	for name, text := range g.Values {
		if v, _, ok := formula.ReadNumber(text); ok {
			out[name] = v
		}
	}
	return out
}

// Written is the number that an answer to the part is written with, before it is
// cut to the part's decimals: itself, but a ceiling rounded down to them.
func (p Part) Written(x float64) float64 {
	if !p.RoundDown {
		return x
	}
	scale := math.Pow10(p.Decimals)
	return math.Floor(x*scale+1e-9) / scale // what is whole but for its last binary digit stays
}

// Run evaluates the part's steps in order and returns their values, the last of
// which is the part's answer in its printed unit. vars holds the givens and the
// values of earlier parts by their ids; the steps' values are added to it under
// their names, and the answer under the part's id. Steps without a rule give
// nothing. It fails with formula's errors.
func (p Part) Run(vars map[string]formula.Value) ([]formula.Value, error) {
	values := make([]formula.Value, 0, len(p.Steps))
	for _, s := range p.Steps {
		if s.Rule == "" {
			continue
		}
		f, err := formula.Parse(s.Rule)
		if err != nil {
			return nil, err
		}
		v, err := f.Eval(vars)
		if err != nil {
			return nil, fmt.Errorf("step %s of part %s: %w", s.Name, p.ID, err)
		}
		vars[s.Name] = v
		values = append(values, v)
	}
	if len(values) > 0 {
		vars[p.ID] = values[len(values)-1]
	}
	return values, nil
}

// Number returns the value as the number in the part's printed unit, and
// whether it is one: lists, orders and choices are not.
func (p Part) Number(v Value) (formula.Value, bool) {
	switch {
	case v.Length != nil:
		system := threadmath.Metric
		if p.Unit == UnitInch {
			system = threadmath.Inch
		}
		if l, ok := v.Length.Exact(); ok {
			return formula.Exact(l.In(system)), true
		}
		return formula.Approx(v.Length.Value(system)), true
	case v.Number != nil:
		return formula.Approx(*v.Number), true
	case p.Kind == KindRatio:
		r, err := threadmath.ParseRatio(v.Text)
		return formula.Exact(r), err == nil
	}
	return formula.Value{}, false
}
