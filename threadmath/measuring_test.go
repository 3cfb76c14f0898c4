package threadmath

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLeadOverTurns(t *testing.T) {
	t.Parallel()
	m := mustSolve(t, Request{Thread: Thread{Designation: "M24xPh6P2", Length: "35 mm"}}).Measuring
	require.Len(t, m.LeadOver, 3, "ten turns are longer than the thread")
	for i, turns := range []int{1, 2, 5} {
		l, ok := m.LeadOver[i].Length.Exact()
		require.True(t, ok)
		assert.True(t, l.Equal(Millimetres(Int(int64(6*turns)))))
		assert.Equal(t, 3*turns, m.LeadOver[i].Crests)
	}
	assert.Empty(t, m.Gauge, "no class")
	assert.Nil(t, m.LeastClearance)
	assert.Len(t, mustSolve(t, Request{Thread: Thread{Pitch: "2 mm", Length: "1 mm"}}).Measuring.LeadOver, 1)
}

// TestGaugeAndClearance: 6g leaves the allowance of ISO 965-1 (38 µm at P 2),
// 6H none; an indexing error takes 2e/(tan α1 + tan α2) of it.
func TestGaugeAndClearance(t *testing.T) {
	t.Parallel()
	q := Request{
		Thread: Thread{Designation: "M30xPh6P2-6g"},
		Lathe:  &Lathe{Holders: []Holder{{Kind: "chuck-jaws", Stations: 3, ErrorDeg: ref(1.0)}}},
	}
	a := mustSolve(t, q)
	m := a.Measuring
	assert.InDelta(t, 0.038, m.LeastClearance.MM(), 1e-12)
	require.Len(t, m.ClearanceLeft, 1)
	assert.Equal(t, "chuck-jaws", m.ClearanceLeft[0].Method)
	e := a.Holders[0].SpacingError.MM()
	assert.InDelta(t, m.LeastClearance.MM()-e*math.Sqrt(3), m.ClearanceLeft[0].Left.MM(), 1e-9)
	assert.Contains(t, m.Gauge, "28.663 mm, must pass")
	assert.Contains(t, m.Gauge, "28.493 mm, may enter")
	assert.Contains(t, m.Gauge, "same starts and lead")

	q.Thread = Thread{Designation: "M30xPh6P2-6H"}
	in := mustSolve(t, q).Measuring
	assert.Zero(t, in.LeastClearance.MM())
	assert.Empty(t, in.ClearanceLeft, "no dog drives the work while it is bored")
	holes := q
	holes.Lathe = &Lathe{Holders: []Holder{{Kind: IndexHoles, Stations: 6, ErrorDeg: ref(0.05)}}}
	assert.Negative(t, mustSolve(t, holes).Measuring.ClearanceLeft[0].Left.MM())
	limits := mustSolve(t, q).Limits.PitchDiameter
	assert.Contains(t, in.Gauge, "go, at a pitch diameter of "+approxText(limits.Min.MM(), Metric))

	q.Thread = Thread{Designation: "M30x2-6g"}
	assert.NotContains(t, mustSolve(t, q).Measuring.Gauge, "starts and lead")

	// Positions h and H, and 3A, have none.
	for name, want := range map[string]float64{"M10-6h": 0, "1/4-20 UNC-3A": 0, "1/4-20 UNC-2A": 0.0011 * 25.4, "Tr 40x7-7H": 0, "Tr 40x7-7e": 0.125} {
		assert.InDelta(t, want, mustSolve(t, Request{Thread: Thread{Designation: name}}).Measuring.LeastClearance.MM(), 1e-9, name)
	}
}
