package mastery

import (
	"maps"
	"slices"

	"halfnut/curriculum"
)

// Params are the four numbers of knowledge tracing, each a probability: that
// the skill is held before the first chance, that one chance teaches it, that a
// learner who holds it slips, and that one who does not guesses right.
type Params struct{ Start, Learn, Slip, Guess float64 }

// Right returns the probability that the next answer is right.
func (p Params) Right(known float64) float64 { return known*(1-p.Slip) + (1-known)*p.Guess }

// Given returns the probability that the skill was held at a chance, after
// seeing how it went (Bayes' rule).
func (p Params) Given(known float64, right bool) float64 {
	if right {
		return known * (1 - p.Slip) / p.Right(known)
	}
	return known * p.Slip / (1 - p.Right(known))
}

// Next returns the probability that the skill is held after a chance: what was
// seen, and what the chance itself taught.
func (p Params) Next(known float64, right bool) float64 {
	given := p.Given(known, right)
	return given + (1-given)*p.Learn
}

// Parameters of a typed number; the guess of an answer that is chosen is one in
// as many as there are, if that is more.
var typed = Params{Start: 0.20, Learn: 0.15, Slip: 0.10, Guess: 0.05}

// known before are skills that most learners bring along from school.
var knownBefore = []string{"fractions", "inch-mm", "tpi-pitch"}

const startKnown = 0.50

// BroughtAlong returns the skills that most learners bring along.
func BroughtAlong() []string { return slices.Clone(knownBefore) }

// ParamsOf returns the parameters for a skill and an answer that was picked out
// of the given number of possible ones; 0 or 1 stands for one that is typed.
func ParamsOf(skill string, options int) Params {
	p := typed
	if slices.Contains(knownBefore, skill) {
		p.Start = startKnown
	}
	if options > 1 {
		p.Guess = max(p.Guess, 1/float64(options))
	}
	return p
}

// slipWeight is how many chances of evidence the common rate of slips is worth
// against a learner's own record.
const slipWeight = 20

// SlipOf estimates how often a learner slips at what they hold: from their own
// record, drawn towards the common rate as long as that is short.
func SlipOf(cells curriculum.Cells) float64 {
	holding, slipped := float64(slipWeight), slipWeight*typed.Slip
	for _, skill := range slices.Sorted(maps.Keys(cells)) { // sums must not depend on the map's order
		holding += cells[skill].Holding
		slipped += cells[skill].Slipped
	}
	return slipped / holding
}
