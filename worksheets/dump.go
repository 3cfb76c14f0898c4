package worksheets

import (
	"fmt"
	"io"
	"math"
	"strings"
)

// Dump writes the items in a text form that golden tests compare: one line an item, in drawing order, lengths in
// millimetres to a hundredth.
func Dump(w io.Writer, items []Item) error {
	var b strings.Builder
	dump(&b, items, "")
	_, err := io.WriteString(w, b.String())
	return err
}

func dump(b *strings.Builder, items []Item, indent string) {
	for _, it := range items {
		b.WriteString(indent)
		switch it := it.(type) {
		case Text:
			fmt.Fprintf(b, "text %s %s %spt %s", xy(it.At), [...]string{"regular", "bold"}[it.Face], num(it.Size), [...]string{"start", "middle", "end"}[it.Anchor])
			if it.Tracking != 0 {
				fmt.Fprintf(b, " tracking %s", num(it.Tracking))
			}
			if it.Rotate != 0 {
				fmt.Fprintf(b, " rotate %s", num(it.Rotate))
			}
			fmt.Fprintf(b, " %s %q", toneNames[it.Tone], it.Text)
		case Line:
			fmt.Fprintf(b, "line %s %s %s", xy(it.A), xy(it.B), it.Stroke)
		case Polyline:
			fmt.Fprintf(b, "polyline %s %s", xy(it.Points...), it.Stroke)
		case Polygon:
			fmt.Fprintf(b, "polygon %s %s fill %s", xy(it.Points...), it.Stroke, toneNames[it.Fill])
		case Rect:
			fmt.Fprintf(b, "rect %s %sx%s %s fill %s", xy(Point{it.Box.X, it.Box.Y}), num(it.Box.W), num(it.Box.H), it.Stroke, toneNames[it.Fill])
		case Circle:
			fmt.Fprintf(b, "circle %s r %s %s fill %s", xy(it.Centre), num(it.Radius), it.Stroke, toneNames[it.Fill])
		case Arc:
			fmt.Fprintf(b, "arc %s r %s from %s to %s %s", xy(it.Centre), num(it.Radius), num(it.From), num(it.To), it.Stroke)
		case QR:
			fmt.Fprintf(b, "qr %s side %s %q", xy(it.At), num(it.Side), it.Text)
		case Group:
			fmt.Fprintf(b, "group scale %s %q %q", num(it.Scale), it.Title, it.Desc)
		}
		if c := it.class(); c != "" {
			fmt.Fprintf(b, " [%s]", c)
		}
		b.WriteByte('\n')
		if g, ok := it.(Group); ok {
			dump(b, g.Items, indent+"  ")
		}
	}
}

var toneNames = [...]string{NoTone: "none", Ink: "ink", Muted: "muted", Shade: "shade", Ghost: "ghost", White: "white"}

// String returns the stroke as Dump writes it.
func (s Stroke) String() string {
	if s.Width <= 0 || s.Tone == NoTone {
		return "no stroke"
	}
	return fmt.Sprintf("%s %s %s", num(s.Width), toneNames[s.Tone], [...]string{"solid", "dashed", "chain", "dotted"}[s.Dash])
}

func xy(ps ...Point) string {
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = num(p.X) + "," + num(p.Y)
	}
	return strings.Join(out, " ")
}

// num returns v to a hundredth without trailing zeros.
func num(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 {
		v = 0 // no minus sign
	}
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", v), "0"), ".")
}
