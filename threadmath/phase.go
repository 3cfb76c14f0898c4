package threadmath

import (
	"encoding/json"
	"math/big"
)

// steps is the core of every indexing method that can move by whole steps only:
// leadscrew threads, teeth of a gear, stations of a holder. A step is a/b of a
// lead (or of a turn) in lowest terms, and k steps land on start j+1 when
//
//	k·a/b ≡ j/n (mod 1).
//
// As k·a runs through all residues of b, the start is reached exactly when n
// divides j·b, and k = (j·b/n)·a⁻¹ mod b is the fewest steps that do it. The
// inverse costs the length of the numbers, never their size.
type steps struct {
	a, b, inverse *big.Int
	starts        int
}

// newSteps returns the steps of the given part of a lead, which must be above 0.
func newSteps(part Ratio, starts int) steps {
	r := part.toBig()
	s := steps{a: r.Num(), b: r.Denom(), starts: starts}
	s.inverse = new(big.Int).ModInverse(s.a, s.b)
	return s
}

// paths is b, the number of different grooves that whole steps can reach.
func (s steps) paths() Whole { return wholeOf(s.b) }

// to returns the fewest steps that land on start j+1; ok is false where none do.
func (s steps) to(j int) (k Ratio, ok bool) {
	n := big.NewInt(int64(s.starts))
	q, rest := new(big.Int).Mul(s.b, big.NewInt(int64(j))), new(big.Int)
	q.QuoRem(q, n, rest)
	if rest.Sign() != 0 {
		return Ratio{}, false
	}
	q.Mul(q, s.inverse)
	return wholeOf(q.Mod(q, s.b)).Ratio, true
}

// all reports whether every start is reached, which is so when n divides b.
func (s steps) all() bool {
	_, ok := s.to(1)
	return ok
}

// reached is the number of starts that whole steps reach: gcd(n, b).
func (s steps) reached() int {
	n := big.NewInt(int64(s.starts))
	return int(n.GCD(nil, nil, n, s.b).Int64())
}

// small returns a mod b and b where b divides limit, and whether it does: a
// dial or holder of so many teeth then comes round to where it began.
func (s steps) small(limit int64) (a, b int64, ok bool) {
	if !s.b.IsInt64() || limit%s.b.Int64() != 0 {
		return 0, 0, false
	}
	return new(big.Int).Mod(s.a, s.b).Int64(), s.b.Int64(), true
}

// againstTravel returns the start on which i steps of one pitch with the travel
// land: moving with the travel is moving n−i pitches against it.
func againstTravel(i, starts int) int { return (starts-i)%starts + 1 }

// Whole is a whole number of any size. In JSON it is a number.
type Whole struct{ Ratio }

func wholeOf(n *big.Int) Whole { return Whole{fromBig(new(big.Rat).SetInt(n))} }

// MarshalJSON writes the digits.
func (w Whole) MarshalJSON() ([]byte, error) { return []byte(w.Num()), nil }

// maxWholeLength covers every count that two quantities of 40 characters can
// make.
const maxWholeLength = 200

// UnmarshalJSON reads what MarshalJSON writes.
func (w *Whole) UnmarshalJSON(data []byte) error {
	if len(data) <= maxWholeLength {
		if r, ok := digits(string(data)); ok {
			w.Ratio = r
			return nil
		}
	}
	return &DomainError{Quantity: "count", Value: string(data), Reason: "not readable", Range: "a whole number, 0 or more"}
}

var _ json.Unmarshaler = (*Whole)(nil)
