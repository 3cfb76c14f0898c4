package generate

import (
	"encoding/json"
	"strconv"

	"halfnut/threadmath"
)

// machine is a lathe's numbers, read.
type machine struct {
	leadscrew *threadmath.Length // travel per turn
	closings  threadmath.Length  // travel between closings of the half-nut
	halfNut   bool
	// leadscrewSystem is the system the leadscrew is written in.
	leadscrewSystem threadmath.System
	dials           []threadmath.ThreadDial
	holders         []threadmath.Holder
	gearbox         []setting
	// screw is the lathe reduced to leadscrew, half-nut and dials; ways is that with
	// everything else that the work is indexed by.
	screw, ways threadmath.Lathe
	// text is the whole profile as JSON, by which it is known again.
	text     string
	compound *collar
	cross    *collar
	gears    gearing
}

// setting is one position of the gearbox.
type setting struct {
	text   string
	lead   threadmath.Length
	system threadmath.System
}

// collar is a slide's; lengths as the collar shows them.
type collar struct {
	graduation, perTurn, travel *threadmath.Length
	system                      threadmath.System
	readsDiameter               bool
}

func readMachine(l threadmath.Lathe) (machine, error) {
	if err := l.Check(); err != nil {
		return machine{}, err
	}
	text, err := json.Marshal(l)
	if err != nil {
		return machine{}, err
	}
	m := machine{
		dials: l.ThreadDials, holders: l.Holders, text: string(text),
		screw: threadmath.Lathe{Name: l.Name, Leadscrew: l.Leadscrew, LeadscrewStarts: l.LeadscrewStarts, HalfNut: l.HalfNut, ThreadDials: l.ThreadDials},
	}
	m.ways = m.screw
	m.ways.CompoundSlide, m.ways.Holders, m.ways.TrainOpens = l.CompoundSlide, l.Holders, l.TrainOpens
	m.ways.StudGear, m.ways.LeadscrewGear = l.StudGear, l.LeadscrewGear
	if l.Leadscrew != "" {
		p, system, err := threadmath.ParsePitch(l.Leadscrew)
		if err != nil {
			return machine{}, err
		}
		m.leadscrew, m.closings, m.leadscrewSystem = &p, p, system
		if l.LeadscrewStarts != nil {
			m.closings = p.Div(int(*l.LeadscrewStarts))
		}
		m.halfNut = l.HalfNut == nil || *l.HalfNut
	}
	for _, text := range l.Gearbox {
		lead, system, err := threadmath.ParsePitch(text)
		if err != nil {
			return machine{}, err
		}
		m.gearbox = append(m.gearbox, setting{text, lead, system})
	}
	if m.gears, err = readGearing(l); err != nil {
		return machine{}, err
	}
	if m.compound, err = readCollar(l.CompoundSlide); err != nil {
		return machine{}, err
	}
	m.cross, err = readCollar(l.CrossSlide)
	return m, err
}

func readCollar(s *threadmath.Slide) (*collar, error) {
	if s == nil {
		return nil, nil
	}
	c := &collar{readsDiameter: s.Reads == "diameter"}
	for _, f := range []struct {
		text string
		to   **threadmath.Length
		sets bool
	}{{s.Graduation, &c.graduation, true}, {s.PerTurn, &c.perTurn, false}, {s.Travel, &c.travel, false}} {
		if f.text == "" {
			continue
		}
		l, system, err := threadmath.ParseLength(f.text)
		if err != nil {
			return nil, err
		}
		*f.to = &l
		if f.sets {
			c.system = system
		}
	}
	return c, nil
}

// reads reports whether the collar is graduated in these units.
func (c *collar) reads(units threadmath.System) bool {
	return c != nil && c.graduation != nil && c.system == units
}

// graduationIn returns the smallest division in the units.
func (c *collar) graduationIn(units threadmath.System) float64 {
	return c.graduation.In(units).Float64()
}

// cuts reports whether a lathe's train would be asked for the lead: up to four
// times the leadscrew's, beyond which the gears are strained (common practice,
// no source), and an inch in any case.
func (m *machine) cuts(lead threadmath.Length) bool {
	most := threadmath.Inches(threadmath.Int(1))
	if m.leadscrew != nil {
		if four := m.leadscrew.Times(4); four.Cmp(most) < 0 {
			most = four
		}
	}
	return lead.Cmp(most) <= 0
}

func count(n int) *threadmath.Count {
	c := threadmath.Count(n)
	return &c
}

func itoa(n int) string { return strconv.Itoa(n) }
