package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var pickUpModels = []*model{
	{skill: "pick-up", name: "paths", version: 1, weight: 3, serve: serveHalfNut, draw: pickUpPaths},
	{skill: "pick-up", name: "other-system", version: 1, weight: 1, serve: serveOtherSystem, draw: pickUpOtherSystem},
}

var pickUpChoices = []curriculum.Choice{
	{ID: threadmath.PickUpAnywhere, Text: "yes, and closed again anywhere"},
	{ID: threadmath.PickUpLines, Text: "yes, but closed only on the right lines of the thread dial"},
	{ID: threadmath.PickUpKeepClosed, Text: "no, it stays closed until the thread is done"},
}

func serveHalfNut(m *machine, units threadmath.System) string {
	switch {
	case m.leadscrew == nil:
		return "no leadscrew"
	case !m.halfNut:
		return "no half-nut"
	case m.leadscrewSystem != units:
		return "the leadscrew is not in " + units.String()
	}
	return ""
}

// screwLathe is the lathe of a question about the half-nut.
func (d *draw) screwLathe() *threadmath.Lathe {
	l := d.lathe
	return &threadmath.Lathe{Name: l.Name, Leadscrew: l.Leadscrew, LeadscrewStarts: l.LeadscrewStarts, HalfNut: l.HalfNut, ThreadDials: l.ThreadDials}
}

// dialWords say what dials the lathe has.
func (d *draw) dialWords() string {
	dials := d.lathe.ThreadDials
	switch len(dials) {
	case 0:
		return "It has no thread dial."
	case 1:
		return fmt.Sprintf("Its thread dial has a gear of %d teeth and %d lines.", dials[0].Teeth, dials[0].Graduations)
	}
	out := "Its thread dial takes gears of "
	for i, t := range dials {
		switch {
		case i == len(dials)-1:
			out += " and "
		case i > 0:
			out += ", "
		}
		out += fmt.Sprintf("%d teeth (%d lines)", t.Teeth, t.Graduations)
	}
	return out + "."
}

func pickUpMistakes() []curriculum.WrongRule {
	return []curriculum.WrongRule{
		mistakeWith("pick-up", "close-anywhere", "", curriculum.TextValue(threadmath.PickUpAnywhere)),
		mistakeWith("pick-up", "dial-serves-all", "", curriculum.TextValue(threadmath.PickUpLines)),
		mistakeWith("pick-up", "never-opened", "", curriculum.TextValue(threadmath.PickUpKeepClosed)),
	}
}

// ruleOf asks the solver for the rule and returns it with the mistakes that lead
// to the other two.
func ruleOf(r threadmath.Request) (rule string, wrong []curriculum.WrongRule, err error) {
	a, err := threadmath.Solve(r)
	if err != nil {
		return "", nil, reject("not solvable: %v", err)
	}
	if a.PickUp == nil {
		return "", nil, reject("the lathe does not settle it")
	}
	wrong = slices.DeleteFunc(pickUpMistakes(), func(w curriculum.WrongRule) bool { return w.Answer.Text == a.PickUp.Rule })
	return a.PickUp.Rule, wrong, nil
}

var ruleReasons = map[string]string{
	threadmath.PickUpAnywhere:   "One path only: every closing finds the groove again.",
	threadmath.PickUpLines:      "Several paths, but some lines of the dial always come back to the same start.",
	threadmath.PickUpKeepClosed: "Several paths, and no line of a dial always comes back to the same start: keep the half-nut closed, withdraw the tool, then reverse.",
}

