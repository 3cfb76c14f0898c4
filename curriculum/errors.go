package curriculum

import "errors"

// Sentinels that every layer wraps; api/problem turns them into answers.
var (
	ErrNotFound    = errors.New("not found")
	ErrConflict    = errors.New("conflict")
	ErrInvalid     = errors.New("invalid")
	ErrDenied      = errors.New("not allowed")
	ErrNoSession   = errors.New("not signed in")
	ErrTooMany     = errors.New("too many tries")
	ErrUnavailable = errors.New("unavailable")
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
