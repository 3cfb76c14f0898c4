package grade

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

func jsonLines(t *testing.T, values ...any) string {
	t.Helper()
	var b strings.Builder
	enc := json.NewEncoder(&b)
	for _, v := range values {
		require.NoError(t, enc.Encode(v))
	}
	return b.String()
}

func TestRun(t *testing.T) {
	t.Parallel()
	offsets, cuts := leadAndOffset(t), depths(t)
	bare := depths(t)
	bare.ID = "bare"
	exercises := jsonLines(t, offsets, cuts, cuts, bare.Public()) + "not JSON\n\n"
	answers := jsonLines(t,
		Answers{ID: offsets.ID, Learner: "seat 4", Answers: map[string]string{"lead": "0.0909 in", "offset": "0.0606"}},
		Answers{ID: "missing", Answers: map[string]string{}},
		Answers{ID: cuts.ID, Answers: map[string]string{"depth": "1"}},
	) + `{"id": "` + cuts.ID + `", "answers": {}, "marks": 3}` + "\n" +
		`{"id": "` + cuts.ID + `", "mode": "exam", "answers": {}}` + "\n" +
		`{"id": "` + strings.Repeat("x", maxLine) + `"}` + "\n" +
		`{"id": "` + offsets.ID + `", "mode": "test", "answers": {"lead": "0.273", "lead.P": "1/11"}}` // no line end
	var out strings.Builder
	err := Run(strings.NewReader(exercises), strings.NewReader(answers), &out)

	var got []Marked
	d := json.NewDecoder(strings.NewReader(out.String()))
	for d.More() {
		var m Marked
		require.NoError(t, d.Decode(&m))
		got = append(got, m)
	}
	require.Len(t, got, 6)
	assert.Equal(t, "seat 4", got[0].Learner)
	assert.Equal(t, curriculum.WrongRuleUsed, got[0].Outcome)
	assert.Equal(t, curriculum.FollowThrough, got[1].Outcome)
	assert.Equal(t, curriculum.Rounding, got[3].Outcome)
	assert.Equal(t, 1, got[3].Marks)

	require.Error(t, err)
	assert.Equal(t, []string{
		`exercises: line 3: exercise "collar-reading-1" stands there twice`,
		`exercises: line 4: exercise "bare" has no key: draw it with the key`,
		`exercises: line 5: invalid character 'o' in literal null (expecting 'u')`,
		`answers: line 2: no exercise "missing"`,
		`answers: line 3: exercise "collar-reading-1" has no part "depth"`,
		`answers: line 4: json: unknown field "marks"`,
		`answers: line 5: mode "exam": allowed are practice and test`,
		`answers: line 6: longer than 1048576 bytes`,
	}, strings.Split(err.Error(), "\n"))
}

func TestRunNamesTheFirstBadLines(t *testing.T) {
	t.Parallel()
	err := Run(strings.NewReader(strings.Repeat("?\n", 30)), strings.NewReader(""), &strings.Builder{})
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	assert.Len(t, lines, maxReported+1)
	assert.Equal(t, "and 10 more lines", lines[maxReported])
}

type brokenPipe struct{}

func (brokenPipe) Write([]byte) (int, error) { return 0, errors.New("closed") }

func TestRunReportsBrokenOutput(t *testing.T) {
	t.Parallel()
	ex := leadAndOffset(t)
	err := Run(strings.NewReader(jsonLines(t, ex)), strings.NewReader(jsonLines(t, Answers{ID: ex.ID})), brokenPipe{})
	require.ErrorContains(t, err, "writing verdicts")
	require.NoError(t, Run(strings.NewReader(""), strings.NewReader(""), brokenPipe{}))
}
