package worksheets

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/signintech/gopdf"
)

// Write writes the document as a PDF. The same document gives the same bytes in one build of the program, from any
// goroutine. It returns the writer's error, ErrEmpty for a document without pages or with a blank page, and a
// *TextError for text that cannot be printed. Documents of more than about 100 learners are better split:
// memory grows with the pages.
//
// The PDF has text in reading order, a language and a title, but no tags: it is not an accessible PDF in the
// sense of PDF/UA.
func Write(w io.Writer, doc Document) error {
	used, err := checkDocument(doc)
	if err != nil {
		return err
	}
	p, err := newPainter(doc, used)
	if err != nil {
		return err
	}
	for _, page := range doc.Pages {
		if err := p.page(page); err != nil {
			return err
		}
	}
	var made bytes.Buffer
	if _, err := p.pdf.WriteTo(&made); err != nil { // once and only once: a second time would double the pages
		return fmt.Errorf("make pdf: %w", err)
	}
	return writeMade(w, made.Bytes(), doc)
}

// checkDocument refuses what the writer would print wrongly or blank, and returns the runes used in each face.
func checkDocument(doc Document) ([2][]rune, error) {
	var used [2][]rune
	if len(doc.Pages) == 0 {
		return used, fmt.Errorf("document %q: %w", doc.Title, ErrEmpty)
	}
	var seen [2][1 << 16]bool // runes above are refused
	var err error
	for i, page := range doc.Pages {
		if len(page.Items) == 0 {
			return used, fmt.Errorf("document %q, page %d: %w", doc.Title, i+1, ErrEmpty)
		}
		walk(page.Items, func(it Item) {
			if _, group := it.(Group); group { // its parts are looked at
				return
			}
			b := it.Bounds()
			if sum := b.X + b.Y + b.W + b.H; err == nil && (math.IsNaN(sum) || math.IsInf(sum, 0)) {
				err = fmt.Errorf("document %q, page %d: item %q has no finite place", doc.Title, i+1, it.class())
			}
			t, ok := it.(Text)
			if !ok || err != nil {
				return
			}
			face := t.Face.slimmed()
			for _, r := range t.Text {
				if _, printable := face.width(r); !printable {
					err = CheckText(fmt.Sprintf("document %q, page %d", doc.Title, i+1), t.Text)
					if err == nil { // printable once composed
						err = &TextError{Owner: fmt.Sprintf("document %q, page %d", doc.Title, i+1), Text: t.Text, Rune: r, Reason: "letters and accents are not composed"}
					}
					return
				}
				seen[t.Face][r] = true
			}
		})
		if err != nil {
			return used, err
		}
	}
	for f := range seen {
		for r, is := range seen[f] {
			if is {
				used[f] = append(used[f], rune(r))
			}
		}
	}
	return used, nil
}

// painter draws pages with gopdf, in points. It keeps gopdf's graphics state in step with the page's: gopdf
// remembers the colours and widths of the page before while the new page begins with the defaults.
type painter struct {
	pdf    *gopdf.GoPdf
	family [2]string
	theme  Theme
	state  paint
	lost   rune // a rune that gopdf did not find
}

// paint is the graphics state of a page.
type paint struct {
	fill, stroke, width float64
	dash                Dash
	phase               float64
}

// initial is the state a page begins with, by ISO 32000: black, one point wide, solid.
var initial = paint{width: 1}

func newPainter(doc Document, used [2][]rune) (*painter, error) {
	p := &painter{pdf: &gopdf.GoPdf{}}
	first := doc.Pages[0].Paper
	p.pdf.Start(gopdf.Config{Unit: gopdf.UnitPT, PageSize: gopdf.Rect{W: first.Width * pointsPerMM, H: first.Height * pointsPerMM}})
	p.pdf.SetNoCompression() // writeMade deflates
	for _, f := range []Face{Regular, Bold} {
		if len(used[f]) == 0 {
			continue // a font that is added and not used gets a bad character map
		}
		p.family[f] = subsetTag(used[f]) + "+" + f.slimmed().baseName
		option := gopdf.TtfOption{OnGlyphNotFound: func(r rune) { p.lost = r }}
		if err := p.pdf.AddTTFFontDataWithOption(p.family[f], f.TTF(), option); err != nil {
			return nil, fmt.Errorf("add font: %w", err)
		}
	}
	return p, nil
}

