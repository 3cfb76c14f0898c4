package threadmath

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestWiresInverse: the pitch diameter worked out from the measurement over
// wires is the one it was measured at, for every form that wires measure.
func TestWiresInverse(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		thread := Thread{
			Form:     rapid.SampledFrom([]string{"sharp-v", "american-national", "iso-metric", "unified", "whitworth", "acme", "stub-acme", "trapezoidal"}).Draw(t, "form"),
			Diameter: "40 mm", Pitch: rapid.SampledFrom([]string{"2 mm", "3 mm", "1/8 in"}).Draw(t, "pitch"),
			Starts: ref(Count(rapid.IntRange(1, 4).Draw(t, "starts"))),
		}
		a, err := Solve(Request{Thread: thread})
		require.NoError(t, err)
		w := a.Wires
		require.Less(t, w.WireMin.MM(), w.Best.MM()*(1+1e-9)) // flush with the crest of a sharp V
		require.Greater(t, w.WireMax.MM(), w.Best.MM())
		require.Greater(t, w.LeadTerm.MM(), 0.0)
		over := fmt.Sprintf("%.9f mm", w.Over.MM())
		b, err := Solve(Request{Thread: thread, Cut: &Cut{OverWires: over}})
		require.NoError(t, err)
		require.InDelta(t, a.PitchDiameter.MM(), b.Wires.PitchDiameterOf.MM(), 2e-9)

		// The best wire touches at the pitch line: M − d2 = w·(1/sin α + 1) − (P/2)·cot α
		// is the same however large the thread, less the lead term.
		require.InDelta(t, w.Over.MM()-w.LeadTerm.MM()-a.PitchDiameter.MM(), overLessPitch(t, thread), 1e-9)
	})
}

// overLessPitch is M − d2 without the lead term at a ten times larger diameter.
func overLessPitch(t require.TestingT, thread Thread) float64 {
	thread.Diameter = "400 mm"
	a, err := Solve(Request{Thread: thread})
	require.NoError(t, err)
	return a.Wires.Over.MM() - a.Wires.LeadTerm.MM() - a.PitchDiameter.MM()
}

// TestWiresWithLimits: the readings at the limits of the class lie in order and
// as far apart as the pitch diameters, but for the lead term.
func TestWiresWithLimits(t *testing.T) {
	t.Parallel()
	a := mustSolve(t, Request{Thread: Thread{Designation: "M30xPh6P2-6g"}})
	w, l := a.Wires, a.Limits.PitchDiameter
	assert.InDelta(t, l.Max.MM()-l.Min.MM(), w.OverMax.MM()-w.OverMin.MM(), 1e-4)
	assert.Less(t, w.OverMax.MM(), w.Over.MM()) // 6g lies under the basic size
	assert.Equal(t, 3, w.Count, "an odd number of starts: the groove opposite is half a pitch off")
	assert.Equal(t, 2, mustSolve(t, Request{Thread: Thread{Designation: "M30xPh4P2"}}).Wires.Count)
	assert.InDelta(t, (w.Over.MM()+30)/2, w.OverOne.MM(), 1e-12)
}

func TestWiresSayWhyNot(t *testing.T) {
	t.Parallel()
	for why, q := range map[string]Request{
		"do not measure an internal thread": {Thread: Thread{Designation: "M30x2", Side: "internal"}},
		"no straight flanks":                {Thread: Thread{Designation: "Rd 40x1/6"}},
		"flanks of equal angle":             {Thread: Thread{Designation: "S 48x8"}},
		"no seat between square flanks":     {Thread: Thread{Form: "square", Diameter: "30 mm", Pitch: "4 mm"}},
		"this wire does not measure":        {Thread: Thread{Designation: "M30x2"}, Cut: &Cut{Wire: "3 mm"}},
		"no longer touches both flanks":     {Thread: Thread{Form: "trapezoidal", Diameter: "16 mm", Pitch: "5 mm", Starts: ref(Count(12))}},
	} {
		w := mustSolve(t, q).Wires
		require.NotNil(t, w, why)
		assert.Contains(t, w.Why, why)
	}
}

func TestOverWiresRefused(t *testing.T) {
	t.Parallel()
	for _, reading := range []string{"20 mm", "40 mm"} {
		_, err := Solve(Request{Thread: Thread{Designation: "M30x2"}, Cut: &Cut{OverWires: reading}})
		var d *DomainError
		require.ErrorAs(t, err, &d)
		assert.Equal(t, "/cut/over_wires", d.Quantity)
		assert.Equal(t, reading, d.Value)
		assert.NotEmpty(t, d.Range)
	}
}

// TestOverWiresTooSteep: where a reading does not tell the pitch diameter there
// is none, and no refusal by a range that means nothing.
func TestOverWiresTooSteep(t *testing.T) {
	t.Parallel()
	w := mustSolve(t, Request{
		Thread: Thread{Form: "iso-metric", Diameter: "3 mm", Pitch: "2 mm", Starts: ref(Count(24))},
		Cut:    &Cut{OverWires: "3.5 mm"},
	}).Wires
	assert.Nil(t, w.PitchDiameterOf)
	assert.Contains(t, w.Why, "no longer touches")
}
