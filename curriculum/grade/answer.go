package grade

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// Mode says what an answer is given for.
type Mode string

// In practice a right answer that is rounded too far keeps its marks; in a test
// it is to be given again.
const (
	Practice Mode = "practice"
	Test     Mode = "test"
)

// Mark returns one verdict for each part of the exercise, in order.
//
// answers holds texts by the part's id, and optionally by "part.step" what the
// learner wrote for a step of the working: a step marked Method that is right
// earns a method mark where the answer itself does not earn all. The verdicts
// are tried in this order: right; rounding; right from the learner's own earlier
// values (not for safety parts); a unit slip; radius and diameter; sign or hand;
// a named wrong rule; unknown. Where two of the slips explain a value equally,
// none is named. A unit slip costs one mark once in an exercise.
//
// Reasons never hold the right answer; the evidence does.
func Mark(ex curriculum.Exercise, answers map[string]string, mode Mode) []curriculum.Verdict {
	m := marker{ex: &ex, answers: answers, mode: mode, right: ex.Givens.Numbers()}
	m.own = m.right.clone()
	verdicts := make([]curriculum.Verdict, len(ex.Parts))
	for i := range ex.Parts {
		verdicts[i] = m.part(&ex.Parts[i])
	}
	return verdicts
}

// marker goes through the parts with two workings: the right one and the
// learner's own.
type marker struct {
	ex         *curriculum.Exercise
	answers    map[string]string
	mode       Mode
	right, own working
	// slipped is set once a step or part of the own working differs.
	slipped     bool
	unitCharged bool
}

// part judges one part and carries its value into both workings.
func (m *marker) part(p *curriculum.Part) curriculum.Verdict {
	before := m.right.clone()
	// A step without a value leaves the rest out; the answer is set below.
	_, _ = p.Run(m.right)
	answer, numeric := answerOf(p)
	shown := m.steps(p)
	followed, follows := m.own.last(p)

	text := m.answers[p.ID]
	v := curriculum.Verdict{Part: p.ID, Skill: m.ex.SkillOf(*p), OutOf: p.Marks, Options: p.Options()}
	v.Evidence = curriculum.Evidence{Given: cut(text), Expected: expected(p), Accept: p.Accept}
	reading, err := Read(*p, text)
	var unclear *Unclear
	switch {
	case strings.TrimSpace(text) == "":
		v.Outcome, v.Reason = curriculum.Blank, "Nothing is written here yet."
	case errors.As(err, &unclear):
		v.Outcome, v.Reason = curriculum.AskBack, unclear.Question
	case err != nil:
		v.Outcome, v.Reason = curriculum.Unreadable, sentence(err.Error())
	case math.Abs(reading.Number.Float64()) > greatest:
		v.Outcome, v.Reason = curriculum.Unreadable, "No workshop meets a number of that size: please check it."
	case isSelection(p):
		judgeSelection(p, reading, &v)
	case !numeric:
		v.Outcome, v.Reason = curriculum.Unknown, "There is no key for this part."
	default:
		c := claim{
			marker: m, part: p, reading: reading, given: reading.Number.Float64(),
			answer: answer.Float64(), before: before, followed: followed.Float64(), follows: follows && m.slipped && !p.Safety,
		}
		c.band = bandOf(p, c.answer)
		c.judge(&v)
	}
	m.award(p, shown, &v)
	if numeric {
		m.right.settle(p, answer)
		m.carry(p, answer, followed, follows, reading, v.Outcome)
	}
	return v
}

// carry sets what the learner goes on with: the right value where it was
// reached, their own number where it was not, and where nothing was judged what
// follows from their earlier ones.
func (m *marker) carry(p *curriculum.Part, answer, followed formula.Value, follows bool, r Reading, o curriculum.Outcome) {
	switch {
	case o == curriculum.Right || o == curriculum.Rounding || !o.Judged() && !follows:
		m.own.settle(p, answer)
	case !o.Judged():
		m.own.settle(p, followed)
	default:
		m.own.settle(p, formula.Exact(r.Number))
		m.slipped = true
	}
}

