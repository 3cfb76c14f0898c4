package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var gearRatioModels = []*model{
	{skill: "gear-ratio", name: "for-a-thread", version: 2, weight: 2, serve: serveGears, draw: ratioForThread},
	{skill: "gear-ratio", name: "lead-of-a-pair", version: 1, weight: 1, serve: serveGears, draw: leadOfPair},
}

var gearTrainModels = []*model{
	{skill: "gear-train", name: "lead-of-a-train", version: 1, weight: 1, serve: serveTrains, draw: leadOfTrain},
	{skill: "gear-train", name: "last-wheel", version: 2, weight: 1, serve: serveExact, draw: lastWheel},
	{skill: "gear-train", name: "which-set", version: 2, weight: 1, serve: serveExact, draw: whichSet},
}

// ratioDecimals is how many decimals a gear ratio is told to when it is not told
// as a fraction: 25 for 25.4 must show.
const ratioDecimals = 4

// screw gives the leadscrew and, where it does not turn with the spindle, the
// stud, and returns the step that leads to p in the learner's units. Mixed says
// that it is written in the other unit system.
func (d *draw) screw(it *item) (steps []curriculum.Step, mixed bool) {
	m := d.machine
	mixed = m.leadscrewSystem != d.units
	if m.gears.turns.Equal(threadmath.Int(1)) {
		it.ex.Givens.Values["r"] = "1"
	} else {
		it.given("r", "turns of the stud for each turn of the spindle", m.gears.turns.String())
	}
	text := d.lathe.Leadscrew
	unit := d.units.String()
	_, name, _ := cutUnit(text)
	perInch := name == "tpi"
	switch {
	case perInch && !mixed:
		it.given("S", "leadscrew", text)
		return []curriculum.Step{{Name: "p", Say: "A turn of the leadscrew moves the carriage by one inch divided by its threads per inch.", Rule: "1/S", Unit: unit}}, mixed
	case perInch:
		it.given("S", "leadscrew", text)
		return []curriculum.Step{{Name: "p", Say: "A turn of the leadscrew is 25.4 mm divided by its threads per inch.", Rule: "25.4/S", Unit: unit}}, mixed
	case !mixed:
		it.given("p", "leadscrew", text)
		return nil, mixed
	case d.units == threadmath.Inch:
		it.given("S", "leadscrew", text)
		return []curriculum.Step{{Name: "p", Say: "An inch is exactly 25.4 mm.", Rule: "S/25.4", Unit: unit}}, mixed
	default:
		it.given("S", "leadscrew", text)
		return []curriculum.Step{{Name: "p", Say: "An inch is exactly 25.4 mm.", Rule: "25.4*S", Unit: unit}}, mixed
	}
}

// twentyFive is the mistake of taking 25 mm for an inch: a rule of the skill that
// holds where the leadscrew is metric, turned over where it is in inches.
func (d *draw) twentyFive(skill, id, rule, other string) curriculum.WrongRule {
	if d.machine.leadscrewSystem == threadmath.Metric {
		return mistakeWith(skill, id, rule, nil)
	}
	return mistakeWith(skill, id, other, nil)
}

func (d *draw) studTurns() bool { return !d.machine.gears.turns.Equal(threadmath.Int(1)) }

// ofStud adds to a sentence about the stud's turns what they are where they are not
// among the givens.
func (d *draw) ofStud(say string) string {
	if d.studTurns() {
		return say
	}
	return say + " The stud turns with the spindle, so r is 1."
}

// studAsks reports whether leaving the stud's turns out is a mistake of its own:
// with n starts and an n-th of a turn of the stud it comes to the same as gearing
// for the pitch.
func (d *draw) studAsks(n int) bool { return d.studTurns() && !d.machine.gears.turns.Equal(over(1, n)) }

