package grade

import (
	"regexp"
	"strings"

	"halfnut/threadmath"
)

// inParts reads what people write of an angle or a time in more than one number:
// 51°25'43", 2π/3, 6 min 24 s, 6:24, 1 h 5 min. The number returned is of the unit
// with the symbol; found is false where the text has another form.
func inParts(s string, printed unit) (r threadmath.Ratio, symbol string, found bool, err error) {
	if printed.dim == duration {
		r, found, err = hoursMinutesSeconds(s, printed)
		return r, "min", found, err
	}
	if printed.dim == angle {
		if r, found, err = partsOfPi(s); err != nil || found {
			return r, "rad", found, err
		}
	}
	if printed.dim == angle && strings.ContainsAny(s, "°'\":") || strings.Contains(s, "deg") {
		r, found, err = degreesMinutesSeconds(s)
	}
	return r, "deg", found, err
}

// dms are degrees, minutes and seconds with their marks or words.
var dms = regexp.MustCompile(`^([-+−]? ?[0-9., /+-]+?) ?(?:°|deg(?:rees|ree|s|\.)?) ?` +
	`(?:([0-9.,]+) ?(?:'|min(?:utes|ute|s|\.)?) ?)?` +
	`(?:([0-9.,]+) ?(?:"|sec(?:onds|ond|s|\.)?|s))?$`)

// degreesMinutesSeconds reads 51°25'43", 51° 25.7', 51.43° and the same in
// words. isAngle is false where the text has another form.
func degreesMinutesSeconds(s string) (r threadmath.Ratio, isAngle bool, err error) {
	if m := sexagesimal.FindStringSubmatch(s); m != nil && m[3] != "" {
		s = m[1] + "°" + m[2] + "'" + m[3] + `"`
	}
	if m := bareMinutes.FindStringSubmatch(s); m != nil {
		return r, false, askBack("Is that %s degrees and %s minutes, or %s.%s degrees? Write %s°%s' or %s.%s°.", m[1], m[2], m[1], m[2], m[1], m[2], m[1], m[2])
	}
	m := dms.FindStringSubmatch(s)
	if m == nil {
		return threadmath.Ratio{}, false, nil
	}
	negative, rest := cutSign(m[1])
	if m[2]+m[3] != "" && !allDigits(rest) {
		return threadmath.Ratio{}, false, unreadable("degrees in front of minutes must be whole")
	}
	if len(m[2]) > maxTerm || len(m[3]) > maxTerm || m[2]+m[3] != "" && len(rest) > maxFactorSize {
		return threadmath.Ratio{}, false, unreadable("%s is longer than an angle can be", quote(s))
	}
	total, err := unsigned(rest)
	if err != nil {
		return threadmath.Ratio{}, false, err
	}
	for i, part := range m[2:] {
		if part == "" {
			continue
		}
		n, err := decimal(part)
		if err != nil {
			return threadmath.Ratio{}, false, err
		}
		if n.Cmp(threadmath.Int(60)) >= 0 {
			return threadmath.Ratio{}, false, unreadable("minutes and seconds of an angle stay below 60")
		}
		total = total.Add(n.Quo(threadmath.Int([]int64{60, 3600}[i])))
	}
	if negative {
		total = total.Neg()
	}
	return total, true, nil
}

// sexagesimal are two or three numbers with colons: 6:24, 1:05:30. bareMinutes
// are degrees with a number behind that has no mark.
var (
	sexagesimal = regexp.MustCompile(`^([0-9]{1,6}):([0-9]{1,2})(?::([0-9]{1,2}))?$`)
	bareMinutes = regexp.MustCompile(`^([0-9]{1,6})[°:] ?([0-9]{1,2})$`)
)

// hms are hours, minutes and seconds with their words or marks.
var hms = regexp.MustCompile(`^(?:([0-9.,]+) ?(?:h|hrs?|hours?)\.?(?: |,|and|$)*)?` +
	`(?:([0-9.,]+) ?(?:mins?|minutes?|m|')\.?(?: |,|and|$)*)?` +
	`(?:([0-9.,]+) ?(?:secs?|seconds?|s|")?\.?)?$`)

// hoursMinutesSeconds reads 1 h 5 min, 6 min 24 s and 6:24, in minutes. Two
// numbers with a colon are minutes and seconds, at a blank for hours hours and
// minutes. found is false where the text is one number.
func hoursMinutesSeconds(s string, printed unit) (total threadmath.Ratio, found bool, err error) {
	var parts [3]string // of hours, minutes, seconds
	if m := sexagesimal.FindStringSubmatch(s); m != nil {
		switch {
		case m[3] != "":
			parts = [3]string(m[1:])
		case printed.symbol == "h":
			parts = [3]string{m[1], m[2], ""}
		default:
			parts = [3]string{"", m[1], m[2]}
		}
	} else if m := hms.FindStringSubmatch(s); m != nil {
		parts = [3]string(m[1:])
		// 1 h 5 are minutes: the next smaller unit follows.
		if parts[0] != "" && parts[1] == "" && isDigit(rune(s[len(s)-1])) {
			parts[1], parts[2] = parts[2], ""
		}
	}
	if filled(parts) < 2 {
		return total, false, nil // one number, which is read like any other
	}
	first := true
	for i, part := range parts {
		if part == "" {
			continue
		}
		if len(part) > maxTerm {
			return total, false, unreadable("%s is longer than a time can be", quote(s))
		}
		n, err := decimal(part)
		if err != nil {
			return total, false, err
		}
		if !first && n.Cmp(threadmath.Int(60)) >= 0 {
			return total, false, unreadable("minutes behind hours and seconds behind minutes stay below 60")
		}
		first = false
		for _, smaller := range parts[i+1:] {
			if smaller != "" && !n.IsInt() {
				return total, false, unreadable("only the last number of a time may have decimals")
			}
		}
		total = total.Add(n.Mul([3]threadmath.Ratio{threadmath.Int(60), threadmath.Int(1), ratio(1, 60)}[i]))
	}
	return total, true, nil
}

// filled counts the parts that are there.
func filled(parts [3]string) (n int) {
	for _, p := range parts {
		if p != "" {
			n++
		}
	}
	return n
}

// ofPi is a number of times π, by itself or divided: 2π/3, 0.5 pi rad.
var ofPi = regexp.MustCompile(`^([-−]?)([0-9./]*) ?[x*]? ?(?:pi|π) ?(?:/ ?([0-9]{1,4}))?(?: ?rad(?:ians?)?)?$`)

// pi is π to twenty decimals.
var pi = mustDecimal("3.14159265358979323846")

// partsOfPi reads an angle in radians that is written with π.
func partsOfPi(s string) (r threadmath.Ratio, found bool, err error) {
	m := ofPi.FindStringSubmatch(s)
	if m == nil {
		return r, false, nil
	}
	r = pi
	if m[2] != "" {
		times, err := unsigned(m[2])
		if err != nil {
			return r, false, err
		}
		r = r.Mul(times)
	}
	if m[3] != "" {
		under, err := unsigned(m[3])
		if err != nil || under.Sign() == 0 {
			return r, false, unreadable("nothing can be divided by 0")
		}
		r = r.Quo(under)
	}
	if m[1] != "" {
		r = r.Neg()
	}
	return r, true, nil
}

func mustDecimal(text string) threadmath.Ratio {
	r, err := threadmath.ParseRatio(text)
	if err != nil {
		panic(err)
	}
	return r
}
