package threadmath

import (
	"math"
	"math/big"
	"strconv"
)

// placed is how the grooves of one lead lie to the starts.
type placed struct {
	// deviation of every start, mean over the leads measured; NaN where missing.
	deviation []float64
	missing   []int
	// extra counts grooves beside a start that has one already.
	extra int
	// wrong holds the phases (mm behind start 1) of grooves beside their start.
	wrong  []float64
	spread float64
}

func (p *piece) place(d *Diagnosis) placed {
	cut := d.LeadAsCut.MM()
	leads := max(1, int(math.Round(p.sum/cut)))
	sums, count := make([]float64, p.starts), make([]int, p.starts)
	var out placed
	low, high := 0.0, 0.0
	for i, g := range d.Grooves {
		dev := g.Deviation.MM()
		sums[g.Start-1] += dev
		count[g.Start-1]++
		low, high = math.Min(low, dev), math.Max(high, dev)
		if math.Abs(dev) > p.within(i) {
			out.wrong = append(out.wrong, math.Mod(g.Position.MM(), cut))
		}
	}
	out.deviation = make([]float64, p.starts)
	for s := range sums {
		out.deviation[s] = sums[s] / float64(max(count[s], 1))
		if count[s] == 0 {
			out.missing = append(out.missing, s+1)
		}
		out.extra += max(0, count[s]-leads)
	}
	out.spread = high - low
	return out
}

// rightLead explains grooves in a lead that is right, or a little off.
func (p *piece) rightLead(d *Diagnosis) {
	at := p.place(d)
	d.SpacingError = approx(at.spread)
	d.PitchDiameterCost = p.pitchDiameterCost(d.SpacingError)
	d.Save = SaveYes
	drift := p.drift(d)
	if len(at.missing) > 0 {
		d.Causes = append(d.Causes, Cause{CauseMissingStart, "no groove lies at " + startList(at.missing) + ": an earlier start was cut again in its place"})
		d.How = append(d.How, "cut "+startList(at.missing)+": index from start 1 anew, the infeed wound back first")
	}
	if len(at.wrong) > 0 || at.extra > 0 {
		p.explainWrong(d, at)
		p.saveSpacing(d, at)
	}
	if len(d.Causes) == 0 {
		d.Causes = []Cause{{CauseAsWanted, "every groove lies where it belongs, as closely as it was measured"}}
		d.How = append(d.How, "nothing to mend")
	}
	if drift {
		p.saveDrift(d)
	}
}

// drift finds a lead that a near gear train has cut.
func (p *piece) drift(d *Diagnosis) bool {
	want, cut := p.job.lead.MM(), d.LeadAsCut.MM()
	within := p.within(len(p.spacings)) * cut / p.sum // of the sum, for one lead
	if p.lead != nil {
		within = p.uncertainty
	}
	if math.Abs(cut-want) <= within {
		return false
	}
	ppm := (cut/want - 1) * 1e6
	d.Causes = append(d.Causes, Cause{CauseDrift, "each turn advances " + p.short(cut-want) + " too far (" + strconv.FormatFloat(ppm, 'f', 0, 64) + " millionths): a near gear train, or one wheel wrong"})
	return true
}

func (p *piece) saveDrift(d *Diagnosis) {
	if p.length == nil {
		d.Save = worse(d.Save, SaveDepends)
		d.How = append(d.How, "over the length of the nut the error grows turn by turn; the threaded length is not given")
		return
	}
	off := math.Abs(d.LeadAsCut.MM()/p.job.lead.MM()-1) * p.length.MM()
	p.fit(d, off, "over the threaded length the lead is "+p.short(off)+" out")
}

// explainWrong lists what could have put grooves beside their starts.
func (p *piece) explainWrong(d *Diagnosis, at placed) {
	before := len(d.Causes)
	if c, ok := p.backlashCause(at); ok {
		d.Causes = append(d.Causes, c)
	}
	if c, ok := p.wrongLineCause(at); ok {
		d.Causes = append(d.Causes, c)
	}
	for _, h := range p.lathe.holders {
		if h.errorDeg == nil || at.extra > 0 {
			continue
		}
		if bound := p.angularSpacing(h.errorDeg).MM(); at.spread <= bound+p.within(p.starts) {
			d.Causes = append(d.Causes, Cause{CauseIndexError, "the spread lies within what " + h.kind + " with " + strconv.Itoa(h.stations) + " stations may be out, " + p.short(bound)})
		}
	}
	if len(d.Causes) == before {
		d.Causes = append(d.Causes, Cause{CauseUnknown, "nothing that the request names explains these spacings"})
	}
}

