// Package demo fills an empty database with the invented workshop of
// testdata/workshop and a past of its own, so that every page has something to
// show: class sets answered from paper, a course, jobs, a shop session, a steward,
// and sign-offs in force, lapsed, revoked and half-way. It goes the ways that
// people go, with a clock set back: every rule held on its day, and the record
// of sign-offs is a whole chain.
package demo
