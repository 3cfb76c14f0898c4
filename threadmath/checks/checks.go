package checks

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"halfnut/testdata"
)

// Row is one published value, as the vectors hold it.
type Row struct {
	ID, Topic, Inputs, Quantity, Value, Unit, Tolerance, Source, Location, HowSeen string
}

// memory reports whether the row was recalled and not read.
func (r Row) memory() bool { return r.HowSeen == "memory" }

// Report is what a run of the checks found.
type Report struct {
	// Sources are in the order of their names.
	Sources []SourceCount
	Misses  []Miss
	// Unchecked lists the rows that are not computed, and why.
	Unchecked []Unchecked
}

// SourceCount counts the rows of one source.
type SourceCount struct {
	Source string
	// Agree counts rows read in the source, Memory rows recalled from it.
	Agree, Memory int
	Missed        int
	Unchecked     int
}

// Miss is a row that the computed answer does not meet.
type Miss struct {
	Row Row
	// Got is the computed answer, or why there is none.
	Got string
}

// Unchecked is a row that is not computed.
type Unchecked struct {
	Row    Row
	Reason string
}

// OK reports whether no row that was read in its source is missed.
func (r Report) OK() bool {
	return !slices.ContainsFunc(r.Misses, func(m Miss) bool { return !m.Row.memory() })
}

// Checked returns how many rows were compared, those from memory included.
func (r Report) Checked() int {
	n := 0
	for _, s := range r.Sources {
		n += s.Agree + s.Memory + s.Missed
	}
	return n
}

// Run compares threadmath with every embedded vector.
func Run() (Report, error) {
	rows, err := Rows()
	if err != nil {
		return Report{}, err
	}
	reasons, err := reasons()
	if err != nil {
		return Report{}, err
	}
	var out Report
	counts := map[string]*SourceCount{}
	for _, r := range rows {
		c := counts[r.Source]
		if c == nil {
			c = &SourceCount{Source: r.Source}
			counts[r.Source] = c
		}
		if reason, ok := reasons[r.ID]; ok {
			c.Unchecked++
			out.Unchecked = append(out.Unchecked, Unchecked{r, reason})
			continue
		}
		switch got, ok := check(r); {
		case !ok:
			c.Missed++
			out.Misses = append(out.Misses, Miss{r, got})
		case r.memory():
			c.Memory++
		default:
			c.Agree++
		}
	}
	for _, c := range counts {
		out.Sources = append(out.Sources, *c)
	}
	slices.SortFunc(out.Sources, func(a, b SourceCount) int { return strings.Compare(a.Source, b.Source) })
	return out, nil
}

// check computes one row; got is what to show where it does not agree.
func check(r Row) (got string, ok bool) {
	read, known := topics[r.Topic]
	if !known {
		return "no reader for the topic " + r.Topic, false
	}
	a, err := read(r)
	if err != nil {
		return err.Error(), false
	}
	return a.text, a.meets(r)
}

// Rows returns the embedded vectors in their order.
func Rows() ([]Row, error) {
	records, err := table("threadmath/published.csv", 10)
	if err != nil {
		return nil, err
	}
	rows := make([]Row, len(records))
	for i, f := range records {
		rows[i] = Row{f[0], f[1], f[2], f[3], f[4], f[5], f[6], f[7], f[8], f[9]}
	}
	return rows, nil
}

// reasons returns why rows are not computed, by id.
func reasons() (map[string]string, error) {
	records, err := table("threadmath/unchecked.csv", 2)
	if err != nil {
		return nil, err
	}
	out := make(map[string]string, len(records))
	for _, f := range records {
		out[f[0]] = f[1]
	}
	return out, nil
}

// table reads an embedded CSV file without its heading.
func table(name string, fields int) ([][]string, error) {
	f, err := testdata.Files.Open(name)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	c := csv.NewReader(f)
	c.FieldsPerRecord = fields
	records, err := c.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(records) < 2 {
		return nil, fmt.Errorf("%s: no rows", name)
	}
	return records[1:], nil
}

// WriteText writes the report for people: sources with their counts, then what
// is missed, then how many rows are not computed and why.
func (r Report) WriteText(w io.Writer) error {
	var b strings.Builder // takes every write
	t := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	_, _ = fmt.Fprintln(t, "agree\tmemory\tmissed\tnot computed\tsource")
	var sum SourceCount
	for _, s := range r.Sources {
		_, _ = fmt.Fprintf(t, "%d\t%d\t%d\t%d\t%s\n", s.Agree, s.Memory, s.Missed, s.Unchecked, s.Source)
		sum.Agree += s.Agree
		sum.Memory += s.Memory
		sum.Missed += s.Missed
		sum.Unchecked += s.Unchecked
	}
	_, _ = fmt.Fprintf(t, "%d\t%d\t%d\t%d\tall %d sources\n", sum.Agree, sum.Memory, sum.Missed, sum.Unchecked, len(r.Sources))
	if err := t.Flush(); err != nil {
		return err
	}
	b.WriteString("\nagree: read in the source; memory: recalled from it, agrees, decides nothing alone\n")
	for _, m := range r.Misses {
		kind := "MISS"
		if m.Row.memory() {
			kind = "disagrees (memory)"
		}
		fmt.Fprintf(&b, "%s %s: %s: %s: got %s, published %s %s (%s)\n", kind, m.Row.ID, m.Row.Inputs, m.Row.Quantity, m.Got, m.Row.Value, m.Row.Unit, m.Row.Source)
	}
	if len(r.Unchecked) > 0 {
		b.WriteString("\nnot computed:\n")
	}
	for _, u := range r.Unchecked {
		fmt.Fprintf(&b, "%s %s: %s: %s\n", u.Row.ID, u.Row.Inputs, u.Row.Quantity, u.Reason)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// answer is what was computed for a row.
type answer struct {
	text   string
	number float64
	isText bool
}

func number(f float64) answer {
	return answer{text: strconv.FormatFloat(f, 'g', 9, 64), number: f}
}

func text(s string) answer { return answer{text: s, isText: true} }

// meets reports whether the answer is the row's value to the row's tolerance:
// half a unit in the source's last place, or as the row says.
func (a answer) meets(r Row) bool {
	if a.isText {
		return a.text == r.Value
	}
	want, err := strconv.ParseFloat(r.Value, 64)
	if err != nil {
		return false
	}
	// A tolerance may be followed by words; words alone ask for the value itself.
	tolerance, _ := strconv.ParseFloat(strings.TrimRight(firstWord(r.Tolerance), ";,"), 64)
	// The last term covers the nine significant digits of an answer.
	return math.Abs(a.number-want) <= tolerance+1e-8*max(1, math.Abs(want))
}

func firstWord(s string) string {
	if f := strings.Fields(s); len(f) > 0 {
		return f[0]
	}
	return ""
}
