package curriculum

import "time"

// The kinds of work.
const (
	WorkClassSet  = "class-set"  // draws and issues a class set
	WorkRoster    = "roster"     // puts a list of names on a class list
	WorkClassPack = "class-pack" // prints everything of a class set into one archive
	WorkRecompute = "recompute"  // compares everybody's mastery with the record, and mends it
	WorkExport    = "export"     // writes a workshop's records to a file
)

// The states of a work. It goes from waiting to running and, when the copy that
// had it stops or dies, back; it ends as done or failed, or is called off.
const (
	WorkWaiting   = "waiting"
	WorkRunning   = "running"
	WorkDone      = "done"
	WorkFailed    = "failed"
	WorkCalledOff = "called-off"
)

// How long an ended work is kept, and the file that it made.
const (
	KeepWork     = 30 * 24 * time.Hour
	KeepWorkFile = 24 * time.Hour
)

// Work is something that takes longer than a request may: it is asked for, done
// by whichever copy of the service is free, and looked at again later.
type Work struct {
	ID       string `json:"id"`
	Workshop string `json:"workshop"`
	Kind     string `json:"kind"`
	// Title says what it is about, for people.
	Title string `json:"title"`
	// By is who asked, and Role what they were then; it is done in their name.
	By   string `json:"by"`
	Role string `json:"-"`
	// Args is the kind's own JSON document; it is forgotten when the work ends.
	Args  string `json:"-"`
	State string `json:"state"`
	// Tries counts how often it was begun. One that is begun five times and
	// never ends has failed.
	Tries int `json:"tries"`
	// Done of Total steps are behind it, as of the last second; Total is 0 until
	// that is known. A step is an exercise, a name, a sheet, a learner.
	Done  int `json:"done"`
	Total int `json:"total"`
	// Result is what came of it, once it is done.
	Result *WorkResult `json:"result,omitempty"`
	// Problem says why it failed.
	Problem  string    `json:"problem,omitempty"`
	Created  time.Time `json:"created"`
	Started  time.Time `json:"started,omitzero"`  // of the last try
	Finished time.Time `json:"finished,omitzero"` // done, failed or called off
}

// Ended says that nothing more comes of the work.
func (w Work) Ended() bool { return w.State != WorkWaiting && w.State != WorkRunning }

// WorkResult is what came of a work. What its kind does not make is left out.
type WorkResult struct {
	// Class and Set are ids of what was added to or built.
	Class string `json:"class,omitempty"`
	Set   string `json:"set,omitempty"`
	// Learners counts the names put on a list, the sheets of a set, or the people
	// whose mastery was compared.
	Learners int `json:"learners,omitempty"`
	// Bad are the lines of a class list that were left out.
	Bad []RosterLine `json:"bad,omitempty"`
	// Differences counts what was kept otherwise than the record gives, and Mended
	// says that the record's took its place.
	Differences *int      `json:"differences,omitempty"`
	Mended      bool      `json:"mended,omitempty"`
	File        *WorkFile `json:"file,omitempty"`
}

// WorkFile is a file that a work made. It is kept until a time, then forgotten.
type WorkFile struct {
	Name  string    `json:"name"`
	Media string    `json:"media"`
	Bytes int64     `json:"bytes"`
	Until time.Time `json:"until"`
}

// RosterLine is a line of a class list that cannot be used.
type RosterLine struct {
	Line   int    `json:"line"`
	Reason string `json:"reason"`
}

// WorkEnd ends a work: only the try that Run names can do it, and the work's
// effect is kept in the same transaction or not at all.
type WorkEnd struct {
	ID, Run string
	Result  WorkResult
	Problem string // empty where it is done
	Total   int    // steps, all of them behind it now
	At      time.Time
}
