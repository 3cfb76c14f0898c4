package grade_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/testdata/workshop"
)

// drawnOf draws an exercise of the skill by the model on the demo's lathes until one
// fits.
func drawnOf(t *testing.T, skill string, fits func(curriculum.Exercise) bool) curriculum.Exercise {
	t.Helper()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	for seed := range uint64(200) {
		for _, l := range lathes {
			if e, err := generate.Draw(skill, l, seed, generate.Options{}); err == nil && fits(e) {
				return e
			}
		}
	}
	t.Fatal("no such exercise")
	return curriculum.Exercise{}
}

func outcome(e curriculum.Exercise, part, text string) curriculum.Verdict {
	for _, v := range grade.Mark(e, map[string]string{part: text}, grade.Test) {
		if v.Part == part {
			return v
		}
	}
	return curriculum.Verdict{}
}

// TestListsInOrder: where a question asks for an order, the same numbers in another one,
// or one of them twice, are not right; against the rotation is named.
func TestListsInOrder(t *testing.T) {
	t.Parallel()
	e := drawnOf(t, "station-index", func(e curriculum.Exercise) bool {
		return len(e.Parts) > 1 && e.Parts[1].AsksOrder() && len(e.Parts[1].Answer.List) == 3
	})
	p := e.Parts[1]
	a, b, c := p.Answer.List[0], p.Answer.List[1], p.Answer.List[2]
	assert.Equal(t, curriculum.Right, outcome(e, p.ID, fmt.Sprintf("%d, %d, %d", a, b, c)).Outcome)
	back := outcome(e, p.ID, fmt.Sprintf("%d, %d, %d", a, c, b))
	assert.NotEqual(t, curriculum.Right, back.Outcome)
	assert.Contains(t, back.Reason, "the wrong way round")
	for _, text := range []string{fmt.Sprintf("%d %d %d", c, b, a), fmt.Sprintf("%d,%d,%d,%d", a, b, c, a)} {
		v := outcome(e, p.ID, text)
		assert.NotEqual(t, curriculum.Right, v.Outcome, text)
		assert.Contains(t, v.Reason, "in the order asked for", text)
		assert.Equal(t, text, strings.NewReplacer(" and ", map[bool]string{true: ",", false: " "}[strings.Contains(text, ",")]).Replace(v.Evidence.Read), "read as it was written")
	}
}

// TestRatiosAsFractionsAreExact: 91/25 is no 40/11.
func TestRatiosAsFractionsAreExact(t *testing.T) {
	t.Parallel()
	e := drawnOf(t, "gear-ratio", func(e curriculum.Exercise) bool {
		return e.Parts[0].AsksFraction() && strings.Contains(e.Parts[0].Answer.String(), "/")
	})
	p := e.Parts[0]
	right := p.Answer.String()
	assert.Equal(t, curriculum.Right, outcome(e, p.ID, right).Outcome, right)
	top, bottom, _ := strings.Cut(right, "/")
	var x, y int
	_, err := fmt.Sscan(top, &x)
	require.NoError(t, err)
	_, err = fmt.Sscan(bottom, &y)
	require.NoError(t, err)
	assert.Equal(t, curriculum.Right, outcome(e, p.ID, fmt.Sprintf("%d/%d", 3*x, 3*y)).Outcome, "not in lowest terms")
	near := outcome(e, p.ID, fmt.Sprintf("%d/%d", 100_000*x+1, 100_000*y))
	assert.Equal(t, curriculum.Unknown, near.Outcome)
	assert.Contains(t, near.Reason, "not equal")
	value := p.Accept.Low + (p.Accept.High-p.Accept.Low)*0.6
	assert.Equal(t, curriculum.AskBack, outcome(e, p.ID, fmt.Sprintf("%.6f", value)).Outcome)
}
