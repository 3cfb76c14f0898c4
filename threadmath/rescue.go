package threadmath

import (
	"math"
	"strconv"
)

// Measurement is what was measured on a piece whose grooves do not lie as they
// should. Quantities are text with their unit.
type Measurement struct {
	// Spacings are the axial distances from each groove to the next, the first
	// from start 1, going against the tool's travel, until whole leads are round.
	Spacings []string `json:"spacings"`
	// Lead is how far one groove, followed by hand for one turn, advances.
	Lead string `json:"lead,omitempty"`
	// Uncertainty is that of one spacing; 0.02 mm where it is not said.
	Uncertainty string `json:"uncertainty,omitempty"`
	// Depth is the radial depth to which the groove in doubt is cut.
	Depth string `json:"depth,omitempty"`
}

// What Rescue finds.
const (
	CauseAsWanted     = "as-wanted"
	CausePitchForLead = "pitch-for-lead" // the train was set to the pitch
	CauseWrongLead    = "wrong-lead"     // the train was set to something else
	CauseDrift        = "drift"          // a near train: the lead is a little off
	CauseMissingStart = "missing-start"  // two starts were cut in one groove
	CauseWrongLine    = "wrong-line"     // the half-nut was closed on a false path
	CauseBacklash     = "backlash"       // the slide's lost motion lay on the wrong side
	CauseIndexError   = "index-error"    // within what the stations are known to be out
	CauseUnknown      = "unknown"
)

// Whether a piece can be saved.
const (
	SaveYes     = "yes"
	SaveNo      = "no"
	SaveDepends = "depends"
)

// Diagnosis says what happened to a piece, and whether and how it can be saved.
type Diagnosis struct {
	LeadAsCut Dimension `json:"lead_as_cut"`
	// Grooves are those measured, with the start each of them is nearest to.
	Grooves []MeasuredGroove `json:"grooves"`
	// Causes lists all that explain the measurements, most telling first.
	Causes []Cause `json:"causes"`
	// SpacingError is the largest less the smallest deviation of the grooves.
	SpacingError      *Dimension `json:"spacing_error,omitempty"`
	PitchDiameterCost *Dimension `json:"pitch_diameter_cost,omitempty"`
	Save              string     `json:"save"`
	How               []string   `json:"how"`
}

// MeasuredGroove is one groove: Position behind start 1 against the travel, and
// Deviation from where its start belongs in the lead as it was cut.
type MeasuredGroove struct {
	Position  Dimension `json:"position"`
	Start     int       `json:"start"`
	Deviation Dimension `json:"deviation"`
}

// Cause is one explanation.
type Cause struct {
	Cause string `json:"cause"`
	Why   string `json:"why"`
}

const (
	measuredUncertainty = 0.02 // mm, a vernier calliper; common practice, no source
	// driftLimit parts a near gear train from a wrong one.
	driftLimit  = 0.02
	maxSpacings = 500
)

// Rescue returns what happened to a piece, from the measured spacings of its
// grooves, and whether and how it can be saved.
//
// Lengths are compared within the uncertainty u of a spacing, u·√k after k of
// them. The lead as cut is the sum of the spacings over the leads that it is
// nearest to; where a measured lead is given, that decides. Each groove's
// deviation is taken from the start it is nearest to; the spread e of the
// deviations costs 2e/(tan α1 + tan α2) of pitch diameter, and the piece fits
// with all grooves cut deeper where that is no more than the class's tolerance.
// Measurements alone seldom prove a cause: every one that explains them is
// listed. Unreadable input gives a DomainError with the field's pointer.
func Rescue(q Request, m Measurement) (Diagnosis, error) {
	j, err := newJob(q)
	if err != nil {
		return Diagnosis{}, err
	}
	p, err := newPiece(j, m)
	if err != nil {
		return Diagnosis{}, err
	}
	return p.diagnose(), nil
}

// piece is a measured piece, in mm.
type piece struct {
	*job
	spacings    []float64
	sum         float64
	uncertainty float64
	lead        *float64 // measured on one groove
	depth       *float64
}

func newPiece(j *job, m Measurement) (*piece, error) {
	r := &reader{}
	p := &piece{job: j, uncertainty: measuredUncertainty}
	if n := len(m.Spacings); n == 0 || n > maxSpacings {
		r.fail("/spacings", strconv.Itoa(n)+" spacings", "", "1 to "+strconv.Itoa(maxSpacings))
		return nil, r.err
	}
	mm := func(path, text string) *float64 {
		l := r.length(path, text)
		if l == nil {
			return nil
		}
		v := l.MM()
		return &v
	}
	for i, text := range m.Spacings {
		path := "/spacings/" + strconv.Itoa(i)
		v := mm(path, text)
		if v == nil {
			r.fail(path, text, "no spacing", "a length with its unit")
			return nil, r.err
		}
		p.spacings = append(p.spacings, *v)
		p.sum += *v
	}
	p.lead, p.depth = mm("/lead", m.Lead), mm("/depth", m.Depth)
	if u := mm("/uncertainty", m.Uncertainty); u != nil {
		p.uncertainty = *u
	}
	if r.err == nil && p.uncertainty >= j.pitch.MM()/4 {
		r.fail("/uncertainty", m.Uncertainty, "too coarse to tell one start from the next", "less than a quarter of the pitch "+j.pitch.Exact(j.system))
	}
	return p, r.err
}

