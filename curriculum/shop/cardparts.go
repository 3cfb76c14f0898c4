package shop

import (
	"fmt"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

func (c *carder) facts(p threadmath.InfeedPlan) []curriculum.CardRow {
	var rows []curriculum.CardRow
	add := func(what, is string) { rows = append(rows, curriculum.CardRow{What: what, Is: is}) }
	a, t := c.a, c.r.Thread
	side, hand := "external", "right-hand"
	if t.Side == "internal" {
		side = "internal"
	}
	if t.Hand == "left" {
		hand = "left-hand"
	}
	add("Thread", side+", "+hand+", "+counted(len(a.Starts), "start")+", length "+t.Length)
	add("Pitch, lead", c.size(a.Pitch)+", lead "+c.size(a.Lead)+" ("+a.TurnsPerInch.String()+" turns per inch)")
	add("Single depth", c.size(*a.Depth)+": "+a.DepthRule)
	if b := a.Blank; b != nil {
		word := "Turn to"
		if side == "internal" {
			word = "Bore to"
		}
		is := c.size(b.Diameter)
		if b.Max != nil && b.Min != nil {
			is = c.size(*b.Min) + " to " + c.size(*b.Max)
		}
		add(word, is+", chamfer "+degrees(b.ChamferDeg)+" to "+c.size(b.ChamferTo))
	}
	if g := a.Tool; g != nil {
		is := degrees(g.IncludedDeg) + " included"
		if g.Nose != nil {
			is += ", nose " + c.size(*g.Nose)
		}
		if g.LeadingGrindDeg != nil {
			is += fmt.Sprintf("; side clearance leading %.1f°, trailing %.1f°", *g.LeadingGrindDeg, *g.TrailingGrindDeg)
		}
		add("Tool", is)
	}
	feed := "cross-slide, straight in"
	if p.FedBy == threadmath.FedByCompound {
		feed = fmt.Sprintf("compound at %s from the cross-slide (%s from the axis), %s", degrees(p.InfeedAngleDeg), degrees(p.AngleFromAxisDeg), p.Swing)
	}
	add("Infeed", feed+"; feed "+p.Feed)
	return rows
}

func (c *carder) setUp(p threadmath.InfeedPlan, method string) []string {
	a := c.a
	out := []string{"Dress and eye protection checked; chuck key out; guards in place; a second person is there"}
	switch {
	case a.Gearbox != nil && a.Gearbox.Usable:
		out = append(out, "Gearbox at "+a.Gearbox.Setting+" (the lead, not the pitch)")
	case len(a.GearTrains) > 0:
		t := a.GearTrains[0]
		out = append(out, "Spindle stopped and isolated; change gears: drivers "+wheels(t.Drivers)+", driven "+wheels(t.Driven)+" (the lead, not the pitch)")
	default:
		out = append(out, "Gearing for a lead of "+c.size(a.Lead)+" (the profile names no setting), set to: ______________")
	}
	if c.cut.SpindleRPM != nil {
		out = append(out, "Spindle at "+number(*c.cut.SpindleRPM)+" rev/min, no faster")
	}
	out = append(out, "Tool on centre height and square to the axis, by the gauge")
	switch {
	case p.FedBy == threadmath.FedByCompound:
		out = append(out, "Compound set "+degrees(p.InfeedAngleDeg)+" from the cross-slide")
	case method == "compound-parallel":
		out = append(out, "Compound trued parallel to the axis with an indicator; backlash taken up with the travel; its collar at 0")
	}
	out = append(out, "Tool just touching the work, infeed collar at 0; the cross-slide stop or its reading noted: __________")
	if m := a.RunOut.WithdrawalMark; m != nil {
		out = append(out, "Withdrawal mark made "+c.size(*m)+" from the end where the thread begins")
	}
	return append(out, "Three full passes dry, tool clear of the work: half-nut, withdrawal and stop practised", "At the start the tool stands at least one lead ("+c.size(a.Lead)+") before the work")
}

func wheels(teeth []int) string {
	out := make([]string, len(teeth))
	for i, t := range teeth {
		out[i] = strconv.Itoa(t)
	}
	return strings.Join(out, " × ")
}

func (c *carder) runOut() []curriculum.CardRow {
	o := c.a.RunOut
	rows := []curriculum.CardRow{{What: "The tool runs out at", Is: "the " + o.End}}
	if o.CarriageMMPerS != nil {
		rows = append(rows, curriculum.CardRow{What: "Carriage", Is: fmt.Sprintf("%.1f mm a second at %s rev/min", *o.CarriageMMPerS, number(*c.cut.SpindleRPM))})
	}
	if o.Overrun != nil {
		is := c.size(*o.Overrun) + " at " + number(o.ReactionS) + " s"
		if o.UsableWidth != nil {
			is += ", usable are " + c.size(*o.UsableWidth)
		}
		rows = append(rows, curriculum.CardRow{What: "Overrun", Is: is})
	}
	if o.GreatestRPM != nil {
		is := fmt.Sprintf("%.1f rev/min, a ceiling and no recommendation", *o.GreatestRPM)
		if o.NextLowerRPM != nil {
			is += "; the lathe's next lower speed is " + number(*o.NextLowerRPM)
		}
		rows = append(rows, curriculum.CardRow{What: "Greatest speed", Is: is})
	}
	if m := o.WithdrawalMark; m != nil {
		rows = append(rows, curriculum.CardRow{What: "Withdraw at", Is: "the mark, " + c.size(*m) + " from the end where the thread begins"})
	}
	if o.HalfNut == threadmath.HalfNutKeptClosed {
		rows = append(rows, curriculum.CardRow{What: "At the end", Is: "stop, withdraw the tool, only then reverse"})
	} else {
		rows = append(rows, curriculum.CardRow{What: "At the end", Is: "one hand on the half-nut, one on the cross-slide: open and withdraw together"})
	}
	return rows
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
		p.Spacing = c.size(c.a.Pitch)
	}
	return p
}

