package threadmath

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOverWiresEqualsTheAnswer: the published constants of other angles are
// among the embedded vectors; here the function agrees with the solved answer.
func TestOverWiresEqualsTheAnswer(t *testing.T) {
	t.Parallel()
	three := Count(3)
	for _, f := range Forms() {
		a, err := Solve(Request{Thread: Thread{Form: f.Slug, Diameter: "40 mm", Pitch: "2 mm", Starts: &three}})
		require.NoError(t, err)
		if a.Wires == nil || a.Wires.Over == nil {
			continue
		}
		best, err := BestWire(2, f.LoadFlankDeg)
		require.NoError(t, err)
		assert.InDelta(t, a.Wires.Best.MM(), best, 1e-12, f.Slug)
		over, err := OverWires(a.PitchDiameter.MM(), 2, 6, best, f.LoadFlankDeg)
		require.NoError(t, err)
		assert.InDelta(t, a.Wires.Over.MM(), over, 1e-9, f.Slug)
	}
}

func TestOverWiresRefuses(t *testing.T) {
	t.Parallel()
	good := []float64{37, 2, 6, 1.2, 30}
	for i := range good {
		for _, bad := range []float64{0, -1, 1e9, math.NaN(), math.Inf(1)} {
			v := append([]float64(nil), good...)
			v[i] = bad
			_, err := OverWires(v[0], v[1], v[2], v[3], v[4])
			var d *DomainError
			assert.True(t, errors.As(err, &d), "%v: %v", v, err)
		}
	}
	for _, bad := range []float64{0, -1, 1e9, math.NaN(), math.Inf(1)} {
		_, err := BestWire(bad, 30)
		assert.Error(t, err)
		_, err = BestWire(2, bad)
		assert.Error(t, err)
	}
}
