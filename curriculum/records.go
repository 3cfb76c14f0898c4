package curriculum

import (
	"slices"
	"time"

	"halfnut/threadmath"
)

// Workshop owns lathes, people and classes; nothing crosses from one to another.
type Workshop struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	// Units is the unit system its sheets use unless a set says otherwise.
	Units   string    `json:"units"`
	Version int       `json:"version"`
	Created time.Time `json:"created"`
}

// The roles a person can have in a workshop.
const (
	RoleInstructor = "instructor"
	RoleSteward    = "steward"
)

// Ending says that something has been put to an end, without erasing it: a person
// who left, a class that is over, a lathe out of use.
type Ending struct {
	At time.Time `json:"at"`
	// By is the id of the person who ended it.
	By string `json:"by"`
	// Reason is in their words, and may be empty.
	Reason string `json:"reason"`
}

// Person is an instructor or a steward.
type Person struct {
	ID       string    `json:"id"`
	Workshop string    `json:"workshop"`
	Name     string    `json:"name"`
	Role     string    `json:"role"`
	Units    Units     `json:"-"` // in which lengths are shown to them; their own affair
	Created  time.Time `json:"created"`
	// Ended is set while the person may not come in: they have left.
	Ended *Ending `json:"ended,omitempty"`
}

// Lathe is one machine of a workshop.
type Lathe struct {
	ID       string           `json:"id"`
	Workshop string           `json:"workshop"`
	Name     string           `json:"name"`
	Profile  threadmath.Lathe `json:"profile"`
	// OutOfUse is there while nobody may work at it.
	OutOfUse *Ending   `json:"out_of_use,omitempty"`
	Version  int       `json:"version"`
	Created  time.Time `json:"created"`
}

// Class is a group of learners that is taught together.
type Class struct {
	ID       string `json:"id"`
	Workshop string `json:"workshop"`
	Name     string `json:"name"`
	// JoiningCode is what a learner types to join; instructors see it.
	JoiningCode string    `json:"joining_code,omitempty"`
	Version     int       `json:"version"`
	Created     time.Time `json:"created"`
	// Ended is set while the class is over: it is read and marked, not added to.
	Ended *Ending `json:"ended,omitempty"`
}

// Learner is a person in a class. Nothing is kept but a name as the class calls
// it and, once chosen, a hash of the PIN.
type Learner struct {
	ID       string    `json:"id"`
	Workshop string    `json:"workshop"`
	Name     string    `json:"name"`
	Seat     int       `json:"seat"`
	HasPIN   bool      `json:"has_pin"`
	Version  int       `json:"version"`
	Units    Units     `json:"-"` // in which lengths are shown to them; their own affair
	Created  time.Time `json:"created"`
}

// Known is a learner of a workshop, and the classes whose lists they stand on: none
// once they have left the last one.
type Known struct {
	Learner
	Classes []Enrolment `json:"classes"`
}

// In says whether the learner is on a class's list.
func (k Known) In(class string) bool {
	return slices.ContainsFunc(k.Classes, func(e Enrolment) bool { return e.Class == class })
}

// Enrolment is a learner's place in a class.
type Enrolment struct {
	Class string `json:"class"`
	Name  string `json:"name"` // the class's
	Seat  int    `json:"seat"`
	Ended bool   `json:"ended"` // the class has
}

// SetSpec is what an instructor asks of a class set.
type SetSpec struct {
	Title  string   `json:"title"`
	Skills []string `json:"skills"`
	// Count is the number of exercises of each learner.
	Count int    `json:"count"`
	Lathe string `json:"lathe"` // a lathe's id
	Units string `json:"units"`
	// For is the learner that a practice sheet was drawn for; empty for a class set.
	For string `json:"for,omitempty"`
}

// ClassSet is a set of parallel variants, one for each learner of a class.
type ClassSet struct {
	ID    string  `json:"id"`
	Class string  `json:"class"`
	Spec  SetSpec `json:"spec"`
	// LatheName and Profile are the lathe as it was when the set was built.
	LatheName string           `json:"lathe_name"`
	Profile   threadmath.Lathe `json:"profile"`
	// Seed rebuilds the variants; instructors only.
	Seed uint64 `json:"seed,omitempty"`
	// Withdrawn is there while its sheets are not to be answered.
	Withdrawn *Ending   `json:"withdrawn,omitempty"`
	Created   time.Time `json:"created"`
}