// ratioForThread asks what the wheels must make for a thread of several starts.
func ratioForThread(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread with %s is to be cut on %s with change gears.", capital(article(startWords[n])), s.words(), d.latheName()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	steps, mixed := d.screw(it)
	wrong := mistakes("gear-ratio", "inverted", "geared-for-pitch")
	if d.studAsks(n) {
		wrong = append(wrong, mistakes("gear-ratio", "stud-left-out")...)
	}
	if mixed {
		wrong = append(wrong, d.twentyFive("gear-ratio", "twenty-five", "L*25/(25.4*p*r)", "L*25.4/(25*p*r)"))
	}
	it.part(curriculum.Part{
		ID: "q", Kind: curriculum.KindRatio, Ask: "What ratio of drivers to driven wheels, as a fraction?", Decimals: ratioDecimals,
		Steps: slices.Concat(s.steps(), []curriculum.Step{{Name: "L", Say: "The gears make the lead: starts times pitch.", Rule: "n*P", Unit: d.units.String(), Method: true}}, steps,
			[]curriculum.Step{{Name: "q", Say: d.ofStud("Divide the lead by the leadscrew's lead, and by the turns of the stud."), Rule: "L/(p*r)"}}),
		Wrong: wrong,
	})
	return it, nil
}

// leadOfPair asks the other way round: which lead two wheels cut.
func leadOfPair(d *draw) (*item, error) {
	g := &d.machine.gears
	t := threadmath.TrainWheels{A: oneOf(d, g.sizes), B: oneOf(d, g.sizes)}
	if t.A == t.B || !g.Stands(t) { // like wheels cut the leadscrew's own lead
		return nil, reject("%s cannot be put up", t)
	}
	if !d.machine.cuts(d.machine.leadscrew.Mul(g.turns).Mul(t.Ratio())) {
		return nil, reject("%s cuts a lead beyond this lathe", t)
	}
	it := d.item(fmt.Sprintf("On %s a wheel of %d teeth on the stud drives, over an idler, one of %d teeth on the leadscrew.", d.latheName(), t.A, t.B))
	it.given("A", "driver", itoa(t.A)+" teeth")
	it.given("B", "driven", itoa(t.B)+" teeth")
	it.ex.Givens.Values["A"], it.ex.Givens.Values["B"] = itoa(t.A), itoa(t.B)
	steps, _ := d.screw(it)
	wrong := mistakes("gear-ratio", "train-inverted", "wheels-only")
	if d.studTurns() {
		wrong = append(wrong, mistakes("gear-ratio", "train-stud-left-out")...)
	}
	it.part(curriculum.Part{
		ID: "L", Kind: curriculum.KindLength, Ask: "Which lead does it cut?", Unit: d.units.String(), Decimals: d.askedLength() + 1,
		Steps: append(steps, curriculum.Step{Name: "L", Say: d.ofStud("The leadscrew's lead times the turns of the stud times driver over driven."), Rule: "p*r*A/B", Unit: d.units.String()}),
		Wrong: wrong,
	})
	return it, nil
}

func serveTrains(m *machine, units threadmath.System) string {
	if why := serveGears(m, units); why != "" {
		return why
	}
	if len(m.gears.sizes) < 4 {
		return "fewer than four different change gears"
	}
	return ""
}

// serveExact says why no train of the wheels on hand cuts a lead of several starts
// exactly.
func serveExact(m *machine, units threadmath.System) string {
	if why := serveTrains(m, units); why != "" {
		return why
	}
	if m.leadscrewSystem != units && !slices.ContainsFunc(m.gears.sizes, func(w int) bool { return w%127 == 0 }) {
		return "no wheel of 127 teeth, so no lead in " + units.String() + " is exact"
	}
	for n := 2; n <= 6; n++ {
		for _, s := range spacings[units] {
			if lead := s.length.Times(n); m.cuts(lead) && len(m.gears.Compounds(m.gearRatio(lead))) > 0 {
				return ""
			}
		}
	}
	return "no four wheels on hand cut a lead of several starts in " + units.String()
}

