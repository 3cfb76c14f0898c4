package mastery

import (
	"cmp"
	"slices"
	"time"

	"halfnut/curriculum"
)

const (
	// recentMost chances are looked at for a misconception; heldBy of them, on
	// different numbers, make one.
	recentMost = 5
	heldBy     = 2
	// rightOnMost different keys are remembered: what the gate asks for. modelsMost
	// bounds the models; no skill has as many.
	rightOnMost = curriculum.MostKeys
	modelsMost  = 12
)

// Fold adds an attempt to its learner's cells; it is a curriculum.FoldCells.
func Fold(cells curriculum.Cells, before []curriculum.Attempt, a curriculum.Attempt) {
	fold(cells, &a, func(skill string) bool {
		return slices.ContainsFunc(before, func(b curriculum.Attempt) bool { return decides(&b, skill) })
	})
}

// fold adds an attempt; earlier reports whether an earlier try at the same
// exercise decided the skill.
func fold(cells curriculum.Cells, a *curriculum.Attempt, earlier func(skill string) bool) {
	for i := range a.Verdicts {
		v := &a.Verdicts[i]
		switch {
		case !v.Outcome.Judged() || judges(a.Verdicts[:i], v.Skill):
		case earlier(v.Skill):
			corrected(cells[v.Skill], a)
		case decides(a, v.Skill):
			first(cells, a, v.Skill)
		}
	}
}

// judges reports whether one of the verdicts judges the skill.
func judges(vs []curriculum.Verdict, skill string) bool {
	for i := range vs {
		if vs[i].Skill == skill && vs[i].Outcome.Judged() {
			return true
		}
	}
	return false
}

// decides reports whether the attempt settles how the exercise went for the skill:
// one of its parts is judged, and one is wrong or none is left open. A part is left
// open when it is asked back or unreadable, or is empty without having been sent so
// on purpose.
func decides(a *curriculum.Attempt, skill string) bool {
	judged, open := false, false
	for i := range a.Verdicts {
		v := &a.Verdicts[i]
		switch {
		case v.Skill != skill:
		case !v.Outcome.Judged():
			open = open || v.Outcome != curriculum.Blank || !a.Basis.Closed
		case !v.Outcome.Credit():
			return true
		default:
			judged = true
		}
	}
	return judged && !open
}

// first counts the first try at an exercise as a chance for the skill, or for
// the prerequisites that its mistakes belong to.
func first(cells curriculum.Cells, a *curriculum.Attempt, skill string) {
	c := claim{right: true}
	own, shows := true, false
	charged := ""
	for i := range a.Verdicts {
		v := &a.Verdicts[i]
		switch {
		case v.Skill != skill:
		case v.Outcome == curriculum.Blank: // of a closed exercise: decides lets no other in
			c.right, shows, c.options = false, true, 1
		case v.Outcome.Credit():
			if slices.Contains(a.Basis.Usual, v.Part) {
				continue // right, and shows nothing
			}
			shows = true
			// Several parts must all be right, so the hardest to guess decides.
			if c.options == 0 || v.Options < c.options {
				c.options = max(1, v.Options)
			}
		case v.Charges != "" && v.Charges != skill:
			own = false
			if v.Charges == charged {
				continue // one exercise is one chance there as well
			}
			charged = v.Charges
			chance(cells, a, v.Charges, claim{options: max(1, v.Options), rule: owner(skill, v.Charges, v.WrongRule)})
		case v.Outcome.Judged():
			c.right, shows = false, true
			c.rule = cmp.Or(c.rule, v.WrongRule)
			c.options = max(1, v.Options)
		}
	}
	switch {
	case !shows:
	case !c.right:
		chance(cells, a, skill, c)
	case own:
		c.right = !a.Hinted
		chance(cells, a, skill, c)
	}
}

// claim is what a first try says about a skill.
type claim struct {
	right bool
	// options are the answers that there were to choose from; 1 where it was typed.
	options int
	rule    string
}

// chance counts one chance of a skill.
func chance(cells curriculum.Cells, a *curriculum.Attempt, skill string, says claim) {
	right := says.right
	p := ParamsOf(skill, says.options)
	c := cells[skill]
	if c == nil {
		c = &curriculum.Cell{Learner: a.Learner, Skill: skill, Known: p.Start, Recent: make([]curriculum.Chance, 0, recentMost)}
		cells[skill] = c
	}
	given := p.Given(c.Known, right)
	c.Holding += given
	if !right {
		c.Slipped += given
	}
	c.Known = given + (1-given)*p.Learn
	c.Chances++
	c.LastRight, c.Last = right, a.At
	numbers := cmp.Or(a.Numbers, a.Exercise)
	if right {
		c.Rights++
		if c.Days == 0 || a.At.Sub(c.DayBegan) >= night {
			c.Days++
			c.DayBegan = a.At
		}
	}
	(&evidence{&c.RightOn, &c.WorkedOn, &c.RightBy}).add(a, skill, says)
	if a.Basis.Range != nil && owns(a.Basis, skill) {
		c.Range = a.Basis.Range
	}
	show(c, a, says)
	if len(c.Recent) == recentMost {
		copy(c.Recent, c.Recent[1:])
		c.Recent = c.Recent[:recentMost-1]
	}
	c.Recent = append(c.Recent, curriculum.Chance{Numbers: numbers, Right: right, At: a.At, Rule: says.rule})
	grade := Again
	if right {
		grade = Good
	}
	c.Before = c.Memory
	c.Memory, c.Where = reviewed(c.Before, a, grade), place(a)
}

