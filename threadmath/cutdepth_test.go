package threadmath

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// cutFrom turns the blank to a diameter, cuts to the depth with the preset for
// that blank, and returns the pitch diameter: where the groove that a nose of flat f
// leaves is half a pitch wide.
func cutFrom(t *testing.T, q Request, blank string) (pitchDiameter float64, a Answer) {
	t.Helper()
	cut := Cut{}
	if q.Cut != nil {
		cut = *q.Cut
	}
	cut.MeasuredBlank = blank
	q.Cut = &cut
	a, err := Solve(q)
	require.NoError(t, err)
	require.NotNil(t, a.CutDepth)
	require.NotNil(t, a.CutDepth.Preset, a.CutDepth.Why)
	b, _, err := ParseLength(blank)
	require.NoError(t, err)
	f, err := FormOf(q.Thread.Form)
	require.NoError(t, err)
	cost, ok := PitchDiameterCost(f, 1) // 2/(tan α1 + tan α2)
	require.True(t, ok)
	deep := a.CutDepth.Depth.MM() - a.CutDepth.Preset.MM()
	line := deep - (a.Pitch.MM()/2-a.CutDepth.Flat.MM())*cost/2 // from the blank's surface
	if q.Thread.Side == "internal" {
		return b.MM() + 2*line, a
	}
	return b.MM() - 2*line, a
}

// TestDepthFromTheMeasuredBlank: from every blank that the class permits the depth
// comes to the middle of the pitch diameter's limits, with the nose as ground. The
// blanks are those that spoilt their threads while the depth was counted from
// wherever the tool touched.
func TestDepthFromTheMeasuredBlank(t *testing.T) {
	t.Parallel()
	two, three := ref(Count(2)), ref(Count(3))
	for _, row := range []struct {
		thread Thread
		cut    *Cut
		blanks []string
	}{
		{Thread{Form: "iso-metric", Diameter: "30 mm", Pitch: "2 mm", Starts: three, Class: "6g"}, nil, []string{"29.682 mm", "29.8 mm", "29.962 mm"}},
		{Thread{Form: "iso-metric", Diameter: "30 mm", Pitch: "2 mm", Starts: three, Class: "6g"}, &Cut{ToolFlat: "0.25 mm"}, []string{"29.682 mm", "29.962 mm"}},
		{Thread{Form: "iso-metric", Side: "internal", Diameter: "30 mm", Pitch: "2 mm", Class: "6H"}, nil, []string{"27.835 mm", "28.210 mm"}},
		{Thread{Form: "unified", Diameter: "5/8 in", Pitch: "11 tpi", Class: "2A"}, nil, []string{"0.6173 in", "0.6203 in", "0.6233 in"}},
		{Thread{Form: "trapezoidal", Diameter: "40 mm", Pitch: "7 mm", Starts: two, Class: "7e"}, nil, []string{"39.6 mm", "40 mm"}},
		{Thread{Form: "acme", Diameter: "1 in", Pitch: "5 tpi", Starts: two, Class: "2G"}, nil, []string{"0.995 in", "1 in"}},
	} {
		for _, blank := range row.blanks {
			got, a := cutFrom(t, Request{Thread: row.thread, Cut: row.cut}, blank)
			limits := a.Limits.PitchDiameter
			assert.InDelta(t, (limits.Max.MM()+limits.Min.MM())/2, got, 1e-9, "%s from %s", row.thread.Diameter, blank)
			assert.InDelta(t, a.CutDepth.Aim.MM(), got, 1e-9)
		}
	}
}

// TestDepthWithoutAClass is the form's own, exactly.
func TestDepthWithoutAClass(t *testing.T) {
	t.Parallel()
	for _, f := range Forms() {
		a, err := Solve(Request{Thread: Thread{Form: f.Slug, Diameter: "40 mm", Pitch: "3 mm"}})
		require.NoError(t, err, f.Slug)
		assert.Equal(t, *a.Depth, a.CutDepth.Depth, f.Slug)
		assert.True(t, *a.CutDepth.RootClears, f.Slug)
	}
}

// TestFlatNoses: a nose ground too flat ends before the mate's crest, and one as
// wide as the groove cuts nothing. ISO metric, P 2: a flat of P/4 = 0.5 mm ends 5/8 H
// below the crest, at the mate's own minor diameter.
func TestFlatNoses(t *testing.T) {
	t.Parallel()
	solve := func(flat string) (Answer, error) {
		return Solve(Request{Thread: Thread{Form: "iso-metric", Diameter: "30 mm", Pitch: "2 mm"}, Cut: &Cut{ToolFlat: flat}})
	}
	for flat, clears := range map[string]bool{"0.25 mm": true, "0.5 mm": true, "0.55 mm": false} {
		a, err := solve(flat)
		require.NoError(t, err)
		assert.Equal(t, clears, *a.CutDepth.RootClears, flat)
	}
	sharp, err := solve("0.01 mm")
	require.NoError(t, err)
	assert.Greater(t, sharp.CutDepth.Depth.MM(), sharp.Depth.MM())
	_, err = solve("6 mm")
	var d *DomainError
	require.ErrorAs(t, err, &d)
	assert.Equal(t, "/cut/tool_flat", d.Quantity)
}

// TestBlanksBesideTheirSize: no preset above the largest blank, a word below the
// smallest.
func TestBlanksBesideTheirSize(t *testing.T) {
	t.Parallel()
	preset := func(side, class, blank string) *CutDepth {
		a, err := Solve(Request{Thread: Thread{Form: "iso-metric", Side: side, Diameter: "30 mm", Pitch: "2 mm", Class: class}, Cut: &Cut{MeasuredBlank: blank}})
		require.NoError(t, err)
		return a.CutDepth
	}
	over := preset("external", "6g", "29.97 mm")
	assert.Nil(t, over.Preset)
	assert.Contains(t, over.Why, "turn it again")
	assert.Contains(t, preset("internal", "6H", "27.8 mm").Why, "bore it again")
	assert.Contains(t, preset("external", "6g", "29.6 mm").Why, "smaller than its class")
	assert.Contains(t, preset("internal", "6H", "28.3 mm").Why, "larger than its class")
	assert.Contains(t, preset("external", "", "29.5 mm").Why, "twentieth")
	assert.Empty(t, preset("external", "", "29.95 mm").Why)
}
