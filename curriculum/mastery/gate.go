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
	// Rights, Numbers and Days are the evidence floor: first tries right, on so many
	// different numbers (at most 3), on so many days.
	Rights, Numbers, Days int
}

// The gates: to move on to the next skill, and to go to the machine. Before the
// machine, a skill whose evidence has gone [Cold] is checked afresh as well.
var (
	MoveOn  = Gate{Known: 0.95, Rights: 3, Numbers: 3, Days: 2}
	Machine = Gate{Known: 0.98, Rights: 3, Numbers: 3, Days: 2}
)

// Open reports whether the cell passes the gate.
func (g Gate) Open(c curriculum.Cell) bool {
	return c.Known >= g.Known && c.Rights >= g.Rights && len(c.RightOn) >= g.Numbers && c.Days >= g.Days && c.LastRight && !held(c)
}

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
	say(c.Rights >= g.Rights && len(c.RightOn) < g.Numbers, "right on %d of %d different numbers", len(c.RightOn), g.Numbers)
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
