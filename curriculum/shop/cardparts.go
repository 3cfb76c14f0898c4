package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// The two ends of the work, and the way between them as the operator sees it.
const (
	atHeadstock, atTailstock = "headstock end", "tailstock end"
	leftwards                = "towards the headstock, to the operator's left"
	rightwards               = "towards the tailstock, to the operator's right"
)

func (c *carder) thread() curriculum.CardThread {
	a, t := c.a, c.t
	out := curriculum.CardThread{
		Designation: a.Designation, Form: t.Form, Side: t.Side, Hand: t.Hand, Class: t.Class, Starts: len(a.Starts),
		Pitch: c.size(a.Pitch), Lead: c.size(a.Lead), TurnsPerInch: a.TurnsPerInch.String(),
		Depth: c.size(*a.Depth), DepthRule: a.DepthRule, BeginsAt: atTailstock, EndsAt: atHeadstock, Travel: leftwards,
	}
	if l, _, err := threadmath.ParseLength(t.Length); err == nil {
		out.Length = c.size(threadmath.ExactDimension(l, c.system))
	}
	if c.left() {
		out.BeginsAt, out.EndsAt, out.Travel = atHeadstock, atTailstock, rightwards
	}
	if c.internal() && !c.left() {
		out.EndsAt = c.a.RunOut.End
	}
	return out
}

// blankBand is the share of the pitch that a blank without a class may be off its
// nominal size; common practice, no source.
const blankBand = 0.05

func (c *carder) blank() curriculum.CardBlank {
	b, d := c.a.Blank, c.a.CutDepth
	out := curriculum.CardBlank{Turn: "turn to", ChamferDeg: b.ChamferDeg, ChamferTo: c.size(b.ChamferTo), Touch: c.size(*d.Touch), TouchPerMM: 1 / (2 * c.feed.radial)}
	if c.internal() {
		out.Turn = "bore to"
	}
	switch band := c.a.Pitch.MM() * blankBand; {
	case b.Max != nil && b.Min != nil:
		out.Max, out.Min = c.size(*b.Max), c.size(*b.Min)
	case c.internal():
		out.Max, out.Min = c.mm(b.Diameter.MM()+band), c.size(b.Diameter)
	default:
		out.Max, out.Min = c.size(b.Diameter), c.mm(b.Diameter.MM()-band)
	}
	less := "what the blank is smaller than " + out.Touch.Text
	if c.internal() {
		less = "what the bore is larger than " + out.Touch.Text
	}
	out.TouchRule = fmt.Sprintf("Where the tool touches, the collar of the %s is set to %s times %s; a blank of just %s is set to 0. Readings below that are left out.", c.plan.FedBy, factor(out.TouchPerMM), less, out.Touch.Text)
	if d.Preset != nil {
		m, _, err := threadmath.ParseLength(c.cut.MeasuredBlank)
		if err == nil {
			out.Measured = &curriculum.CardMeasured{Diameter: c.size(threadmath.ExactDimension(m, c.system)), Touch: c.feed.at(int(d.Preset.MM()/c.feed.radial/c.feed.division + 0.5))}
		}
	}
	size := func(text string) *curriculum.CardSize {
		l, _, err := threadmath.ParseLength(text)
		if err != nil {
			return nil
		}
		return c.sizep(threadmath.ExactDimension(l, c.system))
	}
	out.Groove, out.StartingGroove = size(c.cut.Groove), size(c.cut.StartingGroove)
	return out
}

func (c *carder) tool() curriculum.CardTool {
	g := c.a.Tool
	out := curriculum.CardTool{
		IncludedDeg: g.IncludedDeg, Flat: c.size(c.a.CutDepth.Flat), LeadingGrindDeg: g.LeadingGrindDeg, TrailingGrindDeg: g.TrailingGrindDeg,
		Leading: "towards the headstock",
	}
	if c.left() {
		out.Leading = "towards the tailstock"
	}
	if f, err := threadmath.FormOf(c.t.Form); err == nil && (f.Symmetrical() || c.t.LeadingFlank != "") {
		leading, trailing := f.LoadFlankDeg, f.ClearanceFlankDeg
		if c.t.LeadingFlank == "clearance" {
			leading, trailing = trailing, leading
		}
		out.LeadingFlankDeg, out.TrailingFlankDeg = &leading, &trailing
	}
	if g.NoseRadius != nil && c.cut.ToolFlat == "" {
		out.Radius = c.sizep(*g.NoseRadius)
	}
	return out
}

func (c *carder) gear() curriculum.CardGear {
	out := curriculum.CardGear{Reverse: "the carriage goes " + leftwards + ", with the spindle forward", RPM: *c.cut.SpindleRPM}
	if c.left() {
		out.Reverse = "the carriage goes " + rightwards + ", with the spindle forward"
	}
	if c.a.Gearbox != nil && c.a.Gearbox.Usable {
		out.Gearbox = c.a.Gearbox.Setting
	} else if t := c.train(); t != nil {
		out.Drivers, out.Driven = t.Drivers, t.Driven
	}
	return out
}

