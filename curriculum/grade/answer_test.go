package grade

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

func TestMark(t *testing.T) {
	t.Parallel()
	type want struct {
		outcome curriculum.Outcome
		marks   int
		rule    string // id of a wrong rule
	}
	const (
		right, rounding, follow = curriculum.Right, curriculum.Rounding, curriculum.FollowThrough
		unit, diameter, sign    = curriculum.UnitSlip, curriculum.RadiusDiameter, curriculum.SignOrHand
		rule, unknown           = curriculum.WrongRuleUsed, curriculum.Unknown
	)
	type answers = map[string]string
	type wants = map[string]want
	offsets, cuts, chosen := leadAndOffset(t), depths(t), choosing(t)
	for _, c := range []struct {
		name    string
		ex      curriculum.Exercise
		mode    Mode
		answers answers
		want    wants
	}{
		{"right", offsets, Practice, answers{"lead": "0.2727", "offset": "2/11 in", "angle": "240°"}, wants{"lead": {right, 2, ""}, "offset": {right, 1, ""}, "angle": {right, 1, ""}}},
		{"right in the other unit", offsets, Practice, answers{"lead": "6.927 mm", "offset": "4.618 mm", "angle": "2/3 turn"}, wants{"lead": {right, 2, ""}, "offset": {right, 1, ""}, "angle": {right, 1, ""}}},
		{"rounded pitch carried on: the band allows it", offsets, Practice, answers{"lead": "0.2726"}, wants{"lead": {right, 2, ""}}},
		{"rounding, practice", offsets, Practice, answers{"lead": "0.273", "offset": "0.1819"}, wants{"lead": {rounding, 2, ""}, "offset": {rounding, 1, ""}}},
		{"rounding, test", offsets, Test, answers{"lead": "0.273", "offset": "0.1819"}, wants{"lead": {rounding, 1, ""}, "offset": {rounding, 0, ""}}},
		{"cut off two digits early", offsets, Practice, answers{"lead": "0.27", "offset": "0.18"}, wants{"lead": {rounding, 2, ""}, "offset": {rounding, 1, ""}}},
		{"one digit is no rounding", offsets, Practice, answers{"lead": "0.3"}, wants{"lead": {unknown, 0, ""}}},
		{"follow-through", offsets, Practice, answers{"lead": "0.0909", "offset": "0.0606"}, wants{"lead": {rule, 0, "pitch-for-lead"}, "offset": {follow, 1, ""}}},
		{"follow-through from an unknown value", offsets, Practice, answers{"lead": "0.3", "offset": "0.2"}, wants{"lead": {unknown, 0, ""}, "offset": {follow, 1, ""}}},
		{"right after a slip is right", offsets, Practice, answers{"lead": "0.0909", "offset": "0.1818"}, wants{"lead": {rule, 0, "pitch-for-lead"}, "offset": {right, 1, ""}}},
		{"wrong rule from the own earlier value", offsets, Practice, answers{"lead": "0.3", "offset": "0.3"}, wants{"offset": {rule, 0, "whole-lead"}}},
		{"wrong rule from the givens", offsets, Practice, answers{"offset": "0.2727"}, wants{"offset": {rule, 0, "whole-lead"}}},
		{"unit slip", offsets, Practice, answers{"lead": "6.93"}, wants{"lead": {unit, 1, ""}}},
		{"unit slip in thousandths", offsets, Practice, answers{"lead": "272.7"}, wants{"lead": {unit, 1, ""}}},
		{"unit slip twice costs once", offsets, Practice, answers{"lead": "6.927", "offset": "0.1818", "angle": "1"}, wants{"lead": {unit, 1, ""}, "offset": {right, 1, ""}}},
		{"unit slip carried on", offsets, Practice, answers{"lead": "6.927", "offset": "4.618"}, wants{"lead": {unit, 1, ""}, "offset": {follow, 1, ""}}},
		{"two unit slips of their own", cuts, Practice, answers{"h": "0.0483", "dial": "0.0967", "compound": "1409"}, wants{"h": {unit, 0, ""}, "dial": {follow, 1, ""}, "compound": {unit, 3, ""}}},
		{"sign", offsets, Practice, answers{"lead": "-0.2727"}, wants{"lead": {sign, 0, ""}}},
		{"the other way round", offsets, Practice, answers{"angle": "120"}, wants{"angle": {sign, 0, ""}}},
		{"charged to another skill", offsets, Practice, answers{"lead": "3.0909"}, wants{"lead": {rule, 0, "added"}}},
		{"method mark for a step", offsets, Practice, answers{"lead": "0.5", "lead.P": "0.0909"}, wants{"lead": {unknown, 1, ""}}},
		{"no mark for a wrong step", offsets, Practice, answers{"lead": "0.5", "lead.P": "0.11"}, wants{"lead": {unknown, 0, ""}}},
		{"right from the own step", offsets, Practice, answers{"lead": "0.33", "lead.P": "0.11"}, wants{"lead": {follow, 2, ""}}},
		{"steps without an answer", offsets, Practice, answers{"lead.P": "1/11 in"}, wants{"lead": {curriculum.Blank, 1, ""}}},
		{"threads per inch for a length", offsets, Practice, answers{"lead": "11/3 tpi"}, wants{"lead": {curriculum.AskBack, 0, ""}}},
		{"the given handed back is judged", offsets, Practice, answers{"lead": "11 tpi"}, wants{"lead": {rule, 0, "pitch-for-lead"}}},
		{"asked back", offsets, Practice, answers{"lead": "1,250", "offset": "0.1818"}, wants{"lead": {curriculum.AskBack, 0, ""}, "offset": {right, 1, ""}}},
		{"unreadable", offsets, Practice, answers{"lead": "no idea", "offset": "1e300"}, wants{"lead": {curriculum.Unreadable, 0, ""}, "offset": {curriculum.Unreadable, 0, ""}}},
		{"blank", offsets, Practice, nil, wants{"lead": {curriculum.Blank, 0, ""}, "offset": {curriculum.Blank, 0, ""}}},

		{"two starts: the lead for the pitch is twice the depth", cuts, Practice, answers{"h": "2.454"}, wants{"h": {unknown, 0, ""}}},
		{"a rule that is the slip by name", cuts, Practice, answers{"h": "1.227", "dial": "1.23"}, wants{"h": {right, 1, ""}, "dial": {diameter, 0, "swapped"}}},
		{"half the depth", cuts, Practice, answers{"h": "0.613"}, wants{"h": {diameter, 0, ""}}},
		{"sharp V", cuts, Practice, answers{"h": "1.732", "dial": "3.46", "compound": "1.990"}, wants{"h": {rule, 0, "sharp-v"}, "dial": {follow, 1, ""}, "compound": {follow, 3, ""}}},
		{"method marks by steps", cuts, Practice, answers{"compound": "9", "compound.k": "0.8704", "compound.x": "1.41"}, wants{"compound": {unknown, 2, ""}}},
		{"own step carried to the next", cuts, Practice, answers{"compound": "2.454", "compound.k": "0.5"}, wants{"compound": {follow, 3, ""}}},
		{"safety has no follow-through", cuts, Practice, answers{"speed": "86"}, wants{"speed": {right, 1, ""}}},

		{"lists", chosen, Practice, answers{"lines": "3 and 1", "rule": "b", "order": "b, c, a"}, wants{"lines": {right, 1, ""}, "rule": {right, 1, ""}, "order": {right, 1, ""}}},
		{"lists by wrong rules", chosen, Practice, answers{"lines": "1 2 3 4", "rule": "a", "order": "b a c"}, wants{"lines": {rule, 0, "odd-even"}, "rule": {rule, 0, "anywhere"}, "order": {rule, 0, "reversed-in"}}},
		{"lists unknown", chosen, Practice, answers{"lines": "7", "rule": "c", "order": "a b c"}, wants{"lines": {unknown, 0, ""}, "rule": {unknown, 0, ""}, "order": {unknown, 0, ""}}},
		{"two rules, one list", chosen, Practice, answers{"lines": "2 and 4"}, wants{"lines": {unknown, 0, ""}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			verdicts := Mark(c.ex, c.answers, c.mode)
			require.Len(t, verdicts, len(c.ex.Parts))
			for i, v := range verdicts {
				p := c.ex.Parts[i]
				assert.Equal(t, p.ID, v.Part)
				assert.Equal(t, p.Marks, v.OutOf)
				plainReason(t, p, v)
				w, ok := c.want[p.ID]
				if !ok {
					continue
				}
				assert.Equal(t, w, want{v.Outcome, v.Marks, v.WrongRule}, "%s: %q: %s", p.ID, v.Evidence.Given, v.Reason)
			}
			_, err := json.Marshal(verdicts)
			assert.NoError(t, err)
		})
	}
}

