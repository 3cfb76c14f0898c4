package threadmath

// Measuring says how the finished thread is judged besides over wires.
type Measuring struct {
	// LeadOver is how far one groove advances in whole turns: what a rule or a
	// caliper shows on the scratch pass, before metal is lost.
	LeadOver []LeadOver `json:"lead_over"`
	// Gauge says what passes: the statement of go and no-go for the class.
	Gauge string `json:"gauge,omitempty"`
	// LeastClearance is the allowance of the class: what it leaves between the
	// pitch diameters of this thread and of a mate at its basic size.
	LeastClearance *Dimension `json:"least_clearance,omitempty"`
	// ClearanceLeft is what each usable indexing method leaves of it.
	ClearanceLeft []ClearanceLeft `json:"clearance_left,omitempty"`
}

// LeadOver is the advance of one groove over some turns; Crests is how many
// crests of all starts lie in it.
type LeadOver struct {
	Turns  int       `json:"turns"`
	Length Dimension `json:"length"`
	Crests int       `json:"crests"`
}

// ClearanceLeft is the least clearance less the pitch diameter that a method's
// spacing error uses up. Below zero a mate at its basic size does not go on, and
// every start is cut deeper by half of it.
type ClearanceLeft struct {
	Method string    `json:"method"`
	Left   Dimension `json:"left"`
}

// leadTurns are the numbers of turns that a lead is measured over.
var leadTurns = [...]int{1, 2, 5, 10}

// measuring returns how to judge the thread. Lengths over turns are m·L, exact;
// those longer than the threaded length are left out, but for the first.
//
//	least clearance = d2 − d2 max, or D2 min − D2, basic sizes as the tables round them
//	left            = least clearance − 2e/(tan α1 + tan α2)
//
// A gauge must have the starts of the thread: one of a single start has another
// lead. That a no-go gauge may enter by two turns is from memory of ISO 1502.
func (j *job) measuring(methods []Method) *Measuring {
	out := &Measuring{}
	for i, m := range leadTurns {
		l := j.lead.Times(m)
		if i > 0 && j.length != nil && l.Cmp(*j.length) > 0 {
			break
		}
		out.LeadOver = append(out.LeadOver, LeadOver{m, j.dim(l), m * j.starts})
	}
	limits := j.limits
	if limits == nil || limits.PitchDiameter == nil {
		return out
	}
	passes, noGo := limits.PitchDiameter.Max, limits.PitchDiameter.Min
	basic := j.pitchDiameter
	if !basic.known { // as the tables round it
		basic = exactAmount(roundMicrometres(basic.mm))
		if j.form.Slug == "unified" || j.form.Slug == "whitworth" {
			basic = exactAmount(tenths(roundTenths(j.pitchDiameter.mm / 25.4)))
		}
	}
	least := basic.exact.Sub(passes.exact)
	if j.internal {
		passes, noGo = noGo, passes
		least = passes.exact.Sub(basic.exact)
	}
	out.Gauge = "go, at a pitch diameter of " + approxText(passes.MM(), j.system) + ", must pass over the whole length by hand on every start; no-go, at " +
		approxText(noGo.MM(), j.system) + ", may enter by no more than two turns (from memory of ISO 1502)"
	if j.starts > 1 {
		out.Gauge += "; the gauges must have the same starts and lead, and are tried from every start"
	}
	out.LeastClearance = j.dimp(least)
	for _, m := range methods {
		if m.Usable && m.PitchDiameterCost != nil {
			out.ClearanceLeft = append(out.ClearanceLeft, ClearanceLeft{m.Method, ApproxDimension(least.MM() - m.PitchDiameterCost.MM())})
		}
	}
	return out
}