// evidence are the lists in which a cell remembers what right answers rest on.
type evidence struct{ rightOn, workedOn, rightBy *[]string }

// add remembers what a right first try rests on.
func (e *evidence) add(a *curriculum.Attempt, skill string, says claim) {
	if !says.right {
		return
	}
	key := cmp.Or(a.Basis.Keys[skill], a.Numbers, a.Exercise)
	remember(e.rightOn, key, rightOnMost)
	if curriculum.Worked(says.options) {
		remember(e.workedOn, key, rightOnMost)
	}
	if owns(a.Basis, skill) {
		remember(e.rightBy, a.Basis.Model, modelsMost)
	}
}

func remember(list *[]string, key string, most int) {
	if len(*list) < most && key != "" && !slices.Contains(*list, key) {
		*list = append(*list, key)
	}
}

// owns reports whether the model of the exercise is one of the skill's own, and not
// of a whole job that asks for the skill in a step.
func owns(b curriculum.Basis, skill string) bool { return b.Skill == skill }

// show counts a chance of a supervised sitting.
func show(c *curriculum.Cell, a *curriculum.Attempt, says claim) {
	if a.Basis.Sitting == "" {
		return
	}
	if c.Shown == nil || c.Shown.Sitting != a.Basis.Sitting {
		c.Shown = &curriculum.Shown{Sitting: a.Basis.Sitting}
	}
	if !says.right {
		c.Shown.Wrong++
	}
	(&evidence{&c.Shown.RightOn, &c.Shown.WorkedOn, &c.Shown.RightBy}).add(a, c.Skill, says)
}

// Expect adds to the cells what a first try at a skill, typed, would add: for
// looking ahead. key is what decides it; its model is one that was not right yet,
// as practice asks.
func Expect(cells curriculum.Cells, skill string, right bool, at time.Time, key string) {
	b := curriculum.Basis{Skill: skill}
	if c := cells[skill]; c != nil {
		b.Range = c.Range
		if unmet := Unmet(*c); len(unmet) > 0 {
			b.Model = unmet[0]
		}
	}
	chance(cells, &curriculum.Attempt{Numbers: key, At: at, Basis: b}, skill, claim{right: right, options: 1})
}

// Unmet returns the item models that the skill can be asked by and was not right by
// yet.
func Unmet(c curriculum.Cell) []string {
	if c.Range == nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(c.Range.Models), func(m string) bool { return slices.Contains(c.RightBy, m) })
}

// corrected turns the last review from Again into Hard when the learner has put
// the mistake right without help, on the same exercise and with no other chance
// of the skill in between.
func corrected(c *curriculum.Cell, a *curriculum.Attempt) {
	if c == nil || c.LastRight || a.Hinted || c.Where != place(a) {
		return
	}
	for i := range a.Verdicts {
		if v := &a.Verdicts[i]; v.Skill == c.Skill && !v.Outcome.Credit() {
			return
		}
	}
	c.Memory, c.Where = reviewed(c.Before, a, Hard), curriculum.Place{}
}

func reviewed(before curriculum.Memory, a *curriculum.Attempt, g Grade) curriculum.Memory {
	m := Review(before, daysBetween(before.At, a.At), g)
	m.At = a.At
	return m
}

func place(a *curriculum.Attempt) curriculum.Place {
	return curriculum.Place{Variant: a.Variant, Position: a.Position}
}

// ruleNames are the wrong rules that the catalogue knows, by skill.
var ruleNames = func() map[string]map[string]bool {
	out := map[string]map[string]bool{}
	for _, s := range curriculum.Skills() {
		out[s.Slug] = map[string]bool{}
		for _, w := range s.Wrong {
			out[s.Slug][w.ID] = true
		}
	}
	return out
}()

// owner names a wrong rule at the skill that it is charged to: by its id where
// that skill knows it too, else with the skill that it was seen at in front.
func owner(at, charged, rule string) string {
	if rule == "" || ruleNames[charged][rule] {
		return rule
	}
	return at + "/" + rule
}

// Of returns the cells of one learner from all of their attempts, which must be
// in the order of time, then of id.
func Of(attempts []curriculum.Attempt) curriculum.Cells {
	cells := make(curriculum.Cells, len(ruleNames))
	// last is the latest try at each exercise so far, before the one in front of
	// each; both count from 1.
	last := make(map[curriculum.Place]int, len(attempts))
	before := make([]int, len(attempts)+1)
	for i := range attempts {
		a := &attempts[i]
		at := place(a)
		before[i+1] = last[at]
		fold(cells, a, func(skill string) bool {
			for n := before[i+1]; n > 0; n = before[n] {
				if decides(&attempts[n-1], skill) {
					return true
				}
			}
			return false
		})
		last[at] = i + 1
	}
	return cells
}
