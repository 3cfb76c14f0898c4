package mastery_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

// Source: J. Feng, "learning-scientist" notes, exercise on knowledge tracing
// (start 0.3, learn 0.5, slip 0.1, guess 0.4).
func TestKnowledgeTracingPublished(t *testing.T) {
	t.Parallel()
	p := mastery.Params{Start: 0.3, Learn: 0.5, Slip: 0.1, Guess: 0.4}
	assert.InDelta(t, 0.55, p.Right(p.Start), 1e-12)
	assert.InDelta(t, 0.4909, p.Given(p.Start, true), 5e-5)
	unseen := p.Start + (1-p.Start)*p.Learn
	assert.InDelta(t, 0.65, unseen, 1e-12)
	assert.InDelta(t, 0.725, p.Right(unseen), 1e-12)
	assert.InDelta(t, 0.72, p.Given(p.Next(p.Start, false), true), 5e-3, "wrong, then right")
}

// A chain worked out a second time by an independent script of our own: no
// published source.
func TestKnowledgeTracingChain(t *testing.T) {
	t.Parallel()
	p := mastery.Params{Start: 0.4, Learn: 0.1, Slip: 0.3, Guess: 0.2}
	known := p.Start
	for i, step := range []struct {
		right bool
		known float64
	}{{false, 0.2800}, {false, 0.2145}, {true, 0.5399}, {true, 0.8238}, {true, 0.9482}, {true, 0.9862}} {
		known = p.Next(known, step.right)
		assert.InDelta(t, step.known, known, 5e-5, "step %d", i+1)
	}
}

func TestParamsStayInPublishedBounds(t *testing.T) {
	t.Parallel()
	// Bounds: slip at most 0.1, guess at most 0.3 (usual in teaching pages on
	// knowledge tracing), slip and guess below 1 together. With fewer than four
	// choices the guess is what it is.
	for _, s := range curriculum.Skills() {
		for _, options := range []int{0, 4, 6} {
			p := mastery.ParamsOf(s.Slug, options)
			assert.LessOrEqual(t, p.Slip, 0.1)
			assert.LessOrEqual(t, p.Guess, 0.3)
		}
	}
	assert.InDelta(t, 0.25, mastery.ParamsOf("lead", 4).Guess, 1e-12)
	assert.InDelta(t, 0.5, mastery.ParamsOf("lead", 2).Guess, 1e-12)
	assert.InDelta(t, 0.5, mastery.ParamsOf("tpi-pitch", 0).Start, 1e-12)
	assert.InDelta(t, 0.2, mastery.ParamsOf("lead", 0).Start, 1e-12)
}

// Source: the test of the FSRS authors' Python package: again, then good five
// times at gaps of 0, 0, 1, 3, 8, 21 days.
func TestMemoryPublishedChain(t *testing.T) {
	t.Parallel()
	var m curriculum.Memory
	for i, days := range []int{0, 0, 1, 3, 8, 21} {
		g := mastery.Good
		if i == 0 {
			g = mastery.Again
		}
		m = mastery.Review(m, days, g)
	}
	assert.InDelta(t, 53.62691, m.Stability, 1e-4)
	assert.InDelta(t, 6.3574867, m.Difficulty, 1e-6)
}

// Source: the authors' Go and Python tests, good six times, again twice, good
// five times, each review on the day it is due; without steps of minutes the
// intervals are these days (Go test), the first stabilities 2.3065, 13.8269,
// 56.9567.
func TestMemoryPublishedStabilities(t *testing.T) {
	t.Parallel()
	var m curriculum.Memory
	days := 0
	for i, want := range []float64{2.3065, 13.8269, 56.9567} {
		m = mastery.Review(m, days, mastery.Good)
		assert.InDelta(t, want, m.Stability, 5e-4, "review %d", i+1)
		days = int(math.Round(mastery.Interval(m.Stability, 0.9)))
		if i == 0 {
			days = 3 // the published list gives 3 where 2.3065 rounds to 2
		}
	}
}

// testdata/fsrs.csv is written by npm ts-fsrs 5.4.2 with testdata/fsrs.mjs; CI
// writes it anew and compares.
func TestMemoryAgainstOracle(t *testing.T) {
	t.Parallel()
	f, err := os.Open("testdata/fsrs.csv")
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(records), 400)
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	var m curriculum.Memory
	chain := ""
	for _, r := range records[1:] {
		if r[0] != chain {
			chain, m = r[0], curriculum.Memory{}
		}
		m = mastery.Review(m, int(number(r[1])), mastery.Grade(number(r[2])))
		// The oracle rounds every value to eight decimals on the way.
		assert.InEpsilon(t, number(r[3]), m.Stability, 1e-5, "%v", r)
		assert.InDelta(t, number(r[4]), m.Difficulty, 1e-6, "%v", r)
		assert.InDelta(t, number(r[5]), max(1, math.Round(mastery.Interval(m.Stability, 0.9))), 1e-9, "%v", r)
	}
}

func TestRetentionIsNineTenthsAfterOneStability(t *testing.T) {
	t.Parallel()
	for _, s := range []float64{0.1, 2.3065, 100} {
		assert.InDelta(t, 0.9, mastery.Retention(s, s), 1e-12)
		assert.InEpsilon(t, s, mastery.Interval(s, 0.9), 1e-12)
		assert.InDelta(t, 0.8, mastery.Retention(mastery.Interval(s, 0.8), s), 1e-12)
	}
	assert.InDelta(t, 1.0, mastery.Retention(-1, 5), 1e-12)
}
