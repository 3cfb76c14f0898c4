package grade

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Reading is what a text says as the answer to a part, before it is judged.
type Reading struct {
	// Number is set for lengths, angles, speeds, counts and ratios: the exact
	// number of the part's printed unit.
	Number threadmath.Ratio
	// Written and Unit are the number and the unit as they stand in the text; Unit
	// is empty where none was written.
	Written threadmath.Ratio
	Unit    string
	// Reciprocal says that threads per inch were read where a length is asked, or
	// the other way round.
	Reciprocal bool

	// List is sorted and without doubles; an answer of "none" is empty, not nil.
	// Sequence is the list as it was written.
	List, Sequence []int
	// Choice is the id of what was chosen, Order the ids in the order given.
	Choice string
	Order  []string

	kind    string
	ordered bool
}

// Read returns what text says as the answer to the part. Errors are an
// *Unclear, which asks back, or a *ReadError; neither costs a try.
func Read(p curriculum.Part, text string) (Reading, error) {
	s, err := clean(text)
	if err != nil {
		return Reading{}, err
	}
	if s == "" {
		return Reading{}, unreadable("nothing is written here")
	}
	r := Reading{kind: p.Kind, ordered: p.AsksOrder()}
	switch p.Kind {
	case curriculum.KindList:
		r.Sequence, err = readList(p, s)
		r.List = slices.Clone(r.Sequence)
		slices.Sort(r.List)
		r.List = slices.Compact(r.List)
	case curriculum.KindChoice:
		r.Choice, err = readChoice(p, s)
	case curriculum.KindOrder:
		r.Order, err = readOrder(p, s)
	default:
		r, err = readQuantity(p, s)
	}
	if err != nil {
		return Reading{}, err
	}
	return r, nil
}

// String writes the reading so that Read reads the same again.
func (r Reading) String() string {
	switch r.kind {
	case curriculum.KindList:
		if len(r.Sequence) == 0 {
			return "none"
		}
		list := r.List
		if r.ordered {
			list = r.Sequence
		}
		words := make([]string, len(list))
		for i, n := range list {
			words[i] = strconv.Itoa(n)
		}
		return strings.Join(words, " and ")
	case curriculum.KindChoice:
		return r.Choice
	case curriculum.KindOrder:
		return strings.Join(r.Order, ", ")
	}
	if r.Unit == "" {
		return formatNumber(r.Written)
	}
	return formatNumber(r.Written) + " " + r.Unit
}

var (
	// leadIn is what people write in front of a number: "P = ", "about ".
	leadIn = regexp.MustCompile(`^(?:[a-z][a-z0-9_ ]{0,15})?[=≈~] ?|^(?:about|approx\.?|approximately|ca\.?|circa) `)
	// ratioTo is the "to" of "4 to 3".
	ratioTo = regexp.MustCompile(`([0-9]) ?to ?([0-9])`)
	// wheels are drivers over driven in parentheses: "(40 x 30)/(80 x 60)".
	wheels = regexp.MustCompile(`^\(([0-9 x]+)\) ?[/:] ?\(([0-9 x]+)\)`)
)

