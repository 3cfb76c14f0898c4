package worksheets

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestArcBoundsHoldEveryPointOfTheArc(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := Arc{
			Centre: Point{rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")},
			Radius: rapid.Float64Range(0.1, 50).Draw(t, "r"),
			From:   rapid.Float64Range(-720, 720).Draw(t, "from"),
		}
		a.To = a.From + rapid.Float64Range(-360, 360).Draw(t, "sweep")
		b := a.Bounds()
		low := Box{math.Inf(1), math.Inf(1), 0, 0}
		for i := range 361 {
			p := a.Centre.Polar(a.Radius, a.From+(a.To-a.From)*float64(i)/360)
			require.True(t, b.Contains(Box{p.X, p.Y, 0, 0}))
			low.X, low.Y = min(low.X, p.X), min(low.Y, p.Y)
		}
		require.InDelta(t, low.X, b.X, 0.01*a.Radius+0.001, "no larger than needed")
		require.InDelta(t, low.Y, b.Y, 0.01*a.Radius+0.001)
	})
}

func TestRotatedTextBounds(t *testing.T) {
	t.Parallel()
	flat := Text{At: Point{10, 10}, Text: "Lead", Size: 12}
	up := flat
	up.Rotate = 90
	f, u := flat.Bounds(), up.Bounds()
	assert.InDelta(t, f.W, u.H, 1e-9)
	assert.InDelta(t, f.H, u.W, 1e-9)
	assert.InDelta(t, 10, u.Y+u.H, 1e-9, "text turned counter-clockwise runs up the page")
	assert.InDelta(t, 10-Regular.Ascent(12), u.X, 1e-9)
}

func TestMovedCopies(t *testing.T) {
	t.Parallel()
	g := everyItem()
	var before, after strings.Builder
	require.NoError(t, Dump(&before, g.Items))
	m := g.Moved(3, 4)
	require.NoError(t, Dump(&after, g.Items))
	assert.Equal(t, before.String(), after.String(), "the original stays")
	a, b := g.Bounds(), m.Bounds()
	assert.InDelta(t, a.X+3, b.X, 1e-9)
	assert.InDelta(t, a.Y+4, b.Y, 1e-9)
	assert.InDelta(t, a.W, b.W, 1e-9)
}

func TestMeasureNeedsExactlyOneLine(t *testing.T) {
	t.Parallel()
	g := Group{Items: []Item{Line{B: Point{3, 4}, Class: "dim:pitch"}, Group{Items: []Item{Line{B: Point{1, 0}, Class: "dim:lead"}, Line{B: Point{1, 0}, Class: "dim:lead"}}}}}
	l, ok := g.Measure("dim:pitch")
	assert.True(t, ok)
	assert.InDelta(t, 5, l, 1e-12)
	_, ok = g.Measure("dim:lead")
	assert.False(t, ok)
	_, ok = g.Measure("dim:none")
	assert.False(t, ok)
}

func TestCodeRectsAreTheModules(t *testing.T) {
	t.Parallel()
	q := QR{At: Point{10, 20}, Side: 21, Text: "HN3-7KQ2-M5"}
	code, err := q.modules()
	require.NoError(t, err)
	require.Equal(t, 21, code.Size, "a short code in capitals has the smallest symbol")
	rects, err := q.rects()
	require.NoError(t, err)
	dark := map[[2]int]bool{}
	for _, r := range rects {
		for x := range int(math.Round(r.W)) {
			for y := range int(math.Round(r.H)) {
				module := [2]int{int(math.Round(r.X)) - 10 + x, int(math.Round(r.Y)) - 20 + y}
				assert.False(t, dark[module], "module %v in two rectangles", module)
				dark[module] = true
			}
		}
	}
	for y := range code.Size {
		for x := range code.Size {
			assert.Equal(t, code.Black(x, y), dark[[2]int{x, y}], "module %d, %d", x, y)
		}
	}
	assert.Equal(t, Box{6, 16, 29, 29}, q.Bounds(), "four modules of quiet zone")
}
