package plan_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/plan"
	"halfnut/threadmath"
)

func course(weeks int) curriculum.Course {
	return curriculum.Course{Spec: curriculum.CourseSpec{
		Title: "Lead nut", First: monday, EveryDays: 7, Minutes: 150, Date: day(7 * weeks), Lathe: "lathe", Units: "mm",
	}}
}

func TestLessonsWorkBackFromTheLathe(t *testing.T) {
	t.Parallel()
	o := plan.Outline{Course: course(8), Skills: []string{"axial-offset", "depth-60", "thread-dial", "run-out"}}
	p := plan.Lessons(o, monday.Add(-time.Hour))
	require.Len(t, p.Lessons, 8)
	assert.Empty(t, p.NotTaught)
	taught := map[string]bool{}
	for i, l := range p.Lessons {
		assert.LessOrEqual(t, len(l.Aims), 3)
		minutes := 0
		for _, ph := range l.Parts {
			minutes += ph.Minutes
		}
		assert.Equal(t, 150, minutes, "meeting %d", i+1)
		for _, a := range l.Aims {
			for _, need := range curriculum.Prerequisites(a.Skill) {
				assert.True(t, taught[need], "%s before %s", a.Skill, need)
			}
			taught[a.Skill] = true
			assert.NotEmpty(t, a.Points)
		}
		assert.Len(t, l.WarmUp, 5)
		for k := 1; k < len(l.WarmUp); k++ {
			assert.NotEqual(t, l.WarmUp[k-1], l.WarmUp[k])
		}
		require.NotNil(t, l.Worksheet)
		assert.GreaterOrEqual(t, l.Worksheet.Count, 6)
	}
	assert.Empty(t, p.Lessons[7].Aims, "nothing new in the last meeting before the lathe")
	for _, s := range p.Wanted {
		assert.True(t, taught[s], s)
	}
}

func TestACourseThatIsTooShortSaysBySoManyMeetings(t *testing.T) {
	t.Parallel()
	o := plan.Outline{Course: course(3), Skills: []string{"axial-offset", "depth-60", "thread-dial", "run-out"}}
	p := plan.Lessons(o, monday.Add(-time.Hour))
	assert.Len(t, p.NotTaught, len(p.Wanted)-6)
	assert.Equal(t, (len(p.NotTaught)+2)/3, p.MeetingsShort)
	assert.NotContains(t, p.NotTaught, "run-out", "safety comes as early as it can")
	longer := plan.Outline{Course: course(3 + p.MeetingsShort), Skills: o.Skills}
	assert.Zero(t, plan.Lessons(longer, monday.Add(-time.Hour)).MeetingsShort, "with as many meetings more it fits")
}

func TestLessonsFollowTheClass(t *testing.T) {
	t.Parallel()
	class := make([]curriculum.Cells, 5)
	for i := range class {
		class[i] = curriculum.Cells{}
		through(class[i], "designation", -1)
		for n := range 2 {
			a := curriculum.Attempt{Variant: "S", Position: n + 1, Numbers: fmt.Sprint(n), At: day(-1), Verdicts: []curriculum.Verdict{
				{Part: "a", Skill: "lead", Outcome: curriculum.WrongRuleUsed, WrongRule: "pitch-for-lead"}}}
			if i < 3 || n == 0 {
				mastery.Fold(class[i], nil, a)
			}
		}
	}
	o := plan.Outline{Course: course(6), Skills: []string{"axial-offset"}, Class: class, Can: func(s string) bool { return s != "axial-offset" }}
	now := day(7).Add(-time.Hour)
	p := plan.Lessons(o, now)
	assert.Equal(t, []string{"designation"}, p.Held)
	assert.Equal(t, []string{"axial-offset"}, p.NotAsked)
	assert.True(t, p.Lessons[0].Past)
	assert.Empty(t, p.Lessons[0].Aims)
	next := p.Lessons[1]
	require.Len(t, next.Mistakes, 1, "the same mistake is not shown twice")
	assert.Equal(t, 3, next.Mistakes[0].Learners)
	assert.False(t, next.Mistakes[0].Seen)
	assert.Equal(t, 3, next.Mistakes[0].Minutes)
	for _, l := range p.Lessons[2:] {
		assert.Empty(t, l.Mistakes)
		if l.Worksheet != nil {
			assert.NotContains(t, l.Worksheet.Skills, "axial-offset")
		}
	}
}

func TestJobSkills(t *testing.T) {
	t.Parallel()
	angle := 29.5
	lathe := threadmath.Lathe{
		Leadscrew: "6 mm", ThreadDials: []threadmath.ThreadDial{{Teeth: 20, Graduations: 4}}, Gearbox: []string{"6 mm"},
		CompoundSlide: &threadmath.Slide{Graduation: "0.02 mm", PerTurn: "2 mm", Travel: "80 mm"},
		Holders:       []threadmath.Holder{{Kind: threadmath.ChuckJaws, Stations: 3}},
	}
	r := threadmath.Request{Thread: threadmath.Thread{Designation: "M30xPh6P2"}, Lathe: &lathe, Cut: &threadmath.Cut{InfeedAngleDeg: &angle}}
	a, err := threadmath.Solve(r)
	require.NoError(t, err)
	skills := plan.JobSkills(r, a)
	for _, s := range []string{"designation", "lead", "depth-60", "infeed-angle", "gearbox-setting", "thread-dial", "axial-offset", "station-index", "run-out", "choose-method"} {
		assert.Contains(t, skills, s)
	}
	assert.NotContains(t, skills, "depth-trapezoidal")
	assert.NotContains(t, skills, "gear-train")
	assert.Equal(t, "lead = 3 × 2 mm = 6 mm", plan.JobPoint("lead", a))
	assert.Contains(t, plan.JobPoint("axial-offset", a), "2 mm behind")

	single := threadmath.Request{Thread: threadmath.Thread{Designation: "Tr 40x7"}, Lathe: &threadmath.Lathe{Leadscrew: "6 mm", ChangeGears: []threadmath.Count{20, 40}}}
	a, err = threadmath.Solve(single)
	require.NoError(t, err)
	skills = plan.JobSkills(single, a)
	assert.Contains(t, skills, "depth-trapezoidal")
	assert.Contains(t, skills, "gear-ratio")
	assert.NotContains(t, skills, "axial-offset")
}
