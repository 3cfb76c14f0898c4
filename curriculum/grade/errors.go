package grade

import "fmt"

// Unclear is a question back to the learner: the text can be read in more than
// one way, or as another quantity than was asked. It costs no try.
type Unclear struct {
	// Question is the sentence to show.
	Question string
}

// Error returns the question.
func (e *Unclear) Error() string { return e.Question }

// ReadError says that a text is not an answer at all, and why. It costs no try.
type ReadError struct {
	Reason string
}

// Error returns the reason.
func (e *ReadError) Error() string { return e.Reason }

func unreadable(format string, args ...any) error {
	return &ReadError{Reason: fmt.Sprintf(format, args...)}
}

func askBack(format string, args ...any) error {
	return &Unclear{Question: fmt.Sprintf(format, args...)}
}

// quote shows a piece of the learner's text, cut short.
func quote(s string) string {
	r := []rune(s)
	if len(r) > 24 {
		return `"` + string(r[:24]) + `…"`
	}
	return `"` + s + `"`
}
