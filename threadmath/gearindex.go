package threadmath

import "strconv"

const trainShut = "the gear train cannot be opened"

func (j *job) trainShut() bool { return j.lathe.trainOpens != nil && !*j.lathe.trainOpens }

// studGear counts the teeth of the stud gear to let by: T teeth turning ρ times
// per spindle turn, t = T·ρ·(1/n + i) whole for some i ≥ 0, so that the spindle
// has turned 1/n more than whole turns.
func (j *job) studGear() *GearIndex {
	g := j.lathe.stud
	if g == nil {
		return nil
	}
	perTurn := g.turns.Mul(Int(int64(g.teeth)))
	teeth := newSteps(Int(1).Quo(perTurn), j.starts)
	t, ok := j.toothCount(teeth)
	switch {
	case j.trainShut():
		return &GearIndex{Why: trainShut}
	case !ok:
		return &GearIndex{Why: perTurn.String() + " teeth a spindle turn do not divide into " + strconv.Itoa(j.starts) + " starts"}
	}
	turns := t.Quo(perTurn)
	out := &GearIndex{Usable: true, TeethPerStart: &Whole{t}, SpindleTurns: &turns, StartsInOrder: make([]int, j.starts)}
	for i := range out.StartsInOrder {
		out.StartsInOrder[i] = i + 1
	}
	return out
}

// leadscrewGear counts the teeth of the leadscrew gear to turn while the spindle
// stands: t·p/T ≡ P (mod L). Turned in the driving direction the carriage goes
// with the travel, so that i such steps land on start n+1−i.
func (j *job) leadscrewGear() *GearIndex {
	teeth, p := j.lathe.leadscrewTeeth, j.lathe.leadscrew
	if teeth == 0 || p == nil {
		return nil
	}
	perTooth := p.Div(teeth)
	t, ok := j.toothCount(newSteps(perTooth.Quo(j.lead), j.starts))
	switch {
	case j.trainShut():
		return &GearIndex{Why: trainShut}
	case !ok:
		return &GearIndex{Why: "no whole number of teeth, " + perTooth.Exact(j.system) + " each, moves the carriage by the pitch"}
	}
	out := &GearIndex{Usable: true, TeethPerStart: &Whole{t}, StartsInOrder: make([]int, j.starts)}
	for i := range out.StartsInOrder {
		out.StartsInOrder[i] = againstTravel(i, j.starts)
	}
	return out
}

// toothCount is the fewest teeth, above none, to the next start; a single start
// comes round to itself.
func (j *job) toothCount(s steps) (Ratio, bool) {
	t, ok := s.to(1)
	if ok && t.Sign() == 0 {
		t = s.paths().Ratio
	}
	return t, ok
}
