package worksheets

import (
	"math"
)

// Point is a place on the page in millimetres from its top left corner, y down.
type Point struct{ X, Y float64 }

// Polar returns the point r away from p at degrees, counted counter-clockwise from the direction of x as one
// looks at the page.
func (p Point) Polar(r, degrees float64) Point {
	s, c := math.Sincos(degrees * math.Pi / 180)
	return Point{p.X + r*c, p.Y - r*s}
}

// Distance returns the distance from p to q in millimetres.
func (p Point) Distance(q Point) float64 { return math.Hypot(q.X-p.X, q.Y-p.Y) }

// Box is an upright rectangle in millimetres; X, Y is its top left corner.
type Box struct{ X, Y, W, H float64 }

// Inset returns the box made smaller by d on each side.
func (b Box) Inset(d float64) Box { return Box{b.X + d, b.Y + d, b.W - 2*d, b.H - 2*d} }

// Contains reports whether c lies in b, give or take a hundredth of a millimetre.
func (b Box) Contains(c Box) bool {
	const slack = 0.01
	return c.X >= b.X-slack && c.Y >= b.Y-slack && c.X+c.W <= b.X+b.W+slack && c.Y+c.H <= b.Y+b.H+slack
}

// Overlaps reports whether the two boxes share more than a hundredth of a millimetre both ways.
func (b Box) Overlaps(c Box) bool {
	const slack = 0.01
	return min(b.X+b.W, c.X+c.W)-max(b.X, c.X) > slack && min(b.Y+b.H, c.Y+c.H)-max(b.Y, c.Y) > slack
}

func (b Box) union(c Box) Box {
	x, y := min(b.X, c.X), min(b.Y, c.Y)
	return Box{x, y, max(b.X+b.W, c.X+c.W) - x, max(b.Y+b.H, c.Y+c.H) - y}
}

func boundsOf(points ...Point) Box {
	if len(points) == 0 {
		return Box{}
	}
	b := Box{points[0].X, points[0].Y, 0, 0}
	for _, p := range points[1:] {
		b = b.union(Box{p.X, p.Y, 0, 0})
	}
	return b
}

// Tone says what a mark is for; the theme turns it into a grey. Nothing is told by tone alone.
type Tone uint8

// The tones, from none to the paper's white.
const (
	NoTone Tone = iota // not painted; for text the same as Ink
	Ink                // text and visible edges
	Muted              // dimensions, notes
	Shade              // a quiet fill behind text
	Ghost              // a watermark
	White              // the paper, to clear what lies below
)

// Dash is the pattern of a line.
type Dash uint8

// The patterns in use; lengths are in dashLengths.
const (
	Solid  Dash = iota
	Dashed      // hidden edges
	Chain       // centre lines: long dash, dot
	Dotted      // help lines and lines to write on
)

// dashLengths are dash and gap in millimetres. The order of strokes is that of ISO 128-2; the lengths are
// shorter than its multiples of the line width so that a small drawing still shows a whole period.
var dashLengths = map[Dash][]float64{
	Dashed: {2, 0.8},
	Chain:  {4, 0.8, 0.5, 0.8},
	Dotted: {0.4, 0.9},
}

// Line widths in millimetres: two in the ratio 2 to 1 as technical drawings use them, and a faint one for rules.
const (
	Thick = 0.5
	Thin  = 0.25
	Faint = 0.15
)

// Stroke is how an edge is drawn; the zero value draws nothing.
type Stroke struct {
	Width float64 // millimetres
	Tone  Tone
	Dash  Dash
}

// Edge, Fine and Centre are the strokes of a drawing: visible edges, dimension and other thin lines, centre lines.
var (
	Edge   = Stroke{Width: Thick, Tone: Ink}
	Fine   = Stroke{Width: Thin, Tone: Ink}
	Centre = Stroke{Width: Thin, Tone: Ink, Dash: Chain}
	Hidden = Stroke{Width: Thin, Tone: Ink, Dash: Dashed}
)

