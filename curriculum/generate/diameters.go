package generate

import (
	"fmt"
	"math"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Diameters that a shop turns, from the standard series.
var diameterTexts = map[threadmath.System][]string{
	threadmath.Metric: {"12 mm", "16 mm", "20 mm", "24 mm", "30 mm", "36 mm", "42 mm", "48 mm", "60 mm"},
	threadmath.Inch:   {"1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in", "5/4 in", "3/2 in", "7/4 in", "2 in"},
}

// diameter draws one that suits the pitch and lead.
func (d *draw) diameter(s spacing, n int) (text string, l threadmath.Length, err error) {
	text = oneOf(d, diameterTexts[d.units])
	if l, _, err = threadmath.ParseLength(text); err != nil {
		return "", l, err
	}
	if why := unsuited(text, l, s, n); why != "" {
		return "", l, reject("%s", why)
	}
	return text, l, nil
}

// unsuited says why a shop would not cut the thread on the diameter: its pitch is
// more than a sixth of it or less than a sixtieth, or the helix is steeper than
// 30° (one would broach or mill those).
func unsuited(text string, l threadmath.Length, s spacing, n int) string {
	switch {
	case s.length.Times(6).Cmp(l) > 0:
		return s.text + " is too coarse for " + text
	case s.length.Times(60).Cmp(l) < 0:
		return s.text + " is too fine for " + text
	case s.length.Times(n).MM() > math.Pi*l.MM()*math.Tan(30*math.Pi/180):
		return fmt.Sprintf("a lead of %d × %s is too steep on %s", n, s.text, text)
	}
	return ""
}

var diametersModels = []*model{{skill: "diameters", name: "minor-and-pitch", version: 1, weight: 1, draw: diametersOf}}

func diametersOf(d *draw) (*item, error) {
	n, s, f, err := d.external60()
	if err != nil {
		return nil, err
	}
	text, _, err := d.diameter(s, n)
	if err != nil {
		return nil, err
	}
	thread := f.request(s, n)
	thread.Diameter = text
	it := d.item(fmt.Sprintf("%s %s of %s outside diameter has %s. The constant for the depth of this form is %s, that for its pitch diameter 0.6495.",
		capital(article(startWords[n])), f.words, text, s.words(), f.constant))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("d", "outside diameter", text)
	it.solve(threadmath.Request{Thread: thread})
	it.ex.Drawing = "profile"
	constant := curriculum.Step{Name: "K", Say: "The constant of this form is " + f.constant + ".", Rule: f.rule}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "What is its minor diameter?", Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2, At: "/minor_diameter",
		Steps: append(s.steps(), constant,
			curriculum.Step{Name: "h", Say: "The depth is the constant times the pitch.", Rule: "K*P", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "m", Say: "Depth is taken off both sides.", Rule: "d-2*h", Unit: d.units.String()}),
		Wrong: mistakes("diameters", "one-side", "lead-for-pitch", "sharp-v", "added"),
	})
	wrong := []string{"minor-for-pitch"}
	if n > 2 { // with two starts a lead is what both sides of the depth take
		wrong = append(wrong, "pitch-lead")
	}
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: "What is its pitch diameter?", Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2, At: "/pitch_diameter",
		Steps: []curriculum.Step{
			{Name: "J", Say: "Half-way down the triangle on both sides: three quarters of its height, 0.6495 of the pitch.", Rule: "3*sqrt(3)/8"},
			{Name: "q", Say: "Take that off the outside diameter.", Rule: "d-J*P", Unit: d.units.String()},
		},
		Wrong: mistakes("diameters", wrong...),
	})
	return it, nil
}

var collarModels = []*model{{skill: "collar-reading", name: "cross-slide", version: 2, weight: 1, serve: serveCross, draw: collarReading}}

func serveCross(m *machine, units threadmath.System) string {
	switch {
	case m.cross == nil || m.cross.graduation == nil:
		return "no graduated cross-slide"
	case !m.cross.reads(units):
		return "the cross-slide's collar does not read " + units.String()
	}
	return ""
}

// askCollar asks for what was wound in: past a whole turn the collar itself shows
// less, and what a turn is worth is not given.
const askCollar = "Begun from zero, what does the collar count up to at full depth, whole turns included?"