// steps works through the part with the learner's numbers and returns how many
// of its method steps were written and are right: within 1/200 of the step's
// value, from the givens or from the learner's own earlier values. What was
// written for a step goes into the own working.
func (m *marker) steps(p *curriculum.Part) (shown int) {
	for i := range p.Steps {
		s := &p.Steps[i]
		want, ok := m.own.step(s)
		if !ok {
			delete(m.own, s.Name)
		}
		text, written := m.answers[p.ID+"."+s.Name]
		if !written || s.Rule == "" {
			continue
		}
		r, err := Read(curriculum.Part{Kind: curriculum.KindLength, Unit: s.Unit}, text)
		if err != nil || math.Abs(r.Number.Float64()) > greatest {
			continue
		}
		x := r.Number.Float64()
		right, rightOK := m.right[s.Name]
		fromGivens := rightOK && nearStep(x, right.Float64())
		if fromGivens || ok && nearStep(x, want.Float64()) {
			if s.Method {
				shown++
			}
		}
		if !fromGivens && i < len(p.Steps)-1 {
			m.own[s.Name] = formula.Exact(r.Number)
			m.slipped = true
		}
	}
	return shown
}

func nearStep(x, v float64) bool { return math.Abs(x-v) <= math.Abs(v)/200 }

// methodMarks returns how many of a part's marks are for method: one a step
// marked so, and at least one is left for accuracy.
func methodMarks(p *curriculum.Part) int {
	n := 0
	for _, s := range p.Steps {
		if s.Method {
			n++
		}
	}
	return max(0, min(n, p.Marks-1))
}

// award gives the marks that the outcome earns.
func (m *marker) award(p *curriculum.Part, shown int, v *curriculum.Verdict) {
	v.Marks = min(shown, methodMarks(p))
	switch v.Outcome {
	case curriculum.Right, curriculum.FollowThrough:
		v.Marks = p.Marks
	case curriculum.Rounding:
		if m.mode == Test {
			v.Marks = methodMarks(p)
			break
		}
		v.Marks = p.Marks
	case curriculum.UnitSlip:
		if m.unitCharged {
			v.Marks = p.Marks
			v.Reason += " It cost a mark above and costs none here."
			break
		}
		v.Marks = max(0, p.Marks-1)
		m.unitCharged = true
	}
}

// judgeSelection judges lists, choices and orders.
func judgeSelection(p *curriculum.Part, r Reading, v *curriculum.Verdict) {
	v.Evidence.Read = r.String()
	if p.Answer == nil {
		v.Outcome, v.Reason = curriculum.Unknown, "There is no key for this part."
		return
	}
	if r.equals(p.Answer) || r.kind == curriculum.KindOrder && p.RightOrder(r.Order) {
		v.Outcome, v.Reason = curriculum.Right, "Right."
		return
	}
	fits := []*curriculum.WrongRule{}
	for i := range p.Wrong {
		w := &p.Wrong[i]
		if w.Answer == nil {
			continue
		}
		fit := r.equals(w.Answer) || r.kind == curriculum.KindOrder && curriculum.InOrder(r.Order, w.Answer.Order) ||
			r.kind == curriculum.KindList && p.Partial && holdsAll(r.List, w.Answer.List)
		v.Evidence.Compared = append(v.Evidence.Compared, curriculum.Comparison{With: w.ID, Fits: fit})
		if fit {
			fits = append(fits, w)
		}
	}
	// Two mistakes that lead to the same choice leave open which it was; two things
	// done too late in one order are two mistakes, and both are named.
	if len(fits) == 1 || (p.Kind == curriculum.KindOrder || p.Partial) && len(fits) > 0 {
		v.Outcome, v.Reason = curriculum.WrongRuleUsed, feedbackOf(p, fits)
		v.WrongRule, v.Charges = fits[0].ID, fits[0].Charges
		return
	}
	v.Outcome, v.Reason = curriculum.Unknown, notSelected(p, r)+startOver(p)
}

// feedbackOf joins what is said of the mistakes, each sentence once. Of a partial
// order it names the pair that is the wrong way round, of a partial list the number.
func feedbackOf(p *curriculum.Part, rules []*curriculum.WrongRule) string {
	var said, hazards []string
	for _, w := range rules {
		if slices.Contains(hazards, w.Feedback) {
			continue
		}
		hazards = append(hazards, w.Feedback)
		text := w.Feedback
		switch {
		case p.Partial && p.Kind == curriculum.KindList:
			text = w.Answer.String() + " is wrong: " + text
		case p.Partial:
			text = w.Answer.Order[1] + " comes before " + w.Answer.Order[0] + ": " + text
		}
		said = append(said, text)
	}
	return strings.Join(said, " ")
}