// near reports whether two lengths agree after k spacings.
func (p *piece) near(a, b float64, k int) bool { return math.Abs(a-b) <= p.within(k) }

func (p *piece) within(k int) float64 { return p.uncertainty * math.Sqrt(float64(max(k, 1))) }

func (p *piece) diagnose() Diagnosis {
	want := p.job.lead.MM()
	leads := max(1, int(math.Min(math.Round(p.sum/want), maxSpacings)))
	cut := p.sum / float64(leads)
	// With every start there, as many leads as the grooves make.
	byGrooves := p.sum * float64(p.starts) / float64(len(p.spacings))
	whole := len(p.spacings)%p.starts == 0
	switch {
	case p.lead != nil:
		cut = *p.lead
	case whole && math.Abs(byGrooves/want-1) <= driftLimit:
		cut = byGrooves
	case p.evenly(p.pitch.MM() / float64(p.starts)), len(p.spacings) == 1 && p.near(p.sum, p.pitch.MM(), 1):
		cut = p.pitch.MM()
	case whole && math.Abs(cut/want-1) > driftLimit:
		cut = byGrooves
	}
	d := Diagnosis{LeadAsCut: ApproxDimension(cut), Grooves: p.grooves(cut), How: []string{}}
	if !p.near(cut, want, len(p.spacings)) && math.Abs(cut/want-1) > driftLimit {
		p.wrongLead(&d, cut)
	} else {
		p.rightLead(&d)
	}
	return d
}

// evenly reports whether a multi-start thread has all its spacings alike.
func (p *piece) evenly(spacing float64) bool {
	for _, s := range p.spacings {
		if !p.near(s, spacing, 1) {
			return false
		}
	}
	return p.starts > 1
}

// grooves places every groove in the lead as cut; the last spacing leads back
// to start 1.
func (p *piece) grooves(lead float64) []MeasuredGroove {
	pitch := lead / float64(p.starts)
	out := make([]MeasuredGroove, len(p.spacings))
	at := 0.0
	for i, s := range p.spacings {
		phase := math.Mod(at, lead)
		start := math.Round(phase / pitch)
		out[i] = MeasuredGroove{
			Position: ApproxDimension(at), Start: int(start)%p.starts + 1,
			Deviation: ApproxDimension(phase - start*pitch),
		}
		at += s
	}
	return out
}

// wrongLead explains a lead that no near train makes.
func (p *piece) wrongLead(d *Diagnosis, cut float64) {
	c := Cause{CauseWrongLead, "one turn advances " + p.short(cut) + " and not " + p.job.lead.Exact(p.system) + ": gearbox or change gears were set to another lead"}
	keep := ""
	if p.starts > 1 && p.near(cut, p.pitch.MM(), len(p.spacings)) {
		c = Cause{CausePitchForLead, "one turn advances the pitch " + p.pitch.Exact(p.system) + " and not the lead " + p.job.lead.Exact(p.system) + ": the train was set to the pitch"}
		keep = "what is cut is a single-start thread of pitch " + p.pitch.Exact(p.system) + ": it serves where the nut may be one too"
		if p.evenly(p.pitch.MM() / float64(p.starts)) {
			keep = "what is cut has " + strconv.Itoa(p.starts) + " starts of pitch " + p.short(cut/float64(p.starts)) + ": it serves where the nut may be made to it"
		}
	}
	d.Causes = []Cause{c}
	d.Save = SaveNo
	p.skim(d)
	d.How = append(d.How, "grooves of two leads cross: the right thread cannot be cut over this one")
	if keep != "" {
		d.How = append(d.How, keep)
	}
	p.remake(d)
}

// skim says whether the grooves in doubt can be turned away within the limits
// of the crest, which makes a scratch of a trial pass harmless.
func (p *piece) skim(d *Diagnosis) {
	if p.depth == nil || p.diameter == nil {
		return
	}
	size, limit, verb := p.majorDiameter.mm-2**p.depth, p.crest(), "turned down to "
	if p.internal {
		size, verb = p.minorDiameter.mm+2**p.depth, "bored out to "
	}
	how := "a groove " + p.short(*p.depth) + " deep is gone when the crest is " + verb + p.short(size)
	switch {
	case limit == nil:
		d.Save = SaveDepends
		how += "; whether the job allows that, its class does not say here"
	case !p.internal && size >= limit.MM(), p.internal && size <= limit.MM():
		d.Save = SaveYes
		how += ", within the limit " + p.short(limit.MM()) + "; then begin again"
	default:
		how += ", beyond the limit " + p.short(limit.MM())
	}
	d.How = append(d.How, how)
}

// crest is the limit of size that skimming the crest meets; nil if not known.
func (p *piece) crest() *Dimension {
	switch {
	case p.limits == nil:
		return nil
	case p.internal && p.limits.MinorDiameter != nil:
		return p.limits.MinorDiameter.Max
	case !p.internal && p.limits.MajorDiameter != nil:
		return p.limits.MajorDiameter.Min
	}
	return nil
}

// remake adds what is always left: another thread on the same blank.
func (p *piece) remake(d *Diagnosis) {
	switch {
	case p.diameter == nil:
	case p.internal:
		d.How = append(d.How, "otherwise bore past "+p.short(p.majorDiameter.mm)+" and cut a larger thread, or begin a new piece")
	default:
		d.How = append(d.How, "otherwise turn below "+p.short(p.minorDiameter.mm)+" and cut a smaller thread, or begin a new piece")
	}
}
