package threadmath

// caution is a warning with what sets it off. Triggers look at the finished
// answer, so that a caution never speaks of something that the answer does not
// hold.
type caution struct {
	id, text string
	// fires is nil for what holds at every lathe.
	fires func(j *job, a *Answer) bool
}

// cautions are printed in this order: what breaks tools and throws work first,
// then what always holds at a lathe, then what this job adds. Common practice
// of the trade; the machine's manual, local rules and the shop's qualified
// supervisor come before any of them.
var cautions = []caution{
	{
		"infeed-back", "Before the first pass on every new start wind the infeed back to its starting reading: a full-depth cut on uncut metal breaks the tool or throws the work.",
		func(j *job, _ *Answer) bool { return j.starts > 1 },
	},
	{
		"supervisor-first", "The machine's manual, local rules and the shop's qualified supervisor come first. These figures are for teaching.",
		nil,
	},
	{
		"rotating-work", "Rotating work catches: no gloves, no loose clothing or sleeves, no jewellery, hair tied up, guards in place. Keep hands, rags and measuring tools away until the spindle stands.",
		nil,
	},
	{
		"chips-and-eyes", "Wear eye protection. Chips are sharp and hot: a hook or a brush, never a hand, and only with the spindle stopped.",
		nil,
	},
	{
		"chuck-key", "Take the chuck key out before the spindle can start.",
		nil,
	},
	{
		"isolate-to-index", "Spindle stopped and isolated before the train is opened or the work is turned to another station.",
		nil,
	},
	{
		"settings-stay", "Until the last start is finished do not swing the dial out of mesh, shift gearbox or feed reverse, open the train except to index, or disturb the centre. A tool that was reground or moved is picked up in the groove again.",
		func(j *job, _ *Answer) bool { return j.starts > 1 },
	},
	{
		"long-lead", "The carriage runs fast towards the end of the thread: keep to the places to act and to stand still, and take the first passes dry, clear of the work.",
		func(_ *job, a *Answer) bool {
			return a.RunOut != nil && a.RunOut.CarriageMMPerS != nil && *a.RunOut.CarriageMMPerS > fastCarriage
		},
	},
	{
		"fast-leadscrew", "The leadscrew turns fast: the half-nut is hard to close on one place, and is not forced. Run slower, or keep it closed.",
		func(j *job, a *Answer) bool {
			rpm, ok := j.leadscrewRPM()
			return ok && rpm > j.closingRPM() && (a.RunOut == nil || a.RunOut.HalfNut != HalfNutKeptClosed)
		},
	},
	{
		"step-up-train", "The leadscrew turns several times for each turn of the spindle: the train takes a heavy load. Turn it by hand first, start slowly, and listen.",
		func(j *job, _ *Answer) bool {
			return j.lathe.leadscrew != nil && j.lead.Quo(*j.lathe.leadscrew).Cmp(Int(stepUp)) > 0
		},
	},
	{
		"slender-work", "The work is slender: it bends away from the tool and may climb onto it. Use a follow rest or a steady, light cuts, and measure in the middle too.",
		func(j *job, _ *Answer) bool {
			return !j.internal && j.length != nil && j.diameter != nil && j.minorDiameter.mm > 0 && j.length.MM() > slender*j.minorDiameter.mm
		},
	},
	{
		"small-bore", "The bore leaves a threading tool little room to be drawn clear and a thin bar: check that bar and tool pass the bore with the tool withdrawn, and stop by the mark on the bar.",
		func(j *job, _ *Answer) bool {
			return j.internal && j.diameter != nil && j.minorDiameter.mm > 0 && j.minorDiameter.mm < smallBore
		},
	},
	{
		"steep-grind", "The side clearance that this lead asks for leaves a weak edge or a heel that rubs: check it against the work at the minor and the major diameter before any cut.",
		func(_ *job, a *Answer) bool {
			t := a.Tool
			return t != nil && t.LeadingGrindDeg != nil && (*t.LeadingGrindDeg > steepGrind || *t.TrailingGrindDeg < -steepGrind/2)
		},
	},
	{
		"overrun-too-long", "At the speed given the carriage overruns the room at the end of the thread: run slower before any pass is cut.",
		func(_ *job, a *Answer) bool { return a.RunOut != nil && a.RunOut.Fits != nil && !*a.RunOut.Fits },
	},
	{
		CautionNoRunOut, "It is not known whether the tool stops in the room beyond the thread: find out the room, the time to act and the coast before any pass is cut.",
		func(_ *job, a *Answer) bool {
			return a.RunOut != nil && a.RunOut.GreatestRPM == nil && (a.RunOut.Overrun == nil || a.RunOut.Room == nil)
		},
	},
	{
		"varying-line", "A dial line that varies is never used: it finds a start, but another one from turn to turn.",
		func(_ *job, a *Answer) bool {
			for _, d := range a.ThreadDials {
				for _, l := range d.Lines {
					if l.Catches == CatchesVaries {
						return true
					}
				}
			}
			return false
		},
	},
	{
		"half-nut-closed", "The half-nut stays closed until the thread is done: stop, withdraw the tool, and only then reverse.",
		func(_ *job, a *Answer) bool { return a.PickUp != nil && a.PickUp.Rule == PickUpKeepClosed },
	},
	{
		"reversing", "Bring the tool clear before the spindle is reversed: backlash moves it off the groove. A screw-on chuck can unwind in reverse.",
		func(_ *job, a *Answer) bool { return a.PickUp != nil && a.PickUp.Rule == PickUpKeepClosed },
	},
	{
		"running-dog", "Guard the dog's tail and never reach past a running dog.",
		func(_ *job, a *Answer) bool {
			for _, h := range a.Holders {
				if h.Kind != "index-holes" { // a dog drives against jaws and slots alike
					return true
				}
			}
			return false
		},
	},
	{
		"left-hand-run-out", "A left-hand thread is cut away from the headstock: the tool runs out at the tailstock end. Make sure that nothing stands in its way there.",
		func(j *job, _ *Answer) bool { return j.left },
	},
	{
		"blind-bore", "The bore is blind: the tool has nowhere to run on to. Mark the depth on the slide and stop well before it, or cut outward with the spindle in reverse only where the chuck cannot unwind.",
		func(j *job, _ *Answer) bool { return j.internal && j.cut.blind },
	},
	{
		"internal-feed", "Inside a bore the tool is fed outward, towards the operator: backlash lies on the other side, and withdrawing means moving in.",
		func(j *job, _ *Answer) bool { return j.internal },
	},
	{
		"try-by-hand", "Try a nut or gauge by hand only, spindle stopped and tool clear.",
		nil,
	},
	{
		"feather-edges", "Deburr the feather edges where the starts begin: they cut fingers.",
		func(j *job, _ *Answer) bool { return j.starts > 1 },
	},
}

// CautionNoRunOut is the id of the caution that a job has no run-out figure.
const CautionNoRunOut = "no-run-out-figure"

// What sets cautions off; common practice, no source.
const (
	fastCarriage = 6.0  // mm/s: a groove of 4 mm is passed in the time that a hand takes
	stepUp       = 2    // turns of the leadscrew for a turn of the spindle
	slender      = 10.0 // lengths of thread to its minor diameter
	smallBore    = 12.0 // mm
	steepGrind   = 25.0 // degrees
)

// cautionsFor returns the cautions that belong with an answer.
func (j *job) cautionsFor(a *Answer) []Caution {
	out := make([]Caution, 0, len(cautions))
	for _, c := range cautions {
		if c.fires == nil || c.fires(j, a) {
			out = append(out, Caution{ID: c.id, Text: c.text, Always: c.fires == nil})
		}
	}
	return out
}
