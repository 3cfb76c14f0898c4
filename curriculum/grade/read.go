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
	List []int
	// Choice is the id of what was chosen, Order the ids in the order given.
	Choice string
	Order  []string

	kind string
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
	if sure := strings.TrimRight(s, " ?"); len(sure) < len(s) {
		if sure == "" {
			return Reading{}, unreadable("a question mark is no answer: leave the blank empty until you have one")
		}
		return Reading{}, askBack("Is %s your answer? Write it without the question mark, and it is judged.", quote(sure))
	}
	r := Reading{kind: p.Kind}
	switch p.Kind {
	case curriculum.KindList:
		r.List, err = readList(p, s)
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
		if len(r.List) == 0 {
			return "none"
		}
		words := make([]string, len(r.List))
		for i, n := range r.List {
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
	if r, symbol, found, err := inParts(s, printed); err != nil || found {
		u, _ := unitOf(symbol, printed.dim)
		return inUnit(Reading{Written: r, Unit: symbol, kind: p.Kind}, u, printed, err)
	}
	numeral, name := cutUnit(s)
	if numeral == "" {
		word, rest, _ := strings.Cut(s, " ")
		n := slices.Index(smallNumbers, word)
		if n < 0 {
			return Reading{}, unreadable("%s is not a number: write the number%s", quote(s), printed.behind())
		}
		numeral, name = strconv.Itoa(n), rest
	}
	if (printed.dim != number || p.Kind == curriculum.KindCount) && strings.Contains(numeral, "x") {
		return Reading{}, askBack("%s is a product, not an answer: which single number do you mean?", quote(numeral))
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
		return Reading{}, unreadable("%s is not a unit that is known here; write the number%s", quote(name), printed.behind())
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
	if printed.dim != number && printed.dim != perLength {
		asked += printed.behind()
	}
	return Reading{}, askBack("This blank asks for %s, but %s measures %s. What do you mean?", asked, quote(u.symbol), u.dim.withArticle())
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
