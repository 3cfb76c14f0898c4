package threadmath

// Request describes a thread job as the solve contract writes it: quantities
// are text with their unit. Absent fields, and null, are not known; an empty
// list means that the lathe has none.
type Request struct {
	Thread Thread `json:"thread"`
	Lathe  *Lathe `json:"lathe,omitempty"`
	Cut    *Cut   `json:"cut,omitempty"`
}

// Thread describes what is to be cut.
type Thread struct {
	// Designation stands in place of form, diameter, pitch and starts.
	Designation  string `json:"designation,omitempty"`
	Form         string `json:"form,omitempty"`
	Side         string `json:"side,omitempty"`
	Hand         string `json:"hand,omitempty"`
	Diameter     string `json:"diameter,omitempty"`
	Pitch        string `json:"pitch,omitempty"`
	Lead         string `json:"lead,omitempty"`
	Starts       *Count `json:"starts,omitempty"`
	Length       string `json:"length,omitempty"`
	Class        string `json:"class,omitempty"`
	LeadingFlank string `json:"leading_flank,omitempty"`
}

// Lathe describes the machine the thread is cut on.
type Lathe struct {
	// Name is for people; nothing is computed from it.
	Name            string         `json:"name,omitempty"`
	Leadscrew       string         `json:"leadscrew,omitempty"`
	LeadscrewStarts *Count         `json:"leadscrew_starts,omitempty"`
	HalfNut         *bool          `json:"half_nut,omitempty"`
	ThreadDials     []ThreadDial   `json:"thread_dials,omitzero"`
	CompoundSlide   *Slide         `json:"compound_slide,omitempty"`
	CrossSlide      *Slide         `json:"cross_slide,omitempty"`
	Holders         []Holder       `json:"holders,omitzero"`
	StudGear        *StudGear      `json:"stud_gear,omitempty"`
	LeadscrewGear   *LeadscrewGear `json:"leadscrew_gear,omitempty"`
	// TrainOpens false says that the gear train cannot be opened (geared head).
	TrainOpens    *bool     `json:"train_opens,omitempty"`
	ChangeGears   []Count   `json:"change_gears,omitzero"`
	Bracket       *Bracket  `json:"bracket,omitempty"`
	Gearbox       []string  `json:"gearbox,omitzero"`
	SpindleSpeeds []float64 `json:"spindle_speeds,omitzero"`
	// CarriageTravel is the longest measured shift that the bed allows.
	CarriageTravel string `json:"carriage_travel,omitempty"`
	// ClosingRPM is the greatest speed of the leadscrew at which the half-nut is
	// closed on one place.
	ClosingRPM *float64 `json:"closing_rpm,omitempty"`
}

// ThreadDial is the indicator wheel that meshes with the leadscrew.
type ThreadDial struct {
	Teeth       Count `json:"teeth"`
	Graduations Count `json:"graduations"`
	// Runs says which way the numbers come up past the mark while the carriage
	// stands and the spindle runs as when cutting a right-hand thread: "up" or
	// "down". A left-hand thread turns the leadscrew, and so the dial, the other
	// way. Where it is absent, lines are counted as they come up.
	Runs string `json:"runs,omitempty"`
}

// The directions of ThreadDial.Runs.
const (
	DialRunsUp   = "up"
	DialRunsDown = "down"
)

// Slide is a slide with a graduated collar. Graduation and PerTurn are what the
// collar shows; one that reads diameter moves its slide half of it.
type Slide struct {
	Graduation string `json:"graduation,omitempty"`
	PerTurn    string `json:"per_turn,omitempty"`
	Travel     string `json:"travel,omitempty"`
	Reads      string `json:"reads,omitempty"`
	// Backlash is the lost motion of screw and nut.
	Backlash string `json:"backlash,omitempty"`
	// BaseErrorDeg is how far off an angle may be that is set by the slide's base.
	BaseErrorDeg *float64 `json:"base_error_deg,omitempty"`
}

