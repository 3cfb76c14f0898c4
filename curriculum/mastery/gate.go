package mastery

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
)

// Gate is what a skill must show before the learner goes on.
type Gate struct {
	// Known is the least probability that the skill is held.
	Known float64
	// Rights, Keys and Days are the evidence floor: first tries right, decided by so
	// many different things (at most 3), on so many days.
	Rights, Keys, Days int
	// Models is by how many of the item models that the lathe serves the skill must
	// have been right; of fewer, by all. Worked is how many of the keys must have been
	// worked out, and not only chosen.
	Models, Worked int
}

// The gates: to move on to the next skill, and to go to the machine. Before the
// machine, a skill whose evidence has gone [Cold] is checked afresh as well.
var (
	MoveOn  = Gate{Known: 0.95, Rights: 3, Keys: 3, Days: 2}
	Machine = Gate{Known: 0.98, Rights: 3, Keys: 3, Days: 2, Models: 3, Worked: 2}
)

// Open reports whether the cell passes the gate: by practice, or by what a
// supervised sitting showed in one go.
func (g Gate) Open(c curriculum.Cell) bool {
	g = g.within(c.Range)
	return c.LastRight && !held(c) && (g.shown(c) ||
		c.Known >= g.Known && c.Rights >= g.Rights && c.Days >= g.Days && g.rests(c.RightOn, c.WorkedOn, c.RightBy, c.Range))
}

// within returns the gate with no more asked than the lathe can ask. One answer at
// least is worked out, whatever the lathe: choices alone open no gate that wants it.
func (g Gate) within(r *curriculum.Range) Gate {
	if r == nil {
		g.Models = 0
		return g
	}
	g.Models = min(g.Models, len(r.Models))
	g.Keys = min(g.Keys, r.Keys)
	g.Worked = min(g.Worked, max(1, r.Worked))
	return g
}

// rests reports whether there are enough keys, worked out and spread over models.
func (g Gate) rests(rightOn, workedOn, rightBy []string, r *curriculum.Range) bool {
	return len(rightOn) >= g.Keys && len(workedOn) >= g.Worked && met(rightBy, r) >= g.Models
}

// met counts the models by which the skill was right.
func met(rightBy []string, r *curriculum.Range) (n int) {
	if r == nil {
		return 0
	}
	for _, m := range r.Models {
		if slices.Contains(rightBy, m) {
			n++
		}
	}
	return n
}

// shown reports whether the last supervised sitting about the skill shows all that
// the gate wants but days: every exercise right, for different reasons, by several
// models.
func (g Gate) shown(c curriculum.Cell) bool {
	s := c.Shown
	return s != nil && s.Wrong == 0 && g.rests(s.RightOn, s.WorkedOn, s.RightBy, c.Range)
}

// Shown reports whether the gate is open by a supervised sitting.
func (g Gate) Shown(c curriculum.Cell) bool { return g.Open(c) && g.within(c.Range).shown(c) }

// Resting reports whether a skill has all the evidence for going on that one day
// can give, and needs another day to show the rest.
func Resting(c curriculum.Cell, now time.Time) bool {
	another := c
	another.Days = MoveOn.Days
	return c.Days > 0 && c.Days < MoveOn.Days && now.Sub(c.DayBegan) < night && MoveOn.Open(another)
}

// Missing says in words what the cell lacks for the gate, most telling first;
// empty where the gate is open.
func (g Gate) Missing(c curriculum.Cell) []string {
	out := []string{}
	if g.Open(c) {
		return out
	}
	g = g.within(c.Range)
	say := func(missing bool, format string, args ...any) {
		if missing {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	say(c.Chances == 0, "not met yet")
	if c.Chances == 0 {
		return out
	}
	for _, m := range Held(c) {
		say(true, "the mistake %q came up again", m.Rule)
	}
	say(!c.LastRight, "the last first try was not right")
	say(c.Rights < g.Rights, "%d of %d right at the first try", c.Rights, g.Rights)
	say(c.Rights >= g.Rights && len(c.RightOn) < g.Keys, "right on %d of %d different tasks", len(c.RightOn), g.Keys)
	say(met(c.RightBy, c.Range) < g.Models, "right in %d of %d ways of asking", met(c.RightBy, c.Range), g.Models)
	say(c.Rights >= g.Rights && len(c.WorkedOn) < g.Worked, "worked out, not only chosen, in %d of %d", len(c.WorkedOn), g.Worked)
	say(c.Days < g.Days, "right on %d of %d days", c.Days, g.Days)
	say(len(out) == 0 && c.Known < g.Known, "held with %.0f %% certainty, %.0f %% are asked for", 100*c.Known, 100*g.Known)
	return out
}

// Misconception is a wrong rule that a learner seems to hold.
type Misconception struct {
	Skill string `json:"skill"`
	// Rule is the wrong rule's id, with "skill/" in front where it was seen at a
	// skill that builds on this one.
	Rule     string `json:"rule"`
	Times    int    `json:"times"` // in the last five chances, on different numbers
	Feedback string `json:"feedback"`
}

// Held returns the wrong rules that explain two or more of the last five chances
// of a skill on different numbers. Mistakes are often gone the next day, so one
// match alone names nothing (VanLehn, Empirical studies of procedural flaws,
// impasses and repairs in procedural skills, 1982).
func Held(c curriculum.Cell) []Misconception {
	var out []Misconception
	for i, first := range c.Recent {
		if first.Rule == "" || slices.ContainsFunc(out, func(m Misconception) bool { return m.Rule == first.Rule }) {
			continue
		}
		numbers := []string{first.Numbers}
		for _, later := range c.Recent[i+1:] {
			if later.Rule == first.Rule && !slices.Contains(numbers, later.Numbers) {
				numbers = append(numbers, later.Numbers)
			}
		}
		if len(numbers) >= heldBy {
			out = append(out, Misconception{Skill: c.Skill, Rule: first.Rule, Times: len(numbers), Feedback: Feedback(c.Skill, first.Rule)})
		}
	}
	return out
}

// RuleAt returns the skill at which a wrong rule, as [Held] names it for a skill,
// was seen, and its id there.
func RuleAt(skill, rule string) (at, id string) {
	if at, id, ok := strings.Cut(rule, "/"); ok {
		return at, id
	}
	return skill, rule
}

// held reports whether Held would name anything.
func held(c curriculum.Cell) bool {
	for i, first := range c.Recent {
		if first.Rule == "" {
			continue
		}
		for _, later := range c.Recent[i+1:] {
			if later.Rule == first.Rule && later.Numbers != first.Numbers {
				return true
			}
		}
	}
	return false
}

// Feedback returns the catalogue's sentence about a wrong rule as [Held] names
// it, or nothing.
func Feedback(skill, rule string) string {
	at, id := RuleAt(skill, rule)
	s, err := curriculum.SkillOf(at)
	if err != nil {
		return ""
	}
	w, _ := s.Mistake(id)
	return w.Feedback
}
