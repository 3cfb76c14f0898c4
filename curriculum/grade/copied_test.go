package grade_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// Whoever copies a quantity of the question, in its own unit and form, is asked back
// and earns nothing; whoever converts it is right.
func TestCopyingTheQuestionIsNoAnswer(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	copied := map[string]int{}
	for _, skill := range []string{"inch-mm", "tpi-pitch", "fractions"} {
		for seed := range uint64(400) {
			for _, units := range []threadmath.System{threadmath.Metric, threadmath.Inch} {
				e, err := generate.Draw(skill, lathes[0], seed, generate.Options{Units: units})
				require.NoError(t, err)
				p := e.Parts[0]
				for _, g := range e.Givens.Listed {
					text := e.Givens.Values[g.Name]
					for _, form := range []string{text, " " + strings.ReplaceAll(text, " in", "\"") + " "} {
						v := grade.Mark(e, map[string]string{p.ID: form}, grade.Practice)[0]
						assert.False(t, v.Outcome.Credit(), "%s: %q", e.Prompt, form)
						if strings.HasPrefix(v.Reason, "That is the right size") {
							copied[e.Model]++
							assert.Equal(t, curriculum.AskBack, v.Outcome, "%s: %q", e.Prompt, form)
						}
					}
				}
				right := p.Answer.String()
				if p.Answer.Length != nil {
					right = rounded(p.Answer.Length.Value(unitSystem(p.Unit)), p.Decimals)
				}
				v := grade.Mark(e, map[string]string{p.ID: right}, grade.Practice)[0]
				assert.Equal(t, curriculum.Right, v.Outcome, "%s: %q", e.Prompt, right)
			}
		}
	}
	for _, model := range []string{"to-mm", "to-inch", "to-decimal"} {
		assert.Positive(t, copied[model], model)
	}
	for text, want := range map[string]curriculum.Outcome{
		"1 7/8": curriculum.AskBack, "1 ⅞ in": curriculum.AskBack, "15/8": curriculum.AskBack, "1.875": curriculum.Right,
	} {
		e := curriculum.Exercise{Skill: "fractions", Parts: []curriculum.Part{{
			ID: "s", Kind: curriculum.KindLength, Unit: "in", Decimals: 3, Marks: 1, Answer: curriculum.LengthValue(inches(t, "1 7/8 in")),
			Accept: &curriculum.Band{Low: 1.8745, High: 1.8755}, Steps: []curriculum.Step{{Name: "s", Rule: "w + a/b", Unit: "in"}},
		}}, Givens: curriculum.Givens{Values: map[string]string{"w": "1", "a": "7", "b": "8"}}}
		assert.Equal(t, want, grade.Mark(e, map[string]string{"s": text}, grade.Practice)[0].Outcome, text)
	}
}

func unitSystem(unit string) threadmath.System {
	if unit == curriculum.UnitInch {
		return threadmath.Inch
	}
	return threadmath.Metric
}

func inches(t *testing.T, text string) threadmath.Dimension {
	t.Helper()
	l, system, err := threadmath.ParseLength(text)
	require.NoError(t, err)
	return threadmath.ExactDimension(l, system)
}
