package curriculum

import (
	"encoding/json"
	"time"
)

// LearnerRecordFormat names the form of a learner's record; it changes when a
// reader would have to.
const LearnerRecordFormat = "halfnut-learner-1"

// LearnerRecord is everything that is kept about one learner, to be handed over
// to that learner.
type LearnerRecord struct {
	Format  string    `json:"format"`
	Learner string    `json:"learner"`
	At      time.Time `json:"at"`
	// Records are the rows about the learner, by kind. A kind without rows is an
	// empty list. Exercises are as the learner saw them: no key, no seed.
	Records map[string][]json.RawMessage `json:"records"`
}

// Erasure says what was removed when a learner was erased.
type Erasure struct {
	Learner string    `json:"learner"`
	At      time.Time `json:"at"`
	// Removed counts the rows by the kinds of a LearnerRecord.
	Removed map[string]int `json:"removed"`
}
