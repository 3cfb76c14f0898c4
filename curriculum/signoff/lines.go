package signoff

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"halfnut/curriculum"
)

// The kinds of a line. They are part of what is kept: never renamed.
const (
	KindSettings      = "settings"
	KindTheoryOpened  = "theory-opened"
	KindTheory        = "theory"
	KindRecheckOpened = "re-check-opened"
	KindRecheck       = "re-check"
	KindDemonstration = "demonstration"
	KindTestPiece     = "test-piece"
	KindDecision      = "decision"
	KindCheckIn       = "check-in"
	KindRestriction   = "restriction"
	KindRevocation    = "revocation"
)

// The kinds of a sitting.
const (
	SittingTheory  = "theory"
	SittingRecheck = "re-check"
)

// Opened is the body of theory-opened and re-check-opened: a try begins. Closes
// is in Unix milliseconds. The digest is that of the exercises as issued.
type Opened struct {
	Sitting   string   `json:"sitting"`
	Skills    []string `json:"skills"`
	Closes    int64    `json:"closes"`
	Exercises string   `json:"exercises"`
	// Again counts the situations that the learner has met in an earlier sitting,
	// because the bank holds no more.
	Again int `json:"again,omitempty"`
}

// Sat is the body of theory and re-check: a try is marked.
type Sat struct {
	Sitting  string `json:"sitting"`
	Marks    int    `json:"marks"`
	OutOf    int    `json:"out_of"`
	PassMark int    `json:"pass_mark"`
	// Missed are the skills with a safety item that was not right.
	Missed []string `json:"missed"`
	Passed bool     `json:"passed"`
	// Answers is the digest of the answers and verdicts.
	Answers string `json:"answers"`
}

// The marks on a checklist.
const (
	Done    = "done"
	NotDone = "not-done"
	NotHere = "does-not-apply"
)

// Demonstration is the body of a witnessed demonstration; By is the witness.
type Demonstration struct {
	Version int               `json:"version"`
	Items   map[string]string `json:"items"`
	Job     string            `json:"job"`
	Note    string            `json:"note,omitempty"`
	Passed  bool              `json:"passed"`
}

// TestPiece is the body of a measured test piece.
type TestPiece struct {
	Thread     string    `json:"thread"`
	Instrument string    `json:"instrument"`
	Measures   []Measure `json:"measures"`
	Accepted   bool      `json:"accepted"`
}

// Decision is the body of an instructor's decision.
type Decision struct {
	Granted bool `json:"granted"`
	// Age states that the learner has the minimum age, or that what local rules ask
	// for in its place is there. Without a minimum it is false.
	Age         bool   `json:"age"`
	MinimumAge  int    `json:"minimum_age"`
	Restriction string `json:"restriction,omitempty"`
	Reason      string `json:"reason,omitempty"`
	Expires     int64  `json:"expires,omitempty"` // Unix milliseconds
}

// CheckIn is the body of a check-in at the lathe.
type CheckIn struct {
	Job string `json:"job"`
	// Second is the token of the second person.
	Second string   `json:"second,omitempty"`
	Dress  []string `json:"dress"`
}

// Reason is the body of restriction and revocation. A restriction without a text
// lifts the one before.
type Reason struct {
	Restriction string `json:"restriction,omitempty"`
	Reason      string `json:"reason"`
}

// event is a line with its body read.
type event struct {
	curriculum.Line
	body any
}

// read gives a line its body.
func read(l curriculum.Line) (event, error) {
	e := event{Line: l}
	switch l.Kind {
	case KindSettings:
		e.body = &Settings{}
	case KindTheoryOpened, KindRecheckOpened:
		e.body = &Opened{}
	case KindTheory, KindRecheck:
		e.body = &Sat{}
	case KindDemonstration:
		e.body = &Demonstration{}
	case KindTestPiece:
		e.body = &TestPiece{}
	case KindDecision:
		e.body = &Decision{}
	case KindCheckIn:
		e.body = &CheckIn{}
	case KindRestriction, KindRevocation:
		e.body = &Reason{}
	default:
		return e, fmt.Errorf("line %d: %w: unknown kind %q", l.Seq, curriculum.ErrInvalid, l.Kind)
	}
	if err := json.Unmarshal(l.Body, e.body); err != nil {
		return e, fmt.Errorf("line %d: %w", l.Seq, err)
	}
	return e, nil
}

// Body returns a line's body as one of this package's types (a pointer).
func Body(l curriculum.Line) (any, error) {
	e, err := read(l)
	return e.body, err
}

const maxText = 300

// Text trims what a person typed and refuses what no sheet could print. An empty
// text is refused unless it may be left out.
func Text(path, text string, optional bool) (string, error) {
	text = strings.Join(strings.Fields(text), " ")
	bad := func(reason string) (string, error) {
		return "", &curriculum.FieldError{Path: path, Value: text, Reason: reason, Allowed: fmt.Sprintf("up to %d characters", maxText)}
	}
	switch {
	case !utf8.ValidString(text):
		return bad("not UTF-8 text")
	case text == "" && !optional:
		return bad("is empty")
	case utf8.RuneCountInString(text) > maxText:
		return bad("is too long")
	case strings.ContainsFunc(text, func(r rune) bool { return !unicode.IsPrint(r) }):
		return bad("holds a character that cannot be printed")
	}
	return text, nil
}

