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
	// rightOnMost different numbers are remembered: what the gate asks for.
	rightOnMost = 3
)

// Fold adds an attempt to its learner's cells; it is a curriculum.FoldCells.
func Fold(cells curriculum.Cells, before []curriculum.Attempt, a curriculum.Attempt) {
	fold(cells, &a, func(skill string) bool {
		return slices.ContainsFunc(before, func(b curriculum.Attempt) bool { return seen(b.Verdicts, skill) })
	})
}

// fold adds an attempt; earlier reports whether an earlier try at the same
// exercise was judged for the skill.
func fold(cells curriculum.Cells, a *curriculum.Attempt, earlier func(skill string) bool) {
	for i := range a.Verdicts {
		v := &a.Verdicts[i]
		switch {
		case !v.Outcome.Judged() || seen(a.Verdicts[:i], v.Skill):
		case earlier(v.Skill):
			corrected(cells[v.Skill], a)
		default:
			first(cells, a, v.Skill)
		}
	}
}

// seen reports whether one of the verdicts judges the skill.
func seen(vs []curriculum.Verdict, skill string) bool {
	for i := range vs {
		if vs[i].Skill == skill && vs[i].Outcome.Judged() {
			return true
		}
	}
	return false
}

// first counts the first try at an exercise as a chance for the skill, or for
// the prerequisites that its mistakes belong to.
func first(cells curriculum.Cells, a *curriculum.Attempt, skill string) {
	right, own := true, true
	options := 0
	rule, charged := "", ""
	for i := range a.Verdicts {
		v := &a.Verdicts[i]
		if v.Skill != skill || !v.Outcome.Judged() {
			continue
		}
		switch {
		case v.Outcome.Credit():
			// Several parts must all be right, so the hardest to guess decides.
			if options == 0 || v.Options < options {
				options = max(1, v.Options)
			}
		case v.Charges != "" && v.Charges != skill:
			own = false
			if v.Charges == charged {
				continue // one exercise is one chance there as well
			}
			charged = v.Charges
			chance(cells, a, v.Charges, false, max(1, v.Options), owner(skill, v.Charges, v.WrongRule))
		default:
			right = false
			rule = cmp.Or(rule, v.WrongRule)
			options = max(1, v.Options)
		}
	}
	switch {
	case !right:
		chance(cells, a, skill, false, options, rule)
	case own:
		chance(cells, a, skill, !a.Hinted, options, "")
	}
}

// chance counts one chance of a skill.
func chance(cells curriculum.Cells, a *curriculum.Attempt, skill string, right bool, options int, rule string) {
	p := ParamsOf(skill, options)
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
		if len(c.RightOn) < rightOnMost && !slices.Contains(c.RightOn, numbers) {
			c.RightOn = append(c.RightOn, numbers)
		}
	}
	if len(c.Recent) == recentMost {
		copy(c.Recent, c.Recent[1:])
		c.Recent = c.Recent[:recentMost-1]
	}
	c.Recent = append(c.Recent, curriculum.Chance{Numbers: numbers, Right: right, At: a.At, Rule: rule})
	grade := Again
	if right {
		grade = Good
	}
	c.Before = c.Memory
	c.Memory, c.Where = reviewed(c.Before, a, grade), place(a)
}

// Expect adds to the cells what a first try at a skill, typed, would add: for
// looking ahead.
func Expect(cells curriculum.Cells, skill string, right bool, at time.Time, numbers string) {
	chance(cells, &curriculum.Attempt{Numbers: numbers, At: at}, skill, right, 1, "")
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
				if seen(attempts[n-1].Verdicts, skill) {
					return true
				}
			}
			return false
		})
		last[at] = i + 1
	}
	return cells
}
