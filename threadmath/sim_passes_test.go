package threadmath_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
)

// noseCutter is a threading tool in the axial section: a flat nose between two flanks, fed in along a line that leans from
// the cross-slide's direction with the tool's travel. Lengths in mm, angles in radians.
type noseCutter struct {
	flat, leading, trailing, infeed float64
}

// reach returns from where to where along the travel the tool, fed to depth, cuts at the distance y under the surface.
func (c noseCutter) reach(depth, y float64) (low, high float64) {
	middle := depth * math.Tan(c.infeed)
	return middle - c.flat/2 - (depth-y)*math.Tan(c.trailing), middle + c.flat/2 + (depth-y)*math.Tan(c.leading)
}

// width returns how wide the groove left by all passes is at the distance y under the surface.
func (c noseCutter) width(depths []float64, y float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, depth := range depths {
		if depth >= y {
			l, h := c.reach(depth, y)
			low, high = math.Min(low, l), math.Max(high, h)
		}
	}
	return math.Max(0, high-low)
}

// area integrates the width of the groove numerically (two points of Gauss in each strip) between the depths of the passes,
// where the groove has its corners.
func (c noseCutter) area(depths []float64) float64 {
	const strips = 4
	sum, top := 0.0, 0.0
	for _, bottom := range depths {
		h := (bottom - top) / strips
		for i := range strips {
			middle := top + (float64(i)+0.5)*h
			d := h / 2 / math.Sqrt(3)
			sum += h / 2 * (c.width(depths, middle-d) + c.width(depths, middle+d))
		}
		top = bottom
	}
	return sum
}

// chips returns the section of the chip of each pass: what the groove grew by.
func (c noseCutter) chips(depths []float64) []float64 {
	chips, before := make([]float64, len(depths)), 0.0
	for i := range depths {
		area := c.area(depths[:i+1])
		chips[i], before = area-before, area
	}
	return chips
}

func TestPassesTakeEqualChips(t *testing.T) {
	t.Parallel()
	const radian = math.Pi / 180
	for _, row := range []struct {
		form, leadingFlank string
		leading, trailing  float64 // degrees
		infeed             []float64
	}{
		{"sharp-v", "", 30, 30, []float64{0, 29, 29.5, 30}},
		{"iso-metric", "", 30, 30, []float64{0, 15, 29.5}},
		{"whitworth", "", 27.5, 27.5, []float64{27}},
		{"acme", "", 14.5, 14.5, []float64{0, 14.5}},
		{"trapezoidal", "", 15, 15, []float64{15}},
		{"square", "", 0, 0, []float64{0}},
		{"buttress-metric", "load", 3, 30, []float64{0, 29}},
		{"buttress-metric", "clearance", 30, 3, []float64{3}},
	} {
		for _, infeed := range row.infeed {
			for _, flat := range []float64{0.1, 0.6} {
				for _, cut := range []struct{ first, least float64 }{{0.3, 0}, {0.25, 0.03}, {0.4, 0.15}, {0.5, 0.5}, {5, 0.05}} {
					name := fmt.Sprintf("%s %s, infeed %v°, flat %v, first cut %v, least %v", row.form, row.leadingFlank, infeed, flat, cut.first, cut.least)
					r := threadmath.Request{
						Thread: threadmath.Thread{Form: row.form, LeadingFlank: row.leadingFlank, Diameter: "40 mm", Pitch: "3 mm", Starts: count(2)},
						Cut: &threadmath.Cut{
							InfeedAngleDeg: &infeed, ToolFlat: fmt.Sprint(flat, " mm"), FirstCut: fmt.Sprint(cut.first, " mm"),
						},
					}
					if cut.least > 0 {
						r.Cut.LeastCut = fmt.Sprint(cut.least, " mm")
					}
					a, err := threadmath.Solve(r)
					require.NoError(t, err, name)
					require.NotEmpty(t, a.Infeed, name)
					for _, plan := range a.Infeed {
						c := noseCutter{flat, row.leading * radian, row.trailing * radian, plan.InfeedAngleDeg * radian}
						checkPasses(t, name+", fed by "+plan.FedBy, c, plan, depthOf(c, a), cut.first, cut.least)
					}
				}
			}
		}
	}
}

// depthOf is where the tool must end so that the groove is half a pitch wide at the
// pitch diameter: found by halving, on the blank at its nominal diameter.
func depthOf(c noseCutter, a threadmath.Answer) float64 {
	line := (a.MajorDiameter.MM() - a.PitchDiameter.MM()) / 2
	slope := math.Tan(c.leading) + math.Tan(c.trailing)
	if slope == 0 {
		return a.Depth.MM()
	}
	low, high := 0.0, line+a.Pitch.MM()/slope
	for range 200 {
		mid := (low + high) / 2
		if c.flat+(mid-line)*slope < a.Pitch.MM()/2 {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

func checkPasses(t *testing.T, name string, c noseCutter, plan threadmath.InfeedPlan, h, first, least float64) {
	t.Helper()
	require.NotEmpty(t, plan.Passes, name)
	depths := make([]float64, len(plan.Passes))
	for i, p := range plan.Passes {
		depths[i] = p.Depth.MM()
		assert.InDelta(t, p.Depth.MM(), p.Slide.MM()*math.Cos(c.infeed), 1e-9, "%s: along the slide", name)
	}
	require.InDelta(t, h, depths[len(depths)-1], 1e-9, name)

	// The trailing flank is not cut away: the finished groove is the tool's own shape at full depth.
	for y := 0.0; y < h; y += h / 50 {
		low, high := c.reach(h, y)
		require.InDelta(t, high-low, c.width(depths, y), 1e-9, "%s: width %v mm under the surface", name, y)
	}

	whole, firstChip := c.area([]float64{h}), c.area([]float64{math.Min(first, h)})
	n := int(math.Ceil(whole/firstChip - 1e-9))
	chips := c.chips(depths)
	sum, before := 0.0, 0.0
	for i, depth := range depths {
		step := depth - before
		if i < n && step >= least-1e-9 && math.Abs(chips[i]-whole/float64(n)) < 1e-9*whole {
			sum, before = sum+chips[i], depth
			continue
		}
		equal := sum + whole/float64(n)
		next, _ := leastBetween(func(x float64) float64 {
			return math.Abs(c.area(append(append([]float64{}, depths[:i]...), x)) - equal)
		}, before, h)
		if next-before >= least && i == len(depths)-1 {
			assert.Less(t, h-next, least/2+1e-6, "%s: a remainder under half of the smallest cut joins the last pass", name)
			return
		}
		// From here on steps of the smallest cut: an equal chip would be thinner than it.
		require.Less(t, next-before, least, "%s: pass %d could take an equal chip", name, i+1)
		for ; i < len(depths)-1; i++ {
			require.InDelta(t, least, depths[i]-before, 1e-9, "%s: pass %d", name, i+1)
			before = depths[i]
		}
		last := h - before
		assert.True(t, last > least/2-1e-9 && last < 1.5*least+1e-9, "%s: last step %v", name, last)
		return
	}
	assert.Len(t, depths, n, "%s: whole groove over the chip of the first cut, rounded up", name)
}
