package lathesim

import "math/big"

// Path is what the tool marked on the work in one cut: where it crossed the work's reference line, in the order of
// cutting.
type Path struct {
	Crossings []*big.Rat // z, mm
}

// Work is the part of a workpiece that is threaded, between two places on the axis, and the grooves laid out on it.
type Work struct {
	From, To *big.Rat // z of the tailstock end and of the headstock end, mm
	Grooves  []Path   // Grooves[j] is start j+1
}

// inside reports whether z lies on the threaded part, its ends included.
func (w *Work) inside(z *big.Rat) bool { return z.Cmp(w.From) >= 0 && z.Cmp(w.To) <= 0 }

// past reports whether a tool at z, travelling in this direction, has the work behind it.
func (w *Work) past(z *big.Rat, travel int) bool {
	if travel > 0 {
		return z.Cmp(w.To) > 0
	}
	return z.Cmp(w.From) < 0
}

// Cut runs the spindle forward with closed half-nut and train until the tool has passed the work, and returns the path
// that it marked, as far as the work reaches. Once in the work the cutting force pushes the compound slide back against
// the travel as far as its screw lets it.
func (l *Lathe) Cut(w *Work) (Path, error) { return l.mark(w, -1) }

// Scratch is Cut, but the tool is withdrawn when it has crossed the reference line of the work once.
func (l *Lathe) Scratch(w *Work) (Path, error) { return l.mark(w, 1) }

// mark cuts until the tool has passed the work or crossed the reference line so many times (negative: without end).
func (l *Lathe) mark(w *Work, crossings int) (Path, error) {
	switch {
	case !l.nutClosed:
		return Path{}, ErrHalfNutOpen
	case l.open != Closed:
		return Path{}, ErrTrainOpen
	}
	var path Path
	l.runToWork(w)
	l.TurnSpindle(untilWhole(l.workAngle(), whole(1), true))
	for len(path.Crossings) != crossings {
		tool := l.Tool()
		if w.past(tool, l.travel) {
			break
		}
		if w.inside(tool) {
			path.Crossings = append(path.Crossings, tool)
			l.slide.push(-l.travel)
		}
		l.TurnSpindle(whole(1))
	}
	if len(path.Crossings) == 0 {
		return Path{}, ErrPastWork
	}
	return path, nil
}

// runToWork runs the spindle forward to the moment when the tool, if it stands before the work, reaches it.
func (l *Lathe) runToWork(w *Work) {
	end := w.From
	if l.travel < 0 {
		end = w.To
	}
	if turns := quo(sub(end, l.Tool()), mul(l.cfg.Lead, l.Travel())); turns.Sign() > 0 {
		l.TurnSpindle(turns)
	}
}

// CutFirst cuts start 1 from where the lathe stands, lays out the grooves of all starts on the work and winds back, half-nut
// closed, to where the cut began; there it opens the half-nut.
func (l *Lathe) CutFirst(w *Work, starts int, pitch *big.Rat) error {
	if err := l.CloseHalfNut(); err != nil {
		return err
	}
	begin := l.spindle
	path, err := l.Cut(w)
	if err != nil {
		return err
	}
	if len(path.Crossings) < 2 {
		return ErrShortWork
	}
	w.MarkOut(path, starts, pitch)
	l.TurnSpindle(sub(begin, l.spindle))
	l.OpenHalfNut()
	return nil
}

// workAngle returns the angle of the work's reference line past the tool, in turns.
func (l *Lathe) workAngle() *big.Rat { return sub(add(l.spindle, l.clamp), l.cfg.ToolAngle) }

// MarkOut lays out the grooves of all starts from the path of start 1, which must cross the reference line at least
// twice: start j+1 lies j pitches behind it against the tool's travel, and every groove goes on turn after turn, as
// start 1 does, over the whole work.
func (w *Work) MarkOut(first Path, starts int, pitch *big.Rat) {
	turn := sub(first.Crossings[1], first.Crossings[0])
	behind := pitch
	if turn.Sign() > 0 {
		behind = neg(pitch)
	}
	w.Grooves = nil
	for j := range starts {
		z := add(first.Crossings[0], mul(whole(j), behind))
		for w.inside(z) { // back to before the work
			z = sub(z, turn)
		}
		var groove Path
		for z = add(z, turn); !w.past(z, turn.Sign()); z = add(z, turn) {
			if w.inside(z) {
				groove.Crossings = append(groove.Crossings, z)
			}
		}
		w.Grooves = append(w.Grooves, groove)
	}
}

// Start returns the number of the start that the path follows from its first to its last turn, 0 when it follows none
// and cuts a false groove.
func (w *Work) Start(p Path) int {
	for j, groove := range w.Grooves {
		if follows(p, groove) {
			return j + 1
		}
	}
	return 0
}

// follows walks along a groove and a path together and reports whether every crossing of the path lies in the groove.
func follows(p, groove Path) bool {
	next := 0
	for _, z := range p.Crossings {
		for next < len(groove.Crossings) && groove.Crossings[next].Cmp(z) != 0 {
			next++
		}
		if next == len(groove.Crossings) {
			return false
		}
	}
	return true
}

// Nearest returns the start whose groove lies nearest to the middle of the path, and by how much the path lies beside
// it, mm, positive towards the headstock.
func (w *Work) Nearest(p Path) (start int, beside *big.Rat) {
	z := p.Crossings[len(p.Crossings)/2]
	for j, groove := range w.Grooves {
		for _, g := range groove.Crossings {
			d := sub(z, g)
			if beside == nil || new(big.Rat).Abs(d).Cmp(new(big.Rat).Abs(beside)) < 0 {
				start, beside = j+1, d
			}
		}
	}
	return start, beside
}
