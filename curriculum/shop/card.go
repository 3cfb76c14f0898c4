package shop

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// BenchCard returns the card for a job, going from start to start by the method
// asked for, or by the best one that serves. A job that must not or cannot be
// cut as it stands gives a RefusedCard with every reason: a run-out margin that
// fails, or is not known while no withdrawal mark is given; a lead that the lathe
// cannot cut exactly; no way from start to start; or something that the card
// would have to leave open.
//
// Sizes are in the units, or in the job's own where none are chosen; collars are
// read in what stands on them, whatever the units.
func BenchCard(r threadmath.Request, method string, units curriculum.Units) (curriculum.BenchCard, error) {
	a, err := threadmath.Solve(r)
	if err != nil {
		return curriculum.BenchCard{}, err
	}
	c := carder{r: r, a: a, units: units, system: units.First(a.Pitch.System())}
	if r.Cut != nil {
		c.cut = *r.Cut
	}
	if r.Lathe != nil {
		c.lathe = *r.Lathe
	}
	c.check()
	chosen := c.choose(method)
	plan := c.plan(chosen)
	if len(c.reasons) > 0 {
		return curriculum.BenchCard{}, &curriculum.RefusedCard{Reasons: c.reasons}
	}
	out := curriculum.BenchCard{
		Title: c.title(), Lathe: c.lathe.Name, Method: chosen,
		Facts: c.facts(plan), RunOut: c.runOut(), Proof: c.proof(), Between: c.between(chosen),
		FedBy: plan.FedBy, Reads: c.collar(plan).Reads, Passes: c.passes(plan),
		Limits: c.limits(), Notes: c.notes(chosen), Cautions: a.Cautions,
	}
	out.Starts = c.starts(chosen, &out)
	out.SetUp = c.setUp(plan, chosen)
	out.Leans = curriculum.Prove(c.leans(plan, chosen, out), nil)
	return out, nil
}

// carder works one card out.
type carder struct {
	r       threadmath.Request
	a       threadmath.Answer
	cut     threadmath.Cut
	lathe   threadmath.Lathe
	units   curriculum.Units
	system  threadmath.System // sizes are written in it, or it stands first
	reasons []curriculum.CardReason
}

func (c *carder) refuse(path, why string) {
	c.reasons = append(c.reasons, curriculum.CardReason{Path: path, Why: why})
}

// check gathers what stands against the job, whatever the method.
func (c *carder) check() {
	a := c.a
	if c.lathe.Leadscrew == "" {
		c.refuse("/lathe/leadscrew", "the leadscrew is not given, so it is not known whether the lathe cuts this lead")
	}
	if a.Depth == nil {
		c.refuse("/thread/form", "the form of the thread is not given, so there is no depth to cut to")
	} else if a.PitchDiameter == nil {
		c.refuse("/thread/diameter", "the diameter is not given")
	}
	if c.r.Thread.Length == "" {
		c.refuse("/thread/length", "the threaded length is not given")
	}
	if c.cut.FirstCut == "" {
		c.refuse("/cut/first_cut", "the first cut is not given, so there are no passes")
	}
	c.checkLead()
	c.checkRunOut()
}

// checkLead refuses a lead that no setting of the lathe cuts exactly. A near
// train is refused too: with it every figure for the next start would be wrong.
func (c *carder) checkLead() {
	box, trains := c.a.Gearbox, c.a.GearTrains
	exact := slices.ContainsFunc(trains, func(t threadmath.GearTrain) bool { return t.ErrorPPM == 0 })
	if box != nil && box.Usable || exact || box == nil && trains == nil {
		return
	}
	why := "the lathe cannot cut a lead of " + c.size(c.a.Lead) + " exactly"
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
	c.refuse(path, why)
}

