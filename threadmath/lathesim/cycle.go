package lathesim

import "math/big"

// longestCycle bounds the events of a cycle; no lathe and thread of a workshop come near it.
const longestCycle = 1_000_000

// Closing is one closing of the half-nut in a cycle, the carriage standing where it stood when start 1 was cut.
type Closing struct {
	Threads *big.Rat // leadscrew threads that came up since the cycle began
	Nth     int      // how many threads (in a dial cycle: lines) came up since the cycle began
	Line    int      // number printed at the dial line; -1 where none stands at the mark
	Closes  bool     // the half-nut can close
	Start   int      // start that the cut follows; 0 for a false groove, or where the half-nut cannot close
	Path    Path     // what was cut; empty where the half-nut cannot close
}

// tryClosing closes the half-nut of a copy of the lathe and cuts.
func (l Lathe) tryClosing(w *Work) (Closing, error) {
	c := Closing{Line: -1}
	if line, ok := l.Line(); ok {
		c.Line = line
	}
	if l.CloseHalfNut() != nil {
		return c, nil
	}
	path, err := l.Cut(w)
	if err != nil {
		return Closing{}, err
	}
	c.Closes, c.Path, c.Start = true, path, w.Start(path)
	return c, nil
}

// HalfNutCycle lets the spindle run with open half-nut and standing carriage and tries a closing at every leadscrew
// thread that comes up, the one that stands there now first, until the work, the leadscrew thread and the dial, where
// there is one, stand together as they did before.
func (l Lathe) HalfNutCycle(w *Work) ([]Closing, error) { return l.cycle(w, l.RunToThread) }

// DialCycle does the same at every line of the dial, the one that stands at the mark now first: every line in every turn
// of the dial that makes a difference.
func (l Lathe) DialCycle(w *Work) ([]Closing, error) { return l.cycle(w, l.RunToLine) }

func (l *Lathe) cycle(w *Work, next func() error) ([]Closing, error) {
	seen := map[string]bool{}
	begin := l.threadsPassed()
	var closings []Closing
	for n := range longestCycle {
		state := part(l.workAngle()).RatString() + " " + part(l.threadsPassed()).RatString()
		if l.cfg.Dial.Teeth > 0 {
			state += " " + part(l.DialTurns()).RatString()
		}
		if seen[state] {
			return closings, nil
		}
		seen[state] = true
		c, err := l.tryClosing(w)
		if err != nil {
			return nil, err
		}
		c.Threads, c.Nth = new(big.Rat).Abs(sub(l.threadsPassed(), begin)), n
		closings = append(closings, c)
		if err := next(); err != nil {
			return nil, err
		}
	}
	return nil, ErrNeverRepeats
}
