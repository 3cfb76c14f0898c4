package lathesim

import (
	"errors"
	"math"
)

// Machine is a lathe that a thread is cut on, moved by hand: a spindle that coasts, a
// leadscrew with its half-nut and dial, slides with their lost motion, and what it
// may run into. Unlike [Lathe] it is in float64 and follows whole jobs; places u
// along the work are mm in the direction of the tool's travel from the end at which
// the thread begins, with every slide at zero.
type Machine struct {
	// Ratio is the turns of the leadscrew for a turn of the spindle as the wheels make
	// it, Screw the leadscrew's travel a turn, and ScrewStarts its threads.
	Ratio       float64
	Screw       float64
	ScrewStarts int
	DialTeeth   int
	DialLines   int
	// DialBackward says that the printed numbers fall as threads come up.
	DialBackward bool

	// Sin and Cos are of the compound's angle from the cross-slide; Lost is the lost
	// motion of its screw.
	Sin, Cos float64
	Lost     float64
	// Travel is how far the compound goes, 0 for as far as is asked.
	Travel float64
	// Bed is how far behind the beginning of the work the carriage may stand, and
	// ClosingRPM the turns a minute of the leadscrew above which a hand no longer hits
	// one place with the half-nut; 0 for no bound.
	Bed, ClosingRPM float64
	// Wall is the place of the first solid thing that the tool's nose reaches, and
	// Behind how far it may stand before the work begins.
	Wall, Behind float64

	spindle, leadscrew float64 // turns
	carriage           float64
	nut                bool
	screwed, slid      float64 // the compound's screw and the slide itself
	cross              float64 // into the work
	turned             float64 // the work in its holder, turns forward
}

// Errors of what breaks.
var (
	ErrCrash    = errors.New("the tool runs into something solid")
	ErrSlideEnd = errors.New("the compound comes to its end")
	ErrSpoilt   = errors.New("the half-nut does not fall in there")
	ErrBedEnd   = errors.New("the carriage comes to the end of the bed")
	ErrTooFast  = errors.New("the leadscrew turns too fast to close the half-nut on one place")
)

// Lead is what the gearing makes, mm.
func (m *Machine) Lead() float64 { return m.Ratio * m.Screw }

// Tool is where the nose stands: along the work, and into it.
func (m *Machine) Tool() (along, in float64) {
	return m.carriage + m.slid*m.Sin, m.cross + m.slid*m.Cos
}

// Carriage is where the carriage stands.
func (m *Machine) Carriage() float64 { return m.carriage }

// SetCross moves the cross-slide, always in the same direction at last.
func (m *Machine) SetCross(in float64) { m.cross = in }

// SetCompound turns the compound's screw to a place. Pushed from behind the slide
// follows at once, drawn back only when the lost motion is taken up.
func (m *Machine) SetCompound(to float64) error {
	if m.Travel > 0 && (to > m.Travel || to < -m.Lost-1e-9) {
		return ErrSlideEnd
	}
	m.screwed = to
	m.slid = min(max(m.slid, m.screwed), m.screwed+m.Lost)
	return nil
}

// TurnWork turns the work in its holder to so many turns forward of where it was first
// held.
func (m *Machine) TurnWork(to float64) { m.turned = to }

// TurnSpindle turns the spindle with the train open: the leadscrew stands.
func (m *Machine) TurnSpindle(turns float64) { m.spindle += turns }

// TurnLeadscrew turns the leadscrew with the train open; the carriage goes along where
// the half-nut is closed.
func (m *Machine) TurnLeadscrew(turns float64) {
	m.leadscrew += turns
	if m.nut {
		m.carriage += turns * m.Screw
	}
}

// MoveCarriage brings the carriage to a place by hand, half-nut open.
func (m *Machine) MoveCarriage(to float64) error {
	if m.nut {
		return ErrHalfNutClosed
	}
	if m.Bed > 0 && -to > m.Bed+hair {
		return ErrBedEnd
	}
	m.carriage = to
	return nil
}

// OpenHalfNut opens the half-nut.
func (m *Machine) OpenHalfNut() { m.nut = false }

// Closed reports whether the half-nut is closed.
func (m *Machine) Closed() bool { return m.nut }

// threads is how many leadscrew threads have come up under the half-nut.
func (m *Machine) threads() float64 {
	return (m.leadscrew*m.Screw - m.carriage) / (m.Screw / float64(max(m.ScrewStarts, 1)))
}

const hair = 1e-6

// pullIn is how far a half-nut that is closed beside a thread draws the carriage into
// it, mm (common practice, no source).
const pullIn = 0.05

