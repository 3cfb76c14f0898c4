package worksheets

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// crossings returns where a line passes a depth, left to right.
func crossings(points []Point, y float64) []float64 {
	var xs []float64
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if (a.Y-y)*(b.Y-y) < 0 {
			xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
		}
	}
	return xs
}

func TestSlipView(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		pitch := rapid.Float64Range(0.8, 8).Draw(t, "pitch")
		depth := 0.6 * pitch
		// A flat of a quarter of the pitch at the crest, an eighth at the root.
		form := []Point{{0, 0}, {pitch / 8, 0}, {7 * pitch / 16, depth}, {9 * pitch / 16, depth}, {7 * pitch / 8, 0}, {pitch, 0}}
		slip := rapid.Float64Range(-0.12, 0.12).Draw(t, "slip as a part of the pitch") * pitch
		s := SlipSpec{Form: form, Starts: rapid.IntRange(2, 6).Draw(t, "starts"), Slip: slip, Internal: rapid.Bool().Draw(t, "internal"), Width: 150, Height: 80, SlipLabel: "e"}
		g, err := SlipView(s)
		require.NoError(t, err)
		checkDrawing(t, g, s.Width)
		require.LessOrEqual(t, g.Bounds().H, s.Height+0.01)
		if slip != 0 {
			require.InDelta(t, math.Abs(slip), measured(t, g, "dim:slip"), 1e-9)
		}
		// About half-way down, at no corner of the form, both flanks of groove 2 have moved by the slip and no others have.
		side := 1.0
		if s.Internal {
			side = -1
		}
		half := side * depth * 0.4987 * g.Scale
		is, should := crossings(only[Polyline](t, g, "surface").Points, half), crossings(only[Polyline](t, g, "true").Points, half)
		require.Equal(t, len(should), len(is))
		for i := range is {
			moved := 0.0
			if i/2%s.Starts == 1 {
				moved = slip
			}
			require.InDelta(t, should[i]+moved*g.Scale, is[i], 1e-6*g.Scale, "flank %d", i+1)
		}
	})
}

func TestSlipViewRefuses(t *testing.T) {
	t.Parallel()
	form := []Point{{0, 0}, {1, 1}, {2, 0}}
	for name, s := range map[string]SlipSpec{
		"one start":       {Form: form, Starts: 1, Width: 100, Height: 60},
		"beyond half":     {Form: form, Starts: 2, Slip: 1.01, Width: 100, Height: 60},
		"no form":         {Starts: 2, Width: 100, Height: 60},
		"no room":         {Form: form, Starts: 2, Width: 100, Height: 5},
		"not a number":    {Form: form, Starts: 2, Slip: math.NaN(), Width: 100, Height: 60},
		"no room for two": {Form: []Point{{0, 0}, {100, 100}, {200, 0}}, Starts: 2, Width: 40, Height: 20},
	} {
		_, err := SlipView(s)
		assert.Error(t, err, name)
	}
}
