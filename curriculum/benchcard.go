package curriculum

import (
	"halfnut/threadmath"
)

// BenchCard is what lies beside the lathe for one job on one lathe: in the order of
// the work, everything that its reader does, and every number that is set. It is
// data: paper, pages and clients are made from it and from nothing else. It exists
// only for a job that may be cut: see shop.BenchCard.
//
// Lengths are printed in the units of the card, collars in what stands on them; MM
// beside a text is the value of that text, as rounded, so that whoever does what is
// written gets the same thread as whoever reads the data.
type BenchCard struct {
	Title  string     `json:"title"`
	Lathe  string     `json:"lathe"`
	Method string     `json:"method"` // from start to start; empty for a single start
	Thread CardThread `json:"thread"`
	Blank  CardBlank  `json:"blank"`
	Tool   CardTool   `json:"tool"`
	Gear   CardGear   `json:"gear"`
	Infeed CardInfeed `json:"infeed"`
	RunOut CardRunOut `json:"run_out"`
	// Between says what happens to the half-nut between the passes of one start.
	Between CardBetween `json:"between"`
	// SetUp are the boxes to tick before the first cut.
	SetUp []string     `json:"set_up"`
	Proof ScratchProof `json:"proof"`
	// Starts in the order in which they are cut.
	Starts []CardStart `json:"starts"`
	// Passes in order. Every start is brought to the stop (Measure.AfterPass), all
	// are measured, then every start is finished.
	Passes   []CardPass           `json:"passes"`
	Measure  CardMeasure          `json:"measure"`
	Notes    []string             `json:"notes"`
	Cautions []threadmath.Caution `json:"cautions"`
	// Leans are the entries of the lathe's record that the numbers come from. A card
	// is made without their checks: see Prove.
	Leans []LatheProof `json:"leans"`
	// Dial or Holder is drawn where the method uses it.
	Dial   *threadmath.DialAnswer   `json:"dial,omitempty"`
	Holder *threadmath.HolderAnswer `json:"holder,omitempty"`
}

// Prove says of the entries that the card leans on which are proved by the
// lathe's checks, oldest first.
func (c *BenchCard) Prove(checks []LatheCheck) {
	entries := make([]LatheEntry, len(c.Leans))
	for i, p := range c.Leans {
		entries[i] = p.LatheEntry
	}
	c.Leans = Prove(entries, checks)
}

// CardSize is a length as the card prints it.
type CardSize struct {
	Text string `json:"text"`
	// MM is the length that the text says, in mm.
	MM float64 `json:"mm"`
}

// CardSetting is where a slide stands, counted from its zero.
type CardSetting struct {
	// Text is the setting as it is dialled: "2 turns + 3 divisions".
	Text string `json:"text"`
	// Turns and Divisions are what is dialled on a collar. Where the travel of one
	// turn is not known, Turns is 0 and Divisions counts all of them.
	Turns     int `json:"turns"`
	Divisions int `json:"divisions"`
	// Reading is what the collar shows, counted over whole turns; on a collar that
	// reads diameter twice the way of the slide.
	Reading CardSize `json:"reading"`
	// Measured says that no collar is known: the slide is set by measuring Reading.
	Measured bool `json:"measured,omitempty"`
}

// CardThread is what is cut.
type CardThread struct {
	Designation string   `json:"designation,omitempty"`
	Form        string   `json:"form"`
	Side        string   `json:"side"` // external or internal
	Hand        string   `json:"hand"` // right or left
	Class       string   `json:"class,omitempty"`
	Starts      int      `json:"starts"`
	Pitch       CardSize `json:"pitch"`
	Lead        CardSize `json:"lead"`
	// TurnsPerInch is 1/lead, as an inch lathe's gearing counts.
	TurnsPerInch string   `json:"turns_per_inch"`
	Length       CardSize `json:"length"` // of full thread
	Depth        CardSize `json:"depth"`  // single depth of the form
	DepthRule    string   `json:"depth_rule"`
	// BeginsAt is the end at which every pass begins, EndsAt the one at which the
	// tool leaves the work: "tailstock end" or "headstock end". Lengths along the
	// work are counted from BeginsAt.
	BeginsAt string `json:"begins_at"`
	EndsAt   string `json:"ends_at"`
	// Travel is where the carriage goes while cutting, as the operator sees it.
	Travel string `json:"travel"`
}

