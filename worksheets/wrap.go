package worksheets

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Span is a stretch of text in one face.
type Span struct {
	Text string
	Face Face
}

// Plain returns the text as a single regular span.
func Plain(text string) []Span { return []Span{{Text: text}} }

// Align is how lines sit in their box.
type Align uint8

// The alignments.
const (
	Left Align = iota
	Centred
	Right
)

// piece is part of a word in one face; a word is pieces with no space between them.
type piece struct {
	text string
	face Face
}

type word []piece

// run is a piece of a line with its distance from the left edge.
type run struct {
	text string
	face Face
	x    float64
}

// textLine is a wrapped line.
type textLine struct {
	runs  []run
	width float64
}

// words splits the spans at spaces. A no-break space does not split.
func words(spans []Span) []word {
	var out []word
	glued := false // whether the next piece continues the last word
	for _, s := range spans {
		for i, part := range strings.Split(s.Text, " ") {
			if i > 0 {
				glued = false
			}
			if part == "" {
				continue
			}
			if glued && len(out) > 0 {
				out[len(out)-1] = append(out[len(out)-1], piece{part, s.Face})
			} else {
				out = append(out, word{{part, s.Face}})
			}
			glued = true
		}
	}
	return out
}

// setter sets text for one sheet: it checks, composes and wraps.
type setter struct {
	style Style
	owner string
	room  float64 // height of a page's body in millimetres
}

func (t setter) wordWidth(w word, size float64) float64 {
	sum := 0.0
	for _, p := range w {
		sum += t.style.width(p.face, p.text, size)
	}
	return sum
}

// prepare returns the text with accents composed, or an error when it has a rune that cannot be printed.
func (t setter) prepare(text string) (string, error) {
	if err := CheckText(t.owner, text); err != nil {
		return "", err
	}
	return norm.NFC.String(text), nil
}

// wrap returns the lines of the spans set in points size within width. Words are broken only when they are wider
// than the whole width. Text without words gives no lines.
func (t setter) wrap(spans []Span, size, width float64) ([]textLine, error) {
	ready := make([]Span, len(spans))
	for i, s := range spans {
		text, err := t.prepare(s.Text)
		if err != nil {
			return nil, err
		}
		ready[i] = Span{text, s.Face}
	}
	var lines []textLine
	var line []word
	used := 0.0
	flush := func() {
		if len(line) > 0 {
			lines = append(lines, t.place(line, size))
			line, used = nil, 0
		}
	}
	for _, w := range words(ready) {
		ww := t.wordWidth(w, size)
		if ww > width {
			parts, err := t.cut(w, size, width)
			if err != nil {
				return nil, err
			}
			flush()
			for _, p := range parts[:len(parts)-1] {
				line = []word{p}
				flush()
			}
			w = parts[len(parts)-1]
			ww = t.wordWidth(w, size)
		}
		space := 0.0
		if len(line) > 0 {
			last := line[len(line)-1]
			space = t.space(last[len(last)-1].face, size)
		}
		if len(line) > 0 && used+space+ww > width {
			flush()
			space = 0
		}
		line = append(line, w)
		used += space + ww
	}
	flush()
	return lines, nil
}

func (t setter) space(f Face, size float64) float64 {
	return t.style.width(f, " ", size) + t.style.WordSpace*size/pointsPerMM
}

// cut breaks a word that is wider than the width into parts that fit.
func (t setter) cut(w word, size, width float64) ([]word, error) {
	parts := []word{nil}
	used := 0.0
	for _, p := range w {
		var text strings.Builder
		for _, r := range p.text {
			rw := t.style.width(p.face, string(r), size)
			if rw > width {
				return nil, &FitError{Owner: t.owner, What: "the letter " + string(r), Needs: rw, Room: width}
			}
			if used+rw > width {
				if text.Len() > 0 {
					parts[len(parts)-1] = append(parts[len(parts)-1], piece{text.String(), p.face})
					text.Reset()
				}
				parts = append(parts, nil)
				used = 0
			}
			text.WriteRune(r)
			used += rw
		}
		if text.Len() > 0 {
			parts[len(parts)-1] = append(parts[len(parts)-1], piece{text.String(), p.face})
		}
	}
	return parts, nil
}

// place turns the words of a line into runs. Words in one face share a run unless words stand wider apart than
// the space does by itself; spaces stay in the text so that it can be copied and read aloud.
func (t setter) place(line []word, size float64) textLine {
	var out textLine
	x := 0.0
	for i, w := range line {
		for j, p := range w {
			text := p.text
			if j == len(w)-1 && i < len(line)-1 {
				text += " "
			}
			n := len(out.runs)
			if n > 0 && out.runs[n-1].face == p.face && (t.style.WordSpace == 0 || j > 0) {
				out.runs[n-1].text += text
			} else {
				out.runs = append(out.runs, run{text, p.face, x})
			}
			x += t.style.width(p.face, text, size)
		}
		if i < len(line)-1 {
			x += t.style.WordSpace * size / pointsPerMM
		}
	}
	out.width = x
	return out
}

// items returns the line's text with the baseline at y, aligned in the box from x to x+width.
func (t setter) items(l textLine, size, x, y, width float64, a Align, tone Tone, class string) []Item {
	switch a {
	case Centred:
		x += (width - l.width) / 2
	case Right:
		x += width - l.width
	}
	out := make([]Item, len(l.runs))
	for i, r := range l.runs {
		out[i] = Text{At: Point{x + r.x, y}, Text: r.text, Face: r.face, Size: size, Tracking: t.style.Tracking * size, Tone: tone, Class: class}
	}
	return out
}

// baseline returns the distance of the baseline from the top of a line at the size.
func (t setter) baseline(size float64) float64 {
	up, down := Regular.Ascent(size), Regular.Descent(size)
	return (t.style.lineHeight(size)-up-down)/2 + up
}

// paragraph returns the wrapped lines as items from the top y = 0, and their height.
func (t setter) paragraph(spans []Span, size, width float64, a Align, tone Tone, class string) ([]Item, float64, error) {
	lines, err := t.wrap(spans, size, width)
	if err != nil {
		return nil, 0, err
	}
	var items []Item
	h := t.style.lineHeight(size)
	for i, l := range lines {
		items = append(items, t.items(l, size, 0, float64(i)*h+t.baseline(size), width, a, tone, class)...)
	}
	return items, float64(len(lines)) * h, nil
}
