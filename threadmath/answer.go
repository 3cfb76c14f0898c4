package threadmath

// Answer holds everything that must be known to cut the thread, as far as the
// request makes it known; what it does not is left out. Field names are those
// of the solve contract.
type Answer struct {
	Pitch        Dimension `json:"pitch"`
	Lead         Dimension `json:"lead"`
	TurnsPerInch RatioText `json:"turns_per_inch"`

	Designation   string         `json:"designation,omitempty"`
	Depth         *Dimension     `json:"depth,omitempty"`
	DepthRule     string         `json:"depth_rule,omitempty"`
	Crest         *Edge          `json:"crest,omitempty"`
	Root          *Edge          `json:"root,omitempty"`
	MajorDiameter *Dimension     `json:"major_diameter,omitempty"`
	PitchDiameter *Dimension     `json:"pitch_diameter,omitempty"`
	MinorDiameter *Dimension     `json:"minor_diameter,omitempty"`
	LeadAngleDeg  *LeadAngle     `json:"lead_angle_deg,omitempty"`
	Starts        []StartOffset  `json:"starts"`
	PickUp        *PickUp        `json:"pick_up,omitempty"`
	HalfNut       *HalfNut       `json:"half_nut,omitempty"`
	ThreadDials   []DialAnswer   `json:"thread_dials,omitzero"`
	CarriageShift *CarriageShift `json:"carriage_shift,omitempty"`
	CompoundSlide *ParallelSlide `json:"compound_slide,omitempty"`
	AngledSlide   *AngledSlide   `json:"angled_slide,omitempty"`
	Holders       []HolderAnswer `json:"holders,omitzero"`
	StudGear      *GearIndex     `json:"stud_gear,omitempty"`
	LeadscrewGear *GearIndex     `json:"leadscrew_gear,omitempty"`
	Gearbox       *GearboxAnswer `json:"gearbox,omitempty"`
	GearTrains    []GearTrain    `json:"gear_trains,omitzero"`
	Blank         *Blank         `json:"blank,omitempty"`
	CutDepth      *CutDepth      `json:"cut_depth,omitempty"`
	Infeed        []InfeedPlan   `json:"infeed,omitempty"`
	Tool          *Tool          `json:"tool,omitempty"`
	RunOut        *RunOut        `json:"run_out,omitempty"`
	Speed         *Speed         `json:"speed,omitempty"`
	Wires         *Wires         `json:"wires,omitempty"`
	Limits        *Limits        `json:"limits,omitempty"`
	Measuring     *Measuring     `json:"measuring,omitempty"`
	JobTime       *JobTime       `json:"job_time,omitempty"`
	Use           *Use           `json:"use,omitempty"`
	Methods       []Method       `json:"methods,omitempty"`
	Cautions      []Caution      `json:"cautions"`
}

// LeadAngle holds the lead angle in degrees at three diameters.
type LeadAngle struct {
	Major float64 `json:"major"`
	Pitch float64 `json:"pitch"`
	Minor float64 `json:"minor"`
}

// StartOffset places one start: Offset behind start 1 against the tool's
// travel, AngleDeg with the work turned forward.
type StartOffset struct {
	Start    int       `json:"start"`
	Offset   Dimension `json:"offset"`
	AngleDeg float64   `json:"angle_deg"`
}

// The rules of PickUp.
const (
	PickUpAnywhere   = "anywhere"
	PickUpLines      = "lines"
	PickUpKeepClosed = "keep-closed"
)

// PickUp says whether the half-nut may be opened between passes on one start.
type PickUp struct {
	Rule string `json:"rule"`
	// Dials lists, for PickUpLines, the lines of each dial that always come back
	// to the start they were closed on, counted from that start's own line 0.
	Dials []PickUpDial `json:"dials,omitempty"`
	Why   string       `json:"why"`
}

