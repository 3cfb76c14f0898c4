package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/curriculum/mastery"
	"halfnut/threadmath"
)

// Stranger is somebody who does not hold a skill and has a way of looking as if.
// Everything that a stranger is asked is drawn and marked as a learner's exercises are.
type Stranger struct {
	Name string
	// fits says whether the way can be gone at all with a skill; nil is always.
	fits func(t *trial) bool
	// half says that a part of the skill is held: such a one is no pure stranger.
	half bool
	// answers are what is written, by part; a part that is left out stays empty.
	answers func(t *trial, e curriculum.Exercise) map[string]string
}

// trial is one stranger at one skill on one lathe.
type trial struct {
	lathe  threadmath.Lathe
	drawer *generate.Drawer
	skill  string
	units  threadmath.System
	models []string
	random *rand.Rand
	// beside is what the neighbour in the class set was asked.
	beside curriculum.Exercise
	// rank is one order of all sentences, learned by heart from the keys of others.
	rank map[string]int
}

// junk is what is typed where something must stand.
const junk = "1"

// Strangers returns the ways of looking as if.
func Strangers() []Stranger {
	return []Stranger{
		{Name: "always the same button", answers: func(t *trial, e curriculum.Exercise) map[string]string {
			usual := map[string]string{}
			shares, err := t.drawer.Shares(t.skill, e.Model, t.units)
			if err == nil {
				for _, s := range shares {
					usual[s.Part] = s.Choice
				}
			}
			return t.each(e, func(p curriculum.Part) string {
				if len(p.Choices) == 0 {
					return junk
				}
				if i := slices.IndexFunc(p.Choices, func(c curriculum.Choice) bool { return c.Text == usual[p.ID] }); i >= 0 {
					return p.Choices[i].ID
				}
				return first(p)
			})
		}},
		{Name: "choosing blindly", answers: func(t *trial, e curriculum.Exercise) map[string]string {
			return t.each(e, func(p curriculum.Part) string {
				if p.Kind == curriculum.KindChoice {
					return p.Choices[t.random.IntN(len(p.Choices))].ID
				}
				return blind(t, p)
			})
		}},
		{Name: "copying the question", answers: func(t *trial, e curriculum.Exercise) map[string]string {
			var given []string
			for _, text := range e.Givens.Values {
				given = append(given, text)
			}
			slices.Sort(given)
			return t.each(e, func(p curriculum.Part) string {
				if len(p.Choices) > 0 || len(given) == 0 {
					return blind(t, p)
				}
				return given[t.random.IntN(len(given))]
			})
		}},
		{Name: "copying the neighbour", answers: func(t *trial, e curriculum.Exercise) map[string]string {
			theirs := key(t.beside)
			return t.each(e, func(p curriculum.Part) string { return theirs[p.ID] })
		}},
		{Name: "one model only", half: true, fits: func(t *trial) bool { return len(t.models) > 1 }, answers: func(t *trial, e curriculum.Exercise) map[string]string {
			if e.Model == t.models[0] {
				return key(e)
			}
			return t.each(e, func(p curriculum.Part) string { return blind(t, p) })
		}},
		{Name: "the first part only", half: true, answers: func(t *trial, e curriculum.Exercise) map[string]string {
			if len(e.Parts) < 2 {
				return t.each(e, func(p curriculum.Part) string { return blind(t, p) })
			}
			all := key(e)
			out := t.each(e, func(p curriculum.Part) string { return blind(t, p) })
			out[e.Parts[0].ID] = all[e.Parts[0].ID]
			return out
		}},
		{Name: "one memorized rank", answers: func(t *trial, e curriculum.Exercise) map[string]string {
			return t.each(e, func(p curriculum.Part) string {
				if p.Kind != curriculum.KindOrder {
					return blind(t, p)
				}
				return t.ranked(p)
			})
		}},
	}
}

func (t *trial) each(e curriculum.Exercise, answer func(curriculum.Part) string) map[string]string {
	out := map[string]string{}
	for _, p := range e.Parts {
		out[p.ID] = answer(p)
	}
	return out
}

func first(p curriculum.Part) string { return p.Choices[0].ID }

// blind answers anything that can be read.
func blind(t *trial, p curriculum.Part) string {
	switch {
	case p.Kind == curriculum.KindOrder:
		ids := make([]string, len(p.Choices))
		for i, c := range p.Choices {
			ids[i] = c.ID
		}
		t.random.Shuffle(len(ids), func(i, j int) { ids[i], ids[j] = ids[j], ids[i] })
		return joined(ids)
	case p.Kind == curriculum.KindList && len(p.Choices) > 0:
		var ids []string
		for _, c := range p.Choices {
			if t.random.IntN(2) == 0 {
				ids = append(ids, c.ID)
			}
		}
		if ids == nil {
			return "none"
		}
		return joined(ids)
	case len(p.Choices) > 0:
		return p.Choices[t.random.IntN(len(p.Choices))].ID
	}
	return junk
}

func joined(ids []string) string {
	out := ""
	for i, id := range ids {
		if i > 0 {
			out += ", "
		}
		out += id
	}
	return out
}

// key is the right answer to every part, as somebody who holds it writes it.
func key(e curriculum.Exercise) map[string]string {
	out := map[string]string{}
	for _, p := range e.Parts {
		text := p.Answer.String()
		if l := p.Answer.Length; l != nil {
			text = strconv.FormatFloat(l.MM(), 'f', max(p.Decimals, 4), 64) + " mm"
			if p.Unit == curriculum.UnitInch {
				text = strconv.FormatFloat(l.Value(threadmath.Inch), 'f', max(p.Decimals, 4), 64) + " in"
			}
		}
		if v, ok := p.Number(*p.Answer); ok && p.RoundDown {
			text = strconv.FormatFloat(p.Written(v.Float64()), 'f', p.Decimals, 64)
		}
		out[p.ID] = text
	}
	return out
}

