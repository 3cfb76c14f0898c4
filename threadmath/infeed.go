package threadmath

import "slices"

// What feeds the tool into the work.
const (
	FedByCompound   = "compound"
	FedByCrossSlide = "cross-slide"
)

// InfeedPlan is one way of feeding the tool to depth.
type InfeedPlan struct {
	FedBy string `json:"fed_by"`
	// InfeedAngleDeg counts from the cross-slide's direction, AngleFromAxisDeg
	// from the work's axis: bases are graduated from either, so that 29.5° on one
	// machine is 60.5° on the other.
	InfeedAngleDeg   float64 `json:"infeed_angle_deg"`
	AngleFromAxisDeg float64 `json:"angle_from_axis_deg"`
	AngleRule        string  `json:"angle_rule,omitempty"`
	// Swing says which way the compound's handle is swung.
	Swing string `json:"swing,omitempty"`
	// Feed says which way the tool is fed.
	Feed string `json:"feed"`
	// Methods lists the indexing methods the plan goes with; whether this lathe
	// has them stands under methods.
	Methods      []string   `json:"methods"`
	SlideTravel  *Dimension `json:"slide_travel,omitempty"`
	Passes       []Pass     `json:"passes,omitempty"`
	SpringPasses int        `json:"spring_passes"`
	Why          string     `json:"why,omitempty"`
}

// plungeMethods goes with a tool fed by the cross-slide; flankMethods with one
// fed by the compound, which then cannot also be the slide set parallel to the
// axis that moves from start to start.
var (
	plungeMethods = []string{
		"thread-dial", "half-nut", "carriage-shift", "compound-parallel", "compound-angled",
		"chuck-jaws", "faceplate-slots", "drive-plate-slots", "index-holes", "stud-gear", "leadscrew-gear",
	}
	flankMethods = slices.DeleteFunc(slices.Clone(plungeMethods), func(m string) bool { return m == "compound-parallel" })
)

// infeedPlans returns the ways of feeding to depth, flank infeed by the compound
// first, then the plunge by the cross-slide; nil without a form. A form with a
// square trailing flank is only plunged.
//
//	slide travel = x/cos θ, x the depth of cut_depth
//
// Passes appear where the request gives a first cut; see passDepths.
func (j *job) infeedPlans() []InfeedPlan {
	if j.form == nil {
		return nil
	}
	depth := j.depthOfCut.dimension(j.system)
	spring := 0
	if j.cut.springPasses != nil {
		spring = *j.cut.springPasses
	}
	why := ""
	if j.depths == nil {
		why = "passes need the first cut"
	}
	feed := "inward, away from the operator"
	if j.internal {
		feed = "outward, towards the operator: backlash lies on the other side than in external work"
	}
	plan := func(by string, angle float64, s *slide) InfeedPlan {
		travel := alongSlide(depth, angle)
		return InfeedPlan{
			FedBy: by, InfeedAngleDeg: angle, AngleFromAxisDeg: 90 - angle, Feed: feed,
			SlideTravel: &travel, Passes: j.passes(angle, s), SpringPasses: spring, Why: why,
		}
	}
	var out []InfeedPlan
	angle, rule, ok := j.infeedAngle()
	switch {
	case !ok:
		out = append(out, InfeedPlan{FedBy: FedByCompound, Feed: feed, Methods: []string{}, Why: rule})
	case angle > 0:
		p := plan(FedByCompound, angle, j.lathe.compound)
		p.AngleRule, p.Swing, p.Methods = rule, j.swing(), slices.Clone(flankMethods)
		out = append(out, p)
	}
	p := plan(FedByCrossSlide, 0, j.lathe.cross)
	p.Methods = slices.Clone(plungeMethods)
	return append(out, p)
}

// infeedAngle returns the compound's angle from the cross-slide in degrees and
// where it comes from; ok is false, with the reason, where nothing can be said.
//
// Where the request gives none: the trailing flank's angle for flanks up to
// 15° (Acme 14.5°, trapezoidal 15°, square 0°), half a degree less for steeper
// ones (60° forms 29.5°, Whitworth 27°), so that the trailing edge takes a
// shaving off its flank. Common practice, no source: shops set 29°, 29.5° or
// 30°; Jones, Turning and Boring (1914), ch. IV, sets 30°.
func (j *job) infeedAngle() (deg float64, rule string, ok bool) {
	if j.form == nil {
		if j.cut.angleDeg == nil {
			return 0, "no form and no infeed angle", false
		}
		return *j.cut.angleDeg, "as given", true
	}
	_, trailing, known := j.flanks()
	switch {
	case !known:
		return 0, "the job does not say which flank leads, so it is not known which flank an angled infeed would overcut", false
	case j.cut.angleDeg != nil:
		return *j.cut.angleDeg, "as given", true
	case trailing > 15:
		return trailing - 0.5, "half a degree under the trailing flank (common practice, no source)", true
	}
	return trailing, "along the trailing flank (common practice, no source)", true
}

// checkInfeedAngle refuses an angle over the trailing flank's: the tool would
// cut that flank away. Where the leading flank of a buttress is not said, the
// steeper of the two bounds it.
func (j *job) checkInfeedAngle() error {
	if j.cut.angleDeg == nil || j.form == nil {
		return nil
	}
	most := max(j.form.LoadFlankDeg, j.form.ClearanceFlankDeg)
	if _, trailing, ok := j.flanks(); ok {
		most = trailing
	}
	if *j.cut.angleDeg > most {
		return &DomainError{
			Quantity: "/cut/infeed_angle_deg", Value: formatFloat(*j.cut.angleDeg),
			Reason: "more than the trailing flank's angle, which it would overcut", Range: "0 to " + formatFloat(most),
		}
	}
	return nil
}

// swing says which way the compound is swung so that feeding moves the tool
// with its travel and the leading edge cuts. Fed inward along a slide whose
// handle lies towards the tailstock the tool also moves to the headstock, which
// is the travel of a right-hand thread; an internal thread is fed outward and a
// left-hand one travels the other way, and each turns it over.
func (j *job) swing() string {
	if j.left == j.internal {
		return "handle towards the tailstock"
	}
	return "handle towards the headstock"
}

// prepareCut checks and computes what the parts about cutting share.
func (j *job) prepareCut() error {
	if err := j.checkInfeedAngle(); err != nil {
		return err
	}
	if err := j.checkOverWires(); err != nil {
		return err
	}
	if err := j.settleDepthOfCut(); err != nil {
		return err
	}
	return j.planPasses()
}
