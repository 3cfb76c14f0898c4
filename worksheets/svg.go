package worksheets

import (
	"fmt"
	"io"
	"strconv"
	"strings"
)

// SVG writes the drawing as an SVG element, valid alone in a file and inline in a page. It has presentation
// attributes only, no style attributes and no script, so it needs no exception in a content security policy.
// Every mark has the class of its tone (tone-ink, stroke-ink and so on) so that a page may recolour it.
// Texts are stretched to the width they have on paper, whatever font the browser finds.
func SVG(w io.Writer, g Group, theme Theme) error {
	var b strings.Builder
	const border = 1.0
	box := g.Bounds().Inset(-border)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="%smm" height="%smm" viewBox="%s %s %s %s"`,
		svgNum(box.W), svgNum(box.H), svgNum(box.X), svgNum(box.Y), svgNum(box.W), svgNum(box.H))
	svgClass(&b, "drawing", g.Class)
	b.WriteString(">")
	if err := svgTexts(&b, g); err != nil {
		return err
	}
	if err := svgItems(&b, g.Items, theme); err != nil {
		return err
	}
	b.WriteString("</svg>")
	_, err := io.WriteString(w, b.String())
	return err
}

// svgTexts writes title and description, each only when there is one.
func svgTexts(b *strings.Builder, g Group) error {
	for _, e := range [][2]string{{"title", g.Title}, {"desc", g.Desc}} {
		if e[1] == "" {
			continue
		}
		if err := CheckText("drawing "+g.Title, e[1]); err != nil {
			return err
		}
		fmt.Fprintf(b, "<%s>%s</%s>", e[0], xmlEscape.Replace(e[1]), e[0])
	}
	return nil
}

var xmlEscape = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

func svgItems(b *strings.Builder, items []Item, theme Theme) error {
	for _, it := range items {
		if err := svgItem(b, it, theme); err != nil {
			return err
		}
	}
	return nil
}

func svgItem(b *strings.Builder, it Item, theme Theme) error {
	switch it := it.(type) {
	case Text:
		return svgText(b, it, theme)
	case Line:
		fmt.Fprintf(b, `<line x1="%s" y1="%s" x2="%s" y2="%s"`, svgNum(it.A.X), svgNum(it.A.Y), svgNum(it.B.X), svgNum(it.B.Y))
		svgPaint(b, it.Class, NoTone, it.Stroke, theme)
	case Polyline:
		fmt.Fprintf(b, `<polyline points="%s"`, svgPoints(it.Points))
		svgPaint(b, it.Class, NoTone, it.Stroke, theme)
	case Polygon:
		fmt.Fprintf(b, `<polygon points="%s"`, svgPoints(it.Points))
		svgPaint(b, it.Class, it.Fill, it.Stroke, theme)
	case Rect:
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s"`, svgNum(it.Box.X), svgNum(it.Box.Y), svgNum(it.Box.W), svgNum(it.Box.H))
		svgPaint(b, it.Class, it.Fill, it.Stroke, theme)
	case Circle:
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s"`, svgNum(it.Centre.X), svgNum(it.Centre.Y), svgNum(it.Radius))
		svgPaint(b, it.Class, it.Fill, it.Stroke, theme)
	case Arc:
		svgArc(b, it)
		svgPaint(b, it.Class, NoTone, it.Stroke, theme)
	case QR:
		rects, err := it.rects()
		if err != nil {
			return err
		}
		b.WriteString(`<path d="`)
		for _, r := range rects {
			fmt.Fprintf(b, "M%s %sh%sv%sh-%sz", svgNum(r.X), svgNum(r.Y), svgNum(r.W), svgNum(r.H), svgNum(r.W))
		}
		b.WriteString(`"`)
		svgPaint(b, it.Class, Ink, Stroke{}, theme)
	case Group:
		b.WriteString("<g")
		svgClass(b, it.Class)
		b.WriteString(">")
		if err := svgTexts(b, it); err != nil {
			return err
		}
		if err := svgItems(b, it.Items, theme); err != nil {
			return err
		}
		b.WriteString("</g>")
	default:
		return fmt.Errorf("item %T cannot be drawn", it)
	}
	return nil
}

