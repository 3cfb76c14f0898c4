// Package curriculum holds the nouns of teaching multi-start threading: skills,
// exercises, verdicts, and the people and records around them.
//
// An [Exercise] as issued carries everything that marking it needs: the right
// answer and its accept band, the steps that lead there and the known wrong
// rules, all as formulas over its givens. Marking therefore never asks the
// generator again, and an exercise once issued is marked the same for ever.
//
// The work is done next door: package generate draws exercises, package grade
// marks answers, package practice carries a learner through them.
package curriculum
