package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var toothModels = []*model{
	{skill: "gear-tooth-index", name: "teeth", version: 1, weight: 2, serve: serveTeeth, draw: teethOfStarts},
	{skill: "gear-tooth-index", name: "which-wheel", version: 2, weight: 1, serve: serveWheels, draw: whichWheel},
	{skill: "gear-tooth-index", name: "tooth-worth", version: 2, weight: 1, serve: serveToothWorth, draw: toothWorth},
}

// studWheels are the wheels that can stand on the stud: the one that does, and
// those on hand.
func (g *gearing) studWheels() []int {
	all := slices.Clone(g.sizes)
	if g.stud != 0 {
		all = append(all, g.stud)
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// step is how many teeth of a wheel on the stud pass from start to start; false
// where that is not whole, so that the train would not mesh again.
func (g *gearing) step(teeth, n int) (int, bool) {
	t, whole := threadmath.Int(int64(teeth)).Mul(g.turns).Quo(threadmath.Int(int64(n))).Int64()
	return int(t), whole
}

// comesRound reports whether the wheel passes whole teeth to the next start after
// all when the spindle makes whole turns more: a wheel of 35 at half speed passes
// 21 teeth in a turn and a fifth (t = Z × r × (1/n + i)).
func (g *gearing) comesRound(teeth, n int) bool {
	turn := threadmath.Int(int64(teeth)).Mul(g.turns)
	step := turn.Quo(threadmath.Int(int64(n)))
	for more := turn; ; more = more.Add(turn) {
		if step.Add(more).IsInt() {
			return true
		}
		if more.IsInt() { // from here on the same parts of a tooth come again
			return false
		}
	}
}

// dividing are the wheels whose teeth n starts divide, and those that never come
// to a whole tooth there.
func (g *gearing) dividing(n int) (yes, no []int) {
	for _, w := range g.studWheels() {
		if _, whole := g.step(w, n); whole {
			yes = append(yes, w)
		} else if !g.comesRound(w, n) {
			no = append(no, w)
		}
	}
	return yes, no
}

func serveTeeth(m *machine, _ threadmath.System) string {
	switch {
	case m.gears.shut:
		return "the gear train cannot be opened"
	case len(m.gears.studWheels()) == 0:
		return "no stud gear and no change gears"
	case len(startsThat(m.teethFor)) == 0:
		return "no wheel whose teeth several starts divide"
	}
	return ""
}

func (m *machine) teethFor(n int) bool {
	yes, _ := m.gears.dividing(n)
	return len(yes) > 0
}

// geared is a request for a thread indexed by the wheel on the stud.
func (d *draw) geared(s spacing, n, teeth int) threadmath.Request {
	g := d.machine.gears
	return threadmath.Request{Thread: s.request(n), Lathe: &threadmath.Lathe{
		Name:     d.lathe.Name,
		StudGear: &threadmath.StudGear{Teeth: threadmath.Count(teeth), TurnsPerSpindleTurn: threadmath.Fraction(g.turns.String())},
	}}
}

// stud gives the turns of the stud, in words only where they are not one.
func (d *draw) stud(it *item) {
	if d.studTurns() {
		it.given("r", "turns of the stud for each turn of the spindle", d.machine.gears.turns.String())
		return
	}
	it.ex.Givens.Values["r"] = "1"
}

func teethOfStarts(d *draw) (*item, error) {
	n, err := d.starts(startsThat(d.machine.teethFor))
	if err != nil {
		return nil, err
	}
	yes, _ := d.machine.gears.dividing(n)
	z := oneOf(d, yes)
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread is indexed by the wheel of %d teeth on the stud of %s: the train is opened, the spindle turned forward, and the train meshed again.",
		capital(article(startWords[n])), z, d.latheName()))
	it.given("Z", "teeth of the wheel", itoa(z))
	it.given("n", "starts", itoa(n))
	d.stud(it)
	it.solve(d.geared(s, n, z))
	wrong := d.toothMistakes(z, n)
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindCount, Ask: "How many teeth of it pass from one start to the next?", At: "/stud_gear/teeth_per_start",
		Steps: []curriculum.Step{
			{Name: "u", Say: "So many teeth pass in a turn of the spindle.", Rule: "Z*r", Method: true},
			{Name: "a", Say: "The starts share them.", Rule: "u/n"},
		},
		Wrong: wrong,
	})
	if n == 2 {
		return it, nil
	}
	k := d.between(3, n)
	it.given("k", "a start asked for below", itoa(k))
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindCount, Ask: fmt.Sprintf("How many teeth from start 1 to start %d?", k),
		Steps: []curriculum.Step{{Name: "b", Say: "One step for each start that is passed; start 1 is at none.", Rule: "(k - 1)*a"}},
		Wrong: mistakes("gear-tooth-index", "one-too-many", "one-step"),
	})
	return it, nil
}

