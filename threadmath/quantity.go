package threadmath

import (
	"errors"
	"math/big"
	"strconv"
	"strings"
)

// Limits on what is read before any rational is made: a short text such as
// 1e1000000 would otherwise cost megabytes and seconds.
const (
	maxNumberLength = 40
	maxExponent     = 400
)

// ParseRatio returns the number that a decimal ("0.047", ".5", "-2", "1e-3"), a fraction
// ("3/64") or a mixed fraction ("1 3/64") writes. Numbers longer than 40
// characters and exponents beyond ±400 give a DomainError, as does all else.
func ParseRatio(text string) (Ratio, error) {
	fail := func(reason string) (Ratio, error) {
		return Ratio{}, &DomainError{
			Quantity: "number", Value: text, Reason: reason,
			Range: `a decimal, a fraction or a mixed fraction such as "1 3/64"`,
		}
	}
	s := strings.TrimSpace(text)
	if len(s) > maxNumberLength {
		return fail("longer than 40 characters")
	}
	neg := false
	if rest, ok := strings.CutPrefix(s, "-"); ok {
		neg, s = true, rest
	} else if rest, ok := strings.CutPrefix(s, "+"); ok {
		s = rest
	}
	var r Ratio
	before, denominator, isFraction := strings.Cut(s, "/")
	if isFraction {
		whole, numerator, mixed := strings.Cut(before, " ")
		if !mixed {
			whole, numerator = "0", before
		}
		w, ok1 := digits(whole)
		n, ok2 := digits(strings.TrimSpace(numerator))
		d, ok3 := digits(denominator)
		if !ok1 || !ok2 || !ok3 {
			return fail("not readable")
		}
		if d.Sign() == 0 {
			return fail("a fraction over nothing")
		}
		if mixed && n.Cmp(d) >= 0 {
			return fail("the fraction of a mixed number must be less than 1")
		}
		r = w.Add(n.Quo(d))
	} else {
		v, reason := decimal(s)
		if reason != "" {
			return fail(reason)
		}
		r = v
	}
	if neg {
		r = r.Neg()
	}
	return r, nil
}

// digits reads an unsigned whole number.
func digits(s string) (Ratio, bool) {
	if s == "" {
		return Ratio{}, false
	}
	for _, c := range s {
		if c < '0' || c > '9' {
			return Ratio{}, false
		}
	}
	if n, err := strconv.ParseInt(s, 10, 64); err == nil {
		return Int(n), true
	}
	n, ok := new(big.Int).SetString(s, 10)
	if !ok {
		return Ratio{}, false
	}
	return fromBig(new(big.Rat).SetInt(n)), true
}

// decimal reads an unsigned decimal with an optional exponent; an empty reason
// means success.
func decimal(s string) (r Ratio, reason string) {
	mantissa, exponent, hasExponent := strings.Cut(strings.ToLower(s), "e")
	e := 0
	if hasExponent {
		n, err := strconv.Atoi(exponent)
		if err != nil {
			return Ratio{}, "not readable"
		}
		if n > maxExponent || n < -maxExponent {
			return Ratio{}, "exponent beyond 400"
		}
		e = n
	}
	whole, part, _ := strings.Cut(mantissa, ".")
	v, ok := digits(whole + part) // also refuses a point alone
	if !ok {
		return Ratio{}, "not readable"
	}
	return v.Mul(pow10(e - len(part))), ""
}

func pow10(e int) Ratio {
	if e >= 0 && e <= 18 {
		n := int64(1)
		for range e {
			n *= 10
		}
		return Int(n)
	}
	if e < 0 {
		return pow10(-e).inv()
	}
	n := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(e)), nil)
	return fromBig(new(big.Rat).SetInt(n))
}

// lengthUnits lists the units a length may be written in. A thou (mil) is
// 0.001 in.
var lengthUnits = []struct {
	names  []string
	factor Length
	system System
}{
	{[]string{"mm"}, Millimetres(Int(1)), Metric},
	{[]string{"in", "in.", "inch", "inches", `"`, "″"}, Inches(Int(1)), Inch},
	{[]string{"thou"}, Inches(frac(1, 1000)), Inch},
	{[]string{"µm", "μm", "um"}, Millimetres(frac(1, 1000)), Metric},
	{[]string{"cm"}, Millimetres(Int(10)), Metric},
	{[]string{"m"}, Millimetres(Int(1000)), Metric},
}

const lengthForm = `a number with its unit, such as "2 mm", "5/64 in" or "47 thou"`

// ParseLength returns the length that text writes with its unit ("5/64 in",
// "1 3/64 in", "47 thou", "2 mm"), and the unit's system. Without a unit, or
// with one that is no length, it gives a DomainError.
func ParseLength(text string) (Length, System, error) {
	number, unit := splitUnit(text)
	for _, u := range lengthUnits {
		for _, name := range u.names {
			if unit != name {
				continue
			}
			r, err := ParseRatio(number)
			if err != nil {
				return Length{}, 0, &DomainError{Quantity: "length", Value: text, Reason: reasonOf(err), Range: lengthForm}
			}
			return u.factor.Mul(r), u.system, nil
		}
	}
	reason := "unit " + quoteShort(unit) + " is no length"
	if unit == "" {
		reason = "no unit"
	}
	return Length{}, 0, &DomainError{Quantity: "length", Value: text, Reason: reason, Range: lengthForm}
}

// ParsePitch returns what ParseLength returns, and also reads threads or turns
// per inch: "10 tpi" is exactly 1/10 in.
func ParsePitch(text string) (Length, System, error) {
	number, unit := splitUnit(text)
	if unit != "tpi" {
		l, s, err := ParseLength(text)
		if err != nil {
			return l, s, &DomainError{Quantity: "pitch", Value: text, Reason: reasonOf(err), Range: lengthForm + `, or "10 tpi"`}
		}
		return l, s, nil
	}
	r, err := ParseRatio(number)
	if err == nil && r.Sign() <= 0 {
		err = &DomainError{Reason: "must be more than 0"}
	}
	if err != nil {
		return Length{}, 0, &DomainError{Quantity: "pitch", Value: text, Reason: reasonOf(err), Range: lengthForm + `, or "10 tpi"`}
	}
	return Inches(r.inv()), Inch, nil
}

// splitUnit parts a quantity after its last digit, and a point that follows it
// straight away only where the unit does not use it ("3 in.", but "3. in").
func splitUnit(text string) (number, unit string) {
	s := strings.TrimSpace(text)
	end := strings.LastIndexAny(s, "0123456789") + 1
	if rest, ok := strings.CutPrefix(s[end:], "."); ok && end > 0 {
		return s[:end] + ".", strings.ToLower(strings.TrimSpace(rest))
	}
	return strings.TrimSpace(s[:end]), strings.ToLower(strings.TrimSpace(s[end:]))
}

func reasonOf(err error) string {
	var d *DomainError
	if errors.As(err, &d) {
		return d.Reason
	}
	return err.Error()
}
