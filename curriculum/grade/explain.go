package grade

import (
	"math"
	"slices"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
)

// claim is a number that a learner gave for a part, with what it is compared
// with.
type claim struct {
	*marker
	part    *curriculum.Part
	reading Reading
	given   float64
	answer  float64
	band    band
	before  working // the right working in front of this part
	// followed is the value that follows from the learner's own earlier ones;
	// follows says that there is one, that they differ, and that it may count.
	followed float64
	follows  bool
}

// explanation is one slip that leads to the given number.
type explanation struct {
	outcome curriculum.Outcome
	slip    func(right float64) float64 // what it makes of a right value; nil for rules
	reason  string
	rule    *curriculum.WrongRule
}

// judge goes through the explanations in their order.
func (c *claim) judge(v *curriculum.Verdict) {
	v.Evidence.Read = readAs(c.part, c.reading)
	switch {
	case c.overCeiling() && c.compare(v, "right answer, rounded up", c.answer, 1):
		v.Outcome, v.Reason = curriculum.Rounding, c.rounded()
	case c.inexact() && c.compare(v, "right answer", c.answer, 2):
		v.Outcome, v.Reason = c.nearRatio()
	case c.compare(v, "right answer", c.answer, 1):
		if c.reading.Reciprocal {
			v.Outcome, v.Reason = curriculum.AskBack, c.otherQuantity()
			return
		}
		if still := c.unconverted(); still != "" {
			v.Outcome, v.Reason = curriculum.AskBack, still
			return
		}
		v.Outcome, v.Reason = curriculum.Right, "Right."+c.surplus()
	case c.part.Kind != curriculum.KindCount && c.compare(v, "right answer, rounded too far", c.answer, 2):
		v.Outcome, v.Reason = curriculum.Rounding, c.rounded()
	case c.part.RoundDown && c.compare(v, "right answer, rounded up", c.answer+math.Pow10(-c.part.Decimals), 1):
		v.Outcome, v.Reason = curriculum.Rounding, c.rounded()
	case c.follows && c.compare(v, "right from the learner's earlier values", c.followed, 1):
		v.Outcome, v.Reason = curriculum.FollowThrough, "Right from your own earlier value: the slip is further up, not here."
	default:
		c.explain(v)
	}
	if v.Evidence.Read != c.reading.String() {
		v.Reason += " Read as " + v.Evidence.Read + "."
	}
}

// compare keeps one comparison as evidence.
func (c *claim) compare(v *curriculum.Verdict, with string, value, widened float64) bool {
	if !(math.Abs(value) <= greatest*1000) {
		return false // no explanation, and too large for the evidence
	}
	fits := c.band.around(value, c.given, widened)
	v.Evidence.Compared = append(v.Evidence.Compared, curriculum.Comparison{With: with, Value: value, Fits: fits})
	return fits
}

// explain names the one slip that leads to the number, if there is just one.
func (c *claim) explain(v *curriculum.Verdict) {
	found := c.slips(v)
	rules := c.rules(v)
	// A named rule that is a slip by another name (1/TPI taken for mm is a unit
	// slip) is one explanation, not two; one that only happens to give the same
	// number here (a depth from the lead, of two starts, is twice the depth) is
	// another.
	for i := range found {
		if len(rules) == 1 && c.sameSlip(rules[0].rule, found[i].slip) {
			found[i].rule, found[i].reason = rules[0].rule, rules[0].reason
			rules = nil
			break
		}
	}
	found = append(found, rules...)
	if c.coarse(c.answer) {
		found = append(found, explanation{outcome: curriculum.Rounding, reason: c.rounded()})
		// What a wrong rule gives may have been rounded as far.
		if slices.ContainsFunc(v.Evidence.Compared[1:], func(o curriculum.Comparison) bool { return !o.Fits && o.Value != c.answer && c.coarse(o.Value) }) {
			found = append(found, explanation{})
		}
	}
	switch len(found) {
	case 0:
		v.Outcome, v.Reason = curriculum.Unknown, "This does not follow from the givens by a slip that is known here."+startOver(c.part)
	case 1:
		v.Outcome, v.Reason = found[0].outcome, found[0].reason
		if r := found[0].rule; r != nil {
			v.WrongRule, v.Charges = r.ID, r.Charges
		}
	default:
		v.Outcome, v.Reason = curriculum.Unknown, "More than one slip leads to this number, so none is named."+startOver(c.part)
	}
}

