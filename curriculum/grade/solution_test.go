package grade

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

func text(lines []Line) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = l.String()
	}
	return out
}

func TestSolution(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ex   curriculum.Exercise
		part string
		want []string
	}{
		{leadAndOffset(t), "lead", []string{
			"the pitch is one over the threads per inch: P = 1 / N = 1 / 11 = 0.09091 in",
			"the lead is the pitch times the starts: L = n × P = 3 × (1/11) = 0.2727 in",
		}},
		{leadAndOffset(t), "offset", []string{"start 3 lies two pitches behind start 1: s = 2 × lead / n = 2 × (3/11) / 3 = 0.1818 in"}},
		{leadAndOffset(t), "angle", []string{"a full turn is shared by the starts: A = 2 × 360 / n = 2 × 360 / 3 = 240°"}},
		{depths(t), "compound", []string{
			"the cosine of the setting: k = cos(A) = cos(29.5°) = 0.8704",
			"the slanted path is longer than the depth: x = h / k = 1.2268 / 0.870356 = 1.410 mm",
		}},
		{choosing(t), "lines", []string{"the carriage repeats by the lead", "Answer: 1, 3"}},
		{choosing(t), "rule", []string{"Answer: on certain lines"}},
		{choosing(t), "order", []string{"Answer: stop, withdraw, reverse"}},
	} {
		lines, err := Solution(c.ex, c.part)
		require.NoError(t, err)
		assert.Equal(t, c.want, text(lines), c.part)
	}
	_, err := Solution(leadAndOffset(t), "nothing")
	require.ErrorIs(t, err, curriculum.ErrNotFound)
	_, err = Solution(leadAndOffset(t).Public(), "lead")
	require.ErrorIs(t, err, curriculum.ErrInvalid)
}

func TestHint(t *testing.T) {
	t.Parallel()
	want := [][]string{
		{"the cosine of the setting", "the slanted path is longer than the depth"},
		{"the cosine of the setting: k = cos(A)", "the slanted path is longer than the depth: x = h / k"},
		{"the cosine of the setting: k = cos(A) = cos(29.5°)", "the slanted path is longer than the depth: x = h / k"},
	}
	for i, w := range want {
		lines, err := Hint(depths(t), "compound", i+1)
		require.NoError(t, err)
		assert.Equal(t, w, text(lines))
	}
	for _, rung := range []int{0, Hints + 1} {
		_, err := Hint(depths(t), "compound", rung)
		require.ErrorIs(t, err, curriculum.ErrInvalid)
	}
}
