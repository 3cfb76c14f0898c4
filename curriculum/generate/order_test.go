package generate_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
)

// orderTask is a draw as somebody sees it who looks at the sentences alone.
type orderTask struct {
	texts []int    // by place
	pairs [][2]int // places: the first must not come before the second
}

// orderTasks draws tasks on all lathes; texts numbers the sentences.
func orderTasks(t *testing.T, first uint64, count int, texts map[string]int) []orderTask {
	t.Helper()
	var out []orderTask
	ls := lathes(t)
	drawers := make([]*generate.Drawer, len(ls))
	for i, l := range ls {
		var err error
		drawers[i], err = generate.NewDrawer(l)
		require.NoError(t, err)
	}
	for i := range count {
		e, err := drawers[i%len(ls)].Draw("safe-order", first+uint64(i), generate.Options{Units: systems[i/len(ls)%2]})
		require.NoError(t, err)
		p := e.Parts[0]
		var task orderTask
		at := map[string]int{}
		for place, c := range p.Choices {
			at[c.ID] = place
			n, ok := texts[c.Text]
			if !ok {
				n = len(texts)
				texts[c.Text] = n
			}
			task.texts = append(task.texts, n)
		}
		for _, w := range p.Wrong {
			task.pairs = append(task.pairs, [2]int{at[w.Answer.Order[0]], at[w.Answer.Order[1]]})
		}
		out = append(out, task)
	}
	return out
}

// solved reports whether sorting the sentences by the rank is a right answer.
func (o orderTask) solved(rank []float64) bool {
	for _, p := range o.pairs {
		if rank[o.texts[p[0]]] <= rank[o.texts[p[1]]] {
			return false
		}
	}
	return true
}

func solvedBy(rank []float64, tasks []orderTask) int {
	n := 0
	for _, o := range tasks {
		if o.solved(rank) {
			n++
		}
	}
	return n
}

// learnedRank is the best single rank of the sentences that a patient learner by
// heart finds: from the mean place of each, improved sentence by sentence.
func learnedRank(tasks []orderTask, texts int) []float64 {
	rank, met := make([]float64, texts), make([]float64, texts)
	with := make([][]orderTask, texts)
	for _, o := range tasks {
		for place, text := range o.texts {
			with[text] = append(with[text], o)
			met[text]++
			for _, p := range o.pairs {
				if p[0] == place {
					rank[text]++
				}
				if p[1] == place {
					rank[text]--
				}
			}
		}
	}
	order := make([]int, texts)
	for i := range order {
		order[i] = i
		rank[i] /= max(1, met[i])
	}
	slices.SortFunc(order, func(a, b int) int { return int(1e6 * (rank[a] - rank[b])) })
	for place, text := range order {
		rank[text] = float64(place)
	}
	for range 3 {
		for text := range texts {
			best, where := -1, rank[text]
			for place := range texts {
				rank[text] = float64(place) - 0.5
				if n := solvedBy(rank, with[text]); n > best {
					best, where = n, rank[text]
				}
			}
			rank[text] = where
			slices.SortFunc(order, func(a, b int) int { return int(2 * (rank[a] - rank[b])) })
			for place, text := range order {
				rank[text] = float64(place)
			}
		}
	}
	return rank
}

// TestNoOneRankIsASafeOrder: whoever learns one rank of all the sentences by
// heart, the best that can be found for thousands of draws, is right in fewer
// than one in ten of others.
func TestNoOneRankIsASafeOrder(t *testing.T) {
	t.Parallel()
	draws := 4000
	if raced {
		draws = 800
	}
	texts := map[string]int{}
	learned := orderTasks(t, 0, draws, texts)
	asked := orderTasks(t, 1<<40, draws, texts)
	rank := learnedRank(learned, len(texts))
	share := float64(solvedBy(rank, asked)) / float64(draws)
	t.Logf("one rank of %d sentences is right in %.1f %% of %d other draws (%.1f %% of those it was learned from)", len(texts), 100*share, draws, 100*float64(solvedBy(rank, learned))/float64(draws))
	assert.Less(t, share, 0.10)
	assert.Greater(t, share, 0.01, "the learner by heart is no scarecrow")
}

// TestOrdersNameRealNeeds: the pairs of an order follow from one another, its
// answer has none the wrong way round, few other orders are right as well, and as
// shown it is not.
func TestOrdersNameRealNeeds(t *testing.T) {
	t.Parallel()
	free := 0
	for i, l := range lathes(t) {
		for seed := range uint64(400) {
			e, err := generate.Draw("safe-order", l, seed, generate.Options{Units: systems[i%2]})
			require.NoError(t, err)
			p := e.Parts[0]
			assert.True(t, p.RightOrder(p.Answer.Order), e.Prompt)
			var shown []string
			pairs := map[[2]string]bool{}
			for _, c := range p.Choices {
				shown = append(shown, c.ID)
			}
			assert.False(t, p.RightOrder(shown), "%s: right as shown", e.Prompt)
			for _, w := range p.Wrong {
				pairs[[2]string(w.Answer.Order)] = true
			}
			for a := range pairs {
				assert.False(t, pairs[[2]string{a[1], a[0]}])
				for b := range pairs {
					assert.True(t, a[1] != b[0] || pairs[[2]string{a[0], b[1]}], "%s: %v, %v", e.Prompt, a, b)
				}
			}
			orders := 1
			for n := range p.Choices {
				orders *= n + 1
			}
			assert.GreaterOrEqual(t, p.Options(), orders/4, "%s: more than four orders are right", e.Prompt)
			if p.Options() < orders {
				free++
			}
		}
	}
	assert.Greater(t, free, 20, "where two deeds are free, both orders are right")
}

// TestTheEndOfTheThreadDecides: in front of a groove the spindle stops, or the
// half-nut opens, before the tool is withdrawn; on a mark alone the tool comes
// out first.
func TestTheEndOfTheThreadDecides(t *testing.T) {
	t.Parallel()
	seen := map[bool]int{}
	for seed := range uint64(600) {
		e, err := generate.Draw("safe-order", lathes(t)[1], seed, generate.Options{})
		require.NoError(t, err)
		p := e.Parts[0]
		prompt := strings.ToLower(e.Prompt)
		mark := strings.Contains(prompt, "no groove") || strings.Contains(prompt, "without a groove")
		want := "overrun"
		if mark {
			want = "dragged-on"
			if e.Model == "half-nut-opened" {
				want = "ring-cut"
			}
		}
		for _, w := range p.Wrong {
			switch w.ID {
			case "overrun", "dragged-on", "ring-cut":
				assert.Equal(t, want, w.ID, e.Prompt)
				seen[mark]++
			}
		}
	}
	assert.Greater(t, seen[true], 100)
	assert.Greater(t, seen[false], 100)
}

// TestEveryHazardIsMet: each mistake that the catalogue names for orders comes up.
func TestEveryHazardIsMet(t *testing.T) {
	t.Parallel()
	skill, err := curriculum.SkillOf("safe-order")
	require.NoError(t, err)
	met := map[string]bool{}
	for seed := range uint64(1500) {
		e, err := generate.Draw("safe-order", lathes(t)[seed%3], seed, generate.Options{})
		require.NoError(t, err)
		for _, w := range e.Parts[0].Wrong {
			met[w.ID] = true
		}
	}
	for _, w := range skill.Wrong {
		assert.True(t, met[w.ID], "%s is never met", w.ID)
	}
}
