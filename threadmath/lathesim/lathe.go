package lathesim

import (
	"errors"
	"fmt"
	"math/big"
)

// Errors of a movement that the machine does not allow.
var (
	ErrThreadsClash  = errors.New("half-nut and leadscrew threads clash")
	ErrTeethClash    = errors.New("gear teeth clash")
	ErrHalfNutClosed = errors.New("half-nut is closed")
	ErrHalfNutOpen   = errors.New("half-nut is open")
	ErrTrainOpen     = errors.New("gear train is open")
	ErrTrainClosed   = errors.New("gear train is closed")
	ErrNotDriven     = errors.New("the leadscrew does not turn")
	ErrPastWork      = errors.New("tool stands past the work")
	ErrShortWork     = errors.New("work is shorter than one turn of the thread")
	ErrNeverRepeats  = errors.New("the machine did not come back to a state it was in")
)

// Dial describes a thread dial: a wheel of Teeth in mesh with the leadscrew, with Lines on its face. Backward says
// that its numbers run the other way round. Line 0 stands at the mark when the lathe is set up.
type Dial struct {
	Teeth, Lines int
	Backward     bool
}

// Config describes a lathe and how it is geared.
type Config struct {
	Lead     *big.Rat // travel of the tool in one turn of the work, mm
	LeftHand bool     // left-hand thread: the tool leaves the headstock

	Leadscrew         *big.Rat // carriage travel in one turn of the leadscrew, mm
	LeadscrewStarts   int      // threads side by side on the leadscrew; 0 is taken as 1
	LeadscrewLeftHand bool

	Dial Dial // no teeth: no dial

	StudTeeth      int      // teeth of the stud gear; 0: it cannot be re-meshed
	StudPerSpindle *big.Rat // turns of the stud gear in one turn of the spindle; nil is taken as 1
	LeadscrewTeeth int      // teeth of the leadscrew gear; 0: it cannot be re-meshed
	IndexHoles     int      // holes in the spindle's index plate; 0: none

	Backlash *big.Rat // lost motion of the compound slide's screw, mm; nil is taken as 0
	// Direction of the compound slide, as sine and cosine of its angle from the cross-slide; nil: parallel to the axis.
	// Wound with the travel it feeds in.
	SlideSin, SlideCos *big.Rat
	ToolAngle          *big.Rat // where around the work the tool stands, turns from the front in the direction of rotation; nil is taken as 0
}

// Lathe is a lathe at one moment. A copy of the value is a second lathe in the same state.
type Lathe struct {
	cfg    Config
	travel int      // +1 towards the headstock, -1 away from it
	screw  *big.Rat // carriage travel per leadscrew turn, negative for a left-hand leadscrew
	thread *big.Rat // distance of neighbouring leadscrew threads
	train  *big.Rat // leadscrew turns per stud gear turn

	spindle, stud, leadscrew *big.Rat // turns
	clamp                    *big.Rat // work turned forward in its holder, turns
	carriage, crossSlide     *big.Rat // mm
	slide                    slide

	nutClosed bool
	open      Mesh     // where the train is open
	teeth     *big.Rat // teeth gone by at the open place
}

// New returns a lathe that stands still with the half-nut open over a leadscrew thread, carriage at z = 0, the work's
// reference line at the front, every slide at zero, dial line 0 at its mark and the slack
// of the compound slide taken up with the travel. An error says which value of the config no lathe can have.
func New(cfg Config) (Lathe, error) {
	if cfg.LeadscrewStarts == 0 {
		cfg.LeadscrewStarts = 1
	}
	if cfg.StudPerSpindle == nil {
		cfg.StudPerSpindle = whole(1)
	}
	if cfg.Backlash == nil {
		cfg.Backlash = new(big.Rat)
	}
	if cfg.ToolAngle == nil {
		cfg.ToolAngle = new(big.Rat)
	}
	if cfg.SlideSin == nil || cfg.SlideCos == nil {
		cfg.SlideSin, cfg.SlideCos = whole(1), new(big.Rat)
	}
	for _, v := range []struct {
		name  string
		value *big.Rat
	}{{"lead", cfg.Lead}, {"leadscrew", cfg.Leadscrew}, {"stud turns per spindle turn", cfg.StudPerSpindle}} {
		if v.value == nil || v.value.Sign() <= 0 {
			return Lathe{}, fmt.Errorf("%s must be above zero", v.name)
		}
	}
	if cfg.LeadscrewStarts < 0 || cfg.Dial.Teeth < 0 || cfg.Dial.Teeth > 0 && cfg.Dial.Lines < 1 ||
		cfg.StudTeeth < 0 || cfg.LeadscrewTeeth < 0 || cfg.IndexHoles < 0 || cfg.Backlash.Sign() < 0 {
		return Lathe{}, errors.New("counts and backlash must not be negative, and a dial has a line")
	}
	l := Lathe{cfg: cfg, travel: 1, screw: cfg.Leadscrew, thread: quo(cfg.Leadscrew, whole(cfg.LeadscrewStarts))}
	if cfg.LeftHand {
		l.travel = -1
	}
	if cfg.LeadscrewLeftHand {
		l.screw = neg(cfg.Leadscrew)
	}
	perSpindle := quo(mul(cfg.Lead, whole(l.travel)), l.screw)
	l.train = quo(perSpindle, cfg.StudPerSpindle)
	zero := new(big.Rat)
	l.spindle, l.stud, l.leadscrew, l.clamp, l.carriage, l.crossSlide, l.teeth = zero, zero, zero, zero, zero, zero, zero
	l.slide = slide{screw: zero, at: zero, backlash: cfg.Backlash}
	l.slide.wind(mul(whole(l.travel), cfg.Backlash)) // the slack is out before the work begins
	l.slide.screw, l.slide.at = sub(l.slide.screw, l.slide.at), zero
	return l, nil
}

