package threadmath

import (
	"strconv"
	"strings"
)

// ParseDesignation reads a thread's name:
//
//	M20  M24x1.5  M24xPh6P2  M24x6-P2  M24xPh6P2-6g-LH     ISO 965-1; without a pitch the coarse one
//	Tr 40x7  Tr 40x14 P7  Tr 60x18(P9)LH  Tr 40x7-7e       ISO 2904: with P, the first number is the lead
//	S 48x8  Rd 40x1/6                                      DIN 513, DIN 405 (a fraction is of an inch)
//	1/4-20 UNC-2A  1-1/8-7 UNC  10-32 UNF  #10-30 UNS      ASME B1.1; without a pitch that of the series
//	1/4-20 NC  5/8-10 ACME-2G  1/2-12 BSW  2.5-8 BUTT      NBS H28, ASME B1.5, BS 84, ASME B1.9
//	1-10 UN 3 START                                        several starts in inches, from memory
//
// × may stand for x. Without a series the size decides: 1-64, 2-56 and 0-80 are
// screw numbers, 1-8 is an inch. What cannot be read, contradicts itself or a
// series, or is longer than 60 bytes gives a DomainError.
func ParseDesignation(text string) (Designation, error) {
	d, reason := parseDesignation(text)
	if reason != "" {
		return Designation{}, &DomainError{Quantity: "designation", Value: text, Reason: reason, Range: designationForms}
	}
	return d, nil
}

func parseDesignation(text string) (Designation, string) {
	if len(text) > maxDesignation {
		return Designation{}, "longer than " + strconv.Itoa(maxDesignation) + " bytes"
	}
	s := strings.ReplaceAll(strings.TrimSpace(text), "×", "x")
	d, reason := Designation{}, ""
	if rest, form := cutPrefixes(s); form != "" {
		d, reason = parseMetric(form, rest)
	} else {
		d, reason = parseInch(s)
	}
	switch {
	case reason != "":
	case d.Diameter.Cmp(shortest) < 0 || d.Diameter.Cmp(longest) > 0 || d.Pitch.Cmp(shortest) < 0 || d.Pitch.Cmp(longest) > 0:
		reason = "no size that a lathe meets"
	case d.Starts < 1 || d.Starts > maxStarts:
		reason = "starts are 1 to " + strconv.Itoa(maxStarts)
	default:
		reason = d.settleSide()
	}
	return d, reason
}

// cutPrefixes takes a metric form's letters off the front; a number or a space
// must follow, so that no word is taken for one.
func cutPrefixes(s string) (rest, form string) {
	for _, m := range metricForms {
		if len(s) > len(m.prefix) && strings.EqualFold(s[:len(m.prefix)], m.prefix) {
			if rest := strings.TrimLeft(s[len(m.prefix):], " "); rest != "" && isNumeral(rest[0]) {
				return rest, m.form
			}
		}
	}
	return "", ""
}

func isNumeral(c byte) bool { return c >= '0' && c <= '9' || c == '.' }

// cutNumber takes a number, decimal or fraction, off the front.
func cutNumber(s string) (r Ratio, rest string, ok bool) {
	i := 0
	for i < len(s) && (isNumeral(s[i]) || s[i] == '/') {
		i++
	}
	r, err := ParseRatio(s[:i])
	return r, s[i:], err == nil && r.Sign() > 0
}

