package threadmath

// job is a request read, checked and made exact: the one thing that every part
// of the solver works from. Pointers are nil, and slices nil, where the request
// does not say.
type job struct {
	system System // of the request's pitch or lead: exact texts use it

	pitch, lead Length
	starts      int
	form        *Form
	internal    bool
	left        bool
	diameter    *Length
	length      *Length // threaded length
	class       string
	series      string // as the designation says it
	// leadingLoad says, for unsymmetrical forms, whether the load flank leads;
	// nil where the job does not say.
	leadingLoad *bool

	lathe machine
	cut   cutting

	// Made from the above by prepare; nil where form or diameter is missing.
	prop      *proportions
	section   section // where prop is known
	leadAngle *LeadAngle
	// depths are the radial depths in mm after each pass; nil without a first cut.
	depths []float64
	// depthOfCut is the radial depth from touch that the passes go to; see
	// cutDepth.
	depthOfCut amount
	// pitchDiameter and minorDiameter in mm, of the side asked for.
	pitchDiameter, minorDiameter, majorDiameter amount
	// limits of the class asked for; nil without a class or a form.
	limits *Limits
}

// machine is the lathe of a job. Its zero value knows nothing.
type machine struct {
	leadscrew       *Length // travel per turn, p
	leadscrewStarts int
	halfNut         *bool
	dials           []dial
	compound, cross *slide
	holders         []holder
	stud            *studGear
	leadscrewTeeth  int // 0: not known
	trainOpens      *bool
	changeGears     []int
	bracket         *bracket
	gearbox         []gearboxSetting
	speeds          []float64 // ascending
	carriageTravel  *Length
	closingRPM      *float64
}

type dial struct {
	teeth, graduations int
	runs               string
}

type slide struct {
	graduation, perTurn, travel, backlash *Length // as the collar shows them; travel and backlash of the slide itself
	readsDiameter                         bool
	baseErrorDeg                          *float64
}

type holder struct {
	kind     string
	stations int
	errorDeg *float64
}

type studGear struct {
	teeth int
	turns Ratio // per spindle turn, ρ
}

type gearboxSetting struct {
	text string
	lead Length
}

// cutting is the cut of a job.
type cutting struct {
	angleDeg                              *float64
	firstCut, leastCut, toolFlat          *Length
	finishingPasses, springPasses         *int
	greatestCount                         *int
	reliefDeg, rpm, reactionS, coastTurns *float64
	groove, mark, toolWidth               *Length
	room, startingGroove, measuredBlank   *Length
	wire, overWires                       *Length
	material                              string
	loadN, friction                       *float64
	// Times of the shop, minutes and seconds.
	setUpMin, handlingS, indexMin, measureMin *float64
	// cuttingSpeed is the surface speed for threading, m/min.
	cuttingSpeed *float64
	blind        bool
}

// closing is p′, the carriage travel between two closings of the half-nut; ok
// is false where the lathe has no leadscrew or half-nut, or they are not known.
func (j *job) closing() (p Length, ok bool) {
	m := &j.lathe
	if m.leadscrew == nil || m.halfNut == nil || !*m.halfNut {
		return Length{}, false
	}
	return m.leadscrew.Div(m.leadscrewStarts), true
}

// flanks returns the leading and trailing flank angles in degrees; ok is false
// without a form, or where an unsymmetrical form's leading flank is not said.
func (j *job) flanks() (leading, trailing float64, ok bool) {
	f := j.form
	switch {
	case f == nil:
		return 0, 0, false
	case f.Symmetrical():
		return f.LoadFlankDeg, f.LoadFlankDeg, true
	case j.leadingLoad == nil:
		return 0, 0, false
	case *j.leadingLoad:
		return f.LoadFlankDeg, f.ClearanceFlankDeg, true
	}
	return f.ClearanceFlankDeg, f.LoadFlankDeg, true
}

// dim writes an exact length in the job's unit system.
func (j *job) dim(l Length) Dimension { return ExactDimension(l, j.system) }

func (j *job) dimp(l Length) *Dimension {
	d := j.dim(l)
	return &d
}

func approx(mm float64) *Dimension {
	d := ApproxDimension(mm)
	return &d
}
