package threadmath

import (
	"math"
	"math/big"
	"math/bits"
	"strconv"
)

// Ratio is an exact rational number. It is immutable; the zero value is 0.
//
// Numbers whose numerator and denominator fit into 63 bits are held in two
// words, which covers every lathe; others fall back to math/big. The two forms
// never overlap, so a number has one representation only. Compare with Equal:
// == would compare the pointers of wide numbers.
type Ratio struct {
	num int64
	// den is the denominator less one, so that the zero value reads 0/1.
	den int64
	// wide is set instead of num and den when they would overflow.
	wide *big.Rat
}

// Frac returns num/den in lowest terms. A zero denominator gives a
// DomainError.
func Frac(num, den int64) (Ratio, error) {
	if den == 0 {
		return Ratio{}, &DomainError{Quantity: "denominator", Value: "0", Range: "not zero"}
	}
	return frac(num, den), nil
}

// Int returns n as a Ratio.
func Int(n int64) Ratio {
	if n == math.MinInt64 {
		return fromBig(new(big.Rat).SetInt64(n))
	}
	return Ratio{num: n}
}

// frac is Frac for a denominator known not to be zero.
func frac(num, den int64) Ratio {
	if num == math.MinInt64 || den == math.MinInt64 {
		return fromBig(new(big.Rat).SetFrac(big.NewInt(num), big.NewInt(den)))
	}
	if den < 0 {
		num, den = -num, -den
	}
	g := gcd(abs64(num), den)
	return Ratio{num: num / g, den: den/g - 1}
}

func fromBig(r *big.Rat) Ratio {
	if r.Num().IsInt64() && r.Denom().IsInt64() {
		if n := r.Num().Int64(); n != math.MinInt64 {
			return Ratio{num: n, den: r.Denom().Int64() - 1}
		}
	}
	return Ratio{wide: r}
}

// toBig returns a value the caller must not change when r is wide.
func (r Ratio) toBig() *big.Rat {
	if r.wide != nil {
		return r.wide
	}
	return big.NewRat(r.num, r.den+1)
}

// Add returns r + o.
func (r Ratio) Add(o Ratio) Ratio {
	if r.wide == nil && o.wide == nil {
		rd, od := r.den+1, o.den+1
		// Over the least common denominator, so that sums of like parts stay small.
		g := gcd(rd, od)
		a, ok1 := mul64(r.num, od/g)
		b, ok2 := mul64(o.num, rd/g)
		d, ok3 := mul64(rd/g, od)
		if ok1 && ok2 && ok3 {
			if s := a + b; (s > a) == (b > 0) && s != math.MinInt64 {
				return frac(s, d)
			}
		}
	}
	return fromBig(new(big.Rat).Add(r.toBig(), o.toBig()))
}

// Sub returns r − o.
func (r Ratio) Sub(o Ratio) Ratio { return r.Add(o.Neg()) }

// Mul returns r · o.
func (r Ratio) Mul(o Ratio) Ratio {
	if r.wide == nil && o.wide == nil {
		rd, od := r.den+1, o.den+1
		g1, g2 := gcd(abs64(r.num), od), gcd(abs64(o.num), rd)
		n, ok1 := mul64(r.num/g1, o.num/g2)
		d, ok2 := mul64(rd/g2, od/g1)
		if ok1 && ok2 {
			return Ratio{num: n, den: d - 1}
		}
	}
	return fromBig(new(big.Rat).Mul(r.toBig(), o.toBig()))
}

// Quo returns r / o. Like integer division it panics when o is zero; every
// exported function of this package that divides checks its input first.
func (r Ratio) Quo(o Ratio) Ratio { return r.Mul(o.inv()) }

func (r Ratio) inv() Ratio {
	if r.wide != nil {
		return fromBig(new(big.Rat).Inv(r.wide))
	}
	if r.num == 0 {
		panic("threadmath: division by zero")
	}
	return frac(r.den+1, r.num)
}

// Neg returns −r.
func (r Ratio) Neg() Ratio {
	if r.wide != nil {
		return fromBig(new(big.Rat).Neg(r.wide))
	}
	return Ratio{num: -r.num, den: r.den}
}

// Abs returns |r|.
func (r Ratio) Abs() Ratio {
	if r.Sign() < 0 {
		return r.Neg()
	}
	return r
}

// Sign returns −1, 0 or 1.
func (r Ratio) Sign() int {
	switch {
	case r.wide != nil:
		return r.wide.Sign()
	case r.num < 0:
		return -1
	case r.num > 0:
		return 1
	}
	return 0
}

// Cmp returns −1, 0 or 1 as r is less than, equal to or greater than o.
func (r Ratio) Cmp(o Ratio) int {
	if r.wide == nil && o.wide == nil {
		a, ok1 := mul64(r.num, o.den+1)
		b, ok2 := mul64(o.num, r.den+1)
		if ok1 && ok2 {
			switch {
			case a < b:
				return -1
			case a > b:
				return 1
			}
			return 0
		}
	}
	return r.toBig().Cmp(o.toBig())
}