// PickUpDial lists the lines of one dial that catch the same start again, and
// per start the lines that catch it when line 0 is the one start 1 was cut on.
type PickUpDial struct {
	Teeth       int         `json:"teeth"`
	Graduations int         `json:"graduations"`
	Lines       []int       `json:"lines"`
	Starts      []StartLine `json:"starts"`
}

// StartLine lists the dial lines that catch a start.
type StartLine struct {
	Start int   `json:"start"`
	Lines []int `json:"lines"`
}

// HalfNut says what closing the half-nut at any leadscrew thread reaches.
type HalfNut struct {
	// Paths is b of p′/L = a/b in lowest terms; absent without a half-nut.
	Paths         *Whole  `json:"paths,omitempty"`
	CloseAnywhere bool    `json:"close_anywhere"`
	AllStarts     bool    `json:"all_starts"`
	Reaches       []Reach `json:"reaches"`
	Why           string  `json:"why,omitempty"`
}

// Reach is the fewest leadscrew threads past a true closing of start 1 at which
// the half-nut closes on Start.
type Reach struct {
	Start            int   `json:"start"`
	LeadscrewThreads Whole `json:"leadscrew_threads"`
}

// What a dial line catches.
const (
	CatchesStart   = "start"
	CatchesVaries  = "varies"
	CatchesOff     = "off"
	CatchesNoClose = "no-close"
)

// DialAnswer says what each line of one dial catches.
type DialAnswer struct {
	Teeth       int        `json:"teeth"`
	Graduations int        `json:"graduations"`
	Runs        string     `json:"runs,omitempty"`
	Lines       []DialLine `json:"lines"`
	// Between lists starts that no line catches but the half-nut does, and how
	// many leadscrew threads past a usable line it closes on them.
	Between []BetweenLines `json:"between,omitempty"`
}

// DialLine is one line; line 0 is the one start 1 was cut on.
type DialLine struct {
	Line    int    `json:"line"`
	Catches string `json:"catches"`
	Start   int    `json:"start,omitempty"`
	Starts  []int  `json:"starts,omitempty"`
}

// BetweenLines is a closing between the lines of a dial.
type BetweenLines struct {
	Start            int   `json:"start"`
	PastLine         int   `json:"past_line"`
	LeadscrewThreads int64 `json:"leadscrew_threads"`
	// Lines is the same distance in divisions of the dial ("1/2": half-way).
	Lines Ratio `json:"lines"`
}

// CarriageShift lists the measured shifts of the carriage, half-nut open,
// spindle stopped, against the travel.
type CarriageShift struct {
	Usable bool    `json:"usable"`
	Why    string  `json:"why,omitempty"`
	Shifts []Shift `json:"shifts"`
}

// Shift is the shortest shift to a start, and the shortest that also clears the
// threaded length where that is known.
type Shift struct {
	Start    int        `json:"start"`
	Distance Dimension  `json:"distance"`
	Clears   *Dimension `json:"clears,omitempty"`
}

// ParallelSlide lists the moves of a slide set parallel to the axis.
type ParallelSlide struct {
	Usable     bool       `json:"usable"`
	Why        string     `json:"why,omitempty"`
	FitsTravel *bool      `json:"fits_travel,omitempty"`
	Needs      Dimension  `json:"needs"`
	Reserve    Dimension  `json:"reserve"`
	Backlash   *Dimension `json:"backlash,omitempty"`
	// PerDegree is how far 1° of misalignment moves the tool in or out over P.
	PerDegree         Dimension  `json:"tool_in_or_out_per_degree"`
	Moves             []Move     `json:"moves"`
	SpacingError      *Dimension `json:"spacing_error,omitempty"`
	PitchDiameterCost *Dimension `json:"pitch_diameter_cost,omitempty"`
}

