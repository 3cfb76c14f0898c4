package generate

import (
	"fmt"
	"slices"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// model is one item model: a way of asking for a skill.
type model struct {
	skill, name string
	// version rises whenever a change makes the same seed give something else.
	version int
	// weight is how often the model is chosen among the skill's.
	weight int
	// serve says why a lathe cannot be asked for it in these units; nil and ""
	// mean that it can.
	serve func(m *machine, units threadmath.System) string
	draw  func(d *draw) (*item, error)
}

var registry = index(
	designationModels, fractionModels, inchMMModels, tpiModels,
	leadModels, startsModels, gearboxModels, gearRatioModels, gearTrainModels,
	depthModels, infeedModels,
	offsetModels, angleModels, stationModels, toothModels, angledModels, leftHandModels,
	pickUpModels, dialModels,
	diametersModels, collarModels, trapezoidalModels, leadAngleModels, flanksModels,
	runOutModels, passModels, jobTimeModels, wiresModels, spacingModels,
	chooseModels, orderModels, jobModels, safetyModels,
)

func index(lists ...[]*model) map[string][]*model {
	out := map[string][]*model{}
	for _, list := range lists {
		for _, m := range list {
			out[m.skill] = append(out[m.skill], m)
		}
	}
	return out
}

// Skills returns the slugs that exercises can be drawn for, in the catalogue's
// order.
func Skills() []string {
	var out []string
	for _, s := range curriculum.Skills() {
		if len(registry[s.Slug]) > 0 {
			out = append(out, s.Slug)
		}
	}
	return out
}

// rejection is a draw that is no exercise; another is tried.
type rejection string

func (r rejection) Error() string { return string(r) }

func reject(format string, args ...any) error { return rejection(fmt.Sprintf(format, args...)) }

// chance is where choices come from.
type chance interface {
	IntN(n int) int
	Shuffle(n int, swap func(i, j int))
}

// draw is one exercise being drawn.
type draw struct {
	rng     chance
	bench   *bench
	machine *machine
	lathe   *threadmath.Lathe
	units   threadmath.System
	// wanted are radicals asked for; radicals those chosen, kept from try to try
	// so that a rejected draw does not shift how often each is met.
	wanted, radicals map[string]string
}

const radicalUnits = "units"

// weighted is a value of a radical and how often it is chosen.
type weighted struct {
	value  string
	weight int
}

// even gives every value the same weight.
func even(values ...string) []weighted {
	out := make([]weighted, len(values))
	for i, v := range values {
		out[i] = weighted{v, 1}
	}
	return out
}

// radical returns the value of the radical: the one wanted, the one chosen in an
// earlier try, or a new one. A wanted value that is no choice rejects.
func (d *draw) radical(name string, choices []weighted) (string, error) {
	if v, ok := d.radicals[name]; ok {
		return v, nil
	}
	v, ok := d.wanted[name]
	if ok {
		if !slices.ContainsFunc(choices, func(c weighted) bool { return c.value == v }) {
			return "", reject("%s %s is not among this model's", name, v)
		}
	} else {
		v = pick(d.rng, choices, func(c weighted) int { return c.weight }).value
	}
	d.radicals[name] = v
	return v, nil
}

// The number of starts: two in a quarter of the draws. few2 is for models whose
// wrong rules collide most at two starts.
var (
	manyStarts = []weighted{{"2", 25}, {"3", 36}, {"4", 25}, {"5", 7}, {"6", 7}}
	few2       = []weighted{{"2", 8}, {"3", 42}, {"4", 30}, {"5", 10}, {"6", 10}}
)

func (d *draw) starts(choices []weighted) (int, error) {
	v, err := d.radical("starts", choices)
	if err != nil {
		return 0, err
	}
	return strconv.Atoi(v)
}

func pick[T any](rng chance, from []T, weight func(T) int) T {
	if every, ok := rng.(*everyChance); ok {
		return from[every.IntN(len(from))] // each once, however often it is met
	}
	total := 0
	for _, v := range from {
		total += weight(v)
	}
	at := rng.IntN(total)
	for _, v := range from {
		if at -= weight(v); at < 0 {
			return v
		}
	}
	return from[len(from)-1]
}

func oneOf[T any](d *draw, from []T) T { return from[d.rng.IntN(len(from))] }

// between returns a whole number from low to high.
func (d *draw) between(low, high int) int { return low + d.rng.IntN(high-low+1) }

// item is an exercise before its proof.
type item struct {
	ex curriculum.Exercise
	// graduations of the collars that parts are set on, in the part's unit.
	graduations map[string]float64
	// decisive names the givens that decide the answers, where the answers themselves
	// do not tell the tasks apart.
	decisive []string
}

func (d *draw) item(prompt string) *item {
	return &item{ex: curriculum.Exercise{Prompt: prompt, Givens: curriculum.Givens{Values: map[string]string{}}}}
}

// given adds a value with its words.
func (it *item) given(name, label, text string) {
	it.ex.Givens.Values[name] = text
	it.ex.Givens.Listed = append(it.ex.Givens.Listed, curriculum.Given{Name: name, Label: label})
}

func (it *item) solve(r threadmath.Request) { it.ex.Givens.Solve = &r }

func (it *item) part(p curriculum.Part) {
	if p.Marks == 0 {
		p.Marks = 1
		for _, s := range p.Steps[:max(len(p.Steps)-1, 0)] {
			if s.Method {
				p.Marks++
			}
		}
	}
	it.ex.Parts = append(it.ex.Parts, p)
}

// setOn says which collar the part is set on.
func (it *item) setOn(part string, graduation float64) {
	if it.graduations == nil {
		it.graduations = map[string]float64{}
	}
	it.graduations[part] = graduation
}

// mistakes returns wrong rules of the catalogue. An unknown id is a slip in a
// model that its first draw shows.
func mistakes(skill string, ids ...string) []curriculum.WrongRule {
	out := make([]curriculum.WrongRule, 0, len(ids))
	for _, id := range ids {
		w, ok := wrongRules()[skill+"/"+id]
		if !ok {
			panic("generate: skill " + skill + " has no wrong rule " + id)
		}
		out = append(out, w)
	}
	return out
}

// mistakeWith is a wrong rule of the catalogue that leads to a list, a choice or
// an order, or to another formula.
func mistakeWith(skill, id, rule string, answer *curriculum.Value) curriculum.WrongRule {
	w := mistakes(skill, id)[0]
	w.Rule, w.Answer = rule, answer
	return w
}