func (c *carder) runOut() curriculum.CardRunOut {
	o := c.a.RunOut
	slip := c.slip()
	out := curriculum.CardRunOut{
		Hand: curriculum.HandOpens, ActAt: c.size(*o.ActAt), StillBy: c.mm(o.StillBy.MM() + slip), Limit: c.size(*o.Limit), Room: c.size(*o.Room),
		Overrun: c.size(*o.Overrun), ReactionS: o.ReactionS, GreatestRPM: o.GreatestRPM, NoGroove: c.cut.Groove == "",
	}
	act := "begin to act: open the half-nut and draw the tool out together, one hand on each"
	if c.internal() {
		act = "begin to act: open the half-nut and free the tool together, one hand on each"
	}
	if o.HalfNut == threadmath.HalfNutKeptClosed {
		out.Hand, out.CoastTurns = curriculum.HandStops, c.cut.CoastTurns
		act = "begin to act: switch the spindle off, and wait until it stands; then draw the tool out, and only then reverse"
	}
	out.Sketch = fmt.Sprintf("From the %s: %s of full thread. When the tool's nose is at %s, %s. It stands still by %s. At %s the room ends.",
		c.thread().BeginsAt, c.thread().Length.Text, out.ActAt.Text, act, out.StillBy.Text, out.Limit.Text)
	if out.NoGroove {
		out.Sketch += " There is no groove, so that a late hand meets uncut metal: drill or undercut a relief there, or act a little earlier with every pass."
	}
	return out
}

// proofTurns is over how many turns the scratch is measured where it is long
// enough.
const proofTurns = 5

func (c *carder) proof() curriculum.ScratchProof {
	p := curriculum.ScratchProof{Turns: 1, Lead: c.size(c.a.Lead)}
	for _, l := range c.a.Measuring.LeadOver {
		if l.Turns <= proofTurns {
			p.Turns, p.Lead = l.Turns, c.size(l.Length)
		}
	}
	if len(c.a.Starts) > 1 {
		p.Spacing = c.sizep(c.a.Pitch)
		if m := c.methodAnswer(); m != nil && m.SpacingError != nil {
			p.SpacingError = c.sizep(*m.SpacingError)
		}
	}
	return p
}

func (c *carder) methodAnswer() *threadmath.Method {
	if i := slices.IndexFunc(c.a.Methods, func(m threadmath.Method) bool { return c.method != "" && m.Method == c.method }); i >= 0 {
		return &c.a.Methods[i]
	}
	return nil
}

func (c *carder) between() curriculum.CardBetween {
	out := curriculum.CardBetween{HalfNut: threadmath.HalfNutOpened}
	if c.keepsClosed() {
		out.HalfNut = threadmath.HalfNutKeptClosed
		out.Text = "The half-nut stays closed from the first pass to the last: stop, draw the tool out, only then reverse, and stop one lead before the work."
		return out
	}
	if c.a.PickUp.Rule == threadmath.PickUpAnywhere {
		out.Text = "Between passes the half-nut may be opened and closed anywhere."
		return out
	}
	if c.method == threadmath.ByThreadDial {
		out.Text = "Between passes close the half-nut only on the lines named for the start being cut."
		return out
	}
	dial, _ := c.sameStart()
	if dial == nil {
		return out // the rule names lines only where a dial has some
	}
	out.Lines, out.Teeth = dial.Lines, dial.Teeth
	text := "Between passes close the half-nut only on line " + list(dial.Lines) + " of the dial of " + strconv.Itoa(dial.Teeth) + " teeth, counted from line 0, the one that start 1 was first cut on"
	switch c.method {
	case threadmath.ByCarriageShift:
		out.OwnLine = true
		text = strings.Replace(text, "start 1 was", "this start was", 1) + ": note it for every start"
	case threadmath.ByHalfNut:
		out.Lines = nil
		text = "Between passes close the half-nut only as named for the start being cut, on the dial of " + strconv.Itoa(dial.Teeth) + " teeth"
	case "":
	default:
		text += ", for every start"
	}
	out.Text = text + "."
	return out
}

