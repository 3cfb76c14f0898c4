// Package generate draws exercises from a lathe's own numbers and proves each of
// them before it is given out.
//
// An item model makes an exercise: it declares what makes a draw hard (its
// radicals: number of starts, what is given, what is asked) and fills in the
// rest at random (its incidentals) from standard pitches and from the lathe. A
// draw is kept only when
//
//   - the answer stands in threadmath's solution of the givens, where it has a
//     place there, and the steps of the worked solution lead to the same number;
//   - every known wrong rule lands at least three accept bands from the answer,
//     and the wrong rules as far from each other, so that a diagnosis can be made;
//   - the numbers are such as a shop meets.
//
// Half the accept band is the larger of half a graduation of the collar concerned
// and the worst end of honest working: the asked digit's half, and what rounding
// the intermediate results adds to it.
//
// Orders (order.go, order_rounds.go) are drawn from rounds: deeds that come again
// pass by pass or start by start, and the needs between them. Where in its round
// the lathe stands and how the thread ends decide what is safe, so no one rank of
// the sentences is; every order that keeps the needs is right. Situations
// (safety.go) come from the bank in package curriculum.
//
// The same skill, model version, seed, lathe and units give the same exercise
// for ever, on every platform.
package generate
