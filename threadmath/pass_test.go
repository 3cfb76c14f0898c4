package threadmath

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// integrated is the chip area between two depths by Simpson's rule over the
// width of the groove, which knows nothing of chipArea.
func integrated(from, to, flat, slope float64) float64 {
	const n = 64
	width := func(x float64) float64 { return flat + slope*x }
	h, sum := (to-from)/n, width(from)+width(to)
	for i := 1; i < n; i++ {
		sum += width(from+float64(i)*h) * float64(2+2*(i%2))
	}
	return sum * h / 3
}

// TestPassesTakeEqualAreas: without a smallest cut every pass takes the same
// area, none takes more than the first cut would, the steps never grow, and the
// last depth is h itself.
func TestPassesTakeEqualAreas(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(0.05, 10).Draw(t, "h")
		first := h * rapid.Float64Range(0.03, 1.2).Draw(t, "first share")
		flat := rapid.Float64Range(0, 2).Draw(t, "flat")
		slope := rapid.Float64Range(0, 2).Draw(t, "slope")
		if flat+slope < 0.01 {
			return // a tool without width
		}
		depths, ok := passDepths(h, first, 0, flat, slope, 0)
		if !ok {
			return
		}
		require.Equal(t, h, depths[len(depths)-1])
		total := integrated(0, h, flat, slope)
		before, step := 0.0, math.Inf(1)
		for _, d := range depths {
			area := integrated(before, d, flat, slope)
			require.InEpsilon(t, total/float64(len(depths)), area, 1e-6)
			require.LessOrEqual(t, area, integrated(0, first, flat, slope)*(1+1e-6))
			require.LessOrEqual(t, d-before, step*(1+1e-6))
			before, step = d, d-before
		}
	})
}

// TestPassesAreMonotone holds with smallest cut and finishing passes: depths
// rise, no step but the joined last falls under the smallest cut, no pass goes
// beyond h, and the finishing cuts are the smallest cut each.
func TestPassesAreMonotone(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := rapid.Float64Range(0.2, 8).Draw(t, "h")
		first := h * rapid.Float64Range(0.05, 0.8).Draw(t, "first share")
		least := first * rapid.Float64Range(0.05, 1).Draw(t, "least share")
		finishing := rapid.IntRange(0, 3).Draw(t, "finishing")
		if float64(finishing)*least >= h {
			return
		}
		depths, ok := passDepths(h, first, least, rapid.Float64Range(0, 1).Draw(t, "flat"), 1.1547, finishing)
		require.True(t, ok)
		require.Equal(t, h, depths[len(depths)-1])
		before := 0.0
		rough := len(depths) - finishing
		for i, d := range depths {
			require.Greater(t, d, before)
			step := d - before
			switch {
			case i >= rough:
				require.InDelta(t, least, step, 1e-9)
			case i == 0 && rough == 1:
				// All the roughing there is, however little.
			case i == rough-1:
				require.GreaterOrEqual(t, step, least*0.5*(1-1e-6))
			default:
				require.GreaterOrEqual(t, step, least*(1-1e-6))
			}
			before = d
		}
	})
}

// TestSharpVPasses: with a pointed tool the depths are h·√(i/N), the rule that
// shops teach (common practice, no source; an identity of equal areas).
func TestSharpVPasses(t *testing.T) {
	t.Parallel()
	depths, ok := passDepths(1, 0.25, 0, 0, 2/math.Sqrt(3), 0)
	require.True(t, ok)
	require.Len(t, depths, 16) // (1/0.25)²
	for i, d := range depths {
		assert.InDelta(t, math.Sqrt(float64(i+1)/16), d, 1e-12)
	}
	// Passes get lighter as the thread gets deeper: common practice, no source.
	assert.Greater(t, depths[0], 10*(depths[15]-depths[14])/2)
}

// TestSquarePasses: a groove of one width is cut in equal steps.
func TestSquarePasses(t *testing.T) {
	t.Parallel()
	depths, ok := passDepths(1.2, 0.3, 0, 2, 0, 0)
	require.True(t, ok)
	require.Len(t, depths, 4)
	for i, want := range []float64{0.3, 0.6, 0.9, 1.2} {
		assert.InDelta(t, want, depths[i], 1e-12)
	}
}

