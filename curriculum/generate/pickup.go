package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var pickUpModels = []*model{
	{skill: "pick-up", name: "paths", version: 1, weight: 3, serve: serveHalfNut, draw: pickUpPaths},
	{skill: "pick-up", name: "other-system", version: 2, weight: 1, serve: serveOtherSystem, draw: pickUpOtherSystem},
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
	l := d.machine.screw
	return &l
}

// screwWords say what the leadscrew is, with its starts where it has several: the
// half-nut then closes more often.
func (d *draw) screwWords() string {
	if s := d.lathe.LeadscrewStarts; s != nil && *s > 1 {
		return fmt.Sprintf("%s, counted by its travel in a turn, with %d starts", d.lathe.Leadscrew, *s)
	}
	return d.lathe.Leadscrew
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
	n, s, err := d.thread(manyStarts)
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
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	request := threadmath.Request{Thread: s.request(n), Lathe: d.screwLathe()}
	rule, wrong, err := ruleOf(request)
	if err != nil {
		return nil, err
	}
	closing := lengthText(d.machine.closings, d.machine.leadscrewSystem)
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s. From one thread of its leadscrew to the next are %s. %s",
		capital(article(startWords[n])), s.words(), d.latheName(), closing, d.dialWords()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("p", "leadscrew, thread to thread", closing)
	it.solve(request)
	it.part(d.meetsAgain(s, n))
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindChoice, Ask: "May the half-nut be opened between passes?", Choices: pickUpChoices, At: "/pick_up/rule",
		Steps: []curriculum.Step{{Name: "b", Say: ruleReasons[rule]}}, Wrong: wrong,
	})
	return it, nil
}

// meetsAgain asks when leadscrew and thread of different systems meet again, by what
// differs from thread to thread: the travel of a metric thread, the turns of an inch
// one. The choice alone would be the same for nearly all of them.
func (d *draw) meetsAgain(s spacing, n int) curriculum.Part {
	p := curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "After how much carriage travel do the thread and the leadscrew first meet again in the same way?",
		Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2,
	}
	toUnits, rules := "25.4*p", [][2]string{{"travel-by-pitch", "lcm(P, q)"}, {"travel-added", "L+q"}, {"travel-of-one-lead", "L"}}
	if d.units == threadmath.Inch {
		toUnits, rules = "p/25.4", [][2]string{{"travel-by-pitch", "lcm(P, q)/P"}, {"leadscrew-threads", "lcm(L, q)/q"}}
		p.Kind, p.Unit, p.Decimals = curriculum.KindCount, "", 0
		p.Ask = "After how many turns of the work do the thread and the leadscrew first meet again in the same way?"
	}
	p.Steps = append(s.steps(),
		curriculum.Step{Name: "L", Say: "The carriage repeats by the lead.", Rule: "n*P", Unit: d.units.String(), Method: true},
		curriculum.Step{Name: "q", Say: "Take the leadscrew in the same unit; an inch is exactly 25.4 mm.", Rule: toUnits, Unit: d.units.String()},
		curriculum.Step{Name: "r", Say: "Both must come out whole: take the least common multiple.", Rule: "lcm(L, q)", Unit: d.units.String()})
	if d.units == threadmath.Inch {
		p.Steps = append(p.Steps, curriculum.Step{Name: "t", Say: "Each turn of the work is one lead.", Rule: "r/L"})
	}
	for _, r := range rules {
		if r[0] != "travel-by-pitch" || !d.sameByPitch(s, n) {
			p.Wrong = append(p.Wrong, mistakeWith("pick-up", r[0], r[1], nil))
		}
	}
	return p
}

// sameByPitch reports whether taking the pitch for the lead gives the same answer,
// and so is no mistake here.
func (d *draw) sameByPitch(s spacing, n int) bool {
	q := d.machine.closings.In(d.units)
	p := s.length.In(d.units)
	l := p.Mul(threadmath.Int(int64(n)))
	byPitch, byLead := threadmath.RatioGCD(p, q), threadmath.RatioGCD(l, q)
	if d.units == threadmath.Metric { // the travel, and not the turns
		byPitch, byLead = byPitch.Quo(p), byLead.Quo(l)
	}
	return byPitch.Cmp(byLead) == 0
}

var dialModels = []*model{
	{skill: "thread-dial", name: "repeat", version: 1, weight: 1, serve: serveDial, draw: dialRepeat},
	{skill: "thread-dial", name: "same-start", version: 1, weight: 2, serve: servesCells((*dialCell).asksSame), draw: dialSameStart},
	{skill: "thread-dial", name: "next-start", version: 1, weight: 1, serve: servesCells((*dialCell).asksNext), draw: dialNextStart},
}

func serveDial(m *machine, units threadmath.System) string {
	if len(m.dials) == 0 {
		return "no thread dial"
	}
	return serveHalfNut(m, units)
}

