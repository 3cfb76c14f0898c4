package mastery_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

var monday = time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)

// try is an attempt at the exercise with the given number, so many hours after
// Monday evening.
func try(exercise, hours int, vs ...curriculum.Verdict) curriculum.Attempt {
	return curriculum.Attempt{
		ID: fmt.Sprintf("a%d-%d", exercise, hours), Variant: "SHEET", Position: exercise, Learner: "someone",
		Numbers: fmt.Sprintf("numbers %d", exercise), Verdicts: vs, At: monday.Add(time.Duration(hours) * time.Hour),
	}
}

func verdict(skill string, o curriculum.Outcome) curriculum.Verdict {
	return curriculum.Verdict{Part: "a", Skill: skill, Outcome: o}
}

func mistake(skill, rule, charges string) curriculum.Verdict {
	return curriculum.Verdict{Part: "a", Skill: skill, Outcome: curriculum.WrongRuleUsed, WrongRule: rule, Charges: charges}
}

func cell(t *testing.T, as []curriculum.Attempt, skill string) curriculum.Cell {
	t.Helper()
	c := mastery.Of(as)[skill]
	require.NotNil(t, c, skill)
	return *c
}

func TestOnlyFirstTriesCount(t *testing.T) {
	t.Parallel()
	c := cell(t, []curriculum.Attempt{
		try(1, 0, verdict("lead", curriculum.Unknown)),
		try(1, 1, verdict("lead", curriculum.Right)),
	}, "lead")
	assert.Equal(t, 1, c.Chances)
	assert.Zero(t, c.Rights)
	assert.False(t, c.LastRight)
	p := mastery.ParamsOf("lead", 0)
	assert.InDelta(t, p.Next(0.2, false), c.Known, 1e-12)
}

func TestWhatWasNotJudgedIsNoTry(t *testing.T) {
	t.Parallel()
	for _, o := range []curriculum.Outcome{curriculum.Blank, curriculum.AskBack, curriculum.Unreadable} {
		c := cell(t, []curriculum.Attempt{
			try(1, 0, verdict("lead", o)),
			try(1, 1, verdict("lead", curriculum.Right)),
		}, "lead")
		assert.Equal(t, 1, c.Rights, o)
	}
	assert.Empty(t, mastery.Of([]curriculum.Attempt{try(1, 0, verdict("lead", curriculum.Blank))}))
}

func TestAHintCountsAsWrong(t *testing.T) {
	t.Parallel()
	a := try(1, 0, verdict("lead", curriculum.Right))
	a.Hinted = true
	c := cell(t, []curriculum.Attempt{a}, "lead")
	assert.Equal(t, 1, c.Chances)
	assert.Zero(t, c.Rights)
	assert.False(t, c.LastRight)
}

// An early slip costs the skill it belongs to; the steps that follow it rightly
// are evidence for theirs.
func TestFollowThroughCreditsItsOwnSkill(t *testing.T) {
	t.Parallel()
	cells := mastery.Of([]curriculum.Attempt{try(1, 0,
		verdict("tpi-pitch", curriculum.Unknown), verdict("lead", curriculum.FollowThrough), verdict("depth-60", curriculum.Blank))})
	assert.Zero(t, cells["tpi-pitch"].Rights)
	assert.Equal(t, 1, cells["lead"].Rights)
	assert.Nil(t, cells["depth-60"], "a step that was not typed is no evidence")
}

func TestTwoPartsOfOneSkillAreOneChance(t *testing.T) {
	t.Parallel()
	c := cell(t, []curriculum.Attempt{try(1, 0, verdict("lead", curriculum.Right), verdict("lead", curriculum.Unknown))}, "lead")
	assert.Equal(t, 1, c.Chances)
	assert.Zero(t, c.Rights)
}

// Common practice of this project, no source: closing the half-nut by the
// pitch's rhythm is a mistake about lead, not about the dial.
func TestAMistakeIsChargedWhereItBelongs(t *testing.T) {
	t.Parallel()
	cells := mastery.Of([]curriculum.Attempt{try(1, 0, mistake("thread-dial", "by-pitch", "lead"))})
	assert.Nil(t, cells["thread-dial"])
	require.NotNil(t, cells["lead"])
	assert.Equal(t, 1, cells["lead"].Chances)
	assert.False(t, cells["lead"].LastRight)
	assert.Equal(t, "thread-dial/by-pitch", cells["lead"].Recent[0].Rule)
	assert.NotEmpty(t, mastery.Feedback("lead", "thread-dial/by-pitch"))
}