func svgText(b *strings.Builder, t Text, theme Theme) error {
	if t.Text == "" {
		return nil
	}
	if err := CheckText("drawing", t.Text); err != nil {
		return err
	}
	tone := t.Tone
	if tone == NoTone {
		tone = Ink
	}
	fmt.Fprintf(b, `<text x="%s" y="%s" font-family="DejaVu Sans Condensed, sans-serif" font-size="%s" textLength="%s" lengthAdjust="spacingAndGlyphs"`,
		svgNum(t.At.X), svgNum(t.At.Y), svgNum(t.Size/pointsPerMM), svgNum(t.Width()))
	if t.Face == Bold {
		b.WriteString(` font-weight="bold"`)
	}
	if t.Anchor != Start {
		fmt.Fprintf(b, ` text-anchor="%s"`, [...]string{Middle: "middle", End: "end"}[t.Anchor])
	}
	if t.Rotate != 0 {
		fmt.Fprintf(b, ` transform="rotate(%s %s %s)"`, svgNum(-t.Rotate), svgNum(t.At.X), svgNum(t.At.Y))
	}
	svgClass(b, "tone-"+toneNames[tone], t.Class)
	fmt.Fprintf(b, ` fill="%s">%s</text>`, svgGrey(theme, tone), xmlEscape.Replace(t.Text))
	return nil
}

// svgArc writes the path of an arc; one of more than half a turn is cut in two so that its way round is plain.
func svgArc(b *strings.Builder, a Arc) {
	sweep := 0 // in SVG a positive sweep is clockwise
	if a.To < a.From {
		sweep = 1
	}
	mid := a.Centre.Polar(a.Radius, (a.From+a.To)/2)
	from, to := a.Centre.Polar(a.Radius, a.From), a.Centre.Polar(a.Radius, a.To)
	r := svgNum(a.Radius)
	fmt.Fprintf(b, `<path d="M%s %sA%s %s 0 0 %d %s %sA%s %s 0 0 %d %s %s"`,
		svgNum(from.X), svgNum(from.Y), r, r, sweep, svgNum(mid.X), svgNum(mid.Y), r, r, sweep, svgNum(to.X), svgNum(to.Y))
}

// svgPaint ends the element with its classes, fill and stroke.
func svgPaint(b *strings.Builder, class string, fill Tone, s Stroke, theme Theme) {
	drawn := s.Width > 0 && s.Tone != NoTone
	var classes []string
	if fill != NoTone {
		classes = append(classes, "tone-"+toneNames[fill])
	}
	if drawn {
		classes = append(classes, "stroke-"+toneNames[s.Tone])
	}
	svgClass(b, append(classes, class)...)
	fmt.Fprintf(b, ` fill="%s"`, svgGrey(theme, fill))
	if drawn {
		fmt.Fprintf(b, ` stroke="%s" stroke-width="%s"`, svgGrey(theme, s.Tone), svgNum(theme.width(s.Width)))
		if s.Dash != Solid {
			var lengths []string
			for _, l := range dashLengths[s.Dash] {
				lengths = append(lengths, svgNum(l))
			}
			fmt.Fprintf(b, ` stroke-dasharray="%s"`, strings.Join(lengths, " "))
		}
	}
	b.WriteString("/>")
}

// svgClass writes the class attribute; "dim:pitch" becomes "dim-pitch", which a selector can name without escapes.
func svgClass(b *strings.Builder, classes ...string) {
	var kept []string
	for _, c := range classes {
		if c != "" {
			kept = append(kept, xmlEscape.Replace(strings.ReplaceAll(c, ":", "-")))
		}
	}
	if len(kept) > 0 {
		fmt.Fprintf(b, ` class="%s"`, strings.Join(kept, " "))
	}
}

func svgGrey(theme Theme, t Tone) string {
	if t == NoTone {
		return "none"
	}
	v := int(theme.grey(t)*255 + 0.5)
	return fmt.Sprintf("#%02x%02x%02x", v, v, v)
}

func svgPoints(ps []Point) string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = svgNum(p.X) + "," + svgNum(p.Y)
	}
	return strings.Join(out, " ")
}

// svgNum returns v to a thousandth of a millimetre.
func svgNum(v float64) string {
	s := strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v, 'f', 3, 64), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}
