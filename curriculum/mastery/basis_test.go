package mastery_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

// asked is an exercise of the skill "lead" as a lathe issues it: its model and key.
func asked(model, key string) curriculum.Basis {
	return curriculum.Basis{
		Skill: "lead", Model: model, Keys: map[string]string{"lead": key}, Closed: true,
		Range: &curriculum.Range{Models: []string{"forward", "back"}, Keys: 3, Worked: 3},
	}
}

// four is right first tries on two days, of two models and with four keys.
func four() []curriculum.Attempt {
	var as []curriculum.Attempt
	for i := range 4 {
		a := try(i+1, 12*i, verdict("lead", curriculum.Right))
		a.Basis = asked([]string{"forward", "back"}[i%2], fmt.Sprint("key ", i))
		as = append(as, a)
	}
	return as
}

// What is evidence and what is not: each row takes something from a record that
// opens the gate, and the gate must say what is missing.
func TestWhatCountsAsEvidence(t *testing.T) {
	t.Parallel()
	c := cell(t, four(), "lead")
	assert.True(t, mastery.Machine.Open(c), "%v", mastery.Machine.Missing(c))
	assert.Empty(t, mastery.Machine.Missing(c))
	for name, x := range map[string]struct {
		spoil   func(as []curriculum.Attempt)
		missing string
	}{
		"the same task behind other numbers": {func(as []curriculum.Attempt) {
			for i := range as {
				as[i].Basis.Keys = map[string]string{"lead": fmt.Sprint("key ", i%2)}
			}
		}, "right on 2 of 3 different tasks"},
		"one way of asking only": {func(as []curriculum.Attempt) {
			for i := range as {
				as[i].Basis.Model = "forward"
			}
		}, "right in 1 of 2 ways of asking"},
		"chosen every time": {func(as []curriculum.Attempt) {
			for i := range as {
				as[i].Verdicts[0].Options = 4
			}
		}, "worked out, not only chosen, in 0 of 2"},
		"the button that is nearly always right": {func(as []curriculum.Attempt) {
			for i := range as {
				as[i].Verdicts[0].Options, as[i].Basis.Usual = 3, []string{"a"}
			}
			as[3].Basis.Usual = nil
		}, "1 of 3 right at the first try"},
		"the first part alone": {func(as []curriculum.Attempt) {
			for i := range as {
				as[i].Verdicts = append(as[i].Verdicts, curriculum.Verdict{Part: "b", Skill: "lead", Outcome: curriculum.Blank})
			}
		}, "the last first try was not right"},
	} {
		as := four()
		x.spoil(as)
		c := cell(t, as, "lead")
		assert.False(t, mastery.Machine.Open(c), name)
		assert.Contains(t, mastery.Machine.Missing(c), x.missing, name)
	}
}

// A part that was left open, asked back or unreadable decides nothing yet; the try
// that fills it in does.
func TestAnOpenPartDecidesNothing(t *testing.T) {
	t.Parallel()
	for _, o := range []curriculum.Outcome{curriculum.Blank, curriculum.AskBack, curriculum.Unreadable} {
		open := try(1, 0, verdict("lead", curriculum.Right), curriculum.Verdict{Part: "b", Skill: "lead", Outcome: o})
		assert.Empty(t, mastery.Of([]curriculum.Attempt{open}), o)
		c := cell(t, []curriculum.Attempt{open, try(1, 1, verdict("lead", curriculum.Right), verdict("lead", curriculum.Right))}, "lead")
		assert.Equal(t, []int{1, 1}, []int{c.Chances, c.Rights}, o)
		c = cell(t, []curriculum.Attempt{open, try(1, 1, verdict("lead", curriculum.Right), verdict("lead", curriculum.Unknown))}, "lead")
		assert.Equal(t, []int{1, 0}, []int{c.Chances, c.Rights}, o)
		wrong := try(1, 0, verdict("lead", curriculum.Unknown), curriculum.Verdict{Part: "b", Skill: "lead", Outcome: o})
		assert.Equal(t, 1, cell(t, []curriculum.Attempt{wrong}, "lead").Chances, o)
	}
	closed := try(1, 0, verdict("lead", curriculum.Right), curriculum.Verdict{Part: "b", Skill: "lead", Outcome: curriculum.Blank})
	closed.Basis.Closed = true
	c := cell(t, []curriculum.Attempt{closed, try(1, 1, verdict("lead", curriculum.Right), verdict("lead", curriculum.Right))}, "lead")
	assert.Equal(t, []int{1, 0}, []int{c.Chances, c.Rights}, "sent so on purpose, the empty part is wrong")
}

// The wrong button is wrong even where the right one shows nothing.
func TestTheUsualChoiceShowsNothing(t *testing.T) {
	t.Parallel()
	usual := func(o curriculum.Outcome, typed ...curriculum.Verdict) curriculum.Attempt {
		a := try(1, 0, append([]curriculum.Verdict{{Part: "b", Skill: "lead", Outcome: o, Options: 3}}, typed...)...)
		a.Basis.Usual = []string{"b"}
		return a
	}
	assert.Empty(t, mastery.Of([]curriculum.Attempt{usual(curriculum.Right)}))
	assert.Zero(t, cell(t, []curriculum.Attempt{usual(curriculum.Unknown)}, "lead").Rights)
	c := cell(t, []curriculum.Attempt{usual(curriculum.Right, verdict("lead", curriculum.Right))}, "lead")
	assert.Equal(t, 1, c.Rights)
	assert.InDelta(t, mastery.ParamsOf("lead", 0).Next(0.2, true), c.Known, 1e-12, "as the typed part alone")
}

// A gate wants no more than the lathe can ask, but one answer worked out it always
// wants.
func TestAGateWantsNoMoreThanTheLatheAsks(t *testing.T) {
	t.Parallel()
	as := four()
	for i := range as {
		as[i].Basis = asked("forward", "the one task")
		as[i].Basis.Range = &curriculum.Range{Models: []string{"forward"}, Keys: 1, Worked: 1}
	}
	assert.True(t, mastery.Machine.Open(cell(t, as, "lead")))
	for i := range as {
		as[i].Verdicts[0].Options = 4
		as[i].Basis.Range = &curriculum.Range{Models: []string{"forward"}, Keys: 1}
	}
	assert.False(t, mastery.Machine.Open(cell(t, as, "lead")))
}

// A supervised sitting opens the gate in one go, if all of it is right; what is
// wrong afterwards shuts it.
func TestASupervisedSittingOpensTheGate(t *testing.T) {
	t.Parallel()
	sat := func() []curriculum.Attempt {
		as := four()[:3]
		for i := range as {
			as[i].At = monday.Add(time.Duration(i) * time.Second)
			as[i].Basis.Sitting = "cold"
		}
		return as
	}
	as := sat()
	c := cell(t, as, "lead")
	assert.True(t, mastery.Machine.Open(c), "%v", mastery.Machine.Missing(c))
	assert.True(t, mastery.Machine.Shown(c))
	for i := range as {
		as[i].Basis.Sitting = ""
	}
	assert.False(t, mastery.Machine.Open(cell(t, as, "lead")), "one evening of practice")
	as = sat()
	as[0].Verdicts[0].Outcome = curriculum.Unknown
	assert.False(t, mastery.Machine.Open(cell(t, as, "lead")), "one of three wrong")
	as = append(sat(), try(9, 30, verdict("lead", curriculum.Unknown)))
	assert.False(t, mastery.Machine.Open(cell(t, as, "lead")), "wrong afterwards")
}
