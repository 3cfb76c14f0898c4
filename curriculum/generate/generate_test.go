package generate_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/curriculum/generate"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

func lathes(t testing.TB) []threadmath.Lathe {
	t.Helper()
	ls, err := workshop.Lathes()
	require.NoError(t, err)
	return ls
}

var systems = []threadmath.System{threadmath.Metric, threadmath.Inch}

// TestEverySkillIsServedSomewhere: the demo workshop can set every skill in both
// unit systems, and a lathe that cannot says why.
func TestEverySkillIsServedSomewhere(t *testing.T) {
	t.Parallel()
	for _, skill := range generate.Skills() {
		for _, units := range systems {
			served := 0
			for _, l := range lathes(t) {
				err := generate.Serves(skill, l, units)
				if err == nil {
					served++
					continue
				}
				var unserved *generate.UnservedError
				require.ErrorAs(t, err, &unserved, "%s on %s in %s", skill, l.Name, units)
				assert.ErrorIs(t, err, curriculum.ErrInvalid)
				assert.NotContains(t, err.Error(), "no draw in", "%s: a lathe that serves is never left without a draw", skill)
			}
			assert.Positive(t, served, "%s in %s", skill, units)
		}
	}
}

// TestDrawsKeepTheirPromises recomputes from the exercise alone what the
// generator promises.
func TestDrawsKeepTheirPromises(t *testing.T) {
	t.Parallel()
	draws := 150
	if raced {
		draws = 15
	}
	for _, l := range lathes(t) {
		for _, units := range systems {
			for _, skill := range generate.Skills() {
				if generate.Serves(skill, l, units) != nil {
					continue
				}
				t.Run(fmt.Sprintf("%s/%s/%s", l.Name, units, skill), func(t *testing.T) {
					t.Parallel()
					for seed := range uint64(draws) {
						e, err := generate.Draw(skill, l, seed, generate.Options{Units: units})
						require.NoError(t, err, "seed %d", seed)
						checkExercise(t, e)
					}
				})
			}
		}
	}
}

func checkExercise(t *testing.T, e curriculum.Exercise) {
	t.Helper()
	where := fmt.Sprintf("%s seed %d", e.Skill, e.Seed)
	require.NotEmpty(t, e.Parts, where)
	var answer map[string]any
	if e.Givens.Solve != nil {
		a, err := threadmath.Solve(*e.Givens.Solve)
		require.NoError(t, err, where)
		b, err := json.Marshal(a)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(b, &answer))
	}
	vars := e.Givens.Numbers()
	for _, p := range e.Parts {
		require.NotNil(t, p.Answer, where)
		require.NotEmpty(t, p.Steps, where)
		require.NotEmpty(t, p.Ask, where)
		require.Positive(t, p.Marks, where)
		if p.At != "" {
			want, got := lookup(t, answer, p.At), asJSON(t, p.Answer, p)
			if f, number := want.(float64); number { // an exercise keeps twelve digits
				assert.InEpsilon(t, f, got, 1e-11, "%s part %s at %s", where, p.ID, p.At)
			} else {
				assert.Equal(t, want, got, "%s part %s at %s", where, p.ID, p.At)
			}
		}
		values, err := p.Run(vars)
		require.NoError(t, err, where)
		if p.Accept == nil {
			seen := map[string]bool{p.Answer.String(): true}
			for _, w := range p.Wrong {
				assert.False(t, seen[w.Answer.String()], "%s: %s does not stand apart", where, w.ID)
				seen[w.Answer.String()] = true
			}
			continue
		}
		right := values[len(values)-1].Float64()
		band := p.Accept.High - p.Accept.Low
		assert.Positive(t, band, where)
		if p.RoundDown {
			assert.LessOrEqual(t, p.Accept.Low, math.Floor(right), where)
			assert.GreaterOrEqual(t, p.Accept.High, right, where)
			assert.Less(t, p.Accept.High-right, right-p.Accept.Low, where)
		} else {
			assert.InDelta(t, (p.Accept.High+p.Accept.Low)/2, right, band*1e-6, where)
		}
		for _, w := range p.Wrong {
			v, err := formula.MustParse(w.Rule).Eval(vars)
			require.NoError(t, err, where)
			distance := math.Abs(v.Float64()-right) / band
			assert.GreaterOrEqual(t, distance, 3-1e-9, "%s: %s lands %v bands away", where, w.ID, distance)
			assert.GreaterOrEqual(t, distance*1.001, e.Margin, "%s: the margin is the nearest wrong rule's", where)
		}
	}
	public, err := json.Marshal(e.Public())
	require.NoError(t, err)
	for _, key := range []string{`"answer"`, `"accept"`, `"steps"`, `"wrong"`, `"seed"`, `"margin"`} {
		assert.NotContains(t, string(public), key, where)
	}
}