// backlashCause fits when start 1 stands apart from all other starts by one and
// the same length, which lost motion does to moves measured from one zero.
func (p *piece) backlashCause(at placed) (Cause, bool) {
	s := p.lathe.compound
	if p.starts < 2 || at.extra > 0 || len(at.missing) > 0 || s == nil {
		return Cause{}, false
	}
	others := at.deviation[1:]
	mean := 0.0
	for _, v := range others {
		mean += v / float64(len(others))
	}
	for _, v := range others {
		if !p.near(v, mean, p.starts) {
			return Cause{}, false
		}
	}
	if math.Abs(mean) <= p.within(p.starts)/2 || s.backlash != nil && math.Abs(mean) > s.backlash.MM()+p.within(p.starts) {
		return Cause{}, false
	}
	why := "all other starts lie " + p.short(math.Abs(mean)) + " too far against the travel: the slide's lost motion was not taken up with the travel before its moves"
	if mean < 0 {
		why = "all other starts lie " + p.short(math.Abs(mean)) + " too far with the travel: the slide was moved against it, its lost motion on the wrong side"
	}
	if s.backlash == nil {
		why += " (its backlash is not given)"
	}
	return Cause{CauseBacklash, why}, true
}

// wrongLineCause fits when every groove beside its start lies where the half-nut
// could have closed, and those places are far enough apart to tell.
func (p *piece) wrongLineCause(at placed) (Cause, bool) {
	n := p.nut()
	if n == nil || !n.has || len(at.wrong) == 0 {
		return Cause{}, false
	}
	// Phases are r·L/b; k = r·a⁻¹ mod b leadscrew threads past a true closing.
	b, ok := n.paths().Int64()
	if !ok || b > 1<<20 {
		return Cause{}, false
	}
	step := p.job.lead.MM() / float64(b)
	if step <= 4*p.within(p.starts) {
		return Cause{}, false
	}
	why := ""
	for i, phase := range at.wrong {
		r := math.Round(phase / step)
		if !p.near(phase, r*step, p.starts) {
			return Cause{}, false
		}
		k := new(big.Int).Mul(big.NewInt(int64(r)), n.inverse)
		if i > 0 {
			why += ", "
		}
		why += k.Mod(k, n.b).String()
	}
	return Cause{CauseWrongLine, "grooves lie where the half-nut closes " + why + " leadscrew threads past a true closing: a line or thread that serves no start"}, true
}

// saveSpacing says what grooves beside their starts leave of the piece.
func (p *piece) saveSpacing(d *Diagnosis, at placed) {
	if at.extra > 0 {
		d.Save = SaveNo
		p.skim(d)
		d.How = append(d.How, "a groove lies where the crest of the thread should stand")
		p.remake(d)
		return
	}
	p.fit(d, at.spread, "the starts are "+p.short(at.spread)+" out of step")
}

// fit compares the cost of an axial error with the class's tolerance.
func (p *piece) fit(d *Diagnosis, off float64, what string) {
	cost := p.axialCost(off)
	tolerance, known := p.pitchDiameterTolerance()
	deeper := "smaller"
	if p.internal {
		deeper = "larger"
	}
	switch {
	case cost == nil && p.form == nil:
		d.Save = worse(d.Save, SaveDepends)
		d.How = append(d.How, what+"; without a form it is not known what that costs")
	case cost == nil:
		d.Save = worse(d.Save, SaveDepends)
		d.How = append(d.How, what+": a nut goes on when all grooves are widened by as much, which its axial play allows or not")
	case !known:
		d.Save = worse(d.Save, SaveDepends)
		d.How = append(d.How, what+": a nut goes on when every start is cut until the pitch diameter is "+p.short(cost.MM())+" "+deeper+"; no class says whether that is allowed")
	case cost.MM() <= tolerance:
		d.How = append(d.How, what+": cut every start until the pitch diameter is "+p.short(cost.MM())+" "+deeper+" than its maximum-metal limit, of a tolerance of "+p.short(tolerance))
	default:
		if d.Save != SaveNo {
			d.Save = SaveNo
			p.skim(d)
		}
		d.How = append(d.How, what+": that takes "+p.short(cost.MM())+" of pitch diameter, more than the tolerance "+p.short(tolerance))
		p.remake(d)
	}
}

// worse returns the less hopeful of two.
func worse(a, b string) string {
	if a == SaveNo || b == SaveYes {
		return a
	}
	return b
}

func startList(starts []int) string {
	s := "start "
	if len(starts) > 1 {
		s = "starts "
	}
	for i, n := range starts {
		if i > 0 {
			s += ", "
		}
		s += strconv.Itoa(n)
	}
	return s
}
