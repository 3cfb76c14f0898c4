package curriculum

import "time"

// Cell is where a learner stands with one skill. It is a cache: package mastery
// computes it from the learner's attempts alone, so that it can be rebuilt at
// any time.
type Cell struct {
	Learner string `json:"learner"`
	Skill   string `json:"skill"`
	// Known is the probability, 0 to 1, that the skill is held, after the last
	// evidence.
	Known float64 `json:"known"`
	// Chances counts the exercises that asked for the skill, each by its first try;
	// Rights those that were right.
	Chances int `json:"chances"`
	Rights  int `json:"rights"`
	// Holding sums over the chances the probability that the skill was held, Slipped
	// the part of it that went wrong all the same: their ratio is how often this
	// learner slips.
	Holding float64 `json:"holding"`
	Slipped float64 `json:"slipped"`
	// LastRight is how the last chance went, and Last when.
	LastRight bool      `json:"last_right"`
	Last      time.Time `json:"last"`
	// Days counts the days on which a first try was right: a right one counts as
	// another day's when a night of twelve hours or more lies before it. DayBegan is
	// when the last of them began.
	Days     int       `json:"days"`
	DayBegan time.Time `json:"day_began,omitzero"`
	// RightOn are the keys (Basis.Keys) that decided right first tries, WorkedOn those
	// of them whose answer was worked out and not only chosen; as many different ones
	// as the gate asks for.
	RightOn  []string `json:"right_on,omitempty"`
	WorkedOn []string `json:"worked_on,omitempty"`
	// RightBy are the item models of right first tries, Range what the lathe of the
	// last exercise can ask; nil where that is not known.
	RightBy []string `json:"right_by,omitempty"`
	Range   *Range   `json:"range,omitempty"`
	// Shown is what the last supervised sitting about the skill showed.
	Shown *Shown `json:"shown,omitempty"`
	// Recent are the last chances, oldest first: what misconceptions are read from.
	Recent []Chance `json:"recent,omitempty"`
	// Memory is the retention curve after the last review; Before the one that it
	// came from, zero at the first, so that a mistake put right by oneself can be
	// counted more gently. Where is the exercise of the last review.
	Memory Memory `json:"memory"`
	Before Memory `json:"before,omitzero"`
	Where  Place  `json:"where,omitzero"`
}

// Shown is what a supervised sitting showed of a skill.
type Shown struct {
	Sitting string `json:"sitting"`
	// Wrong counts its exercises that were not right; the others are as in a Cell.
	Wrong    int      `json:"wrong,omitempty"`
	RightOn  []string `json:"right_on,omitempty"`
	WorkedOn []string `json:"worked_on,omitempty"`
	RightBy  []string `json:"right_by,omitempty"`
}

// FoldRules numbers the rules by which attempts become cells. It rises whenever
// package mastery counts otherwise: cells folded by earlier rules are then computed
// anew from the attempts.
const FoldRules = 2

// Place is an exercise on a sheet.
type Place struct {
	Variant  string `json:"variant"`
	Position int    `json:"position"`
}

// Chance is one first try at a skill.
type Chance struct {
	Numbers string    `json:"numbers"`
	Right   bool      `json:"right"`
	At      time.Time `json:"at"`
	// Rule is the wrong rule that gives the learner's answer, if one does.
	Rule string `json:"rule,omitempty"`
}

// Memory is a retention curve: stability in days, difficulty 1 to 10, and the
// time of the review it starts from.
type Memory struct {
	Stability  float64   `json:"stability"`
	Difficulty float64   `json:"difficulty"`
	At         time.Time `json:"at,omitzero"`
}

// Cells holds one learner's cells by skill.
type Cells map[string]*Cell

// FoldCells adds an attempt to its learner's cells. before are the attempts at
// the same exercise that came earlier, oldest first. Attempts are folded in the
// order of their time, then of their id.
type FoldCells func(cells Cells, before []Attempt, a Attempt)
