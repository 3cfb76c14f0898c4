package grade_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
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

// eachExercise draws exercises of every skill on every lathe that serves it.
func eachExercise(t *testing.T, draws uint64, check func(t *testing.T, e curriculum.Exercise)) {
	t.Helper()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	if raced {
		draws = max(1, draws/10)
	}
	for _, skill := range generate.Skills() {
		t.Run(skill, func(t *testing.T) {
			t.Parallel()
			for _, l := range lathes {
				for _, units := range []threadmath.System{threadmath.Metric, threadmath.Inch} {
					if generate.Serves(skill, l, units) != nil {
						continue
					}
					for seed := range draws {
						e, err := generate.Draw(skill, l, seed, generate.Options{Units: units})
						require.NoError(t, err)
						check(t, e)
					}
				}
			}
		})
	}
}

// rounded writes a value to a number of decimals, as a learner does.
func rounded(f float64, decimals int) string { return strconv.FormatFloat(f, 'f', decimals, 64) }

func countsExactly(p curriculum.Part) bool {
	for _, s := range p.Steps {
		if strings.Contains(s.Rule, "gcd") || strings.Contains(s.Rule, "lcm") {
			return true
		}
	}
	return false
}

// TestHonestWorkIsRight: 10,000 learners a skill who round every intermediate
// result honestly, some up, some down, are all marked right.
func TestHonestWorkIsRight(t *testing.T) {
	t.Parallel()
	const draws, paths = 60, 40 // on up to six combinations of lathe and units
	eachExercise(t, draws, func(t *testing.T, e curriculum.Exercise) {
		rng := rand.New(rand.NewPCG(e.Seed, 7))
		refused := 0
		for range paths {
			vars := e.Givens.Numbers()
			answers := map[string]string{}
			for _, p := range e.Parts {
				if p.Accept == nil || p.AsksFraction() { // a fraction is worked out exactly
					answers[p.ID] = p.Answer.String()
					continue
				}
				for i, s := range p.Steps {
					if s.Rule == "" {
						continue
					}
					v, err := formula.MustParse(s.Rule).Eval(vars)
					require.NoError(t, err)
					if i == len(p.Steps)-1 {
						answers[p.ID] = rounded(p.Written(v.Float64()), p.Decimals)
						read, _, ok := formula.ReadNumber(answers[p.ID])
						require.True(t, ok)
						vars[p.ID] = read
						break
					}
					if countsExactly(p) { // a common multiple of rounded numbers is nobody's working
						vars[s.Name] = v
						continue
					}
					decimals := p.Decimals + 1
					if s.Unit != p.Unit { // four significant digits, as a table gives them
						decimals = max(0, 3-int(math.Floor(math.Log10(math.Abs(v.Float64())))))
					}
					scale := math.Pow10(decimals)
					f := v.Float64() * scale
					switch rng.IntN(3) {
					case 0:
						f = math.Floor(f + 1e-9)
					case 1:
						f = math.Ceil(f - 1e-9)
					default:
						f = math.Round(f)
					}
					vars[s.Name] = formula.Approx(f / scale)
				}
			}
			for _, v := range grade.Mark(e, answers, grade.Practice) {
				if v.Outcome != curriculum.Right {
					refused++
					t.Logf("%s seed %d %v: %s: %s", e.Skill, e.Seed, answers, v.Outcome, v.Reason)
				}
			}
		}
		assert.Zero(t, refused, "%s seed %d", e.Skill, e.Seed)
	})
}

// TestWrongRulesAreNeverRight: every wrong rule of an exercise is named as
// itself, or as one of two slips that explain it equally; never as right.
func TestWrongRulesAreNeverRight(t *testing.T) {
	t.Parallel()
	eachExercise(t, 60, func(t *testing.T, e curriculum.Exercise) {
		vars := e.Givens.Numbers()
		right := map[string]string{}
		for _, p := range e.Parts {
			_, err := p.Run(vars)
			require.NoError(t, err)
			right[p.ID] = p.Answer.String()
		}
		for _, p := range e.Parts {
			for _, w := range p.Wrong {
				text := ""
				if w.Rule != "" {
					v, err := formula.MustParse(w.Rule).Eval(vars)
					require.NoError(t, err)
					text = fmt.Sprint(v.Float64())
				} else {
					text = w.Answer.String()
				}
				answers := map[string]string{}
				for id, a := range right {
					answers[id] = a
				}
				answers[p.ID] = text
				for _, v := range grade.Mark(e, answers, grade.Test) {
					if v.Part != p.ID {
						continue
					}
					where := fmt.Sprintf("%s seed %d part %s, %s: %q", e.Skill, e.Seed, p.ID, w.ID, text)
					assert.False(t, v.Outcome.Credit(), where)
					assert.NotEmpty(t, v.Reason, where)
					if v.Outcome == curriculum.WrongRuleUsed {
						assert.Equal(t, w.ID, v.WrongRule, where)
						assert.Contains(t, v.Reason, w.Feedback, where)
					}
				}
			}
		}
	})
}

