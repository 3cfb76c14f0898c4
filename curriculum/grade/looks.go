package grade

import (
	"halfnut/curriculum"
)

// Looks returns, for every part in turn, what each of its known mistakes makes
// of the answer: the wrong rule evaluated for the givens, written as the part
// asks. Errors are those of Solution.
func Looks(ex curriculum.Exercise) ([]curriculum.WrongLook, error) {
	var out []curriculum.WrongLook
	for i := range ex.Parts {
		p, before, err := upTo(&ex, ex.Parts[i].ID)
		if err != nil {
			return nil, err
		}
		right := before.clone()
		if _, err := p.Run(right); err == nil {
			if v, ok := answerOf(p); ok {
				right.settle(p, v)
			}
		}
		for _, w := range p.Wrong {
			look := curriculum.WrongLook{Part: p.ID, ID: w.ID, Feedback: w.Feedback}
			if w.Rule != "" {
				if v, ok := right.eval(w.Rule); ok {
					look.Shows = withUnit(written(p, v), p.Decimals, p.Unit)
				}
			} else if w.Answer != nil {
				wrong := *p
				wrong.Answer = w.Answer
				look.Shows = answerText(&wrong)
			}
			out = append(out, look)
		}
	}
	return out, nil
}
