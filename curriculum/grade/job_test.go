package grade_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// TestWholeJobFollowsThrough: a learner who takes the pitch for the lead and works
// on with it honestly loses the lead only, and the run-out, which is
// safety-critical and named for what it is.
func TestWholeJobFollowsThrough(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	met := map[string]int{}
	for i, units := range []threadmath.System{threadmath.Inch, threadmath.Metric, threadmath.Metric} {
		for seed := range uint64(60) {
			e, err := generate.Draw("whole-job", lathes[i], seed, generate.Options{Units: units})
			require.NoError(t, err)
			vars := e.Givens.Numbers()
			answers := map[string]string{}
			for _, p := range e.Parts {
				values, err := p.Run(vars)
				require.NoError(t, err)
				if p.Accept == nil {
					answers[p.ID] = p.Answer.String()
					continue
				}
				v := values[len(values)-1]
				if p.ID == "L" {
					v = vars["P"]
				}
				answers[p.ID] = rounded(v.Float64(), p.Decimals+1)
				read, _, ok := formula.ReadNumber(answers[p.ID])
				require.True(t, ok)
				vars[p.ID] = read
			}
			for j, v := range grade.Mark(e, answers, grade.Test) {
				p := e.Parts[j]
				where := p.ID + " of " + e.ID + ": " + answers[p.ID] + ": " + v.Reason
				switch p.ID {
				case "L":
					assert.Equal(t, curriculum.WrongRuleUsed, v.Outcome, where)
					assert.Equal(t, "pitch-for-lead", v.WrongRule, where)
				case "f", "s":
					// Close to the right number by chance it may count as that.
					assert.True(t, v.Outcome.Credit(), where)
					assert.Equal(t, p.Marks, v.Marks, where)
					met[string(v.Outcome)]++
				case "S", "o":
					assert.False(t, v.Outcome.Credit(), where)
					if v.Outcome == curriculum.WrongRuleUsed {
						assert.Contains(t, []string{"pitch-for-lead", "pitch-overrun"}, v.WrongRule, where)
					}
					assert.Less(t, v.Marks, p.Marks, where)
					met["safety "+string(v.Outcome)]++
				default:
					assert.Equal(t, curriculum.Right, v.Outcome, where)
				}
			}
		}
	}
	assert.Greater(t, met[string(curriculum.FollowThrough)], 300, "%v", met)
	assert.Greater(t, met["safety "+string(curriculum.WrongRuleUsed)], 150, "the mistake is named: %v", met)
}

// TestNoFollowThroughWhereItIsSafety: of every skill that is safety-critical, no
// part is right from an earlier slip.
func TestNoFollowThroughWhereItIsSafety(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	for _, s := range curriculum.Skills() {
		if !s.Safety {
			continue
		}
		for seed := range uint64(60) {
			e, err := generate.Draw(s.Slug, lathes[1], seed, generate.Options{})
			require.NoError(t, err)
			assert.True(t, slices.ContainsFunc(e.Parts, func(p curriculum.Part) bool { return p.Safety }), "%s, model %s", s.Slug, e.Model)
		}
	}
}