// Move is one setting of a slide, measured from zero.
type Move struct {
	Move     int       `json:"move"`
	Start    int       `json:"start"`
	Distance Dimension `json:"distance"`
	// Reading is how far the slide has moved at the nearest collar setting, and
	// Error is Reading − Distance.
	Reading *Dimension `json:"reading,omitempty"`
	Error   *Dimension `json:"error,omitempty"`
	// Turns and Divisions are that setting as the collar shows it; without the
	// travel per turn, Divisions counts all of them.
	Turns     *Whole `json:"turns,omitempty"`
	Divisions *Whole `json:"divisions,omitempty"`
	// CollarShows is the same setting as a collar that reads diameter counts it.
	CollarShows *Dimension `json:"collar_shows,omitempty"`
	// Withdrawal is how far the cross-slide is drawn back; angled slides only.
	Withdrawal *Dimension `json:"cross_slide_withdrawal,omitempty"`
}

// AngledSlide is the compound left at the infeed angle.
type AngledSlide struct {
	Usable               bool       `json:"usable"`
	Why                  string     `json:"why,omitempty"`
	InfeedAngleDeg       float64    `json:"infeed_angle_deg"`
	SlidePerPitch        *Dimension `json:"slide_per_pitch,omitempty"`
	CrossSlideWithdrawal *Dimension `json:"cross_slide_withdrawal,omitempty"`
	FitsTravel           *bool      `json:"fits_travel,omitempty"`
	// Needs is the slide's travel for all moves, Infeed (where the depth is
	// known, for the slide may feed as well) and Reserve.
	Needs   *Dimension `json:"needs,omitempty"`
	Infeed  *Dimension `json:"infeed,omitempty"`
	Reserve *Dimension `json:"reserve,omitempty"`
	// SpacingPerDegree is how much of each step an angle set 1° wrong costs.
	SpacingPerDegree *Dimension `json:"spacing_per_degree,omitempty"`
	// SpacingError is what the collar and the base's own error may cost together;
	// absent where the collar is not known.
	SpacingError      *Dimension `json:"spacing_error,omitempty"`
	PitchDiameterCost *Dimension `json:"pitch_diameter_cost,omitempty"`
	Moves             []Move     `json:"moves"`
}

// HolderAnswer says which stations of a holder serve which start.
type HolderAnswer struct {
	Kind              string     `json:"kind"`
	Stations          int        `json:"stations"`
	ErrorDeg          *float64   `json:"error_deg,omitempty"`
	Usable            bool       `json:"usable"`
	Why               string     `json:"why,omitempty"`
	Counted           string     `json:"counted,omitempty"`
	StationsOfStarts  []int      `json:"stations_of_starts,omitempty"`
	SpacingError      *Dimension `json:"spacing_error,omitempty"`
	PitchDiameterCost *Dimension `json:"pitch_diameter_cost,omitempty"`
}

// GearIndex says how many teeth of a gear to let by between starts.
type GearIndex struct {
	Usable bool   `json:"usable"`
	Why    string `json:"why,omitempty"`
	// Wheel is the teeth of the wheel that is counted.
	Wheel         int    `json:"wheel,omitempty"`
	TeethPerStart *Whole `json:"teeth_per_start,omitempty"`
	SpindleTurns  *Ratio `json:"spindle_turns,omitempty"`
	StartsInOrder []int  `json:"starts_in_order,omitempty"`
}

// Method is one way of getting from start to start.
type Method struct {
	Method string `json:"method"`
	Usable bool   `json:"usable"`
	// Bound names what keeps a way that the arithmetic would allow from being
	// usable: the Bound constants; empty otherwise.
	Bound             string     `json:"bound,omitempty"`
	Why               string     `json:"why"`
	SpacingError      *Dimension `json:"spacing_error,omitempty"`
	PitchDiameterCost *Dimension `json:"pitch_diameter_cost,omitempty"`
}

// Caution is a warning that belongs with these numbers.
type Caution struct {
	ID   string `json:"id"`
	Text string `json:"text"`
	// Always says that it holds at every lathe, whatever the job.
	Always bool `json:"always,omitempty"`
}