// Anchor says which point of a text its place is.
type Anchor uint8

// The anchors, all on the baseline.
const (
	Start Anchor = iota
	Middle
	End
)

// Item is a mark on the page: Text, Line, Polyline, Polygon, Rect, Circle, Arc, QR or Group. Items are plain
// values: equal items print alike. The class names what the item shows, such as "dim:pitch", so that a
// test can read the drawing back.
type Item interface {
	// Bounds returns the box that the item covers, without the width of its line.
	Bounds() Box
	class() string
	moved(dx, dy float64) Item
}

// Text is one line of text.
type Text struct {
	At       Point // the anchor, on the baseline
	Text     string
	Size     float64 // points
	Tracking float64 // extra points after each rune
	Rotate   float64 // degrees counter-clockwise about At
	Face     Face
	Anchor   Anchor
	Tone     Tone
	Class    string
}

// Line is a straight line from A to B.
type Line struct {
	A, B   Point
	Stroke Stroke
	Class  string
}

// Length returns the length of the line in millimetres on the paper.
func (l Line) Length() float64 { return l.A.Distance(l.B) }

// Polyline is an open line through the points.
type Polyline struct {
	Points []Point
	Stroke Stroke
	Class  string
}

// Polygon is a closed outline through the points, filled, edged or both.
type Polygon struct {
	Points []Point
	Stroke Stroke
	Fill   Tone
	Class  string
}

// Rect is an upright rectangle.
type Rect struct {
	Box    Box
	Stroke Stroke
	Fill   Tone
	Class  string
}

// Circle is a full circle.
type Circle struct {
	Centre Point
	Radius float64
	Stroke Stroke
	Fill   Tone
	Class  string
}

// Arc is part of a circle from one angle to another, in degrees counter-clockwise from the direction of x; it runs
// clockwise when To is less than From.
type Arc struct {
	Centre   Point
	Radius   float64
	From, To float64
	Stroke   Stroke
	Class    string
}

// QR is a QR code; At is the top left corner of the symbol, around which a quiet zone is part of its bounds.
type QR struct {
	At    Point
	Side  float64 // of the symbol without its quiet zone, millimetres
	Text  string
	Class string
}

// Group is a drawing or a part of one.
type Group struct {
	Class string
	Title string  // short name, for those who cannot see the drawing
	Desc  string  // what the drawing shows, with its numbers
	Scale float64 // millimetres on paper per millimetre of the real thing; 0 when the drawing is not to scale
	Items []Item
}

func (t Text) class() string     { return t.Class }
func (l Line) class() string     { return l.Class }
func (p Polyline) class() string { return p.Class }
func (p Polygon) class() string  { return p.Class }
func (r Rect) class() string     { return r.Class }
func (c Circle) class() string   { return c.Class }
func (a Arc) class() string      { return a.Class }
func (q QR) class() string       { return q.Class }
func (g Group) class() string    { return g.Class }

// Width returns the width of the text in millimetres.
func (t Text) Width() float64 { return t.Face.Width(t.Text, t.Size, t.Tracking) }

// Bounds returns the box of the text from the face's ascent to its descent.
func (t Text) Bounds() Box {
	w := t.Width()
	x0 := 0.0
	switch t.Anchor {
	case Middle:
		x0 = -w / 2
	case End:
		x0 = -w
	}
	up, down := t.Face.Ascent(t.Size), t.Face.Descent(t.Size)
	s, c := math.Sincos(t.Rotate * math.Pi / 180)
	corner := func(x, y float64) Point { return Point{t.At.X + x*c + y*s, t.At.Y - x*s + y*c} }
	return boundsOf(corner(x0, -up), corner(x0+w, -up), corner(x0, down), corner(x0+w, down))
}

// Bounds returns the box of the line.
func (l Line) Bounds() Box { return boundsOf(l.A, l.B) }

