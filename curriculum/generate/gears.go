package generate

import (
	"fmt"
	"slices"

	"halfnut/threadmath"
)

// gearing is what a lathe says about its change gears.
type gearing struct {
	// wheels are on hand, by their teeth, as often as they are there.
	wheels []int
	// turns are the stud's for each turn of the spindle, 1 where not said.
	turns threadmath.Ratio
	// stud is the number of teeth of the wheel on the stud, 0 where not known.
	stud int
	// shut says that the train cannot be opened.
	shut bool
	// least and greatest are the teeth that the bracket takes, 0 without a limit.
	least, greatest int
}

// meshClearance is how many teeth a meshing pair must have more than the wheel
// beside it, as threadmath's search for trains asks (common practice, no source).
const meshClearance = 15

func readGearing(l threadmath.Lathe) (gearing, error) {
	g := gearing{turns: threadmath.Int(1), shut: l.TrainOpens != nil && !*l.TrainOpens}
	for _, w := range l.ChangeGears {
		g.wheels = append(g.wheels, int(w))
	}
	slices.Sort(g.wheels)
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
	if b := l.Bracket; b != nil {
		if b.LeastTeeth != nil {
			g.least = int(*b.LeastTeeth)
		}
		if b.GreatestTeeth != nil {
			g.greatest = int(*b.GreatestTeeth)
		}
	}
	return g, nil
}

// sizes are the different wheels on hand.
func (g *gearing) sizes() []int { return slices.Compact(slices.Clone(g.wheels)) }

// holds reports whether the wheels are all on hand at once.
func (g *gearing) holds(wheels ...int) bool {
	for _, w := range wheels {
		have, want := 0, 0
		for _, h := range g.wheels {
			if h == w {
				have++
			}
		}
		for _, x := range wheels {
			if x == w {
				want++
			}
		}
		if want > have {
			return false
		}
	}
	return true
}

// train is a set of wheels on their studs: a drives b, which turns with c, which
// drives d. A simple train has no c and d.
type train struct{ a, b, c, d int }

func (t train) simple() bool { return t.c == 0 }

// ratio is drivers over driven wheels.
func (t train) ratio() threadmath.Ratio {
	if t.simple() {
		return over(t.a, t.b)
	}
	return over(t.a*t.c, t.b*t.d)
}

func (t train) String() string {
	if t.simple() {
		return fmt.Sprintf("%d/%d", t.a, t.b)
	}
	return fmt.Sprintf("%d/%d × %d/%d", t.a, t.b, t.c, t.d)
}

func over(a, b int) threadmath.Ratio { return threadmath.Int(int64(a)).Quo(threadmath.Int(int64(b))) }

// stands reports whether the train can be put up: wheels on hand, none of them
// both driving and driven, rims clear of the studs, inside the bracket.
func (g *gearing) stands(t train) bool {
	if t.simple() {
		return t.a != t.b && g.holds(t.a, t.b)
	}
	if t.a == t.b || t.a == t.d || t.c == t.b || t.c == t.d || !g.holds(t.a, t.b, t.c, t.d) {
		return false
	}
	teeth := t.a + t.b + t.c + t.d
	return t.a+t.b >= t.c+meshClearance && t.c+t.d >= t.b+meshClearance && teeth >= g.least && (g.greatest == 0 || teeth <= g.greatest)
}

// compounds are the trains of four wheels that make the ratio exactly.
func (g *gearing) compounds(ratio threadmath.Ratio) []train {
	num, okNum := threadmath.Int(1).Mul(ratio).Mul(denominator(ratio)).Int64()
	den, okDen := denominator(ratio).Int64()
	if !okNum || !okDen || num <= 0 {
		return nil
	}
	var out []train
	sizes := g.sizes()
	for _, a := range sizes {
		for _, c := range sizes {
			if a == c && !g.holds(a, c) {
				continue
			}
			product := int64(a) * int64(c) * den
			for _, b := range sizes {
				if product%(num*int64(b)) != 0 {
					continue
				}
				t := train{a, b, c, int(product / (num * int64(b)))}
				if _, there := slices.BinarySearch(sizes, t.d); there && g.stands(t) {
					out = append(out, t)
				}
			}
		}
	}
	return out
}

// simples are the trains of two wheels that make the ratio exactly.
func (g *gearing) simples(ratio threadmath.Ratio) []train {
	var out []train
	for _, a := range g.sizes() {
		b, whole := threadmath.Int(int64(a)).Quo(ratio).Int64()
		if t := (train{a: a, b: int(b)}); whole && g.stands(t) {
			out = append(out, t)
		}
	}
	return out
}

func denominator(r threadmath.Ratio) threadmath.Ratio { return mustRatio(r.Den()) }

// serveGears says why a lathe cannot be asked about change gears.
func serveGears(m *machine, _ threadmath.System) string {
	switch {
	case m.leadscrew == nil:
		return "no leadscrew"
	case len(m.gears.wheels) == 0:
		return "no change gears"
	}
	return ""
}

// gearRatio is L/(p·r): what the train must make.
func (m *machine) gearRatio(lead threadmath.Length) threadmath.Ratio {
	return lead.Quo(*m.leadscrew).Quo(m.gears.turns)
}
