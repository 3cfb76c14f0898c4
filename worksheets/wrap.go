package worksheets

import (
	"slices"
	"strings"
	"unicode/utf8"
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

// joint is how a piece stands to the one before it.
type joint uint8

const (
	apart  joint = iota // a space lies between
	glued               // they are one word
	broken              // a line ends between
)

// piece is part of a word in one face: a stretch of the text of a span.
type piece struct {
	span, from, to int
	joint          joint
	units, runes   int // its width in thousandths of the size, and its length
}

// pieces splits the spans at spaces, into the list given. A no-break space does not split.
func pieces(out []piece, spans []Span) []piece {
	next := apart
	for i, s := range spans {
		face := s.Face.slimmed()
		for from := 0; from <= len(s.Text); {
			to := len(s.Text)
			if at := strings.IndexByte(s.Text[from:], ' '); at >= 0 {
				to = from + at
			}
			if to > from {
				units, runes := face.measure(s.Text[from:to])
				out = append(out, piece{i, from, to, next, units, runes})
				next = glued
			}
			if to < len(s.Text) {
				next = apart
			}
			from = to + 1
		}
	}
	return out
}

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

// setter sets text for one sheet: it checks, composes and wraps.
type setter struct {
	style Style
	owner string
	room  float64 // height of a page's body in millimetres
	// scratch is what wrap works in, so that a paragraph needs no list of its own.
	scratch *[]piece
}

func newSetter(s Sheet) setter {
	return setter{style: s.Style, owner: s.Owner, scratch: new([]piece)}
}

// advance returns the width of so many units and runes at a size in points with the style's tracking.
func (t setter) advance(units, runes int, size float64) float64 {
	return advance(units, runes, size, t.style.Tracking*size)
}

func (t setter) wordWidth(w []piece, size float64) float64 {
	sum := 0.0
	for _, p := range w {
		sum += t.advance(p.units, p.runes, size)
	}
	return sum
}

// prepare returns the text with accents composed, or an error when it has a rune that cannot be printed.
func (t setter) prepare(text string) (string, error) { return compose(t.owner, text) }

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
	spaces := [2]float64{Regular: t.space(Regular, size), Bold: t.space(Bold, size)}
	ps := pieces((*t.scratch)[:0], ready)
	*t.scratch = ps
	var lines []textLine
	first, used := 0, 0.0 // of the line
	for i := 0; i < len(ps); {
		end := i + 1
		for end < len(ps) && ps[end].joint == glued {
			end++
		}
		ww := t.wordWidth(ps[i:end], size)
		if ww > width && ps[i].joint != broken {
			parts, err := t.cut(ready, ps[i:end], size, width)
			if err != nil {
				return nil, err
			}
			ps = slices.Concat(ps[:i], parts, ps[end:])
			continue
		}
		space := 0.0
		if i > first {
			space = spaces[ready[ps[i-1].span].Face]
		}
		if i > first && (ps[i].joint == broken || used+space+ww > width) {
			lines = append(lines, t.place(ready, ps[first:i], size))
			first, used, space = i, 0, 0
		}
		used += space + ww
		i = end
	}
	if len(ps) > first {
		lines = append(lines, t.place(ready, ps[first:], size))
	}
	return lines, nil
}

func (t setter) space(f Face, size float64) float64 {
	return t.style.width(f, " ", size) + t.style.WordSpace*size/pointsPerMM
}

// cut breaks a word that is wider than the width into parts that fit, each on a line of its own as far as it is full.
func (t setter) cut(spans []Span, w []piece, size, width float64) ([]piece, error) {
	var out []piece
	used := 0.0
	next := broken
	for _, p := range w {
		text, face := spans[p.span].Text[p.from:p.to], spans[p.span].Face
		part := piece{span: p.span, from: p.from, to: p.from, joint: next}
		for i, r := range text {
			units, runes := face.measure(string(r))
			rw := t.advance(units, runes, size)
			if rw > width {
				return nil, &FitError{Owner: t.owner, What: "the letter " + string(r), Needs: rw, Room: width}
			}
			if used+rw > width {
				if part.runes > 0 {
					out = append(out, part)
				}
				part = piece{span: p.span, from: p.from + i, joint: broken}
				used = 0
			}
			part.to = p.from + i + utf8.RuneLen(r)
			part.units += units
			part.runes += runes
			used += rw
		}
		out = append(out, part)
		next = glued
	}
	return out, nil
}

// place turns the pieces of a line into runs. Words in one face share a run unless words stand wider apart than
// the space does by itself; spaces stay in the text so that it can be copied and read aloud.
func (t setter) place(spans []Span, line []piece, size float64) textLine {
	var out textLine
	x := 0.0
	source, begin, reach := -1, 0, 0 // the run is this stretch of a span, as long as it is one
	for i, p := range line {
		span := spans[p.span]
		text, to := span.Text[p.from:p.to], p.to
		units, runes := p.units, p.runes
		ends := i+1 < len(line) && line[i+1].joint != glued // a word, with a space behind it
		if ends {
			u, n := span.Face.measure(" ")
			units, runes = units+u, runes+n
			if to < len(span.Text) {
				to++
				text = span.Text[p.from:to]
			} else {
				text += " "
				to = -1 // not in the span
			}
		}
		n := len(out.runs)
		switch {
		case n == 0 || out.runs[n-1].face != span.Face || t.style.WordSpace != 0 && p.joint != glued:
			out.runs = append(out.runs, run{text, span.Face, x})
			source, begin, reach = p.span, p.from, to
		case source == p.span && reach == p.from && to > 0:
			out.runs[n-1].text, reach = span.Text[begin:to], to
		default:
			out.runs[n-1].text += text
			source = -1
		}
		x += t.advance(units, runes, size)
		if ends {
			x += t.style.WordSpace * size / pointsPerMM
		}
	}
	out.width = x
	return out
}

// items returns the line's text with the baseline at y, aligned in the box from x to x+width.
func (t setter) items(to []placed, l textLine, size, x, y, width float64, a Align, tone Tone, class string) []placed {
	switch a {
	case Centred:
		x += (width - l.width) / 2
	case Right:
		x += width - l.width
	}
	for _, r := range l.runs {
		to = append(to, placed{item: Text{At: Point{x + r.x, y}, Text: r.text, Face: r.face, Size: size, Tracking: t.style.Tracking * size, Tone: tone, Class: class}})
	}
	return to
}

// baseline returns the distance of the baseline from the top of a line at the size.
func (t setter) baseline(size float64) float64 {
	up, down := Regular.Ascent(size), Regular.Descent(size)
	return (t.style.lineHeight(size)-up-down)/2 + up
}

// paragraph returns the wrapped lines as items from the top y = 0, and their height.
func (t setter) paragraph(spans []Span, size, width float64, a Align, tone Tone, class string) ([]placed, float64, error) {
	lines, err := t.wrap(spans, size, width)
	if err != nil {
		return nil, 0, err
	}
	items := make([]placed, 0, len(lines))
	h := t.style.lineHeight(size)
	for i, l := range lines {
		items = t.items(items, l, size, 0, float64(i)*h+t.baseline(size), width, a, tone, class)
	}
	return items, float64(len(lines)) * h, nil
}
