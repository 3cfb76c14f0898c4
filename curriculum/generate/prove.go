package generate

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// leastMargin is how many accept bands a wrong rule must stay away from the
// answer and from every other wrong rule.
const leastMargin = 3

// wholeBand is half the band of a count: a count is whole or it is wrong.
const wholeBand = 0.001

// agreement is the relative difference allowed between an approximate answer of
// the solver and the steps of the worked solution.
const agreement = 1e-9

var wrongRules = sync.OnceValue(func() map[string]curriculum.WrongRule {
	out := map[string]curriculum.WrongRule{}
	for _, s := range curriculum.Skills() {
		for _, w := range s.Wrong {
			out[s.Slug+"/"+w.ID] = w
		}
	}
	return out
})

// prove sets answers, accept bands and margin, and rejects what cannot tell
// right from wrong.
func (it *item) prove() error {
	e := &it.ex
	var solution *threadmath.Answer
	if e.Givens.Solve != nil {
		a, err := threadmath.Solve(*e.Givens.Solve)
		if err != nil {
			return reject("not solvable: %v", err)
		}
		solution = &a
		// What holds at every lathe stands on the sheet anyway, and an exercise that
		// plans no cut needs no run-out figure.
		e.Cautions = slices.DeleteFunc(a.Cautions, func(c threadmath.Caution) bool {
			return c.Always || c.ID == threadmath.CautionNoRunOut && e.Givens.Solve.Cut == nil
		})
	}
	vars := e.Givens.Numbers()
	margin := math.Inf(1)
	for i := range e.Parts {
		p := &e.Parts[i]
		if p.At != "" {
			v, err := at(solution, p.At, p.Kind)
			if err != nil {
				return err
			}
			if p.Answer != nil && p.Answer.String() != v.String() {
				return fmt.Errorf("part %s: model says %s, solver %s", p.ID, p.Answer, v)
			}
			p.Answer = v
		}
		var err error
		switch p.Kind {
		case curriculum.KindList, curriculum.KindChoice, curriculum.KindOrder:
			err = proveAlternatives(p)
		default:
			var m float64
			m, err = it.proveNumber(i, vars)
			margin = math.Min(margin, m)
		}
		if err != nil {
			return err
		}
	}
	if !math.IsInf(margin, 1) {
		e.Margin = rounded(margin, 4)
	}
	return nil
}

// proveAlternatives rejects wrong answers that are right, or the same.
func proveAlternatives(p *curriculum.Part) error {
	if p.Answer == nil {
		return fmt.Errorf("part %s has no answer", p.ID)
	}
	seen := []string{p.Answer.String()}
	for _, w := range p.Wrong {
		s := w.Answer.String()
		if slices.Contains(seen, s) || p.Kind == curriculum.KindOrder && curriculum.InOrder(p.Answer.Order, w.Answer.Order) {
			return reject("%s gives %s, which does not stand apart", w.ID, s)
		}
		seen = append(seen, s)
	}
	return nil
}

// proveNumber settles answer and band of part i and returns its margin.
func (it *item) proveNumber(i int, vars map[string]formula.Value) (float64, error) {
	p := &it.ex.Parts[i]
	before := make(map[string]formula.Value, len(vars))
	for k, v := range vars {
		before[k] = v
	}
	values, err := p.Run(vars)
	switch {
	case errors.Is(err, formula.ErrNoValue):
		return 0, err
	case err != nil:
		return 0, reject("%v", err)
	case len(values) == 0:
		return 0, fmt.Errorf("part %s has no steps", p.ID)
	}
	v := values[len(values)-1]
	if p.Answer != nil {
		if err := agrees(p, v); err != nil {
			return 0, err
		}
	} else if p.Answer, err = answerOf(p, v); err != nil {
		return 0, err
	}
	half := it.halfBand(i, before, values)
	number := v.Float64()
	p.Accept = &curriculum.Band{Low: tidy(number - half), High: tidy(number + half)}
	width := 2 * half
	if p.RoundDown {
		// Rounded down it lies up to a digit lower, and above it only by what comes of
		// rounding on the way and of a further digit that is written down.
		digit := math.Pow10(-p.Decimals)
		p.Accept.Low, p.Accept.High = tidy(number-half-digit/2), tidy(number+half-digit/2+digit/20)
		width += digit / 20
	}
	margin := math.Inf(1)
	seen := []float64{number}
	names := []string{"the answer"}
	for _, w := range p.Wrong {
		f, err := formula.Parse(w.Rule)
		if err != nil {
			return 0, err
		}
		wrong, err := f.Eval(vars)
		switch {
		case errors.Is(err, formula.ErrNoValue):
			return 0, fmt.Errorf("wrong rule %s of part %s: %w", w.ID, p.ID, err)
		case err != nil:
			return 0, reject("wrong rule %s: %v", w.ID, err)
		}
		for j, s := range seen {
			distance := math.Abs(wrong.Float64()-s) / width
			if distance < leastMargin {
				return 0, reject("%s lands %.3g accept bands from %s", w.ID, distance, names[j])
			}
			if j == 0 {
				margin = math.Min(margin, distance)
			}
		}
		seen = append(seen, wrong.Float64())
		names = append(names, w.ID)
	}
	p.Ask = asking(p)
	return margin, nil
}