// holdsAll reports whether the list holds all of some.
func holdsAll(list, some []int) bool {
	return !slices.ContainsFunc(some, func(n int) bool { return !slices.Contains(list, n) })
}

// equals reports whether a selection is the value.
func (r Reading) equals(a *curriculum.Value) bool {
	switch r.kind {
	case curriculum.KindList:
		if r.ordered {
			return slices.Equal(r.Sequence, a.List)
		}
		want := slices.Clone(a.List)
		slices.Sort(want)
		return slices.Equal(r.List, slices.Compact(want))
	case curriculum.KindChoice:
		return r.Choice == a.Text
	}
	return slices.Equal(r.Order, a.Order)
}

func sorted(list []int) []int { return slices.Sorted(slices.Values(list)) }

func reversed(list []int) []int {
	out := slices.Clone(list)
	slices.Reverse(out)
	return out
}

// notSelected says what is amiss with a selection without giving it away.
func notSelected(p *curriculum.Part, r Reading) string {
	switch p.Kind {
	case curriculum.KindList:
		if r.ordered && len(r.Sequence) > 1 && slices.Equal(r.List, sorted(p.Answer.List)) {
			if back := append([]int{p.Answer.List[0]}, reversed(p.Answer.List[1:])...); slices.Equal(r.Sequence, back) {
				return "These are the right ones, counted the wrong way round."
			}
			return "These are the right ones, but not once each and in the order asked for."
		}
		for _, n := range r.List {
			if !slices.Contains(p.Answer.List, n) {
				return "At least one of these does not serve."
			}
		}
		return "All of these serve, but they are not all."
	case curriculum.KindOrder:
		for i, id := range r.Order {
			if i >= len(p.Answer.Order) || id != p.Answer.Order[i] {
				return "Step " + strconv.Itoa(i+1) + " of this order comes too early."
			}
		}
	}
	return "Another choice fits these givens."
}

// startOver names where to begin again: the sentence of the first step.
func startOver(p *curriculum.Part) string {
	for _, s := range p.Steps {
		if s.Say != "" {
			return " Begin again with this: " + sentence(s.Say)
		}
	}
	return " Go back to the givens and work it through again."
}

// expected writes the right answer with its unit, for the evidence.
func expected(p *curriculum.Part) string {
	if p.Answer == nil {
		return ""
	}
	if v, ok := answerOf(p); ok {
		return joined(number9(v.Float64()), p.Unit)
	}
	return p.Answer.String()
}

// number9 writes nine significant digits.
func number9(f float64) string { return strconv.FormatFloat(f, 'g', 9, 64) }

// sentence begins with a capital letter and ends with a stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return s
	}
	r := []rune(s)
	if r[0] >= 'a' && r[0] <= 'z' && (len(r) == 1 || r[1] != ' ' && r[1] != '=') {
		r[0] -= 'a' - 'A'
	}
	s = string(r)
	if !strings.ContainsAny(s[len(s)-1:], ".?!") {
		s += "."
	}
	return s
}

// cut keeps evidence short whatever was sent.
func cut(s string) string {
	if r := []rune(s); len(r) > maxText {
		return string(r[:maxText]) + "…"
	}
	return s
}

// readAs says how a text was understood, where that is not plain.
func readAs(p *curriculum.Part, r Reading) string {
	text := r.String()
	printed := printedUnit(p.Unit)
	if r.Unit == "" || r.Unit == printed.symbol {
		return text
	}
	return fmt.Sprintf("%s = %s %s", text, fourDigits(r.Number), printed.symbol)
}

// fourDigits writes an exact number, or four significant digits of it.
func fourDigits(r threadmath.Ratio) string {
	if text, exact := r.Decimal(6); exact {
		return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	f := r.Float64()
	if f == 0 || math.Abs(f) < 1e-4 || math.Abs(f) >= 1e6 {
		return strconv.FormatFloat(f, 'g', 4, 64)
	}
	digits := max(0, 3-int(math.Floor(math.Log10(math.Abs(f)))))
	return strconv.FormatFloat(f, 'f', digits, 64)
}