// coarse reports whether the number is v rounded or cut off one or two decimals
// too early, with two significant digits left.
func (c *claim) coarse(v float64) bool {
	if c.part.Kind == curriculum.KindCount || c.part.Safety || !c.inPrintedUnit() {
		return false
	}
	for d := max(0, c.part.Decimals-2); d < c.part.Decimals; d++ {
		if _, exact := c.reading.Written.Decimal(d); !exact {
			continue
		}
		digits, want := c.given*math.Pow10(d), v*math.Pow10(d)
		return math.Abs(digits) >= 10 && (math.Abs(digits-math.Round(want)) < 1e-9 || math.Abs(digits-math.Trunc(want)) < 1e-9)
	}
	return false
}

func (c *claim) inPrintedUnit() bool {
	return c.reading.Unit == "" || c.reading.Unit == printedUnit(c.part.Unit).symbol
}

// diametral are the skills whose parts ask for a depth or a diameter, where one
// can be taken for half or twice the other. Elsewhere a factor of two has
// other reasons, a two-start thread first among them; a compound slide reads
// what it moves.
var diametral = map[string]bool{
	"depth-60": true, "depth-trapezoidal": true, "diameters": true, "collar-reading": true, "pass-schedule": true, "over-wires": true,
}

// slips returns the slips of unit, of radius and diameter, of sign or hand that
// lead to the number. The band grows with a factor above 1, since so does the
// rounding of what was multiplied.
func (c *claim) slips(v *curriculum.Verdict) []explanation {
	var found []explanation
	try := func(outcome curriculum.Outcome, factor float64, with, reason string) {
		value := factor * c.answer
		// Divided, the band would reach down to 0 and fit anything small.
		near := math.Abs(factor) >= 0.5 || math.Abs(c.given-value) <= math.Abs(value)/20
		if near && c.compare(v, with, value, max(1, factor)) {
			found = append(found, explanation{outcome: outcome, slip: func(right float64) float64 { return factor * right }, reason: reason})
		}
	}
	if c.answer == 0 {
		return nil
	}
	printed := printedUnit(c.part.Unit)
	if printed.dim == length || printed.dim == perLength || printed.dim == velocity {
		try(curriculum.UnitSlip, 25.4, "25.4 times the right answer", unitReason(printed, true))
		try(curriculum.UnitSlip, 1/25.4, "right answer / 25.4", unitReason(printed, false))
		try(curriculum.UnitSlip, 1000, "1000 times the right answer", "The digits are right, but this is 1000 times too much: check the unit at the blank.")
		try(curriculum.UnitSlip, 0.001, "right answer / 1000", "The digits are right, but this is 1000 times too little: check the unit at the blank.")
	}
	if printed.dim == length && diametral[c.ex.SkillOf(*c.part)] {
		try(curriculum.RadiusDiameter, 2, "twice the right answer", "This is twice what is asked: check what is meant on the radius and what on the diameter.")
		try(curriculum.RadiusDiameter, 0.5, "half the right answer", "This is half of what is asked: check what is meant on the radius and what on the diameter.")
	}
	try(curriculum.SignOrHand, -1, "right answer with the other sign", "The size is right, but the sign is the other one: check the direction.")
	if other := 360 - c.answer; printed.dim == angle && !c.band.around(c.answer, other, 2) && c.compare(v, "360 degrees less the right answer", other, 1) {
		slip := func(right float64) float64 { return 360 - right }
		found = append(found, explanation{outcome: curriculum.SignOrHand, slip: slip, reason: "That reaches the place by turning the other way: check the direction of rotation."})
	}
	return found
}

// unitReason explains a factor of 25.4, more or less.
func unitReason(printed unit, more bool) string {
	switch {
	case printed.dim == length && printed.symbol == "in" && more:
		return "That is the number of millimetres, but the blank asks for inches."
	case printed.dim == length && printed.symbol == "mm" && !more:
		return "That is the number of inches, but the blank asks for millimetres."
	case more:
		return "This is 25.4 times too much: inches and millimetres are mixed up."
	}
	return "This is 25.4 times too little: inches and millimetres are mixed up."
}

