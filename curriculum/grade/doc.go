// Package grade reads what learners write and judges it.
//
// [Read] is the one grammar for answers: decimals with point or comma, mixed
// fractions and fraction glyphs, degrees with minutes and seconds, units of the
// trade, lists, ratios, choices and orders. Numbers stay exact rationals; a bare
// number is read in the unit printed at the blank and another unit of the same
// kind is converted exactly (1 in = 25.4 mm). Text that can mean two things is
// asked back and costs no try; what parses prints back.
//
// Limits: an answer has at most 200 characters, a number 40 and 30 significant
// digits, an exponent lies within ±400, a list holds 40 numbers of 4 digits.
package grade
