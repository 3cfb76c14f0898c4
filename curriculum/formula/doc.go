// Package formula reads and evaluates the small expressions that exercises
// carry: right rules, steps of worked solutions and wrong rules.
//
// The language has decimal numbers, names, + − * / and unary minus,
// parentheses, powers by whole numbers (x^2), pi, and the functions sqrt, sin,
// cos, tan, atan (degrees), floor, ceil, round, abs, min, max, gcd, lcm and mod.
//
// A result is exact ([threadmath.Ratio]) as long as only exact operations made
// it: sqrt, pi and the trigonometric functions make it a float64. Nothing is
// ever NaN or infinite: a division by zero, the root of a negative number or a
// number beyond float64 is an error.
package formula