// parseMetric reads what follows the letters of a metric form.
func parseMetric(form, s string) (d Designation, reason string) {
	d = Designation{Form: form, Starts: 1}
	number, rest, ok := cutNumber(s)
	if !ok || strings.Contains(s[:len(s)-len(rest)], "/") {
		return d, "the diameter is not readable"
	}
	d.Diameter, s = Millimetres(number), rest
	var first, pitch *Length // the number after x, and after P
	named := false           // first is said to be a lead
	length := func(s string) (*Length, string, bool) {
		cut := len(s)
		r, rest, ok := cutNumber(s)
		l := Millimetres(r)
		if fraction := strings.Contains(s[:cut-len(rest)], "/"); fraction {
			l = Inches(r)
			ok = ok && form == "knuckle"
		}
		return &l, rest, ok
	}
	if after, ok := cutFold(strings.TrimLeft(s, " "), "x"); ok {
		s = strings.TrimLeft(after, " ")
		if after, ok := cutFold(s, "Ph"); ok {
			named, s = true, after
		}
		if first, s, ok = length(s); !ok {
			return d, "the number after x is not readable"
		}
	}
	for s = strings.TrimLeft(s, " -"); s != ""; s = strings.TrimLeft(s, " -") {
		bare, bracket := strings.CutPrefix(s, "(")
		if after, ok := cutFold(bare, "P"); ok {
			if pitch != nil {
				return d, "the pitch is given twice"
			}
			if pitch, s, ok = length(after); !ok {
				return d, "the pitch is not readable"
			}
			if bracket {
				if s, ok = strings.CutPrefix(s, ")"); !ok {
					return d, "the bracket is not closed"
				}
			}
			continue
		}
		word := s
		if i := strings.IndexAny(s, " -"); i >= 0 {
			word = s[:i]
		}
		s = s[len(word):]
		if reason := d.readWord(word); reason != "" {
			return d, reason
		}
	}
	return d, d.settleMetric(first, pitch, named)
}

// settleMetric makes pitch and starts of the number after x and that after P.
func (d *Designation) settleMetric(first, pitch *Length, named bool) string {
	switch {
	case first == nil && pitch != nil:
		return "a pitch without a lead"
	case first == nil && d.Form != "iso-metric":
		return "the pitch is missing"
	case first == nil:
		p, ok := listedPitch("M coarse", d.Diameter)
		if !ok {
			return "no coarse pitch is listed for this diameter (ISO 261); write the pitch after x"
		}
		d.Pitch = p
	case pitch == nil && named:
		return "a lead without its pitch: PhLP says lead L and pitch P"
	case pitch == nil:
		d.Pitch = *first
	default:
		n, whole := first.Quo(*pitch).Int64()
		if !whole || n < 1 || n > maxStarts {
			return "the lead is not a whole number of pitches from 1 to " + strconv.Itoa(maxStarts)
		}
		d.Pitch, d.Starts = *pitch, int(n)
	}
	return ""
}

// readWord reads the hand or the class, once each.
func (d *Designation) readWord(word string) string {
	if strings.EqualFold(word, "LH") {
		if d.Left {
			return "LH is given twice"
		}
		d.Left = true
		return ""
	}
	if strings.Contains(word, "/") {
		return quoteShort(word) + " is not readable: one thread has one class"
	}
	if d.Class != "" {
		return quoteShort(word) + " is not readable after the class " + d.Class
	}
	d.Class = word
	return ""
}

// settleSide checks the class and learns the side from it.
func (d *Designation) settleSide() string {
	if d.Class == "" {
		return ""
	}
	system, ok := toleranceSystems[d.Form]
	if !ok {
		return quoteShort(d.Class) + " is not readable, and no tolerance classes are held for the form " + d.Form
	}
	_, external := system.class(d.Class, false)
	_, internal := system.class(d.Class, true)
	switch {
	case !external && !internal:
		return quoteShort(d.Class) + " is no class of a " + d.Form + " thread"
	case !internal:
		d.Side = "external"
	case !external:
		d.Side = "internal"
	}
	return ""
}