// Bounds returns the box of the points.
func (p Polyline) Bounds() Box { return boundsOf(p.Points...) }

// Bounds returns the box of the points.
func (p Polygon) Bounds() Box { return boundsOf(p.Points...) }

// Bounds returns the rectangle.
func (r Rect) Bounds() Box { return r.Box }

// Bounds returns the box of the circle.
func (c Circle) Bounds() Box {
	return Box{c.Centre.X - c.Radius, c.Centre.Y - c.Radius, 2 * c.Radius, 2 * c.Radius}
}

// Bounds returns the box of the arc: its ends and the quadrant points it passes.
func (a Arc) Bounds() Box {
	lo, hi := min(a.From, a.To), max(a.From, a.To)
	points := []Point{a.Centre.Polar(a.Radius, lo), a.Centre.Polar(a.Radius, hi)}
	first := math.Ceil(lo / 90)
	for k := range 5 { // a full turn passes five quadrant points at most
		if d := (first + float64(k)) * 90; d <= hi {
			points = append(points, a.Centre.Polar(a.Radius, d))
		}
	}
	return boundsOf(points...)
}

// Bounds returns the box of all items; an empty group covers nothing.
func (g Group) Bounds() Box {
	var b Box
	for i, it := range g.Items {
		if i == 0 {
			b = it.Bounds()
		} else {
			b = b.union(it.Bounds())
		}
	}
	return b
}

func (p Point) moved(dx, dy float64) Point { return Point{p.X + dx, p.Y + dy} }

func movedPoints(ps []Point, dx, dy float64) []Point {
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = p.moved(dx, dy)
	}
	return out
}

func (t Text) moved(dx, dy float64) Item { t.At = t.At.moved(dx, dy); return t }
func (l Line) moved(dx, dy float64) Item {
	l.A, l.B = l.A.moved(dx, dy), l.B.moved(dx, dy)
	return l
}
func (p Polyline) moved(dx, dy float64) Item { p.Points = movedPoints(p.Points, dx, dy); return p }
func (p Polygon) moved(dx, dy float64) Item  { p.Points = movedPoints(p.Points, dx, dy); return p }
func (r Rect) moved(dx, dy float64) Item     { r.Box.X += dx; r.Box.Y += dy; return r }
func (c Circle) moved(dx, dy float64) Item   { c.Centre = c.Centre.moved(dx, dy); return c }
func (a Arc) moved(dx, dy float64) Item      { a.Centre = a.Centre.moved(dx, dy); return a }
func (q QR) moved(dx, dy float64) Item       { q.At = q.At.moved(dx, dy); return q }
func (g Group) moved(dx, dy float64) Item    { return g.Moved(dx, dy) }

// Moved returns a copy of the group moved by dx and dy millimetres.
func (g Group) Moved(dx, dy float64) Group {
	items := make([]Item, len(g.Items))
	for i, it := range g.Items {
		items[i] = it.moved(dx, dy)
	}
	g.Items = items
	return g
}

func (g *Group) add(items ...Item) { g.Items = append(g.Items, items...) }

// Find returns the items of the class in drawing order, those of inner groups too.
func (g Group) Find(class string) []Item {
	var out []Item
	walk(g.Items, func(it Item) {
		if it.class() == class {
			out = append(out, it)
		}
	})
	return out
}

// Measure returns the length on paper of the line of the class, and false when there is not exactly one.
func (g Group) Measure(class string) (float64, bool) {
	n, length := 0, 0.0
	for _, it := range g.Find(class) {
		if l, ok := it.(Line); ok {
			n, length = n+1, l.Length()
		}
	}
	return length, n == 1
}

// walk calls f for every item, a group before its parts.
func walk(items []Item, f func(Item)) {
	for _, it := range items {
		f(it)
		if g, ok := it.(Group); ok {
			walk(g.Items, f)
		}
	}
}