// CardBlank is the work before the thread.
type CardBlank struct {
	// Turn is "turn to" outside and "bore to" inside.
	Turn string   `json:"turn"`
	Max  CardSize `json:"max"`
	Min  CardSize `json:"min"`
	// ChamferTo is the diameter that the chamfer reaches.
	ChamferDeg float64  `json:"chamfer_deg"`
	ChamferTo  CardSize `json:"chamfer_to"`
	// Touch is the diameter of blank for which the infeed collar is set to zero when
	// the tool touches. On another blank the collar is set to TouchPerMM times the
	// difference in diameter (mm of collar a mm), towards the deeper readings.
	Touch      CardSize `json:"touch"`
	TouchPerMM float64  `json:"touch_per_mm"`
	// TouchRule says the same in words.
	TouchRule string `json:"touch_rule"`
	// Measured is the collar's setting at touch for the blank that the request gives
	// as measured; absent where it gives none.
	Measured *CardMeasured `json:"measured,omitempty"`
	// Groove and StartingGroove are turned before threading; absent where there is
	// none.
	Groove         *CardSize `json:"groove,omitempty"`
	StartingGroove *CardSize `json:"starting_groove,omitempty"`
}

// CardMeasured is a blank that was measured, and what the infeed collar is set to
// at touch.
type CardMeasured struct {
	Diameter CardSize    `json:"diameter"`
	Touch    CardSetting `json:"touch"`
}

// CardTool is the threading tool.
type CardTool struct {
	IncludedDeg float64 `json:"included_deg"`
	// LeadingFlankDeg and TrailingFlankDeg are the two halves of it, from the normal to
	// the axis; absent where it is not known which flank of a buttress thread leads.
	LeadingFlankDeg  *float64 `json:"leading_flank_deg,omitempty"`
	TrailingFlankDeg *float64 `json:"trailing_flank_deg,omitempty"`
	// Flat is the flat of the nose for which the depth is reckoned.
	Flat CardSize `json:"flat"`
	// Radius is the rounding of the nose where the form has one.
	Radius *CardSize `json:"radius,omitempty"`
	// Clearances are ground below the flanks, degrees from the vertical; in words of
	// the lathe as Leading and Trailing say which flank is which.
	LeadingGrindDeg  *float64 `json:"leading_grind_deg,omitempty"`
	TrailingGrindDeg *float64 `json:"trailing_grind_deg,omitempty"`
	// Leading is where the leading flank looks: "towards the headstock" or "towards
	// the tailstock".
	Leading string `json:"leading"`
}

// CardGear is how the lathe is geared to the lead.
type CardGear struct {
	// Gearbox is the setting of the quick-change gearbox; empty with change gears.
	Gearbox string `json:"gearbox,omitempty"`
	// Drivers and Driven are the wheels in the order of the train, stud first.
	Drivers []int `json:"drivers,omitempty"`
	Driven  []int `json:"driven,omitempty"`
	// Reverse is the way of the feed: the carriage must go as Thread.Travel says.
	Reverse string  `json:"reverse"`
	RPM     float64 `json:"rpm"`
}

// CardInfeed is how the tool is fed.
type CardInfeed struct {
	// FedBy is threadmath.FedByCrossSlide or threadmath.FedByCompound.
	FedBy string `json:"fed_by"`
	// AngleDeg is the compound's angle from the cross-slide, 0 where the cross-slide
	// feeds; FromAxisDeg is the same angle from the axis of the lathe.
	AngleDeg    float64 `json:"angle_deg"`
	FromAxisDeg float64 `json:"from_axis_deg"`
	// Swing says which way the compound is swung.
	Swing string `json:"swing,omitempty"`
	// Feed is where the slide is fed: "in, away from the operator".
	Feed     string `json:"feed"`
	Withdraw string `json:"withdraw"`
	Reads    string `json:"reads"` // radius or diameter
	// Division and PerTurn are those of the collar.
	Division CardSize  `json:"division"`
	PerTurn  *CardSize `json:"per_turn,omitempty"`
}