func collarReading(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	c := d.machine.cross
	// The depth of an ISO or Unified external thread, as a learner has it.
	scale := math.Pow10(d.askedLength())
	depth := math.Round(s.length.In(d.units).Float64()*17*math.Sqrt(3)/48*scale) / scale
	h := strconv.FormatFloat(depth, 'f', d.askedLength(), 64) + " " + d.units.String()
	g := lengthDecimal(*c.graduation, d.units)
	reads, rule, say, wrong := "radius", "h", "The collar reads radius: it shows what the slide moves.", []string{"as-diameter", "halved"}
	if c.readsDiameter {
		reads, rule, say, wrong = "diameter", "2*h", "The collar reads diameter: it shows twice what the slide moves.", []string{"as-radius", "halved", "four-times"}
	}
	it := d.item(fmt.Sprintf("The groove of %s thread with %s is %s deep. The cross-slide collar of %s has divisions of %s and reads %s.",
		article(startWords[n]), s.words(), h, d.latheName(), g, reads))
	it.given("h", "depth", h)
	it.given("g", "one division", g)
	it.ex.Drawing = "collar"
	it.setOn("a", c.graduationIn(d.units))
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: askCollar, Unit: d.units.String(), Decimals: d.askedLength(),
		Steps: []curriculum.Step{{Name: "r", Say: say, Rule: rule, Unit: d.units.String()}}, Wrong: mistakes("collar-reading", wrong...),
	})
	return it, nil
}

// lengthDecimal writes a length as a short decimal with its unit.
func lengthDecimal(l threadmath.Length, units threadmath.System) string {
	text, _ := l.In(units).Decimal(6)
	return trimZeros(text) + " " + units.String()
}

var trapezoidalModels = []*model{{skill: "depth-trapezoidal", name: "depth", version: 1, weight: 1, draw: depthTrapezoidal}}

// Pitches of the trapezoidal and Acme series (ISO 2904, ASME B1.5).
var (
	trapezoidalPitches = []string{"2 mm", "3 mm", "4 mm", "5 mm", "6 mm", "7 mm", "8 mm", "9 mm", "10 mm", "12 mm"}
	acmeThreads        = []string{"3 tpi", "4 tpi", "5 tpi", "6 tpi", "8 tpi", "10 tpi", "12 tpi", "14 tpi"}
)

// powerForm draws the starts and pitch of a trapezoidal or Acme thread.
func (d *draw) powerForm() (n int, s spacing, form, words string, err error) {
	if n, err = d.starts(manyStarts); err != nil {
		return 0, s, "", "", err
	}
	text, form, words := oneOf(d, trapezoidalPitches), "trapezoidal", "metric trapezoidal thread"
	if d.units == threadmath.Inch {
		text, form, words = oneOf(d, acmeThreads), "acme", "Acme thread"
	}
	s = mustSpacing(text)
	if !d.machine.cuts(s.length.Times(n)) {
		return n, s, "", "", reject("a lead of %d × %s is beyond this lathe", n, s.text)
	}
	return n, s, form, words, nil
}

func depthTrapezoidal(d *draw) (*item, error) {
	n, s, form, words, err := d.powerForm()
	if err != nil {
		return nil, err
	}
	thread := s.request(n)
	thread.Form = form
	a, err := threadmath.Solve(threadmath.Request{Thread: thread})
	if err != nil || a.Depth == nil {
		return nil, reject("not solvable: %v", err)
	}
	depth, exact := a.Depth.Exact()
	if !exact {
		return nil, reject("the depth is not exact")
	}
	clearance := lengthDecimal(depth.Sub(s.length.Div(2)), d.units)
	it := d.item(fmt.Sprintf("%s %s has %s. Its root clearance is %s.", capital(article(startWords[n])), words, s.words(), clearance))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("c", "root clearance", clearance)
	it.solve(threadmath.Request{Thread: thread})
	it.ex.Drawing = "profile"
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How deep is the groove, measured square to the axis?", Unit: d.units.String(), Decimals: d.askedLength(), At: "/depth",
		Steps: append(s.steps(), curriculum.Step{Name: "h", Say: "Half the pitch, and the clearance once.", Rule: "P/2+c", Unit: d.units.String()}),
		Wrong: mistakes("depth-trapezoidal", "no-clearance", "lead-for-pitch", "both-sides", "clearance-twice"),
	})
	return it, nil
}