func pickUpPaths(d *draw) (*item, error) {
	n, err := d.starts(manyStarts)
	if err != nil {
		return nil, err
	}
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	closing := lengthText(d.machine.closings, d.units)
	request := threadmath.Request{Thread: s.request(n), Lathe: d.screwLathe()}
	rule, wrong, err := ruleOf(request)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s. From one thread of its leadscrew to the next are %s. %s",
		capital(article(startWords[n])), s.words(), d.latheName(), closing, d.dialWords()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("p", "leadscrew, thread to thread", closing)
	it.solve(request)
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindCount, Ask: "Into how many different paths can the half-nut fall?", Marks: 2, At: "/half_nut/paths",
		Steps: append(s.steps(),
			curriculum.Step{Name: "L", Say: "The carriage repeats by the lead.", Rule: "n*P", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "b", Say: "Divide the lead by the greatest length that measures both it and the leadscrew.", Rule: "L/gcd(p, L)"}),
		Wrong: mistakes("pick-up", "by-pitch", "turned-round"),
	})
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindChoice, Ask: "May the half-nut be opened between passes?", Choices: pickUpChoices, At: "/pick_up/rule",
		Steps: []curriculum.Step{{Name: "b", Say: ruleReasons[rule]}}, Wrong: wrong,
	})
	return it, nil
}

func serveOtherSystem(m *machine, units threadmath.System) string {
	switch {
	case m.leadscrew == nil:
		return "no leadscrew"
	case !m.halfNut:
		return "no half-nut"
	case m.leadscrewSystem == units:
		return "the leadscrew is in " + units.String() + " already"
	}
	return ""
}

func pickUpOtherSystem(d *draw) (*item, error) {
	n, err := d.starts(manyStarts)
	if err != nil {
		return nil, err
	}
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	request := threadmath.Request{Thread: s.request(n), Lathe: d.screwLathe()}
	rule, wrong, err := ruleOf(request)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s, whose leadscrew is %s. %s",
		capital(article(startWords[n])), s.words(), d.latheName(), d.lathe.Leadscrew, d.dialWords()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.solve(request)
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindChoice, Ask: "May the half-nut be opened between passes?", Choices: pickUpChoices, At: "/pick_up/rule",
		Steps: []curriculum.Step{{Name: "a", Say: ruleReasons[rule]}}, Wrong: wrong,
	})
	return it, nil
}

var dialModels = []*model{
	{skill: "thread-dial", name: "repeat", version: 1, weight: 1, serve: serveDial, draw: dialRepeat},
	{skill: "thread-dial", name: "same-start", version: 1, weight: 2, serve: serveDial, draw: dialSameStart},
	{skill: "thread-dial", name: "next-start", version: 1, weight: 1, serve: serveDial, draw: dialNextStart},
}

func serveDial(m *machine, units threadmath.System) string {
	if len(m.dials) == 0 {
		return "no thread dial"
	}
	return serveHalfNut(m, units)
}

func dialRepeat(d *draw) (*item, error) {
	n, err := d.starts(manyStarts)
	if err != nil {
		return nil, err
	}
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	closing := lengthText(d.machine.closings, d.units)
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s. From one thread of its leadscrew to the next are %s.",
		capital(article(startWords[n])), s.words(), d.latheName(), closing))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("p", "leadscrew, thread to thread", closing)
	it.solve(threadmath.Request{Thread: s.request(n), Lathe: d.screwLathe()})
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "After how much carriage travel does the half-nut first fall into the same groove again?",
		Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2,
		Steps: append(s.steps(),
			curriculum.Step{Name: "L", Say: "The carriage repeats by the lead.", Rule: "n*P", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "r", Say: "Both must come out whole: take the least common multiple.", Rule: "lcm(L, p)", Unit: d.units.String()}),
		Wrong: mistakes("thread-dial", "by-pitch", "sum", "lead-only"),
	})
	return it, nil
}

