package checks

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPublishedValues runs every embedded vector through threadmath. Rows from
// memory must agree as well, or their disagreement be found out and the row
// listed as not computed with the reason.
func TestPublishedValues(t *testing.T) {
	t.Parallel()
	r, err := Run()
	require.NoError(t, err)
	for _, m := range r.Misses {
		t.Errorf("%s %s: %s: got %s, published %s %s", m.Row.ID, m.Row.Inputs, m.Row.Quantity, m.Got, m.Row.Value, m.Row.Unit)
	}
	assert.True(t, r.OK())
}

// TestEveryRowIsAccountedFor holds the rows to the list of ids, and every row
// to a reader or a reason.
func TestEveryRowIsAccountedFor(t *testing.T) {
	t.Parallel()
	rows, err := Rows()
	require.NoError(t, err)
	records, err := table("threadmath/ids.csv", 1)
	require.NoError(t, err)
	reasons, err := reasons()
	require.NoError(t, err)

	var want, got []string
	for _, f := range records {
		want = append(want, f[0])
	}
	known := map[string]bool{}
	for _, r := range rows {
		got = append(got, r.ID)
		assert.False(t, known[r.ID], "%s twice", r.ID)
		known[r.ID] = true
		for name, field := range map[string]string{"value": r.Value, "source": r.Source, "location": r.Location} {
			assert.NotEmpty(t, field, "%s has no %s", r.ID, name)
		}
		assert.Contains(t, []string{"seen", "memory"}, r.HowSeen, r.ID)
		if reasons[r.ID] == "" {
			assert.Contains(t, topics, r.Topic, "%s has neither a reader nor a reason", r.ID)
		}
	}
	assert.Len(t, want, 744)
	assert.Equal(t, want, got)
	for id, reason := range reasons {
		assert.True(t, known[id], "%s is no row", id)
		assert.NotEmpty(t, reason, id)
	}

	r, err := Run()
	require.NoError(t, err)
	assert.Equal(t, len(rows), r.Checked()+len(r.Unchecked))
}

// TestCheckNotices changes the published value of every computed row, which
// must then be missed: no reader lets anything pass.
func TestCheckNotices(t *testing.T) {
	t.Parallel()
	rows, err := Rows()
	require.NoError(t, err)
	reasons, err := reasons()
	require.NoError(t, err)
	for _, r := range rows {
		if reasons[r.ID] != "" {
			continue
		}
		wrong := r
		wrong.Value = spoil(r)
		require.NotEqual(t, r.Value, wrong.Value)
		_, ok := check(wrong)
		assert.False(t, ok, "%s: %s passes for %s", r.ID, wrong.Value, r.Value)
	}
}

var firstNumber = regexp.MustCompile(`\d*\.?\d+`)

// spoil makes a value wrong by more than any tolerance: truth values turned
// round, the first number of anything else more than doubled.
func spoil(r Row) string {
	switch at := firstNumber.FindStringIndex(r.Value); {
	case r.Value == "yes":
		return "no"
	case r.Value == "no":
		return "yes"
	case at == nil:
		return r.Value + " + 1"
	default:
		f, _ := strconv.ParseFloat(r.Value[at[0]:at[1]], 64)
		return r.Value[:at[0]] + number(2*f+1).text + r.Value[at[1]:]
	}
}

func TestEvaluate(t *testing.T) {
	t.Parallel()
	at := map[string]float64{"P": 2, "d": 16, "ac": 0.25, "pi": 3}
	for formula, want := range map[string]float64{
		"-(15+11P)":        -37,
		"0.05 P":           0.1,
		"d - 0.5 P":        15,
		"d + 2 ac":         16.5,
		"2*P^(1/2)^2":      2 * 1.189207115002721,
		"sqrt(d)/(pi*P)":   4.0 / 6,
		"cosec(P)*0 + P/2": 1,
		"1 - 2 - 3":        -4,
		"8/2/2":            2,
		"-P^2":             -4,
		"0.006*sqrt(d)":    0.024,
		"2(P+1)":           6,
	} {
		got, err := evaluate(formula, at)
		require.NoError(t, err, formula)
		assert.InDelta(t, want, got, 1e-12, formula)
	}
	for _, bad := range []string{"", "P +", "(P", "unknown", "sqrt", "P)", "1..2", "2 $"} {
		_, err := evaluate(bad, at)
		assert.Error(t, err, bad)
	}
}

func TestReportText(t *testing.T) {
	t.Parallel()
	r := Report{
		Sources:   []SourceCount{{Source: "A book", Agree: 3, Memory: 1, Missed: 1, Unchecked: 1}},
		Misses:    []Miss{{Row{ID: "D1", Inputs: "in", Quantity: "q", Value: "2", Unit: "mm", Source: "A book", HowSeen: "memory"}, "3"}},
		Unchecked: []Unchecked{{Row{ID: "D2", Inputs: "in", Quantity: "q"}, "words"}},
	}
	assert.True(t, r.OK(), "memory decides nothing alone")
	assert.Equal(t, 5, r.Checked())
	var b strings.Builder
	require.NoError(t, r.WriteText(&b))
	assert.Contains(t, b.String(), "3      1       1       1             A book\n")
	assert.Contains(t, b.String(), "disagrees (memory) D1: in: q: got 3, published 2 mm (A book)\n")
	assert.Contains(t, b.String(), "D2 in: q: words\n")
	r.Misses[0].Row.HowSeen = "seen"
	assert.False(t, r.OK())
}
