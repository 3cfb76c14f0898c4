package generate

import (
	"fmt"
	"slices"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var jobModels = []*model{{skill: "whole-job", name: "external-60", version: 2, weight: 1, serve: serveJob, draw: wholeJob}}

func serveJob(m *machine, units threadmath.System) string {
	if m.leadscrew == nil {
		return "no leadscrew"
	}
	return serveCross(m, units)
}

// job is one part being turned into questions. Each part has the name of its last
// step, so that the formulas of later parts take the learner's own value of it.
type job struct {
	*item
	d      *draw
	n      int
	s      spacing
	f      sixty
	length string // the unit of lengths
	dp     int    // decimals of lengths
}

// add appends a part that is evidence for a skill of its own.
func (j *job) add(skill string, p curriculum.Part) {
	p.Skill = skill
	j.part(p)
}

// jobLengths are how long the thread is.
var jobLengths = map[threadmath.System][]string{
	threadmath.Metric: {"30 mm", "40 mm", "50 mm", "60 mm"},
	threadmath.Inch:   {"1 in", "3/2 in", "2 in", "5/2 in"},
}

// jobCell is a thread that the lathe would cut, the diameters that suit it, and
// whether the half-nut may be opened.
type jobCell struct {
	starts    int
	spacing   spacing
	rule      string
	diameters []string
}

// finestJob is the least pitch in mm of a whole job: below it a collar cannot tell
// the mistakes of its reading apart.
const finestJob = 1.5

var knownJobs cellCache[*jobCell]

func (m *machine) jobCells(units threadmath.System) []*jobCell {
	return knownJobs.of(m, units, func() []*jobCell {
		var out []*jobCell
		for n := 2; n <= 6; n++ {
			for _, s := range spacings[units] {
				c := jobCell{starts: n, spacing: s}
				for _, text := range diameterTexts[units] {
					if l, _, err := threadmath.ParseLength(text); err == nil && unsuited(text, l, s, n) == "" {
						c.diameters = append(c.diameters, text)
					}
				}
				screw := m.screw
				rule, _, err := ruleOf(threadmath.Request{Thread: s.request(n), Lathe: &screw})
				if err != nil || len(c.diameters) == 0 || !m.cuts(s.length.Times(n)) || s.length.MM() < finestJob {
					continue
				}
				c.rule = rule
				out = append(out, &c)
			}
		}
		return out
	})
}

// jobCell draws the number of starts, then whether the half-nut is opened, then
// the thread.
func (d *draw) jobCell() (*jobCell, error) {
	cells := d.machine.jobCells(d.units)
	n, err := d.starts(startsThat(func(n int) bool {
		return slices.ContainsFunc(cells, func(c *jobCell) bool { return c.starts == n })
	}))
	if err != nil {
		return nil, err
	}
	cells = slices.DeleteFunc(slices.Clone(cells), func(c *jobCell) bool { return c.starts != n })
	var rules []weighted
	for _, rule := range []string{threadmath.PickUpAnywhere, threadmath.PickUpLines, threadmath.PickUpKeepClosed} {
		if slices.ContainsFunc(cells, func(c *jobCell) bool { return c.rule == rule }) {
			rules = append(rules, weighted{rule, 1})
		}
	}
	rule, err := d.radical("half-nut", rules)
	if err != nil {
		return nil, err
	}
	return oneOf(d, slices.DeleteFunc(cells, func(c *jobCell) bool { return c.rule != rule })), nil
}

// wholeJob takes one part from its drawing to the last start: lead, depth, pitch
// diameter, lead angle, half-nut, speed or overrun, collar, passes, next start.
func wholeJob(d *draw) (*item, error) {
	c, err := d.jobCell()
	if err != nil {
		return nil, err
	}
	n, s, f, rule := c.starts, c.spacing, national, c.rule
	if d.units == threadmath.Metric {
		f = isoExternal
	}
	thread := f.request(s, n)
	diameter := oneOf(d, c.diameters)
	thread.Diameter, thread.Length = diameter, oneOf(d, jobLengths[d.units])
	lathe := d.machine.ways
	lathe.CrossSlide = d.lathe.CrossSlide
	request := threadmath.Request{Thread: thread, Lathe: &lathe}
	wrongRule := slices.DeleteFunc(pickUpMistakes(), func(w curriculum.WrongRule) bool { return w.Answer.Text == rule })
	it := d.item(fmt.Sprintf("%s %s, %s outside diameter with %s and %s long, is cut on %s, whose leadscrew is %s. %s",
		capital(article(startWords[n])), f.words, diameter, s.words(), thread.Length, d.latheName(), d.screwWords(), d.dialWords()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("d", "outside diameter", diameter)
	it.ex.Drawing = "starts"
	j := &job{item: it, d: d, n: n, s: s, f: f, length: d.units.String(), dp: d.askedLength()}
	j.thread()
	j.halfNut(rule, wrongRule)
	if err := j.runOut(rule, &request); err != nil {
		return nil, err
	}
	j.infeed()
	j.nextStart()
	it.solve(request)
	return it, nil
}

// thread asks for what the drawing says: pitch where it counts per inch, lead,
// depth, pitch diameter, lead angle.
func (j *job) thread() {
	if j.s.system == threadmath.Inch {
		j.add("tpi-pitch", curriculum.Part{
			ID: "P", Kind: curriculum.KindLength, Ask: "What is its pitch?", Unit: j.length, Decimals: 4, At: "/pitch",
			Steps: j.s.steps(), Wrong: mistakes("tpi-pitch", "whole-inch"),
		})
	}
	j.add("lead", curriculum.Part{
		ID: "L", Kind: curriculum.KindLength, Ask: "What is its lead?", Unit: j.length, Decimals: j.dp, At: "/lead",
		Steps: []curriculum.Step{{Name: "L", Say: "The lead is the number of starts times the pitch.", Rule: "n*P", Unit: j.length}},
		Wrong: mistakes("lead", "pitch-for-lead", "divided", "added"),
	})
	j.add("depth-60", curriculum.Part{
		ID: "h", Kind: curriculum.KindLength, Ask: "The constant for its depth is " + j.f.constant + ". How deep is the groove?", Unit: j.length, Decimals: j.dp, Marks: 2, At: "/depth",
		Steps: []curriculum.Step{
			{Name: "K", Say: "The constant of this form is " + j.f.constant + ".", Rule: j.f.rule},
			{Name: "h", Say: "The depth is the constant times the pitch, whatever the number of starts.", Rule: "K*P", Unit: j.length, Method: true},
		},
		Wrong: mistakes("depth-60", j.f.wrong...),
	})
	wrong := []string{"minor-for-pitch"}
	if j.n > 2 { // with two starts a lead is what both sides of the depth take
		wrong = append(wrong, "pitch-lead")
	}
	j.add("diameters", curriculum.Part{
		ID: "m", Kind: curriculum.KindLength, Ask: "The constant for its pitch diameter is 0.6495. What is that diameter?", Unit: j.length, Decimals: j.dp, Marks: 2, At: "/pitch_diameter",
		Steps: []curriculum.Step{
			{Name: "B", Say: "Half-way down the triangle on both sides: 0.6495 of the pitch.", Rule: "3*sqrt(3)/8"},
			{Name: "m", Say: "Take that off the outside diameter.", Rule: "d-B*P", Unit: j.length, Method: true},
		},
		Wrong: mistakes("diameters", wrong...),
	})
	j.add("lead-angle", curriculum.Part{
		ID: "f", Kind: curriculum.KindAngle, Ask: "What is the lead angle at the pitch diameter?", Unit: curriculum.UnitDegrees, Decimals: 1, Marks: 2, At: "/lead_angle_deg/pitch",
		Steps: []curriculum.Step{{Name: "f", Say: "Unrolled, the turn is π times the pitch diameter long, and the helix climbs one lead.", Rule: "atan(L/(pi*m))", Unit: curriculum.UnitDegrees, Method: true}},
		Wrong: mistakes("lead-angle", "pitch-for-lead", "no-pi", "turned-over"),
	})
}

// halfNut asks the first question at the lathe.
func (j *job) halfNut(rule string, wrong []curriculum.WrongRule) {
	j.add("pick-up", curriculum.Part{
		ID: "p", Kind: curriculum.KindChoice, Ask: "May the half-nut be opened between passes?", Choices: pickUpChoices, At: "/pick_up/rule",
		Steps: []curriculum.Step{{Name: "p", Say: ruleReasons[rule]}}, Wrong: wrong,
	})
}

// runOut asks for the greatest speed where the half-nut is opened at the end of
// the thread, and for the overrun where it stays closed.
func (j *job) runOut(rule string, r *threadmath.Request) error {
	reaction := 0.7 // a start value, common practice, no source
	r.Cut = &threadmath.Cut{ReactionS: &reaction}
	if rule == threadmath.PickUpKeepClosed {
		return j.overrun(r)
	}
	groove, tool, half, err := j.d.grooveAndTool()
	if err != nil {
		return err
	}
	wrong := []string{"pitch-for-lead", "per-second"}
	if j.n > 2 || !half { // two starts in half the groove are one in the whole
		wrong = append(wrong, "whole-groove")
	}
	r.Cut.Groove, r.Cut.ToolWidth = groove, tool
	j.given("G", "groove at the end", groove)
	j.given("T", "tool width", tool)
	j.given("t", "time to open the half-nut, s", "0.7")
	j.add("run-out", curriculum.Part{
		ID: "S", Kind: curriculum.KindSpeed, Ask: "The thread runs out into a groove of " + groove + "; the tool is " + tool + " wide and the half-nut is open after 0.7 s. What is the greatest spindle speed?",
		Unit: curriculum.UnitRevPerMin, Decimals: 0, Marks: 3, At: "/run_out/greatest_rpm", Safety: true, RoundDown: true,
		Steps: []curriculum.Step{
			{Name: "w", Say: "The usable width: half the groove, or what the tool leaves free if that is less.", Rule: "min(G/2, G-T)", Unit: j.length, Method: true},
			{Name: "S", Say: "That width must last for the time it takes at one lead a turn; a minute has 60 seconds. Round down: it is a ceiling.", Rule: "60*w/(L*t)", Unit: curriculum.UnitRevPerMin, Method: true},
		},
		Wrong: mistakes("run-out", wrong...),
	})
	return nil
}

// overrun asks how far the carriage runs on with the half-nut closed.
func (j *job) overrun(r *threadmath.Request) error {
	speeds := slices.DeleteFunc(slices.Clone(j.d.lathe.SpindleSpeeds), func(v float64) bool { return v > slowSpeed })
	if len(speeds) == 0 {
		speeds = []float64{40, 60}
	}
	speed, coast := oneOf(j.d, speeds), oneOf(j.d, []float64{0.5, 0.75, 1, 1.25, 1.5})
	r.Cut.SpindleRPM, r.Cut.CoastTurns = &speed, &coast
	speedText, coastText := strconv.FormatFloat(speed, 'f', -1, 64), strconv.FormatFloat(coast, 'f', -1, 64)
	j.given("S", "spindle speed", speedText+" rev/min")
	j.given("t", "time to switch off, s", "0.7")
	j.given("c", "turns that the spindle coasts", coastText)
	j.add("run-out", curriculum.Part{
		ID: "o", Kind: curriculum.KindLength,
		Ask:  "At " + speedText + " rev/min it takes 0.7 s to switch the spindle off, which then coasts " + coastText + " turns. How far does the carriage run on past the mark?",
		Unit: j.length, Decimals: j.dp, Marks: 3, At: "/run_out/overrun", Safety: true,
		Steps: []curriculum.Step{
			{Name: "u", Say: "Turns until it is switched off; a minute has 60 seconds.", Rule: "S*t/60", Method: true},
			{Name: "v", Say: "And the turns that it coasts.", Rule: "u+c"},
			{Name: "o", Say: "The carriage runs one lead in each.", Rule: "L*v", Unit: j.length, Method: true},
		},
		Wrong: mistakes("run-out", "pitch-overrun", "coast-left-out", "turns-a-minute"),
	})
	return nil
}

// slowSpeed is the greatest speed in rev/min at which a long lead would be cut
// with the half-nut closed (common practice, no source).
const slowSpeed = 100

// infeed asks for the collar at full depth and, in mm, for the depth after one of
// the passes.
func (j *job) infeed() {
	c := j.d.machine.cross
	j.setOn("r", c.graduationIn(j.d.units))
	g := lengthDecimal(*c.graduation, j.d.units)
	reads, rule, say, wrong := "radius", "h", "The collar reads radius: it shows what the slide moves.", []string{"as-diameter", "halved"}
	if c.readsDiameter {
		reads, rule, say, wrong = "diameter", "2*h", "The collar reads diameter: it shows twice what the slide moves.", []string{"as-radius", "halved", "four-times"}
	}
	j.given("g", "one division of the cross-slide collar", g)
	j.add("collar-reading", curriculum.Part{
		ID: "r", Kind: curriculum.KindLength, Ask: "The cross-slide collar has divisions of " + g + " and reads " + reads + ". " + askCollar, Unit: j.length, Decimals: j.dp,
		Steps: []curriculum.Step{{Name: "r", Say: say, Rule: rule, Unit: j.length}}, Wrong: mistakes("collar-reading", wrong...),
	})
	if j.s.system == threadmath.Inch {
		return // the pitch has been asked for: ten parts are enough
	}
	passes := j.d.between(6, 14)
	i := j.d.between(2, passes*2/3) // towards the end equal steps are as deep
	j.given("Z", "passes", itoa(passes))
	j.given("i", "the pass asked for", itoa(i))
	j.add("pass-schedule", curriculum.Part{
		ID: "x", Kind: curriculum.KindLength, Ask: fmt.Sprintf("Each start takes %d passes of equal chip with a sharp tool. How deep is the groove after pass %d?", passes, i), Unit: j.length, Decimals: j.dp, Marks: 2,
		Steps: []curriculum.Step{
			{Name: "e", Say: "Area grows with the square of the depth: take the root of the share of passes.", Rule: "sqrt(i/Z)", Method: true},
			{Name: "x", Say: "That share of the whole depth.", Rule: "h*e", Unit: j.length},
		},
		Wrong: []curriculum.WrongRule{
			mistakeWith("pass-schedule", "equal-steps", "h*i/Z", nil),
			mistakeWith("pass-schedule", "squared", "h*(i/Z)^2", nil),
			mistakeWith("pass-schedule", "no-root", "h*sqrt(i)", nil),
		},
	})
}

// nextStart asks where a later start lies and how the work is turned to the next.
func (j *job) nextStart() {
	k := j.d.between(2, j.n)
	j.given("k", "the start wanted", itoa(k))
	wrong := []curriculum.WrongRule{mistakes("axial-offset", "whole-lead")[0]}
	if k < j.n { // at the last start all give the whole lead
		wrong = append(wrong, mistakes("axial-offset", "gaps")[0], mistakeWith("axial-offset", "one-too-many", "k*L/n", nil))
	}
	j.add("axial-offset", curriculum.Part{
		ID: "s", Kind: curriculum.KindLength, Ask: fmt.Sprintf("How far behind start 1, against the tool's travel, does start %d lie?", k), Unit: j.length, Decimals: j.dp, Marks: 2, At: fmt.Sprintf("/starts/%d/offset", k-1),
		Steps: []curriculum.Step{{Name: "s", Say: "The lead is shared by the starts, and start k lies k − 1 of those pitches on.", Rule: "(k-1)*L/n", Unit: j.length, Method: true}},
		Wrong: wrong,
	})
	if sharing := j.d.machine.sharing(j.n); len(sharing) > 0 {
		h := oneOf(j.d, sharing)
		stations := int(h.Stations)
		name, order := stationWords(h.Kind)
		j.given("J", name, itoa(stations))
		j.add("station-index", curriculum.Part{
			ID: "z", Kind: curriculum.KindCount, Ask: fmt.Sprintf("The work is turned with %s, %s. How many %s on from one start to the next?", holderWords(h), order, name),
			Steps: []curriculum.Step{{Name: "z", Say: "The stations are shared by the starts.", Rule: "J/n"}},
			Wrong: mistakesApart(map[string]int{"gaps": wholeGaps(stations, j.n), "starts-as-step": j.n, "difference": stations - j.n}, stations/j.n, "gaps", "starts-as-step", "difference"),
		})
		return
	}
	angles := []string{"by-lead", "gaps", "half-turn"}
	if j.n > 2 { // half a turn is half a turn either way
		angles = append(angles, "backwards")
	}
	j.add("index-angle", curriculum.Part{
		ID: "a", Kind: curriculum.KindAngle, Ask: "The work is turned to begin each next start. Through what angle?", Unit: curriculum.UnitDegrees, Decimals: 1, At: "/starts/1/angle_deg",
		Steps: []curriculum.Step{{Name: "a", Say: "A whole turn is shared by the starts.", Rule: "360/n", Unit: curriculum.UnitDegrees}},
		Wrong: mistakes("index-angle", angles...),
	})
}

// grooveAndTool draws a run-out groove and the width of the tool; half reports
// whether half the groove is what counts.
func (d *draw) grooveAndTool() (groove, tool string, half bool, err error) {
	groove, tool = oneOf(d, []string{"6 mm", "8 mm", "10 mm", "12 mm"}), oneOf(d, []string{"2 mm", "3 mm", "4 mm", "5 mm"})
	if d.units == threadmath.Inch {
		groove, tool = oneOf(d, []string{"0.25 in", "0.375 in", "0.5 in"}), oneOf(d, []string{"0.1 in", "0.125 in", "0.15 in"})
	}
	g, _, err := threadmath.ParseLength(groove)
	if err != nil {
		return "", "", false, err
	}
	t, _, err := threadmath.ParseLength(tool)
	return groove, tool, t.Times(2).Cmp(g) <= 0, err
}
