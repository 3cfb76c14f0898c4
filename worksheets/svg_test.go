package worksheets

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// element is a parsed SVG element.
type element struct {
	name  string
	attrs map[string]string
	text  string
}

func parsedSVG(t *testing.T, g Group, theme Theme) []element {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, SVG(&b, g, theme))
	d := xml.NewDecoder(&b)
	var out []element
	var open []int
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		require.NoError(t, err)
		switch tok := tok.(type) {
		case xml.StartElement:
			e := element{name: tok.Name.Local, attrs: map[string]string{}}
			for _, a := range tok.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			out = append(out, e)
			open = append(open, len(out)-1)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			out[open[len(open)-1]].text += string(tok)
		}
	}
}

func everyItem() Group {
	return Group{Class: "sample", Title: `Lead & "pitch"`, Desc: "pitch < lead", Items: []Item{
		Text{At: Point{5, 5}, Text: "a < b & c", Size: 10, Face: Bold, Anchor: Middle, Rotate: 90, Class: "label"},
		Line{A: Point{0, 0}, B: Point{10, 5}, Stroke: Centre, Class: "dim:pitch"},
		Polyline{Points: []Point{{0, 0}, {3, 4}, {5, 0}}, Stroke: Fine},
		Polygon{Points: []Point{{0, 0}, {3, 4}, {5, 0}}, Fill: Ink},
		Rect{Box: Box{1, 1, 3, 4}, Stroke: Edge, Fill: Shade},
		Circle{Centre: Point{5, 5}, Radius: 2, Stroke: Hidden},
		Arc{Centre: Point{5, 5}, Radius: 4, From: 0, To: 270, Stroke: Fine},
		QR{At: Point{30, 0}, Side: 18, Text: "HN1"},
		Group{Title: "inner", Items: []Item{Line{B: Point{1, 1}, Stroke: Fine}}},
	}}
}

func TestSVGIsSafeAndNamed(t *testing.T) {
	t.Parallel()
	got := parsedSVG(t, everyItem(), Standard)
	require.Equal(t, "svg", got[0].name)
	assert.Equal(t, "img", got[0].attrs["role"])
	assert.Equal(t, "http://www.w3.org/2000/svg", got[0].attrs["xmlns"])
	assert.Equal(t, element{"title", map[string]string{}, `Lead & "pitch"`}, got[1])
	assert.Equal(t, element{"desc", map[string]string{}, "pitch < lead"}, got[2])
	names := map[string]int{}
	for _, e := range got {
		names[e.name]++
		for a := range e.attrs {
			assert.NotEqual(t, "style", a)
			assert.False(t, strings.HasPrefix(a, "on"), a)
		}
	}
	assert.Equal(t, map[string]int{"svg": 1, "title": 2, "desc": 1, "text": 1, "line": 2, "polyline": 1, "polygon": 1, "rect": 1, "circle": 1, "path": 2, "g": 1}, names)
}

func TestSVGAttributes(t *testing.T) {
	t.Parallel()
	got := parsedSVG(t, everyItem(), Standard)
	text, line := got[3], got[4]
	assert.Equal(t, "a < b & c", text.text)
	assert.Equal(t, "rotate(-90 5 5)", text.attrs["transform"])
	assert.Equal(t, "middle", text.attrs["text-anchor"])
	assert.Equal(t, svgNum(Bold.Width("a < b & c", 10, 0)), text.attrs["textLength"])
	assert.Equal(t, "stroke-ink dim-pitch", line.attrs["class"])
	assert.Equal(t, "4 0.8 0.5 0.8", line.attrs["stroke-dasharray"])
	assert.Equal(t, "#000000", line.attrs["stroke"])
	// Three quarters counter-clockwise from the right end at the bottom: by 135 degrees, then on to 270.
	assert.Equal(t, "M9 5A4 4 0 0 0 2.172 2.172A4 4 0 0 0 5 9", got[9].attrs["d"])

	bold := parsedSVG(t, everyItem(), HighContrast)
	assert.Equal(t, "#ffffff", bold[7].attrs["fill"], "a shade is white in high contrast")
	assert.Equal(t, "0.4", bold[4].attrs["stroke-width"])
}

func TestSVGRefusesWhatItCannotShow(t *testing.T) {
	t.Parallel()
	for _, g := range []Group{
		{Items: []Item{Text{Text: "a\x00b", Size: 9}}},
		{Title: "a\x01", Items: []Item{Line{B: Point{1, 1}}}},
		{Items: []Item{QR{Side: 18, Text: strings.Repeat("x", 3000)}}},
	} {
		require.Error(t, SVG(io.Discard, g, Standard))
	}
	require.ErrorIs(t, SVG(&failing{3}, everyItem(), Standard), errFull)
}