var leadAngleModels = []*model{{skill: "lead-angle", name: "pitch-diameter", version: 1, weight: 1, draw: leadAngleOf}}

func leadAngleOf(d *draw) (*item, error) {
	n, s, form, words, err := d.powerForm()
	if err != nil {
		return nil, err
	}
	text, _, err := d.diameter(s, n)
	if err != nil {
		return nil, err
	}
	thread := s.request(n)
	thread.Form, thread.Diameter = form, text
	it := d.item(fmt.Sprintf("%s %s of %s outside diameter has %s. Its pitch diameter is half a pitch less than the outside one.",
		capital(article(startWords[n])), words, text, s.words()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("d", "outside diameter", text)
	it.solve(threadmath.Request{Thread: thread})
	it.ex.Drawing = "starts"
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindAngle, Ask: "What is the lead angle at the pitch diameter?", Unit: curriculum.UnitDegrees, Decimals: 1, Marks: 3, At: "/lead_angle_deg/pitch",
		Steps: append(s.steps(),
			curriculum.Step{Name: "L", Say: "The helix climbs one lead in a turn.", Rule: "n*P", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "m", Say: "The pitch diameter.", Rule: "d-P/2", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "A", Say: "Unrolled, the turn is π times the pitch diameter long.", Rule: "atan(L/(pi*m))", Unit: curriculum.UnitDegrees}),
		Wrong: mistakes("lead-angle", "pitch-for-lead", "no-pi", "turned-over"),
	})
	return it, nil
}

var flanksModels = []*model{{skill: "tool-flanks", name: "grind", version: 1, weight: 1, draw: toolFlanks}}

func toolFlanks(d *draw) (*item, error) {
	n, s, form, words, err := d.powerForm()
	if err != nil {
		return nil, err
	}
	text, _, err := d.diameter(s, n)
	if err != nil {
		return nil, err
	}
	thread := s.request(n)
	thread.Form, thread.Diameter = form, text
	a, err := threadmath.Solve(threadmath.Request{Thread: thread})
	if err != nil || a.LeadAngleDeg == nil {
		return nil, reject("not solvable: %v", err)
	}
	degrees := func(f float64) string { return strconv.FormatFloat(f, 'f', 1, 64) + "°" }
	relief := oneOf(d, []float64{6, 7, 8, 10})
	it := d.item(fmt.Sprintf("The tool for %s %s, %s outside with %s, is ground with %s of relief below both flanks. The lead angle is %s at the minor diameter and %s at the major.",
		article(startWords[n]), words, text, s.words(), degrees(relief), degrees(a.LeadAngleDeg.Minor), degrees(a.LeadAngleDeg.Major)))
	it.given("n", "starts", itoa(n))
	it.given("R", "relief", degrees(relief))
	it.given("u", "lead angle at the minor diameter", degrees(a.LeadAngleDeg.Minor))
	it.given("v", "lead angle at the major diameter", degrees(a.LeadAngleDeg.Major))
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindAngle, Ask: "What angle is ground below the leading flank?", Unit: curriculum.UnitDegrees, Decimals: 1,
		Steps: []curriculum.Step{{Name: "F", Say: "The leading flank runs into the rising helix, steepest at the minor diameter.", Rule: "R+u", Unit: curriculum.UnitDegrees}},
		Wrong: mistakes("tool-flanks", "leading-less", "relief-only", "leading-major"),
	})
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindAngle, Ask: "And below the trailing flank?", Unit: curriculum.UnitDegrees, Decimals: 1,
		Steps: []curriculum.Step{{Name: "B", Say: "The helix runs away from the trailing flank, least at the major diameter.", Rule: "R-v", Unit: curriculum.UnitDegrees}},
		Wrong: mistakes("tool-flanks", "trailing-more", "relief-only", "trailing-minor"),
	})
	return it, nil
}
