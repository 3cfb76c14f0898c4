package generate

import "halfnut/threadmath"

// gearing is what a lathe says about its change gears. Which trains stand, and
// which of them make a ratio, is threadmath's search.
type gearing struct {
	*threadmath.ChangeGears
	// sizes are the different wheels on hand, by their teeth.
	sizes []int
	// turns are the stud's for each turn of the spindle, 1 where not said.
	turns threadmath.Ratio
	// stud is the number of teeth of the wheel on the stud, 0 where not known.
	stud int
	// shut says that the train cannot be opened.
	shut bool
}

func readGearing(l threadmath.Lathe) (gearing, error) {
	g := gearing{ChangeGears: threadmath.NewChangeGears(l), turns: threadmath.Int(1), shut: l.TrainOpens != nil && !*l.TrainOpens}
	g.sizes = g.Sizes()
	if l.StudGear != nil {
		g.stud = int(l.StudGear.Teeth)
		if text := string(l.StudGear.TurnsPerSpindleTurn); text != "" {
			r, err := threadmath.ParseRatio(text)
			if err != nil {
				return g, err
			}
			g.turns = r
		}
	}
	return g, nil
}

func over(a, b int) threadmath.Ratio {
	return threadmath.Int(int64(a)).Quo(threadmath.Int(int64(b)))
}

// serveGears says why a lathe cannot be asked about change gears.
func serveGears(m *machine, _ threadmath.System) string {
	switch {
	case m.leadscrew == nil:
		return "no leadscrew"
	case len(m.gears.sizes) == 0:
		return "no change gears"
	}
	return ""
}

// gearRatio is L/(p·r): what the train must make.
func (m *machine) gearRatio(lead threadmath.Length) threadmath.Ratio {
	return lead.Quo(*m.leadscrew).Quo(m.gears.turns)
}
