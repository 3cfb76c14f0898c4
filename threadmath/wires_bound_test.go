package threadmath_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
)

// TestFormulaErrorBoundsTheTangency: the answer's measurement over wires lies no
// further from the tangency solved in three dimensions than it says, for thin,
// best and thick wires.
func TestFormulaErrorBoundsTheTangency(t *testing.T) {
	t.Parallel()
	compared := 0
	for _, form := range []string{"iso-metric", "whitworth", "trapezoidal", "acme"} {
		f, err := threadmath.FormOf(form)
		require.NoError(t, err)
		for starts := 1; starts <= 6; starts++ {
			for _, diameter := range []int{30, 40, 60, 120} {
				for _, share := range []float64{0.95, 1, 1.1, 1.2} {
					const pitch = 4.0
					best, err := threadmath.BestWire(pitch, f.LoadFlankDeg)
					require.NoError(t, err)
					n := threadmath.Count(starts)
					a, err := threadmath.Solve(threadmath.Request{
						Thread: threadmath.Thread{Form: form, Diameter: fmt.Sprintf("%d mm", diameter), Pitch: "4 mm", Starts: &n},
						Cut:    &threadmath.Cut{Wire: fmt.Sprintf("%.9f mm", best*share*(1+1e-9))},
					})
					require.NoError(t, err)
					w := a.Wires
					if w.Over == nil || w.FormulaError == nil {
						assert.NotEmpty(t, w.Why)
						continue
					}
					h := helicoid{
						flank: f.LoadFlankDeg * math.Pi / 180, lead: float64(starts),
						pitchDiameter: a.PitchDiameter.MM() / pitch, wire: w.Used.MM() / pitch,
					}
					over, _ := h.overWires()
					off, bound := math.Abs(w.Over.MM()-over*pitch), w.FormulaError.MM()
					assert.LessOrEqual(t, off, bound+1e-8, "%s, %d starts, %d mm, %v best wires", form, starts, diameter, share)
					compared++
				}
			}
		}
	}
	assert.Greater(t, compared, 150)
}
