package curriculum

import "slices"

// Situation is one scene at the lathe in which something can go badly: what a
// person meets, what is right to do, what tempts and why not. The bank of them
// (Situations) is data; drawing puts a part, a lathe and some of the actions in.
//
// Texts may hold {part} ("a bush"), {metal} ("brass"), {size} ("30 mm") and
// {lathe}.
type Situation struct {
	ID string
	// Skill is the safety skill of the operation it belongs to, Topic the item model.
	Skill, Topic string
	// Says are ways of telling the scene.
	Says []string
	// Right are actions that are right here, Wrong those that tempt.
	Right, Wrong []Action
	// Hazard is what happens, in one sentence.
	Hazard string
	// Source is where the accident or the rule was published, or CommonPractice.
	Source string
	// Needs is the part of a lathe without which the scene cannot be met: "dial",
	// "half-nut", "compound", "holder", "stud-gear"; empty where any lathe will do.
	Needs string
}

// Action is something that is done. A wrong one has an ID within its situation and
// one sentence on why not.
type Action struct {
	ID, Text, Why string
}

// CommonPractice marks a rule of the trade for which no publication is named.
const CommonPractice = "common practice, no source"

// The safety skills, one for each operation that is signed off.
const (
	SafeTurning    = "safe-turning"
	SafeThreading  = "safe-threading"
	SafeMultiStart = "safe-multi-start"
)

// Publications that situations rest on. The FACE and FOIS reports, HSG129 and the
// Navy and Army manuals were seen as stored copies of the published pages; the
// OSHA letter, BS 4163 and the MCA bulletin as summaries.
const (
	sourceNJ         = "New Jersey FOIS report 16-NJ-05, 13 June 2017: sleeve caught by the chuck while filing"
	sourceMI         = "Michigan MIFACE report 14MI034, 2014: shirt caught by bar end behind the lathe"
	sourceWA         = "Washington FACE report 10WA001, 15 July 2012: unsupported bar bent behind the spindle"
	sourceKY         = "Kentucky FACE report, 2021: sleeve caught by a clamp turning behind the headstock"
	sourceWI         = "Wisconsin FACE report 95WI024, 1996: glove caught by a clamp on turning work"
	sourceJourneyman = "FACE report, April 2012 (stacks.cdc.gov 165107): sleeve caught while polishing; the red button was no emergency stop"
	sourceMCA        = "UK MCA Safety Bulletin 21, 2021: emery cloth held by hand"
	sourceHSG        = "UK HSE, HSG129, Health and safety in engineering workshops, 1999, reprinted 2010"
	sourceOSHA       = "US OSHA letter, 15 August 2011: student killed at night, alone, hair caught by the exposed leadscrew"
	sourceNavy       = "US Navy training manual Engineman 2, lathe safety precautions"
	sourceArmy       = "US Army TM 1-1500-204-23-8, machine safety precautions, lathes"
	sourceWorkshop   = "published rules of university workshops (two-person rule, dress, keys)"
)

// Situations returns the bank, in a fixed order.
func Situations() []Situation {
	out := slices.Concat(turningSituations, threadingSituations, multiStartSituations)
	for i := range out {
		s := &out[i]
		s.Says, s.Right, s.Wrong = slices.Clone(s.Says), slices.Clone(s.Right), slices.Clone(s.Wrong)
	}
	return out
}

// SafetySkillOf returns the safety skill of a sign-off operation, empty where
// there is none.
func SafetySkillOf(operation string) string {
	return map[string]string{"turning": SafeTurning, "single-start": SafeThreading, "multi-start": SafeMultiStart}[operation]
}

// temptations are the wrong rules of a safety skill: every wrong action of its
// situations.
func temptations(skill string) []WrongRule {
	var out []WrongRule
	for _, s := range slices.Concat(turningSituations, threadingSituations, multiStartSituations) {
		if s.Skill != skill {
			continue
		}
		for _, w := range s.Wrong {
			out = append(out, WrongRule{ID: s.ID + "-" + w.ID, Feedback: w.Why})
		}
	}
	return out
}
