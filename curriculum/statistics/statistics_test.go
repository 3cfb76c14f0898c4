package statistics_test

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/statistics"
)

var monday = time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)

// Source: the test of the R package "performance" (Lüdecke et al., function
// item_discrimination) gives the corrected item-total correlations of the four
// measures of Fisher's irises (The use of multiple measurements in taxonomic
// problems, Annals of Eugenics, 1936), here taken for items of a test. Scores
// beyond 1 change nothing in a correlation.
func TestDiscriminationPublished(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile("testdata/iris.txt")
	require.NoError(t, err)
	fields := strings.Fields(string(data))
	require.Len(t, fields, 600)
	items := []string{"designation", "fractions", "inch-mm", "tpi-pitch"}
	var as []curriculum.Answered
	for i, f := range fields {
		x, err := strconv.ParseFloat(f, 64)
		require.NoError(t, err)
		// Tenths of a centimetre as marks out of ten.
		as = append(as, answered(fmt.Sprint(i/4), items[i%4], i, int(x*10+0.5), 10))
	}
	want := map[string]float64{
		"designation": 0.894040250011166, "fractions": -0.348657747269071, "inch-mm": 0.863271047498634, "tpi-pitch": 0.921040960149154,
	}
	found := 0
	for _, it := range statistics.Of(as) {
		if it.Model != "" {
			continue
		}
		found++
		require.NotNil(t, it.Discrimination)
		assert.InDelta(t, want[it.Skill], *it.Discrimination, 1e-9, it.Skill)
		assert.Equal(t, 150, it.Learners)
	}
	assert.Equal(t, 4, found)
}

func answered(learner, skill string, n, marks, outOf int) curriculum.Answered {
	return curriculum.Answered{
		Attempt: curriculum.Attempt{
			ID: fmt.Sprintf("a%04d", n), Variant: learner, Position: n, Learner: learner, Source: curriculum.SourceTyped, Marks: marks, OutOf: outOf,
			At: monday.Add(time.Duration(n) * time.Minute), Verdicts: []curriculum.Verdict{{Part: "a", Skill: skill, Outcome: curriculum.Unknown}},
		},
		Skill: skill, Model: "basic", ModelVersion: 1,
	}
}

func find(t *testing.T, its []statistics.Item, skill, model, cell string) statistics.Item {
	t.Helper()
	for _, it := range its {
		if it.Skill == skill && it.Model == model && it.Cell == cell {
			return it
		}
	}
	require.Fail(t, "no such item")
	return statistics.Item{}
}

// The standard error of 0.7 with 20 learners is 0.10, worked out by hand from the
// root of p(1 - p)/n.
func TestDifficultyAndFlags(t *testing.T) {
	t.Parallel()
	var as []curriculum.Answered
	n := 0
	for l := range 20 {
		for _, it := range []struct {
			skill string
			right bool
		}{{"lead", l < 14}, {"fractions", l < 3}, {"designation", true}, {"run-out", l >= 14}} {
			marks := 0
			if it.right {
				marks = 1
			}
			n++
			as = append(as, answered(fmt.Sprint("learner", l), it.skill, n, marks, 1))
		}
	}
	its := statistics.Of(as)
	lead := find(t, its, "lead", "", "")
	assert.InDelta(t, 0.7, lead.Difficulty, 1e-12)
	assert.InDelta(t, 0.10, lead.Error, 0.005)
	assert.Equal(t, 20, lead.Learners)
	assert.Len(t, find(t, its, "fractions", "", "").Flags, 1)
	assert.Contains(t, find(t, its, "designation", "", "").Flags[0], "nearly everybody")
	assert.Contains(t, find(t, its, "run-out", "", "").Flags[0], "worse here")
	for _, it := range statistics.Of(as[:40]) {
		assert.Empty(t, it.Flags, "ten learners are too few")
	}
}

func TestFirstTriesCellsTimesAndMistakes(t *testing.T) {
	t.Parallel()
	first := answered("someone", "lead", 1, 0, 2)
	first.Difficulty = map[string]string{"starts": "3", "unknown": "reversed"}
	first.Verdicts[0].WrongRule = "pitch-for-lead"
	second := first
	second.ID, second.Marks, second.At = "b", 2, first.At.Add(5*time.Minute)
	next := answered("someone", "lead", 2, 1, 2)
	next.Variant, next.At = first.Variant, second.At.Add(3*time.Minute)
	paper := answered("someone", "lead", 3, 2, 2)
	paper.Source, paper.Variant, paper.At = curriculum.SourcePaper, first.Variant, second.At.Add(4*time.Minute)
	late := answered("someone", "lead", 4, 2, 2)
	late.Variant, late.At = first.Variant, second.At.Add(2*time.Hour)

	its := statistics.Of([]curriculum.Answered{late, paper, next, second, first})
	skill := find(t, its, "lead", "", "")
	assert.Equal(t, 4, skill.Answers, "the second try at the first exercise is none of them")
	assert.InDelta(t, 0.625, skill.Difficulty, 1e-12)
	require.NotNil(t, skill.Minutes)
	assert.InDelta(t, 3, *skill.Minutes, 1e-9, "paper and long pauses tell no time")
	assert.Equal(t, []statistics.Mistake{{Rule: "pitch-for-lead", Times: 1, Learners: 1}}, skill.Mistakes)
	assert.Nil(t, skill.Discrimination)
	cell := find(t, its, "lead", "basic", "starts 3, unknown reversed")
	assert.Equal(t, 1, cell.Answers)
	assert.Equal(t, 4, find(t, its, "lead", "basic", "").Answers)
	assert.Empty(t, statistics.Of(nil))
}
