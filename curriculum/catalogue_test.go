package curriculum_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
)

func TestCatalogue(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, s := range curriculum.Skills() {
		assert.False(t, seen[s.Slug], "%s stands twice", s.Slug)
		for _, need := range s.Needs {
			assert.True(t, seen[need], "%s needs %s, which does not stand before it", s.Slug, need)
		}
		seen[s.Slug] = true
		assert.NotEmpty(t, s.Title, s.Slug)
		assert.NotEmpty(t, s.Purpose, s.Slug)
		assert.NotEmpty(t, s.Rule, s.Slug)
		assert.NotEmpty(t, s.Example.Prompt, s.Slug)
		assert.NotEmpty(t, s.Example.Lines, s.Slug)
		assert.NotEmpty(t, s.Example.Answer, s.Slug)
		ids := map[string]bool{}
		for _, w := range s.Wrong {
			assert.False(t, ids[w.ID], "%s: %s stands twice", s.Slug, w.ID)
			ids[w.ID] = true
			assert.Equal(t, 1, strings.Count(w.Feedback+" ", ". "), "%s: %s: feedback is one sentence", s.Slug, w.ID)
			if w.Rule != "" {
				_, err := formula.Parse(w.Rule)
				assert.NoError(t, err, "%s: %s", s.Slug, w.ID)
			}
			if w.Charges != "" {
				assert.Contains(t, curriculum.Prerequisites(s.Slug), w.Charges, "%s: %s", s.Slug, w.ID)
			}
		}
	}
}

// That no skill needs itself, checked by walking the graph and not by the order
// of the list.
func TestPrerequisitesAcyclic(t *testing.T) {
	t.Parallel()
	for _, s := range curriculum.Skills() {
		assert.NotContains(t, curriculum.Prerequisites(s.Slug), s.Slug)
	}
	all := curriculum.Prerequisites("gearbox-setting")
	assert.Equal(t, []string{"designation", "fractions", "inch-mm", "tpi-pitch", "lead"}, all)
	assert.Nil(t, curriculum.Prerequisites("nothing"))
	assert.True(t, slices.IsSorted([]int{slices.Index(all, "fractions"), slices.Index(all, "tpi-pitch")}))
}

func TestSkillOf(t *testing.T) {
	t.Parallel()
	s, err := curriculum.SkillOf("lead")
	require.NoError(t, err)
	w, ok := s.Mistake("pitch-for-lead")
	assert.True(t, ok)
	assert.Equal(t, "P", w.Rule)
	s.Wrong[0].Rule = "changed"
	again, err := curriculum.SkillOf("lead")
	require.NoError(t, err)
	assert.Equal(t, "P", again.Wrong[0].Rule, "callers cannot change the catalogue")
	_, err = curriculum.SkillOf("nothing")
	assert.ErrorIs(t, err, curriculum.ErrNotFound)
}
