package shop

import (
	"fmt"
	"math"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// greatestFirstCut is the heaviest first cut, mm of radial depth, that a threading
// tool is asked to take; common practice, no source: 0.2 to 0.3 mm is usual.
const greatestFirstCut = 0.5

func (c *carder) refuse(path, why, mend string) {
	c.reasons = append(c.reasons, curriculum.CardReason{Path: path, Why: why, Mend: mend})
}

// check gathers what stands against the job: something that the card would have to
// leave open, a lead that the lathe cannot cut exactly, a run-out that is not known
// to end in time, a groove that is too narrow, a nose or a first cut that the work
// does not bear.
func (c *carder) check() {
	a := c.a
	if c.lathe.Leadscrew == "" {
		c.refuse("/lathe/leadscrew", "the leadscrew is not given, so it is not known whether the lathe cuts this lead", "give its travel a turn")
	}
	if a.Depth == nil {
		c.refuse("/thread/form", "the form of the thread is not given, so there is no depth to cut to", "give the form")
	} else if a.PitchDiameter == nil {
		c.refuse("/thread/diameter", "the diameter is not given", "give the diameter")
	}
	if c.t.Length == "" {
		c.refuse("/thread/length", "the threaded length is not given", "give the length of full thread")
	}
	c.checkLead()
	c.checkInfeed()
	c.checkTool()
	c.checkRunOut()
	c.checkClosing()
	c.checkBeginning()
}

// checkLead refuses a lead that no setting of the lathe cuts exactly. A near
// train is refused too: with it every figure for the next start would be wrong.
func (c *carder) checkLead() {
	box, trains := c.a.Gearbox, c.a.GearTrains
	if box != nil && box.Usable || c.train() != nil || box == nil && trains == nil {
		return
	}
	why := "the lathe cannot cut a lead of " + c.text(c.a.Lead) + " exactly"
	path := "/lathe/change_gears"
	if box != nil {
		path = "/lathe/gearbox"
		why += ": " + box.Why
	}
	if trains != nil {
		why += "; no train of its wheels does"
		if len(trains) > 0 {
			why += fmt.Sprintf(" (the nearest is %.0f millionths out)", trains[0].ErrorPPM)
		}
	}
	c.refuse(path, why, "another wheel, another lathe or another lead")
}

// train returns the exact train of the lathe's wheels; nil where there is none.
func (c *carder) train() *threadmath.GearTrain {
	for i := range c.a.GearTrains {
		if t := &c.a.GearTrains[i]; t.ErrorPPM == 0 {
			return t
		}
	}
	return nil
}

func (c *carder) checkInfeed() {
	if c.cut.FirstCut == "" {
		c.refuse("/cut/first_cut", "the first cut is not given, so there are no passes", "give a first cut of at most "+c.mm(greatestFirstCut).Text)
		return
	}
	if len(c.plan.Passes) == 0 {
		if c.a.Depth != nil && len(c.reasons) == 0 {
			c.refuse("/cut/infeed_angle_deg", "no infeed goes with this way from start to start", "another method")
		}
		return
	}
	if c.plan.Passes[0].Collar == nil {
		path := "/lathe/cross_slide/graduation"
		if c.plan.FedBy == threadmath.FedByCompound {
			path = "/lathe/compound_slide/graduation"
		}
		c.refuse(path, "no collar of the infeed slide is given, so there is nothing to dial", "give its division")
	}
	first, _, err := threadmath.ParseLength(c.cut.FirstCut)
	if err != nil { // the solver has read it
		return
	}
	if most := math.Min(greatestFirstCut, c.plan.Passes[len(c.plan.Passes)-1].Depth.MM()/2); first.MM() > most {
		c.refuse("/cut/first_cut", "a first cut of "+c.mm(first.MM()).Text+" is more than the tool or the work bears", "cut "+c.mm(most).Text+" or less")
	}
	if s := c.slideOf(c.plan); s != nil && s.Travel != "" && c.plan.SlideTravel != nil {
		if travel, _, err := threadmath.ParseLength(s.Travel); err == nil && travel.MM() < c.plan.SlideTravel.MM() {
			c.refuse("/lathe/compound_slide/travel", "the slide that feeds does not travel the depth of the thread", "feed by the other slide")
		}
	}
}

func (c *carder) checkTool() {
	d := c.a.CutDepth
	if d == nil {
		return
	}
	if d.RootClears != nil && !*d.RootClears {
		c.refuse("/cut/tool_flat", "a nose with a flat of "+c.text(d.Flat)+" ends before the crest of the mating part", "grind the flat to "+c.text(*c.a.Tool.Nose)+", or leave tool_flat out")
	}
	if d.Why != "" {
		c.refuse("/cut/measured_blank", d.Why, "measure again, or turn a new blank")
	}
}

// slip is how far along the travel a compound at its infeed angle moves the tool at
// full depth, in mm: the tool is then so much further than the carriage.
func (c *carder) slip() float64 {
	if c.plan.FedBy != threadmath.FedByCompound || len(c.plan.Passes) == 0 {
		return 0
	}
	return c.plan.Passes[len(c.plan.Passes)-1].Depth.MM() * math.Tan(c.plan.InfeedAngleDeg*math.Pi/180)
}

func (c *carder) checkRunOut() {
	rpm := c.cut.SpindleRPM
	if rpm == nil {
		c.refuse("/cut/spindle_rpm", "the spindle speed is not given, so it is not known where the tool stops", "give the speed")
	} else if s := c.lathe.SpindleSpeeds; s != nil && !slices.Contains(s, *rpm) {
		c.refuse("/cut/spindle_rpm", "the lathe has no speed of "+number(*rpm)+" rev/min", "choose one that it has: "+numbers(s))
	}
	if c.cut.ReactionS == nil {
		c.refuse("/cut/reaction_s", "the time from seeing the place to the lever moved is not known, and an unknown time is no permission",
			"time it in dry passes, and give the longest")
	}
	o := c.a.RunOut
	if o == nil {
		return
	}
	if o.HalfNut == threadmath.HalfNutKeptClosed && c.cut.CoastTurns == nil {
		c.refuse("/cut/coast_turns", "the half-nut stays closed and it is not known how far the spindle coasts", "count the turns that it coasts from that speed")
	}
	if o.Room == nil {
		why, mend := "what room lies beyond the full thread is not known, and a mark makes none", "give the groove, or the room to the first solid thing"
		path := "/cut/room"
		if c.cut.Groove != "" {
			why, mend, path = "the groove leaves the tool no room", "open the groove beyond the width of the tool", "/cut/groove"
		}
		c.refuse(path, why, mend)
		return
	}
	if o.Limit == nil || o.StillBy == nil {
		return
	}
	if over := o.StillBy.MM() + c.slip() - o.Limit.MM(); over > 1e-9 {
		c.refuse("/cut/spindle_rpm", fmt.Sprintf("the tool would run to %s, and the room ends at %s", c.mm(o.StillBy.MM()+c.slip()).Text, c.text(*o.Limit)), c.mendRunOut(o))
	}
}

// checkClosing refuses a leadscrew too fast for a hand to close the half-nut between
// passes on one line of the dial.
func (c *carder) checkClosing() {
	rpm, pick, o := c.cut.SpindleRPM, c.a.PickUp, c.a.RunOut
	if rpm == nil || pick == nil || pick.Rule != threadmath.PickUpLines || o == nil || o.HalfNut != threadmath.HalfNutOpened {
		return
	}
	screw, _, err := threadmath.ParsePitch(c.lathe.Leadscrew)
	if err != nil { // the solver has read it
		return
	}
	most := threadmath.ClosingStart
	if c.lathe.ClosingRPM != nil {
		most = *c.lathe.ClosingRPM
	}
	turns := c.a.Lead.MM() / screw.MM()
	if *rpm*turns <= most {
		return
	}
	mend := "keep the half-nut closed from the first pass to the last (half_nut: false, with the coast)"
	switch lower := c.lower(most / turns); {
	case lower != nil:
		mend = "run at " + number(*lower) + " rev/min or less, or " + mend
	case c.lathe.SpindleSpeeds == nil && most >= turns:
		mend = fmt.Sprintf("run at %.0f rev/min or less, or ", math.Floor(most/turns)) + mend
	}
	c.refuse("/cut/spindle_rpm", fmt.Sprintf("between passes the half-nut is closed on a line of the dial, and at %s rev/min the leadscrew turns %.0f times a minute: up to %s can be caught", number(*rpm), *rpm*turns, number(most)), mend)
}

// mendRunOut says which groove, room or speed would do.
func (c *carder) mendRunOut(o *threadmath.RunOut) string {
	late := o.ActAt.MM() + c.slip() - (o.Limit.MM() - o.Room.MM()) // past the end of full thread
	needs := late + o.Overrun.MM()
	var ways []string
	if c.cut.Groove != "" && o.ToolWidth != nil {
		ways = append(ways, "open the groove to "+c.up(math.Max(2*needs, needs+o.ToolWidth.MM())))
	} else {
		ways = append(ways, "make room for "+c.up(needs))
	}
	if o.HalfNut == threadmath.HalfNutOpened {
		most := 60 * (o.Room.MM() - late) / (c.a.Lead.MM() * o.ReactionS)
		switch lower := c.lower(most); {
		case most <= 0:
		case lower != nil:
			ways = append(ways, "run at "+number(*lower)+" rev/min or less")
		case c.lathe.SpindleSpeeds == nil && math.Floor(most) >= 1:
			ways = append(ways, fmt.Sprintf("run at %.0f rev/min or less", math.Floor(most)))
		default:
			return ways[0] + " (the lathe has no speed that is slow enough)"
		}
	}
	return orJoin(ways)
}

func orJoin(ways []string) string {
	out := ways[0]
	for _, w := range ways[1:] {
		out += ", or " + w
	}
	return out
}

// up writes a length that must not be less, rounded up to a tenth of a millimetre or
// five thousandths of an inch.
func (c *carder) up(mm float64) string {
	if c.system == threadmath.Inch {
		return fmt.Sprintf("%.3f in", math.Ceil(mm/25.4*200-1e-9)/200)
	}
	return fmt.Sprintf("%.1f mm", math.Ceil(mm*10-1e-9)/10)
}

// lower is the greatest speed of the lathe that is not above rpm.
func (c *carder) lower(rpm float64) *float64 {
	var best *float64
	for _, s := range c.lathe.SpindleSpeeds {
		if s <= rpm && (best == nil || s > *best) {
			best = &s
		}
	}
	return best
}

// checkBeginning asks a left-hand thread for the groove in which it begins.
func (c *carder) checkBeginning() {
	o := c.a.RunOut
	if o == nil || o.StartingGroove == nil {
		return
	}
	least := o.StartingGroove.MM()
	mend := "turn a starting groove of " + c.up(least) + " at the headstock end, as deep as the thread"
	if c.cut.StartingGroove == "" {
		c.refuse("/cut/starting_groove", "a left-hand thread begins at the headstock end, where the tool must stand free one lead before the work", mend)
		return
	}
	if g, _, err := threadmath.ParseLength(c.cut.StartingGroove); err == nil && g.MM() < least-1e-9 {
		c.refuse("/cut/starting_groove", "the starting groove of "+c.mm(g.MM()).Text+" does not take the tool and one lead", mend)
	}
}
