package generate_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// TestPoolIsWhatDrawsFind: random draws of a small pool find every exercise that
// is counted, and no draw finds one that is not.
func TestPoolIsWhatDrawsFind(t *testing.T) {
	t.Parallel()
	cases := []struct {
		skill string
		opts  generate.Options
	}{
		{"index-angle", generate.Options{}},
		{"index-angle", generate.Options{Starts: 3}},
		{"lead", generate.Options{Units: threadmath.Inch}},
		{"station-index", generate.Options{Model: "which-holder"}},
		{"spacing-cost", generate.Options{}},
		{"tpi-pitch", generate.Options{}},
	}
	if raced {
		cases = cases[:1]
	}
	for _, c := range cases {
		drawer, err := generate.NewDrawer(lathes(t)[1])
		require.NoError(t, err)
		pool, err := drawer.Pool(c.skill, c.opts, 1000)
		require.NoError(t, err)
		require.True(t, pool.Exact, "%s: %s", c.skill, pool)
		found := map[string]bool{}
		for seed := range uint64(8000) {
			e, err := drawer.Draw(c.skill, seed, c.opts)
			require.NoError(t, err)
			text, err := json.Marshal([]any{e.Model, e.Prompt, e.Givens.Values, asked(e)})
			require.NoError(t, err)
			found[string(text)] = true
		}
		assert.Len(t, found, pool.Size, "%s %+v", c.skill, c.opts)
	}
}

// asked is what is asked, choices as a set.
func asked(e curriculum.Exercise) any {
	var out []any
	for _, p := range e.Parts {
		choices := map[string]bool{}
		for _, c := range p.Choices {
			choices[c.Text] = true
		}
		out = append(out, p.Ask, choices)
	}
	return out
}

func TestPoolStopsAtEnough(t *testing.T) {
	t.Parallel()
	drawer, err := generate.NewDrawer(lathes(t)[1])
	require.NoError(t, err)
	pool, err := drawer.Pool("pass-schedule", generate.Options{}, 20)
	require.NoError(t, err)
	assert.Equal(t, generate.Pool{Size: 20}, pool)
	assert.Equal(t, "at least 20", pool.String())
	_, err = drawer.Pool("nothing", generate.Options{}, 20)
	require.ErrorIs(t, err, curriculum.ErrNotFound)
	drawer, err = generate.NewDrawer(lathes(t)[2])
	require.NoError(t, err)
	_, err = drawer.Pool("thread-dial", generate.Options{}, 20)
	assert.EqualError(t, err, "no thread dial: thread-dial cannot be set on Lathe 3")
}

// TestProveSample is the fast sample of halfnut exercises --prove; the result of
// the long run is kept in testdata/curriculum/proof.txt.
func TestProveSample(t *testing.T) {
	t.Parallel()
	for _, skill := range generate.Skills() {
		t.Run(skill, func(t *testing.T) {
			t.Parallel()
			p, err := generate.Prove(t.Context(), skill, lathes(t), 900, 1<<50)
			require.NoError(t, err)
			assert.True(t, p.OK(), "%+v", p)
			assert.Equal(t, 900, p.Draws)
			assert.LessOrEqual(t, p.MostTries, 200)
		})
	}
}

// TestCheckFinds: each promise that is broken by hand is named.
func TestCheckFinds(t *testing.T) {
	t.Parallel()
	drawn := func(skill, model string) curriculum.Exercise {
		e, err := generate.Draw(skill, lathes(t)[1], 3, generate.Options{Model: model})
		require.NoError(t, err)
		require.NoError(t, generate.Check(e))
		return e
	}
	for _, c := range []struct {
		name, want string
		skill      string
		model      string
		spoil      func(e *curriculum.Exercise)
	}{
		{"unsolvable", "not solvable", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Givens.Solve.Thread.Pitch = "none" }},
		{"no parts", "no parts", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts = nil }},
		{"no answer", "lacks its answer", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts[0].Answer = nil }},
		{"another answer", "the steps give", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts[0].Steps[0].Rule = "n*P + 1" }},
		{"a shifted band", "not in the middle", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts[0].Accept.High += 0.001 }},
		{"an empty band", "the band is empty", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts[0].Accept.High = e.Parts[0].Accept.Low }},
		{"a wrong rule that is right", "comes within 0 bands", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts[0].Wrong[0].Rule = "n*P" }},
		{"two wrong rules alike", "comes within 0 bands", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Parts[0].Wrong[1].Rule = e.Parts[0].Wrong[0].Rule }},
		{"another margin", "the margin is", "lead", "from-pitch", func(e *curriculum.Exercise) { e.Margin *= 2 }},
		{"a wrong choice that is right", "does not stand apart", "gear-train", "which-set", func(e *curriculum.Exercise) { e.Parts[0].Wrong[0].Answer = e.Parts[0].Answer }},
		{"an answer that cannot be chosen", "not among the choices", "gear-train", "which-set", func(e *curriculum.Exercise) { e.Parts[0].Answer = curriculum.TextValue("Z") }},
	} {
		e := drawn(c.skill, c.model)
		c.spoil(&e)
		assert.ErrorContains(t, generate.Check(e), c.want, c.name)
	}
}
