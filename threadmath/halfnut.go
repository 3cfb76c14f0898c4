package threadmath

// nut is what the half-nut can do: the steps of one closing to the next. It has
// none where the lathe has no half-nut.
type nut struct {
	steps
	closing Length
	has     bool
}

// nut returns nil where the request does not say enough.
func (j *job) nut() *nut {
	if h := j.lathe.halfNut; h != nil && !*h {
		return &nut{}
	}
	p, ok := j.closing()
	if !ok {
		return nil
	}
	return &nut{steps: newSteps(p.Quo(j.lead), j.starts), closing: p, has: true}
}

// halfNut says which starts the half-nut alone reaches: the phases k·p′ mod L.
// Every other closing cuts a false path.
func (j *job) halfNut(n *nut) *HalfNut {
	switch {
	case n == nil:
		return nil
	case !n.has:
		return &HalfNut{Why: "the lathe has no half-nut", Reaches: []Reach{}}
	}
	b := n.paths()
	out := &HalfNut{Paths: &b, CloseAnywhere: b.Equal(Int(1)), AllStarts: n.all(), Reaches: make([]Reach, 0, n.reached())}
	for i := range j.starts {
		if k, ok := n.to(i); ok {
			out.Reaches = append(out.Reaches, Reach{Start: i + 1, LeadscrewThreads: Whole{k}})
		}
	}
	return out
}