// CloseHalfNut closes the half-nut where it stands.
func (m *Machine) CloseHalfNut() error {
	t := m.threads()
	off := (t - math.Round(t)) * m.Screw / float64(max(m.ScrewStarts, 1))
	if math.Abs(off) > pullIn {
		return ErrSpoilt
	}
	m.carriage += off
	m.nut = true
	return nil
}

// run turns the spindle with the train closed.
func (m *Machine) run(turns float64) {
	m.spindle += turns
	m.leadscrew += turns * m.Ratio
	if m.nut {
		m.carriage += turns * m.Lead()
	}
}

// waitFor runs the spindle, carriage standing, until so many threads have come up.
func (m *Machine) waitFor(threads float64) {
	perTurn := m.Ratio * float64(max(m.ScrewStarts, 1))
	m.run((threads - m.threads()) / perTurn)
}

// CloseAnywhere closes the half-nut on the next thread that comes up.
func (m *Machine) CloseAnywhere() error {
	m.waitFor(math.Ceil(m.threads() - hair))
	return m.CloseHalfNut()
}

// Note reads the dial as it stands: what it shows counts as line 0 from then on, by
// [Machine.CloseOnLine].
func (m *Machine) Note() float64 { return m.threads() }

// CloseOnLine waits until a line comes to the mark, counted from the place that was
// noted, then lets so many threads more come up, and closes. again is how many turns
// of the dial are let by first: a hand need not catch the first one. The spindle runs
// at rpm.
func (m *Machine) CloseOnLine(noted float64, line int, threads int64, again int, rpm float64) error {
	if m.ClosingRPM > 0 && rpm*m.Ratio > m.ClosingRPM*(1+hair) {
		return ErrTooFast
	}
	if m.DialTeeth == 0 {
		return ErrSpoilt
	}
	if m.DialBackward {
		line = -line
	}
	teeth, lines := float64(m.DialTeeth), float64(m.DialLines)
	at := noted + math.Mod(math.Mod(float64(line)*teeth/lines, teeth)+teeth, teeth)
	for turns := math.Ceil((m.threads() - hair - at) / teeth); ; turns++ {
		if t := at + turns*teeth; t >= m.threads()-hair {
			m.waitFor(t + float64(again)*teeth + float64(threads))
			return m.CloseHalfNut()
		}
	}
}

// Hand is who works the lathe: seconds from the place to the lever moved, and the
// turns that the spindle coasts when it is switched off.
type Hand struct{ Reaction, Coast float64 }

// Cutting is one pass: where its groove lies along the work within one lead, the
// section of the chip, mm², and how far along the nose came.
type Cutting struct{ At, Chip, End float64 }

// Pass cuts with the half-nut closed, from where the carriage stands until the hand
// has acted: it begins when the carriage is at act. With opens it opens the half-nut,
// else it stops the spindle. Then the tool is clear. touch is how far in the nose
// stands at the blank's surface, groove the one that is meant.
func (m *Machine) Pass(p *Piece, groove int, touch, act, rpm float64, opens bool, h Hand) (Cutting, error) {
	if !m.nut {
		return Cutting{}, ErrHalfNutOpen
	}
	if along, _ := m.Tool(); -along > m.Behind+hair {
		return Cutting{}, ErrCrash
	}
	// The cutting force pushes the compound back against the travel.
	m.slid = m.screwed
	along, in := m.Tool()
	lead := m.Lead()
	at := along - lead*(m.spindle+m.turned)
	turns := (act-m.carriage)/lead + rpm/60*h.Reaction
	if !opens {
		turns += h.Coast
	}
	if turns < 0 {
		return Cutting{}, ErrPastWork
	}
	m.run(turns)
	if opens {
		m.nut = false
	}
	out := Cutting{At: at - lead*math.Floor(at/lead)}
	if out.End, _ = m.Tool(); out.End > m.Wall+hair {
		return out, ErrCrash
	}
	out.Chip = p.Cut(groove, out.At, in-touch)
	return out, nil
}

// Bring runs the spindle, tool clear and half-nut closed, until the nose stands at a
// place.
func (m *Machine) Bring(to float64) error { return m.Back(to, 0) }

// Back runs the spindle in reverse, tool clear and half-nut closed, until the nose
// stands at a place or before it, at the end of a coast.
func (m *Machine) Back(to, coast float64) error {
	if !m.nut {
		return ErrHalfNutOpen
	}
	along, _ := m.Tool()
	m.run((to-along)/m.Lead() - coast)
	if along, _ = m.Tool(); -along > m.Behind+hair {
		return ErrCrash
	}
	return nil
}
