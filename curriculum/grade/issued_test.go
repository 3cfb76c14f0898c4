package grade_test

import (
	"bufio"
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/grade"
)

// TestIssuedMarksAsBefore: exercises of every model, kept with their keys as they
// were issued on 1 December 2026, and answers with what they earned then. The
// file is never rewritten.
func TestIssuedMarksAsBefore(t *testing.T) {
	t.Parallel()
	f, err := os.Open("../../testdata/curriculum/issued.jsonl")
	require.NoError(t, err)
	t.Cleanup(func() { _ = f.Close() })
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, 1<<20)
	judged := 0
	for lines.Scan() {
		var issued struct {
			Exercise curriculum.Exercise `json:"exercise"`
			Answers  []struct {
				Part, Text, Rule string
				Outcome          curriculum.Outcome
				Marks            int
			} `json:"answers"`
		}
		require.NoError(t, json.Unmarshal(lines.Bytes(), &issued))
		for _, a := range issued.Answers {
			for _, v := range grade.Mark(issued.Exercise, map[string]string{a.Part: a.Text}, grade.Practice) {
				if v.Part != a.Part {
					continue
				}
				judged++
				assert.Equal(t, a.Outcome, v.Outcome, "%s part %s: %s", issued.Exercise.ID, a.Part, a.Text)
				assert.Equal(t, a.Marks, v.Marks, "%s part %s: %s", issued.Exercise.ID, a.Part, a.Text)
				assert.Equal(t, a.Rule, v.WrongRule, "%s part %s: %s", issued.Exercise.ID, a.Part, a.Text)
			}
		}
	}
	require.NoError(t, lines.Err())
	assert.Greater(t, judged, 2700)
}