func (c *carder) checkRunOut() {
	rpm := c.cut.SpindleRPM
	if rpm == nil {
		c.refuse("/cut/spindle_rpm", "the spindle speed is not given, so there is no run-out margin")
		return
	}
	if s := c.lathe.SpindleSpeeds; s != nil && !slices.Contains(s, *rpm) {
		c.refuse("/cut/spindle_rpm", fmt.Sprintf("the lathe has no speed of %s rev/min: it has %s", number(*rpm), numbers(s)))
	}
	o := c.a.RunOut
	switch {
	case o == nil:
		c.refuse("/cut/groove", "the run-out margin is not known")
	case o.Fits != nil && *o.Fits:
	case o.Fits != nil:
		why := fmt.Sprintf("the run-out margin fails: the carriage overruns %s, usable are %s", c.size(*o.Overrun), c.size(*o.UsableWidth))
		if o.GreatestRPM != nil {
			why += fmt.Sprintf("; the greatest speed is %.1f rev/min", *o.GreatestRPM)
			if o.NextLowerRPM != nil {
				why += ", the lathe's next lower one " + number(*o.NextLowerRPM)
			} else if c.lathe.SpindleSpeeds != nil {
				why += ", and the lathe has none so low"
			}
		}
		c.refuse("/cut/spindle_rpm", why)
	case c.cut.Groove != "" && o.UsableWidth == nil:
		c.refuse("/cut/groove", "the run-out margin fails: "+o.Why)
	case c.cut.WithdrawalMark == "":
		c.refuse("/cut/withdrawal_mark", "the run-out margin is not known and no withdrawal mark is given: "+o.Why)
	}
}

// opens are the methods that open the half-nut between starts.
var opens = []string{"thread-dial", "half-nut", "carriage-shift"}

// choose returns the method to print: the one asked for, or the best usable one
// that keeps the half-nut as the lead needs it.
func (c *carder) choose(asked string) string {
	if len(c.a.Starts) == 1 && asked == "" {
		return ""
	}
	closed := c.a.PickUp != nil && c.a.PickUp.Rule == threadmath.PickUpKeepClosed
	why := ""
	for _, m := range c.a.Methods {
		if asked != "" && m.Method != asked {
			continue
		}
		switch {
		case !m.Usable:
			why = m.Why
		case closed && slices.Contains(opens, m.Method):
			why = "it opens the half-nut, which stays closed for this lead"
		default:
			return m.Method
		}
	}
	switch {
	case asked == "":
		c.refuse("/lathe", "no way from start to start serves on this lathe")
	case why == "":
		c.refuse("?method", "there is no method "+strconv.Quote(asked))
	default:
		c.refuse("?method", asked+": "+why)
	}
	return ""
}

// plan returns the infeed plan that goes with the method, one with a collar to
// dial before one without.
func (c *carder) plan(method string) threadmath.InfeedPlan {
	var best threadmath.InfeedPlan
	found := false
	for _, p := range c.a.Infeed {
		if len(p.Passes) == 0 || method != "" && !slices.Contains(p.Methods, method) {
			continue
		}
		if !found || best.Passes[0].Collar == nil && p.Passes[0].Collar != nil {
			best, found = p, true
		}
	}
	if found && best.Passes[0].Collar == nil {
		path := "/lathe/cross_slide"
		if method != "compound-parallel" {
			path = "/lathe/compound_slide"
		}
		c.refuse(path, "no collar of the infeed slide is given, so there is nothing to dial")
	}
	return best
}

// collar returns the slide that feeds, with what its collar reads.
func (c *carder) collar(p threadmath.InfeedPlan) threadmath.Slide {
	s := c.lathe.CrossSlide
	if p.FedBy == threadmath.FedByCompound {
		s = c.lathe.CompoundSlide
	}
	out := threadmath.Slide{}
	if s != nil {
		out = *s
	}
	out.Reads = out.Collar()
	return out
}

func (c *carder) title() string {
	if c.a.Designation != "" {
		return "Bench card: " + c.a.Designation
	}
	name := strings.ReplaceAll(c.r.Thread.Form, "-", " ") + " " + c.r.Thread.Diameter + ", pitch " + c.size(c.a.Pitch)
	return "Bench card: " + name + ", " + counted(len(c.a.Starts), "start")
}

// size writes a length in the card's units, to 0.001 mm or 0.0001 in.
func (c *carder) size(d threadmath.Dimension) string {
	text := sizeIn(d, c.system, -1)
	if c.units == curriculum.UnitsBoth {
		text += " (" + sizeIn(d, c.system.Other(), -1) + ")"
	}
	return text
}

// sizeIn writes a length in a unit system with so many decimals; -1 takes 3 for
// millimetres and 4 for inches.
func sizeIn(d threadmath.Dimension, s threadmath.System, decimals int) string {
	if decimals < 0 {
		decimals = 3
		if s == threadmath.Inch {
			decimals = 4
		}
	}
	return strconv.FormatFloat(d.Value(s), 'f', decimals, 64) + " " + s.String()
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', 6, 64) }

func numbers(fs []float64) string {
	out := make([]string, len(fs))
	for i, f := range fs {
		out[i] = number(f)
	}
	return strings.Join(out, ", ")
}

func degrees(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) + "°" }

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}