// agrees checks the steps' value against the solver's.
func agrees(p *curriculum.Part, v formula.Value) error {
	want, ok := p.Number(*p.Answer)
	if !ok {
		return fmt.Errorf("part %s: %s is no number", p.ID, p.Answer)
	}
	a, exactA := want.Ratio()
	b, exactB := v.Ratio()
	if exactA && exactB {
		if !a.Equal(b) {
			return fmt.Errorf("part %s: solver says %s, steps say %s", p.ID, a, b)
		}
		return nil
	}
	if d := math.Abs(want.Float64() - v.Float64()); d > agreement*math.Max(1, math.Abs(v.Float64())) {
		return fmt.Errorf("part %s: solver says %v, steps say %v", p.ID, want.Float64(), v.Float64())
	}
	return nil
}

// answerOf writes the steps' value as an answer of the part's kind.
func answerOf(p *curriculum.Part, v formula.Value) (*curriculum.Value, error) {
	r, exact := v.Ratio()
	switch p.Kind {
	case curriculum.KindLength:
		system := threadmath.Metric
		if p.Unit == curriculum.UnitInch {
			system = threadmath.Inch
		}
		if exact {
			return curriculum.LengthValue(threadmath.ExactDimension(threadmath.LengthIn(r, system), system)), nil
		}
		mm := v.Float64()
		if system == threadmath.Inch {
			mm *= 25.4
		}
		return curriculum.LengthValue(threadmath.ApproxDimension(mm)), nil
	case curriculum.KindRatio:
		if !exact {
			return nil, fmt.Errorf("part %s: a ratio is exact", p.ID)
		}
		return curriculum.TextValue(r.String()), nil
	}
	return curriculum.NumberValue(tidy(v.Float64())), nil
}

// halfBand is the larger of half a graduation and the worst end of honest
// working: half the asked digit where nothing is rounded on the way, more where
// something is.
func (it *item) halfBand(i int, before map[string]formula.Value, values []formula.Value) float64 {
	p := &it.ex.Parts[i]
	if p.Kind == curriculum.KindCount {
		return wholeBand
	}
	// The result is rounded once more when it is written down, so a path that is
	// already off by the worst of its intermediate roundings ends half a digit
	// further.
	half := math.Pow10(-p.Decimals)/2 + it.worstRounding(i, before, values)
	return math.Max(half, it.graduations[p.ID]/2)
}

// worstRounding bounds how far an honest learner lands from the answer: the sum
// of the greatest shifts that rounding each intermediate result up or down gives
// by itself. Results in the part's own unit are rounded one digit finer than
// asked, others to four significant digits, earlier answers as they were asked.
func (it *item) worstRounding(i int, before map[string]formula.Value, values []formula.Value) float64 {
	p := &it.ex.Parts[i]
	answer := values[len(values)-1].Float64()
	total := 0.0
	vars := make(map[string]formula.Value, len(before)+len(p.Steps)) // one for all of them: filling it is most of a rerun
	shift := func(name string, v float64, decimals int) {
		worst := 0.0
		scale := math.Pow10(decimals)
		down, up := math.Floor(v*scale+1e-9)/scale, math.Ceil(v*scale-1e-9)/scale
		if down == up && total > 0 {
			// It comes out even only for who did not round before it.
			down, up = down-1/scale, up+1/scale
		}
		for _, r := range [2]float64{down, up} {
			if r == v {
				continue
			}
			clear(vars)
			maps.Copy(vars, before)
			if got, ok := rerun(p, vars, name, r); ok {
				worst = math.Max(worst, math.Abs(got-answer))
			}
		}
		total += worst
	}
	for _, q := range it.ex.Parts[:i] {
		if v, ok := before[q.ID]; ok && q.Accept != nil {
			shift(q.ID, v.Float64(), q.Decimals)
		}
	}
	at := 0
	for j, s := range p.Steps {
		if s.Rule == "" {
			continue
		}
		if j < len(p.Steps)-1 && at < len(values)-1 {
			v := values[at].Float64()
			decimals := p.Decimals + 1
			if s.Unit != p.Unit {
				decimals = significant(v, 4)
			}
			shift(s.Name, v, decimals)
		}
		at++
	}
	return total
}

// significant is the number of decimals that give v so many digits.
func significant(v float64, digits int) int {
	if v == 0 {
		return digits
	}
	return max(0, digits-1-int(math.Floor(math.Log10(math.Abs(v)))))
}

// rerun computes the part's answer with one name fixed to another value; vars
// are what is known before, and are filled further.
func rerun(p *curriculum.Part, vars map[string]formula.Value, name string, value float64) (float64, bool) {
	vars[name] = formula.Approx(value)
	var last formula.Value
	for _, s := range p.Steps {
		if s.Rule == "" {
			continue
		}
		if s.Name == name {
			continue
		}
		f, err := formula.Parse(s.Rule)
		if err != nil {
			return 0, false
		}
		if last, err = f.Eval(vars); err != nil {
			return 0, false
		}
		vars[s.Name] = last
	}
	return last.Float64(), true
}

// asking adds to the question how far it is to be answered.
func asking(p *curriculum.Part) string {
	if p.Kind == curriculum.KindCount || p.Kind == curriculum.KindRatio {
		return p.Ask
	}
	digit := "1"
	if p.Decimals > 0 {
		digit = "0." + strings.Repeat("0", p.Decimals-1) + "1"
	}
	to := ", to " + digit
	if p.RoundDown {
		to = ", rounded down to " + digit
	}
	if p.Unit == curriculum.UnitDegrees {
		to += p.Unit
	} else if p.Unit != "" {
		to += " " + p.Unit
	}
	if q, ok := strings.CutSuffix(p.Ask, "?"); ok {
		return q + to + "?"
	}
	return p.Ask + to
}

// tidy keeps twelve significant digits, which every platform computes alike.
func tidy(f float64) float64 { return rounded(f, 12) }

func rounded(f float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(f, 'g', digits, 64), 64)
	if err != nil {
		return f
	}
	return r
}
