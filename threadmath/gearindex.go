package threadmath

import "strconv"

const trainShut = "the gear train cannot be opened"

func (j *job) trainShut() bool { return j.lathe.trainOpens != nil && !*j.lathe.trainOpens }

// trainOf is the train that the answer sets up: the first exact one, where no
// gearbox makes the lead. It is nil where the lathe has none.
func (j *job) trainOf(a *Answer) *GearTrain {
	if a.Gearbox != nil && a.Gearbox.Usable || len(a.GearTrains) == 0 || a.GearTrains[0].ErrorPPM != 0 || len(a.GearTrains[0].Drivers) == 0 {
		return nil
	}
	return &a.GearTrains[0]
}

// studGear counts the teeth of the stud gear to let by: T teeth turning ρ times
// per spindle turn, t = T·ρ·(1/n + i) whole for some i ≥ 0, so that the spindle
// has turned 1/n more than whole turns.
//
// The wheel is the first driver of the train that the answer sets up, or the stud
// gear of the lathe's record where a gearbox makes the lead.
func (j *job) studGear(train *GearTrain) *GearIndex {
	g := j.lathe.stud
	if g == nil {
		return nil
	}
	wheel := g.teeth
	if train != nil {
		wheel = train.Drivers[0]
	}
	perTurn := g.turns.Mul(Int(int64(wheel)))
	teeth := newSteps(Int(1).Quo(perTurn), j.starts)
	t, ok := j.toothCount(teeth)
	switch {
	case j.trainShut():
		return &GearIndex{Why: trainShut}
	case !ok:
		return &GearIndex{Why: perTurn.String() + " teeth a spindle turn do not divide into " + strconv.Itoa(j.starts) + " starts"}
	}
	turns := t.Quo(perTurn)
	out := &GearIndex{Usable: true, Wheel: wheel, TeethPerStart: &Whole{t}, SpindleTurns: &turns, StartsInOrder: make([]int, j.starts)}
	for i := range out.StartsInOrder {
		out.StartsInOrder[i] = i + 1
	}
	return out
}

// leadscrewGear counts the teeth of the leadscrew gear to turn while the spindle
// stands: t·p/T ≡ P (mod L). Turned in the driving direction the carriage goes
// with the travel, so that i such steps land on start n+1−i.
//
// The wheel is the last driven one of the train that the answer sets up, or the
// leadscrew gear of the lathe's record where a gearbox makes the lead.
func (j *job) leadscrewGear(train *GearTrain) *GearIndex {
	teeth, p := j.lathe.leadscrewTeeth, j.lathe.leadscrew
	if teeth == 0 || p == nil {
		return nil
	}
	if train != nil {
		teeth = train.Driven[len(train.Driven)-1]
	}
	perTooth := p.Div(teeth)
	t, ok := j.toothCount(newSteps(perTooth.Quo(j.lead), j.starts))
	switch {
	case j.trainShut():
		return &GearIndex{Why: trainShut}
	case !ok:
		return &GearIndex{Why: "no whole number of teeth, " + perTooth.Exact(j.system) + " each, moves the carriage by the pitch"}
	}
	out := &GearIndex{Usable: true, Wheel: teeth, TeethPerStart: &Whole{t}, StartsInOrder: make([]int, j.starts)}
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