// Variant is one learner's sheet of a class set.
type Variant struct {
	// Code is printed on every page and finds the variant again.
	Code      string     `json:"code"`
	Set       string     `json:"set"`
	Learner   string     `json:"learner"`
	Name      string     `json:"name"`
	Seat      int        `json:"seat"`
	Exercises []Exercise `json:"exercises"`
	// Withdrawn is there while its set is.
	Withdrawn *Ending   `json:"withdrawn,omitempty"`
	Created   time.Time `json:"created"`
}

// The ways an answer comes in.
const (
	SourceTyped = "typed" // by the learner
	SourcePaper = "paper" // by an instructor, from the sheet
)

// Attempt is one try at one exercise, with the judgement it got.
type Attempt struct {
	ID       string `json:"id"`
	Variant  string `json:"variant"`
	Position int    `json:"position"` // of the exercise in the variant, from 1
	Exercise string `json:"exercise"`
	Learner  string `json:"learner"`
	Source   string `json:"source"`
	// Numbers is the exercise's Numbers, by which two tries at the same task are
	// known. Hinted says that the learner had looked at a hint before.
	Numbers string `json:"numbers,omitempty"`
	Hinted  bool   `json:"hinted,omitempty"`
	// Basis is what the attempt is evidence by, as it was when it was judged.
	Basis Basis `json:"-"`
	// Answers are the texts as given, by part.
	Answers  map[string]string `json:"answers"`
	Verdicts []Verdict         `json:"verdicts"`
	Marks    int               `json:"marks"`
	OutOf    int               `json:"out_of"`
	// Try counts the judged tries at this exercise, from 1.
	Try int       `json:"try"`
	By  string    `json:"by"` // the learner or the instructor who typed it in
	At  time.Time `json:"at"`
}

// Mark is where a learner stands with one exercise of a set: the first judged
// try, which counts for mastery, and the best.
type Mark struct {
	Variant  string `json:"variant"`
	Learner  string `json:"learner"`
	Position int    `json:"position"`
	Tries    int    `json:"tries"`
	First    int    `json:"first"`
	Best     int    `json:"best"`
	OutOf    int    `json:"out_of"`
	// Verdict sums up the last try ("right", "wrong-rule" …).
	Last string `json:"last"`
}

// Event is one line of the log of who did what.
type Event struct {
	ID       string    `json:"id"`
	Workshop string    `json:"workshop"`
	At       time.Time `json:"at"`
	// Who is the id of a person or learner; empty for what was done at the machine
	// that the service runs on. WhoName is their name today, empty where the learner
	// was erased.
	Who     string `json:"who"`
	WhoName string `json:"who_name"`
	What    string `json:"what"`
	// About is the id of what it is about, empty where that is nothing with an id;
	// AboutKind and AboutName say what that is today, empty where it is gone.
	About     string `json:"about"`
	AboutKind string `json:"about_kind"`
	AboutName string `json:"about_name"`
}

// EventQuery says which events of a workshop are asked for. Fields left empty ask
// for all.
type EventQuery struct {
	Workshop   string
	Who, About string
	// Since and Until are a span of time: Since is in it, Until is not.
	Since, Until time.Time
	// After is the id of the event that the page before ended with.
	After string
	Most  int
}

// Judged reports whether any part was judged, so that the attempt counts as a
// try.
func (a Attempt) Judged() bool {
	for _, v := range a.Verdicts {
		if v.Outcome.Judged() {
			return true
		}
	}
	return false
}

// Outcome sums an attempt up: right when every part earned full marks, else the
// first part's outcome that did not.
func (a Attempt) Outcome() Outcome {
	for _, v := range a.Verdicts {
		if v.Outcome != Right {
			return v.Outcome
		}
	}
	return Right
}

// The kinds of a session.
const (
	SessionLink    = "link"    // to be used once, by an instructor
	SessionPerson  = "person"  // an instructor or steward
	SessionLearner = "learner" // a learner
)

// Session says who is signed in.
type Session struct {
	Kind     string
	Subject  string // the person's or learner's id
	Workshop string
	Created  time.Time
	Expires  time.Time
}

// Lines is the worked solution of one part.
type Lines struct {
	Part  string   `json:"part"`
	Lines []string `json:"lines"`
}
