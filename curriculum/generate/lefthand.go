package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var leftHandModels = []*model{
	{skill: "left-hand", name: "ends", version: 1, weight: 1, draw: handEnds},
	{skill: "left-hand", name: "swing", version: 1, weight: 1, serve: serveCompound, draw: handSwing},
	{skill: "left-hand", name: "parallel-slide", version: 1, weight: 1, serve: serveParallel, draw: handParallel},
	{skill: "left-hand", name: "dial-lines", version: 1, weight: 1, serve: serveHandDial, draw: handDial},
}

// The ends of the lathe, as choices.
const (
	headstock = "headstock"
	tailstock = "tailstock"
)

// handed draws the hand of the thread, each as often: asked of
// left hands only, one choice would always be right.
func (d *draw) handed() (left bool, err error) {
	v, err := d.radical("hand", []weighted{{"left", 1}, {"right", 1}})
	return v == "left", err
}

func handWord(left bool) string {
	if left {
		return "left"
	}
	return "right"
}

// travelEnd is the end that the tool travels to with the spindle forward.
func travelEnd(left bool) string {
	if left {
		return tailstock
	}
	return headstock
}

// endPart asks for one of the two ends; the other is the named mistake.
func endPart(id, ask, answer, mistake, lead, reason string, toward bool) curriculum.Part {
	words := "at the %s end"
	if toward {
		words = "towards the %s"
	}
	other := headstock
	if answer == headstock {
		other = tailstock
	}
	p := curriculum.Part{
		ID: id, Kind: curriculum.KindChoice, Ask: ask, Answer: curriculum.TextValue(answer),
		Steps: []curriculum.Step{{Name: id, Say: lead}, {Say: reason}},
		Wrong: []curriculum.WrongRule{mistakeWith("left-hand", mistake, "", curriculum.TextValue(other))},
	}
	for _, end := range []string{headstock, tailstock} {
		p.Choices = append(p.Choices, curriculum.Choice{ID: end, Text: fmt.Sprintf(words, end)})
	}
	return p
}

// handEnds asks where a pass goes, and for the groove that a left-hand one begins
// in or the first clear place that a right-hand one needs.
func handEnds(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	left, err := d.handed()
	if err != nil {
		return nil, err
	}
	tools, slacks, closings := []int{200, 250, 300, 400, 500}, []int{20, 30, 40, 60, 80}, []int{50, 80, 100, 150, 200}
	scale := 2
	if d.units == threadmath.Inch {
		tools, slacks, closings, scale = []int{80, 100, 125, 150, 200}, []int{8, 12, 15, 25, 30}, []int{20, 30, 40, 60, 80}, 3
	}
	size := func(from []int) string { return thousandths(oneOf(d, from), scale) + " " + d.units.String() }
	tool, slack, closing := size(tools), size(slacks), size(closings)
	it := d.item(fmt.Sprintf("%s %s-hand thread with %s is cut on %s, the spindle forward and the half-nut closed for each pass. The tool is %s wide; it moves %s until the slack of half-nut and train is taken up, and %s until the half-nut is fully home.",
		capital(article(startWords[n])), handWord(left), s.words(), d.latheName(), tool, slack, closing))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("T", "tool width", tool)
	it.given("s", "slack taken up", slack)
	it.given("v", "travel until the half-nut is home", closing)
	to := travelEnd(left)
	it.part(endPart("a", "Which way does the tool travel while it cuts?", to, "right-hand-travel",
		"Think of a nut that is held still on the turning work: the tool goes where the nut would go.",
		"With the spindle forward a right-hand thread is cut towards the headstock, a left-hand one away from it.", true))
	it.part(endPart("b", "At which end of the thread does every pass begin?", travelEnd(!left), "begins-where-it-ends",
		"Think of the end that the tool comes from.",
		"It begins at the end that the tool comes from, and runs out at the other.", false))
	ask := "How much clear room at least must lie in front of the thread there, the tool's width included?"
	if left {
		ask = "How wide at least must the groove be there, in which the tool stands when a pass begins?"
	}
	it.part(curriculum.Part{
		ID: "c", Kind: curriculum.KindLength, Ask: ask, Unit: d.units.String(), Decimals: scale, Marks: 2,
		Steps: []curriculum.Step{{Name: "G", Say: "The tool itself, and all that it moves before it cuts true: slack, and the closing of the half-nut.", Rule: "T+s+v", Unit: d.units.String(), Method: true}},
		Wrong: mistakes("left-hand", "tool-forgotten", "slack-forgotten", "closing-forgotten", "half-tool"),
	})
	return it, nil
}

// thousandths writes a whole number of the last of so many decimals.
func thousandths(v, decimals int) string {
	scale := int64(1)
	for range decimals {
		scale *= 10
	}
	text, _ := threadmath.Int(int64(v)).Quo(threadmath.Int(scale)).Decimal(decimals)
	return trimZeros(text)
}