func (c *carder) between(method string) string {
	p := c.a.PickUp
	switch {
	case p == nil:
		return "Not known whether the half-nut may be opened: keep it closed."
	case p.Rule == threadmath.PickUpAnywhere:
		return "Between passes the half-nut may be opened and closed anywhere."
	case p.Rule != threadmath.PickUpLines:
		return "Between passes the half-nut stays closed: stop, withdraw the tool, then reverse."
	case method == "thread-dial":
		return "Between passes close the half-nut only on the lines named for the start being cut."
	}
	text := "Between passes close the half-nut only on line " + c.sameStart() + ", counted from line 0, the one start 1 was cut on"
	if method == "half-nut" {
		text += "; for the other starts as far past it as is named for them"
	}
	return text + "."
}

// sameStart names the lines that come back to the same start, of the first dial
// that has any.
func (c *carder) sameStart() string {
	for _, d := range c.a.PickUp.Dials {
		if len(d.Lines) > 0 {
			return list(d.Lines) + " of the dial of " + strconv.Itoa(d.Teeth) + " teeth"
		}
	}
	return "0"
}

// passes lists the collar readings from zero, then the passes without infeed.
func (c *carder) passes(p threadmath.InfeedPlan) []curriculum.CardPass {
	collar := c.collar(p)
	unit, decimals := c.system, -1
	if _, s, err := threadmath.ParseLength(collar.Graduation); err == nil {
		unit = s
	}
	out := make([]curriculum.CardPass, 0, len(p.Passes)+p.SpringPasses)
	for _, pass := range p.Passes {
		row := curriculum.CardPass{Name: strconv.Itoa(pass.Pass), Depth: c.size(pass.Depth)}
		if k := pass.Collar; k != nil {
			row.Dial = dialled(k.Turns, k.Divisions, collar.PerTurn != "")
			row.Reading = sizeIn(k.Reading, unit, decimals)
		}
		out = append(out, row)
	}
	for i := range p.SpringPasses {
		row := out[len(p.Passes)-1]
		row.Name = fmt.Sprintf("no infeed %d", i+1)
		out = append(out, row)
	}
	return out
}

// dialled writes a collar's setting: whole turns and divisions.
func dialled(turns, divisions int, hasTurns bool) string {
	if !hasTurns || turns == 0 {
		return counted(divisions, "division")
	}
	return counted(turns, "turn") + " + " + strconv.Itoa(divisions)
}

// limits lists what is measured on the finished piece.
func (c *carder) limits() []curriculum.CardLimit {
	var rows []curriculum.CardLimit
	if l := c.a.Limits; l != nil {
		for _, z := range []struct {
			what string
			size *threadmath.LimitOfSize
		}{{"Major diameter", l.MajorDiameter}, {"Pitch diameter", l.PitchDiameter}, {"Minor diameter", l.MinorDiameter}} {
			if z.size != nil {
				rows = append(rows, curriculum.CardLimit{What: z.what, Most: c.optional(z.size.Max), Least: c.optional(z.size.Min)})
			}
		}
	} else if c.a.PitchDiameter != nil {
		rows = append(rows,
			curriculum.CardLimit{What: "Pitch diameter, basic (no class given)", Most: c.size(*c.a.PitchDiameter)},
			curriculum.CardLimit{What: "Minor diameter, basic", Most: c.size(*c.a.MinorDiameter)})
	}
	if w := c.a.Wires; w != nil && w.Used != nil {
		what := fmt.Sprintf("Over %d wires of %s", w.Count, c.size(*w.Used))
		switch {
		case w.OverMax != nil:
			rows = append(rows, curriculum.CardLimit{What: what, Most: c.optional(w.OverMax), Least: c.optional(w.OverMin)})
		case w.Over != nil:
			rows = append(rows, curriculum.CardLimit{What: what + ", basic", Most: c.size(*w.Over)})
		}
	}
	p := c.proof()
	rows = append(rows, curriculum.CardLimit{What: "Lead over " + counted(p.Turns, "turn"), Most: p.Lead + " nominal"})
	if p.Spacing != "" {
		rows = append(rows, curriculum.CardLimit{What: "Start to start, least and greatest", Most: p.Spacing + " nominal"})
	}
	return rows
}

func (c *carder) optional(d *threadmath.Dimension) string {
	if d == nil {
		return ""
	}
	return c.size(*d)
}

func (c *carder) notes(method string) []string {
	var out []string
	for _, m := range c.a.Methods {
		if m.Method == method && method != "" {
			note := "From start to start by " + strings.ReplaceAll(method, "-", " ") + ": " + m.Why
			if m.SpacingError != nil && m.SpacingError.MM() > 0 {
				note += "; spacing error up to " + c.size(*m.SpacingError)
				if m.PitchDiameterCost != nil {
					note += ", which uses " + c.size(*m.PitchDiameterCost) + " of pitch diameter"
				}
			}
			out = append(out, note)
		}
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
