package curriculum

import (
	"hash/fnv"
	"io"
	"slices"
	"strconv"
)

// Basis says what a right answer to an exercise is evidence of. It follows from
// the answers, so it is part of the key: learners never see it.
type Basis struct {
	// Skill and Model name the exercise's skill and its item model.
	Skill string `json:"skill,omitempty"`
	Model string `json:"model,omitempty"`
	// Keys name, by skill, what decides the answers: however different two exercises
	// look, with the same key they ask the same thing.
	Keys map[string]string `json:"keys,omitempty"`
	// Range is what the lathe can ask of the skill in these units; nil where that is
	// not known.
	Range *Range `json:"range,omitempty"`
	// Usual are the parts whose right choice is right in most draws on this lathe:
	// choosing it shows nothing.
	Usual []string `json:"usual,omitempty"`
	// Closed says of an attempt that its empty parts were left empty on purpose.
	Closed bool `json:"closed,omitempty"`
	// Sitting is the supervised sitting that an attempt was made in.
	Sitting string `json:"sitting,omitempty"`
}

// Range is what a lathe can ask of a skill in one unit system: a gate wants no
// more.
type Range struct {
	// Models are the item models whose right answers show something, by name.
	Models []string `json:"models"`
	// Keys counts the different keys, up to the three that a gate wants, Worked those
	// of them whose answer must be worked out and is not only chosen.
	Keys   int `json:"keys"`
	Worked int `json:"worked"`
}

// MostKeys is up to how many keys are counted: as many as a gate wants.
const MostKeys = 3

// fewestWorked is how many answers there must be to choose from for choosing to be
// worth a typed one: as many as make the same chance, one in twenty, of hitting the
// right one blindly. An order of four things has so many; a choice never does.
const fewestWorked = 20

// Worked reports whether an answer out of so many (Part.Options) was worked out, and
// not only chosen; 0 or 1 stands for one that is typed.
func Worked(options int) bool { return options <= 1 || options >= fewestWorked }

// Shows reports whether a right answer to the exercise shows something of the skill,
// and whether one of the answers that show it must be worked out.
func (e Exercise) Shows(b Basis, skill string) (shows, worked bool) {
	for _, p := range e.Parts {
		if e.SkillOf(p) == skill && !slices.Contains(b.Usual, p.ID) {
			shows, worked = true, worked || Worked(p.Options())
		}
	}
	return shows, worked
}

// BasisOf returns what the exercise says it is evidence of. Of an exercise that
// was issued before exercises said so it is worked out from model and answers.
func (e Exercise) BasisOf() Basis {
	if e.Basis != nil {
		return *e.Basis
	}
	if e.Givens.Values[GivenSituation] != "" {
		return NewBasis(e, GivenSituation)
	}
	return NewBasis(e)
}

// GivenSituation is the name of the given that says which situation of the safety
// bank an exercise is about: it decides the answers, however they are worded. It is
// not listed on paper.
const GivenSituation = "situation"

// NewBasis works out what decides an exercise: for each skill its model with the
// answers of all parts that ask for the skill, or with the values of the givens
// that are named.
func NewBasis(e Exercise, decisive ...string) Basis {
	b := Basis{Skill: e.Skill, Model: e.Model, Keys: map[string]string{}}
	for _, p := range e.Parts {
		skill := e.SkillOf(p)
		if b.Keys[skill] == "" {
			b.Keys[skill] = e.key(skill, decisive)
		}
	}
	return b
}

func (e Exercise) key(skill string, decisive []string) string {
	h := fnv.New64a()
	write := func(s string) { _, _ = io.WriteString(h, s+"\x00") }
	write(e.Model)
	for _, name := range decisive {
		write(name)
		write(e.Givens.Values[name])
	}
	for i := range e.Parts {
		if p := &e.Parts[i]; len(decisive) == 0 && e.SkillOf(*p) == skill {
			write(p.ID)
			for _, text := range p.answerText() {
				write(text)
			}
		}
	}
	return strconv.FormatUint(h.Sum64(), 36)
}

// answerText writes the right answer without the letters that stand before the
// choices, which are dealt anew in every draw.
func (p *Part) answerText() []string {
	if p.Answer == nil {
		return nil
	}
	words := func(id string) string {
		i := slices.IndexFunc(p.Choices, func(c Choice) bool { return c.ID == id })
		if i < 0 {
			return id
		}
		return p.Choices[i].Text
	}
	switch {
	case p.Answer.Order != nil:
		out := make([]string, len(p.Answer.Order))
		for i, id := range p.Answer.Order {
			out[i] = words(id)
		}
		if p.Partial { // several orders are right, so what there is to order decides
			slices.Sort(out)
		}
		return out
	case p.Kind == KindChoice:
		return []string{words(p.Answer.Text)}
	}
	return []string{p.Answer.String()}
}

// RightChoice returns what the right choice says, without its letter; nothing for
// parts that are not chosen.
func (p Part) RightChoice() string {
	if p.Kind != KindChoice || p.Answer == nil {
		return ""
	}
	return p.answerText()[0]
}

// TakesAnswerOf reports whether the right answer to the other part, copied, is right
// for this one: within its accept band where it is a number.
func (p Part) TakesAnswerOf(other Part) bool {
	if p.Kind != other.Kind || p.Unit != other.Unit || p.Answer == nil || other.Answer == nil {
		return false
	}
	if p.Accept != nil {
		if v, ok := other.Number(*other.Answer); ok {
			return p.Accept.Low <= v.Float64() && v.Float64() <= p.Accept.High
		}
	}
	return slices.Equal(p.answerText(), other.answerText())
}