func dialRepeat(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
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

// dialCell is a thread on one dial of a lathe that the dial decides something
// about.
type dialCell struct {
	starts  int
	spacing spacing
	dial    int // of the lathe's
	// lines always come back to start 1; begin holds the lines of later starts by
	// their place in the answer's list.
	lines, every, byPitch []int
	begin                 []threadmath.StartLine
}

// asksSame reports whether the lines of start 1 stand apart from what a learner
// finds who takes all of them.
func (c *dialCell) asksSame() bool { return !slices.Equal(c.lines, c.every) }

// asksNext reports whether a line begins a later start.
func (c *dialCell) asksNext() bool {
	return slices.ContainsFunc(c.begin, func(l threadmath.StartLine) bool { return l.Start > 1 && len(l.Lines) > 0 })
}

var knownDials cellCache[*dialCell]

func (m *machine) dialCells(units threadmath.System) []*dialCell {
	return knownDials.of(m, units, func() []*dialCell { return m.findDialCells(units) })
}

func (m *machine) findDialCells(units threadmath.System) []*dialCell {
	var out []*dialCell
	for n := 2; n <= 6; n++ {
		for _, s := range spacings[units] {
			if !m.cuts(s.length.Times(n)) {
				continue
			}
			for i := range m.dials {
				r := m.dialRequest(s, n, i)
				a, err := threadmath.Solve(r)
				if err != nil || a.PickUp == nil || a.PickUp.Rule != threadmath.PickUpLines || len(a.PickUp.Dials) == 0 {
					continue
				}
				c := dialCell{starts: n, spacing: s, dial: i, lines: a.PickUp.Dials[0].Lines, begin: a.PickUp.Dials[0].Starts, byPitch: linesByPitch(r)}
				for line := range int(m.dials[i].Graduations) {
					c.every = append(c.every, line)
				}
				out = append(out, &c)
			}
		}
	}
	return out
}

// dialRequest is a thread on the lathe with one of its dials.
func (m *machine) dialRequest(s spacing, n, dial int) threadmath.Request {
	l := m.screw
	l.ThreadDials = m.dials[dial : dial+1]
	return threadmath.Request{Thread: s.request(n), Lathe: &l}
}

// servesCells says why no dial of the lathe gives the question.
func servesCells(asks func(*dialCell) bool) func(*machine, threadmath.System) string {
	return func(m *machine, units threadmath.System) string {
		if why := serveDial(m, units); why != "" {
			return why
		}
		if !slices.ContainsFunc(m.dialCells(units), asks) {
			return "no line of the thread dial decides anything for the usual threads"
		}
		return ""
	}
}

// cell draws one of the cells that ask.
func (d *draw) cell(asks func(*dialCell) bool) (*dialCell, error) {
	cells := slices.DeleteFunc(slices.Clone(d.machine.dialCells(d.units)), func(c *dialCell) bool { return !asks(c) })
	n, err := d.starts(startsThat(func(n int) bool {
		return slices.ContainsFunc(cells, func(c *dialCell) bool { return c.starts == n })
	}))
	if err != nil {
		return nil, err
	}
	return oneOf(d, slices.DeleteFunc(cells, func(c *dialCell) bool { return c.starts != n })), nil
}

func (d *draw) dialItem(c *dialCell) *item {
	n, s, r := c.starts, c.spacing, d.machine.dialRequest(c.spacing, c.starts, c.dial)
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
	c, err := d.cell((*dialCell).asksSame)
	if err != nil {
		return nil, err
	}
	it := d.dialItem(c)
	wrong := []curriculum.WrongRule{mistakeWith("thread-dial", "every-line", "", &curriculum.Value{List: c.every})}
	if len(c.byPitch) > 0 && !slices.Equal(c.byPitch, c.every) && !slices.Equal(c.byPitch, c.lines) {
		wrong = append(wrong, mistakeWith("thread-dial", "lines-by-pitch", "", &curriculum.Value{List: c.byPitch}))
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
func linesByPitch(r threadmath.Request) []int {
	r.Thread.Starts = count(1)
	a, err := threadmath.Solve(r)
	if err != nil || len(a.ThreadDials) == 0 {
		return nil
	}
	var out []int
	for _, l := range a.ThreadDials[0].Lines {
		if l.Catches == threadmath.CatchesStart {
			out = append(out, l.Line)
		}
	}
	return out
}

func dialNextStart(d *draw) (*item, error) {
	c, err := d.cell((*dialCell).asksNext)
	if err != nil {
		return nil, err
	}
	var at []int
	for i, l := range c.begin {
		if l.Start > 1 && len(l.Lines) > 0 {
			at = append(at, i)
		}
	}
	i := oneOf(d, at)
	k := c.begin[i].Start
	it := d.dialItem(c)
	it.given("k", "the start wanted", itoa(k))
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindList, Ask: fmt.Sprintf("Which lines begin start %d?", k), Marks: 2, At: fmt.Sprintf("/pick_up/dials/0/starts/%d/lines", i),
		Steps: []curriculum.Step{{Name: "a", Say: "From line 0 the carriage travel to the line must be k − 1 pitches more than whole leads."}},
		Wrong: []curriculum.WrongRule{mistakeWith("thread-dial", "start-1-line", "", &curriculum.Value{List: c.lines})},
	})
	return it, nil
}