// handSwing asks how the compound slide is swung for its infeed angle.
func handSwing(d *draw) (*item, error) {
	n, s, f, err := d.external60()
	if err != nil {
		return nil, err
	}
	left, err := d.handed()
	if err != nil {
		return nil, err
	}
	side, err := d.radical("side", []weighted{{"external", 1}, {"internal", 1}})
	if err != nil {
		return nil, err
	}
	internal := side == "internal"
	deg := oneOf(d, []float64{27, 28, 28.5, 29, 29.5, 30})
	thread := s.request(n)
	thread.Form, thread.Side, thread.Hand = f.form, side, handWord(left)
	it := d.item(fmt.Sprintf("%s %s-hand %s thread of 60° with %s is cut with the leading edge of the tool, fed along the compound slide at %s from the cross-slide. The base of this lathe is graduated from the axis of the work.",
		capital(article(startWords[n])), handWord(left), side, s.words(), angleText(deg)))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("A", "infeed angle from the cross-slide", angleText(deg))
	it.solve(threadmath.Request{Thread: thread, Lathe: &threadmath.Lathe{Name: d.lathe.Name, CompoundSlide: d.lathe.CompoundSlide}, Cut: &threadmath.Cut{InfeedAngleDeg: &deg}})
	answer := headstock
	if left == internal {
		answer = tailstock
	}
	it.part(endPart("a", "Towards which end does the handle of the compound slide point?", answer, "swung-one-turn-over",
		"Fed in, the tool must move along with its travel: ask which way that is, and whether feeding goes inward or outward.",
		"External and right-hand, the handle points to the tailstock; a left hand turns it over, and an internal thread, fed outward, turns it over again.", true))
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindAngle, Ask: "Which angle stands at the mark of the base?", Unit: curriculum.UnitDegrees, Decimals: 1, At: "/infeed/0/angle_from_axis_deg",
		Steps: []curriculum.Step{{Name: "B", Say: "The cross-slide stands square to the axis: what counts from the one and from the other makes 90° together.", Rule: "90-A", Unit: curriculum.UnitDegrees}},
		Wrong: mistakes("left-hand", "as-given", "added"),
	})
	return it, nil
}

// handParallel asks for the moves of a slide parallel to the axis.
func handParallel(d *draw) (*item, error) {
	n, s, lead, err := d.leadOf(fromThree)
	if err != nil {
		return nil, err
	}
	left, err := d.handed()
	if err != nil {
		return nil, err
	}
	k := d.between(2, n)
	if 2*k == n+2 {
		return nil, reject("start %d of %d is as far either way", k, n)
	}
	if t := d.machine.compound.travel; t != nil && s.length.Times(n).Cmp(*t) > 0 {
		return nil, reject("the compound slide does not travel %s", lead)
	}
	it := d.item(fmt.Sprintf("%s %s-hand thread has a lead of %s. The compound slide of %s is set parallel to the axis.",
		capital(article(startWords[n])), handWord(left), lead, d.latheName()))
	it.given("L", "lead", lead)
	it.given("n", "starts", itoa(n))
	it.given("k", "the start wanted", itoa(k))
	it.solve(threadmath.Request{
		Thread: threadmath.Thread{Lead: lead, Starts: count(n), Hand: handWord(left)},
		Lathe:  &threadmath.Lathe{Name: d.lathe.Name, CompoundSlide: d.lathe.CompoundSlide},
	})
	it.ex.Drawing = "starts"
	if d.machine.compound.reads(d.units) {
		it.setOn("b", d.machine.compound.graduationIn(d.units))
	}
	it.part(endPart("a", "Which way is the slide moved from start to start?", travelEnd(left), "slide-against-travel",
		"Its backlash must lie where the cutting force presses it: move it as the tool travels.",
		"It is moved with the tool's travel: towards the headstock for a right-hand thread, towards the tailstock for a left-hand one.", true))
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: fmt.Sprintf("How far is it moved, from where start 1 was cut, to reach start %d?", k), Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2,
		At:    fmt.Sprintf("/compound_slide/moves/%d/distance", n+1-k),
		Steps: []curriculum.Step{pitchStep(d.units), {Name: "m", Say: "With the travel, start k comes after n + 1 − k moves of one pitch, whatever the hand.", Rule: "(n+1-k)*P", Unit: d.units.String()}},
		Wrong: mistakes("left-hand", "against-travel", "whole-lead"),
	})
	j := d.between(1, n-1)
	if 2*j == n {
		j++ // half-way round, both ways of counting meet
	}
	it.given("j", "the move asked for", itoa(j))
	it.part(curriculum.Part{
		ID: "c", Kind: curriculum.KindCount, Ask: fmt.Sprintf("The slide is moved on by one pitch from start to start. Which start does it reach at move %d?", j),
		Steps: []curriculum.Step{{Name: "c", Say: "Against the travel the starts follow one another by number; the slide goes with the travel, so the last comes first.", Rule: "n+1-j"}},
		Wrong: mistakes("left-hand", "counted-up"),
	})
	return it, nil
}