// What the hand does at the run-out.
const (
	// HandOpens: draw the tool out and open the half-nut, the spindle running.
	HandOpens = "open-and-withdraw"
	// HandStops: switch the spindle off, wait until it stands, then draw the tool
	// out; the half-nut stays closed.
	HandStops = "stop-then-withdraw"
)

// CardRunOut is what is done at the end of every pass. Places are of the tool,
// along the work from the end at which the thread begins.
type CardRunOut struct {
	Hand string `json:"hand"` // HandOpens or HandStops
	// ActAt is where the hand begins to act, StillBy where the tool stands still at
	// the latest, Limit where the first solid thing is.
	ActAt   CardSize `json:"act_at"`
	StillBy CardSize `json:"still_by"`
	Limit   CardSize `json:"limit"`
	// Room is what lies beyond the full thread, Overrun what the carriage goes on
	// after ActAt.
	Room       CardSize `json:"room"`
	Overrun    CardSize `json:"overrun"`
	ReactionS  float64  `json:"reaction_s"`
	CoastTurns *float64 `json:"coast_turns,omitempty"`
	// GreatestRPM is the speed above which the card would not hold.
	GreatestRPM *float64 `json:"greatest_rpm,omitempty"`
	// NoGroove says that every pass ends in uncut metal.
	NoGroove bool `json:"no_groove"`
	// Sketch says the same in one sentence.
	Sketch string `json:"sketch"`
}

// CardBetween is what happens between the passes of one start.
type CardBetween struct {
	// HalfNut is "opened" or "kept-closed".
	HalfNut string `json:"half_nut"`
	// Lines are the dial lines that bring the tool back, counted from the one that
	// start 1 was first cut on, on the dial of Teeth teeth; with OwnLine from the one
	// that the start itself was first cut on. Empty where the half-nut may be closed
	// anywhere or stays closed, and where every start names its own.
	Lines   []int  `json:"lines,omitempty"`
	OwnLine bool   `json:"own_line,omitempty"`
	Teeth   int    `json:"teeth,omitempty"`
	Text    string `json:"text"`
}

// ScratchProof is what a light scratch must show before metal is lost.
type ScratchProof struct {
	Turns   int       `json:"turns"`
	Lead    CardSize  `json:"lead"`              // over the turns
	Spacing *CardSize `json:"spacing,omitempty"` // from one start's scratch to the next; absent for a single start
	// SpacingError is the largest error of spacing that the method leaves; absent
	// where it is not known.
	SpacingError *CardSize `json:"spacing_error,omitempty"`
}

// CardStart is one start and how to come to it. Exactly what the method sets is
// present; the first start of the card has nothing but its zero.
type CardStart struct {
	Start int    `json:"start"`
	Dial  string `json:"dial"` // what is set, in short
	How   string `json:"how"`
	// Lines are the dial lines on which the half-nut is closed, on the dial of Teeth
	// teeth; line 0 is the one that start 1 was cut on.
	Lines []int `json:"lines,omitempty"`
	// Threads is how many leadscrew threads past line PastLine (or past the first
	// closing) the half-nut is closed.
	Threads  int64 `json:"threads,omitempty"`
	PastLine *int  `json:"past_line,omitempty"`
	// Shift is how far the carriage is moved back against the travel.
	Shift *CardSize `json:"shift,omitempty"`
	// Compound is where the compound stands, with the travel from its zero, and
	// CrossSlide how far the cross-slide is drawn back from its zero.
	Compound   *CardSetting `json:"compound,omitempty"`
	CrossSlide *CardSetting `json:"cross_slide,omitempty"`
	// Station is the jaw, slot or hole, counted from 1.
	Station int `json:"station,omitempty"`
	// Teeth of the wheel with WheelTeeth teeth that are let by from the start before;
	// for the first start when the work comes back to it after the stop.
	Teeth      int `json:"teeth,omitempty"`
	WheelTeeth int `json:"wheel_teeth,omitempty"`
	// SpindleTurns is how far the spindle is turned forward meanwhile ("1/2"); empty
	// where the spindle stands.
	SpindleTurns string `json:"spindle_turns,omitempty"`
	// CarriageAt is where the carriage's mark on the bed stands at ActAt, counted as
	// for start 1; a slide that was moved with the travel puts it back.
	CarriageAt CardSize `json:"carriage_at"`
}

