package shop_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
)

// TestBenchCard goes through the three-start job: 6 mm of lead on a 6 mm screw,
// the compound parallel to the axis with 0.02 mm a division and 2 mm a turn.
func TestBenchCard(t *testing.T) {
	t.Parallel()
	c, err := shop.BenchCard(job(t, "three-start-m30"), "", curriculum.UnitsOfJob)
	require.NoError(t, err)
	assert.Equal(t, "compound-parallel", c.Method)
	assert.Equal(t, threadmath.FedByCrossSlide, c.FedBy, "the compound cannot feed as well")
	assert.Equal(t, "diameter", c.Reads)
	require.Len(t, c.Starts, 3)
	for i, want := range []struct {
		start int
		dial  string
	}{{1, "0 divisions (0.000 mm)"}, {3, "1 turns + 0 (2.000 mm)"}, {2, "2 turns + 0 (4.000 mm)"}} {
		assert.Equal(t, want.start, c.Starts[i].Start, "with the travel move i reaches start n+1−i")
		assert.Equal(t, want.dial, c.Starts[i].Dial)
	}
	require.Len(t, c.Passes, 16, "14 passes and 2 without infeed")
	assert.Equal(t, curriculum.CardPass{Name: "14", Dial: "134 divisions", Reading: "2.680 mm", Depth: "1.342 mm"}, c.Passes[13])
	assert.Equal(t, curriculum.ScratchProof{Turns: 5, Lead: "30.000 mm", Spacing: "2.000 mm"}, c.Proof)
	assert.Equal(t, "infeed-back", c.Cautions[0].ID)

	inch, err := shop.BenchCard(job(t, "three-start-m30"), "", curriculum.UnitsInch)
	require.NoError(t, err)
	both, err := shop.BenchCard(job(t, "three-start-m30"), "", curriculum.UnitsBoth)
	require.NoError(t, err)
	assert.Equal(t, "1.1811 in", inch.Proof.Lead, "five turns of 6 mm")
	assert.Equal(t, "30.000 mm (1.1811 in)", both.Proof.Lead)
	assert.Equal(t, c.Passes[0].Reading, inch.Passes[0].Reading, "a collar is read in what stands on it")
	c, err = shop.BenchCard(job(t, "three-start-m30"), threadmath.ChuckJaws, curriculum.UnitsOfJob)
	require.NoError(t, err)
	assert.Equal(t, threadmath.FedByCompound, c.FedBy, "jaws leave the compound free for the flank")
	require.NotNil(t, c.Holder)
	assert.Equal(t, "jaw 3", c.Starts[2].Dial)

	c, err = shop.BenchCard(job(t, "two-start-twelve-per-inch"), "", curriculum.UnitsOfJob)
	require.NoError(t, err)
	assert.Equal(t, "half-nut", c.Method)
	assert.Equal(t, "2 leadscrew threads on", c.Starts[1].Dial)
	assert.Contains(t, c.Between, "line 0, 1, 2, 3, 4, 5, 6, 7")
}