// inchWords parts a designation at spaces and hyphens, and the threads per inch from a
// series that is written on to them ("3/4-16UNF-2A"). Pitch and lead in inches, as ASME
// B1.5 writes Acme threads of several starts ("2.875-0.4P-0.8L-ACME-2G"), are taken out;
// they come together, and are 0 where there are none.
func inchWords(s string) (words []string, pitch, lead Ratio, reason string) {
	for _, w := range strings.FieldsFunc(s, func(c rune) bool { return c == ' ' || c == '-' }) {
		letters := strings.IndexFunc(w, isLetter)
		if letters <= 0 {
			words = append(words, w)
			continue
		}
		number, tail := w[:letters], strings.ToUpper(w[letters:])
		switch r, err := ParseRatio(number); {
		case err == nil && (tail == "P" || tail == "L") && r.Sign() <= 0:
			return nil, pitch, lead, "a pitch or a lead of nothing"
		case err == nil && tail == "P":
			pitch = r
		case err == nil && tail == "L":
			lead = r
		case err == nil && formOfSeries(tail) != "":
			words = append(words, number, tail)
		default:
			words = append(words, w)
		}
	}
	if (pitch.Sign() > 0) != (lead.Sign() > 0) {
		return nil, pitch, lead, "pitch P and lead L are written together"
	}
	return words, pitch, lead, ""
}

// parseInch reads diameter-threads per inch, series, class, starts and hand.
func parseInch(s string) (d Designation, reason string) {
	words, pitch, lead, reason := inchWords(s)
	if reason != "" {
		return d, reason
	}
	numbers := len(words)
	for i, w := range words {
		if strings.IndexFunc(w, isLetter) >= 0 {
			numbers = i
			if isStart(w) && i > 0 {
				numbers-- // "1-10 3 START"
			}
			break
		}
	}
	d = Designation{Starts: 1}
	started := false
	for rest := words[numbers:]; len(rest) > 0; rest = rest[1:] {
		word := strings.ToUpper(rest[0])
		if word == "STUB" && len(rest) > 1 {
			rest = rest[1:]
			word += " " + strings.ToUpper(rest[0])
		}
		if form := formOfSeries(word); form != "" {
			if d.Series != "" {
				return d, "two series: " + d.Series + " and " + word
			}
			d.Series, d.Form = word, form
			continue
		}
		if n, err := strconv.Atoi(rest[0]); err == nil && !started && len(rest) > 1 && isStart(rest[1]) {
			d.Starts, started, rest = n, true, rest[1:]
			continue
		}
		if reason := d.readWord(rest[0]); reason != "" {
			return d, reason
		}
	}
	if numbers == 0 {
		return d, "the diameter is not readable"
	}
	text, hash := strings.CutPrefix(words[0], "#")
	size, perInch, reason := sizeAndThreads(append([]string{text}, words[1:numbers]...))
	if reason != "" {
		return d, reason
	}
	if pitch.Sign() > 0 {
		if perInch.Sign() > 0 || started {
			return d, "pitch and lead are given twice"
		}
		n, whole := lead.Quo(pitch).Int64()
		if !whole || n < 1 || n > maxStarts {
			return d, "the lead is not a whole number of pitches from 1 to " + strconv.Itoa(maxStarts)
		}
		perInch, d.Starts = Int(1).Quo(pitch), int(n)
	}
	return d, d.settleInch(size, perInch, hash, !strings.ContainsAny(text, "./"))
}

