package grade

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// exercise builds a hand-made exercise: answers from the steps, accept bands of
// half the asked digit or wider where halves says so.
func exercise(t testing.TB, skill string, givens map[string]string, parts []curriculum.Part, halves map[string]float64) curriculum.Exercise {
	t.Helper()
	ex := curriculum.Exercise{ID: skill + "-1", Skill: skill, Units: "mm", Givens: curriculum.Givens{Values: givens}, Parts: parts}
	vars := ex.Givens.Numbers()
	for i := range ex.Parts {
		p := &ex.Parts[i]
		if p.Marks == 0 {
			p.Marks = 1
		}
		if isSelection(p) {
			continue
		}
		values, err := p.Run(vars)
		require.NoError(t, err)
		last := values[len(values)-1]
		p.Answer = valueOf(p, last)
		half := 0.5 * math.Pow10(-p.Decimals)
		if p.Kind == curriculum.KindCount {
			half = 0.001
		}
		half = max(half, halves[p.ID])
		p.Accept = &curriculum.Band{Low: last.Float64() - half, High: last.Float64() + half}
	}
	return ex
}

func valueOf(p *curriculum.Part, v formula.Value) *curriculum.Value {
	r, exact := v.Ratio()
	system := threadmath.Metric
	if p.Unit == "in" {
		system = threadmath.Inch
	}
	switch {
	case p.Kind == curriculum.KindLength && exact:
		return curriculum.LengthValue(threadmath.ExactDimension(threadmath.LengthIn(r, system), system))
	case p.Kind == curriculum.KindLength && system == threadmath.Inch:
		return curriculum.LengthValue(threadmath.ApproxDimension(v.Float64() * 25.4))
	case p.Kind == curriculum.KindLength:
		return curriculum.LengthValue(threadmath.ApproxDimension(v.Float64()))
	case p.Kind == curriculum.KindRatio && exact:
		return curriculum.TextValue(r.String())
	}
	return curriculum.NumberValue(v.Float64())
}

// leadAndOffset is a three-start thread of 11 per inch, worked in inches: the
// numbers are the ones that need rounding.
func leadAndOffset(t testing.TB) curriculum.Exercise {
	return exercise(t, "axial-offset", map[string]string{"N": "11 tpi", "n": "3"}, []curriculum.Part{
		{
			ID: "lead", Kind: curriculum.KindLength, Ask: "lead", Unit: "in", Decimals: 4, Marks: 2, Skill: "lead",
			Steps: []curriculum.Step{
				{Name: "P", Say: "the pitch is one over the threads per inch", Rule: "1/N", Unit: "in", Method: true},
				{Name: "L", Say: "the lead is the pitch times the starts", Rule: "n*P", Unit: "in"},
			},
			Wrong: []curriculum.WrongRule{
				{ID: "pitch-for-lead", Rule: "1/N", Feedback: "That is one groove; the nut advances past all n grooves in a turn."},
				{ID: "divided", Rule: "1/N/n", Feedback: "More starts make the lead longer, not shorter."},
				{ID: "added", Rule: "n+1/N", Feedback: "Multiply, don't add.", Charges: "tpi-pitch"},
			},
		},
		{
			ID: "offset", Kind: curriculum.KindLength, Ask: "start 3 lies behind start 1 by", Unit: "in", Decimals: 4, Marks: 1,
			Steps: []curriculum.Step{{Name: "s", Say: "start 3 lies two pitches behind start 1", Rule: "2*lead/n", Unit: "in"}},
			Wrong: []curriculum.WrongRule{
				{ID: "whole-lead", Rule: "lead", Feedback: "A whole lead drops back into the same groove."},
				{ID: "gaps", Rule: "lead/(n-1)", Feedback: "n starts make n equal gaps, not n-1."},
			},
		},
		{
			ID: "angle", Kind: curriculum.KindAngle, Ask: "the same by turning the work", Unit: "°", Decimals: 1, Marks: 1,
			Steps: []curriculum.Step{{Name: "A", Say: "a full turn is shared by the starts", Rule: "2*360/n", Unit: "°"}},
		},
	}, map[string]float64{"lead": 0.00015})
}