func TestMisconceptionNeedsTwoOfFiveOnDifferentNumbers(t *testing.T) {
	t.Parallel()
	slip := mistake("lead", "pitch-for-lead", "")
	right := verdict("lead", curriculum.Right)
	assert.Empty(t, mastery.Held(cell(t, []curriculum.Attempt{try(1, 0, slip)}, "lead")))

	twice := []curriculum.Attempt{try(1, 0, slip), try(2, 1, right), try(3, 2, slip)}
	held := mastery.Held(cell(t, twice, "lead"))
	require.Len(t, held, 1)
	assert.Equal(t, "pitch-for-lead", held[0].Rule)
	assert.Equal(t, 2, held[0].Times)
	assert.NotEmpty(t, held[0].Feedback)

	same := try(4, 1, slip)
	same.Numbers = "numbers 1"
	assert.Empty(t, mastery.Held(cell(t, []curriculum.Attempt{try(1, 0, slip), same}, "lead")), "the same numbers twice")

	for i := range 4 {
		twice = append(twice, try(10+i, 3+i, right))
	}
	assert.Empty(t, mastery.Held(cell(t, twice, "lead")), "five chances later it is gone")
}

// good is n right first tries on different numbers, the last on another day.
func good(n int) []curriculum.Attempt {
	var as []curriculum.Attempt
	for i := range n {
		hours := i
		if i == n-1 {
			hours = 24
		}
		as = append(as, try(i+1, hours, verdict("lead", curriculum.Right)))
	}
	return as
}

func TestGates(t *testing.T) {
	t.Parallel()
	c := cell(t, good(3), "lead")
	assert.True(t, mastery.MoveOn.Open(c), "%v", mastery.MoveOn.Missing(c))
	assert.Empty(t, mastery.MoveOn.Missing(c))
	assert.Greater(t, c.Known, 0.98)

	for name, spoil := range map[string]func(as []curriculum.Attempt) []curriculum.Attempt{
		"two only":         func(as []curriculum.Attempt) []curriculum.Attempt { return as[1:] },
		"one evening only": func(as []curriculum.Attempt) []curriculum.Attempt { as[2].At = monday.Add(11 * time.Hour); return as },
		"two numbers only": func(as []curriculum.Attempt) []curriculum.Attempt { as[2].Numbers = as[0].Numbers; return as },
		"last one wrong": func(as []curriculum.Attempt) []curriculum.Attempt {
			return append(as, try(9, 30, verdict("lead", curriculum.Unknown)))
		},
		"after a hint": func(as []curriculum.Attempt) []curriculum.Attempt { as[0].Hinted = true; return as },
	} {
		c := cell(t, spoil(good(3)), "lead")
		assert.False(t, mastery.MoveOn.Open(c), name)
		assert.NotEmpty(t, mastery.MoveOn.Missing(c), name)
	}

	// A misconception held keeps the gate shut whatever the number says.
	slip := mistake("lead", "pitch-for-lead", "")
	as := append([]curriculum.Attempt{try(21, -50, slip), try(22, -49, slip)}, good(3)...)
	c = cell(t, as, "lead")
	assert.False(t, mastery.MoveOn.Open(c))
	assert.Contains(t, mastery.MoveOn.Missing(c)[0], "pitch-for-lead")
	assert.False(t, mastery.MoveOn.Open(curriculum.Cell{Known: 1, Rights: 9, RightOn: []string{"a", "b", "c"}, Days: 9, LastRight: true,
		Recent: []curriculum.Chance{{Numbers: "a", Rule: "r"}, {Numbers: "b", Rule: "r"}}}), "a mistake held shuts the gate by itself")
	assert.True(t, mastery.MoveOn.Open(curriculum.Cell{Known: 1, Rights: 9, RightOn: []string{"a", "b", "c"}, Days: 9, LastRight: true,
		Recent: []curriculum.Chance{{Numbers: "a", Rule: "r"}, {Numbers: "a", Rule: "r"}}}))
	assert.Equal(t, []string{"not met yet"}, mastery.Machine.Missing(curriculum.Cell{}))
}

