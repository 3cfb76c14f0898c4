package threadmath

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSeries holds what any table of sizes must: positive, ascending, no size
// twice, every form known, a source each; and that callers cannot change it.
func TestSeries(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, s := range AllSeries() {
		assert.False(t, seen[s.Name], s.Name)
		seen[s.Name] = true
		_, err := FormOf(s.Form)
		require.NoError(t, err)
		assert.NotEmpty(t, s.Source)
		for i, z := range s.Sizes {
			assert.Positive(t, z.Pitch.Sign())
			assert.Negative(t, z.Pitch.Cmp(z.Diameter), s.Name)
			if i > 0 {
				last := s.Sizes[i-1]
				assert.False(t, z.Diameter.Equal(last.Diameter) && z.Pitch.Equal(last.Pitch), s.Name)
				assert.GreaterOrEqual(t, z.Diameter.Cmp(last.Diameter), 0, "%s %s", s.Name, z.Diameter.Exact(Inch))
			}
			a, err := Solve(Request{Thread: Thread{Form: s.Form, Diameter: z.Diameter.Exact(Metric), Pitch: z.Pitch.Exact(Metric)}})
			require.NoError(t, err, "%s %s", s.Name, z.Diameter.Exact(Inch)) // leaves a core
			assert.NotEmpty(t, a.Designation)
		}
	}
	AllSeries()[0].Sizes[0].Screw = "spoilt"
	assert.Empty(t, AllSeries()[0].Sizes[0].Screw)
}

// TestSeriesPitchGrowsWithDiameter: in a series of one pitch a diameter no
// larger size has a finer pitch. An identity that no slip of one entry survives
// unless it hits a neighbour; holds for the printed tables.
func TestSeriesPitchGrowsWithDiameter(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"M coarse", "UNC", "UNF", "UNEF", "ACME", "BSW", "BSF"} {
		sizes := sizesOf(name)
		require.NotEmpty(t, sizes, name)
		for i := 1; i < len(sizes); i++ {
			assert.GreaterOrEqual(t, sizes[i].Pitch.Cmp(sizes[i-1].Pitch), 0, "%s at %s", name, sizes[i].Diameter.Exact(Inch))
		}
	}
}

// TestFineSeriesIsFiner: wherever both list a size the fine pitch is finer.
func TestFineSeriesIsFiner(t *testing.T) {
	t.Parallel()
	for _, pair := range [][2]string{{"M coarse", "M fine"}, {"UNC", "UNF"}, {"UNF", "UNEF"}, {"BSW", "BSF"}} {
		both := 0
		for _, fine := range sizesOf(pair[1]) {
			if coarse, ok := listedPitch(pair[0], fine.Diameter); ok {
				both++
				assert.Negative(t, fine.Pitch.Cmp(coarse), "%s at %s", pair[1], fine.Diameter.Exact(Inch))
			}
		}
		assert.Greater(t, both, 8, pair[1])
	}
}

// TestTrapezoidalSeriesHasTolerances: the tables of ISO 2903, written down
// separately, list the pitch and diameter of every size of ISO 2904.
func TestTrapezoidalSeriesHasTolerances(t *testing.T) {
	t.Parallel()
	for _, z := range sizesOf("Tr") {
		a, err := Solve(Request{Thread: Thread{Form: "trapezoidal", Diameter: z.Diameter.Exact(Metric), Pitch: z.Pitch.Exact(Metric), Class: "7e"}})
		require.NoError(t, err)
		assert.Empty(t, a.Limits.Why, "Tr %s x %s", z.Diameter.Exact(Metric), z.Pitch.Exact(Metric))
	}
	for _, name := range []string{"M coarse", "M fine"} { // and those of ISO 965-1 every metric one
		for _, z := range sizesOf(name) {
			a, err := Solve(Request{Thread: Thread{Form: "iso-metric", Diameter: z.Diameter.Exact(Metric), Pitch: z.Pitch.Exact(Metric), Class: "6h"}})
			require.NoError(t, err)
			assert.Empty(t, a.Limits.Why, "%s x %s", z.Diameter.Exact(Metric), z.Pitch.Exact(Metric))
		}
	}
}
