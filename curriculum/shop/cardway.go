package shop

import (
	"fmt"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// starts lists the starts in the order in which the method comes to them, each
// with what is set. It also chooses what is drawn on the card.
func (c *carder) starts(card *curriculum.BenchCard) []curriculum.CardStart {
	out := c.startsBy(card)
	act := c.a.RunOut.ActAt.MM()
	moves := append(c.parallelMoves(), c.angledMoves()...)
	for i := range out {
		at := act
		if i < len(moves) { // the slide has gone ahead of the carriage
			at -= c.a.Pitch.MM() * float64(moves[i].Move)
		}
		out[i].CarriageAt = c.mm(at)
	}
	return out
}

func (c *carder) parallelMoves() []threadmath.Move {
	if c.method != threadmath.ByCompoundParallel || c.a.CompoundSlide == nil {
		return nil
	}
	return c.a.CompoundSlide.Moves
}

func (c *carder) angledMoves() []threadmath.Move {
	if c.method != threadmath.ByCompoundAngled || c.a.AngledSlide == nil {
		return nil
	}
	return c.a.AngledSlide.Moves
}

func (c *carder) startsBy(card *curriculum.BenchCard) []curriculum.CardStart {
	switch c.method {
	case threadmath.ByThreadDial:
		return c.byDial(card)
	case threadmath.ByHalfNut:
		return c.byHalfNut()
	case threadmath.ByCarriageShift:
		return c.byShift()
	case threadmath.ByCompoundParallel:
		return c.bySlide(c.parallelMoves())
	case threadmath.ByCompoundAngled:
		return c.bySlide(c.angledMoves())
	case threadmath.ChuckJaws, threadmath.FaceplateSlots, threadmath.DrivePlateSlots, threadmath.IndexHoles:
		return c.byHolder(card)
	case threadmath.ByStudGear:
		return c.byGear(c.a.StudGear, "stud gear")
	case threadmath.ByLeadscrewGear:
		return c.byGear(c.a.LeadscrewGear, "leadscrew gear")
	}
	return []curriculum.CardStart{{Start: 1, How: "the only start", Dial: "as it stands"}}
}

// byDial uses the first dial that has a line for every start.
func (c *carder) byDial(card *curriculum.BenchCard) []curriculum.CardStart {
	for i := range c.a.ThreadDials {
		d := &c.a.ThreadDials[i]
		lines := make([][]int, len(c.a.Starts))
		for _, l := range d.Lines {
			if l.Catches == threadmath.CatchesStart {
				lines[l.Start-1] = append(lines[l.Start-1], l.Line)
			}
		}
		out := make([]curriculum.CardStart, len(lines))
		for k, ls := range lines {
			if len(ls) == 0 {
				out = nil
				break
			}
			out[k] = curriculum.CardStart{
				Start: k + 1, Dial: "line " + list(ls), Lines: ls,
				How: fmt.Sprintf("dial gear of %d teeth; line 0 is the one start 1 was cut on", d.Teeth),
			}
		}
		if out != nil {
			card.Dial = d
			return out
		}
	}
	return nil // a usable method has such a dial
}

// byHalfNut counts leadscrew threads past a line of a dial that always comes back to
// start 1, or past the first closing where every one finds the same groove.
func (c *carder) byHalfNut() []curriculum.CardStart {
	dial, line := c.sameStart()
	out := make([]curriculum.CardStart, 0, len(c.a.HalfNut.Reaches))
	for _, r := range c.a.HalfNut.Reaches {
		threads, _ := r.LeadscrewThreads.Int64()
		s := curriculum.CardStart{
			Start: r.Start, Threads: threads, PastLine: &line, How: "counted as the threads come up while the carriage stands",
			Dial: fmt.Sprintf("line %d + %s", line, counted(int(threads), "leadscrew thread")),
		}
		if r.Start == 1 {
			s.How, s.Dial = "note the dial line of the first closing: it is line 0", "line "+strconv.Itoa(line)
		}
		if dial != nil && threads > 0 {
			divisions := threadmath.Int(threads * int64(dial.Graduations)).Quo(threadmath.Int(int64(dial.Teeth)))
			s.How += fmt.Sprintf("; that is %s of the way from a line to the next on the dial of %d teeth", divisions, dial.Teeth)
		}
		out = append(out, s)
	}
	return out
}

func (c *carder) byShift() []curriculum.CardStart {
	out := make([]curriculum.CardStart, 0, len(c.a.Starts))
	for _, s := range c.a.CarriageShift.Shifts {
		row := curriculum.CardStart{Start: s.Start, Shift: c.sizep(s.Distance)}
		if s.Clears != nil {
			row.Shift = c.sizep(*s.Clears)
		}
		row.How = "spindle stopped and tool clear after a pass of start 1, half-nut opened, carriage moved back against the travel by so much, half-nut closed"
		row.Dial = row.Shift.Text + " against the travel"
		if s.Start == 1 {
			row.Shift, row.How, row.Dial = nil, "the measure begins where the half-nut was first closed", "0"
		}
		out = append(out, row)
	}
	return out
}

// settingOf is a move of the compound as its collar shows it, or as it is measured
// where no collar is known.
func (c *carder) settingOf(m threadmath.Move) curriculum.CardSetting {
	k := collarOf(c.lathe.CompoundSlide)
	if m.Divisions == nil || k.division == 0 {
		size := c.size(m.Distance)
		return curriculum.CardSetting{Text: "measured " + size.Text, Reading: size, Measured: true}
	}
	turns, _ := m.Divisions.Int64()
	divisions := int(turns)
	if m.Turns != nil {
		t, _ := m.Turns.Int64()
		divisions = k.count(int(t), divisions)
	}
	return k.at(divisions)
}

// bySlide goes through the moves of the compound, each measured from zero.
func (c *carder) bySlide(moves []threadmath.Move) []curriculum.CardStart {
	out := make([]curriculum.CardStart, 0, len(moves))
	cross := collarOf(c.lathe.CrossSlide)
	for _, m := range moves {
		s := c.settingOf(m)
		row := curriculum.CardStart{Start: m.Start, Compound: &s, Dial: "compound " + s.Text, How: "moved with the travel, " + c.text(m.Distance) + " from zero"}
		if !s.Measured {
			row.Dial += " (" + s.Reading.Text + ")"
		}
		if m.Move == 0 {
			row.How = "zero, backlash taken up with the travel"
		}
		if m.Error != nil && m.Error.MM() != 0 {
			row.How += "; left over " + c.text(*m.Error)
		}
		if m.Withdrawal != nil {
			back := curriculum.CardSetting{Text: "measured " + c.text(*m.Withdrawal), Reading: c.size(*m.Withdrawal), Measured: true}
			if cross.division > 0 {
				back = cross.at(cross.nearest(m.Withdrawal.MM()))
			}
			row.CrossSlide = &back
			if m.Move > 0 {
				row.Dial += "; cross-slide drawn back " + back.Text
				if !back.Measured {
					row.Dial += " (" + back.Reading.Text + ")"
				}
				row.How += ", the cross-slide drawn back from its zero"
			}
		}
		out = append(out, row)
	}
	return out
}

// byHolder uses the first usable holder of the kind with the least spacing error.
func (c *carder) byHolder(card *curriculum.BenchCard) []curriculum.CardStart {
	var best *threadmath.HolderAnswer
	for i := range c.a.Holders {
		h := &c.a.Holders[i]
		if h.Kind != c.method || !h.Usable {
			continue
		}
		if best == nil || h.SpacingError != nil && (best.SpacingError == nil || h.SpacingError.MM() < best.SpacingError.MM()) {
			best = h
		}
	}
	if best == nil {
		return nil // a usable method has such a holder
	}
	card.Holder = best
	word := stationWord[c.method]
	out := make([]curriculum.CardStart, len(best.StationsOfStarts))
	for i, s := range best.StationsOfStarts {
		how := fmt.Sprintf("spindle stopped and isolated, half-nut closed: take the dog and the work together out of the centres, put the dog's tail against %s %d, put the work back between the same centres; never turn the work in a grip", word, s)
		switch {
		case c.method == threadmath.IndexHoles:
			how = fmt.Sprintf("spindle stopped and isolated, half-nut closed: open the train, turn the spindle forward until the pin enters hole %d, close the train, slack taken up the same way", s)
			if i == 0 {
				how = "pin in hole 1; the train is closed"
			}
		case i == 0:
			how = fmt.Sprintf("the dog's tail against %s 1, marked; work between the centres", word)
		}
		out[i] = curriculum.CardStart{Start: i + 1, Dial: word + " " + strconv.Itoa(s), How: how, Station: s}
	}
	return out
}

var stationWord = map[string]string{
	threadmath.ChuckJaws: "jaw", threadmath.FaceplateSlots: "slot", threadmath.DrivePlateSlots: "slot", threadmath.IndexHoles: "hole",
}

// byGear counts the teeth of the wheel that stands there in the train of the card.
func (c *carder) byGear(g *threadmath.GearIndex, name string) []curriculum.CardStart {
	teeth, _ := g.TeethPerStart.Int64()
	out := make([]curriculum.CardStart, len(g.StartsInOrder))
	for i, s := range g.StartsInOrder {
		row := curriculum.CardStart{
			Start: s, Dial: "as it stands", How: "mark the meshing teeth of both wheels before the train is opened; after STOP the same count from the last start comes back here",
			Teeth: int(teeth), WheelTeeth: g.Wheel,
		}
		if g.SpindleTurns != nil {
			row.SpindleTurns = g.SpindleTurns.String()
		}
		if i > 0 {
			row.Dial = fmt.Sprintf("%s on, %s of %d", counted(row.Teeth, "tooth"), name, row.WheelTeeth)
			if row.Teeth > 1 {
				row.Dial = strings.Replace(row.Dial, "tooths", "teeth", 1)
			}
			row.How = "spindle stopped and isolated, half-nut closed: open the train, turn the leadscrew gear so many teeth on in the driving direction, the spindle standing, close the train"
			if g.SpindleTurns != nil {
				row.How = "spindle stopped and isolated, half-nut closed: open the train behind the stud gear, turn the spindle forward " + row.SpindleTurns + " of a turn, so that so many teeth of the stud gear go by, close the train"
			}
		}
		out[i] = row
	}
	return out
}

// sameStart is the first dial with lines that come back to the same start, and the
// first of these; nil and 0 where there is none.
func (c *carder) sameStart() (*threadmath.PickUpDial, int) {
	if c.a.PickUp == nil {
		return nil, 0
	}
	for i := range c.a.PickUp.Dials {
		if d := &c.a.PickUp.Dials[i]; len(d.Lines) > 0 {
			return d, d.Lines[0]
		}
	}
	return nil, 0
}
