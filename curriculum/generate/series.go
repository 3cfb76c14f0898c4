package generate

import (
	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Pitches that a shop meets: the metric ones of ISO 261 and of the trapezoidal
// series (ISO 2904), threads per inch of the Unified and Acme series (ASME
// B1.1, B1.5).
var (
	metricPitches = []string{"0.5", "0.75", "0.8", "1", "1.25", "1.5", "1.75", "2", "2.5", "3", "3.5", "4", "5", "6"}
	inchThreads   = []int{4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 20, 24, 28, 32}
)

// spacing is the pitch of a draw as the learner meets it.
type spacing struct {
	length threadmath.Length
	// text is "2 mm" or "12 tpi".
	text   string
	system threadmath.System
}

// spacings are the standard pitches of a unit system.
var spacings = map[threadmath.System][]spacing{
	threadmath.Metric: metricSpacings(),
	threadmath.Inch:   inchSpacings(),
}

func metricSpacings() []spacing {
	var out []spacing
	for _, text := range metricPitches {
		out = append(out, mustSpacing(text+" mm"))
	}
	return out
}

func inchSpacings() []spacing {
	var out []spacing
	for _, n := range inchThreads {
		out = append(out, mustSpacing(itoa(n)+" tpi"))
	}
	return out
}

func mustSpacing(text string) spacing {
	l, system, err := threadmath.ParsePitch(text)
	if err != nil {
		panic(err)
	}
	return spacing{l, text, system}
}

// spacing draws a standard pitch, rejecting what the lathe would not be asked to
// cut with n starts.
func (d *draw) spacing(n int) (spacing, error) {
	s := oneOf(d, spacings[d.units])
	if !d.machine.cuts(s.length.Times(n)) {
		return s, reject("a lead of %d × %s is beyond this lathe", n, s.text)
	}
	return s, nil
}

// thread draws the number of starts and a standard pitch.
func (d *draw) thread(choices []weighted) (n int, s spacing, err error) {
	if n, err = d.starts(choices); err != nil {
		return 0, s, err
	}
	s, err = d.spacing(n)
	return n, s, err
}

// give adds the pitch to the givens: P in mm, or N threads per inch.
func (s spacing) give(it *item) {
	if s.system == threadmath.Inch {
		it.given("N", "threads per inch", s.text)
		return
	}
	it.given("P", "pitch", s.text)
}

// steps lead to P where the threads per inch are given.
func (s spacing) steps() []curriculum.Step {
	if s.system == threadmath.Inch {
		return []curriculum.Step{{Name: "P", Say: "The pitch is one inch divided by the threads per inch.", Rule: "1/N", Unit: "in"}}
	}
	return nil
}

// words describe the pitch in a prompt.
func (s spacing) words() string {
	if s.system == threadmath.Inch {
		v, _, _ := cutUnit(s.text)
		return v + " threads per inch"
	}
	return "a pitch of " + s.text
}

// lengthText writes a length for a prompt: decimals in mm, a fraction in inches.
func lengthText(l threadmath.Length, units threadmath.System) string {
	r := l.In(units)
	if text, exact := r.Decimal(4); exact && units == threadmath.Metric {
		return trimZeros(text) + " mm"
	}
	return l.Exact(units)
}

var startWords = []string{"", "single-start", "two-start", "three-start", "four-start", "five-start", "six-start", "seven-start", "eight-start"}

// article puts "a" or "an" before the words.
func article(words string) string {
	switch words[0] {
	case 'a', 'e', 'i', 'o', 'u':
		return "an " + words
	}
	return "a " + words
}

// threadPart is the thread of a request with the pitch and n starts.
func (s spacing) request(n int) threadmath.Thread {
	return threadmath.Thread{Pitch: s.text, Starts: count(n)}
}

// askedLength is how many decimals a length is asked to.
func (d *draw) askedLength() int {
	if d.units == threadmath.Inch {
		return 3
	}
	return 2
}