// subsetTag returns six capitals that depend on the runes, so that subsets which differ are named differently
// and printers do not mix them up after merging.
func subsetTag(runes []rune) string {
	sum := sha256.Sum256([]byte(string(runes)))
	tag := make([]byte, 6)
	for i := range tag {
		tag[i] = 'A' + sum[i]%26
	}
	return string(tag)
}

func (p *painter) page(page Page) error {
	p.pdf.AddPageWithOption(gopdf.PageOption{PageSize: &gopdf.Rect{W: page.Paper.Width * pointsPerMM, H: page.Paper.Height * pointsPerMM}})
	p.state, p.theme = initial, page.Theme
	return p.items(page.Items)
}

func (p *painter) items(items []Item) error {
	for _, it := range items {
		if err := p.item(it); err != nil {
			return err
		}
	}
	return nil
}

func (p *painter) item(it Item) error {
	switch it := it.(type) {
	case Text:
		return p.text(it)
	case Line:
		p.lines([]Point{it.A, it.B}, it.Stroke)
	case Polyline:
		p.lines(it.Points, it.Stroke)
	case Polygon:
		p.area(it.Points, it.Fill, it.Stroke)
	case Rect:
		if style := p.paint(it.Fill, it.Stroke); style != "" {
			p.rect(it.Box, style)
		}
	case Circle:
		if it.Fill != NoTone {
			const corners = 72
			points := make([]Point, corners)
			for i := range points {
				points[i] = it.Centre.Polar(it.Radius, float64(i)*360/corners)
			}
			p.area(points, it.Fill, Stroke{})
		}
		p.arc(Arc{Centre: it.Centre, Radius: it.Radius, To: 360, Stroke: it.Stroke})
	case Arc:
		p.arc(it)
	case QR:
		rects, err := it.rects()
		if err != nil {
			return err
		}
		p.fill(Ink)
		for _, r := range rects {
			p.rect(r, "F")
		}
	case Group:
		return p.items(it.Items)
	default:
		return fmt.Errorf("item %T cannot be printed", it)
	}
	return nil
}

func (p *painter) text(t Text) error {
	if t.Text == "" {
		return nil
	}
	tone := t.Tone
	if tone == NoTone {
		tone = Ink
	}
	p.fill(tone)
	if err := p.pdf.SetFont(p.family[t.Face], "", t.Size); err != nil {
		return fmt.Errorf("set font: %w", err)
	}
	if err := p.pdf.SetCharSpacing(t.Tracking); err != nil {
		return fmt.Errorf("set tracking: %w", err)
	}
	at := t.At
	before := p.state
	if t.Rotate != 0 {
		p.pdf.Rotate(t.Rotate, at.X*pointsPerMM, at.Y*pointsPerMM)
	}
	switch t.Anchor {
	case Middle:
		at.X -= t.Width() / 2
	case End:
		at.X -= t.Width()
	}
	p.pdf.SetXY(at.X*pointsPerMM, at.Y*pointsPerMM)
	if err := p.pdf.Text(t.Text); err != nil {
		return fmt.Errorf("set text %q: %w", t.Text, err)
	}
	if t.Rotate != 0 {
		p.pdf.RotateReset()
		p.state = before // the end of the rotation restores it
	}
	if p.lost != 0 {
		return &TextError{Owner: "page", Text: t.Text, Rune: p.lost, Reason: "the sheet's font has no such character"}
	}
	return nil
}

// fill sets the grey of text and areas. Text is never given a colour of its own: gopdf would leave that colour
// behind for the areas that follow.
func (p *painter) fill(t Tone) {
	if g := p.theme.grey(t); g != p.state.fill {
		p.pdf.SetGrayFill(g)
		p.state.fill = g
	}
}