// Witnessed checks a checklist as it was ticked and says whether every item is
// done. An item that is left out is a fault, not a failure.
func Witnessed(o Operation, items map[string]string) (passed bool, err error) {
	var wrong []error
	passed = true
	for _, it := range o.Checklist {
		mark, path := items[it.ID], "/items/"+it.ID
		switch {
		case mark == "":
			wrong = append(wrong, &curriculum.FieldError{Path: path, Reason: "not ticked: " + it.Text, Allowed: marksOf(it)})
		case mark == NotDone:
			passed = false
		case mark == Done, mark == NotHere && it.Unless != "":
		case mark == NotHere:
			wrong = append(wrong, &curriculum.FieldError{Path: path, Value: mark, Reason: "this item always applies", Allowed: marksOf(it)})
		default:
			wrong = append(wrong, &curriculum.FieldError{Path: path, Value: mark, Allowed: marksOf(it)})
		}
	}
	for id := range items {
		if !slices.ContainsFunc(o.Checklist, func(it Item) bool { return it.ID == id }) {
			wrong = append(wrong, &curriculum.FieldError{Path: "/items", Value: id, Reason: "the checklist has no such item"})
		}
	}
	return passed, joined(wrong)
}

func marksOf(it Item) string {
	if it.Unless == "" {
		return Done + ", " + NotDone
	}
	return Done + ", " + NotDone + ", " + NotHere + " (" + it.Unless + ")"
}

// Dressed refuses a check-in unless every item of dress was seen.
func Dressed(seen []string) error {
	var wrong []error
	for _, it := range dressItems {
		if !slices.Contains(seen, it.ID) {
			wrong = append(wrong, &curriculum.FieldError{Path: "/dress", Value: it.ID, Reason: "not seen: " + it.Text})
		}
	}
	for _, id := range seen {
		if !slices.ContainsFunc(dressItems, func(it Item) bool { return it.ID == id }) {
			wrong = append(wrong, &curriculum.FieldError{Path: "/dress", Value: id, Reason: "no such item"})
		}
	}
	return joined(wrong)
}

// Mark judges a sitting from its verdicts, one list for each exercise: the pass
// mark must be reached and every safety item right. An item is one of safety
// when its part or its skill is. A re-check wants full marks.
func Mark(kind string, exercises []curriculum.Exercise, verdicts [][]curriculum.Verdict, passMark int) Sat {
	sat := Sat{PassMark: passMark, Missed: []string{}}
	if kind == SittingRecheck {
		sat.PassMark = 100
	}
	for i, e := range exercises {
		skill, err := curriculum.SkillOf(e.Skill)
		for _, p := range e.Parts {
			sat.OutOf += p.Marks
			right := false
			if i < len(verdicts) {
				for _, v := range verdicts[i] {
					if v.Part == p.ID {
						sat.Marks += v.Marks
						right = v.Outcome == curriculum.Right
					}
				}
			}
			if safety := p.Safety || err == nil && skill.Safety; safety && !right && !slices.Contains(sat.Missed, e.Skill) {
				sat.Missed = append(sat.Missed, e.Skill)
			}
		}
	}
	sat.Passed = sat.OutOf > 0 && sat.Marks*100 >= sat.PassMark*sat.OutOf && len(sat.Missed) == 0
	return sat
}

func joined(errs []error) error {
	if len(errs) == 1 {
		return errs[0]
	}
	return errors.Join(errs...)
}

func fromMillis(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

func times(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// Describe says in one sentence what a line records; names and lathe stand
// beside it.
func Describe(l curriculum.Line) string {
	e, err := read(l)
	if err != nil {
		return l.Kind
	}
	passed := func(ok bool) string {
		if ok {
			return "passed"
		}
		return "not passed"
	}
	switch b := e.body.(type) {
	case *Settings:
		return "the workshop's rules were set"
	case *Opened:
		what := "a sitting was opened: " + map[bool]string{true: "re-check", false: "theory"}[l.Kind == KindRecheckOpened]
		if b.Again > 0 {
			what += fmt.Sprintf("; %s met before, as the bank holds no more", times(b.Again, "safety question was", "safety questions were"))
		}
		return what
	case *Sat:
		what := "theory"
		if l.Kind == KindRecheck {
			what = "re-check"
		}
		return fmt.Sprintf("%s %s: %d of %d marks", what, passed(b.Passed), b.Marks, b.OutOf)
	case *Demonstration:
		return "demonstration " + passed(b.Passed) + ": " + b.Job + note(b.Note)
	case *TestPiece:
		if b.Accepted {
			return "test piece accepted: " + b.Thread
		}
		return "test piece not accepted: " + b.Thread
	case *Decision:
		if b.Granted {
			return "signed off until " + fromMillis(b.Expires).Format(time.DateOnly) + note(b.Restriction)
		}
		return "not signed off: " + b.Reason
	case *CheckIn:
		return "at work: " + b.Job
	case *Reason:
		switch {
		case l.Kind == KindRevocation:
			return "revoked: " + b.Reason
		case b.Restriction == "":
			return "restriction lifted: " + b.Reason
		}
		return "restricted: " + b.Restriction + note(b.Reason)
	}
	return l.Kind
}

func note(text string) string {
	if text == "" {
		return ""
	}
	return " (" + text + ")"
}
