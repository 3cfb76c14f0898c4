package generate

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// safetyModels ask about the situations of the bank: a model for each topic, which
// asks for all that is right among what is shown, and one over all topics that
// asks for the one thing that is.
var safetyModels = func() []*model {
	bank := map[string]map[string][]curriculum.Situation{}
	var order [][2]string
	for _, s := range curriculum.Situations() {
		if bank[s.Skill] == nil {
			bank[s.Skill] = map[string][]curriculum.Situation{}
			order = append(order, [2]string{s.Skill, oneRight})
		}
		if bank[s.Skill][s.Topic] == nil {
			order = append(order, [2]string{s.Skill, s.Topic})
		}
		bank[s.Skill][s.Topic] = append(bank[s.Skill][s.Topic], s)
		bank[s.Skill][oneRight] = append(bank[s.Skill][oneRight], s)
	}
	var out []*model
	for _, key := range order {
		skill, name := key[0], key[1]
		all := bank[skill][name]
		ask := allRight
		if name == oneRight {
			ask = theOneRight
		}
		out = append(out, &model{
			skill: skill, name: name, version: 2, weight: len(all),
			serve: func(m *machine, _ threadmath.System) string {
				if len(m.met(all)) == 0 {
					return "none of the situations about " + name + " can be met"
				}
				return ""
			},
			draw: func(d *draw) (*item, error) { return situation(d, oneOf(d, d.machine.met(all)), ask) },
		})
	}
	return out
}()

// oneRight is the model that asks for one right thing among all topics.
const oneRight = "one-right"

// met returns the situations that can be met at the lathe.
func (m *machine) met(all []curriculum.Situation) []curriculum.Situation {
	return slices.DeleteFunc(slices.Clone(all), func(s curriculum.Situation) bool {
		switch s.Needs {
		case "dial":
			return serveAnyDial(m, 0) != ""
		case "half-nut":
			return !m.halfNut
		case "compound":
			return m.compound == nil
		case "holder":
			return len(m.holders) == 0
		case "stud-gear":
			return serveStudGear(m, 0) != ""
		}
		return false
	})
}

// The names that a draw puts into a situation.
var (
	safetyParts  = []string{"a bush", "a shaft", "a clamp screw", "a valve stem", "a spacer", "a handle", "a nut blank", "a jack screw", "a coupling", "a spindle for a vice"}
	safetyMetals = []string{"brass", "mild steel", "cast iron", "bronze", "aluminium", "stainless steel"}
	safetySizes  = map[threadmath.System][]string{
		threadmath.Metric: {"16 mm", "20 mm", "25 mm", "30 mm", "38 mm"},
		threadmath.Inch:   {"5/8 in", "3/4 in", "1 in", "1 1/4 in", "1 1/2 in"},
	}
)

// situation tells a scene in one of its ways and lets ask add the part.
func situation(d *draw, s curriculum.Situation, ask func(*draw, *curriculum.Part, curriculum.Situation)) (*item, error) {
	lathe := d.latheName()
	names := strings.NewReplacer("{part}", oneOf(d, safetyParts), "{metal}", oneOf(d, safetyMetals), "{size}", oneOf(d, safetySizes[d.units]), "{lathe}", lathe)
	it := d.item(capital(names.Replace(oneOf(d, s.Says))))
	it.ex.Givens.Values[curriculum.GivenSituation] = s.ID
	it.decisive = []string{curriculum.GivenSituation}
	p := curriculum.Part{ID: "a", Marks: 1, Safety: true}
	ask(d, &p, s)
	for i := range p.Choices {
		p.Choices[i].Text = capital(names.Replace(p.Choices[i].Text))
	}
	for i := range p.Steps {
		p.Steps[i].Say = names.Replace(p.Steps[i].Say)
	}
	p.Steps = append(p.Steps, curriculum.Step{Say: s.Hazard + " Source: " + s.Source + "."})
	it.part(p)
	return it, nil
}

const firstLook = "Ask of each: what turns or can start to turn, what moves by itself, where the hands and clothes are, and what cannot be undone."

// shownAction is an action as it is dealt.
type shownAction struct {
	curriculum.Action
	right bool
}

