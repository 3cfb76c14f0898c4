package curriculum

import (
	"math/bits"
	"slices"
)

// mostOrdered is the greatest number of choices whose orders are counted.
const mostOrdered = 10

// RightOrder reports whether the order is a right answer to the part: the answer
// itself, or for a partial order any without a pair that Wrong names.
func (p *Part) RightOrder(order []string) bool {
	if p.Answer == nil {
		return false
	}
	if !p.Partial {
		return slices.Equal(order, p.Answer.Order)
	}
	return !slices.ContainsFunc(p.Wrong, func(w WrongRule) bool { return w.Answer != nil && InOrder(order, w.Answer.Order) })
}

// rightOrders counts the orders of the choices that are right, by dynamic
// programming over the sets of choices that can come first.
func (p *Part) rightOrders() int {
	n := len(p.Choices)
	if !p.Partial || n > mostOrdered {
		return 1
	}
	at := map[string]int{}
	for i, c := range p.Choices {
		at[c.ID] = i
	}
	before := make([]uint, n) // the set of choices that come before each
	for _, w := range p.Wrong {
		if w.Answer != nil && len(w.Answer.Order) == 2 {
			before[at[w.Answer.Order[0]]] |= 1 << at[w.Answer.Order[1]]
		}
	}
	ways := make([]int, 1<<n)
	ways[0] = 1
	for done := range uint(1 << n) {
		for left := ^done & (1<<n - 1); left != 0; left &= left - 1 {
			if next := bits.TrailingZeros(left); before[next]&^done == 0 {
				ways[done|1<<next] += ways[done]
			}
		}
	}
	return max(1, ways[1<<n-1])
}
