package threadmath

import (
	"errors"
	"slices"
	"strconv"
	"strings"
)

// reader reads the fields of a request one after another and keeps the first
// error, so that newJob reads like the contract.
type reader struct {
	err error
	// system is that of the last quantity read by pitch.
	system System
}

func (r *reader) fail(path, value, reason, allowed string) {
	if r.err == nil {
		r.err = &DomainError{Quantity: path, Value: value, Reason: reason, Range: allowed}
	}
}

// length reads a length above zero; empty text is not known.
func (r *reader) length(path, text string) *Length {
	if text == "" {
		return nil
	}
	l, _, err := ParseLength(text)
	return r.positive(path, text, l, err)
}

// pitch reads what ParsePitch reads, above zero.
func (r *reader) pitch(path, text string) *Length {
	if text == "" {
		return nil
	}
	l, s, err := ParsePitch(text)
	r.system = s
	return r.positive(path, text, l, err)
}

func (r *reader) positive(path, text string, l Length, err error) *Length {
	var d *DomainError
	switch {
	case errors.As(err, &d):
		r.fail(path, text, d.Reason, d.Range)
		return nil
	case l.Sign() <= 0:
		r.fail(path, text, "", "more than 0")
		return nil
	case l.Cmp(longest) > 0 || l.Cmp(shortest) < 0:
		r.fail(path, text, "no size that a lathe meets", shortest.Exact(Metric)+" to "+longest.Exact(Metric))
		return nil
	}
	return &l
}

// Sizes beyond these are slips of the pen; refusing them keeps every float64
// far from overflow.
var (
	longest  = Millimetres(Int(100_000))
	shortest = Millimetres(frac(1, 100_000))
)

// count reads a whole number in [low, high].
func (r *reader) count(path string, c Count, low, high int) int {
	if int(c) < low || int(c) > high {
		reason := ""
		if c == 0 {
			reason = "missing or zero"
		}
		r.fail(path, strconv.Itoa(int(c)), reason, strconv.Itoa(low)+" to "+strconv.Itoa(high))
		return low
	}
	return int(c)
}

// number checks an optional float64 in [low, high].
func (r *reader) number(path string, f *float64, low, high float64) *float64 {
	if f != nil && !(*f >= low && *f <= high) {
		r.fail(path, formatFloat(*f), "", formatFloat(low)+" to "+formatFloat(high))
		return nil
	}
	return f
}

func formatFloat(f float64) string { return strconv.FormatFloat(f, 'g', 9, 64) }

// approxText writes mm in the system's unit with nine digits.
func approxText(mm float64, s System) string {
	return formatFloat(ApproxDimension(mm).Value(s)) + " " + s.String()
}

// choice returns text, or the first of the choices where text is empty and the
// first is not.
func (r *reader) choice(path, text string, choices ...string) string {
	if text == "" && choices[0] != "" {
		return choices[0]
	}
	if text != "" && slices.Contains(choices, text) {
		return text
	}
	reason := ""
	if text == "" {
		reason = "missing"
	}
	r.fail(path, text, reason, strings.TrimPrefix(strings.Join(choices, ", "), ", "))
	return choices[0]
}

// dialRuns keeps "not said" apart from either direction.
func (r *reader) dialRuns(path, text string) string {
	if text == "" {
		return ""
	}
	return r.choice(path, text, DialRunsUp, DialRunsDown)
}

// list checks the length of a list, for requests that were not read from JSON.
func (r *reader) list(path string, n int) bool {
	if n > maxListed {
		r.fail(path, strconv.Itoa(n)+" entries", "", "up to "+strconv.Itoa(maxListed))
		return false
	}
	return true
}

func (r *reader) optionalCount(path string, c *Count, low, high int) *int {
	if c == nil {
		return nil
	}
	n := r.count(path, *c, low, high)
	return &n
}

func (r *reader) slide(path string, s *Slide) *slide {
	if s == nil {
		return nil
	}
	out := &slide{
		graduation:    r.length(path+"/graduation", s.Graduation),
		perTurn:       r.length(path+"/per_turn", s.PerTurn),
		travel:        r.length(path+"/travel", s.Travel),
		backlash:      r.length(path+"/backlash", s.Backlash),
		readsDiameter: r.choice(path+"/reads", s.Reads, "radius", "diameter") == "diameter",
		baseErrorDeg:  r.number(path+"/base_error_deg", s.BaseErrorDeg, 0, 5),
	}
	if g, t := out.graduation, out.perTurn; g != nil && t != nil && !t.Quo(*g).IsInt() {
		r.fail(path+"/graduation", s.Graduation, "a turn is not a whole number of divisions", "a division of "+s.PerTurn)
	}
	return out
}
