package generate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/curriculum/generate"
)

// TestWholeJob: six to ten parts of different skills, linked by name, and no name
// stands for two things.
func TestWholeJob(t *testing.T) {
	t.Parallel()
	rules := map[string]bool{}
	for _, l := range lathes(t) {
		for _, units := range systems {
			if generate.Serves("whole-job", l, units) != nil {
				continue
			}
			for seed := range uint64(60) {
				e, err := generate.Draw("whole-job", l, seed, generate.Options{Units: units})
				require.NoError(t, err)
				rules[e.Difficulty["half-nut"]] = true
				assert.GreaterOrEqual(t, len(e.Parts), 6)
				assert.LessOrEqual(t, len(e.Parts), 10)
				names := map[string]bool{}
				for name := range e.Givens.Values {
					names[name] = true
				}
				earlier := map[string]bool{}
				skills := map[string]bool{}
				links := 0
				for _, p := range e.Parts {
					assert.NotEmpty(t, p.Skill)
					assert.False(t, skills[p.Skill], "%s is asked twice", p.Skill)
					skills[p.Skill] = true
					assert.Equal(t, p.ID, p.Steps[len(p.Steps)-1].Name)
					linked := false
					for _, s := range p.Steps {
						assert.False(t, names[s.Name], "%s stands for two things", s.Name)
						names[s.Name] = true
						if s.Rule != "" {
							for _, name := range formula.MustParse(s.Rule).Names() {
								linked = linked || earlier[name]
							}
						}
					}
					if linked {
						links++
					}
					earlier[p.ID] = true
					assert.Equal(t, p.Skill == "run-out", p.Safety, "what is safety-critical stands by itself")
				}
				assert.GreaterOrEqual(t, links, 4, "later parts take earlier ones: %v", e.Prompt)
				for skill := range skills {
					assert.Contains(t, curriculum.Prerequisites("whole-job"), skill)
				}
			}
		}
	}
	assert.Len(t, rules, 3, "half-nuts opened anywhere, on lines and never: %v", rules)
}