// lookup walks a JSON pointer.
func lookup(t *testing.T, doc any, pointer string) any {
	t.Helper()
	var p []string
	start := 1
	for i := 1; i <= len(pointer); i++ {
		if i == len(pointer) || pointer[i] == '/' {
			p = append(p, pointer[start:i])
			start = i + 1
		}
	}
	for _, key := range p {
		switch x := doc.(type) {
		case map[string]any:
			doc = x[key]
		case []any:
			var i int
			_, err := fmt.Sscan(key, &i)
			require.NoError(t, err)
			require.Less(t, i, len(x))
			doc = x[i]
		default:
			t.Fatalf("%s leads nowhere", pointer)
		}
	}
	require.NotNil(t, doc, pointer)
	return doc
}

func asJSON(t *testing.T, v *curriculum.Value, p curriculum.Part) any {
	t.Helper()
	b, err := json.Marshal(v)
	require.NoError(t, err)
	var out any
	require.NoError(t, json.Unmarshal(b, &out))
	return out
}

// TestNoSeedIsImpossible: where a lathe serves a skill, every seed gives an
// exercise.
func TestNoSeedIsImpossible(t *testing.T) {
	t.Parallel()
	draws := uint64(400)
	if raced {
		draws = 40
	}
	for _, l := range lathes(t) {
		drawer, err := generate.NewDrawer(l)
		require.NoError(t, err)
		for _, units := range systems {
			for _, skill := range generate.Skills() {
				if drawer.Serves(skill, units) != nil {
					continue
				}
				for seed := range draws {
					_, err := drawer.Draw(skill, 1<<40+seed, generate.Options{Units: units})
					require.NoError(t, err, "%s on %s in %s", skill, l.Name, units)
				}
			}
		}
	}
}

// TestTwoStartShare: a quarter of the draws has two starts where the wrong rules
// separate.
func TestTwoStartShare(t *testing.T) {
	t.Parallel()
	l := lathes(t)[1]
	for _, skill := range []string{"lead", "starts-from-lead", "depth-60", "infeed-angle"} {
		two := 0
		const draws = 800
		for seed := range uint64(draws) {
			e, err := generate.Draw(skill, l, seed, generate.Options{})
			require.NoError(t, err)
			if e.Difficulty["starts"] == "2" {
				two++
			}
		}
		assert.InDelta(t, 0.25, float64(two)/draws, 0.06, skill)
	}
}

func TestSetIsParallelAndDistinct(t *testing.T) {
	t.Parallel()
	spec := generate.SetSpec{Skills: []string{"lead", "axial-offset", "index-angle", "thread-dial"}, Lathe: lathes(t)[1], Variants: 12, Count: 8, Seed: 5}
	set, err := generate.Set(spec)
	require.NoError(t, err)
	require.Len(t, set, 12)
	seen := map[string]int{}
	for v, exercises := range set {
		require.Len(t, exercises, 8)
		for p, e := range exercises {
			first := set[0][p]
			assert.Equal(t, first.Skill, e.Skill)
			assert.Equal(t, first.Model, e.Model)
			assert.Equal(t, declared(first.Difficulty), declared(e.Difficulty))
			face, err := json.Marshal([]any{e.Prompt, e.Givens.Values, e.Public().Parts})
			require.NoError(t, err)
			if e.Skill == "lead" || e.Skill == "axial-offset" {
				seen[string(face)]++
			}
			if v > 0 {
				before, err := json.Marshal([]any{set[v-1][p].Prompt, set[v-1][p].Givens.Values, set[v-1][p].Public().Parts})
				require.NoError(t, err)
				assert.NotEqual(t, string(before), string(face), "neighbours %d and %d, exercise %d", v, v+1, p+1)
			}
		}
	}
	repeated := 0
	for _, n := range seen {
		repeated += n - 1
	}
	t.Logf("%d repeats", repeated)
	again, err := generate.Set(spec)
	require.NoError(t, err)
	assert.Equal(t, set, again, "the same seed gives the same set")
}

func TestUnknownAndOutOfRange(t *testing.T) {
	t.Parallel()
	_, err := generate.Draw("nothing", lathes(t)[0], 1, generate.Options{})
	require.ErrorIs(t, err, curriculum.ErrNotFound)
	_, err = generate.Draw("lead", lathes(t)[0], 1<<53, generate.Options{})
	require.ErrorIs(t, err, curriculum.ErrInvalid)
	_, err = generate.Draw("thread-dial", lathes(t)[2], 1, generate.Options{})
	var unserved *generate.UnservedError
	require.True(t, errors.As(err, &unserved))
	assert.Equal(t, "no thread dial: thread-dial cannot be set on Lathe 3", err.Error())
}
