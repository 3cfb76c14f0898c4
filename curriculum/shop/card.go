package shop

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// BenchCard returns the card for a job, going from start to start by the method
// asked for, or by the best one that serves. A job that must not or cannot be cut as
// it stands gives a RefusedCard with every reason and what would mend it: see check.
//
// Sizes are in the units, or in the job's own where none are chosen; collars are
// read in what stands on them, whatever the units.
func BenchCard(r threadmath.Request, method string, units curriculum.Units) (curriculum.BenchCard, error) {
	c, err := newCarder(r, units)
	if err != nil {
		return curriculum.BenchCard{}, err
	}
	c.method = c.choose(method)
	c.plan = c.planFor(c.method)
	c.check()
	if len(c.reasons) > 0 {
		return curriculum.BenchCard{}, &curriculum.RefusedCard{Reasons: c.reasons}
	}
	c.feed = c.feedOf()
	out := curriculum.BenchCard{
		Title: c.title(), Lathe: c.lathe.Name, Method: c.method,
		Thread: c.thread(), Blank: c.blank(), Tool: c.tool(), Gear: c.gear(), Infeed: c.infeed(),
		RunOut: c.runOut(), Between: c.between(), Proof: c.proof(), Notes: c.notes(), Cautions: c.a.Cautions,
	}
	out.Starts = c.starts(&out)
	out.Passes = c.passes(out.Starts)
	out.Measure = c.measure(out.Passes)
	out.SetUp = c.setUp(out)
	out.Leans = curriculum.Prove(c.leans(out), nil)
	return out, nil
}

func newCarder(r threadmath.Request, units curriculum.Units) (*carder, error) {
	a, err := threadmath.Solve(r)
	if err != nil {
		return nil, err
	}
	t, err := r.Thread.Spelled()
	if err != nil {
		return nil, err
	}
	c := &carder{t: t, a: a, units: units, system: units.First(a.Pitch.System())}
	if r.Cut != nil {
		c.cut = *r.Cut
	}
	if r.Lathe != nil {
		c.lathe = *r.Lathe
	}
	return c, nil
}

// carder works one card out.
type carder struct {
	t       threadmath.Thread // with what its designation says
	a       threadmath.Answer
	cut     threadmath.Cut
	lathe   threadmath.Lathe
	units   curriculum.Units
	system  threadmath.System // sizes are written in it, or it stands first
	method  string
	plan    threadmath.InfeedPlan
	feed    collar
	reasons []curriculum.CardReason
}

func (c *carder) internal() bool { return c.t.Side == "internal" }

func (c *carder) left() bool { return c.t.Hand == "left" }

// opens are the methods that open the half-nut between starts.
var opens = []string{threadmath.ByThreadDial, threadmath.ByHalfNut, threadmath.ByCarriageShift}

// keepsClosed reports whether the half-nut stays closed from the first pass to the
// last: the lead asks for it, or it is not known that it may be opened.
func (c *carder) keepsClosed() bool {
	return c.a.PickUp == nil || c.a.PickUp.Rule == threadmath.PickUpKeepClosed
}

// choose returns the method to print: the one asked for, or the best usable one
// that keeps the half-nut as the lead needs it.
func (c *carder) choose(asked string) string {
	if len(c.a.Starts) == 1 && asked == "" {
		return ""
	}
	why := ""
	for _, m := range c.a.Methods {
		if asked != "" && m.Method != asked {
			continue
		}
		switch {
		case !m.Usable:
			why = m.Why
		case c.keepsClosed() && slices.Contains(opens, m.Method):
			why = "it opens the half-nut, which stays closed for this lead"
		case c.tooUneven(m):
			why = "its error may use " + c.text(*m.PitchDiameterCost) + " of pitch diameter, more than half of what the class allows"
		default:
			return m.Method
		}
	}
	switch {
	case asked == "":
		c.refuse("/lathe", "no way from start to start serves on this lathe", "another lathe, or another way of holding the work")
	case why == "":
		c.refuse("?method", "there is no method "+strconv.Quote(asked), "one of those that the answer lists")
	default:
		c.refuse("?method", asked+": "+why, "leave the method out, and the best one that serves is taken")
	}
	return ""
}

// tooUneven reports whether a way may use up more than half of the tolerance of the
// pitch diameter: then one start may come out of its limits while another is in them.
func (c *carder) tooUneven(m threadmath.Method) bool {
	return len(c.a.Starts) > 1 && m.PitchDiameterCost != nil && m.PitchDiameterCost.MM() > c.tolerance()/2
}

// planFor returns the infeed plan that goes with the method, one with a collar to
// dial before one without. The compound that goes from start to start at its angle
// feeds as well, so that the cross-slide stands where the start puts it.
func (c *carder) planFor(method string) threadmath.InfeedPlan {
	var best threadmath.InfeedPlan
	found := false
	for _, p := range c.a.Infeed {
		switch {
		case len(p.Passes) == 0,
			method != "" && !slices.Contains(p.Methods, method),
			method == threadmath.ByCompoundAngled && p.FedBy != threadmath.FedByCompound:
			continue
		}
		if !found || best.Passes[0].Collar == nil && p.Passes[0].Collar != nil {
			best, found = p, true
		}
	}
	return best
}

func (c *carder) title() string {
	if c.a.Designation != "" {
		return "Bench card: " + c.a.Designation
	}
	name := strings.ReplaceAll(c.t.Form, "-", " ") + " " + c.t.Diameter + ", pitch " + c.text(c.a.Pitch)
	return "Bench card: " + name + ", " + counted(len(c.a.Starts), "start")
}

// size writes a length in the card's units, to 0.001 mm or 0.0001 in, with the
// value of what stands there.
func (c *carder) size(d threadmath.Dimension) curriculum.CardSize {
	return curriculum.CardSize{Text: c.text(d), MM: rounded(d, c.system)}
}

func (c *carder) sizep(d threadmath.Dimension) *curriculum.CardSize {
	s := c.size(d)
	return &s
}

// mm is size of a length in millimetres that was computed here.
func (c *carder) mm(mm float64) curriculum.CardSize { return c.size(threadmath.ApproxDimension(mm)) }

func (c *carder) text(d threadmath.Dimension) string {
	text := sizeIn(d, c.system)
	if c.units == curriculum.UnitsBoth {
		text += " (" + sizeIn(d, c.system.Other()) + ")"
	}
	return text
}

// decimals are those a card prints: 0.001 mm, 0.0001 in.
func decimals(s threadmath.System) int {
	if s == threadmath.Inch {
		return 4
	}
	return 3
}

func sizeIn(d threadmath.Dimension, s threadmath.System) string {
	return strconv.FormatFloat(d.Value(s), 'f', decimals(s), 64) + " " + s.String()
}

// rounded is in mm what sizeIn prints.
func rounded(d threadmath.Dimension, s threadmath.System) float64 {
	scale := math.Pow10(decimals(s))
	v := math.Round(d.Value(s)*scale) / scale
	if s == threadmath.Inch {
		return v * 25.4
	}
	return v
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', 6, 64) }

func numbers(fs []float64) string {
	out := make([]string, len(fs))
	for i, f := range fs {
		out[i] = number(f)
	}
	return strings.Join(out, ", ")
}

func list(ns []int) string {
	out := make([]string, len(ns))
	for i, n := range ns {
		out[i] = strconv.Itoa(n)
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