// toothMistakes are the wrong rules that stand apart for these numbers, those of
// the stud first: with a stud at half speed several of the rest meet them.
func (d *draw) toothMistakes(z, n int) []curriculum.WrongRule {
	teeth, starts, turns := threadmath.Int(int64(z)), threadmath.Int(int64(n)), d.machine.gears.turns
	seen := []threadmath.Ratio{teeth.Mul(turns).Quo(starts)} // the answer
	var ids []string
	try := func(id string, v threadmath.Ratio) {
		if !slices.ContainsFunc(seen, v.Equal) {
			seen, ids = append(seen, v), append(ids, id)
		}
	}
	if d.studTurns() {
		try("stud-left-out", teeth.Quo(starts))
		try("stud-upside-down", teeth.Quo(turns).Quo(starts))
	}
	try("whole-turn", teeth.Mul(turns))
	try("gaps", teeth.Mul(turns).Quo(threadmath.Int(int64(n-1))))
	try("degrees", threadmath.Int(360).Quo(starts))
	return mistakes("gear-tooth-index", ids...)
}

func serveWheels(m *machine, units threadmath.System) string {
	if why := serveTeeth(m, units); why != "" {
		return why
	}
	if len(startsThat(m.wheelChoice)) == 0 {
		return "no choice between wheels that the starts divide and wheels that they do not"
	}
	return ""
}

const wrongWheels = 3

func (m *machine) wheelChoice(n int) bool {
	yes, no := m.gears.dividing(n)
	return len(yes) > 0 && len(no) >= wrongWheels
}

func whichWheel(d *draw) (*item, error) {
	n, err := d.starts(startsThat(d.machine.wheelChoice))
	if err != nil {
		return nil, err
	}
	yes, no := d.machine.gears.dividing(n)
	right := oneOf(d, yes)
	d.rng.Shuffle(len(no), func(i, j int) { no[i], no[j] = no[j], no[i] })
	wheels := append([]int{right}, no[:wrongWheels]...)
	slices.Sort(wheels)
	it := d.item(fmt.Sprintf("%s thread is to be indexed by the teeth of the wheel on the stud of %s.", capital(article(startWords[n])), d.latheName()))
	it.given("n", "starts", itoa(n))
	d.stud(it)
	p := curriculum.Part{
		ID: "a", Kind: curriculum.KindChoice, Ask: "Which of these wheels serves?",
		Steps: []curriculum.Step{{Name: "a", Say: fmt.Sprintf("The teeth that pass in a turn of the spindle must divide by %d, or the train does not mesh again.", n)}},
	}
	for i, w := range wheels {
		id := string(rune('A' + i))
		p.Choices = append(p.Choices, curriculum.Choice{ID: id, Text: itoa(w) + " teeth"})
		if w == right {
			p.Answer = curriculum.TextValue(id)
			continue
		}
		p.Wrong = append(p.Wrong, mistakeWith("gear-tooth-index", "rounded", "", curriculum.TextValue(id)))
	}
	it.part(p)
	return it, nil
}

func serveToothWorth(m *machine, units threadmath.System) string {
	if m.leadscrew == nil {
		return "no leadscrew"
	}
	return serveTeeth(m, units)
}

// toothWorth asks what a tooth counted wrong would cost along the thread.
func toothWorth(d *draw) (*item, error) {
	n, err := d.starts(startsThat(d.machine.teethFor))
	if err != nil {
		return nil, err
	}
	yes, _ := d.machine.gears.dividing(n)
	z := oneOf(d, yes)
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread with %s is indexed by the wheel of %d teeth on the stud of %s, and somebody lets one tooth too many pass.",
		capital(article(startWords[n])), s.words(), z, d.latheName()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("Z", "teeth of the wheel", itoa(z))
	d.stud(it)
	wrong := mistakes("gear-tooth-index", "tooth-of-pitch")
	// With n starts and an n-th of a turn of the stud both mistakes come to the same.
	if d.studTurns() && !d.machine.gears.turns.Mul(threadmath.Int(int64(n))).Equal(threadmath.Int(1)) {
		wrong = append(wrong, mistakes("gear-tooth-index", "tooth-stud-left-out")...)
	}
	it.part(curriculum.Part{
		ID: "e", Kind: curriculum.KindLength, Ask: "How far out of place does the next start lie?", Unit: d.units.String(), Decimals: d.askedLength() + 1,
		Steps: append(s.steps(),
			curriculum.Step{Name: "L", Say: "In a turn of the spindle the carriage would move by the lead.", Rule: "n*P", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "e", Say: "A tooth is its share of the turn.", Rule: "L/(Z*r)", Unit: d.units.String()}),
		Wrong: wrong,
	})
	return it, nil
}
