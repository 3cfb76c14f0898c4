package generate

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// Check holds an exercise with its key against what every draw promises, from
// the exercise alone: its givens can be solved, the steps lead to the answer and
// the answer lies in the middle of its band (a ceiling lies in it rounded down), no
// wrong rule comes within three bands of it or of another wrong rule, and no wrong
// choice is right. An error names the promise that is broken.
func Check(e curriculum.Exercise) error {
	if e.Givens.Solve != nil {
		if _, err := threadmath.Solve(*e.Givens.Solve); err != nil {
			return fmt.Errorf("%s: not solvable: %w", e.ID, err)
		}
	}
	if len(e.Parts) == 0 {
		return fmt.Errorf("%s: no parts", e.ID)
	}
	vars := e.Givens.Numbers()
	margin := math.Inf(1)
	for _, p := range e.Parts {
		if p.Answer == nil || len(p.Steps) == 0 || p.Marks < 1 {
			return fmt.Errorf("%s: part %s lacks its answer, steps or marks", e.ID, p.ID)
		}
		values, err := p.Run(vars)
		if err != nil {
			return fmt.Errorf("%s: part %s: %w", e.ID, p.ID, err)
		}
		if p.Accept == nil {
			err = checkAlternatives(p)
		} else {
			var m float64
			m, err = checkNumber(p, values, vars)
			margin = math.Min(margin, m)
		}
		if err != nil {
			return fmt.Errorf("%s: part %s: %w", e.ID, p.ID, err)
		}
	}
	if !math.IsInf(margin, 1) && math.Abs(e.Margin-margin) > 1e-3*margin {
		return fmt.Errorf("%s: the margin is %.4g bands, the key says %.4g", e.ID, margin, e.Margin)
	}
	return nil
}

func checkAlternatives(p curriculum.Part) error {
	seen := []string{p.Answer.String()}
	for _, w := range p.Wrong {
		if w.Answer == nil || slices.Contains(seen, w.Answer.String()) {
			return fmt.Errorf("%s does not stand apart", w.ID)
		}
		seen = append(seen, w.Answer.String())
	}
	if p.Kind == curriculum.KindChoice && !slices.ContainsFunc(p.Choices, func(c curriculum.Choice) bool { return c.ID == p.Answer.Text }) {
		return errors.New("the answer is not among the choices")
	}
	return nil
}

// checkNumber returns the distance of the nearest wrong rule in bands.
func checkNumber(p curriculum.Part, values []formula.Value, vars map[string]formula.Value) (float64, error) {
	if len(values) == 0 {
		return 0, errors.New("no step gives a number")
	}
	right := values[len(values)-1].Float64()
	band := p.Accept.High - p.Accept.Low
	answer, isNumber := p.Number(*p.Answer)
	switch {
	case band <= 0:
		return 0, errors.New("the band is empty")
	case !isNumber || math.Abs(answer.Float64()-right) > 1e-9*math.Max(1, math.Abs(right)):
		return 0, fmt.Errorf("the steps give %v, the answer is %s", right, p.Answer)
	case p.RoundDown && (p.Accept.High < right || p.Accept.Low > p.Written(right)):
		return 0, errors.New("the answer, rounded down, is not in its band")
	case !p.RoundDown && math.Abs((p.Accept.High+p.Accept.Low)/2-right) > band*1e-5:
		return 0, errors.New("the answer is not in the middle of its band")
	}
	margin := math.Inf(1)
	seen := []float64{right}
	for _, w := range p.Wrong {
		f, err := formula.Parse(w.Rule)
		if err != nil {
			return 0, err
		}
		v, err := f.Eval(vars)
		if err != nil {
			return 0, fmt.Errorf("%s: %w", w.ID, err)
		}
		for i, s := range seen {
			distance := math.Abs(v.Float64()-s) / band
			if distance < leastMargin*(1-1e-6) {
				return 0, fmt.Errorf("%s comes within %.3g bands", w.ID, distance)
			}
			if i == 0 {
				margin = math.Min(margin, distance)
			}
		}
		seen = append(seen, v.Float64())
	}
	return margin, nil
}
