// Package curriculum holds the nouns of teaching multi-start threading: skills,
// exercises, verdicts, and the people and records around them.
//
// An [Exercise] as issued carries everything that marking it needs: the right
// answer and its accept band, the steps that lead there and the known wrong
// rules, all as formulas over its givens. Marking therefore never asks the
// generator again, and an exercise once issued is marked the same for ever.
//
// # The bank of situations
//
// What a learner must do right for nobody to be hurt is asked about situations
// (safety.go; the bank is in safety_turning.go, safety_threading.go and
// safety_multistart.go): a scene at the lathe, what is right there, what tempts
// and why not, the hazard, and the published accident or rule behind it, or
// [CommonPractice]. Each sign-off operation has a safety skill of its own, whose
// known mistakes are the bank's wrong actions.
//
// To add a situation, append one to its operation's file: an id that no other has,
// a topic (an item model; a new one is a new way of asking), two scenes or more,
// three right actions and three tempting wrong ones or more, one sentence each for
// why not and for the hazard, the source. Right and wrong actions should be alike
// in length, commas and words: TestChoicesGiveNothingAway measures over the whole
// bank what going by them earns. Then raise the version of the models in
// generate/safety.go and take texts and regression lines anew with -update. An
// action's or a situation's id stays what it is: misconceptions and earlier
// sittings are known by it.
//
// The work is done next door: package generate draws exercises, package grade
// marks answers, package practice carries a learner through them.
package curriculum
