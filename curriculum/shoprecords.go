package curriculum

import (
	"slices"
	"time"

	"halfnut/threadmath"
)

// Job is what one learner of a class is to cut, and where.
type Job struct {
	Class   string `json:"class"`
	Learner string `json:"learner"`
	// Lathe is the lathe's id; its profile stands in for the request's own.
	Lathe   string             `json:"lathe"`
	Request threadmath.Request `json:"request"`
	// Method is the indexing method to use; empty takes the best that is usable.
	Method string `json:"method,omitempty"`
	// Factor stretches the job's minutes for this learner, 1 to 3.
	Factor float64 `json:"factor"`
	// Allowed says that an instructor lets the learner work at a lathe under supervision.
	Allowed bool      `json:"allowed"`
	Version int       `json:"version"`
	Changed time.Time `json:"changed"`
}

// LoggedTime is what the parts of one turn at a lathe took; parts that were not
// measured are nil.
type LoggedTime struct {
	ID         string    `json:"id"`
	Lathe      string    `json:"lathe"`
	SetUpMin   *float64  `json:"set_up_min,omitempty"`
	HandlingS  *float64  `json:"handling_s,omitempty"` // seconds a pass
	IndexMin   *float64  `json:"index_min,omitempty"`  // a change of start
	MeasureMin *float64  `json:"measure_min,omitempty"`
	By         string    `json:"by"`
	At         time.Time `json:"at"`
}

// ShopSession is one meeting of a class in the shop.
type ShopSession struct {
	ID     string    `json:"id"`
	Class  string    `json:"class"`
	Begins time.Time `json:"begins"`
	Spec   ShopSpec  `json:"spec"`
	Plan   ShopPlan  `json:"plan"`
	// CalledOff is there while the session is not held.
	CalledOff *Ending   `json:"called_off,omitempty"`
	Version   int       `json:"version"`
	Created   time.Time `json:"created"`
	Changed   time.Time `json:"changed"`
}

// ShopSpec is what an instructor asks of a session. Minutes are whole.
type ShopSpec struct {
	Title string `json:"title"`
	// Zone is the time zone of the printed times, such as "Europe/Prague"; empty is UTC.
	Zone string `json:"zone,omitempty"`
	// Minutes is the whole length; Opening (warm-up and demonstration) and Closing
	// (cleaning) are parts of it in which nobody is at a lathe.
	Minutes int `json:"minutes"`
	Opening int `json:"opening"`
	Closing int `json:"closing"`
	// Instructors who help and check off, and the minutes of one check-off.
	Instructors  int `json:"instructors"`
	CheckMinutes int `json:"check_minutes"`
	// A running lathe calls for help every CallEveryMin minutes for HelpMin minutes.
	CallEveryMin float64 `json:"call_every_min"`
	HelpMin      float64 `json:"help_min"`
	// Lathes are the ids of the lathes that can be used.
	Lathes   []string  `json:"lathes"`
	Stations []Station `json:"stations"`
	// Fixed stays where it is when the rest is planned again.
	Fixed []Fixed `json:"fixed"`
	// Away are the learners who will not be there, First those who get a turn before others.
	Away  []string `json:"away"`
	First []string `json:"first"`
}

// Station is a place off the machines.
type Station struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	// Minutes of one visit; Places learners fit at once; Together begin at once (0 or 1: alone).
	Minutes  int `json:"minutes"`
	Places   int `json:"places"`
	Together int `json:"together,omitempty"`
	// Before says that it is best visited before the turn at the lathe.
	Before bool `json:"before,omitempty"`
}

// Fixed is a decision made by hand: a learner at a lathe or station. Without
// Begin it only says which lathe; without Minutes the place's own count.
type Fixed struct {
	Learner string `json:"learner"`
	Place   string `json:"place"`
	Begin   *int   `json:"begin,omitempty"` // minutes from the session's beginning
	Minutes int    `json:"minutes,omitempty"`
}

// The kinds of a Booking.
const (
	BookedLathe   = "lathe"
	BookedStation = "station"
	BookedCheck   = "check-off"
)

