package lathesim

import "math/big"

// Mesh names a place where the train between spindle and leadscrew can be opened.
type Mesh int

// The places where the train opens. Closed means that it is in gear throughout.
const (
	Closed        Mesh = iota
	SpindleMesh        // at the index plate: the spindle turns alone and is caught again hole by hole
	StudMesh           // behind the stud gear: spindle and stud gear turn, the wheels after it and the leadscrew stand
	LeadscrewMesh      // before the leadscrew gear: the leadscrew turns, all wheels before it stand
)

// OpenTrain opens the train at one place. The rest of it stands as it stood.
func (l *Lathe) OpenTrain(at Mesh) error {
	if l.open != Closed {
		return ErrTrainOpen
	}
	l.open, l.teeth = at, new(big.Rat)
	return nil
}

// CloseTrain brings the wheels together again, or returns ErrTeethClash where a tooth meets a tooth: what has gone by
// at the open place since it was opened must be whole teeth (holes, at the index plate).
func (l *Lathe) CloseTrain() error {
	if l.open == Closed {
		return ErrTrainClosed
	}
	if !l.teeth.IsInt() {
		return ErrTeethClash
	}
	l.open = Closed
	return nil
}

// TurnLeadscrewGear turns the leadscrew gear by teeth in the direction in which the train drives it, spindle still,
// the train open before it. A closed half-nut takes the carriage along.
func (l *Lathe) TurnLeadscrewGear(teeth int) error {
	if l.open != LeadscrewMesh {
		return ErrTrainClosed
	}
	turns := big.NewRat(int64(teeth*l.train.Sign()), int64(l.cfg.LeadscrewTeeth))
	l.teeth = sub(l.teeth, whole(teeth*l.train.Sign()))
	l.turnLeadscrew(turns)
	return nil
}

// TurnStudGear turns spindle and stud gear forward until so many teeth of the stud gear have gone by, the train open
// behind it.
func (l *Lathe) TurnStudGear(teeth int) error {
	if l.open != StudMesh {
		return ErrTrainClosed
	}
	l.TurnSpindle(quo(big.NewRat(int64(teeth), int64(l.cfg.StudTeeth)), l.cfg.StudPerSpindle))
	return nil
}

// TurnToNextHole turns the spindle forward until the next hole of the index plate stands at the fixed pin, the train
// open at the plate.
func (l *Lathe) TurnToNextHole() error {
	if l.open != SpindleMesh || l.cfg.IndexHoles == 0 {
		return ErrTrainClosed
	}
	l.TurnSpindle(untilWhole(l.teeth, whole(l.cfg.IndexHoles), false))
	return nil
}