// compoundTrain draws four wheels that can be put up and a lead this lathe would cut.
func (d *draw) compoundTrain() (threadmath.TrainWheels, threadmath.Length, error) {
	g := &d.machine.gears
	sizes := g.sizes
	t := threadmath.TrainWheels{A: oneOf(d, sizes), B: oneOf(d, sizes), C: oneOf(d, sizes), D: oneOf(d, sizes)}
	lead := d.machine.leadscrew.Mul(g.turns).Mul(t.Ratio())
	switch {
	case !g.Stands(t):
		return t, lead, reject("%s cannot be put up", t)
	case !d.machine.cuts(lead):
		return t, lead, reject("%s cuts a lead beyond this lathe", t)
	}
	return t, lead, nil
}

// wheels gives the wheels of a train by their places.
func (it *item) wheels(teeth map[string]int) {
	for _, w := range []struct{ name, label string }{{"A", "first driver"}, {"B", "first driven"}, {"C", "second driver"}, {"D", "second driven"}} {
		if n := teeth[w.name]; n != 0 {
			it.given(w.name, w.label, itoa(n))
		}
	}
}

func leadOfTrain(d *draw) (*item, error) {
	t, _, err := d.compoundTrain()
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("On %s the stud's wheel of %d teeth drives one of %d; keyed to it a wheel of %d drives one of %d on the leadscrew.", d.latheName(), t.A, t.B, t.C, t.D))
	it.wheels(map[string]int{"A": t.A, "B": t.B, "C": t.C, "D": t.D})
	steps, mixed := d.screw(it)
	wrong := mistakes("gear-train", "one-pair", "inverted")
	if d.studTurns() {
		wrong = append(wrong, mistakes("gear-train", "stud-left-out")...)
	}
	if mixed {
		wrong = append(wrong, d.twentyFive("gear-train", "twenty-five", "p*r*A*C/(B*D)*25.4/25", "p*r*A*C/(B*D)*25/25.4"))
	}
	it.part(curriculum.Part{
		ID: "L", Kind: curriculum.KindLength, Ask: "Which lead does it cut?", Unit: d.units.String(), Decimals: d.askedLength() + 1,
		Steps: append(steps,
			curriculum.Step{Name: "q", Say: "Multiply the drivers, multiply the driven wheels, and divide.", Rule: "A*C/(B*D)", Method: true},
			curriculum.Step{Name: "L", Say: d.ofStud("The leadscrew's lead times the turns of the stud times that."), Rule: "p*r*q", Unit: d.units.String()}),
		Wrong: wrong,
	})
	return it, nil
}

// threadOfTrain draws a thread of several starts and a train of four wheels on
// hand that cuts its lead exactly.
func (d *draw) threadOfTrain() (n int, s spacing, t threadmath.TrainWheels, err error) {
	if n, s, err = d.thread(manyStarts); err != nil {
		return n, s, t, err
	}
	fits := d.machine.gears.Compounds(d.machine.gearRatio(s.length.Times(n)))
	if len(fits) == 0 {
		return n, s, t, reject("no four wheels on hand cut %d × %s", n, s.text)
	}
	return n, s, oneOf(d, fits), nil
}

func lastWheel(d *draw) (*item, error) {
	n, s, t, err := d.threadOfTrain()
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread with %s is to be cut on %s. Three wheels of the train are up: %d drives %d, keyed to %d.",
		capital(article(startWords[n])), s.words(), d.latheName(), t.A, t.B, t.C))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.wheels(map[string]int{"A": t.A, "B": t.B, "C": t.C})
	steps, mixed := d.screw(it)
	wrong := mistakes("gear-train", "last-inverted", "last-one-pair", "last-for-pitch")
	if d.studAsks(n) {
		wrong = append(wrong, mistakes("gear-train", "last-stud-left-out")...)
	}
	if mixed {
		wrong = append(wrong, d.twentyFive("gear-train", "last-twenty-five", "A*C*p*r*25.4/(B*L*25)", "A*C*p*r*25/(B*L*25.4)"))
	}
	it.part(curriculum.Part{
		ID: "D", Kind: curriculum.KindCount, Ask: "How many teeth must the wheel on the leadscrew have?",
		Steps: slices.Concat(s.steps(), []curriculum.Step{{Name: "L", Say: "The gears make the lead.", Rule: "n*P", Unit: d.units.String(), Method: true}}, steps,
			[]curriculum.Step{{Name: "D", Say: d.ofStud("Drivers over driven wheels make the lead over the leadscrew's and the turns of the stud: solve for the last driven wheel."), Rule: "A*C*p*r/(B*L)"}}),
		Wrong: wrong,
	})
	return it, nil
}

