package checks

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// document is a solve answer as the contract's JSON, read by pointer. The first
// failure stays in err and later readings give zeros, so that readers can be
// written without a check after every step.
type document struct {
	root any
	err  error
}

// solve answers a request and returns the document that a user would get.
func solve(q threadmath.Request) *document {
	d := &document{}
	a, err := threadmath.Solve(q)
	if err != nil {
		d.err = err
		return d
	}
	data, err := json.Marshal(a)
	if err == nil {
		err = json.Unmarshal(data, &d.root)
	}
	d.err = err
	return d
}

// solveThread answers a request that is a thread alone.
func solveThread(t threadmath.Thread) *document { return solve(threadmath.Request{Thread: t}) }

func (d *document) fail(format string, args ...any) {
	if d.err == nil {
		d.err = fmt.Errorf(format, args...)
	}
}

// at returns what stands at a JSON pointer.
func (d *document) at(pointer string) any {
	v := d.root
	for part := range strings.SplitSeq(strings.TrimPrefix(pointer, "/"), "/") {
		switch node := v.(type) {
		case map[string]any:
			v = node[part]
		case []any:
			i, err := strconv.Atoi(part)
			if err != nil || i < 0 || i >= len(node) {
				d.fail("the answer has no %s", pointer)
				return nil
			}
			v = node[i]
		default:
			v = nil
		}
	}
	if v == nil {
		d.fail("the answer has no %s", pointer)
	}
	return v
}

// num returns a number; text that writes one serves as well.
func (d *document) num(pointer string) float64 {
	switch v := d.at(pointer).(type) {
	case float64:
		return v
	case string:
		r, err := threadmath.ParseRatio(v)
		if err != nil {
			d.fail("%s: %w", pointer, err)
		}
		return r.Float64()
	case nil:
	default:
		d.fail("%s is no number", pointer)
	}
	return 0
}

// length returns a length in the unit, "mm" or "in".
func (d *document) length(pointer, unit string) float64 { return d.num(pointer + "/" + unit) }

// list returns a list of whole numbers.
func (d *document) list(pointer string) []int {
	items, ok := d.at(pointer).([]any)
	if !ok {
		d.fail("%s is no list", pointer)
	}
	out := make([]int, 0, len(items))
	for _, v := range items {
		f, _ := v.(float64)
		out = append(out, int(f))
	}
	return out
}

// flag returns a truth value.
func (d *document) flag(pointer string) bool {
	b, ok := d.at(pointer).(bool)
	if !ok {
		d.fail("%s is no truth value", pointer)
	}
	return b
}

// count returns how many entries a list has.
func (d *document) count(pointer string) int {
	items, _ := d.at(pointer).([]any)
	return len(items)
}

// number finishes a reading.
func (d *document) number(f float64) (answer, error) { return number(f), d.err }

// text finishes a reading.
func (d *document) text(s string) (answer, error) { return text(s), d.err }

// inputs reads the text of a row.
type inputs struct {
	text string
	err  error
}

// find returns the first submatch of the pattern, "" and an error without one.
func (in *inputs) find(pattern string) string {
	m := regexp.MustCompile(pattern).FindStringSubmatch(in.text)
	if m == nil {
		if in.err == nil {
			in.err = fmt.Errorf("no %s in %q", pattern, in.text)
		}
		return ""
	}
	return strings.TrimSpace(m[1])
}

// has reports whether the pattern occurs.
func (in *inputs) has(pattern string) bool {
	return regexp.MustCompile(pattern).MatchString(in.text)
}

// mixed is a number as old books print it: 5-1/2, 11-1/2, 1 1/4, 0.2, 18.
const mixed = `(\d+[- ]\d+/\d+|\d+/\d+|\d*\.\d+|\d+)`

// ratio returns a number that find finds; "5-1/2" is five and a half.
func (in *inputs) ratio(pattern string) threadmath.Ratio {
	s := in.find(pattern)
	if in.err != nil {
		return threadmath.Int(1)
	}
	r, err := threadmath.ParseRatio(strings.Replace(s, "-", " ", 1))
	if err != nil && in.err == nil {
		in.err = err
	}
	return r
}

func (in *inputs) float(pattern string) float64 { return in.ratio(pattern).Float64() }

// whole returns a whole number that find finds.
func (in *inputs) whole(pattern string) int {
	n, _ := in.ratio(pattern).Int64()
	return int(n)
}

// startWords are what the sources call numbers of starts.
var startWords = []struct {
	pattern string
	starts  threadmath.Count
}{
	{`(?i)\b(double|two-start)`, 2}, {`(?i)\btriple`, 3}, {`(?i)\bquadruple`, 4}, {`(?i)\bsingle`, 1},
}

// starts returns the number of starts that the text names.
func (in *inputs) starts() *threadmath.Count {
	for _, w := range startWords {
		if in.has(w.pattern) {
			n := w.starts
			return &n
		}
	}
	if in.err == nil {
		in.err = fmt.Errorf("no number of starts in %q", in.text)
	}
	return nil
}

// inch and mm write a length for a request; perInch a pitch.
func inch(r threadmath.Ratio) string    { return r.String() + " in" }
func mm(r threadmath.Ratio) string      { return r.String() + " mm" }
func perInch(r threadmath.Ratio) string { return r.String() + " tpi" }