// depths asks for a depth, its collar reading and the greatest speed.
func depths(t testing.TB) curriculum.Exercise {
	return exercise(t, "collar-reading", map[string]string{"P": "2 mm", "L": "4 mm", "n": "2", "A": "29.5", "w": "4 mm", "t": "0.7"}, []curriculum.Part{
		{
			ID: "h", Kind: curriculum.KindLength, Ask: "single depth", Unit: "mm", Decimals: 3, Marks: 1,
			Steps: []curriculum.Step{{Name: "depth", Say: "depth follows the pitch", Rule: "0.6134*P", Unit: "mm"}},
			Wrong: []curriculum.WrongRule{
				{ID: "lead-for-pitch", Rule: "0.6134*L", Feedback: "Depth follows the groove spacing P; using lead cuts n times too deep."},
				{ID: "sharp-v", Rule: "0.866*P", Feedback: "That is the sharp V before flats and root radius."},
			},
		},
		{
			ID: "dial", Kind: curriculum.KindLength, Ask: "reading of the cross-slide, which reads diameter", Unit: "mm", Decimals: 2, Marks: 1,
			Steps: []curriculum.Step{{Name: "c", Say: "a collar that reads diameter shows twice the depth", Rule: "2*h", Unit: "mm"}},
			Wrong: []curriculum.WrongRule{{ID: "swapped", Rule: "h", Feedback: "Check what one division takes off: radius or diameter."}},
		},
		{
			ID: "compound", Kind: curriculum.KindLength, Ask: "along the compound", Unit: "mm", Decimals: 3, Marks: 3,
			Steps: []curriculum.Step{
				{Name: "k", Say: "the cosine of the setting", Rule: "cos(A)", Method: true},
				{Name: "x", Say: "the slanted path is longer than the depth", Rule: "h/k", Unit: "mm", Method: true},
			},
			Wrong: []curriculum.WrongRule{{ID: "times-cosine", Rule: "h*cos(A)", Feedback: "The slanted path is longer than the depth."}},
		},
		{
			ID: "speed", Kind: curriculum.KindSpeed, Ask: "greatest speed", Unit: "rev/min", Marks: 1, Safety: true,
			Steps: []curriculum.Step{{Name: "N", Say: "the carriage must stop within the groove", Rule: "60*w/(L*t)", Unit: "rev/min"}},
		},
	}, map[string]float64{"compound": 0.001})
}

// choosing asks for a list, a choice and an order.
func choosing(t testing.TB) curriculum.Exercise {
	return exercise(t, "thread-dial", nil, []curriculum.Part{
		{
			ID: "lines", Kind: curriculum.KindList, Answer: &curriculum.Value{List: []int{1, 3}}, Marks: 1,
			Steps: []curriculum.Step{{Say: "the carriage repeats by the lead"}},
			Wrong: []curriculum.WrongRule{
				{ID: "odd-even", Answer: &curriculum.Value{List: []int{1, 2, 3, 4}}, Feedback: "Apply the rule to turns per inch."},
				{ID: "one-line", Answer: &curriculum.Value{List: []int{1}}, Feedback: "Other lines come back to the same start."},
				{ID: "same-a", Answer: &curriculum.Value{List: []int{2, 4}}, Feedback: "a"},
				{ID: "same-b", Answer: &curriculum.Value{List: []int{2, 4}}, Feedback: "b"},
			},
		},
		{
			ID: "rule", Kind: curriculum.KindChoice, Answer: curriculum.TextValue("lines"), Marks: 1,
			Choices: []curriculum.Choice{{ID: "anywhere", Text: "close anywhere"}, {ID: "lines", Text: "on certain lines"}, {ID: "keep-closed", Text: "keep it closed"}},
			Wrong:   []curriculum.WrongRule{{ID: "anywhere", Answer: curriculum.TextValue("anywhere"), Feedback: "Only where the lead divides the leadscrew's."}},
		},
		{
			ID: "order", Kind: curriculum.KindOrder, Answer: &curriculum.Value{Order: []string{"stop", "withdraw", "reverse"}}, Marks: 1, Safety: true,
			Choices: []curriculum.Choice{{ID: "reverse"}, {ID: "stop"}, {ID: "withdraw"}},
			Wrong:   []curriculum.WrongRule{{ID: "reversed-in", Answer: &curriculum.Value{Order: []string{"stop", "reverse", "withdraw"}}, Feedback: "Backlash moves the tool off its track: withdraw it first."}},
		},
	}, nil)
}
