package threadmath

import "strings"

// DomainError reports a value that cannot be used: unreadable, out of range,
// contradictory or impossible.
type DomainError struct {
	// Quantity is the JSON pointer of the field in a request ("/thread/pitch"),
	// or the name of the argument of the function that was called.
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
	b.WriteString(e.Quantity)
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

// quoteShort quotes a value on one line and cuts what is long, so that hostile
// input cannot flood a log.
func quoteShort(s string) string {
	const limit = 60
	r := []rune(s)
	cut := ""
	if len(r) > limit {
		r, cut = r[:limit], "…"
	}
	clean := strings.Map(func(c rune) rune {
		if c < ' ' || c == 0x7f {
			return ' '
		}
		return c
	}, string(r))
	return `"` + clean + cut + `"`
}
