package grade

import (
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// Limits of one number, besides threadmath's 40 characters and exponent ±400.
// What stays below them can always be printed back within them.
const (
	maxSignificant = 30 // significant digits of a decimal
	maxTerm        = 12 // characters of each side of a ratio or fraction
	maxFactors     = 3  // pairs of a compound ratio
	maxFactorSize  = 6  // digits of a wheel in a compound ratio
	maxExponent    = 400
)

// parseNumber reads one number from text that clean has passed: a decimal with
// point or comma, digits grouped by threes, a fraction, a mixed fraction
// ("1 3/64", "1-3/64"), a ratio ("40:30") or a product of ratios
// ("40/50 x 20/100").
func parseNumber(s string) (threadmath.Ratio, error) {
	negative, rest := cutSign(s)
	r, err := unsigned(rest)
	if err != nil {
		return threadmath.Ratio{}, err
	}
	if negative {
		r = r.Neg()
	}
	return r, nil
}

// cutSign takes a leading sign off.
func cutSign(s string) (negative bool, rest string) {
	s = strings.TrimSpace(s)
	for _, minus := range []string{"-", "−"} {
		if after, ok := strings.CutPrefix(s, minus); ok {
			return true, strings.TrimSpace(after)
		}
	}
	return false, strings.TrimSpace(strings.TrimPrefix(s, "+"))
}

func unsigned(s string) (threadmath.Ratio, error) {
	switch {
	case s == "":
		return threadmath.Ratio{}, unreadable("there is no number here")
	case strings.Contains(s, "x"):
		return product(s)
	case strings.ContainsAny(s, "/:"):
		return fraction(s)
	case strings.ContainsAny(exponentOff(s), "+-−"):
		return threadmath.Ratio{}, askBack("%s is a sum, not an answer: which single number do you mean?", quote(s))
	}
	return decimal(s)
}

// exponentOff drops the sign of an exponent, which is no sum.
func exponentOff(s string) string {
	return strings.NewReplacer("e-", "e", "e+", "e", "e−", "e").Replace(s)
}

// fraction reads a/b, a:b and the mixed w a/b.
func fraction(s string) (threadmath.Ratio, error) {
	sign := "/"
	if strings.Contains(s, ":") {
		sign = ":"
	}
	top, bottom, _ := strings.Cut(s, sign)
	if strings.ContainsAny(bottom, "/:") {
		return threadmath.Ratio{}, unreadable("%s has more than one fraction line", quote(s))
	}
	top, bottom = strings.TrimSpace(top), strings.TrimSpace(bottom)
	if sign == "/" {
		w, t, mixed, err := cutWhole(top, bottom)
		if err != nil {
			return threadmath.Ratio{}, err
		}
		if mixed {
			n, err := threadmath.ParseRatio(w + " " + t + "/" + bottom)
			if err != nil {
				return threadmath.Ratio{}, unreadable("%s is not a mixed number: its fraction must be two whole numbers, and less than 1", quote(s))
			}
			return n, nil
		}
	}
	n, err := term(top)
	if err != nil {
		return threadmath.Ratio{}, err
	}
	d, err := term(bottom)
	if err != nil {
		return threadmath.Ratio{}, err
	}
	if d.Sign() == 0 {
		return threadmath.Ratio{}, unreadable("nothing can be divided by 0")
	}
	return n.Quo(d), nil
}

// cutWhole parts the whole number of a mixed fraction from the top of its
// fraction. A blank or a joining + always mixes. A joining hyphen mixes where
// the fraction is one that an inch rule has (halves to 128ths); elsewhere, and
// where blanks or a true minus sign stand between, it may be a subtraction and
// is asked back.
func cutWhole(top, bottom string) (whole, part string, mixed bool, err error) {
	i := strings.IndexAny(top, " +-−")
	if i < 0 {
		return "", top, false, nil
	}
	join := strings.TrimLeft(top[i:], "0123456789")
	join = join[:len(join)-len(strings.TrimLeft(join, " +-−"))]
	whole, part = top[:i], top[i+len(join):]
	if strings.ContainsAny(part, " +-−") || !allDigits(whole) || !allDigits(part) {
		return "", "", false, unreadable("%s is not a mixed number such as 1 3/64", quote(top+"/"+bottom))
	}
	if strings.ContainsAny(join, "-−") && (join != "-" || !inchRule(part, bottom)) {
		return "", "", false, askBack("Do you mean %s plus %s/%s, or %s minus %s/%s? Write one number, such as %s %s/%s.",
			whole, part, bottom, whole, part, bottom, whole, part, bottom)
	}
	return whole, part, true, nil
}

// inchRule reports whether part/bottom is a proper fraction of an inch rule.
func inchRule(part, bottom string) bool {
	switch bottom {
	case "2", "4", "8", "16", "32", "64", "128":
		return len(part) < len(bottom) || len(part) == len(bottom) && part < bottom
	}
	return false
}

// term reads one side of a fraction or ratio.
func term(s string) (threadmath.Ratio, error) {
	if len(s) > maxTerm {
		return threadmath.Ratio{}, unreadable("%s is too long for one side of a fraction", quote(s))
	}
	if strings.ContainsAny(s, "e+-−") {
		return threadmath.Ratio{}, unreadable("%s is not a number", quote(s))
	}
	return decimal(s)
}

// product reads ratios of wheels multiplied: "40/50 x 20/100".
func product(s string) (threadmath.Ratio, error) {
	factors := strings.Split(s, "x")
	if len(factors) > maxFactors {
		return threadmath.Ratio{}, unreadable("more than %d pairs of wheels", maxFactors)
	}
	r := threadmath.Int(1)
	for _, f := range factors {
		sign := "/"
		if strings.Contains(f, ":") {
			sign = ":"
		}
		top, bottom, ok := strings.Cut(f, sign)
		top, bottom = strings.TrimSpace(top), strings.TrimSpace(bottom)
		if !ok {
			// 40 x 20 / 50 x 100 means one thing in the trade and another by the rules.
			return threadmath.Ratio{}, askBack("Which wheels drive and which are driven? Write each pair as driver/driven, such as 40/50 x 20/100.")
		}
		if !allDigits(top) || !allDigits(bottom) || len(top) > maxFactorSize || len(bottom) > maxFactorSize {
			return threadmath.Ratio{}, unreadable("%s is not a pair of wheels such as 40/50", quote(f))
		}
		n, err := threadmath.ParseRatio(top + "/" + bottom)
		if err != nil {
			return threadmath.Ratio{}, unreadable("nothing can be divided by 0")
		}
		r = r.Mul(n)
	}
	return r, nil
}

// decimal reads an unsigned decimal: point or comma, an exponent, digits
// grouped by threes.
func decimal(s string) (threadmath.Ratio, error) {
	mantissa, exponent, hasExponent := strings.Cut(s, "e")
	whole, part, err := cutDecimal(strings.TrimSpace(mantissa))
	if err != nil {
		return threadmath.Ratio{}, err
	}
	if whole == "" && part == "" {
		return threadmath.Ratio{}, unreadable("%s has no digits", quote(s))
	}
	if len(strings.Trim(strings.TrimLeft(whole, "0")+part, "0")) > maxSignificant {
		return threadmath.Ratio{}, unreadable("a number of more than %d digits; write the answer rounded", maxSignificant)
	}
	plain := whole + "." + part
	if part == "" {
		plain = whole
	}
	if hasExponent {
		exponent = strings.ReplaceAll(exponent, "−", "-")
		n, err := strconv.Atoi(exponent)
		// Counted from the first digit, so that 0.001e-400 is beyond it as well.
		first := n + len(strings.TrimLeft(whole, "0")) - 1
		if strings.TrimLeft(whole, "0") == "" {
			first -= len(part) - len(strings.TrimLeft(part, "0"))
		}
		if err != nil || first > maxExponent || first < -maxExponent {
			return threadmath.Ratio{}, unreadable("%s is beyond the numbers that are read", quote(s))
		}
		plain += "e" + exponent
	}
	r, err := threadmath.ParseRatio(plain)
	if err != nil {
		return threadmath.Ratio{}, unreadable("%s is no number, or longer than is read", quote(s))
	}
	return r, nil
}

// cutDecimal returns the digits before and after the decimal mark, groups
// joined. A point is always the decimal mark where it stands alone; a comma is,
// unless exactly three digits follow one to three ("1,250").
func cutDecimal(s string) (whole, part string, err error) {
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	mark, group := "", " "
	switch {
	case points == 0 && commas == 0:
	case points == 1 && commas == 0:
		mark = "."
	case points == 0 && commas == 1:
		before, after, _ := strings.Cut(s, ",")
		if len(after) == 3 && len(before) >= 1 && len(before) <= 3 && before[0] != '0' && allDigits(before+after) {
			return "", "", askBack("Does %s mean %s.%s or %s%s? Write it with a point, or without the comma.", s, before, after, before, after)
		}
		mark = ","
	case points == 1 && strings.LastIndex(s, ",") < strings.Index(s, "."):
		mark, group = ".", ","
	case commas == 1 && strings.LastIndex(s, ".") < strings.Index(s, ","):
		mark, group = ",", "."
	case commas > 1 && points == 0:
		group = ","
	case points > 1 && commas == 0:
		group = "."
	default:
		return "", "", unreadable("%s has points and commas in an order that is no number", quote(s))
	}
	whole, part = s, ""
	if mark != "" {
		whole, part, _ = strings.Cut(s, mark)
	}
	whole, ok1 := ungroup(whole, group, true)
	part, ok2 := ungroup(part, " ", false)
	if !ok1 || !ok2 {
		return "", "", unreadable("%s is not one number", quote(s))
	}
	return whole, part, nil
}

// ungroup joins groups of three digits; the odd group comes first in front of
// the decimal mark and last behind it (ISO 80000-1, 7.3.1; NIST SP 811, 10.5.3).
func ungroup(s, separator string, front bool) (string, bool) {
	groups := strings.Split(s, separator)
	for i, g := range groups {
		odd := i == len(groups)-1
		if front {
			odd = i == 0
		}
		if len(groups) > 1 && (len(g) == 0 || len(g) > 3 || !odd && len(g) != 3) {
			return "", false
		}
		if g != "" && !allDigits(g) {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

func allDigits(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// formatNumber writes r so that parseNumber reads the same number again: as a
// decimal where it ends, else as a fraction in lowest terms.
func formatNumber(r threadmath.Ratio) string {
	if r.Sign() < 0 {
		return "-" + formatNumber(r.Neg())
	}
	for _, decimals := range []int{12, maxExponent + 40} {
		text, exact := r.Decimal(decimals)
		if !exact {
			continue
		}
		if strings.Contains(text, ".") {
			text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
		}
		if len(text) <= 40 {
			return text
		}
		return scientific(text)
	}
	if len(r.Num()) <= maxTerm && len(r.Den()) <= maxTerm {
		return r.String()
	}
	whole := r.Floor()
	return whole.String() + " " + r.Sub(whole).String()
}

// scientific writes a long plain decimal as d.ddd…e±n.
func scientific(plain string) string {
	whole, part, _ := strings.Cut(plain, ".")
	digits := strings.TrimLeft(whole+part, "0")
	exponent := len(whole) - 1 - (len(whole+part) - len(digits))
	digits = strings.TrimRight(digits, "0")
	text := digits[:1]
	if len(digits) > 1 {
		text += "." + digits[1:]
	}
	return text + "e" + strconv.Itoa(exponent)
}
