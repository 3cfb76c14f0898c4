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
func (c *carder) starts(method string, card *curriculum.BenchCard) []curriculum.CardStart {
	switch method {
	case "thread-dial":
		return c.byDial(card)
	case "half-nut":
		return c.byHalfNut()
	case "carriage-shift":
		return c.byShift()
	case "compound-parallel":
		return c.bySlide(c.a.CompoundSlide.Moves)
	case "compound-angled":
		return c.bySlide(c.a.AngledSlide.Moves)
	case threadmath.ChuckJaws, threadmath.FaceplateSlots, threadmath.DrivePlateSlots, threadmath.IndexHoles:
		return c.byHolder(method, card)
	case "stud-gear":
		g := c.a.StudGear
		return c.byGear(g, fmt.Sprintf("let %s teeth of the stud gear by, turning the spindle forward %s of a turn", g.TeethPerStart, g.SpindleTurns))
	case "leadscrew-gear":
		g := c.a.LeadscrewGear
		return c.byGear(g, fmt.Sprintf("turn the leadscrew gear %s teeth on in the driving direction, the spindle standing", g.TeethPerStart))
	}
	return []curriculum.CardStart{{Start: 1, How: "the only start", Dial: "as it stands"}}
}

func list(ns []int) string {
	out := make([]string, len(ns))
	for i, n := range ns {
		out[i] = strconv.Itoa(n)
	}
	return strings.Join(out, ", ")
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
			out[k] = curriculum.CardStart{Start: k + 1, Dial: "line " + list(ls), How: fmt.Sprintf("dial gear of %d teeth; line 0 is the one start 1 was cut on", d.Teeth)}
		}
		if out != nil {
			card.Dial = d
			return out
		}
	}
	return nil // a usable method has such a dial
}

func (c *carder) byHalfNut() []curriculum.CardStart {
	out := make([]curriculum.CardStart, 0, len(c.a.HalfNut.Reaches))
	for _, r := range c.a.HalfNut.Reaches {
		s := curriculum.CardStart{Start: r.Start, How: "counted from a true closing of start 1", Dial: r.LeadscrewThreads.String() + " leadscrew threads on"}
		if r.Start == 1 {
			s.How, s.Dial = "any true closing of start 1; note the dial line, or mark the carriage's place", "0 leadscrew threads"
		}
		for _, d := range c.a.ThreadDials {
			for _, b := range d.Between {
				if b.Start == r.Start {
					s.How = fmt.Sprintf("that is %s of the way from line %d to the next on the dial of %d teeth", b.Lines, b.PastLine, d.Teeth)
				}
			}
		}
		out = append(out, s)
	}
	return out
}

func (c *carder) byShift() []curriculum.CardStart {
	out := make([]curriculum.CardStart, 0, len(c.a.Starts))
	for _, s := range c.a.CarriageShift.Shifts {
		how := "spindle stopped, half-nut opened, carriage moved back against the travel, half-nut closed"
		distance := s.Distance
		if s.Clears != nil {
			distance = *s.Clears
		}
		dial := c.size(distance) + " against the travel"
		if s.Start == 1 {
			how, dial = "spindle stopped at the first closing: the measure begins here", "0"
		}
		out = append(out, curriculum.CardStart{Start: s.Start, How: how, Dial: dial})
	}
	return out
}

// bySlide goes through the moves of a slide, each measured from zero.
func (c *carder) bySlide(moves []threadmath.Move) []curriculum.CardStart {
	out := make([]curriculum.CardStart, 0, len(moves))
	s := c.lathe.CompoundSlide
	unit := c.system
	if _, system, err := threadmath.ParseLength(s.Graduation); err == nil {
		unit = system
	}
	for _, m := range moves {
		row := curriculum.CardStart{Start: m.Start, How: "compound moved with the travel, " + c.size(m.Distance) + " from zero"}
		if m.Move == 0 {
			row.How = "compound at zero, backlash taken up with the travel"
		}
		if m.Withdrawal != nil && m.Move > 0 {
			row.How += ", cross-slide withdrawn " + c.size(*m.Withdrawal)
		}
		row.Dial = "set by a measured " + c.size(m.Distance)
		if m.Divisions != nil {
			shown := m.Reading
			if m.CollarShows != nil {
				shown = m.CollarShows
			}
			row.Dial = m.Divisions.String() + " divisions"
			if m.Turns != nil && m.Turns.String() != "0" {
				row.Dial = m.Turns.String() + " turns + " + m.Divisions.String()
			}
			row.Dial += " (" + sizeIn(*shown, unit, -1) + ")"
			if m.Error != nil && m.Error.MM() != 0 {
				row.How += "; left over " + c.size(*m.Error)
			}
		}
		out = append(out, row)
	}
	return out
}

// byHolder uses the first usable holder of the kind with the least spacing error.
func (c *carder) byHolder(kind string, card *curriculum.BenchCard) []curriculum.CardStart {
	var best *threadmath.HolderAnswer
	for i := range c.a.Holders {
		h := &c.a.Holders[i]
		if h.Kind != kind || !h.Usable {
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
	word := map[string]string{threadmath.ChuckJaws: "jaw", threadmath.FaceplateSlots: "slot", threadmath.DrivePlateSlots: "slot", threadmath.IndexHoles: "hole"}[kind]
	out := make([]curriculum.CardStart, len(best.StationsOfStarts))
	for i, s := range best.StationsOfStarts {
		how := fmt.Sprintf("of %d, counted %s; spindle stopped and isolated, the half-nut closed, slack taken up the same way", best.Stations, best.Counted)
		out[i] = curriculum.CardStart{Start: i + 1, Dial: word + " " + strconv.Itoa(s), How: how}
	}
	return out
}

func (c *carder) byGear(g *threadmath.GearIndex, how string) []curriculum.CardStart {
	out := make([]curriculum.CardStart, len(g.StartsInOrder))
	for i, s := range g.StartsInOrder {
		out[i] = curriculum.CardStart{Start: s, How: "spindle stopped and isolated; " + how, Dial: g.TeethPerStart.String() + " teeth on"}
		if i == 0 {
			out[i].How, out[i].Dial = "mark the meshing teeth of both wheels before the train is opened", "as it stands"
		}
	}
	return out
}
