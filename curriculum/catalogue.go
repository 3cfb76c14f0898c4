package curriculum

import (
	"fmt"
	"slices"
)

// catalogue is every skill, each after the skills it needs.
var catalogue = slices.Concat(basicSkills, safetySkills, gearSkills, cuttingSkills, indexingSkills, toothSkills, settingSkills, jobSkills, decisionSkills)

// Skills returns every skill, each after the skills it needs.
func Skills() []Skill {
	out := make([]Skill, len(catalogue))
	for i, s := range catalogue {
		out[i] = s.clone()
	}
	return out
}

// SkillOf returns the skill with the slug, or an ErrNotFound.
func SkillOf(slug string) (Skill, error) {
	if s := find(slug); s != nil {
		return s.clone(), nil
	}
	return Skill{}, fmt.Errorf("skill %q: %w", slug, ErrNotFound)
}

// Prerequisites returns the slugs of all that the skill builds on, directly or
// not, each after what it needs itself; an unknown slug gives nil.
func Prerequisites(slug string) []string {
	wanted := map[string]bool{}
	var mark func(slug string)
	mark = func(slug string) {
		s := find(slug)
		if s == nil {
			return
		}
		for _, need := range s.Needs {
			if !wanted[need] {
				wanted[need] = true
				mark(need)
			}
		}
	}
	mark(slug)
	var out []string
	for _, s := range catalogue {
		if wanted[s.Slug] {
			out = append(out, s.Slug)
		}
	}
	return out
}

// Mistake returns the skill's wrong rule with the id, and whether there is one.
func (s Skill) Mistake(id string) (WrongRule, bool) {
	for _, w := range s.Wrong {
		if w.ID == id {
			return w, true
		}
	}
	return WrongRule{}, false
}

func find(slug string) *Skill {
	for i := range catalogue {
		if catalogue[i].Slug == slug {
			return &catalogue[i]
		}
	}
	return nil
}

func (s Skill) clone() Skill {
	s.Needs = slices.Clone(s.Needs)
	s.Wrong = slices.Clone(s.Wrong)
	s.Example.Lines = slices.Clone(s.Example.Lines)
	return s
}

// Sources of the worked examples.
const (
	sourceTM1420 = "US War Department TM 1-420, Lathes, 29 November 1940, p. 81"
	sourceJones  = "F. D. Jones, Turning and Boring, Industrial Press, 1914 (printing 1919), chapter IV"
)
