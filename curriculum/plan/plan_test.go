package plan_test

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/plan"
)

var monday = time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)

func day(n int) time.Time { return monday.AddDate(0, 0, n) }

func days(n, every int) []time.Time {
	out := make([]time.Time, n)
	for i := range out {
		out[i] = day(i * every)
	}
	return out
}

// through adds the evidence that opens both gates, the last of it on the day.
func through(cells curriculum.Cells, skill string, last int) {
	for i, at := range []int{last - 2, last - 1, last} {
		mastery.Expect(cells, skill, true, day(at), fmt.Sprint(skill, i))
	}
}

func count(items []curriculum.PracticeItem, why string) (n int) {
	for _, i := range items {
		if i.Why == why {
			n++
		}
	}
	return n
}

func TestWantedBringsWhatItNeeds(t *testing.T) {
	t.Parallel()
	assert.Equal(t, []string{"designation", "lead", "starts-from-lead", "axial-offset"}, plan.Wanted([]string{"axial-offset", "nothing"}))
	assert.Empty(t, plan.Wanted(nil))
}

// A beginner's first sitting: a block of the first skill, then mixed.
func TestFirstSitting(t *testing.T) {
	t.Parallel()
	items := plan.Next(curriculum.Cells{}, plan.Aim{Skills: []string{"gearbox-setting"}, Size: 8}, monday)
	require.GreaterOrEqual(t, len(items), 5)
	for i := range 3 {
		assert.Equal(t, curriculum.PracticeItem{Skill: "designation", Title: items[0].Title, Why: curriculum.WhyNew, First: true}, items[i])
	}
	assert.NotEqual(t, "designation", items[3].Skill)
	for _, i := range items {
		assert.Contains(t, []string{"designation", "fractions"}, i.Skill, "nothing before what it needs")
	}
}

func TestSharesOfASitting(t *testing.T) {
	t.Parallel()
	cells := curriculum.Cells{}
	for _, s := range []string{"designation", "fractions", "inch-mm", "tpi-pitch", "lead", "starts-from-lead"} {
		through(cells, s, -30) // long due
	}
	items := plan.Next(cells, plan.Aim{Skills: []string{"depth-60", "gearbox-setting", "axial-offset"}, Size: 10}, monday)
	assert.Len(t, items, 10)
	assert.Equal(t, 5, count(items, curriculum.WhyNew), "%v", items)
	assert.GreaterOrEqual(t, count(items, curriculum.WhyDue), 3)
	assert.NotZero(t, count(items, curriculum.WhyWeak))
}

func TestDueComesBackAndOnTime(t *testing.T) {
	t.Parallel()
	aim := plan.Aim{Skills: []string{"designation", "fractions"}, Size: 4}
	cells := curriculum.Cells{}
	through(cells, "designation", 0)
	through(cells, "fractions", -40)
	items := plan.Next(cells, aim, day(1))
	require.NotEmpty(t, items)
	assert.Equal(t, "fractions", items[0].Skill, "least recalled first")
}

func TestWhatNoExerciseAsksIsLeftOut(t *testing.T) {
	t.Parallel()
	aim := plan.Aim{Skills: []string{"thread-dial"}, Size: 6, Can: func(s string) bool { return s != "thread-dial" }}
	p := plan.Dated(curriculum.Cells{}, aim, days(30, 2))
	assert.Equal(t, []string{"thread-dial"}, p.NotAsked)
	require.NotNil(t, p.Ready, "the rest can be learned")
	for _, s := range p.Sessions {
		for _, i := range s.Items {
			assert.NotEqual(t, "thread-dial", i.Skill)
		}
	}
}

// However a learner stands, no skill follows itself but at its first meeting,
// nothing comes before what it needs, and a sitting is never longer than asked.
func TestSittingsAreInterleaved(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(7, 7))
	all := curriculum.Skills()
	for run := range 300 {
		cells := curriculum.Cells{}
		for n := range random.IntN(120) {
			s := all[min(random.IntN(len(all)), random.IntN(len(all)))].Slug
			mastery.Expect(cells, s, random.Float64() < 0.8, day(-60+n/2), fmt.Sprint(random.IntN(40)))
		}
		var goals []string
		for range 1 + random.IntN(4) {
			goals = append(goals, all[random.IntN(len(all))].Slug)
		}
		aim := plan.Aim{Skills: goals, Size: 1 + random.IntN(12), Gate: day(1 + random.IntN(60))}
		items := plan.Next(cells, aim, monday)
		assert.LessOrEqual(t, len(items), aim.Size)
		wanted := plan.Wanted(goals)
		for i, item := range items {
			assert.Contains(t, wanted, item.Skill)
			assert.Equal(t, cells[item.Skill] == nil, item.First)
			if i > 0 && item.Skill == items[i-1].Skill {
				assert.True(t, item.First && i < 3, "run %d: %v", run, items)
			}
			if item.First {
				skill, err := curriculum.SkillOf(item.Skill)
				require.NoError(t, err)
				for _, need := range skill.Needs {
					assert.NotNil(t, cells[need], "run %d: %s before %s", run, item.Skill, need)
				}
			}
		}
	}
}