// deal shuffles the actions, makes them the part's choices and explains each.
func (d *draw) deal(p *curriculum.Part, s curriculum.Situation, id func(place int) string, shown []shownAction) {
	d.rng.Shuffle(len(shown), func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
	p.Steps = []curriculum.Step{{Name: "a", Say: firstLook}}
	for place, a := range shown {
		name := id(place)
		p.Choices = append(p.Choices, curriculum.Choice{ID: name, Text: a.Text})
		if a.right {
			p.Steps = append(p.Steps, curriculum.Step{Say: name + " is right: " + a.Text})
			continue
		}
		p.Steps = append(p.Steps, curriculum.Step{Say: name + " is wrong: " + a.Text + " " + a.Why})
		wrong := mistakes(s.Skill, s.ID+"-"+a.ID)[0]
		if p.Kind == curriculum.KindList {
			wrong.Answer = &curriculum.Value{List: []int{place + 1}}
		} else {
			wrong.Answer = curriculum.TextValue(name)
		}
		p.Wrong = append(p.Wrong, wrong)
	}
}

// allRight shows four or five actions, and asks which of them are right.
func allRight(d *draw, p *curriculum.Part, s curriculum.Situation) {
	p.Kind, p.Partial = curriculum.KindList, true
	p.Ask = "Which of these are right here? Write the numbers of all that are."
	var ways [][2]int // how many right and wrong ones
	for shown := 4; shown <= 5; shown++ {
		for right := 1; right <= len(s.Right) && right < shown; right++ {
			if shown-right <= len(s.Wrong) {
				ways = append(ways, [2]int{right, shown - right})
			}
		}
	}
	way := oneOf(d, ways)
	var shown []shownAction
	for _, i := range d.some(len(s.Right), way[0]) {
		shown = append(shown, shownAction{s.Right[i], true})
	}
	for _, i := range d.some(len(s.Wrong), way[1]) {
		shown = append(shown, shownAction{s.Wrong[i], false})
	}
	d.deal(p, s, func(place int) string { return strconv.Itoa(place + 1) }, shown)
	p.Answer = &curriculum.Value{List: []int{}}
	for place, a := range shown {
		if a.right {
			p.Answer.List = append(p.Answer.List, place+1)
		}
	}
}

// lengthWeights say how often the right action is the shortest, second and so on,
// where a situation has all of these. In several the right ones can only be the
// shortest, so elsewhere they are it less often.
var lengthWeights = [...]int{1, 2, 2, 2}

// theOneRight shows one right action among three wrong ones. How long the right
// one is among them is drawn first, so that over the bank lengths tell nothing.
func theOneRight(d *draw, p *curriculum.Part, s curriculum.Situation) {
	p.Kind = curriculum.KindChoice
	p.Ask = "Which of these is right here?"
	const wrongs = 3
	var by [wrongs + 1][][]shownAction // by how many of the wrong ones are shorter
	for _, right := range s.Right {
		for skip := range len(s.Wrong) {
			if len(s.Wrong) == wrongs && skip > 0 {
				break
			}
			shown := []shownAction{{right, true}}
			for i, w := range s.Wrong {
				if len(s.Wrong) == wrongs || i != skip {
					shown = append(shown, shownAction{w, false})
				}
			}
			shorter := 0
			for _, a := range shown[1:] {
				if len(a.Text) < len(right.Text) {
					shorter++
				}
			}
			by[shorter] = append(by[shorter], shown)
		}
	}
	var ranks []int
	for rank, of := range by {
		if len(of) > 0 {
			ranks = append(ranks, rank)
		}
	}
	rank := pick(d.rng, ranks, func(rank int) int { return lengthWeights[rank] })
	shown := slices.Clone(oneOf(d, by[rank]))
	d.deal(p, s, func(place int) string { return string(rune('a' + place)) }, shown)
	right := slices.IndexFunc(shown, func(a shownAction) bool { return a.right })
	p.Answer = curriculum.TextValue(p.Choices[right].ID)
}

// Situations returns the ids of the situations of a safety skill that can be met
// on the drawer's lathe, in the order of the bank; none for other skills.
func (d *Drawer) Situations(skill string) []string {
	var out []string
	for _, s := range d.bench.machine.met(curriculum.Situations()) {
		if s.Skill == skill {
			out = append(out, s.ID)
		}
	}
	return out
}

// DrawSituations draws count exercises of a safety skill, no two about the same
// situation, and none about one of met as long as the bank has others; of those
// the ones met longest ago, which stand first, come again. It returns how many
// come again. More than the bank holds for this lathe is an ErrInvalid.
func (d *Drawer) DrawSituations(skill string, count int, seed uint64, met []string, opts Options) (out []curriculum.Exercise, again int, err error) {
	bank := d.Situations(skill)
	if count > len(bank) {
		return nil, 0, fmt.Errorf("%w: %d situations were asked for, and the bank holds %d of %s for %s", curriculum.ErrInvalid, count, len(bank), skill, cmp.Or(d.bench.lathe.Name, "this lathe"))
	}
	left := map[string]bool{} // what may be drawn
	for _, id := range bank {
		left[id] = !slices.Contains(met, id)
		if left[id] {
			again--
		}
	}
	again = max(0, again+count)
	seen := map[string]bool{}
	open := again
	for _, id := range met {
		if open > 0 && slices.Contains(bank, id) && !seen[id] {
			left[id] = true
			open--
		}
		seen[id] = true
	}
	for try := 0; len(out) < count; try++ {
		sum := d.bench.digest(seed, opts.Units, "situations", skill, strconv.Itoa(try))
		e, err := d.Draw(skill, binary.LittleEndian.Uint64(sum[:8])&maxSeed, opts)
		if err != nil {
			return nil, 0, err
		}
		if id := e.Givens.Values[curriculum.GivenSituation]; left[id] {
			left[id] = false
			out = append(out, e)
		}
	}
	return out, again, nil
}