func whichSet(d *draw) (*item, error) {
	n, s, t, err := d.threadOfTrain()
	if err != nil {
		return nil, err
	}
	g := &d.machine.gears
	want := d.machine.gearRatio(s.length.Times(n))
	type option struct {
		threadmath.TrainWheels
		mistake string
	}
	options := []option{{TrainWheels: t}}
	// What each mistake makes of the ratio. Where two make the same of it, a set
	// would show neither for certain.
	type slip struct {
		mistake string
		ratio   threadmath.Ratio
	}
	made := []slip{{"set-inverted", threadmath.Int(1).Quo(want)}, {"set-for-pitch", want.Quo(threadmath.Int(int64(n)))}}
	if d.studTurns() {
		made = append(made, slip{"set-stud-left-out", want.Mul(g.turns)})
	}
	add := func(o threadmath.TrainWheels, mistake string) {
		same := func(x option) bool { return x.Ratio().Equal(o.Ratio()) }
		another := func(s slip) bool { return s.mistake != mistake && s.ratio.Equal(o.Ratio()) }
		if g.Stands(o) && !o.Ratio().Equal(want) && !slices.ContainsFunc(options, same) && !slices.ContainsFunc(made, another) {
			options = append(options, option{o, mistake})
		}
	}
	for _, m := range made[1:] {
		if sets := g.Compounds(m.ratio); len(sets) > 0 {
			add(oneOf(d, sets), m.mistake)
		}
	}
	add(threadmath.TrainWheels{A: t.B, B: t.A, C: t.D, D: t.C}, "set-inverted")
	if near := g.Near(want); len(near) > 0 {
		add(oneOf(d, near), "set-near")
	}
	for _, pair := range g.Pairs(want) {
		if pair.A == pair.B { // cannot both drive and be driven
			continue
		}
		o := threadmath.TrainWheels{A: pair.A, B: pair.B, C: oneOf(d, g.sizes), D: oneOf(d, g.sizes)}
		if o.C != o.D {
			add(o, "set-one-pair")
			break
		}
	}
	const least = 3
	if len(options) < least {
		return nil, reject("only %d sets can be told apart", len(options))
	}
	d.rng.Shuffle(len(options), func(i, j int) { options[i], options[j] = options[j], options[i] })
	it := d.item(fmt.Sprintf("%s thread with %s is to be cut on %s. Drivers stand over driven wheels.", capital(article(startWords[n])), s.words(), d.latheName()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	d.screw(it)
	p := curriculum.Part{
		ID: "a", Kind: curriculum.KindChoice, Ask: "Which of these sets cuts its lead exactly?",
		Steps: []curriculum.Step{{Name: "a", Say: d.ofStud(fmt.Sprintf("The lead, over the leadscrew's lead and the turns of the stud, is %s: so must drivers over driven wheels be.", want))}},
	}
	for i, o := range options {
		id := string(rune('A' + i))
		p.Choices = append(p.Choices, curriculum.Choice{ID: id, Text: o.String()})
		if o.mistake == "" {
			p.Answer = curriculum.TextValue(id)
			continue
		}
		p.Wrong = append(p.Wrong, mistakeWith("gear-train", o.mistake, "", curriculum.TextValue(id)))
	}
	it.part(p)
	return it, nil
}