// Booking is a learner at a place from one minute of the session to another.
type Booking struct {
	Kind    string `json:"kind"`
	Learner string `json:"learner"`
	// Place is a lathe's or station's id; for a check-off the instructor's number, "1".
	Place string `json:"place"`
	Begin int    `json:"begin"`
	End   int    `json:"end"`
	Fixed bool   `json:"fixed,omitempty"`
}

// ShopPlan is a planned session.
type ShopPlan struct {
	// Bookings are ordered by beginning.
	Bookings []Booking `json:"bookings"`
	// Left are those who get no turn at a lathe, each with the reason.
	Left []LeftOut `json:"left"`
	// Unchecked have a turn, but no check-off fits before the closing.
	Unchecked []string `json:"unchecked"`
	// Makespan is the minutes from the opening's end to the last turn or check-off,
	// those of Unchecked as well; no plan can have less than Bound for the same turns.
	Makespan int        `json:"makespan"`
	Bound    LowerBound `json:"lower_bound"`
	Idle     Idle       `json:"idle"`
	Waiting  Waiting    `json:"waiting"`
	CheckOff CheckOff   `json:"check_off"`
	// Sessions like this one until everybody who may has had a turn; 0 if never.
	Sessions int `json:"sessions"`
}

// LeftOut is a learner without a turn.
type LeftOut struct {
	Learner string `json:"learner"`
	Why     string `json:"why"`
	// Waits says that only time or lathes are wanting.
	Waits bool `json:"waits,omitempty"`
}

// LowerBound is the most of its parts, in minutes.
type LowerBound struct {
	Minutes    int `json:"minutes"`
	Lathes     int `json:"lathes"`      // lathe minutes ÷ lathes
	OneLathe   int `json:"one_lathe"`   // of the turns that only one lathe can take
	LongestJob int `json:"longest_job"` // with its check-off
	Instructor int `json:"instructor"`  // check-off minutes ÷ instructors
}

// Idle is the minutes between opening and closing in which nothing is booked.
type Idle struct {
	Lathes     []PlaceMinutes   `json:"lathes"`
	Learners   []LearnerMinutes `json:"learners"`
	Instructor int              `json:"instructor"` // without check-offs, all instructors together
}

// PlaceMinutes and LearnerMinutes are minutes of a place or a learner.
type PlaceMinutes struct {
	Place   string `json:"place"`
	Minutes int    `json:"minutes"`
}

// LearnerMinutes is minutes of a learner.
type LearnerMinutes struct {
	Learner string `json:"learner"`
	Minutes int    `json:"minutes"`
}

// Waiting is what a call for help costs while all lathes run.
type Waiting struct {
	// Minutes from the call until an instructor comes, on average.
	Minutes float64 `json:"minutes"`
	// Busy is the part of an instructor's time that goes into helping, 0 to 1.
	Busy float64 `json:"busy"`
	// MustWait is the part of the calls that do not find an instructor free.
	MustWait float64 `json:"must_wait"`
	// LongestTurn is the expected waiting within the longest turn, minutes.
	LongestTurn float64 `json:"longest_turn"`
}

// CheckOff compares the minutes that check-offs need with those that helping
// leaves.
type CheckOff struct {
	Needs float64 `json:"needs"`
	Has   float64 `json:"has"`
	Fits  bool    `json:"fits"`
	Why   string  `json:"why,omitempty"`
}

// Forget takes a learner out of the session and reports whether it was there.
// The others keep their times.
func (s *ShopSession) Forget(learner string) bool {
	found := false
	is := func(id string) bool {
		found = found || id == learner
		return id == learner
	}
	s.Spec.Fixed = slices.DeleteFunc(s.Spec.Fixed, func(f Fixed) bool { return is(f.Learner) })
	s.Spec.Away = slices.DeleteFunc(s.Spec.Away, is)
	s.Spec.First = slices.DeleteFunc(s.Spec.First, is)
	s.Plan.Bookings = slices.DeleteFunc(s.Plan.Bookings, func(b Booking) bool { return is(b.Learner) })
	s.Plan.Left = slices.DeleteFunc(s.Plan.Left, func(l LeftOut) bool { return is(l.Learner) })
	s.Plan.Unchecked = slices.DeleteFunc(s.Plan.Unchecked, is)
	s.Plan.Idle.Learners = slices.DeleteFunc(s.Plan.Idle.Learners, func(m LearnerMinutes) bool { return is(m.Learner) })
	return found
}
