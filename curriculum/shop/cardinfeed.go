package shop

import (
	"fmt"
	"math"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// collar is the collar of a slide: what it shows and how the tool moves by it.
type collar struct {
	system   threadmath.System // of what stands on it
	division float64           // as the collar shows it, mm
	perTurn  int               // divisions a turn; 0 is not known
	diameter bool              // it shows twice the way of the slide
	radial   float64           // mm of radial depth for a mm that the collar shows
}

func (c *carder) slideOf(p threadmath.InfeedPlan) *threadmath.Slide {
	if p.FedBy == threadmath.FedByCompound {
		return c.lathe.CompoundSlide
	}
	return c.lathe.CrossSlide
}

// feedOf returns the collar that the tool is fed by.
func (c *carder) feedOf() collar {
	k := collarOf(c.slideOf(c.plan))
	k.radial = math.Cos(c.plan.InfeedAngleDeg * math.Pi / 180)
	if k.diameter {
		k.radial /= 2
	}
	return k
}

// collarOf reads a slide that the solver has read before.
func collarOf(s *threadmath.Slide) collar {
	k := collar{radial: 1}
	if s == nil || s.Graduation == "" {
		return k
	}
	division, system, err := threadmath.ParseLength(s.Graduation)
	if err != nil {
		return k
	}
	k.system, k.division = system, division.MM()
	if s.Collar() == "diameter" {
		k.diameter, k.radial = true, 0.5
	}
	if turn, _, err := threadmath.ParseLength(s.PerTurn); err == nil {
		if n, whole := turn.Quo(division).Int64(); whole {
			k.perTurn = int(n)
		}
	}
	return k
}

// at is the setting of so many divisions from zero.
func (k collar) at(divisions int) curriculum.CardSetting {
	out := curriculum.CardSetting{Divisions: divisions}
	if k.perTurn > 0 {
		out.Turns, out.Divisions = divisions/k.perTurn, divisions%k.perTurn
	}
	shown := threadmath.ApproxDimension(float64(divisions) * k.division)
	// A division finer than what a card prints is given in full.
	digits := decimals(k.system)
	for d := threadmath.ApproxDimension(k.division).Value(k.system); digits < 6 && math.Abs(d*math.Pow10(digits)-math.Round(d*math.Pow10(digits))) > 1e-6; {
		digits++
	}
	out.Reading = curriculum.CardSize{Text: strconv.FormatFloat(shown.Value(k.system), 'f', digits, 64) + " " + k.system.String(), MM: shown.MM()}
	out.Text = counted(out.Divisions, "division")
	if out.Turns > 0 {
		out.Text = counted(out.Turns, "turn") + " + " + strconv.Itoa(out.Divisions)
	}
	return out
}

// nearest is the number of divisions nearest to a way of the slide in mm.
func (k collar) nearest(mm float64) int {
	if k.diameter {
		mm *= 2
	}
	return int(math.Round(mm / k.division))
}

// count is the number of divisions of a setting of the solver.
func (k collar) count(turns, divisions int) int { return turns*k.perTurn + divisions }

func (c *carder) infeed() curriculum.CardInfeed {
	p, s := c.plan, c.slideOf(c.plan)
	out := curriculum.CardInfeed{
		FedBy: p.FedBy, AngleDeg: p.InfeedAngleDeg, FromAxisDeg: p.AngleFromAxisDeg, Swing: p.Swing, Feed: p.Feed,
		Reads: s.Collar(), Division: c.feed.at(1).Reading,
		Withdraw: "the cross-slide drawn out towards the operator, then back to the same reading",
	}
	if c.internal() {
		out.Withdraw = "the cross-slide moved in, away from the operator, until the tool stands free in the bore, then back to the same reading"
	}
	if p.FedBy == threadmath.FedByCrossSlide {
		out.Withdraw += "; the next reading is counted from the last one"
	}
	if c.feed.perTurn > 0 {
		turn := curriculum.CardSize{MM: float64(c.feed.perTurn) * c.feed.division}
		turn.Text = strconv.FormatFloat(threadmath.ApproxDimension(turn.MM).Value(c.feed.system), 'f', -1, 64) + " " + c.feed.system.String()
		out.PerTurn = &turn
	}
	return out
}

// passes lists the readings of every start: row 0 before the first cut, the passes,
// then those without infeed. The compound that goes from start to start as well
// begins at the reading of the start.
func (c *carder) passes(starts []curriculum.CardStart) []curriculum.CardPass {
	row := func(pass int, name string, depth threadmath.Dimension, divisions int) curriculum.CardPass {
		out := curriculum.CardPass{Pass: pass, Name: name, Depth: c.size(depth), Readings: make([]curriculum.CardSetting, len(starts))}
		for i, s := range starts {
			base := 0
			if c.method == threadmath.ByCompoundAngled && s.Compound != nil {
				base = c.feed.count(s.Compound.Turns, s.Compound.Divisions)
			}
			out.Readings[i] = c.feed.at(base + divisions)
		}
		return out
	}
	out := []curriculum.CardPass{row(0, "wound back", threadmath.ApproxDimension(0), 0)}
	last := 0
	for _, p := range c.plan.Passes {
		divisions := c.feed.count(p.Collar.Turns, p.Collar.Divisions)
		if divisions == last { // a mark that the collar does not tell from the one before
			continue
		}
		last = divisions
		out = append(out, row(len(out), strconv.Itoa(len(out)), p.Depth, divisions))
	}
	for i := range c.plan.SpringPasses {
		p := out[len(out)-1]
		p.Pass, p.Name, p.Spring = len(out), fmt.Sprintf("no infeed %d", i+1), true
		out = append(out, p)
	}
	return out
}

// leastLeft is the radial depth in mm that is left at the stop: more than the tool,
// the touch and the measured blank are likely to be out together (common practice,
// no source).
const leastLeft = 0.05

// measure places the stop and says what is done with the reading there.
func (c *carder) measure(passes []curriculum.CardPass) curriculum.CardMeasure {
	out := curriculum.CardMeasure{By: curriculum.MeasureGauge, SpringPasses: c.plan.SpringPasses, Limits: c.limits()}
	cuts := passes[1 : len(passes)-c.plan.SpringPasses]
	radial := func(p curriculum.CardPass) float64 { return p.Readings[0].Reading.MM * c.feed.radial }
	full := c.plan.Passes[len(c.plan.Passes)-1].Depth.MM()
	w := c.a.Wires
	byWires := w != nil && w.Used != nil && w.Over != nil && w.Count > 0 && (c.a.Limits == nil || w.OverMax != nil && w.OverMin != nil)
	out.AfterPass = 1
	left := math.Max(leastLeft, 2*c.feed.division*c.feed.radial)
	if !byWires { // a gauge that goes on within the limits must not go on yet
		left += c.tolerance() / 4
	}
	for _, p := range cuts[:len(cuts)-1] {
		if full-radial(p) >= left {
			out.AfterPass = p.Pass
		}
	}
	step := 1
	for i := out.AfterPass; i < len(cuts); i++ { // cuts[i] is pass i+1
		a, b := cuts[i-1].Readings[0], cuts[i].Readings[0]
		step = max(step, c.feed.count(b.Turns, b.Divisions)-c.feed.count(a.Turns, a.Divisions))
	}
	most := c.feed.at(step)
	out.GreatestStep = &most
	if !byWires {
		fine := c.feed.at(1)
		out.GreatestStep = &fine
		out.Rule = fmt.Sprintf("Bring every start to pass %d and stop the spindle. Try the go gauge, or the mate, by hand: it must not go on yet; if it does, stop and find out why. "+
			"Then feed every start %s further, cut, and try again, until it goes on over every start: about where the last pass stands.", out.AfterPass, fine.Text)
		return out
	}
	out.By, out.Wire, out.Wires = curriculum.MeasureOverWires, c.sizep(*w.Used), w.Count
	high, low := c.band()
	aim := (high + low) / 2
	size := func(mm float64) *curriculum.CardSize { s := c.mm(mm); return &s }
	out.Aim, out.Max, out.Min = size(aim), size(high), size(low)
	stop := passes[out.AfterPass]
	out.Expected = size(aim + 2*(full-radial(stop)))
	out.CollarPerMM = 1 / (2 * c.feed.radial)
	out.Rule = fmt.Sprintf("Bring every start to pass %d, stop the spindle and measure over %s of %s: about %s is expected. "+
		"From the reading take %s; %s times that is to go on the collar. Feed every start so much further, %s at most for one pass, and measure again.",
		out.AfterPass, counted(w.Count, "wire"), out.Wire.Text, out.Expected.Text, out.Aim.Text, factor(out.CollarPerMM), most.Text)
	return out
}

// workingBand is the share of the pitch, and leastBand the mm, within which a pitch
// diameter without a class is taken as reached; common practice, no source.
const workingBand, leastBand = 0.05, 0.08

// tolerance is the width of the zone of the pitch diameter in mm: that of the class, or
// a working band where none is given.
func (c *carder) tolerance() float64 {
	if l := c.a.Limits; l != nil && l.PitchDiameter != nil && l.PitchDiameter.Max != nil && l.PitchDiameter.Min != nil {
		return l.PitchDiameter.Max.MM() - l.PitchDiameter.Min.MM()
	}
	return math.Max(c.a.Pitch.MM()*workingBand, leastBand)
}

// band returns the limits of the reading over wires, in mm: of the class, or a working
// band about the basic one.
func (c *carder) band() (high, low float64) {
	w := c.a.Wires
	if w.OverMax != nil && w.OverMin != nil {
		return w.OverMax.MM(), w.OverMin.MM()
	}
	half := c.tolerance() / 2
	return w.Over.MM() + half, w.Over.MM() - half
}

func factor(f float64) string { return strconv.FormatFloat(f, 'f', 3, 64) }

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
			curriculum.CardLimit{What: "Pitch diameter, basic (no class given)", Most: c.text(*c.a.PitchDiameter)},
			curriculum.CardLimit{What: "Minor diameter, basic", Most: c.text(*c.a.MinorDiameter)})
	}
	if w := c.a.Wires; w != nil && w.Used != nil {
		what := fmt.Sprintf("Over %d wires of %s", w.Count, c.text(*w.Used))
		switch {
		case w.OverMax != nil:
			rows = append(rows, curriculum.CardLimit{What: what, Most: c.optional(w.OverMax), Least: c.optional(w.OverMin)})
		case w.Over != nil:
			high, low := c.band()
			rows = append(rows, curriculum.CardLimit{What: what + ", working band (no class given)", Most: c.mm(high).Text, Least: c.mm(low).Text})
		}
	}
	p := c.proof()
	rows = append(rows, curriculum.CardLimit{What: "Lead over " + counted(p.Turns, "turn"), Most: p.Lead.Text + " nominal"})
	if p.Spacing != nil {
		rows = append(rows, curriculum.CardLimit{What: "Start to start, least and greatest", Most: p.Spacing.Text + " nominal"})
	}
	return rows
}

func (c *carder) optional(d *threadmath.Dimension) string {
	if d == nil {
		return ""
	}
	return c.text(*d)
}