// TestUnitsDoNotChangeTheVerdict: the right answer in the other system is right, but
// where the other system is what is asked: there it is asked back.
func TestUnitsDoNotChangeTheVerdict(t *testing.T) {
	t.Parallel()
	eachExercise(t, 40, func(t *testing.T, e curriculum.Exercise) {
		answers := map[string]string{}
		for _, p := range e.Parts {
			if p.Answer.Length == nil {
				answers[p.ID] = p.Answer.String()
				continue
			}
			answers[p.ID] = rounded(p.Answer.Length.Value(threadmath.Inch), 6) + " in"
			if p.Unit == curriculum.UnitInch {
				answers[p.ID] = rounded(p.Answer.Length.MM(), 5) + " mm"
			}
		}
		for i, v := range grade.Mark(e, answers, grade.Test) {
			want := curriculum.Right
			if e.Parts[i].Answer.Length != nil && (v.Skill == "inch-mm" || v.Skill == "tpi-pitch" && e.Units == "mm") {
				want = curriculum.AskBack
			}
			assert.Equal(t, want, v.Outcome, "%s seed %d: %v: %s", e.Skill, e.Seed, answers, v.Reason)
		}
	})
}

// TestCeilingsAreRoundedDown: the greatest speed is right rounded down and with a
// digit more, and rounded up by more than rounding on the way explains it is not.
// The worked solution shows it rounded down.
func TestCeilingsAreRoundedDown(t *testing.T) {
	t.Parallel()
	ceilings, up := 0, 0
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	for _, skill := range []string{"run-out", "whole-job"} {
		for seed := range uint64(200) {
			e, err := generate.Draw(skill, lathes[seed%3], seed, generate.Options{Units: threadmath.System(seed % 3 % 2)})
			if err != nil { // not every lathe's collar reads both
				continue
			}
			for _, p := range e.Parts {
				if !p.RoundDown {
					continue
				}
				ceilings++
				answer, ok := p.Number(*p.Answer)
				require.True(t, ok)
				speed := answer.Float64()
				mark := func(text string) curriculum.Verdict {
					for _, v := range grade.Mark(e, map[string]string{p.ID: text}, grade.Test) {
						if v.Part == p.ID {
							return v
						}
					}
					t.Fatal("no verdict")
					return curriculum.Verdict{}
				}
				down := rounded(math.Floor(speed), 0)
				assert.Equal(t, curriculum.Right, mark(down).Outcome, "%v rev/min: %s", speed, down)
				assert.Equal(t, curriculum.Right, mark(rounded(math.Floor(speed*10)/10, 1)).Outcome, speed)
				if above := math.Ceil(speed); above > speed { // also where it lies a hair above
					up++
					v := mark(rounded(above, 0))
					assert.Equal(t, curriculum.Rounding, v.Outcome, "%v rev/min: %v", speed, above)
					assert.Contains(t, v.Reason, "round it down")
				}
				lines, err := grade.Solution(e, p.ID)
				require.NoError(t, err)
				assert.Equal(t, down+" rev/min", lines[len(lines)-1].Value)
			}
		}
	}
	assert.Greater(t, ceilings, 200)
	assert.Greater(t, up, 50)
}

// TestSolutionsHoldTheAnswer: the worked solution ends with what is accepted.
func TestSolutionsHoldTheAnswer(t *testing.T) {
	t.Parallel()
	eachExercise(t, 20, func(t *testing.T, e curriculum.Exercise) {
		for _, p := range e.Parts {
			lines, err := grade.Solution(e, p.ID)
			require.NoError(t, err)
			require.NotEmpty(t, lines)
			if p.Accept != nil {
				assert.NotEmpty(t, lines[len(lines)-1].Value)
			}
			for rung := 1; rung <= grade.Hints; rung++ {
				_, err := grade.Hint(e, p.ID, rung)
				require.NoError(t, err)
			}
		}
	})
}