// handCell is a left-hand thread on one dial of a lathe for which the lines of a
// start are others than for a right-hand one.
type handCell struct {
	starts  int
	spacing spacing
	dial    int
	begin   []handLines
}

// handLines are the lines that begin a start; at is its place in the answer.
type handLines struct {
	at, start   int
	left, right []int
}

var knownHandDials cellCache[*handCell]

func (m *machine) handCells(units threadmath.System) []*handCell {
	return knownHandDials.of(m, units, func() []*handCell {
		var out []*handCell
		for i, dial := range m.dials {
			if dial.Runs == "" { // lines are counted as they come up: the same for both hands
				continue
			}
			for n := 3; n <= 6; n++ {
				for _, s := range spacings[units] {
					if !m.cuts(s.length.Times(n)) {
						continue
					}
					if c := m.handCell(n, s, i); c != nil {
						out = append(out, c)
					}
				}
			}
		}
		return out
	})
}

func (m *machine) handCell(n int, s spacing, dial int) *handCell {
	lines := func(hand string) []threadmath.StartLine {
		r := m.dialRequest(s, n, dial)
		r.Thread.Hand = hand
		a, err := threadmath.Solve(r)
		if err != nil || a.PickUp == nil || a.PickUp.Rule != threadmath.PickUpLines || len(a.PickUp.Dials) == 0 {
			return nil
		}
		return a.PickUp.Dials[0].Starts
	}
	c := &handCell{starts: n, spacing: s, dial: dial}
	right := lines("right")
	for at, l := range lines("left") {
		i := slices.IndexFunc(right, func(r threadmath.StartLine) bool { return r.Start == l.Start })
		if i >= 0 && l.Start > 1 && len(l.Lines) > 0 && len(right[i].Lines) > 0 && !slices.Equal(l.Lines, right[i].Lines) {
			c.begin = append(c.begin, handLines{at, l.Start, l.Lines, right[i].Lines})
		}
	}
	if len(c.begin) == 0 {
		return nil
	}
	return c
}

func serveHandDial(m *machine, units threadmath.System) string {
	if why := serveDial(m, units); why != "" {
		return why
	}
	if len(m.handCells(units)) == 0 {
		return "no line of the thread dial tells a left hand from a right one for the usual threads"
	}
	return ""
}

// handDial asks for the dial lines of a left-hand thread by the numbers on the dial.
func handDial(d *draw) (*item, error) {
	cells := d.machine.handCells(d.units)
	n, err := d.starts(startsThat(func(n int) bool { return slices.ContainsFunc(cells, func(c *handCell) bool { return c.starts == n }) }))
	if err != nil {
		return nil, err
	}
	c := oneOf(d, slices.DeleteFunc(slices.Clone(cells), func(c *handCell) bool { return c.starts != n }))
	line := oneOf(d, c.begin)
	r := d.machine.dialRequest(c.spacing, n, c.dial)
	r.Thread.Hand = "left"
	dial := r.Lathe.ThreadDials[0]
	order := "rising"
	if dial.Runs == threadmath.DialRunsDown {
		order = "falling"
	}
	it := d.item(fmt.Sprintf("%s left-hand thread with %s is cut on %s, whose leadscrew is %s. The thread dial has a gear of %d teeth and %d lines, numbered from 0; cutting a right-hand thread its numbers come up in %s order. Start 1 was cut with the half-nut closed on line 0.",
		capital(article(startWords[n])), c.spacing.words(), d.latheName(), d.screwWords(), dial.Teeth, dial.Graduations, order))
	c.spacing.give(it)
	it.given("n", "starts", itoa(n))
	it.given("k", "the start wanted", itoa(line.start))
	it.given("T", "teeth of the dial's gear", itoa(int(dial.Teeth)))
	it.given("M", "lines of the dial", itoa(int(dial.Graduations)))
	it.solve(r)
	it.ex.Drawing = "dial"
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindList, Ask: fmt.Sprintf("Which lines, by the numbers on the dial, begin start %d?", line.start), Marks: 2, At: fmt.Sprintf("/pick_up/dials/0/starts/%d/lines", line.at),
		Steps: []curriculum.Step{
			{Name: "a", Say: "For a left-hand thread the leadscrew runs the other way, and the numbers come up in the other order: from line to line the carriage falls back by the leadscrew threads between them, and start k lies k − 1 pitches back, give or take whole leads."},
		},
		Wrong: []curriculum.WrongRule{mistakeWith("left-hand", "right-hand-lines", "", &curriculum.Value{List: line.right})},
	})
	return it, nil
}