func TestDatedPlan(t *testing.T) {
	t.Parallel()
	aim := plan.Aim{Skills: []string{"axial-offset", "depth-60"}, Size: 8, Gate: day(42)}
	p := plan.Dated(curriculum.Cells{}, aim, days(30, 2))
	require.NotNil(t, p.Ready)
	assert.True(t, p.Ready.Before(aim.Gate))
	assert.Zero(t, p.Late)
	assert.Len(t, p.Sessions, 21, "sittings before the gate only")

	// A gate that cannot be met: said by how much, against the same plan without one.
	soon := aim
	soon.Gate = day(3)
	late := plan.Dated(curriculum.Cells{}, soon, days(2, 2))
	require.NotNil(t, late.Ready)
	assert.Equal(t, int(late.Ready.Sub(soon.Gate).Hours()/24), late.Late)
	assert.Positive(t, late.Late)
	assert.Len(t, late.Sessions, 2)

	cells := curriculum.Cells{}
	for _, s := range p.Wanted {
		through(cells, s, -1)
	}
	done := plan.Dated(cells, aim, days(10, 2))
	assert.Equal(t, monday, *done.Ready)
	assert.NotEmpty(t, done.Sessions[0].Items, "what is held is kept warm")
}

// Held skills come back no later than a fifth of the calendar after they were
// last met.
func TestHeldSkillsComeBackBeforeTheGate(t *testing.T) {
	t.Parallel()
	aim := plan.Aim{Skills: []string{"starts-from-lead"}, Size: 6, Gate: day(40)}
	p := plan.Dated(curriculum.Cells{}, aim, days(40, 1))
	last := map[string]time.Time{}
	for _, s := range p.Sessions {
		for _, i := range s.Items {
			if before, ok := last[i.Skill]; ok {
				assert.LessOrEqual(t, s.Date.Sub(before), 9*24*time.Hour, "%s", i.Skill)
			}
			last[i.Skill] = s.Date
		}
	}
	assert.Len(t, last, 3)
}

func TestForecast(t *testing.T) {
	t.Parallel()
	aim := plan.Aim{Skills: []string{"lead"}, Size: 6, Gate: day(40)}
	random := rand.New(rand.NewPCG(3, 4))
	assert.Zero(t, plan.Forecast(curriculum.Cells{}, aim, nil, 50, random))
	cells := curriculum.Cells{}
	through(cells, "designation", -1)
	through(cells, "lead", -1)
	assert.InDelta(t, 1, plan.Forecast(cells, aim, nil, 50, random), 1e-9)
	few := plan.Forecast(curriculum.Cells{}, aim, days(4, 2), 200, random)
	many := plan.Forecast(curriculum.Cells{}, aim, days(20, 2), 200, random)
	assert.Less(t, few, many)
	assert.Greater(t, many, 0.6, "the last try at each may be a slip")
}

// BenchmarkPlan makes the dated plans of 30 learners for every skill, from
// where they stand in the middle of a course, twenty sittings ahead.
func BenchmarkPlan(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 1))
	all := curriculum.Skills()
	var goals []string
	for _, s := range all {
		goals = append(goals, s.Slug)
	}
	class := make([]curriculum.Cells, 30)
	for i := range class {
		class[i] = curriculum.Cells{}
		for n := range 150 {
			mastery.Expect(class[i], all[random.IntN(len(all))].Slug, random.Float64() < 0.8, day(-75+n/2), fmt.Sprint(n))
		}
	}
	aim := plan.Aim{Skills: goals, Size: 8, Gate: day(40)}
	at := days(20, 2)
	for b.Loop() {
		for _, cells := range class {
			if p := plan.Dated(cells, aim, at); len(p.Sessions) != 20 {
				b.Fatal("plan cut short")
			}
		}
	}
}

func BenchmarkForecast(b *testing.B) {
	aim := plan.Aim{Skills: []string{"axial-offset", "depth-60", "thread-dial", "run-out", "collar-reading"}, Size: 8, Gate: day(40)}
	random := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		plan.Forecast(curriculum.Cells{}, aim, days(20, 2), 100, random)
	}
}
