package formula

import (
	"fmt"
	"math"

	"halfnut/threadmath"
)

type function struct {
	least, most int // arguments
	eval        func(args []Value) (Value, error)
}

const manyArguments = 8

// functions are the language's functions. Angles are in degrees.
var functions = map[string]function{
	"sqrt": {1, 1, func(a []Value) (Value, error) {
		if a[0].Sign() < 0 {
			return Value{}, fmt.Errorf("%w: root of a negative number", ErrUndefined)
		}
		return finite(math.Sqrt(a[0].Float64()))
	}},
	"sin": {1, 1, func(a []Value) (Value, error) { return finite(math.Sin(radians(a[0]))) }},
	"cos": {1, 1, func(a []Value) (Value, error) { return finite(math.Cos(radians(a[0]))) }},
	"tan": {1, 1, func(a []Value) (Value, error) {
		x := radians(a[0])
		if math.Abs(math.Cos(x)) < 1e-12 {
			return Value{}, fmt.Errorf("%w: no tangent there", ErrUndefined)
		}
		return finite(math.Tan(x))
	}},
	"atan":  {1, 1, func(a []Value) (Value, error) { return finite(math.Atan(a[0].Float64()) * 180 / math.Pi) }},
	"floor": {1, 1, func(a []Value) (Value, error) { return whole(a[0], threadmath.Ratio.Floor, floorNear) }},
	"ceil":  {1, 1, func(a []Value) (Value, error) { return whole(a[0], ceilRatio, ceilNear) }},
	"round": {1, 1, func(a []Value) (Value, error) { return whole(a[0], threadmath.Ratio.Round, math.Round) }},
	"abs": {1, 1, func(a []Value) (Value, error) {
		return whole(a[0], threadmath.Ratio.Abs, math.Abs)
	}},
	"min": {1, manyArguments, func(a []Value) (Value, error) { return pick(a, -1), nil }},
	"max": {1, manyArguments, func(a []Value) (Value, error) { return pick(a, 1), nil }},
	"gcd": {2, manyArguments, func(a []Value) (Value, error) { return fold(a, gcd) }},
	"lcm": {2, manyArguments, func(a []Value) (Value, error) { return fold(a, lcm) }},
	"mod": {2, 2, func(a []Value) (Value, error) {
		if a[1].Sign() <= 0 {
			return Value{}, fmt.Errorf("%w: remainder of a division by %s", ErrUndefined, a[1])
		}
		if !a[0].inexact && !a[1].inexact {
			return Exact(a[0].exact.Mod(a[1].exact)), nil
		}
		x, m := a[0].Float64(), a[1].Float64()
		r := math.Mod(x, m)
		if r < 0 {
			r += m
		}
		return finite(r)
	}},
}

func radians(v Value) float64 { return v.Float64() * math.Pi / 180 }

func floorNear(f float64) float64 { return math.Floor(f + nearWhole) }
func ceilNear(f float64) float64  { return math.Ceil(f - nearWhole) }

func ceilRatio(r threadmath.Ratio) threadmath.Ratio { return r.Neg().Floor().Neg() }

func whole(v Value, exact func(threadmath.Ratio) threadmath.Ratio, approx func(float64) float64) (Value, error) {
	if v.inexact {
		return finite(approx(v.approx))
	}
	return Exact(exact(v.exact)), nil
}

// pick returns the least (sign −1) or greatest (sign 1) of the values.
func pick(a []Value, sign int) Value {
	best := a[0]
	for _, v := range a[1:] {
		if Compare(v, best) == sign {
			best = v
		}
	}
	return best
}

// Compare returns −1, 0 or 1 as a is less than, equal to or greater than b;
// exactly where both are exact.
func Compare(a, b Value) int {
	if !a.inexact && !b.inexact {
		return a.exact.Cmp(b.exact)
	}
	switch x, y := a.Float64(), b.Float64(); {
	case x < y:
		return -1
	case x > y:
		return 1
	}
	return 0
}

func fold(a []Value, f func(x, y threadmath.Ratio) threadmath.Ratio) (Value, error) {
	for _, v := range a {
		if v.inexact || v.exact.Sign() <= 0 {
			return Value{}, fmt.Errorf("%w: of exact numbers above zero only", ErrUndefined)
		}
	}
	r := a[0].exact
	for _, v := range a[1:] {
		r = f(r, v.exact)
	}
	return Exact(r), nil
}

func gcd(x, y threadmath.Ratio) threadmath.Ratio { return threadmath.RatioGCD(x, y) }
func lcm(x, y threadmath.Ratio) threadmath.Ratio { return x.Mul(y.Quo(threadmath.RatioGCD(x, y))) }
