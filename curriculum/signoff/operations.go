package signoff

import (
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// The operations, each after those it builds on.
const (
	Turning     = "turning"
	SingleStart = "single-start"
	MultiStart  = "multi-start"
)

// Operation is one line of what a person is signed off for.
type Operation struct {
	Slug  string `json:"slug"`
	Title string `json:"title"`
	// Needs are the operations that must be signed off on the same lathe first.
	Needs []string `json:"needs"`
	// Version counts the changes of the checklist; it stands in every demonstration.
	Version   int    `json:"version"`
	Checklist []Item `json:"checklist"`
}

// Item is one line of a checklist. All of them count: one that is not done fails
// the demonstration.
type Item struct {
	ID   string `json:"id"`
	Text string `json:"text"`
	// Unless says when the item may be marked as not applying; empty where it
	// always applies.
	Unless string `json:"unless,omitempty"`
}

// DressItems are checked at every check-in, not once a year. The list is that of
// several published university workshop rules.
func DressItems() []Item { return slices.Clone(dressItems) }

var dressItems = []Item{
	{ID: "eyes", Text: "Eye protection on"},
	{ID: "shoes", Text: "Closed shoes, long trousers"},
	{ID: "hair", Text: "Long hair up and covered"},
	{ID: "gloves", Text: "No gloves"},
	{ID: "sleeves", Text: "Sleeves short or close-fitting, nothing hanging loose"},
	{ID: "jewellery", Text: "No rings, watch or other jewellery"},
	{ID: "ears", Text: "No headphones"},
}

// turningItems: the bar end, the file and the abrasive come from reported
// accidents (Michigan FACE 14MI034, 2014; New Jersey FACE 16-NJ-05, 2017; UK MCA
// Safety Bulletin 21, 2021); the rest is common practice, no source.
var turningItems = []Item{
	{ID: "dress", Text: "Dressed for the lathe: eye protection, closed shoes, hair up, no gloves, no loose sleeves, no jewellery"},
	{ID: "stop", Text: "Shows the emergency stop and stops the spindle with it before the first cut"},
	{ID: "key", Text: "Takes the chuck key out of the chuck before letting go of it"},
	{ID: "holding", Text: "Work is held securely; long work is supported, and a bar that sticks out of the spindle is guarded"},
	{ID: "clear", Text: "Turns the work by hand through the whole travel before starting: nothing touches"},
	{ID: "speed", Text: "Chooses spindle speed and feed, and says why"},
	{ID: "zero", Text: "Sets the collar with the backlash taken up, and says whether it reads radius or diameter"},
	{ID: "standstill", Text: "Measures, clears swarf and changes tools only with the spindle stopped"},
	{ID: "abrasive", Text: "Files left-handed clear of the chuck; abrasive cloth only with a holder, never wrapped by hand", Unless: "no file or abrasive was used"},
	{ID: "leave", Text: "Leaves the lathe stopped, isolated, clean and with feeds out"},
}

// threadingItems come from published accounts of threading and lathe accidents:
// carriage speed and run-out, withdrawing before reversing, the half-nut kept
// closed where the dial cannot catch (Jones, Turning and Boring, 1914), the
// exposed leadscrew (US OSHA letter, 15 August 2011). The three air passes and
// the scratch pass are our own proposal; the rest is common practice, no source.
var threadingItems = []Item{
	{ID: "dress", Text: "Dressed for the lathe: eye protection, closed shoes, hair up, no gloves, no loose sleeves, no jewellery; clear of the leadscrew"},
	{ID: "speed", Text: "Works out the carriage speed, lead × spindle speed, and says how far the tool runs on until it is out"},
	{ID: "runout", Text: "That run-out ends inside the usable groove; otherwise a slower speed is chosen"},
	{ID: "mark", Text: "A groove or a clear pull-out mark is there before the first pass"},
	{ID: "limit", Text: "At the chuck end the tool stays clear by one lead or more"},
	{ID: "flank", Text: "Clearance of the leading flank is checked for this lead angle"},
	{ID: "air", Text: "Three full passes in the air before the first cut"},
	{ID: "hands", Text: "One hand at the half-nut lever, one at the cross-slide"},
	{ID: "withdraw", Text: "Withdraws the tool before the spindle is reversed or the carriage run back"},
	{ID: "half-nut", Text: "Half-nut and feed are never forced against each other"},
	{ID: "closed", Text: "A thread the dial cannot catch: the half-nut stays closed; stop, withdraw, reverse", Unless: "the dial catches this thread"},
	{ID: "chuck", Text: "Says that a screwed-on chuck can come off in reverse, and how this one is held", Unless: "this spindle nose has no thread"},
	{ID: "scratch", Text: "A light scratch first: predicted and measured lead over five turns agree"},
	{ID: "standstill", Text: "Measures, pulls swarf and uses abrasive only with the spindle stopped"},
}

// multiStartItems follow the threading items; sources as there.
var multiStartItems = []Item{
	{ID: "isolate", Text: "Spindle stopped and isolated before gears, faceplate or chuck are indexed"},
	{ID: "wind-back", Text: "The infeed is wound back before each new start"},
	{ID: "backlash", Text: "The slide reaches each start's position from the same side, and is locked", Unless: "the starts are not set with a slide"},
	{ID: "recheck", Text: "After every index: tool clearance looked at again, and the first scratch measured against the last start"},
	{ID: "count", Text: "Marks every start and pass off on the bench card as it is done"},
}

var operations = []Operation{
	{Slug: Turning, Title: "Basic turning", Needs: []string{}, Version: 1, Checklist: turningItems},
	{Slug: SingleStart, Title: "Single-start threading", Needs: []string{Turning}, Version: 1, Checklist: threadingItems},
	// A training unit for multi-start threads has general turning and threading as
	// its prerequisite (Australian units MEM07021 and MEM07006).
	{Slug: MultiStart, Title: "Multi-start threading", Needs: []string{Turning, SingleStart}, Version: 1, Checklist: slices.Concat(threadingItems, multiStartItems)},
}

// Operations returns every operation, each after those it needs.
func Operations() []Operation {
	out := make([]Operation, len(operations))
	for i, o := range operations {
		o.Needs, o.Checklist = slices.Clone(o.Needs), slices.Clone(o.Checklist)
		out[i] = o
	}
	return out
}

// OperationOf returns the operation, and whether there is one.
func OperationOf(slug string) (Operation, bool) {
	o := operationOf(slug)
	if o == nil {
		return Operation{}, false
	}
	out := *o
	out.Needs, out.Checklist = slices.Clone(o.Needs), slices.Clone(o.Checklist)
	return out, true
}

// operationOf returns the operation itself, or nil.
func operationOf(slug string) *Operation {
	for i := range operations {
		if operations[i].Slug == slug {
			return &operations[i]
		}
	}
	return nil
}

// practises reports whether a use of one operation keeps another in practice: it
// is the same, or the used one builds on it.
func practises(used, operation string) bool {
	o := operationOf(used)
	return used == operation || o != nil && slices.Contains(o.Needs, operation)
}

// mostSkills bounds a theory test, so that it fits one sitting; the operation's
// safety skill comes on top of them.
const mostSkills = 10

// SafetyItems is how many situations of the operation's own every theory test asks
// about, each of which must be right: a number of this project, no source.
const SafetyItems = 5

// theorySkills are the skills of each operation, the most telling first.
var theorySkills = map[string][]string{
	Turning: {"collar-reading", "fractions", "inch-mm"},
	SingleStart: {
		"run-out", "safe-order", "pick-up", "thread-dial", "gearbox-setting", "depth-60", "collar-reading", "infeed-angle",
		"tpi-pitch", "diameters", "pass-schedule", "over-wires",
	},
	MultiStart: {
		"run-out", "safe-order", "lead", "gearbox-setting", "pick-up", "thread-dial", "axial-offset", "station-index",
		"collar-reading", "depth-60", "tool-flanks", "starts-from-lead", "index-angle", "pass-schedule", "over-wires", "lead-angle",
	},
}

// Skills returns the skills that the operation needs on this lathe: first its
// safety skill, then eight to ten for several starts, where the lathe has what
// they are about: how it makes the lead, whether and where the half-nut may be
// closed, and how the starts are spaced on it. serves reports whether a skill can
// be asked with the lathe's own numbers.
func Skills(operation string, lathe threadmath.Lathe, serves func(skill string) bool) []string {
	out := []string{}
	if s := curriculum.SafetySkillOf(operation); s != "" && serves(s) {
		out = append(out, s)
	}
	most := mostSkills + len(out)
	for _, s := range theorySkills[operation] {
		if len(out) == most {
			break
		}
		if has(lathe, s) && serves(s) {
			out = append(out, s)
		}
	}
	return out
}

// has reports whether the lathe has the part that the skill is about. What is
// not said of a lathe counts as not there.
func has(l threadmath.Lathe, skill string) bool {
	switch skill {
	case "gearbox-setting":
		return len(l.Gearbox) > 0
	case "pick-up":
		return l.HalfNut == nil || *l.HalfNut
	case "thread-dial":
		return len(l.ThreadDials) > 0
	case "axial-offset", "infeed-angle":
		return l.CompoundSlide != nil
	case "station-index":
		return len(l.Holders) > 0 || l.StudGear != nil
	}
	return true
}