// plainReason holds every reason to: a sentence, never only "wrong", and not
// the answer itself where the learner has not given it.
func plainReason(t *testing.T, p curriculum.Part, v curriculum.Verdict) {
	t.Helper()
	assert.Regexp(t, `^\S.*[.?]$`, v.Reason)
	assert.NotRegexp(t, `(?i)^wrong\.?$`, v.Reason)
	answer, ok := answerOf(&p)
	if !ok || v.Outcome.Credit() || v.Outcome == curriculum.AskBack {
		return
	}
	shown := withUnit(answer, p.Decimals, "")
	if len(shown) > 3 && !strings.Contains(v.Evidence.Given, shown) {
		assert.NotContains(t, v.Reason, shown)
	}
}

func TestMarkSafetyNeverFollows(t *testing.T) {
	t.Parallel()
	ex := exercise(t, "run-out", map[string]string{"P": "2 mm", "n": "3", "w": "4 mm", "t": "0.7"}, []curriculum.Part{
		{ID: "L", Kind: curriculum.KindLength, Unit: "mm", Decimals: 1, Steps: []curriculum.Step{{Name: "lead", Rule: "n*P"}}, Wrong: []curriculum.WrongRule{{ID: "pitch", Rule: "P", Feedback: "That is the pitch."}}},
		{
			ID: "speed", Kind: curriculum.KindSpeed, Unit: "rev/min", Safety: true, Steps: []curriculum.Step{{Name: "N", Rule: "60*w/(L*t)"}},
			Wrong: []curriculum.WrongRule{{ID: "with-pitch", Rule: "60*w/(P*t)", Feedback: "The carriage moves one lead per turn."}},
		},
	}, nil)
	v := Mark(ex, map[string]string{"L": "2", "speed": "171"}, Practice)
	assert.Equal(t, curriculum.WrongRuleUsed, v[0].Outcome)
	assert.Equal(t, curriculum.WrongRuleUsed, v[1].Outcome)
	assert.Equal(t, "with-pitch", v[1].WrongRule)
	assert.Zero(t, v[1].Marks)
	ex.Parts[1].Safety = false
	assert.Equal(t, curriculum.FollowThrough, Mark(ex, map[string]string{"L": "2", "speed": "171"}, Practice)[1].Outcome)
}

