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

// TestEveryUnsafeOrderNamesItsHazard goes through all orders of the actions of
// every procedure: one is right, and each of the others names the hazard of every
// action that comes after one it must come before.
func TestEveryUnsafeOrderNamesItsHazard(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	skill, err := curriculum.SkillOf("safe-order")
	require.NoError(t, err)
	named := map[string]bool{}
	for _, model := range []string{"half-nut-closed", "first-cut", "next-station", "next-by-gear", "reground-tool"} {
		for seed := range uint64(9) {
			// Six actions have 720 orders; one draw of them is enough.
			size := map[bool]string{true: "6", false: "5"}[seed == 0]
			e, err := generate.Draw("safe-order", lathes[1], seed, generate.Options{Model: model, Difficulty: map[string]string{"actions": size}})
			require.NoError(t, err)
			p := e.Parts[0]
			require.True(t, p.Safety)
			require.Equal(t, curriculum.KindOrder, p.Kind)
			right := p.Answer.Order
			orders := 0
			permutations(right, func(order []string) {
				orders++
				v := grade.Mark(e, map[string]string{"a": strings.ToLower(strings.Join(order, ""))}, grade.Test)[0]
				want := curriculum.WrongRuleUsed
				if slices.Equal(order, right) {
					want = curriculum.Right
				}
				if v.Outcome != want || want == curriculum.WrongRuleUsed && v.Marks != 0 {
					t.Errorf("%s: %v of %v: %s, %d marks", e.Model, order, right, v.Outcome, v.Marks)
				}
				for i, id := range right[:len(right)-1] {
					late := slices.ContainsFunc(right[i+1:], func(other string) bool { return slices.Index(order, other) < slices.Index(order, id) })
					hazard, _ := skill.Mistake(hazardOf(p, id))
					named[hazard.ID] = true
					if late != strings.Contains(v.Reason, hazard.Feedback) {
						t.Errorf("%s: %v of %v, %s: %s", e.Model, order, right, id, v.Reason)
					}
				}
			})
			assert.Equal(t, map[string]int{"5": 120, "6": 720}[size], orders)
		}
	}
	for _, w := range skill.Wrong {
		assert.True(t, named[w.ID], "%s is never met", w.ID)
	}
}

// hazardOf finds the mistake of doing the action after another.
func hazardOf(p curriculum.Part, id string) string {
	for _, w := range p.Wrong {
		if w.Answer.Order[1] == id {
			return w.ID
		}
	}
	return ""
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