// Travel returns the direction of the tool's travel when cutting: +1 towards the headstock, -1 away from it.
func (l *Lathe) Travel() *big.Rat { return whole(l.travel) }

// Carriage returns where the carriage stands, mm.
func (l *Lathe) Carriage() *big.Rat { return l.carriage }

// Tool returns where the tool stands along the axis, mm.
func (l *Lathe) Tool() *big.Rat { return add(l.carriage, mul(l.slide.at, l.cfg.SlideSin)) }

// Infeed returns how far the tool has been fed into the work since the lathe was set up, mm.
func (l *Lathe) Infeed() *big.Rat {
	return add(l.crossSlide, mul(l.Travel(), mul(l.slide.at, l.cfg.SlideCos)))
}

// TurnSpindle turns the spindle, forward when turns is positive, and everything that is in gear with it.
func (l *Lathe) TurnSpindle(turns *big.Rat) {
	l.spindle = add(l.spindle, turns)
	if l.open == SpindleMesh {
		l.teeth = add(l.teeth, mul(turns, whole(l.cfg.IndexHoles)))
		return
	}
	stud := mul(turns, l.cfg.StudPerSpindle)
	l.stud = add(l.stud, stud)
	switch l.open {
	case StudMesh:
		l.teeth = add(l.teeth, mul(stud, whole(l.cfg.StudTeeth)))
	case LeadscrewMesh:
		l.teeth = add(l.teeth, mul(mul(stud, l.train), whole(l.cfg.LeadscrewTeeth)))
	default:
		l.turnLeadscrew(mul(stud, l.train))
	}
}

// turnLeadscrew turns the leadscrew and takes the carriage along when the half-nut is closed.
func (l *Lathe) turnLeadscrew(turns *big.Rat) {
	l.leadscrew = add(l.leadscrew, turns)
	if l.nutClosed {
		l.carriage = add(l.carriage, mul(l.screw, turns))
	}
}

// MoveCarriage moves the carriage by hand, towards the headstock when distance is positive.
func (l *Lathe) MoveCarriage(distance *big.Rat) error {
	if l.nutClosed {
		return ErrHalfNutClosed
	}
	l.carriage = add(l.carriage, distance)
	return nil
}

// threadsPassed returns how many leadscrew threads have passed the carriage since the lathe was set up.
func (l *Lathe) threadsPassed() *big.Rat {
	return quo(sub(mul(l.screw, l.leadscrew), l.carriage), l.thread)
}

// threadRate returns how many leadscrew threads pass a standing carriage in one turn of the spindle.
func (l *Lathe) threadRate() *big.Rat {
	if l.open != Closed {
		return new(big.Rat)
	}
	return quo(mul(l.screw, mul(l.train, l.cfg.StudPerSpindle)), l.thread)
}

// Meshes reports whether the half-nut's thread stands in a thread of the leadscrew, so that it can close.
func (l *Lathe) Meshes() bool { return l.threadsPassed().IsInt() }

// CloseHalfNut closes the half-nut, or returns ErrThreadsClash.
func (l *Lathe) CloseHalfNut() error {
	if !l.Meshes() {
		return ErrThreadsClash
	}
	l.nutClosed = true
	return nil
}

// OpenHalfNut opens the half-nut.
func (l *Lathe) OpenHalfNut() { l.nutClosed = false }

// RunToThread runs the spindle forward, half-nut open, to the moment when the next leadscrew thread stands under the
// half-nut.
func (l *Lathe) RunToThread() error { return l.runUntil(l.threadsPassed(), l.threadRate()) }

// RunToLine runs the spindle forward, half-nut open, to the moment when the next dial line stands at its mark.
func (l *Lathe) RunToLine() error {
	return l.runUntil(l.linesPassed(l.threadsPassed()), l.linesPassed(l.threadRate()))
}

func (l *Lathe) runUntil(count, rate *big.Rat) error {
	if l.nutClosed {
		return ErrHalfNutClosed
	}
	if rate.Sign() == 0 {
		return ErrNotDriven
	}
	l.TurnSpindle(untilWhole(count, rate, false))
	return nil
}

// DialTurns returns how far the dial has turned since the lathe was set up, in turns, positive when leadscrew threads
// pass the carriage towards the headstock.
func (l *Lathe) DialTurns() *big.Rat { return quo(l.threadsPassed(), whole(l.cfg.Dial.Teeth)) }

// linesPassed returns how many lines of the dial so many leadscrew threads bring past the mark.
func (l *Lathe) linesPassed(threads *big.Rat) *big.Rat {
	return mul(threads, big.NewRat(int64(l.cfg.Dial.Lines), int64(l.cfg.Dial.Teeth)))
}

// Line returns the number printed at the dial line that stands at the mark; false when none does. The numbers grow as
// leadscrew threads pass towards the headstock, on a Backward dial as they pass away from it.
func (l *Lathe) Line() (int, bool) {
	if l.cfg.Dial.Teeth == 0 {
		return 0, false
	}
	face := mul(part(l.DialTurns()), whole(l.cfg.Dial.Lines))
	if !face.IsInt() {
		return 0, false
	}
	line := int(face.Num().Int64())
	if l.cfg.Dial.Backward && line > 0 {
		line = l.cfg.Dial.Lines - line
	}
	return line, true
}

// ClampWork clamps the work turned forward by turns from how it was first held, spindle and train untouched.
func (l *Lathe) ClampWork(turns *big.Rat) { l.clamp = turns }