func TestLeastCutJoinsASmallRemainder(t *testing.T) {
	t.Parallel()
	// From 0 to 0.24 in steps of 0.1: 0.04 is under half a step and joins the
	// last; 0.06 is a pass of its own.
	assert.InDeltaSlice(t, []float64{0.1, 0.24}, leastSteps(nil, 0, 0.24, 0.1), 1e-12)
	assert.InDeltaSlice(t, []float64{0.1, 0.2, 0.26}, leastSteps(nil, 0, 0.26, 0.1), 1e-12)
	assert.InDeltaSlice(t, []float64{0.03}, leastSteps(nil, 0, 0.03, 0.1), 1e-12)
	assert.InDeltaSlice(t, []float64{0.53}, leastSteps([]float64{0.5}, 0.5, 0.53, 0.1), 1e-12)
}

// TestCollarRoundsFromZero: every reading is the nearest division to the whole
// travel, so errors never add up, and a collar that reads diameter shows twice
// the travel.
func TestCollarRoundsFromZero(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		divisions := rapid.IntRange(1, 60).Draw(t, "graduation")
		reads := rapid.SampledFrom([]string{"radius", "diameter"}).Draw(t, "reads")
		first := rapid.IntRange(8, 60).Draw(t, "first")
		a, err := Solve(Request{
			Thread: Thread{Form: "iso-metric", Diameter: "30 mm", Pitch: "3 mm"},
			Lathe:  &Lathe{CrossSlide: &Slide{Graduation: strconv.Itoa(divisions) + "/1000 mm", PerTurn: strconv.Itoa(50*divisions) + "/1000 mm", Reads: reads}},
			Cut:    &Cut{FirstCut: strconv.Itoa(first) + "/100 mm"},
		})
		require.NoError(t, err)
		plan := a.Infeed[len(a.Infeed)-1]
		require.Equal(t, FedByCrossSlide, plan.FedBy)
		g, k := float64(divisions)/1000, 1.0
		if reads == "diameter" {
			k = 2
		}
		for _, p := range plan.Passes {
			require.LessOrEqual(t, math.Abs(p.Collar.Reading.MM()-k*p.Slide.MM()), g/2*(1+1e-9))
			require.InDelta(t, p.Collar.Reading.MM(), g*float64(50*p.Collar.Turns+p.Collar.Divisions), 1e-9)
			require.Less(t, p.Collar.Divisions, 50)
		}
		require.Equal(t, *a.Depth, plan.Passes[len(plan.Passes)-1].Depth)
	})
}

func TestPassesRefuse(t *testing.T) {
	t.Parallel()
	count := func(n int) *Count { c := Count(n); return &c }
	for path, cut := range map[string]Cut{
		"/cut/least_cut":        {FirstCut: "0.1 mm", LeastCut: "0.2 mm"},
		"/cut/finishing_passes": {FirstCut: "0.1 mm", FinishingPasses: count(2)},
		"/cut/first_cut":        {FirstCut: "0.0005 mm"},
	} {
		_, err := Solve(Request{Thread: Thread{Form: "square", Diameter: "30 mm", Pitch: "3 mm"}, Cut: &cut})
		var d *DomainError
		require.ErrorAs(t, err, &d, path)
		assert.Equal(t, path, d.Quantity)
	}
	_, err := Solve(Request{Thread: Thread{Form: "square", Diameter: "30 mm", Pitch: "3 mm"}, Cut: &Cut{FirstCut: "0.5 mm", LeastCut: "0.5 mm", FinishingPasses: count(3)}})
	assert.ErrorContains(t, err, "finishing passes take the whole depth")
}

// FuzzPasses: whatever the cuts, the plan ends and stays finite.
func FuzzPasses(f *testing.F) {
	f.Add("0.25 mm", "0.03 mm", "0.2 mm", 2)
	f.Add("0.00001 mm", "0.00001 mm", "99999 mm", 50)
	f.Fuzz(func(t *testing.T, first, least, flat string, finishing int) {
		n := Count(finishing)
		a, err := Solve(Request{
			Thread: Thread{Form: "acme", Diameter: "1 in", Pitch: "5 tpi"},
			Cut:    &Cut{FirstCut: first, LeastCut: least, ToolFlat: flat, FinishingPasses: &n},
		})
		if err != nil {
			return
		}
		for _, plan := range a.Infeed {
			assert.LessOrEqual(t, len(plan.Passes), maxPasses)
			for _, p := range plan.Passes {
				assert.False(t, math.IsNaN(p.Depth.MM()) || math.IsInf(p.Depth.MM(), 0))
			}
		}
	})
}