// Collar returns what the collar reads, "radius" or "diameter"; a record that does
// not say is taken for radius.
func (s *Slide) Collar() string {
	if s == nil || s.Reads == "" {
		return "radius"
	}
	return s.Reads
}

// Holder is what turns the work by stations: chuck jaws, faceplate or
// drive-plate slots, or spindle index holes.
type Holder struct {
	Kind     string   `json:"kind"`
	Stations Count    `json:"stations"`
	ErrorDeg *float64 `json:"error_deg,omitempty"`
}

// StudGear is the first gear of the train, turning TurnsPerSpindleTurn times
// for each turn of the spindle.
type StudGear struct {
	Teeth               Count    `json:"teeth"`
	TurnsPerSpindleTurn Fraction `json:"turns_per_spindle_turn,omitempty"`
}

// LeadscrewGear is the gear on the leadscrew.
type LeadscrewGear struct {
	Teeth Count `json:"teeth"`
}

// Bracket says how many teeth the four wheels of a compound train may have
// together on the lathe's bracket.
type Bracket struct {
	LeastTeeth    *Count `json:"least_teeth,omitempty"`
	GreatestTeeth *Count `json:"greatest_teeth,omitempty"`
}

// Cut describes how the thread is to be cut and measured.
type Cut struct {
	InfeedAngleDeg  *float64 `json:"infeed_angle_deg,omitempty"`
	FirstCut        string   `json:"first_cut,omitempty"`
	LeastCut        string   `json:"least_cut,omitempty"`
	FinishingPasses *Count   `json:"finishing_passes,omitempty"`
	SpringPasses    *Count   `json:"spring_passes,omitempty"`
	ToolFlat        string   `json:"tool_flat,omitempty"`
	ReliefDeg       *float64 `json:"relief_deg,omitempty"`
	SpindleRPM      *float64 `json:"spindle_rpm,omitempty"`
	Groove          string   `json:"groove,omitempty"`
	// WithdrawalMark is where the tool is withdrawn, measured along the axis from
	// the end at which the thread begins.
	WithdrawalMark string `json:"withdrawal_mark,omitempty"`
	// Room is the least free travel beyond the full thread of anything that moves
	// with the tool, to the first solid thing: shoulder, bottom of the bore, chuck
	// jaw, dog. It is measured with the tool's nose at the end of the full thread.
	Room string `json:"room,omitempty"`
	// StartingGroove is the width of the groove in which the tool stands before a
	// thread that does not begin at a free end, as a left-hand one.
	StartingGroove string `json:"starting_groove,omitempty"`
	// MeasuredBlank is the diameter to which the blank was turned or bored, as
	// measured.
	MeasuredBlank string   `json:"measured_blank,omitempty"`
	ToolWidth     string   `json:"tool_width,omitempty"`
	ReactionS     *float64 `json:"reaction_s,omitempty"`
	CoastTurns    *float64 `json:"coast_turns,omitempty"`
	Wire          string   `json:"wire,omitempty"`
	OverWires     string   `json:"over_wires,omitempty"`
	Material      string   `json:"material,omitempty"`
	// CuttingSpeedMPerMin is the surface speed for threading in place of the material's.
	CuttingSpeedMPerMin *float64 `json:"cutting_speed_m_per_min,omitempty"`
	// Times that the shop has logged, in place of the start values.
	SetUpMin   *float64 `json:"set_up_min,omitempty"`
	HandlingS  *float64 `json:"handling_s,omitempty"`
	IndexMin   *float64 `json:"index_min,omitempty"`
	MeasureMin *float64 `json:"measure_min,omitempty"`
	LoadN      *float64 `json:"load_n,omitempty"`
	Friction   *float64 `json:"friction,omitempty"`
	// GreatestCount is how many leadscrew threads or teeth one counts without a slip.
	GreatestCount *Count `json:"greatest_count,omitempty"`
	// Blind says that a bore has no way out for the tool.
	Blind bool `json:"blind,omitempty"`
}

// Count is a whole number. JSON may write it as 3 or 3.0.
type Count int

// Fraction is a ratio as the request wrote it: a JSON number or text ("10/3").
type Fraction string
