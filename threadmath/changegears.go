package threadmath

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// TrainWheels are the wheels of a change-gear train, by their teeth: A on the stud
// drives B, which is keyed to C, which drives D on the leadscrew. A simple train is
// A and B, joined by any idler; its C and D are 0.
type TrainWheels struct{ A, B, C, D int }

// Simple reports whether the train has two wheels only.
func (w TrainWheels) Simple() bool { return w.C == 0 }

// Ratio is drivers over driven wheels, exact: A/B, or A·C/(B·D). Where B or D is
// missing it is 0.
func (w TrainWheels) Ratio() Ratio {
	a, b := int64(w.A), int64(w.B)
	if !w.Simple() {
		a, b = a*int64(w.C), b*int64(w.D)
	}
	if b == 0 {
		return Ratio{}
	}
	return frac(a, b)
}

// String writes "40/50 × 20/100".
func (w TrainWheels) String() string {
	if w.Simple() {
		return fmt.Sprintf("%d/%d", w.A, w.B)
	}
	return fmt.Sprintf("%d/%d × %d/%d", w.A, w.B, w.C, w.D)
}

func (w TrainWheels) teeth() int { return w.A + w.B + w.C + w.D }

// room is by how many teeth the tighter stud of a compound train is cleared.
func (w TrainWheels) room() int { return min(w.A+w.B-w.C, w.C+w.D-w.B) }

// ChangeGears are the wheels of a lathe and what its bracket takes, read once for
// any number of searches. They are not changed after that, so that several
// goroutines may search them.
type ChangeGears struct {
	// wheels are on hand, by their teeth, as often as they are there; pairs are two
	// of them, by their product.
	wheels []int
	pairs  []wheelPair
	limits *bracket
}

// NewChangeGears reads the change gears and the bracket of a lathe that
// [Lathe.Check] finds no fault with.
func NewChangeGears(l Lathe) *ChangeGears {
	wheels := make([]int, len(l.ChangeGears))
	for i, w := range l.ChangeGears {
		wheels[i] = int(w)
	}
	var limits *bracket
	if b := l.Bracket; b != nil {
		limits = &bracket{}
		if b.LeastTeeth != nil {
			limits.least = int(*b.LeastTeeth)
		}
		if b.GreatestTeeth != nil {
			limits.greatest = int(*b.GreatestTeeth)
		}
	}
	return newChangeGears(wheels, limits)
}

func newChangeGears(wheels []int, limits *bracket) *ChangeGears {
	sorted := slices.Sorted(slices.Values(wheels))
	return &ChangeGears{wheels: sorted, pairs: wheelPairs(sorted), limits: limits}
}

// Sizes are the different wheels on hand, by their teeth, the smallest first.
func (g *ChangeGears) Sizes() []int { return slices.Compact(slices.Clone(g.wheels)) }

// holds reports whether the wheels are all on hand at once.
func (g *ChangeGears) holds(wheels ...int) bool {
	left := wheels
	for len(left) > 0 {
		want := 0
		for _, w := range left {
			if w == left[0] {
				want++
			}
		}
		at, _ := slices.BinarySearch(g.wheels, left[0])
		if at+want > len(g.wheels) || g.wheels[at+want-1] != left[0] {
			return false
		}
		left = left[1:]
	}
	return true
}

// Stands reports whether the train can be put up: its wheels on hand together, in
// a compound train none of them both driving and driven, which would cancel, the
// rims clear of the studs beside them, a + b ≥ c + 15 and c + d ≥ b + 15 teeth, and
// the sum inside the bracket's limits (common practice, no source; the lathe's own
// bracket decides).
func (g *ChangeGears) Stands(w TrainWheels) bool {
	if w.Simple() {
		return g.holds(w.A, w.B)
	}
	return w.A != w.B && w.A != w.D && w.C != w.B && w.C != w.D && g.clears(w) && g.holds(w.A, w.B, w.C, w.D)
}

// clears reports whether a compound train of wheels that can stand together has
// the room.
func (g *ChangeGears) clears(w TrainWheels) bool {
	return w.room() >= meshClearance && g.limits.takes(w)
}

// Pairs are the simple trains that make the ratio exactly, by their drivers. A
// ratio of 1 takes two wheels of one size.
func (g *ChangeGears) Pairs(ratio Ratio) []TrainWheels {
	target := newTrainRatio(ratio)
	var out []TrainWheels
	g.twos(func(t train) {
		if target.rate(&t); t.exact {
			out = append(out, t.TrainWheels)
		}
	})
	return out
}

