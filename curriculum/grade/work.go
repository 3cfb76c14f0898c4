package grade

import (
	"halfnut/curriculum"
	"halfnut/curriculum/formula"
)

// working holds the numbers that names stand for, each in its printed unit: the
// givens, then step by step and part by part what follows from them.
type working map[string]formula.Value

func (w working) clone() working {
	c := make(working, len(w)+8)
	for name, v := range w {
		c[name] = v
	}
	return c
}

// step evaluates one step and keeps its value.
func (w working) step(s *curriculum.Step) (formula.Value, bool) {
	v, ok := w.eval(s.Rule)
	if ok && s.Name != "" {
		w[s.Name] = v
	}
	return v, ok
}

func (w working) eval(rule string) (formula.Value, bool) {
	if rule == "" {
		return formula.Value{}, false
	}
	f, err := formula.Parse(rule)
	if err != nil {
		return formula.Value{}, false
	}
	v, err := f.Eval(w)
	return v, err == nil
}

// settle sets the value that later parts take for this one, under the part's
// name and that of its last step.
func (w working) settle(p *curriculum.Part, v formula.Value) {
	w[p.ID] = v
	for i := len(p.Steps) - 1; i >= 0; i-- {
		if p.Steps[i].Rule != "" {
			w[p.Steps[i].Name] = v
			return
		}
	}
}

// last returns the value of the part's last step in a working that has been
// through its steps.
func (w working) last(p *curriculum.Part) (formula.Value, bool) {
	if len(p.Steps) == 0 {
		return formula.Value{}, false
	}
	s := p.Steps[len(p.Steps)-1]
	v, ok := w[s.Name]
	return v, ok && s.Rule != ""
}

// answerOf returns the right number of a part in its printed unit; ok is false
// for lists, choices and orders, and without a key.
func answerOf(p *curriculum.Part) (v formula.Value, ok bool) {
	if p.Answer == nil || isSelection(p) {
		return formula.Value{}, false
	}
	return p.Number(*p.Answer)
}

func isSelection(p *curriculum.Part) bool {
	return p.Kind == curriculum.KindList || p.Kind == curriculum.KindChoice || p.Kind == curriculum.KindOrder
}
