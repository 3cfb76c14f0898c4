package generate_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

var safetySkills = []string{curriculum.SafeTurning, curriculum.SafeThreading, curriculum.SafeMultiStart}

// safetyDraws draws the safety skills on all lathes.
func safetyDraws(t *testing.T, count int) (choices, lists []curriculum.Part) {
	t.Helper()
	for _, l := range lathes(t) {
		d, err := generate.NewDrawer(l)
		require.NoError(t, err)
		for _, skill := range safetySkills {
			for seed := range uint64(count) {
				e, err := d.Draw(skill, seed, generate.Options{Units: systems[seed%2]})
				require.NoError(t, err)
				assert.NotContains(t, e.Prompt, "{")
				p := e.Parts[0]
				if p.Kind == curriculum.KindList {
					lists = append(lists, p)
				} else {
					choices = append(choices, p)
				}
			}
		}
	}
	return choices, lists
}

// TestChoicesGiveNothingAway: who goes by place, length or a catchword gets no
// more than a blind choice and a small margin.
func TestChoicesGiveNothingAway(t *testing.T) {
	t.Parallel()
	draws := 1500
	if raced {
		draws = 200
	}
	choices, lists := safetyDraws(t, draws)
	most := func(p curriculum.Part, of func(text string) float64) string {
		return slices.MaxFunc(p.Choices, func(a, b curriculum.Choice) int {
			if x, y := of(a.Text), of(b.Text); x != y {
				return int(math.Copysign(1, x-y))
			}
			return 0
		}).ID
	}
	rules := map[string]func(p curriculum.Part) string{
		"always the first":    func(p curriculum.Part) string { return p.Choices[0].ID },
		"always the last":     func(p curriculum.Part) string { return p.Choices[len(p.Choices)-1].ID },
		"always the longest":  func(p curriculum.Part) string { return most(p, func(s string) float64 { return float64(len(s)) }) },
		"always the shortest": func(p curriculum.Part) string { return most(p, func(s string) float64 { return -float64(len(s)) }) },
		"first by the alphabet": func(p curriculum.Part) string {
			return slices.MinFunc(p.Choices, func(a, b curriculum.Choice) int { return strings.Compare(a.Text, b.Text) }).ID
		},
		"most commas": func(p curriculum.Part) string {
			return most(p, func(s string) float64 { return float64(strings.Count(s, ",")) })
		},
		"fewest commas": func(p curriculum.Part) string {
			return most(p, func(s string) float64 { return -float64(strings.Count(s, ",")) })
		},
	}
	for _, word := range commonWords(choices) {
		has := func(s string) float64 {
			if slices.Contains(wordsOf(s), word) {
				return 1
			}
			return 0
		}
		rules["with "+word] = func(p curriculum.Part) string { return most(p, has) }
		rules["without "+word] = func(p curriculum.Part) string { return most(p, func(s string) float64 { return -has(s) }) }
	}
	for name, rule := range rules {
		right := 0
		for _, p := range choices {
			if rule(p) == p.Answer.Text {
				right++
			}
		}
		share := float64(right) / float64(len(choices))
		t.Logf("%s: %.1f %% of %d", name, 100*share, len(choices))
		assert.LessOrEqual(t, share, 0.25+0.08, name)
		whole := 0
		for _, p := range lists {
			if p.Answer.String() == rule(p) {
				whole++
			}
		}
		assert.LessOrEqual(t, float64(whole)/float64(len(lists)), 0.10, "%s, where all that are right are asked", name)
	}
	// The same text always: chosen where it is shown, a blind choice elsewhere.
	shown, right := map[string]int{}, map[string]int{}
	for _, p := range choices {
		for _, c := range p.Choices {
			shown[c.Text]++
			if c.ID == p.Answer.Text {
				right[c.Text]++
			}
		}
	}
	for text, n := range right {
		gain := (float64(n) - float64(shown[text])/4) / float64(len(choices))
		assert.Less(t, gain, 0.02, "always %q", text)
	}
	for _, numbers := range []string{"1", "2", "1, 2", "1, 3", "2, 3", "1, 2, 3", "1, 2, 3, 4"} {
		whole := 0
		for _, p := range lists {
			if p.Answer.String() == numbers {
				whole++
			}
		}
		assert.LessOrEqual(t, float64(whole)/float64(len(lists)), 0.10, "always %s", numbers)
	}
}

func wordsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
}

// commonWords are the words that are in one choice of twenty or more.
func commonWords(parts []curriculum.Part) []string {
	in, all := map[string]int{}, 0
	for _, p := range parts {
		for _, c := range p.Choices {
			all++
			words := wordsOf(c.Text)
			slices.Sort(words)
			for _, w := range slices.Compact(words) {
				in[w]++
			}
		}
	}
	var out []string
	for w, n := range in {
		if n*20 >= all {
			out = append(out, w)
		}
	}
	slices.Sort(out)
	return out
}

// TestSituationsChange: two draws of a situation differ in what is told, shown or
// where it is shown.
func TestSituationsChange(t *testing.T) {
	t.Parallel()
	l := lathes(t)[1]
	d, err := generate.NewDrawer(l)
	require.NoError(t, err)
	faces, prompts := map[string]map[string]bool{}, map[string]map[string]bool{}
	for _, skill := range safetySkills {
		for seed := range uint64(1200) {
			e, err := d.Draw(skill, seed, generate.Options{})
			require.NoError(t, err)
			id := e.Givens.Values[curriculum.GivenSituation]
			if faces[id] == nil {
				faces[id], prompts[id] = map[string]bool{}, map[string]bool{}
			}
			face := e.Prompt
			for _, c := range e.Parts[0].Choices {
				face += "\n" + c.Text
			}
			faces[id][face], prompts[id][e.Prompt] = true, true
		}
		for _, id := range d.Situations(skill) {
			assert.Greater(t, len(faces[id]), 15, "%s: ways of being asked", id)
			assert.GreaterOrEqual(t, len(prompts[id]), 2, id)
		}
	}
}

// TestSituationsAreDrawnWithoutRepetition: five of each operation, the next five
// others, and what was met longest ago again only when the bank is used up; more
// than it holds is said.
func TestSituationsAreDrawnWithoutRepetition(t *testing.T) {
	t.Parallel()
	for _, l := range lathes(t) {
		d, err := generate.NewDrawer(l)
		require.NoError(t, err)
		for _, skill := range safetySkills {
			bank := d.Situations(skill)
			require.GreaterOrEqual(t, len(bank), 10, "%s on %s: a retry draws others", skill, l.Name)
			var met []string
			for try := range 8 {
				es, again, err := d.DrawSituations(skill, 5, uint64(try), met, generate.Options{Units: threadmath.Inch})
				require.NoError(t, err)
				require.Len(t, es, 5)
				drawn := map[string]bool{}
				for _, e := range es {
					id := e.Givens.Values[curriculum.GivenSituation]
					assert.False(t, drawn[id], "%s is drawn twice", id)
					assert.Equal(t, skill, e.Skill)
					drawn[id] = true
				}
				fresh := max(0, len(bank)-5*try)
				assert.Equal(t, max(0, 5-fresh), again, "try %d of %d situations", try+1, len(bank))
				for i, id := range met {
					if i >= again && drawn[id] && fresh >= 5 {
						assert.Fail(t, "met before", "%s in try %d", id, try+1)
					}
				}
				for id := range drawn {
					met = append(met, id)
				}
			}
			_, _, err := d.DrawSituations(skill, len(bank)+1, 1, nil, generate.Options{})
			require.ErrorIs(t, err, curriculum.ErrInvalid)
			assert.ErrorContains(t, err, "the bank holds "+strconv.Itoa(len(bank)))
		}
	}
}