func TestAMistakePutRightCountsHard(t *testing.T) {
	t.Parallel()
	wrong, right := verdict("lead", curriculum.Unknown), verdict("lead", curriculum.Right)
	again := cell(t, []curriculum.Attempt{try(1, 0, right), try(2, 72, wrong)}, "lead")
	hard := cell(t, []curriculum.Attempt{try(1, 0, right), try(2, 72, wrong), try(2, 72, right)}, "lead")
	var m curriculum.Memory
	m = mastery.Review(m, 0, mastery.Good)
	assert.InDelta(t, mastery.Review(m, 3, mastery.Again).Stability, again.Memory.Stability, 1e-12)
	assert.InDelta(t, mastery.Review(m, 3, mastery.Hard).Stability, hard.Memory.Stability, 1e-12)
	assert.Equal(t, again.Known, hard.Known, "for mastery the first try alone counts")

	hinted := try(2, 72, right)
	hinted.Hinted = true
	assert.Equal(t, again.Memory, cell(t, []curriculum.Attempt{try(1, 0, right), try(2, 72, wrong), hinted}, "lead").Memory)
	late := []curriculum.Attempt{try(1, 0, right), try(2, 72, wrong), try(3, 73, wrong), try(2, 74, right)}
	assert.Equal(t, cell(t, late[:3], "lead").Memory, cell(t, late, "lead").Memory, "another chance came in between")
}

func TestDue(t *testing.T) {
	t.Parallel()
	reviewed := func(stability float64) curriculum.Cell {
		return curriculum.Cell{Memory: curriculum.Memory{Stability: stability, Difficulty: 5, At: monday}}
	}
	days := func(n float64) time.Time { return monday.Add(time.Duration(n * 24 * float64(time.Hour))) }
	for name, c := range map[string]struct {
		stability float64
		gate      time.Time
		want      time.Time
	}{
		"by the curve":            {5, time.Time{}, days(5)},
		"no later than 14 days":   {400, time.Time{}, days(14)},
		"no earlier than 1 day":   {0.01, time.Time{}, days(1)},
		"a fifth of the calendar": {400, days(40), days(8)},
		"gate tomorrow":           {400, days(1), days(1)},
		"gate gone by":            {5, days(-1), days(5)},
	} {
		assert.Equal(t, c.want, mastery.Due(reviewed(c.stability), c.gate), name)
	}
	assert.True(t, mastery.Due(curriculum.Cell{}, days(9)).IsZero())
}

func TestCold(t *testing.T) {
	t.Parallel()
	c := cell(t, good(3), "lead")
	assert.False(t, mastery.Cold(c, c.Last.Add(13*24*time.Hour)))
	assert.True(t, mastery.Cold(c, c.Last.Add(60*24*time.Hour)))
	assert.InDelta(t, 1, mastery.Recall(c, c.Last), 1e-9)
	assert.Zero(t, mastery.Recall(curriculum.Cell{}, monday))
}

// BenchmarkOf recomputes learners of 500 attempts each over 24 skills: the cells
// of a class of 3,000 come from 1.5 million of them.
func BenchmarkOf(b *testing.B) {
	const learners, each = 50, 500
	skills := curriculum.Skills()
	histories := make([][]curriculum.Attempt, learners)
	for l := range histories {
		for i := range each {
			s := skills[(i*7+l)%len(skills)].Slug
			v := verdict(s, curriculum.Right)
			switch (i*13 + l*5) % 11 {
			case 0, 1:
				v.Outcome = curriculum.Unknown
			case 2:
				v = mistake(s, "a-rule", "")
			}
			// Every fourth exercise has a second try.
			histories[l] = append(histories[l], try(i-i%4/3, i, v))
		}
	}
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n += len(mastery.Of(histories[n%learners])) * 0
		n++
	}
	b.ReportMetric(float64(n)*each/b.Elapsed().Seconds(), "attempts/s")
}