// stroke sets the pen and reports whether anything is to be drawn.
func (p *painter) stroke(s Stroke, phase float64) bool {
	if s.Width <= 0 || s.Tone == NoTone {
		return false
	}
	if g := p.theme.grey(s.Tone); g != p.state.stroke {
		p.pdf.SetGrayStroke(g)
		p.state.stroke = g
	}
	if w := p.theme.width(s.Width) * pointsPerMM; w != p.state.width {
		p.pdf.SetLineWidth(w)
		p.state.width = w
	}
	if s.Dash == Solid {
		phase = 0
	}
	if s.Dash != p.state.dash || phase != p.state.phase {
		// gopdf keeps the slice and scales it in place, so it gets a fresh one, in points.
		pattern := []float64{}
		for _, d := range dashLengths[s.Dash] {
			pattern = append(pattern, d*pointsPerMM)
		}
		p.pdf.SetCustomLineType(pattern, phase*pointsPerMM)
		p.state.dash, p.state.phase = s.Dash, phase
	}
	return true
}

// lines draws an open line. gopdf closes every path of several points, so a solid line runs forth and back,
// which keeps its corners clean; a dashed one is drawn piece by piece with the pattern carried on.
func (p *painter) lines(points []Point, s Stroke) {
	if len(points) < 2 || !p.stroke(s, 0) {
		return
	}
	if len(points) > 2 && s.Dash == Solid {
		path := slices.Clone(points)
		for i := len(points) - 2; i > 0; i-- {
			path = append(path, points[i])
		}
		p.pdf.Polygon(inPoints(path), "D")
		return
	}
	done := 0.0
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		p.stroke(s, math.Mod(done, period(s.Dash)))
		p.pdf.Line(a.X*pointsPerMM, a.Y*pointsPerMM, b.X*pointsPerMM, b.Y*pointsPerMM)
		done += a.Distance(b)
	}
}

// period returns the length of the dash pattern in millimetres, and 1 for a solid line.
func period(d Dash) float64 {
	if d == Solid {
		return 1
	}
	sum := 0.0
	for _, l := range dashLengths[d] {
		sum += l
	}
	return sum
}

func (p *painter) area(points []Point, fill Tone, s Stroke) {
	if len(points) < 2 {
		return
	}
	if style := p.paint(fill, s); style != "" {
		p.pdf.Polygon(inPoints(points), style)
	}
}

func (p *painter) rect(b Box, style string) {
	p.pdf.RectFromUpperLeftWithStyle(b.X*pointsPerMM, b.Y*pointsPerMM, b.W*pointsPerMM, b.H*pointsPerMM, style)
}

// paint sets the grey and the pen of an area and returns the style that gopdf knows it by; empty paints nothing.
func (p *painter) paint(fill Tone, s Stroke) string {
	style := ""
	if fill != NoTone {
		p.fill(fill)
		style = "F"
	}
	if p.stroke(s, 0) {
		style += "D"
	}
	return style
}

// arc draws an arc as Bézier curves of at most 45 degrees each, where their error is 4 millionths of the radius.
func (p *painter) arc(a Arc) {
	if !p.stroke(a.Stroke, 0) {
		return
	}
	n := max(1, int(math.Ceil(math.Abs(a.To-a.From)/45-1e-9)))
	step := (a.To - a.From) / float64(n)
	pull := 4.0 / 3 * math.Tan(step*math.Pi/180/4) * a.Radius
	for i := range n {
		d0 := a.From + float64(i)*step
		d1 := d0 + step
		p0, p3 := a.Centre.Polar(a.Radius, d0), a.Centre.Polar(a.Radius, d1)
		p1, p2 := p0.Polar(pull, d0+90), p3.Polar(-pull, d1+90)
		arc := math.Abs(float64(i)*step) * math.Pi / 180 * a.Radius
		p.stroke(a.Stroke, math.Mod(arc, period(a.Stroke.Dash)))
		pts := inPoints([]Point{p0, p1, p2, p3})
		p.pdf.Curve(pts[0].X, pts[0].Y, pts[1].X, pts[1].Y, pts[2].X, pts[2].Y, pts[3].X, pts[3].Y, "D")
	}
}

func inPoints(ps []Point) []gopdf.Point {
	out := make([]gopdf.Point, len(ps))
	for i, q := range ps {
		out[i] = gopdf.Point{X: q.X * pointsPerMM, Y: q.Y * pointsPerMM}
	}
	return out
}