// rules returns the named wrong rules that lead to the number, from the givens
// or from the learner's own earlier values.
func (c *claim) rules(v *curriculum.Verdict) []explanation {
	var found []explanation
	for i := range c.part.Wrong {
		w := &c.part.Wrong[i]
		fits := false
		if value, ok := c.wrongValue(w, c.right); ok {
			fits = c.compare(v, w.ID, value, 1)
		}
		if !fits && c.slipped {
			if value, ok := c.wrongValue(w, c.own); ok {
				fits = c.compare(v, w.ID+", with the learner's earlier values", value, 1)
			}
		}
		if fits {
			found = append(found, explanation{outcome: curriculum.WrongRuleUsed, reason: w.Feedback, rule: w})
		}
	}
	return found
}

// wrongValue evaluates a wrong rule, which may name the part's own steps.
func (c *claim) wrongValue(w *curriculum.WrongRule, with working) (float64, bool) {
	if w.Rule == "" {
		if w.Answer == nil {
			return 0, false
		}
		p := *c.part
		p.Answer = w.Answer
		value, ok := answerOf(&p)
		return value.Float64(), ok
	}
	value, ok := with.eval(w.Rule)
	return value.Float64(), ok
}

// sameSlip reports whether a wrong rule always makes of the right value what the
// slip does, whatever the numbers: both are evaluated for other givens.
func (c *claim) sameSlip(w *curriculum.WrongRule, slip func(right float64) float64) bool {
	if w.Rule == "" {
		return false
	}
	other := c.before.clone()
	for name, v := range other {
		r, exact := v.Ratio()
		if !exact {
			continue
		}
		// Each name is changed by another few percent, the same on every run.
		k := int64(11)
		for _, b := range []byte(name) {
			k = (k*31 + int64(b)) % 97
		}
		other[name] = formula.Exact(r.Mul(ratio(100+k, 97)))
	}
	if _, err := c.part.Run(other); err != nil {
		return false
	}
	right, ok1 := other.last(c.part)
	wrong, ok2 := other.eval(w.Rule)
	return ok1 && ok2 && band{}.around(slip(right.Float64()), wrong.Float64(), 1)
}

// overCeiling reports whether a ceiling was rounded up: what was written allows a whole
// step more than is allowed, however near the two numbers lie.
func (c *claim) overCeiling() bool {
	if !c.part.RoundDown || c.given <= c.answer {
		return false
	}
	scale := math.Pow10(c.part.Decimals)
	return math.Floor(c.given*scale+1e-9) > math.Floor(c.answer*scale+1e-9)
}

// inexact reports whether a ratio that is asked as a fraction was given nearly: a train
// of nearly that ratio cuts another lead.
func (c *claim) inexact() bool {
	return c.part.AsksFraction() && math.Abs(c.given-c.answer) > 1e-9*math.Abs(c.answer)
}

// nearRatio is the verdict on a ratio that is near and not equal.
func (c *claim) nearRatio() (curriculum.Outcome, string) {
	if !isFraction(c.answers[c.part.ID]) {
		return curriculum.AskBack, "That is about the ratio as a decimal; the question is the fraction that it is exactly."
	}
	return curriculum.Unknown, "That is near the ratio and not equal to it: wheels in it would cut another lead."
}

// otherQuantity asks back where the thread is right but named by threads per
// inch instead of by a length, or the other way round.
func (c *claim) otherQuantity() string {
	if printedUnit(c.part.Unit).dim == perLength {
		return "Right thread, other quantity: that is a length; the blank asks how many there are per inch."
	}
	return "Right thread, other quantity: that counts threads per inch; the blank asks for a length in " + c.part.Unit + "."
}

// rounded says to how many digits the answer is asked.
func (c *claim) rounded() string {
	if c.part.RoundDown && c.given > c.answer {
		return "The working is right, but this is the most that is allowed: round it down to " + c.lastDigit() + ", never up."
	}
	return "The working is right, but the number is rounded too far: give it to " + c.lastDigit() + ", and keep one digit more on the way."
}

// surplus warns of more digits than can mean anything; they cost nothing.
func (c *claim) surplus() string {
	if c.part.Decimals <= 0 || !c.inPrintedUnit() || !strings.ContainsAny(c.answers[c.part.ID], ".,") {
		return ""
	}
	if _, exact := c.reading.Written.Decimal(c.part.Decimals + 2); exact {
		return ""
	}
	return " " + c.lastDigit() + " would have been enough."
}

// lastDigit writes one unit of the last digit that is asked.
func (c *claim) lastDigit() string {
	text := "1"
	if c.part.Decimals > 0 {
		text = "0." + strings.Repeat("0", min(c.part.Decimals, 15)-1) + "1"
	}
	return joined(text, c.part.Unit)
}
