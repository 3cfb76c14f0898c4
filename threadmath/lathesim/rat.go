package lathesim

import "math/big"

// The helpers return new values: no *big.Rat that the package holds is ever changed, so a Lathe can be copied.

// Adding nothing and multiplying by one are taken out: they are most of what a standing slide and a plain train ask for.

func add(a, b *big.Rat) *big.Rat {
	switch {
	case a.Sign() == 0:
		return b
	case b.Sign() == 0:
		return a
	}
	return new(big.Rat).Add(a, b)
}

func mul(a, b *big.Rat) *big.Rat {
	switch {
	case isOne(a):
		return b
	case isOne(b):
		return a
	}
	return new(big.Rat).Mul(a, b)
}

func sub(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func quo(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
func neg(a *big.Rat) *big.Rat    { return new(big.Rat).Neg(a) }

func isOne(a *big.Rat) bool { return a.IsInt() && a.Num().IsInt64() && a.Num().Int64() == 1 }

// whole returns the rational of an integer.
func whole(i int) *big.Rat { return big.NewRat(int64(i), 1) }

// floor returns the greatest whole number not above a.
func floor(a *big.Rat) *big.Rat {
	// Euclidean division equals flooring because a denominator is positive.
	return new(big.Rat).SetInt(new(big.Int).Div(a.Num(), a.Denom()))
}

// part returns what of a turn an angle shows on a round scale: at least 0, under 1.
func part(a *big.Rat) *big.Rat { return sub(a, floor(a)) }

// untilWhole returns how long a quantity that stands at a and changes at rate needs to the next whole number; now
// says whether a whole number reached already counts.
func untilWhole(a, rate *big.Rat, now bool) *big.Rat {
	if rate.Sign() < 0 {
		a, rate = neg(a), neg(rate)
	}
	switch {
	case !a.IsInt():
		return quo(sub(add(floor(a), whole(1)), a), rate)
	case now:
		return new(big.Rat)
	default:
		return quo(whole(1), rate)
	}
}