func TestMarkEvidence(t *testing.T) {
	t.Parallel()
	v := Mark(leadAndOffset(t), map[string]string{"lead": "2.309 mm"}, Practice)[0]
	assert.Equal(t, curriculum.WrongRuleUsed, v.Outcome)
	assert.Equal(t, "2.309 mm", v.Evidence.Given)
	assert.Equal(t, "2.309 mm = 0.09091 in", v.Evidence.Read)
	assert.Equal(t, "0.272727273 in", v.Evidence.Expected)
	require.NotNil(t, v.Evidence.Accept)
	assert.Equal(t, "That is one groove; the nut advances past all n grooves in a turn. Read as 2.309 mm = 0.09091 in.", v.Reason)
	fits := []string{}
	for _, c := range v.Evidence.Compared {
		if c.Fits {
			fits = append(fits, c.With)
		}
	}
	assert.Equal(t, []string{"pitch-for-lead"}, fits)
	assert.Equal(t, "lead", v.Skill)
}

// The ends of the band belong to it, whatever binary fractions make of them.
func TestBandIsClosed(t *testing.T) {
	t.Parallel()
	ex := exercise(t, "tpi-pitch", map[string]string{"N": "32 tpi"}, []curriculum.Part{{ID: "P", Kind: curriculum.KindLength, Unit: "in", Decimals: 4, Steps: []curriculum.Step{{Name: "p", Rule: "1/N"}}}}, nil)
	for _, text := range []string{"0.0312", "0.0313", "1/32", "0.79502 mm", "31.25 thou"} {
		assert.Equal(t, curriculum.Right, Mark(ex, map[string]string{"P": text}, Test)[0].Outcome, text)
	}
	for _, text := range []string{"0.0311", "0.0314"} {
		assert.Equal(t, curriculum.Unknown, Mark(ex, map[string]string{"P": text}, Test)[0].Outcome, text)
	}
}

func TestMarkWithoutKeyGivesNoVerdictOfRight(t *testing.T) {
	t.Parallel()
	for _, ex := range []curriculum.Exercise{leadAndOffset(t), depths(t), choosing(t)} {
		for _, v := range Mark(ex.Public(), map[string]string{"lead": "1", "h": "1", "lines": "1", "rule": "a", "order": "a b c"}, Practice) {
			assert.False(t, v.Outcome.Credit(), v.Part)
		}
	}
}