func isLetter(c rune) bool { return c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' }

func isStart(s string) bool { return strings.EqualFold(s, "START") || strings.EqualFold(s, "STARTS") }

func formOfSeries(name string) string {
	for _, s := range inchSeries {
		if s.name == name {
			return s.form
		}
	}
	return ""
}

// sizeAndThreads reads "5/8-10", "1-1/8-5", "2-4-1/2", "2-4.5" and, with no
// threads per inch (zero), "5/8" and "1-1/8", in parts.
func sizeAndThreads(parts []string) (size, perInch Ratio, reason string) {
	numbers := make([]Ratio, 0, 2)
	for i := 0; i < len(parts); i++ {
		r, err := ParseRatio(parts[i])
		if err != nil {
			return size, perInch, quoteShort(parts[i]) + " is not readable"
		}
		if i+1 < len(parts) && !strings.ContainsAny(parts[i], "./") && strings.Contains(parts[i+1], "/") {
			// A proper fraction after a whole number belongs to it.
			if f, err := ParseRatio(parts[i+1]); err == nil && f.Cmp(Int(1)) < 0 {
				r = r.Add(f)
				i++
			}
		}
		numbers = append(numbers, r)
	}
	switch len(numbers) {
	case 1:
		return numbers[0], Ratio{}, ""
	case 2:
		if numbers[1].Cmp(Int(1)) < 0 {
			return size, perInch, "less than one thread per inch"
		}
		return numbers[0], numbers[1], ""
	}
	return size, perInch, "not readable"
}

// settleInch finds diameter, pitch and series: a whole size may be a screw
// number, which the series, given or found, decides.
func (d *Designation) settleInch(size, perInch Ratio, hash, plain bool) string {
	listed := listedSeries(d.Series)
	n, whole := size.Int64()
	isScrew := plain && whole && n >= 0 && n <= 12 && (d.Form == "unified" || d.Form == "american-national" || d.Form == "")
	if hash && !isScrew {
		return "# is for the screw numbers 0 to 12 of Unified threads"
	}
	inch, screw := Inches(size), screwDiameter(size)
	if perInch.Sign() == 0 { // the series has to say
		if d.Series == "ACME" {
			listed = "ACME"
		}
		for i, diameter := range []Length{inch, screw} {
			if p, ok := listedPitch(listed, diameter); ok && (i == 0 && !hash || i == 1 && isScrew) {
				d.Diameter, d.Pitch = diameter, p
				return ""
			}
		}
		return "threads per inch are missing, and no series named here lists this size"
	}
	d.Pitch = Inches(perInch.inv())
	switch {
	case hash, isScrew && d.matches(screw, listed):
		d.Diameter = screw
	case size.Sign() == 0:
		return "no screw of number 0 has these threads per inch; write #0 if it is special"
	case isScrew && n > 0 && perInch.Cmp(Int(32)) > 0:
		return "a screw number or an inch? no series lists it: write #" + size.String() + " or " + size.String() + ".0 in its place"
	default:
		d.Diameter = inch
	}
	if listed != "" && !d.matches(d.Diameter, listed) {
		if p, ok := listedPitch(listed, d.Diameter); ok && !d.oldFine() {
			return d.Series + " has " + Inches(Int(1)).Quo(p).String() + " per inch at this size"
		} else if !ok {
			return d.Series + " has no such size"
		}
	}
	if d.Form == "" {
		d.Form, d.Series = "unified", unifiedSeriesOf(d.Diameter, d.Pitch, d.Starts)
	}
	return ""
}

// oldFine reports whether this is 1-14 NF, where the American National fine
// series differs from the Unified one.
func (d *Designation) oldFine() bool {
	return d.Series == "NF" && d.Diameter.Equal(Inches(Int(1))) && d.Pitch.Equal(Inches(frac(1, 14)))
}

// matches reports whether the series lists the diameter with the pitch; without
// a series that fixes pitches, whether any Unified one does.
func (d *Designation) matches(diameter Length, listed string) bool {
	if listed != "" {
		return inSeries(listed, diameter, d.Pitch)
	}
	return inSeries("UNC", diameter, d.Pitch) || inSeries("UNF", diameter, d.Pitch) || inSeries("UNEF", diameter, d.Pitch)
}

// unifiedSeriesOf names the series of a Unified size: the listed ones, UN for
// the constant pitches of ASME B1.1 from 1/4 in and for several starts, UNS.
func unifiedSeriesOf(diameter, pitch Length, starts int) string {
	if starts > 1 {
		return "UN"
	}
	for _, name := range []string{"UNC", "UNF", "UNEF"} {
		if inSeries(name, diameter, pitch) {
			return name
		}
	}
	switch n, _ := Inches(Int(1)).Quo(pitch).Int64(); n {
	case 4, 6, 8, 12, 16, 20, 28, 32:
		if diameter.Cmp(Inches(frac(1, 4))) >= 0 {
			return "UN"
		}
	}
	return "UNS"
}

// cutFold takes a prefix off, capital or not.
func cutFold(s, prefix string) (string, bool) {
	if len(s) >= len(prefix) && strings.EqualFold(s[:len(prefix)], prefix) {
		return s[len(prefix):], true
	}
	return s, false
}
