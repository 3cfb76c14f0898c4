package grade

import (
	"fmt"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// Line is one line of a worked solution: "lead: L = n × P = 3 × 2 = 6 mm".
type Line struct {
	Say string `json:"say"`
	// Formula, Numbers and Value are empty where a line only explains.
	Formula string `json:"formula,omitempty"`
	Numbers string `json:"numbers,omitempty"`
	Value   string `json:"value,omitempty"`
	Method  bool   `json:"method,omitempty"`
}

// String writes the line as a sentence and its sum.
func (l Line) String() string {
	sum := l.Formula
	for _, s := range []string{l.Numbers, l.Value} {
		if s != "" {
			sum += " = " + s
		}
	}
	switch {
	case sum == "":
		return l.Say
	case l.Say == "":
		return sum
	}
	return strings.TrimRight(l.Say, ".:") + ": " + sum
}

// Solution returns the worked solution of a part, line by line from the steps
// that it is marked by. Values stand as exact decimals where they are short, the
// last one with the decimals asked, the others with one more. A part without
// steps gives its answer as the one line. It returns an error that wraps
// curriculum.ErrNotFound where the exercise has no such part, and
// curriculum.ErrInvalid where the exercise has no key.
func Solution(ex curriculum.Exercise, part string) ([]Line, error) {
	p, w, err := upTo(&ex, part)
	if err != nil {
		return nil, err
	}
	var lines []Line
	for i := range p.Steps {
		s := &p.Steps[i]
		l := Line{Say: s.Say, Method: s.Method}
		f, err := formula.Parse(s.Rule)
		if s.Rule == "" || err != nil {
			lines = append(lines, l)
			continue
		}
		l.Formula = s.Name + " = " + f.Text()
		if n := f.Substitute(w); n != f.Text() {
			l.Numbers = n
		}
		if v, ok := w.step(s); ok {
			decimals := p.Decimals + 1
			switch {
			case i == len(p.Steps)-1:
				decimals = p.Decimals
			case s.Unit != p.Unit: // as many as a length is worked with
				decimals = max(decimals, 4)
			}
			if i == len(p.Steps)-1 {
				v = written(p, v)
			}
			l.Value = withUnit(v, decimals, s.Unit)
			if l.Value == l.Numbers {
				l.Numbers = ""
			}
		}
		lines = append(lines, l)
	}
	if n := len(lines); n == 0 || lines[n-1].Value == "" {
		lines = append(lines, Line{Say: "Answer: " + answerText(p)})
	}
	return lines, nil
}

// Hints is the number of rungs of the hint ladder in front of the solution.
const Hints = 3

// Hint returns one rung of a part's hint ladder, from the steps it is marked
// by: 1 the sentence of each step, 2 with its formula, 3 with the givens put in.
// Values, and with them the answers of earlier parts, stand only in the
// solution; so do the reasons for and against each thing to choose. Errors are those of Solution; a rung beyond the ladder wraps
// curriculum.ErrInvalid.
func Hint(ex curriculum.Exercise, part string, rung int) ([]Line, error) {
	p, _, err := upTo(&ex, part)
	if err != nil {
		return nil, err
	}
	if rung < 1 || rung > Hints {
		return nil, &curriculum.FieldError{Path: "/rung", Value: strconv.Itoa(rung), Allowed: "1 to " + strconv.Itoa(Hints)}
	}
	given := ex.Givens.Numbers()
	lines := make([]Line, 0, len(p.Steps))
	for _, s := range p.Steps {
		l := Line{Say: s.Say}
		if f, err := formula.Parse(s.Rule); s.Rule != "" && err == nil && rung >= 2 {
			l.Formula = s.Name + " = " + f.Text()
			// A formula without givens would only be repeated.
			if n := f.Substitute(given); rung >= 3 && n != f.Text() {
				l.Numbers = n
			}
		}
		if l != (Line{}) {
			lines = append(lines, l)
		}
		if isSelection(p) && s.Rule == "" {
			break
		}
	}
	return lines, nil
}

// upTo returns a part and the right working in front of it.
func upTo(ex *curriculum.Exercise, part string) (*curriculum.Part, working, error) {
	w := working(ex.Givens.Numbers())
	for i := range ex.Parts {
		p := &ex.Parts[i]
		if p.ID != part {
			_, _ = p.Run(w)
			if v, ok := answerOf(p); ok {
				w.settle(p, v)
			}
			continue
		}
		if p.Answer == nil {
			return nil, nil, fmt.Errorf("exercise %s is without its key: %w", ex.ID, curriculum.ErrInvalid)
		}
		return p, w, nil
	}
	return nil, nil, fmt.Errorf("part %s of exercise %s: %w", quote(part), ex.ID, curriculum.ErrNotFound)
}

// written is what a learner writes down for the value: a ceiling rounded down.
func written(p *curriculum.Part, v formula.Value) formula.Value {
	if !p.RoundDown {
		return v
	}
	return formula.Approx(p.Written(v.Float64()))
}

// answerText writes a part's answer as it would be asked: lengths and numbers
// with their decimals and unit, choices by their text.
func answerText(p *curriculum.Part) string {
	if v, ok := answerOf(p); ok {
		if p.Answer.Text != "" {
			return joined(p.Answer.Text, p.Unit)
		}
		return withUnit(written(p, v), p.Decimals, p.Unit)
	}
	texts := func(ids []string) string {
		words := make([]string, len(ids))
		for i, id := range ids {
			words[i] = id
			for _, c := range p.Choices {
				if c.ID == id && c.Text != "" {
					words[i] = c.Text
				}
			}
		}
		return strings.Join(words, "; ")
	}
	switch p.Kind {
	case curriculum.KindChoice:
		return texts([]string{p.Answer.Text})
	case curriculum.KindOrder: // its steps have gone through the words
		return p.Answer.String()
	case curriculum.KindList:
		if len(p.Answer.List) == 0 {
			return "none"
		}
	}
	return p.Answer.String()
}

// withUnit writes v with its unit: as a decimal of up to the given decimals
// where one is exact, a bare number else as a short fraction (10/3), everything
// else rounded, halves away from zero.
func withUnit(v formula.Value, decimals int, unit string) string {
	decimals = max(0, min(decimals, 12))
	r, exact := v.Ratio()
	if !exact {
		// Fifteen digits are what a float64 holds for certain.
		r, _ = threadmath.ParseRatio(strconv.FormatFloat(v.Float64(), 'g', 15, 64))
	}
	text, short := r.Decimal(decimals)
	switch {
	case exact && short:
		if strings.Contains(text, ".") {
			text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
		}
	case exact && unit == "" && len(r.String()) <= 7:
		text = r.String()
	}
	return joined(strings.Replace(text, "-", "−", 1), unit)
}

// joined writes a unit behind a number; the degree follows without a space.
func joined(number, unit string) string {
	if unit == "" || unit == curriculum.UnitDegrees {
		return number + unit
	}
	return number + " " + unit
}

// Mistaken writes out what a wrong rule of a part gives for the exercise's
// numbers, beside the feedback that it gets. Errors are those of Solution; a rule
// that the part does not have wraps curriculum.ErrNotFound.
func Mistaken(ex curriculum.Exercise, part, rule string) ([]string, error) {
	p, w, err := upTo(&ex, part)
	if err != nil {
		return nil, err
	}
	_, _ = p.Run(w) // a wrong rule may name the steps
	for i := range p.Wrong {
		wrong := &p.Wrong[i]
		if wrong.ID != rule {
			continue
		}
		var line string
		switch f, err := formula.Parse(wrong.Rule); {
		case wrong.Rule != "" && err == nil:
			line = f.Text()
			if n := f.Substitute(w); n != line {
				line += " = " + n
			}
			if v, ok := w.eval(wrong.Rule); ok {
				line += " = " + withUnit(written(p, v), p.Decimals, p.Unit)
			}
		case wrong.Answer != nil:
			q := *p
			q.Answer = wrong.Answer
			line = answerText(&q)
		}
		if line == "" {
			return []string{wrong.Feedback}, nil
		}
		return []string{line, wrong.Feedback}, nil
	}
	return nil, fmt.Errorf("wrong rule %s of part %s: %w", quote(rule), quote(part), curriculum.ErrNotFound)
}
