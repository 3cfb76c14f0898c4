package generate

import "strings"

func cutUnit(text string) (number, unit string, ok bool) { return strings.Cut(text, " ") }

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// capital writes the first letter large.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