// CardPass is one setting of the infeed collar for every start; a pass without
// infeed repeats the last one.
type CardPass struct {
	// Pass counts from 0, where the infeed stands before the first cut.
	Pass   int      `json:"pass"`
	Name   string   `json:"name"`
	Depth  CardSize `json:"depth"` // radial, from touch on the blank of Blank.Touch
	Spring bool     `json:"spring,omitempty"`
	// Readings are those of the infeed slide, in the order of Starts.
	Readings []CardSetting `json:"readings"`
}

// What is measured at the stop.
const (
	MeasureOverWires = "over-wires"
	MeasureGauge     = "gauge"
)

// CardMeasure is the stop at which all starts stand equally deep, what is measured
// there, and what is done with the reading.
type CardMeasure struct {
	// AfterPass is the pass to which all starts are brought first.
	AfterPass int `json:"after_pass"`
	// By is MeasureOverWires, or MeasureGauge where no wire serves: the gauge, or
	// the mating part, is tried.
	By    string    `json:"by"`
	Wire  *CardSize `json:"wire,omitempty"`
	Wires int       `json:"wires,omitempty"`
	// Expected is the reading at the stop, Aim the one at full depth; Max and Min are
	// the limits of the finished thread.
	Expected *CardSize `json:"expected,omitempty"`
	Aim      *CardSize `json:"aim,omitempty"`
	Max      *CardSize `json:"max,omitempty"`
	Min      *CardSize `json:"min,omitempty"`
	// CollarPerMM is how far the collar is turned for a mm between reading and Aim;
	// what is to go is never less than nothing.
	CollarPerMM float64 `json:"collar_per_mm,omitempty"`
	// GreatestStep is the most that the collar may be turned for one pass.
	GreatestStep *CardSetting `json:"greatest_step,omitempty"`
	// SpringPasses follow without infeed on every start.
	SpringPasses int `json:"spring_passes"`
	// Rule says what is done with the reading.
	Rule string `json:"rule"`
	// Limits are what is measured of the finished work.
	Limits []CardLimit `json:"limits"`
}

// CardRow names a thing and says what it is.
type CardRow struct {
	What string `json:"what"`
	Is   string `json:"is"`
}

// CardLimit is one thing to measure.
type CardLimit struct {
	What  string `json:"what"`
	Most  string `json:"most"`
	Least string `json:"least"`
}

// Preparation is what a class needs before it comes into the shop.
type Preparation struct {
	Groups []PreparationGroup `json:"groups"`
	// Without lists those whose job has no bench card, with the reason.
	Without []CardRow `json:"without"`
}

// PreparationGroup is one kind of things.
type PreparationGroup struct {
	Title string            `json:"title"`
	Items []PreparationItem `json:"items"`
}

// PreparationItem is a thing, how many, and for whom.
type PreparationItem struct {
	What  string   `json:"what"`
	Count int      `json:"count"`
	For   []string `json:"for"`
}

// RefusedCard says why a job has no bench card; it is an ErrInvalid.
type RefusedCard struct{ Reasons []CardReason }

// CardReason is one reason, with the field of the request it is about and what
// would mend it.
type CardReason struct {
	Path string `json:"path"`
	Why  string `json:"why"`
	Mend string `json:"mend,omitempty"`
}

// Text is the reason with its mend.
func (r CardReason) Text() string {
	if r.Mend == "" {
		return r.Why
	}
	return r.Why + ": " + r.Mend
}

// Error joins the reasons.
func (r *RefusedCard) Error() string {
	s := "this job cannot be printed as a bench card"
	for i, x := range r.Reasons {
		sep := "; "
		if i == 0 {
			sep = ": "
		}
		s += sep + x.Text()
	}
	return s
}

// Unwrap gives each reason as a FieldError, so that a client learns all of them.
func (r *RefusedCard) Unwrap() []error {
	out := make([]error, len(r.Reasons))
	for i, x := range r.Reasons {
		out[i] = &FieldError{Path: x.Path, Reason: x.Text()}
	}
	return out
}