func (c *carder) setUp(card curriculum.BenchCard) []string {
	out := []string{"Dress and eye protection checked; chuck key out; guards in place; a second person is there"}
	b := card.Blank
	out = append(out, fmt.Sprintf("Blank: %s %s to %s; chamfer %s to %s. Measured: ____________", b.Turn, b.Min.Text, b.Max.Text, degrees(b.ChamferDeg), b.ChamferTo.Text))
	if b.Groove != nil {
		out = append(out, "Run-out groove "+b.Groove.Text+" wide at the "+card.Thread.EndsAt+", to the root of the thread")
	}
	if b.StartingGroove != nil {
		out = append(out, "Starting groove "+b.StartingGroove.Text+" wide at the "+card.Thread.BeginsAt+", to the root of the thread")
	}
	if card.Holder != nil && card.Holder.Kind != threadmath.IndexHoles {
		out = append(out, "Work between centres; the soft centre in the spindle trued in place and left there; a dog with a guarded tail drives it against "+stationWord[c.method]+" 1")
	}
	switch g := card.Gear; {
	case g.Gearbox != "":
		out = append(out, "Gearbox at "+g.Gearbox+" (the lead, not the pitch)")
	case len(g.Drivers) > 0:
		out = append(out, "Spindle stopped and isolated; change gears: drivers "+wheels(g.Drivers)+", driven "+wheels(g.Driven)+" (the lead, not the pitch)")
	default:
		out = append(out, "Gearing for a lead of "+card.Thread.Lead.Text+" (the profile names no setting), set to: ______________")
	}
	out = append(out, "Feed reverse: "+card.Gear.Reverse, "Spindle at "+number(card.Gear.RPM)+" rev/min, no faster", "Tool on centre height and square to the axis, by the gauge")
	switch {
	case c.plan.FedBy == threadmath.FedByCompound:
		out = append(out, fmt.Sprintf("Compound set %s from the cross-slide (%s from the axis), %s", degrees(card.Infeed.AngleDeg), degrees(card.Infeed.FromAxisDeg), card.Infeed.Swing))
	case c.method == threadmath.ByCompoundParallel:
		out = append(out, "Compound trued parallel to the axis with an indicator; backlash taken up with the travel; its collar at 0")
	}
	if m := b.Measured; m != nil {
		out = append(out, "Tool just touching the blank of "+m.Diameter.Text+": collar of the "+c.plan.FedBy+" at "+m.Touch.Text+" ("+m.Touch.Reading.Text+")")
	} else {
		out = append(out, b.TouchRule+" Set to: ____________")
	}
	if c.plan.FedBy == threadmath.FedByCompound {
		out = append(out, "The cross-slide's collar at 0 there, or its stop set: it comes back to this place before every pass")
	}
	place := "Marks on the bed for the carriage, with the compound at 0 and the tool's nose at: act " + card.RunOut.ActAt.Text + ", still by " + card.RunOut.StillBy.Text
	if slices.ContainsFunc(card.Starts, func(s curriculum.CardStart) bool { return s.CarriageAt.Text != card.RunOut.ActAt.Text }) {
		place += "; for the other starts as named with them"
	}
	out = append(out, place)
	return append(out, "Three full passes dry, tool clear of the work: lever, withdrawal and stop practised",
		"At the start of every pass the tool's nose stands at least one lead ("+card.Thread.Lead.Text+") before the work, at the "+card.Thread.BeginsAt)
}

func wheels(teeth []int) string {
	out := make([]string, len(teeth))
	for i, t := range teeth {
		out[i] = strconv.Itoa(t)
	}
	return strings.Join(out, " × ")
}

func (c *carder) notes() []string {
	var out []string
	if m := c.methodAnswer(); m != nil {
		note := "From start to start by " + strings.ReplaceAll(c.method, "-", " ") + ": " + m.Why
		if m.SpacingError != nil && m.SpacingError.MM() > 0 {
			note += "; spacing error up to " + c.text(*m.SpacingError)
			if m.PitchDiameterCost != nil {
				note += ", which uses " + c.text(*m.PitchDiameterCost) + " of pitch diameter"
			}
		}
		out = append(out, note)
	}
	if o := c.a.RunOut; o.CarriageMMPerS != nil {
		note := fmt.Sprintf("The carriage goes %.1f mm a second at %s rev/min and overruns %s in %s s", *o.CarriageMMPerS, number(*c.cut.SpindleRPM), c.text(*o.Overrun), number(o.ReactionS))
		if c.cut.CoastTurns != nil && o.HalfNut == threadmath.HalfNutKeptClosed {
			note += " and " + number(*c.cut.CoastTurns) + " turns of coast"
		}
		out = append(out, note+": a ceiling and no recommendation")
	}
	if l := c.a.Limits; l != nil {
		note := "Limits: class " + l.Class + ", " + l.Source
		if l.MultiStart != "" {
			note += "; " + l.MultiStart
		}
		if l.Why != "" {
			note += "; " + l.Why
		}
		out = append(out, note)
	}
	if g := c.a.Measuring; g != nil && g.Gauge != "" {
		out = append(out, "Gauge: "+g.Gauge)
	}
	if w := c.a.Wires; w != nil {
		for _, s := range []string{w.Arrangement, w.Why} {
			if s != "" {
				out = append(out, "Wires: "+s)
			}
		}
	}
	return append(out, "Accept a reading only when it lies inside the limits by more than the instrument's uncertainty; between that and the limit measure again.")
}
