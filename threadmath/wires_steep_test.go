package threadmath_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
)

// TestSteepWiresByTangency: where the series is out by more than 0.001 P the answer is
// the tangency that a second program finds, written apart from the solver. The review's
// figures: Tr 24x20(P5) reads 0.033 mm less than the series says, Tr 60x64(P8) 0.076.
func TestSteepWiresByTangency(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		designation   string
		flank, below  float64
		starts, pitch float64
	}{{"Tr 24x20(P5)", 15, 0.033, 4, 5}, {"Tr 60x64(P8)", 15, 0.076, 8, 8}} {
		a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Designation: row.designation}})
		require.NoError(t, err)
		w := a.Wires
		require.NotNil(t, w.Over, w.Why)
		assert.True(t, w.Tangency)
		series, err := threadmath.OverWires(a.PitchDiameter.MM(), row.pitch, row.pitch*row.starts, w.Used.MM(), row.flank)
		require.NoError(t, err)
		assert.InDelta(t, row.below, series-w.Over.MM(), 0.0006, row.designation)
		h := helicoid{flank: row.flank * math.Pi / 180, lead: row.starts, pitchDiameter: a.PitchDiameter.MM() / row.pitch, wire: w.Used.MM() / row.pitch}
		over, _ := h.overWires()
		assert.InDelta(t, over*row.pitch, w.Over.MM(), 1e-6*row.pitch)
	}
	gentle, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Designation: "Tr 40x14(P7)"}})
	require.NoError(t, err)
	assert.False(t, gentle.Wires.Tangency, "the series is good enough")
}

// TestWiresThatTouchNoFlank: on a very steep thread the wire rests on the edges.
func TestWiresThatTouchNoFlank(t *testing.T) {
	t.Parallel()
	n := threadmath.Count(12)
	met := false
	for _, d := range []string{"16 mm", "20 mm", "24 mm", "30 mm"} {
		a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Form: "trapezoidal", Diameter: d, Pitch: "5 mm", Starts: &n}})
		require.NoError(t, err)
		if a.Wires.Over == nil {
			met = true
			assert.Contains(t, a.Wires.Why, "no longer touches both flanks")
		}
	}
	assert.True(t, met)
}
