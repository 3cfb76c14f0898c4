package generate

import "strings"

func cutUnit(text string) (number, unit string, ok bool) { return strings.Cut(text, " ") }

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// ordinal writes 2 as "2nd".
func ordinal(n int) string {
	switch {
	case n%100 >= 11 && n%100 <= 13:
		return itoa(n) + "th"
	case n%10 == 1:
		return itoa(n) + "st"
	case n%10 == 2:
		return itoa(n) + "nd"
	case n%10 == 3:
		return itoa(n) + "rd"
	}
	return itoa(n) + "th"
}

// capital writes the first letter large.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
