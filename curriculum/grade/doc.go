// Package grade reads what learners write and judges it.
//
// [Read] is the one grammar for answers: decimals with point or comma, mixed
// fractions and fraction glyphs, degrees with minutes and seconds, units of the
// trade, lists, ratios, choices and orders. Numbers stay exact rationals; a bare
// number is read in the unit printed at the blank and another unit of the same
// kind is converted exactly (1 in = 25.4 mm). Text that can mean two things is
// asked back and costs no try; what parses prints back.
//
// [Mark] judges by what the exercise carries: its accept bands, the formulas of
// its steps and of its known wrong rules, evaluated for the givens and, for what
// builds on an earlier part, for the learner's own earlier numbers. [Solution]
// and [Hint] write the same steps out. [Run] does it for files of JSON lines.
//
// Marks: each step marked Method is worth one mark, the rest of a part's marks
// are for accuracy, at least one. A right answer, and one that is right from the
// learner's own earlier value, earns all; rounding all in practice, the method
// marks in a test; the first unit slip of an exercise costs one mark, further
// ones none; anything else earns the method steps that the learner wrote
// ("part.step") and had right.
//
// Comparisons are made in float64 with the part's accept band, whose ends
// belong to it. Around another explanation the band has the same width; a slip
// that multiplies widens it by its factor, since the learner's rounding was
// multiplied too.
//
// Limits: an answer has at most 200 characters, a number 40 and 30 significant
// digits, an exponent lies within ±400, a list holds 40 numbers of 4 digits.
package grade