// TestRefusedCards: what must not be cut is not printed, with every reason.
func TestRefusedCards(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		method string
		change func(*threadmath.Request)
		paths  []string
		why    string
	}{
		"margin fails":    {"", func(r *threadmath.Request) { *r.Cut.SpindleRPM = 60 }, []string{"/cut/spindle_rpm"}, "57.1 rev/min, the lathe's next lower one 40"},
		"no speed":        {"", func(r *threadmath.Request) { r.Cut.SpindleRPM = nil }, []string{"/cut/spindle_rpm"}, "not given"},
		"not its speed":   {"", func(r *threadmath.Request) { *r.Cut.SpindleRPM = 41 }, []string{"/cut/spindle_rpm"}, "no speed of 41"},
		"no groove":       {"", func(r *threadmath.Request) { r.Cut.Groove = "" }, []string{"/cut/withdrawal_mark"}, "no withdrawal mark"},
		"tool too wide":   {"", func(r *threadmath.Request) { r.Cut.ToolWidth, r.Cut.WithdrawalMark = "8 mm", "46 mm" }, []string{"/cut/groove"}, "as wide as the groove"},
		"no such lead":    {"", func(r *threadmath.Request) { r.Lathe.Gearbox = []string{"2 mm", "4 mm"} }, []string{"/lathe/gearbox"}, "2 mm is the pitch"},
		"no length":       {"", func(r *threadmath.Request) { r.Thread.Length = "" }, []string{"/thread/length"}, "length"},
		"no passes":       {"", func(r *threadmath.Request) { r.Cut.FirstCut = "" }, []string{"/cut/first_cut"}, "passes"},
		"no collar":       {"", func(r *threadmath.Request) { r.Lathe.CrossSlide = nil }, []string{"/lathe/cross_slide"}, "nothing to dial"},
		"dial of no use":  {"thread-dial", func(*threadmath.Request) {}, []string{"?method"}, "no dial has a line"},
		"no such method":  {"magic", func(*threadmath.Request) {}, []string{"?method"}, "no method"},
		"pitch and speed": {"", func(r *threadmath.Request) { r.Cut.Groove = ""; r.Thread.Length = "" }, []string{"/thread/length", "/cut/withdrawal_mark"}, ""},
		"no way": {"", func(r *threadmath.Request) {
			r.Lathe.CompoundSlide, r.Lathe.Holders, r.Lathe.StudGear, r.Lathe.LeadscrewGear = nil, nil, nil, nil
		}, []string{"/lathe"}, "no way from start to start"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := job(t, "three-start-m30")
			c.change(&r)
			_, err := shop.BenchCard(r, c.method, curriculum.UnitsOfJob)
			var refused *curriculum.RefusedCard
			require.ErrorAs(t, err, &refused)
			require.ErrorIs(t, err, curriculum.ErrInvalid)
			var paths []string
			for _, x := range refused.Reasons {
				paths = append(paths, x.Path)
			}
			assert.Equal(t, c.paths, paths)
			assert.Contains(t, err.Error(), c.why)
		})
	}
	marked := job(t, "three-start-m30")
	marked.Cut.Groove, marked.Cut.WithdrawalMark = "", "46 mm"
	c, err := shop.BenchCard(marked, "", curriculum.UnitsOfJob)
	require.NoError(t, err, "a mark stands in for a groove")
	assert.Contains(t, c.SetUp, "Withdrawal mark made 46.000 mm from the end where the thread begins")
	closed := job(t, "metric-on-an-inch-lathe")
	_, err = shop.BenchCard(closed, "half-nut", curriculum.UnitsOfJob)
	assert.ErrorContains(t, err, "stays closed for this lead")
}

// TestCardsOfEveryMethod prints what each usable method of the jobs says: a
// row for every start, each start once, nothing left open.
func TestCardsOfEveryMethod(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, name := range []string{"three-start-m30", "two-start-twelve-per-inch", "four-start-acme-nut", "metric-on-an-inch-lathe"} {
		r := job(t, name)
		r.Cut.Groove, r.Cut.WithdrawalMark, r.Cut.CoastTurns = "", "3 in", nil
		slide := threadmath.Slide{Graduation: "0.02 mm", PerTurn: "4 mm", Reads: "diameter"}
		r.Lathe.CrossSlide = &slide
		a, err := threadmath.Solve(r)
		require.NoError(t, err)
		for _, m := range a.Methods {
			c, err := shop.BenchCard(r, m.Method, curriculum.UnitsOfJob)
			if !m.Usable {
				require.Error(t, err)
				continue
			}
			if err != nil {
				require.ErrorContains(t, err, "half-nut", "%s by %s", name, m.Method)
				continue
			}
			seen[m.Method] = true
			starts := map[int]bool{}
			for _, s := range c.Starts {
				starts[s.Start] = true
				assert.NotEmpty(t, s.Dial)
				assert.NotEmpty(t, s.How)
			}
			assert.Len(t, starts, len(a.Starts), "%s by %s", name, m.Method)
			assert.Len(t, c.Starts, len(a.Starts))
		}
	}
	for _, m := range []string{"thread-dial", "half-nut", "carriage-shift", "compound-parallel", "compound-angled", "chuck-jaws", "faceplate-slots", "drive-plate-slots", "stud-gear", "leadscrew-gear"} {
		assert.True(t, seen[m], m)
	}
}
