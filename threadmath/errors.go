package threadmath

import "strings"

// DomainError reports a value that cannot be used: unreadable, out of range,
// contradictory or impossible.
type DomainError struct {
	// Quantity is the JSON pointer (RFC 6901) of the field in a request
	// ("/thread/pitch"), or the name of the argument of the function that was
	// called.
	Quantity string
	// Value is what was given, as text; empty when nothing was.
	Value string
	// Range says in words or numbers what is allowed.
	Range string
	// Reason says why, where the range alone does not.
	Reason string
}

// Error joins quantity, value, reason and range in one line.
func (e *DomainError) Error() string {
	var b strings.Builder
	b.WriteString(oneLine(e.Quantity, 120))
	if e.Value != "" {
		b.WriteString(": " + quoteShort(e.Value))
	}
	if e.Reason != "" {
		b.WriteString(": " + e.Reason)
	}
	if e.Range != "" {
		b.WriteString(" (allowed: " + e.Range + ")")
	}
	return b.String()
}

// quoteShort quotes a value on one line.
func quoteShort(s string) string { return `"` + oneLine(s, 60) + `"` }

// oneLine replaces control characters by spaces and cuts what is longer than
// limit characters, so that hostile input can neither break nor flood a log.
func oneLine(s string, limit int) string {
	n := 0
	for i := range s {
		if n == limit {
			s = s[:i] + "…"
			break
		}
		n++
	}
	return strings.Map(func(c rune) rune {
		if c < ' ' || (c >= 0x7f && c < 0xa0) || c == '\u2028' || c == '\u2029' {
			return ' '
		}
		return c
	}, s)
}
