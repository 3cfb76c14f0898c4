package worksheets

import (
	"fmt"
	"math"
	"strings"
)

// DialMark says what closing the half-nut at a line of the thread dial does.
type DialMark uint8

// The marks: always the same start, a start that changes from turn to turn, off every start at least sometimes,
// and a line at which the half-nut cannot close.
const (
	DialCatches DialMark = iota
	DialVaries
	DialOff
	DialNoClose
	// DialUnmarked leaves the mark out: the learner is to find it.
	DialUnmarked
)

// DialLine is a line of a thread dial.
type DialLine struct {
	Number string // as engraved
	Mark   DialMark
	Start  int // the start that DialCatches catches, counted from 1
}

// DialFaceSpec is the face of a thread dial.
type DialFaceSpec struct {
	Lines            []DialLine // in the order of their numbers, 1 to 32
	CounterClockwise bool       // the numbers run counter-clockwise
	Width            float64    // mm of paper with the marks
	Text             float64    // points; 0 is 9
	NoKey            bool       // leaves out the key to the marks
}

// DialFace returns the dial's face with a mark at each line. The marks differ in shape and letter as well as in
// tone: a filled disc with the start's number, a triangle with v for a start that varies, a ring with a
// cross for off, a square with a bar where the half-nut cannot close. The first line is at the top.
//
// Classes: "line:1" and so on for the lines, "catch:1", "varies:2", "off:3", "no-close:4" for the marks.
func DialFace(s DialFaceSpec) (Group, error) {
	if err := firstError(
		inRange("number of dial lines", float64(len(s.Lines)), 1, 32),
		inRange("width", s.Width, 40, 150),
	); err != nil {
		return Group{}, fmt.Errorf("thread dial: %w", err)
	}
	for _, l := range s.Lines {
		if l.Mark > DialUnmarked || l.Mark == DialCatches && l.Start < 1 {
			return Group{}, fmt.Errorf("thread dial: line %q has mark %d and start %d", l.Number, l.Mark, l.Start)
		}
	}
	size := textSize(s.Text)
	m := size / pointsPerMM * 0.85 // half the size of a mark
	ring := s.Width/2 - 1.4*m
	r := ring - m - 2
	if need := float64(len(s.Lines)) * m * 2.3 / (2 * math.Pi); ring < need || r < 12 {
		return Group{}, fmt.Errorf("thread dial: %w", &FitError{Owner: "drawing", What: "the ring of marks", Needs: 2 * (max(need, m+14) + 1.4*m), Room: s.Width})
	}
	turn := -1.0
	if s.CounterClockwise {
		turn = 1
	}
	centre := Point{}
	g := Group{Class: "dial", Title: fmt.Sprintf("Thread dial with %s", counted(len(s.Lines), "line"))}
	g.add(
		Circle{Centre: centre, Radius: r, Stroke: Edge, Class: "face"},
		Circle{Centre: centre, Radius: 1.2, Stroke: Fine, Class: "hub"},
		Line{A: Point{-r * 0.3, 0}, B: Point{r * 0.3, 0}, Stroke: Centre, Class: "centre-line"},
		Line{A: Point{0, -r * 0.3}, B: Point{0, r * 0.3}, Stroke: Centre, Class: "centre-line"},
	)
	var said []string
	seen := map[DialMark]bool{}
	for i, l := range s.Lines {
		a := 90 + turn*float64(i)*360/float64(len(s.Lines))
		g.add(Line{A: centre.Polar(r*0.78, a), B: centre.Polar(r, a), Stroke: Edge, Class: fmt.Sprintf("line:%d", i+1)})
		at := centre.Polar(r*0.78-0.8-Regular.CapHeight(size)*0.7, a)
		number := Text{At: Point{at.X, at.Y + Regular.CapHeight(size)/2}, Text: l.Number, Size: size, Anchor: Middle, Class: "number"}
		if len(s.Lines) <= 16 {
			g.add(number)
		}
		mark, says := l.mark(fmt.Sprintf(":%d", i+1), centre.Polar(ring, a), m, size)
		g.add(mark...)
		seen[l.Mark] = true
		said = append(said, fmt.Sprintf("line %s %s", l.Number, says))
	}
	g.Desc = strings.Join(said, "; ") + "."
	if !s.NoKey {
		g.add(s.key(seen, ring+m+3, m, size)...)
	}
	return g, nil
}

// mark returns the line's mark at p, its class ending in suffix, and what it says.
func (l DialLine) mark(suffix string, p Point, m, size float64) ([]Item, string) {
	letter := func(s string, tone Tone) Text {
		return Text{At: Point{p.X, p.Y + Regular.CapHeight(size)/2}, Text: s, Face: Bold, Size: size, Anchor: Middle, Tone: tone, Class: "letter"}
	}
	switch l.Mark {
	case DialCatches:
		return []Item{
			Circle{Centre: p, Radius: m, Fill: Ink, Class: "catch" + suffix}, letter(fmt.Sprint(l.Start), White),
		}, fmt.Sprintf("catches start %d", l.Start)
	case DialVaries:
		tri := []Point{p.Polar(1.4*m, 90), p.Polar(1.4*m, 210), p.Polar(1.4*m, 330)}
		return []Item{Polygon{Points: tri, Stroke: Fine, Fill: Shade, Class: "varies" + suffix}, letter("v", Ink)}, "catches a start that varies"
	case DialOff:
		d := m * 0.6
		return []Item{
			Circle{Centre: p, Radius: m, Stroke: Fine, Class: "off" + suffix},
			Line{A: Point{p.X - d, p.Y - d}, B: Point{p.X + d, p.Y + d}, Stroke: Fine},
			Line{A: Point{p.X - d, p.Y + d}, B: Point{p.X + d, p.Y - d}, Stroke: Fine},
		}, "can cut a false path"
	case DialUnmarked:
		return nil, "is not marked"
	default:
		d := m * 0.85
		return []Item{
			Rect{Box: Box{p.X - d, p.Y - d, 2 * d, 2 * d}, Stroke: Fine, Class: "no-close" + suffix},
			Line{A: Point{p.X - d*0.6, p.Y}, B: Point{p.X + d*0.6, p.Y}, Stroke: Edge},
		}, "does not let the half-nut close"
	}
}

// key returns the key to the marks in use, below the dial.
func (s DialFaceSpec) key(seen map[DialMark]bool, top, m, size float64) []Item {
	text := [...]string{
		DialCatches: "always the start of that number",
		DialVaries:  "a start, but it changes: do not use",
		DialOff:     "can cut a false path: do not use",
		DialNoClose: "the half-nut cannot close",
	}
	var out []Item
	x, y := -s.Width/2+1.4*m, top+m
	for mark, t := range text {
		if !seen[DialMark(mark)] {
			continue
		}
		items, _ := DialLine{Mark: DialMark(mark), Start: 1}.mark(":key", Point{x, y}, m, size)
		out = append(append(out, items...), Text{At: Point{x + 2*m, y + Regular.CapHeight(size)/2}, Text: t, Size: size, Class: "key"})
		y += 2.7 * m
	}
	return out
}
