package formula

import (
	"math"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// Value is a number, exact or approximate. The zero value is exactly 0.
type Value struct {
	exact   threadmath.Ratio
	approx  float64
	inexact bool
}

// Exact returns r as a value.
func Exact(r threadmath.Ratio) Value { return Value{exact: r} }

// Int returns the whole number n as a value.
func Int(n int) Value { return Value{exact: threadmath.Int(int64(n))} }

// Approx returns f as an approximate value. f must be finite; what is not gives
// an error in the next evaluation.
func Approx(f float64) Value { return Value{approx: f, inexact: true} }

// Ratio returns the exact number, and whether there is one.
func (v Value) Ratio() (threadmath.Ratio, bool) { return v.exact, !v.inexact }

// Float64 returns the float64 nearest to v.
func (v Value) Float64() float64 {
	if v.inexact {
		return v.approx
	}
	return v.exact.Float64()
}

// Sign returns −1, 0 or 1.
func (v Value) Sign() int {
	switch {
	case !v.inexact:
		return v.exact.Sign()
	case v.approx < 0:
		return -1
	case v.approx > 0:
		return 1
	}
	return 0
}

// String writes v for people: a decimal where one of up to six decimals is
// exact, otherwise a fraction; approximate values with six significant digits.
func (v Value) String() string {
	if v.inexact {
		return minus(decimal(v.approx))
	}
	if text, exact := v.exact.Decimal(6); exact {
		return minus(trimZeros(text))
	}
	if s := v.exact.String(); len(s) <= 12 {
		return minus(s)
	}
	return minus(decimal(v.exact.Float64()))
}

// decimal writes f with six significant digits, without an exponent for the
// sizes that a lathe meets.
func decimal(f float64) string {
	if a := math.Abs(f); a != 0 && (a < 1e-7 || a >= 1e12) {
		return strconv.FormatFloat(f, 'g', 6, 64)
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'e', 5, 64), 64)
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

// ReadNumber returns the number that a quantity starts with and the unit that
// follows: "1 3/64 in" is 67/64 and "in", "10 tpi" is 10 and "tpi". ok is false
// where the text is not one number and its unit.
func ReadNumber(text string) (v Value, unit string, ok bool) {
	text = strings.TrimSpace(text)
	end := strings.IndexFunc(text, func(c rune) bool {
		return (c < '0' || c > '9') && c != '.' && c != '/' && c != ' ' && c != '-'
	})
	if end < 0 {
		end = len(text)
	}
	r, err := threadmath.ParseRatio(text[:end])
	if err != nil {
		return Value{}, "", false
	}
	unit = strings.TrimSpace(text[end:])
	if strings.ContainsAny(unit, "0123456789,;") {
		return Value{}, "", false
	}
	return Exact(r), unit, true
}
