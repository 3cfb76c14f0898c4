package grade_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/testdata/workshop"
)

// permutations calls use with every order of the ids.
func permutations(ids []string, use func([]string)) {
	var step func(k int)
	order := slices.Clone(ids)
	step = func(k int) {
		if k == len(order) {
			use(order)
			return
		}
		for i := k; i < len(order); i++ {
			order[k], order[i] = order[i], order[k]
			step(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	step(0)
}

// TestEveryUnsafeOrderNamesItsHazard goes through all orders of the deeds of every
// procedure: one is wrong exactly if two deeds are the wrong way round, and then
// it says which and why.
func TestEveryUnsafeOrderNamesItsHazard(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	models, err := generate.Models("safe-order")
	require.NoError(t, err)
	for _, model := range models {
		for seed := range uint64(4) {
			e, err := generate.Draw("safe-order", lathes[1], seed, generate.Options{Model: model.Name})
			require.NoError(t, err)
			p := e.Parts[0]
			require.True(t, p.Safety)
			require.Equal(t, curriculum.KindOrder, p.Kind)
			orders, right := 0, 0
			permutations(p.Answer.Order, func(order []string) {
				orders++
				v := grade.Mark(e, map[string]string{"a": strings.ToLower(strings.Join(order, ""))}, grade.Test)[0]
				hazards := map[string]bool{}
				for _, w := range p.Wrong {
					then, first := w.Answer.Order[0], w.Answer.Order[1]
					if slices.Index(order, then) < slices.Index(order, first) {
						hazards[w.Feedback] = true
					}
				}
				if len(hazards) == 0 {
					right++
					assert.Equal(t, curriculum.Right, v.Outcome, "%s: %v", e.Model, order)
					return
				}
				if v.Outcome != curriculum.WrongRuleUsed || v.Marks != 0 {
					t.Errorf("%s: %v: %s, %d marks", e.Model, order, v.Outcome, v.Marks)
				}
				for h := range hazards {
					if !strings.Contains(v.Reason, " comes before ") || !strings.Contains(v.Reason, h) {
						t.Errorf("%s: %v: %q does not say %q", e.Model, order, v.Reason, h)
					}
				}
			})
			assert.Equal(t, orders/right, p.Options(), "%s: a blind choice", e.Model)
		}
	}
}

// TestIssuedOrdersMarkAsBefore: an order without the mark of a partial one has one
// right answer, whatever its wrong rules leave open.
func TestIssuedOrdersMarkAsBefore(t *testing.T) {
	t.Parallel()
	e := curriculum.Exercise{Skill: "safe-order", Parts: []curriculum.Part{{
		ID: "a", Kind: curriculum.KindOrder, Marks: 2, Safety: true,
		Choices: []curriculum.Choice{{ID: "A", Text: "Reverse."}, {ID: "B", Text: "Stop."}, {ID: "C", Text: "Withdraw."}},
		Answer:  &curriculum.Value{Order: []string{"B", "C", "A"}},
		Wrong:   []curriculum.WrongRule{{ID: "reversed-in-cut", Answer: &curriculum.Value{Order: []string{"A", "C"}}, Feedback: "Withdraw first."}},
	}}}
	mark := func(text string) curriculum.Verdict {
		return grade.Mark(e, map[string]string{"a": text}, grade.Test)[0]
	}
	assert.Equal(t, curriculum.Right, mark("BCA").Outcome)
	assert.Equal(t, curriculum.Unknown, mark("CBA").Outcome, "no rule names it, yet it is wrong")
	assert.Equal(t, "Withdraw first.", mark("BAC").Reason)
	assert.Equal(t, 6, e.Parts[0].Options())
}

// TestOrdersCanBeTyped: letters with commas, spaces, arrows or nothing between.
func TestOrdersCanBeTyped(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	e, err := generate.Draw("safe-order", lathes[0], 4, generate.Options{})
	require.NoError(t, err)
	right := e.Parts[0].Answer.Order
	for _, between := range []string{"", " ", ", ", ",", " > ", " -> ", "-", "; ", " then "} {
		for _, text := range []string{strings.Join(right, between), strings.ToLower(strings.Join(right, between))} {
			assert.Equal(t, curriculum.Right, grade.Mark(e, map[string]string{"a": text}, grade.Test)[0].Outcome, text)
		}
	}
	for _, text := range []string{"A", strings.Join(right, ",") + ",A", "first A, then B"} {
		assert.Equal(t, curriculum.Unreadable, grade.Mark(e, map[string]string{"a": text}, grade.Test)[0].Outcome, text)
	}
	lines, err := grade.Hint(e, "a", grade.Hints)
	require.NoError(t, err)
	assert.Len(t, lines, 1, "a hint does not give the order away")
	lines, err = grade.Solution(e, "a")
	require.NoError(t, err)
	assert.Greater(t, len(lines), len(right), "the solution goes through all of it")
}