// oneDial returns a thread on the lathe with one of its dials, and the answer.
func (d *draw) oneDial() (n int, s spacing, r threadmath.Request, a threadmath.Answer, err error) {
	if n, err = d.starts(manyStarts); err != nil {
		return
	}
	if s, err = d.spacing(n); err != nil {
		return
	}
	lathe := d.screwLathe()
	lathe.ThreadDials = []threadmath.ThreadDial{oneOf(d, d.machine.dials)}
	r = threadmath.Request{Thread: s.request(n), Lathe: lathe}
	if a, err = threadmath.Solve(r); err != nil {
		err = reject("not solvable: %v", err)
		return
	}
	if a.PickUp == nil || a.PickUp.Rule != threadmath.PickUpLines || len(a.PickUp.Dials) == 0 {
		err = reject("the dial decides nothing for this thread")
	}
	return
}

func (d *draw) dialItem(n int, s spacing, r threadmath.Request) *item {
	dial := r.Lathe.ThreadDials[0]
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s, whose leadscrew is %s. The thread dial has a gear of %d teeth and %d lines. "+
		"Start 1 was cut with the half-nut closed on line 0; the others are numbered on from it as they come up.",
		capital(article(startWords[n])), s.words(), d.latheName(), d.lathe.Leadscrew, dial.Teeth, dial.Graduations))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("T", "teeth of the dial's gear", itoa(int(dial.Teeth)))
	it.given("M", "lines of the dial", itoa(int(dial.Graduations)))
	it.solve(r)
	it.ex.Drawing = "dial"
	return it
}

func dialSameStart(d *draw) (*item, error) {
	n, s, r, a, err := d.oneDial()
	if err != nil {
		return nil, err
	}
	it := d.dialItem(n, s, r)
	lines := int(r.Lathe.ThreadDials[0].Graduations)
	every := make([]int, lines)
	for i := range every {
		every[i] = i
	}
	wrong := []curriculum.WrongRule{mistakeWith("thread-dial", "every-line", "", &curriculum.Value{List: every})}
	if byPitch, ok := linesByPitch(r); ok && !slices.Equal(byPitch, every) && !slices.Equal(byPitch, a.PickUp.Dials[0].Lines) {
		wrong = append(wrong, mistakeWith("thread-dial", "lines-by-pitch", "", &curriculum.Value{List: byPitch}))
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindList, Ask: "Which lines always come back to start 1?", Marks: 2, At: "/pick_up/dials/0/lines",
		Steps: []curriculum.Step{{Name: "a", Say: "From line 0 to the line, and once round the dial, must be whole leads of carriage travel: L = n × P."}},
		Wrong: wrong,
	})
	return it, nil
}

// linesByPitch returns the lines that a learner finds who takes the pitch for
// the lead: those of the single-start thread.
func linesByPitch(r threadmath.Request) ([]int, bool) {
	r.Thread.Starts = count(1)
	a, err := threadmath.Solve(r)
	if err != nil || len(a.ThreadDials) == 0 {
		return nil, false
	}
	var out []int
	for _, l := range a.ThreadDials[0].Lines {
		if l.Catches == threadmath.CatchesStart {
			out = append(out, l.Line)
		}
	}
	return out, true
}

func dialNextStart(d *draw) (*item, error) {
	n, s, r, a, err := d.oneDial()
	if err != nil {
		return nil, err
	}
	k := d.between(2, n)
	at := slices.IndexFunc(a.PickUp.Dials[0].Starts, func(l threadmath.StartLine) bool { return l.Start == k && len(l.Lines) > 0 })
	if at < 0 {
		return nil, reject("no line catches start %d", k)
	}
	it := d.dialItem(n, s, r)
	it.given("k", "the start wanted", itoa(k))
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindList, Ask: fmt.Sprintf("Which lines begin start %d?", k), Marks: 2, At: fmt.Sprintf("/pick_up/dials/0/starts/%d/lines", at),
		Steps: []curriculum.Step{{Name: "a", Say: "From line 0 the carriage travel to the line must be k − 1 pitches more than whole leads."}},
		Wrong: []curriculum.WrongRule{mistakeWith("thread-dial", "start-1-line", "", &curriculum.Value{List: a.PickUp.Dials[0].Lines})},
	})
	return it, nil
}