// Equal reports whether r and o are the same number.
func (r Ratio) Equal(o Ratio) bool { return r.Cmp(o) == 0 }

// IsInt reports whether r is a whole number.
func (r Ratio) IsInt() bool {
	if r.wide != nil {
		return r.wide.IsInt()
	}
	return r.den == 0
}

// Int64 returns r as an integer, and whether it is one that fits.
func (r Ratio) Int64() (int64, bool) {
	if r.wide != nil || r.den != 0 {
		return 0, false
	}
	return r.num, true
}

// Floor returns the greatest whole number not above r.
func (r Ratio) Floor() Ratio {
	if r.wide != nil {
		// big.Int.Div is Euclidean, which for a positive divisor is the floor.
		q := new(big.Int).Div(r.wide.Num(), r.wide.Denom())
		return fromBig(new(big.Rat).SetInt(q))
	}
	d := r.den + 1
	q := r.num / d
	if r.num%d < 0 {
		q--
	}
	return Ratio{num: q}
}

// Round returns the whole number nearest to r, halves away from zero.
func (r Ratio) Round() Ratio {
	half := Ratio{num: 1, den: 1}
	if r.Sign() < 0 {
		return r.Neg().Add(half).Floor().Neg()
	}
	return r.Add(half).Floor()
}

// Mod returns r modulo m, in [0, m) for m > 0. It panics when m is zero.
func (r Ratio) Mod(m Ratio) Ratio { return r.Sub(r.Quo(m).Floor().Mul(m)) }

// Num returns the numerator in lowest terms as decimal text.
func (r Ratio) Num() string { return r.toBig().Num().String() }

// Den returns the denominator in lowest terms as decimal text.
func (r Ratio) Den() string { return r.toBig().Denom().String() }

// Float64 returns the float64 nearest to r; a number beyond float64 gives ±Inf,
// which ParseRatio's limits keep away from every answer.
func (r Ratio) Float64() float64 {
	if r.wide != nil {
		f, _ := r.wide.Float64()
		return f
	}
	if abs64(r.num) < 1<<53 && r.den < 1<<53-1 {
		return float64(r.num) / float64(r.den+1) // both exact, so one rounding
	}
	f, _ := r.toBig().Float64()
	return f
}

// String returns r in lowest terms: "3", "10/3", "-1/2".
func (r Ratio) String() string {
	if r.wide != nil {
		return r.wide.RatString()
	}
	s := strconv.FormatInt(r.num, 10)
	if r.den != 0 {
		s += "/" + strconv.FormatInt(r.den+1, 10)
	}
	return s
}

// Decimal returns r with the given number of decimals, halves away from zero,
// and whether that text is exact.
func (r Ratio) Decimal(decimals int) (text string, exact bool) {
	b := r.toBig()
	n, terminates := b.FloatPrec()
	return b.FloatString(decimals), terminates && n <= decimals
}

// maxSafe is the greatest whole number up to which every JSON reader that keeps
// numbers in a float64 counts without gaps (RFC 8259, section 6).
const maxSafe = 1<<53 - 1

// MarshalJSON writes a whole number as a JSON number ("3" without quotes) and
// a fraction, or a whole number beyond 2⁵³ − 1, as the text of String
// ("\"10/3\"").
func (r Ratio) MarshalJSON() ([]byte, error) {
	if n, ok := r.Int64(); ok && abs64(n) <= maxSafe {
		return strconv.AppendInt(nil, n, 10), nil
	}
	return RatioText{r}.MarshalJSON()
}

// UnmarshalJSON reads a JSON number, or text that ParseRatio reads.
func (r *Ratio) UnmarshalJSON(data []byte) error {
	s := string(data)
	if len(s) >= 2 && s[0] == '"' {
		s = s[1 : len(s)-1] // nothing that ParseRatio reads is escaped
	}
	v, err := ParseRatio(s)
	if err != nil {
		return err
	}
	*r = v
	return nil
}

// RatioText is a Ratio that JSON always holds as text, whole or not: "4",
// "10/3".
type RatioText struct{ Ratio }

// MarshalJSON writes the text of String in quotes.
func (r RatioText) MarshalJSON() ([]byte, error) {
	return []byte(`"` + r.String() + `"`), nil
}

// RatioGCD returns the greatest number that both a and b are whole multiples
// of: gcd(a/b, c/d) = gcd(a·d, c·b)/(b·d). Of two zeros it is zero.
func RatioGCD(a, b Ratio) Ratio {
	a, b = a.Abs(), b.Abs()
	for b.Sign() != 0 {
		a, b = b, a.Mod(b)
	}
	return a
}

func mul64(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(uint64(abs64(a)), uint64(abs64(b)))
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}

func abs64(n int64) int64 {
	if n < 0 {
		return -n
	}
	return n
}

// gcd is the greatest common divisor of two numbers that are not negative;
// gcd(0, 0) is 1 so that it can always divide.
func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	if a == 0 {
		return 1
	}
	return a
}
