package curriculum

import (
	"hash/fnv"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// Exercise is one task, in the solve contract's form. Fields marked key reach
// instructors only; Public strips them.
type Exercise struct {
	ID    string `json:"id"`
	Skill string `json:"skill"`
	// Model names the item model within the skill.
	Model        string `json:"model"`
	ModelVersion int    `json:"model_version"`
	// Seed and the lathe rebuild the exercise; key. It stays below 2⁵³ so that every
	// JSON reader keeps it whole.
	Seed uint64 `json:"seed,omitempty"`
	// Lathe is the name of the lathe the numbers come from.
	Lathe string `json:"lathe,omitempty"`
	// Units is the unit system the learner works in, "mm" or "in".
	Units  string `json:"units"`
	Givens Givens `json:"givens"`
	Prompt string `json:"prompt"`
	Parts  []Part `json:"parts"`
	// Difficulty declares what makes this draw hard ("starts": "3",
	// "unknown": "reversed"); two draws that agree in it are parallel.
	Difficulty map[string]string `json:"difficulty,omitempty"`
	// Drawing names the drawing that helps ("starts", "dial", "end-view", "profile",
	// "collar", "passes"), made from Givens alone so that it gives nothing away.
	Drawing string `json:"drawing,omitempty"`
	// Cautions are ids of threadmath's cautions that belong to this exercise.
	Cautions []threadmath.Caution `json:"cautions,omitempty"`
	// Basis says what a right answer is evidence of; key. Exercises issued before
	// there was one have none: see BasisOf.
	Basis *Basis `json:"basis,omitempty"`
	// Margin is the distance of the nearest wrong rule from the right answer, in
	// accept bands; key. Zero where no part has a number.
	Margin float64 `json:"margin,omitempty"`
}

// Givens is what the learner is told.
type Givens struct {
	// Solve is the request that the answers come from, or null. It never holds
	// what is asked.
	Solve *threadmath.Request `json:"solve"`
	// Values are quantities by the names that the formulas use ("P": "2 mm").
	Values map[string]string `json:"values"`
	// Listed gives the values their order and words on paper.
	Listed []Given `json:"listed,omitempty"`
}

// Given puts a value into words: "pitch P = 2 mm".
type Given struct {
	Name  string `json:"name"`
	Label string `json:"label"`
}

// The kinds of a part.
const (
	KindLength = "length"
	KindAngle  = "angle"
	KindSpeed  = "speed"
	KindCount  = "count"
	KindRatio  = "ratio"
	KindList   = "list"
	KindChoice = "choice"
	KindOrder  = "order"
)

// Part is one thing that is asked.
type Part struct {
	ID   string `json:"id"`
	Kind string `json:"kind"`
	Ask  string `json:"ask"`
	// Skill is the skill this part is evidence for, where it differs from the
	// exercise's (a step of a whole job).
	Skill string `json:"skill,omitempty"`
	// Unit is what is printed at the blank; a bare number is read in it.
	Unit     string `json:"unit"`
	Decimals int    `json:"decimals"`
	Marks    int    `json:"marks"`
	// Choices are what may be chosen or put in order.
	Choices []Choice `json:"choices,omitempty"`
	// Safety marks what must be right by itself: no follow-through.
	Safety bool `json:"safety,omitempty"`
	// RoundDown marks a ceiling: what is written never lies above it, and its
	// accept band reaches a whole digit down.
	RoundDown bool `json:"round_down,omitempty"`

	// Partial marks an order of which only the pairs that Wrong names are settled:
	// every order without one of them is right, and Answer is one of those. Of a list
	// it says that whatever holds the numbers of a wrong rule is wrong for its
	// reason. Key.
	Partial bool `json:"partial,omitempty"`
	// At points into the solve answer where this answer stands. The solver is open
	// to everybody, so the pointer is no key.
	At     string      `json:"at,omitempty"`
	Answer *Value      `json:"answer,omitempty"` // key
	Accept *Band       `json:"accept,omitempty"` // key
	Steps  []Step      `json:"steps,omitempty"`  // key
	Wrong  []WrongRule `json:"wrong,omitempty"`  // key
}

// AsksOrder reports whether a list must be written in its order: where the question
// says so, for what is printed counts.
func (p Part) AsksOrder() bool { return p.Kind == KindList && strings.Contains(p.Ask, "in order") }

// AsksFraction reports whether a ratio must be exact: where the question asks for a
// fraction.
func (p Part) AsksFraction() bool {
	return p.Kind == KindRatio && strings.Contains(p.Ask, "as a fraction")
}

// Choice is one thing to choose.
type Choice struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// Band is the closed interval of accepted numbers, in the part's unit.
type Band struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Step is one line of the worked solution. Its formula (package formula) may
// use the givens, earlier steps and earlier parts by name; each name stands for
// the number in its printed unit. The last step's value is the part's answer.
type Step struct {
	Name string `json:"name"`
	Say  string `json:"say"`
	// Rule is empty where a line only explains (choices, orders).
	Rule string `json:"rule,omitempty"`
	Unit string `json:"unit,omitempty"`
	// Method marks the steps that earn a method mark when shown.
	Method bool `json:"method,omitempty"`
}

// WrongRule is a known mistake: a formula over the same names, or for lists,
// choices and orders the answer it leads to. The Answer to an order may name some
// of its choices only: it then stands for every order that has them one after the
// other, whatever is done between them.
type WrongRule struct {
	ID       string `json:"id"`
	Rule     string `json:"rule,omitempty"`
	Answer   *Value `json:"answer,omitempty"`
	Feedback string `json:"feedback"`
	// Charges is the prerequisite skill that the mistake belongs to; empty where
	// it is the part's own.
	Charges string `json:"charges,omitempty"`
}

// Public returns the exercise as a learner may see it: without seed, answers,
// accept bands, steps, wrong rules, margin and what it is evidence of.
func (e Exercise) Public() Exercise {
	e.Seed, e.Margin, e.Basis = 0, 0, nil
	parts := make([]Part, len(e.Parts))
	for i, p := range e.Parts {
		p.Answer, p.Accept, p.Steps, p.Wrong, p.Partial = nil, nil, nil, nil, false
		parts[i] = p
	}
	e.Parts = parts
	return e
}

// Options counts the answers that a part can be given by choosing: the choices,
// or the orders they can be put in for each of those that are right, no more than
// a thousand; 0 where the answer is typed.
func (p Part) Options() int {
	switch p.Kind {
	case KindChoice:
		return len(p.Choices)
	case KindOrder:
		ways := 1
		for i := 2; i <= len(p.Choices) && i <= mostOrdered; i++ {
			ways *= i
		}
		return min(max(1, ways/p.rightOrders()), 1000)
	}
	return 0
}

// Numbers is a short digest of what the exercise tells and asks: two exercises
// with the same one are the same task, however they were drawn.
func (e Exercise) Numbers() string {
	h := fnv.New64a()
	write := func(s string) { _, _ = io.WriteString(h, s+"\x00") }
	write(e.Skill)
	write(e.Model)
	write(e.Prompt)
	for _, name := range slices.Sorted(maps.Keys(e.Givens.Values)) {
		write(name)
		write(e.Givens.Values[name])
	}
	for _, p := range e.Parts {
		write(p.ID)
		write(p.Ask)
	}
	return strconv.FormatUint(h.Sum64(), 36)
}

// SkillOf returns the skill that a part is evidence for.
func (e Exercise) SkillOf(p Part) string {
	if p.Skill != "" {
		return p.Skill
	}
	return e.Skill
}

// Part returns the part with the id, or nil.
func (e *Exercise) Part(id string) *Part {
	for i := range e.Parts {
		if e.Parts[i].ID == id {
			return &e.Parts[i]
		}
	}
	return nil
}
