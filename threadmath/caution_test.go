package threadmath

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCautions gives each caution a job that sets it off and one that does not.
func TestCautions(t *testing.T) {
	t.Parallel()
	one := `{"thread": {"pitch": "2 mm"}}`
	two := `{"thread": {"pitch": "2 mm", "starts": 2}}`
	metricOnInch := `{"thread": {"pitch": "2 mm"}, "lathe": {"leadscrew": "8 tpi", "thread_dials": []}}`
	fine := `{"thread": {"pitch": "3 mm"}, "lathe": {"leadscrew": "6 mm"}}`
	runOut := func(groove, rpm string) string {
		return `{"thread": {"pitch": "3 mm"}, "lathe": {"leadscrew": "6 mm"}, "cut": {"groove": "` + groove + `", "tool_width": "2 mm", "spindle_rpm": ` + rpm + `}}`
	}
	table := map[string]struct {
		fires  string
		silent string // empty where it is always printed
	}{
		"infeed-back":       {two, one},
		"supervisor-first":  {one, ""},
		"rotating-work":     {one, ""},
		"chips-and-eyes":    {one, ""},
		"chuck-key":         {one, ""},
		"isolate-to-index":  {one, ""},
		"settings-stay":     {two, one},
		"long-lead":         {`{"thread": {"pitch": "12.49 mm"}, "cut": {"spindle_rpm": 60}}`, `{"thread": {"pitch": "2 mm", "starts": 2}, "cut": {"spindle_rpm": 4}}`},
		"fast-leadscrew":    {`{"thread": {"pitch": "12 mm"}, "lathe": {"leadscrew": "3 mm", "thread_dials": [{"teeth": 16, "graduations": 4}]}, "cut": {"spindle_rpm": 40}}`, `{"thread": {"pitch": "3 mm"}, "lathe": {"leadscrew": "3 mm"}, "cut": {"spindle_rpm": 40}}`},
		"step-up-train":     {`{"thread": {"pitch": "30 mm"}, "lathe": {"leadscrew": "3 mm"}}`, fine},
		"slender-work":      {`{"thread": {"form": "iso-metric", "diameter": "6 mm", "pitch": "1 mm", "length": "300 mm"}}`, `{"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "length": "45 mm"}}`},
		"small-bore":        {`{"thread": {"form": "iso-metric", "side": "internal", "diameter": "6 mm", "pitch": "1 mm"}}`, `{"thread": {"form": "iso-metric", "side": "internal", "diameter": "30 mm", "pitch": "2 mm"}}`},
		"steep-grind":       {`{"thread": {"form": "trapezoidal", "diameter": "20 mm", "pitch": "8 mm", "starts": 6}, "cut": {"relief_deg": 8}}`, `{"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm"}, "cut": {"relief_deg": 8}}`},
		"overrun-too-long":  {runOut("6 mm", "300"), runOut("40 mm", "60")},
		"no-run-out-figure": {`{"thread": {"pitch": "3 mm"}, "lathe": {"leadscrew": "6 mm"}}`, runOut("40 mm", "60")},
		"varying-line":      {`{"thread": {"pitch": "2 mm", "starts": 4}, "lathe": {"leadscrew": "6 mm", "thread_dials": [{"teeth": 21, "graduations": 3}]}}`, fine},
		"half-nut-closed":   {metricOnInch, fine},
		"reversing":         {metricOnInch, fine},
		"running-dog":       {`{"thread": {"pitch": "2 mm"}, "lathe": {"holders": [{"kind": "chuck-jaws", "stations": 3}]}}`, `{"thread": {"pitch": "2 mm"}, "lathe": {"holders": [{"kind": "index-holes", "stations": 6}]}}`},
		"left-hand-run-out": {`{"thread": {"pitch": "2 mm", "hand": "left"}}`, one},
		"blind-bore":        {`{"thread": {"pitch": "2 mm", "side": "internal"}, "cut": {"blind": true}}`, `{"thread": {"pitch": "2 mm", "side": "internal"}}`},
		"internal-feed":     {`{"thread": {"pitch": "2 mm", "side": "internal"}}`, one},
		"try-by-hand":       {one, ""},
		"feather-edges":     {two, one},
	}
	ids := func(text string) []string {
		r, err := ParseRequest([]byte(text))
		require.NoError(t, err, text)
		a, err := Solve(r)
		require.NoError(t, err, text)
		out := make([]string, len(a.Cautions))
		for i, c := range a.Cautions {
			out[i] = c.ID
			assert.NotEmpty(t, c.Text)
		}
		return out
	}
	require.Len(t, table, len(cautions), "every caution has its row")
	for _, c := range cautions {
		row, ok := table[c.id]
		require.True(t, ok, c.id)
		assert.Contains(t, ids(row.fires), c.id)
		if row.silent != "" {
			assert.NotContains(t, ids(row.silent), c.id)
		}
	}
	assert.Equal(t, "infeed-back", ids(two)[0], "the one that breaks tools comes first")
}