// learnRank learns one order of all sentences from the keys of so many exercises: by
// the mean place that each had.
func (t *trial) learnRank(from int) {
	sum, count := map[string]float64{}, map[string]int{}
	for range from {
		e, err := t.drawer.Draw(t.skill, t.random.Uint64N(1<<53), generate.Options{Units: t.units})
		if err != nil {
			return
		}
		for _, p := range e.Parts {
			for place, id := range p.Answer.Order {
				i := slices.IndexFunc(p.Choices, func(c curriculum.Choice) bool { return c.ID == id })
				if i >= 0 {
					sum[p.Choices[i].Text] += float64(place) / float64(len(p.Answer.Order))
					count[p.Choices[i].Text]++
				}
			}
		}
	}
	texts := make([]string, 0, len(sum))
	for text := range sum {
		texts = append(texts, text)
	}
	slices.SortFunc(texts, func(a, b string) int {
		x, y := sum[a]/float64(count[a]), sum[b]/float64(count[b])
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	t.rank = map[string]int{}
	for i, text := range texts {
		t.rank[text] = i
	}
}

func (t *trial) ranked(p curriculum.Part) string {
	if t.rank == nil {
		t.learnRank(60)
	}
	choices := slices.Clone(p.Choices)
	slices.SortStableFunc(choices, func(a, b curriculum.Choice) int { return t.rank[a.Text] - t.rank[b.Text] })
	ids := make([]string, len(choices))
	for i, c := range choices {
		ids[i] = c.ID
	}
	return joined(ids)
}

// Tried is what came of one way of looking as if.
type Tried struct {
	Name string
	// Half says that the stranger holds a part of the skill.
	Half bool
	// Runs are skills on lathes that were tried, Passed those whose gate for the machine
	// opened, By the skills of these.
	Runs, Passed int
	By           []string
}

// Upper is the upper end of the 95 % interval for the share that passes (Wilson's score
// interval; E. B. Wilson, Journal of the American Statistical Association 22, 1927).
func (t Tried) Upper() float64 {
	const z = 1.959964
	n, p := float64(t.Runs), float64(t.Passed)/math.Max(1, float64(t.Runs))
	if n == 0 {
		return 1
	}
	return (p + z*z/(2*n) + z*math.Sqrt(p*(1-p)/n+z*z/(4*n*n))) / (1 + z*z/n)
}

// StrangerConfig says how strangers are tried.
type StrangerConfig struct {
	Lathes []threadmath.Lathe
	Skills []string
	// Rounds is how often every skill is tried on every lathe in either unit system,
	// Tries how many exercises are answered each time, PerDay how many of them a day.
	Rounds, Tries, PerDay int
	Seed                  uint64
}

// TryStrangers lets every stranger practise every skill that the lathes serve, by
// exercises that are drawn for it, and counts for whom the gate of the machine opens.
func TryStrangers(c StrangerConfig) ([]Tried, error) {
	out := make([]Tried, 0, 7)
	for k, s := range Strangers() {
		got := Tried{Name: s.Name, Half: s.half}
		for li, l := range c.Lathes {
			d, err := generate.NewDrawer(l)
			if err != nil {
				return nil, err
			}
			for _, skill := range c.Skills {
				for _, units := range []threadmath.System{threadmath.Metric, threadmath.Inch} {
					if d.Serves(skill, units) != nil {
						continue
					}
					r, err := d.Range(skill, units)
					if err != nil {
						return nil, err
					}
					for round := range c.Rounds {
						random := rand.New(rand.NewPCG(c.Seed, uint64(k)<<40|uint64(li)<<32|uint64(round)))
						t := &trial{lathe: l, drawer: d, skill: skill, units: units, models: r.Models, random: random}
						if s.fits != nil && !s.fits(t) {
							continue
						}
						got.Runs++
						open, err := t.practise(s, c)
						if err != nil {
							return nil, fmt.Errorf("%s at %s on %s: %w", s.Name, skill, l.Name, err)
						}
						if open {
							got.Passed++
							got.By = append(got.By, skill)
						}
					}
				}
			}
		}
		out = append(out, got)
	}
	return out, nil
}

// practise answers the tries of a run; open says whether the gate of the machine opened
// at any time.
func (t *trial) practise(s Stranger, c StrangerConfig) (open bool, err error) {
	cells := curriculum.Cells{}
	for n := range c.Tries {
		// A class set, so that there is a neighbour.
		set, err := generate.Set(generate.SetSpec{Skills: []string{t.skill}, Lathe: t.lathe, Variants: 2, Count: 1, Seed: t.random.Uint64N(1 << 53), Units: t.units})
		if err != nil {
			return false, err
		}
		e := set[1][0]
		t.beside = set[0][0]
		at := begin.AddDate(0, 0, n/c.PerDay).Add(time.Duration(n%c.PerDay) * time.Minute)
		fold(cells, e, s.answers(t, e), n, at)
		if cell := cells[t.skill]; cell != nil && mastery.Machine.Open(*cell) {
			return true, nil
		}
	}
	return false, nil
}

// fold marks answers and adds them to the cells, as the service does.
func fold(cells curriculum.Cells, e curriculum.Exercise, answers map[string]string, n int, at time.Time) {
	mastery.Fold(cells, nil, curriculum.Attempt{
		ID: strconv.Itoa(n), Variant: "sheet", Position: n, Numbers: e.Numbers(), Basis: e.BasisOf(),
		Answers: answers, Verdicts: grade.Mark(e, answers, grade.Practice), At: at, Try: 1,
	})
}
