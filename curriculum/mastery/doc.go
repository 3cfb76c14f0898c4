// Package mastery works out from attempts what a learner can do.
//
// Everything here is a function of the attempts and, where it says so, of the
// time; nothing is remembered, so the record alone decides and can be gone
// through again. [Fold] adds one attempt to a learner's cells; [Of] folds all of
// them.
//
// # Evidence
//
// An exercise is one chance for each skill it asks for, decided by the first try
// in which a part of that skill is judged: right when every judged part of the
// skill earns credit (a part that is right from the learner's own earlier value
// does), wrong otherwise, and wrong after a hint. Parts left blank or asked back
// are no evidence. A wrong rule that belongs to a prerequisite is a wrong chance
// there and none for the skill that was asked.
//
// # Models
//
// The probability that a skill is held is followed by Bayesian knowledge tracing
// (Corbett and Anderson, Knowledge tracing: modeling the acquisition of
// procedural knowledge, 1995) with fixed parameters by the form of the answer;
// a class of twenty cannot fit its own. A [Gate] asks for more than the number:
// first tries right on different numbers, on different days, the last one right,
// no misconception open. When to come back to a skill follows the retention curve
// of FSRS-6 with its published default weights, held in bounds by the calendar.
//
// The parameters, gates and bounds are this project's own choice inside the
// published ranges (slip at most 0.1, guess at most 0.3); no source gives them for
// threading. They forecast, they do not certify: whoever teaches decides.
package mastery
