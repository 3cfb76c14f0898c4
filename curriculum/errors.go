package curriculum

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
)

// Sentinels that every layer wraps; api/problem turns them into answers.
var (
	ErrNotFound    = errors.New("not found")
	ErrConflict    = errors.New("conflict")
	ErrInvalid     = errors.New("invalid")
	ErrDenied      = errors.New("not allowed")
	ErrNoSession   = errors.New("not signed in")
	ErrTooMany     = errors.New("too many tries")
	ErrUnavailable = errors.New("unavailable")
	// ErrChanged is the ErrConflict of who changes what is not as they saw it any more.
	ErrChanged = fmt.Errorf("%w: somebody else has changed it meanwhile", ErrConflict)
	// ErrTaken tells a try at a work that another has taken it over.
	ErrTaken = errors.New("taken over by another try")
)

// FieldError is an ErrInvalid that names the field, the value seen and what is
// allowed.
type FieldError struct {
	Path    string // JSON pointer, "/skills/0"
	Value   string
	Allowed string
	Reason  string
}

// Error joins path, value, reason and what is allowed in one line.
func (e *FieldError) Error() string {
	s := e.Path
	if e.Value != "" {
		s += ": \"" + e.Value + "\""
	}
	if e.Reason != "" {
		s += ": " + e.Reason
	}
	if e.Allowed != "" {
		s += " (allowed: " + e.Allowed + ")"
	}
	return s
}

// Unwrap makes errors.Is(err, ErrInvalid) hold.
func (e *FieldError) Unwrap() error { return ErrInvalid }

// IncompleteError is an ErrInvalid that asks back: the parts of an answer are empty,
// which may be an oversight.
type IncompleteError struct{ Parts []string }

// Error names the parts and says how to send the answers all the same.
func (e *IncompleteError) Error() string {
	if len(e.Parts) == 1 {
		return "part " + e.Parts[0] + ` is empty; nothing was counted. Fill it in, or send the answers with "partial": true: an empty part is then wrong`
	}
	last := len(e.Parts) - 1
	return "parts " + strings.Join(e.Parts[:last], ", ") + " and " + e.Parts[last] +
		` are empty; nothing was counted. Fill them in, or send the answers with "partial": true: empty parts are then wrong`
}

// Unwrap makes errors.Is(err, ErrInvalid) hold.
func (e *IncompleteError) Unwrap() error { return ErrInvalid }

// WaitError is an ErrTooMany that says how long to wait.
type WaitError struct {
	Wait   time.Duration
	Reason string
}

// Seconds is the wait in whole seconds, 1 or more.
func (e *WaitError) Seconds() int { return max(1, int(math.Ceil(e.Wait.Seconds()))) }

// Error gives the reason and the wait in words.
func (e *WaitError) Error() string {
	if n := e.Seconds(); n < 120 {
		return fmt.Sprintf("%s: wait %d s, then try again", e.Reason, n)
	}
	return fmt.Sprintf("%s: wait %d minutes, then try again", e.Reason, int(math.Ceil(e.Wait.Minutes())))
}

// Unwrap makes errors.Is(err, ErrTooMany) hold.
func (e *WaitError) Unwrap() error { return ErrTooMany }
