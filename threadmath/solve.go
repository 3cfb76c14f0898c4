package threadmath

import "math"

// Solve returns everything the request makes known about cutting its thread.
// Unreadable, contradictory or impossible input gives a DomainError that names
// the field; what the lathe cannot do is part of the answer.
func Solve(r Request) (Answer, error) {
	j, err := newJob(r)
	if err != nil {
		return Answer{}, err
	}
	return j.solve(), nil
}

func (j *job) solve() Answer {
	a := Answer{
		Pitch:        j.dim(j.pitch),
		Lead:         j.dim(j.lead),
		TurnsPerInch: RatioText{Inches(Int(1)).Quo(j.lead)},
		Designation:  j.designationOf(),
		LeadAngleDeg: j.leadAngle,
		Starts:       j.startOffsets(),
		Limits:       j.limits,
	}
	if j.prop != nil {
		d := j.prop.depth.dimension(j.system)
		a.Depth, a.DepthRule = &d, j.prop.rule
		a.Crest, a.Root = j.edges()
		if j.diameter != nil {
			major, pd, minor := j.majorDiameter.dimension(j.system), j.pitchDiameter.dimension(j.system), j.minorDiameter.dimension(j.system)
			a.MajorDiameter, a.PitchDiameter, a.MinorDiameter = &major, &pd, &minor
		}
	}
	j.index(&a)
	a.Blank, a.Infeed, a.Tool = j.blank(a.Limits), j.infeedPlans(), j.tool()
	a.CutDepth = j.cutDepth(a.Blank)
	a.RunOut, a.Speed = j.runOut(a.PickUp), j.speed()
	a.Wires, a.JobTime, a.Use = j.wires(a.Limits), j.jobTime(), j.use()
	a.Measuring = j.measuring(a.Methods)
	a.Cautions = j.cautionsFor(&a)
	return a
}

// prepare computes the geometry that several parts of the answer share.
func (j *job) prepare() error {
	if j.form == nil {
		return nil
	}
	p := j.form.geometry(j.pitch, j.internal)
	j.prop = &p
	j.section = j.form.section(j.pitch, p, j.internal)
	if j.section.flanksMeet() {
		return &DomainError{Quantity: "/thread/pitch", Value: j.pitch.Exact(j.system), Reason: flanksMeetWhy, Range: "a coarser pitch, or another form"}
	}
	if j.diameter == nil {
		return nil
	}
	d := *j.diameter
	j.pitchDiameter = p.pitchBelow.below(d)
	j.minorDiameter = p.minorBelow.below(d)
	j.majorDiameter = exactAmount(d)
	if j.internal {
		if a := p.majorAbove; a.known {
			j.majorDiameter = exactAmount(d.Add(a.exact))
		} else {
			j.majorDiameter = approxAmount(d.MM() + a.mm)
		}
	}
	if j.minorDiameter.mm <= 0 {
		return &DomainError{
			Quantity: "/thread/diameter", Value: d.Exact(j.system), Reason: "the depth leaves no core",
			Range: "more than " + approxText(p.minorBelow.mm, j.system),
		}
	}
	angle := func(d float64) float64 { return math.Atan2(j.lead.MM(), math.Pi*d) * 180 / math.Pi }
	j.leadAngle = &LeadAngle{Major: angle(j.majorDiameter.mm), Pitch: angle(j.pitchDiameter.mm), Minor: angle(j.minorDiameter.mm)}
	return nil
}

// startOffsets places every start: start j+1 lies j·P behind start 1 against
// the tool's travel, or j·360°/n with the work turned forward.
func (j *job) startOffsets() []StartOffset {
	out := make([]StartOffset, j.starts)
	for i := range out {
		out[i] = StartOffset{Start: i + 1, Offset: j.dim(j.pitch.Times(i)), AngleDeg: 360 * float64(i) / float64(j.starts)}
	}
	return out
}
