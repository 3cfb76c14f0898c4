package curriculum_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"halfnut/curriculum"
)

// TestBankOfSituations: at least sixty, each with its scene, what is right, what
// tempts and why not, the hazard and the source.
func TestBankOfSituations(t *testing.T) {
	t.Parallel()
	bank := curriculum.Situations()
	assert.GreaterOrEqual(t, len(bank), 60)
	ids, texts, sourced, by := map[string]bool{}, map[string]string{}, 0, map[string]int{}
	for _, s := range bank {
		assert.False(t, ids[s.ID], "%s is there twice", s.ID)
		ids[s.ID] = true
		by[s.Skill]++
		skill, err := curriculum.SkillOf(s.Skill)
		assert.NoError(t, err, s.ID)
		assert.True(t, skill.Safety, s.ID)
		assert.NotEmpty(t, s.Topic, s.ID)
		assert.GreaterOrEqual(t, len(s.Says), 2, "%s: ways of telling it", s.ID)
		assert.GreaterOrEqual(t, len(s.Right), 3, "%s: right actions", s.ID)
		assert.GreaterOrEqual(t, len(s.Wrong), 3, "%s: wrong actions", s.ID)
		assert.Contains(t, []string{"", "dial", "half-nut", "compound", "holder", "stud-gear"}, s.Needs, s.ID)
		assert.NotEmpty(t, s.Source, s.ID)
		assert.True(t, strings.HasSuffix(s.Hazard, ".") && strings.Count(s.Hazard, ". ") == 0, "%s: the hazard is one sentence", s.ID)
		if s.Source != curriculum.CommonPractice {
			sourced++
		}
		wrong := map[string]bool{}
		for _, a := range s.Right {
			assert.Empty(t, a.Why, s.ID)
			assert.Empty(t, texts[a.Text], "%s: %s", s.ID, a.Text)
			texts[a.Text] = s.ID
		}
		for _, a := range s.Wrong {
			assert.False(t, a.ID == "" || wrong[a.ID], "%s: wrong action %q", s.ID, a.ID)
			wrong[a.ID] = true
			assert.True(t, strings.HasSuffix(a.Why, ".") && strings.Count(a.Why, ". ") == 0, "%s %s: one sentence says why not", s.ID, a.ID)
			assert.Empty(t, texts[a.Text], "%s: %s", s.ID, a.Text)
			texts[a.Text] = s.ID
		}
		for _, text := range append(s.Says, s.Hazard) {
			assert.NotContains(t, texts, text, s.ID)
		}
	}
	assert.GreaterOrEqual(t, sourced, 25, "rest on something published")
	for _, operation := range []string{"turning", "single-start", "multi-start"} {
		skill := curriculum.SafetySkillOf(operation)
		assert.GreaterOrEqual(t, by[skill], 20, skill)
	}
}
