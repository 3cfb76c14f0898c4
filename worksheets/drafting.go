package worksheets

import (
	"fmt"
	"math"
	"strconv"
	"unicode"
	"unicode/utf8"
)

// Sizes of arrowheads and dimension lines in millimetres. A closed, filled arrowhead about three times as long as
// wide; extension lines that run a little past the dimension line: common practice after ISO 129-1.
const (
	arrowLength = 2.6
	arrowWidth  = 0.9
	extension   = 1.2
	drawingText = 9.0 // points, when a drawing's spec gives no size
)

// textSize returns the size to letter a drawing in.
func textSize(size float64) float64 {
	if size <= 0 {
		return drawingText
	}
	return size
}

// inRange returns an error that names the quantity unless lo <= v <= hi; it also catches what is not a number.
func inRange(name string, v, lo, hi float64) error {
	if v >= lo && v <= hi {
		return nil
	}
	return fmt.Errorf("%s %v is not between %v and %v", name, v, lo, hi)
}

// scales are the scales a drawing may have, largest first; they are the steps of ISO 5455 with more between them.
var scales = []float64{50, 40, 30, 25, 20, 15, 10, 8, 6, 5, 4, 3, 2.5, 2, 1.5, 1, 1 / 1.5, 0.5, 0.4, 1.0 / 3, 0.25, 0.2, 0.15, 0.1, 0.05, 0.02, 0.01}

// fitScale returns the largest scale at which w by h millimetres of the real thing fit the room on paper, and
// false when none does.
func fitScale(w, h, roomW, roomH float64) (float64, bool) {
	for _, s := range scales {
		if w*s <= roomW && h*s <= roomH {
			return s, true
		}
	}
	return 0, false
}

// scaleText returns the scale as it is written on a drawing, such as "scale 5 : 1".
func scaleText(s float64) string {
	if s >= 1 {
		return "scale " + plain(s) + " : 1"
	}
	return "scale 1 : " + plain(1/s)
}

// plain returns v with up to four decimals and no trailing zeros.
func plain(v float64) string {
	v = math.Round(v*1e4) / 1e4
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// arrowhead returns a filled arrowhead with its tip at p, pointing to degrees.
func arrowhead(p Point, degrees float64) Polygon {
	back := p.Polar(-arrowLength, degrees)
	return Polygon{Points: []Point{p, back.Polar(arrowWidth/2, degrees+90), back.Polar(-arrowWidth/2, degrees+90)}, Fill: Ink, Class: "arrow"}
}

// label returns a line of text with the paper cleared below it.
func label(t Text) []Item {
	b := t.Bounds()
	if t.Rotate == 0 {
		trim := 0.12 * b.H // ascent and descent leave more room than the letters need
		b.Y, b.H = b.Y+trim, b.H-2*trim
	} else {
		trim := 0.12 * b.W
		b.X, b.W = b.X+trim, b.W-2*trim
	}
	return []Item{Rect{Box: b, Fill: White}, t}
}

// dimension returns a dimension line from a to b, both already on it, with arrowheads and the label above the
// line as one reads it from below or from the right. fromA and fromB are the points on the part that it
// measures. Short dimensions have their arrows outside and their label past b. The line itself has the class,
// so that its length can be read back.
func dimension(class, text string, a, b, fromA, fromB Point, size float64) Group {
	g := Group{Class: "dimension"}
	length := a.Distance(b)
	degrees := math.Atan2(a.Y-b.Y, b.X-a.X) * 180 / math.Pi
	for _, e := range [][2]Point{{fromA, a}, {fromB, b}} {
		if gap := e[0].Distance(e[1]); gap > 0.3 {
			beyond := math.Atan2(e[0].Y-e[1].Y, e[1].X-e[0].X) * 180 / math.Pi
			g.add(Line{A: e[0].Polar(min(0.8, gap/2), beyond), B: e[1].Polar(extension, beyond), Stroke: Fine, Class: "extension"})
		}
	}
	g.add(Line{A: a, B: b, Stroke: Fine, Class: class})
	inside := length >= 3*arrowLength
	if inside {
		g.add(arrowhead(a, degrees+180), arrowhead(b, degrees))
	} else {
		g.add(arrowhead(a, degrees), arrowhead(b, degrees+180),
			Line{A: a, B: a.Polar(-2*arrowLength, degrees), Stroke: Fine}, Line{A: b, B: b.Polar(2*arrowLength, degrees), Stroke: Fine})
	}
	if text == "" {
		return g
	}
	t := Text{Text: text, Size: size, Class: class + ":text"}
	// Text runs to the right or upwards.
	t.Rotate = math.Mod(degrees+360, 180)
	if t.Rotate > 90.01 {
		t.Rotate -= 180
	}
	along := t.Width()
	lift := Regular.Descent(size) + 0.3
	if inside && along <= length-1 {
		mid := Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2}
		t.At = mid.Polar(lift, t.Rotate+90)
		t.Anchor = Middle
		g.add(t)
		return g
	}
	start := 1.0
	if !inside {
		start += 2*arrowLength + 0.5
	}
	end, way := b, degrees
	if math.Abs(degrees-t.Rotate) > 1 { // b is where reading begins, so go on from there backwards
		t.Anchor = End
	}
	t.At = end.Polar(start, way).Polar(-Regular.CapHeight(size)/2, t.Rotate+90)
	g.add(t)
	return g
}

// angleDimension returns an arc with arrowheads from one angle to another about the vertex, with its label beside
// the middle of the arc. The arc has the class.
func angleDimension(class, text string, vertex Point, radius, from, to, size float64) Group {
	g := Group{Class: "dimension"}
	g.add(Arc{Centre: vertex, Radius: radius, From: from, To: to, Stroke: Fine, Class: class})
	turn := 1.0
	if to < from {
		turn = -1
	}
	// An arrowhead on an arc follows the chord of its own length.
	lean := math.Asin(min(1, arrowLength/2/radius)) * 180 / math.Pi
	if math.Abs(to-from)*math.Pi/180*radius >= 2.5*arrowLength {
		g.add(arrowhead(vertex.Polar(radius, from), from-turn*90+turn*lean), arrowhead(vertex.Polar(radius, to), to+turn*90-turn*lean))
	} else {
		g.add(arrowhead(vertex.Polar(radius, from), from+turn*90-turn*lean), arrowhead(vertex.Polar(radius, to), to-turn*90+turn*lean))
	}
	if text == "" {
		return g
	}
	t := Text{Text: text, Size: size, Anchor: Middle, Class: class + ":text"}
	mid := (from + to) / 2
	away := 1.8 + math.Abs(math.Cos(mid*math.Pi/180))*t.Width()/2 + math.Abs(math.Sin(mid*math.Pi/180))*Regular.CapHeight(size)/2
	c := vertex.Polar(radius+away, mid)
	t.At = Point{c.X, c.Y + Regular.CapHeight(size)/2}
	g.add(label(t)...)
	return g
}

// degreesOf returns the direction from a to b in degrees counter-clockwise on the page.
func degreesOf(a, b Point) float64 { return math.Atan2(a.Y-b.Y, b.X-a.X) * 180 / math.Pi }

// capitalized returns s with its first letter as a capital.
func capitalized(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}
