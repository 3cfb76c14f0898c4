// Package threadmath computes what must be known to cut a single- or
// multi-start thread on a manual lathe.
//
// Pitch, lead, leadscrew lead, offsets, gear ratios and everything that decides
// whether the tool lands on a start are exact rationals ([Ratio], [Length]);
// anything through a root or a trigonometric function is a float64 in its own
// result. [Solve] answers a [Request]; both are the solve contract's documents.
package threadmath
