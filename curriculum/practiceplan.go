package curriculum

import "time"

// The reasons for which an exercise stands in a practice plan.
const (
	WhyNew  = "new"          // the next skill, or one that has been begun
	WhyDue  = "due"          // held, and about to be forgotten
	WhyWeak = "prerequisite" // what the next skill builds on, where it is weakest
)

// PracticePlan is what a learner should do until the day at the lathe, dated.
// It takes for granted that every answer is right, and is made anew from the
// record whenever it is looked at.
type PracticePlan struct {
	Learner string `json:"learner"`
	Name    string `json:"name"`
	// Goals are the skills the job needs, Wanted those with all they build on, in the
	// order in which they can be learned; NotAsked those among them that no exercise
	// can be drawn for on this lathe.
	Goals    []string          `json:"goals"`
	Wanted   []string          `json:"wanted"`
	NotAsked []string          `json:"not_asked"`
	Sessions []PracticeSession `json:"sessions"`
	// Gate is the day at the lathe, nil where none is set. Ready is the first
	// session after which every goal has passed the machine's gate, nil where
	// that is further off than can be planned; Late says by how many days it misses
	// the gate.
	Gate  *time.Time `json:"gate"`
	Ready *time.Time `json:"ready"`
	Late  int        `json:"late_days"`
	// Chance is the probability, 0 to 1, that the learner is ready on the day when
	// every session is kept; nil where there is no gate.
	Chance *float64 `json:"chance"`
}

// PracticeSession is one sitting.
type PracticeSession struct {
	Date  time.Time      `json:"date"`
	Items []PracticeItem `json:"items"`
}

// PracticeItem is one exercise of a sitting.
type PracticeItem struct {
	Skill string `json:"skill"`
	Title string `json:"title"`
	Why   string `json:"why"`
	// First says that the skill is met for the first time: begin with its worked
	// example.
	First bool `json:"first,omitempty"`
}