// smallNumbers are the counts that people write as words.
var smallNumbers = []string{"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// readQuantity reads a number and its unit, in the unit printed at the blank.
func readQuantity(p curriculum.Part, s string) (Reading, error) {
	printed := printedUnit(p.Unit)
	s = ratioTo.ReplaceAllString(leadIn.ReplaceAllString(s, ""), "$1:$2")
	if m := wheels.FindStringSubmatch(s); m != nil {
		s = pairs(m[1], m[2]) + s[len(m[0]):]
	}
	if printed.dim == angle && strings.ContainsAny(s, "°'\"") || strings.Contains(s, "deg") {
		if r, isAngle, err := degreesMinutesSeconds(s); err != nil || isAngle {
			return inUnit(Reading{Written: r, Unit: "deg", kind: p.Kind}, units[degreePlace], printed, err)
		}
	}
	numeral, name := cutUnit(s)
	if numeral == "" {
		word, rest, _ := strings.Cut(s, " ")
		n := slices.Index(smallNumbers, word)
		if n < 0 {
			return Reading{}, unreadable("%s is not a number%s", quote(s), inPrinted(printed))
		}
		numeral, name = strconv.Itoa(n), rest
	}
	written, err := parseNumber(numeral)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{Written: written, kind: p.Kind}
	if name == "" || printed.fits(name) {
		r.Number = written
		if name != "" {
			r.Unit = printed.symbol
		}
		return r, nil
	}
	u, ok := unitOf(name, printed.dim)
	if !ok {
		return Reading{}, unreadable("%s is not a unit that is known here; write the number%s", quote(name), inPrinted(printed))
	}
	r.Unit = u.symbol
	return inUnit(r, u, printed, nil)
}

// pairs writes drivers over driven as pairs of wheels; a wheel without a partner
// keeps 1.
func pairs(drivers, driven string) string {
	a, b := strings.Split(drivers, "x"), strings.Split(driven, "x")
	var out []string
	for i := range max(len(a), len(b)) {
		top, bottom := "1", "1"
		if i < len(a) {
			top = strings.TrimSpace(a[i])
		}
		if i < len(b) {
			bottom = strings.TrimSpace(b[i])
		}
		out = append(out, top+"/"+bottom)
	}
	return strings.Join(out, " x ")
}

// inUnit turns a reading in unit u into the printed unit.
func inUnit(r Reading, u, printed unit, err error) (Reading, error) {
	switch {
	case err != nil:
		return Reading{}, err
	case u.dim == printed.dim:
		r.Number = r.Written.Mul(u.factor.Quo(printed.factor))
		return r, nil
	case u.dim == length && printed.dim == perLength, u.dim == perLength && printed.dim == length:
		if r.Written.Sign() == 0 {
			return Reading{}, unreadable("0 %s is no thread", u.symbol)
		}
		// The base units are mm and per inch.
		base := r.Written.Mul(u.factor)
		r.Number = threadmath.Int(1).Quo(base).Mul(ratio(127, 5)).Quo(printed.factor)
		r.Reciprocal = true
		return r, nil
	}
	asked := printed.dim.withArticle()
	if printed.symbol != "" && printed.dim != perLength {
		asked += " in " + printed.symbol
	}
	return Reading{}, askBack("This blank asks for %s, but %s measures %s. What do you mean?", asked, quote(u.symbol), u.dim.withArticle())
}

func inPrinted(u unit) string {
	if u.symbol == "" {
		return ""
	}
	return " of " + u.symbol
}

// cutUnit parts a quantity where its number ends.
func cutUnit(s string) (numeral, name string) {
	end := numberEnd(s)
	numeral, name = s[:end], s[end:]
	// A stroke at the end belongs to the unit ("2 /in", "120 1/min").
	trimmed := strings.TrimRight(numeral, " /:+-−,")
	if strings.Contains(numeral[len(trimmed):], "/") {
		name = "/" + strings.TrimSpace(name)
		trimmed = strings.TrimSuffix(trimmed, " 1")
	}
	return strings.TrimSpace(trimmed), strings.TrimSpace(name)
}

// numberEnd returns the length of what may be a number at the beginning of s.
func numberEnd(s string) int {
	seen := false // a digit
	for i, r := range s {
		switch {
		case isDigit(r):
			seen = true
		case strings.ContainsRune(" .,/:+-−", r):
		case r == 'e' && seen && exponentFollows(s[i+1:]):
		case r == 'x' && seen && startsWithDigit(strings.TrimLeft(s[i+1:], " ")):
		case r == 'x' && !seen:
			return 0
		default:
			if !seen {
				return 0
			}
			return i
		}
	}
	if !seen {
		return 0
	}
	return len(s)
}

func exponentFollows(s string) bool {
	for _, sign := range []string{"-", "+", "−"} {
		s = strings.TrimPrefix(s, sign)
	}
	return startsWithDigit(s)
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

// degreePlace is where the degree stands in units.
var degreePlace = slices.IndexFunc(units, func(u unit) bool { return u.symbol == "deg" })

var dms = regexp.MustCompile(`^([-+−]? ?[0-9., /+-]+?) ?(?:°|deg(?:rees|ree|s|\.)?) ?` +
	`(?:([0-9.,]+) ?(?:'|min(?:utes|ute|s|\.)?) ?)?` +
	`(?:([0-9.,]+) ?(?:"|sec(?:onds|ond|s|\.)?|s))?$`)

// degreesMinutesSeconds reads 51°25'43", 51° 25.7', 51.43° and the same in
// words. isAngle is false where the text has another form.
func degreesMinutesSeconds(s string) (r threadmath.Ratio, isAngle bool, err error) {
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