// Compounds are the compound trains that make the ratio exactly, in every order of
// their wheels that stands, by A, then C, then B. [Solve] lists the best few trains,
// each in its roomiest order; these are all that anybody could put up.
func (g *ChangeGears) Compounds(ratio Ratio) []TrainWheels {
	target := newTrainRatio(ratio)
	if !target.reachable {
		return nil
	}
	// Products below 10⁶ differ by more than this part of themselves, or not at all.
	const same = 1e-9
	var out []TrainWheels
	g.fours(target, same, func(dr, dn wheelPair) {
		t := train{drivers: dr.product, driven: dn.product}
		if target.rate(&t); !t.exact {
			return
		}
		for i, w := range orders(dr, dn) {
			again := i&1 > 0 && dn.x == dn.y || i&2 > 0 && dr.x == dr.y
			if !again && g.clears(w) {
				out = append(out, w)
			}
		}
	})
	slices.SortFunc(out, func(x, y TrainWheels) int {
		return cmp.Or(cmp.Compare(x.A, y.A), cmp.Compare(x.C, y.C), cmp.Compare(x.B, y.B))
	})
	return out
}

// Near are the compound trains of [Solve]'s list that are not exact: the nearest few
// within 1 % of the ratio, one of each ratio, the nearest first.
func (g *ChangeGears) Near(ratio Ratio) []TrainWheels {
	var out []TrainWheels
	for _, t := range g.best(ratio) {
		if !t.exact && !t.Simple() {
			out = append(out, t.TrainWheels)
		}
	}
	return out
}

// twos visits every simple train of the wheels, by driver and then driven wheel.
func (g *ChangeGears) twos(visit func(t train)) {
	sizes := g.Sizes()
	for _, a := range sizes {
		for _, b := range sizes {
			if a != b || g.holds(a, b) { // the same wheel twice needs two on hand
				visit(train{TrainWheels: TrainWheels{A: a, B: b}, drivers: int64(a), driven: int64(b)})
			}
		}
	}
}

// fours visits all two drivers and two driven wheels that are on hand together and
// whose ratio lies within about the spread of the target, as a part of it; no wheel
// both drives and is driven. Pairs are sorted by product, so that for each pair of
// drivers only the driven pairs near enough are looked at: exhaustive, and seldom
// quadratic.
func (g *ChangeGears) fours(target trainRatio, spread float64, visit func(drivers, driven wheelPair)) {
	for _, dr := range g.pairs {
		ideal := float64(dr.product) / target.value
		low, high := ideal/(1+spread), ideal*(1+spread)
		at, _ := slices.BinarySearchFunc(g.pairs, low, func(p wheelPair, v float64) int { return cmp.Compare(float64(p.product), v) })
		for _, dn := range g.pairs[at:] {
			if float64(dn.product) > high {
				break
			}
			if dr.x == dn.x || dr.x == dn.y || dr.y == dn.x || dr.y == dn.y {
				continue
			}
			visit(dr, dn)
		}
	}
}

// orders are the ways to put two drivers and two driven wheels on their studs.
func orders(dr, dn wheelPair) [4]TrainWheels {
	return [4]TrainWheels{
		{dr.x, dn.x, dr.y, dn.y}, {dr.x, dn.y, dr.y, dn.x},
		{dr.y, dn.x, dr.x, dn.y}, {dr.y, dn.y, dr.x, dn.x},
	}
}

// wheelPair is two wheels, x ≤ y.
type wheelPair struct {
	x, y    int
	product int64
}

// wheelPairs returns every pair of different wheels on hand once, by product.
func wheelPairs(sorted []int) []wheelPair {
	var pairs []wheelPair
	for i, x := range sorted {
		for _, y := range sorted[i+1:] {
			pairs = append(pairs, wheelPair{x, y, int64(x) * int64(y)})
		}
	}
	slices.SortFunc(pairs, func(p, q wheelPair) int {
		return cmp.Or(cmp.Compare(p.product, q.product), cmp.Compare(p.x, q.x))
	})
	return slices.Compact(pairs)
}

// bracket is the change-gear bracket of a lathe: the fewest and most teeth that
// the four wheels of a compound train may have together; 0 is no limit.
type bracket struct{ least, greatest int }

func (b *bracket) takes(w TrainWheels) bool {
	return b == nil || w.Simple() || w.teeth() >= b.least && (b.greatest == 0 || w.teeth() <= b.greatest)
}

// trainRatio is the target ratio N/D prepared for many comparisons.
type trainRatio struct {
	num, den int64
	// reachable is false where no product of two wheels can be exact.
	reachable bool
	value     float64
}

func newTrainRatio(r Ratio) trainRatio {
	t := trainRatio{value: r.Float64()}
	const most = maxTeeth * maxTeeth
	if r.wide == nil && r.num <= most && r.den+1 <= most {
		t.num, t.den, t.reachable = r.num, r.den+1, true
	}
	return t
}

// rate fills in what ranks the train.
func (r trainRatio) rate(t *train) {
	t.quotient = float64(t.drivers) / float64(t.driven)
	t.exact = r.reachable && t.drivers*r.den == t.driven*r.num
	if !t.exact {
		t.miss = math.Abs(t.quotient/r.value - 1)
		// Not exact, so not zero, whatever the rounding says.
		t.miss = max(t.miss, math.SmallestNonzeroFloat64)
	}
}
