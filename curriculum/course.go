package curriculum

import (
	"time"

	"halfnut/threadmath"
)

// CourseSpec is what a class is taught for: a thread, to be cut on a lathe by a
// day, and the meetings until then.
type CourseSpec struct {
	Title  string            `json:"title"`
	Thread threadmath.Thread `json:"thread"`
	Cut    *threadmath.Cut   `json:"cut,omitempty"`
	Lathe  string            `json:"lathe"` // a lathe's id
	Units  string            `json:"units"`
	// First is the first meeting; they follow one another every EveryDays days, each
	// of so many minutes. Date is the day at the lathe.
	First     time.Time `json:"first"`
	EveryDays int       `json:"every_days"`
	Minutes   int       `json:"minutes"`
	Date      time.Time `json:"date"`
	// Learners practise every PracticeDays days, PracticeSize exercises a time.
	PracticeDays int `json:"practice_days"`
	PracticeSize int `json:"practice_size"`
}

// Course is a class's course as it is kept.
type Course struct {
	Class   string     `json:"class"`
	Spec    CourseSpec `json:"spec"`
	Version int        `json:"version"`
	Changed time.Time  `json:"changed"`
}

// CoursePlan is a course worked out from where the class stands now.
type CoursePlan struct {
	Course    Course `json:"course"`
	LatheName string `json:"lathe_name"`
	// Wanted are the skills of the job with all they build on; Held those that
	// nearly everybody holds already, NotAsked those that this lathe can draw no
	// exercise for. NotTaught found no meeting any more: MeetingsShort more are
	// needed, or a later day.
	Wanted        []string `json:"wanted"`
	Held          []string `json:"held"`
	NotAsked      []string `json:"not_asked"`
	NotTaught     []string `json:"not_taught"`
	MeetingsShort int      `json:"meetings_short"`
	Lessons       []Lesson `json:"lessons"`
}

// Lesson is one meeting.
type Lesson struct {
	Number  int       `json:"number"`
	Date    time.Time `json:"date"`
	Minutes int       `json:"minutes"`
	// Past lessons stand for the record; nothing is planned into them.
	Past  bool        `json:"past"`
	Aims  []LessonAim `json:"aims"`
	Parts []Phase     `json:"parts"`
	// Worksheet is the class set for the lesson, ready to be built.
	Worksheet *SetSpec `json:"worksheet"`
	// WarmUp names the skills of five mixed questions, in order; Questions are the
	// questions, drawn for the next lesson only.
	WarmUp    []string   `json:"warm_up"`
	Questions []Exercise `json:"questions"`
	// Mistakes are the wrong rules that the class now holds, for the next lesson
	// only, three at most.
	Mistakes []BoardExample `json:"mistakes"`
}

// LessonAim is a skill to be met in a lesson, with what to show.
type LessonAim struct {
	Skill   string `json:"skill"`
	Title   string `json:"title"`
	Purpose string `json:"purpose"`
	// Points are the points of the demonstration: the rule, a worked example, and
	// the number of the course's own thread.
	Points []string `json:"points"`
}

// Phase is a part of a lesson.
type Phase struct {
	Minutes int    `json:"minutes"`
	What    string `json:"what"`
}

// BoardExample shows a mistake and the right working side by side, in three
// minutes.
type BoardExample struct {
	Skill    string `json:"skill"`
	Rule     string `json:"rule"`
	Feedback string `json:"feedback"`
	// Learners counts who holds it now; Seen says that it only came up once each.
	Learners int      `json:"learners"`
	Seen     bool     `json:"seen,omitempty"`
	Minutes  int      `json:"minutes"`
	Task     string   `json:"task"`
	Wrong    []string `json:"wrong"`
	Right    []string `json:"right"`
}
