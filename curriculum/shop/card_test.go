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
	c, err := shop.BenchCard(job(t, "three-start-m30"), threadmath.ByCompoundParallel, curriculum.UnitsOfJob)
	require.NoError(t, err)
	assert.Equal(t, threadmath.FedByCrossSlide, c.Infeed.FedBy, "the compound cannot feed as well")
	assert.Equal(t, "diameter", c.Infeed.Reads)
	require.Len(t, c.Starts, 3)
	for i, want := range []struct {
		start     int
		dial      string
		carriage  string
		withSlide float64
	}{
		{1, "compound 0 divisions (0.000 mm)", "45.000 mm", 0},
		{3, "compound 1 turn + 0 (2.000 mm)", "43.000 mm", 2},
		{2, "compound 2 turns + 0 (4.000 mm)", "41.000 mm", 4},
	} {
		assert.Equal(t, want.start, c.Starts[i].Start, "with the travel move i reaches start n+1−i")
		assert.Equal(t, want.dial, c.Starts[i].Dial)
		assert.Equal(t, want.carriage, c.Starts[i].CarriageAt.Text, "the mark on the bed goes back by what the slide went ahead")
		assert.InDelta(t, want.withSlide, c.Starts[i].Compound.Reading.MM, 1e-12)
	}
	last := c.Passes[len(c.Passes)-1]
	assert.True(t, last.Spring)
	assert.Len(t, last.Readings, 3)
	assert.Equal(t, curriculum.CardSetting{Text: "134 divisions", Divisions: 134, Reading: curriculum.CardSize{Text: "2.680 mm", MM: 2.68}}, last.Readings[0])
	assert.Zero(t, c.Passes[0].Readings[2].Reading.MM)
	assert.Equal(t, "30.000 mm", c.Proof.Lead.Text)
	assert.Equal(t, "2.000 mm", c.Proof.Spacing.Text)
	assert.Equal(t, "infeed-back", c.Cautions[0].ID)
	assert.Equal(t, curriculum.HandOpens, c.RunOut.Hand)
	assert.InDelta(t, 45+2.8, c.RunOut.StillBy.MM, 1e-9) // 6 mm · 40/60 · 0.7 s
	assert.InDelta(t, 49, c.RunOut.Limit.MM, 1e-9)       // half of the groove of 8 mm

	inch, err := shop.BenchCard(job(t, "three-start-m30"), threadmath.ByCompoundParallel, curriculum.UnitsInch)
	require.NoError(t, err)
	both, err := shop.BenchCard(job(t, "three-start-m30"), threadmath.ByCompoundParallel, curriculum.UnitsBoth)
	require.NoError(t, err)
	assert.Equal(t, "1.1811 in", inch.Proof.Lead.Text, "five turns of 6 mm")
	assert.Equal(t, "30.000 mm (1.1811 in)", both.Proof.Lead.Text)
	assert.InDelta(t, 1.1811*25.4, inch.Proof.Lead.MM, 1e-9, "what stands on the card, not what it was rounded from")
	assert.Equal(t, c.Passes[1].Readings, inch.Passes[1].Readings, "a collar is read in what stands on it")
	c, err = shop.BenchCard(job(t, "three-start-m30"), threadmath.ChuckJaws, curriculum.UnitsOfJob)
	require.NoError(t, err)
	assert.Equal(t, threadmath.FedByCompound, c.Infeed.FedBy, "jaws leave the compound free for the flank")
	require.NotNil(t, c.Holder)
	assert.Equal(t, "jaw 3", c.Starts[2].Dial)
	assert.Contains(t, c.Starts[2].How, "never turn the work in a grip")
	assert.Greater(t, c.RunOut.StillBy.MM, 47.8, "a compound at its angle brings the tool further along")
}

// TestReadingsOfEveryStart: where the compound feeds and goes from start to start,
// every start has readings of its own, and winding back is to that start's place.
func TestReadingsOfEveryStart(t *testing.T) {
	t.Parallel()
	r := job(t, "three-start-m30")
	_, err := shop.BenchCard(r, threadmath.ByCompoundAngled, curriculum.UnitsOfJob)
	require.ErrorContains(t, err, "more than half of what the class allows", "a base set by its graduations")
	fine := 0.02
	r.Lathe.CompoundSlide.BaseErrorDeg = &fine
	c, err := shop.BenchCard(r, threadmath.ByCompoundAngled, curriculum.UnitsOfJob)
	require.NoError(t, err)
	for i, s := range c.Starts {
		assert.Equal(t, s.Compound.Reading, c.Passes[0].Readings[i].Reading, "row 0 does not undo the index")
		for k := 1; k < len(c.Passes); k++ {
			assert.InDelta(t, c.Passes[k].Readings[0].Reading.MM, c.Passes[k].Readings[i].Reading.MM-s.Compound.Reading.MM, 1e-9)
		}
		assert.NotNil(t, s.CrossSlide)
	}
	assert.InDelta(t, 2/0.4924235601, c.Starts[1].Compound.Reading.MM, 0.011) // P/sin 29.5°
}

// TestTheStop: before the last passes all starts stand equally deep and are measured.
func TestTheStop(t *testing.T) {
	t.Parallel()
	c, err := shop.BenchCard(job(t, "three-start-m30"), threadmath.ByCompoundParallel, curriculum.UnitsOfJob)
	require.NoError(t, err)
	m := c.Measure
	assert.Equal(t, curriculum.MeasureOverWires, m.By)
	assert.Less(t, m.AfterPass, len(c.Passes)-1-m.SpringPasses)
	assert.Greater(t, m.Expected.MM, m.Max.MM, "there is still something to go")
	assert.InDelta(t, (m.Max.MM+m.Min.MM)/2, m.Aim.MM, 0.0011)
	assert.InDelta(t, 1, m.CollarPerMM, 1e-12, "a collar that reads diameter")
	stop := c.Passes[m.AfterPass].Readings[0].Reading.MM
	full := c.Passes[len(c.Passes)-1].Readings[0].Reading.MM
	assert.InDelta(t, full-stop, m.Expected.MM-m.Aim.MM, 0.011, "what is to go brings the collar to the last reading")
}

// TestRefusedCards: what must not be cut is not printed, with every reason.
func TestRefusedCards(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(*threadmath.Request)
		paths  []string
		why    string
	}{
		"margin fails":           {func(r *threadmath.Request) { *r.Cut.SpindleRPM = 60 }, []string{"/cut/spindle_rpm"}, "open the groove to 8.4 mm, or run at 40 rev/min or less"},
		"no speed":               {func(r *threadmath.Request) { r.Cut.SpindleRPM = nil }, []string{"/cut/spindle_rpm"}, "not given"},
		"not its speed":          {func(r *threadmath.Request) { *r.Cut.SpindleRPM = 41 }, []string{"/cut/spindle_rpm"}, "no speed of 41 rev/min: choose one that it has: 40, 60"},
		"no reaction":            {func(r *threadmath.Request) { r.Cut.ReactionS = nil }, []string{"/cut/reaction_s"}, "unknown time is no permission"},
		"no room":                {func(r *threadmath.Request) { r.Cut.Groove = "" }, []string{"/cut/room"}, "give the groove, or the room"},
		"a mark is none":         {func(r *threadmath.Request) { r.Cut.Groove, r.Cut.WithdrawalMark = "", "46 mm" }, []string{"/cut/room"}, "a mark makes none"},
		"mark too far":           {func(r *threadmath.Request) { r.Cut.WithdrawalMark = "48 mm" }, []string{"/cut/spindle_rpm"}, "the room ends at 49.000 mm"},
		"room too small":         {func(r *threadmath.Request) { r.Cut.Groove, r.Cut.Room = "", "2.5 mm" }, []string{"/cut/spindle_rpm"}, "make room for 2.8 mm (the lathe has no speed that is slow enough)"},
		"tool too wide":          {func(r *threadmath.Request) { r.Cut.ToolWidth, r.Cut.WithdrawalMark = "8 mm", "46 mm" }, []string{"/cut/groove"}, "leaves the tool no room"},
		"no such lead":           {func(r *threadmath.Request) { r.Lathe.Gearbox = []string{"2 mm", "4 mm"} }, []string{"/lathe/gearbox"}, "2 mm is the pitch"},
		"no length":              {func(r *threadmath.Request) { r.Thread.Length = "" }, []string{"/thread/length"}, "length"},
		"no passes":              {func(r *threadmath.Request) { r.Cut.FirstCut = "" }, []string{"/cut/first_cut"}, "passes"},
		"a first cut that tears": {func(r *threadmath.Request) { r.Cut.FirstCut = "0.9 mm" }, []string{"/cut/first_cut"}, "cut 0.500 mm or less"},
		"no collar":              {func(r *threadmath.Request) { r.Lathe.CrossSlide = nil }, []string{"/lathe/cross_slide/graduation"}, "nothing to dial"},
		"nose too flat":          {func(r *threadmath.Request) { r.Cut.ToolFlat = "0.6 mm" }, []string{"/cut/tool_flat"}, "ends before the crest"},
		"blank too big":          {func(r *threadmath.Request) { r.Cut.MeasuredBlank = "29.97 mm" }, []string{"/cut/measured_blank"}, "turn it again"},
		"left hand":              {func(r *threadmath.Request) { r.Thread.Hand = "left" }, []string{"/cut/starting_groove"}, "turn a starting groove of 9.0 mm"},
		"narrow beginning":       {func(r *threadmath.Request) { r.Thread.Hand, r.Cut.StartingGroove = "left", "8 mm" }, []string{"/cut/starting_groove"}, "does not take the tool and one lead"},
		"all at once": {func(r *threadmath.Request) { r.Cut.Groove, r.Thread.Length, r.Cut.ReactionS = "", "", nil },
			[]string{"/thread/length", "/cut/reaction_s", "/cut/room"}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := job(t, "three-start-m30")
			c.change(&r)
			_, err := shop.BenchCard(r, threadmath.ByCompoundParallel, curriculum.UnitsOfJob)
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
	r := job(t, "three-start-m30")
	_, err := shop.BenchCard(r, threadmath.ByThreadDial, curriculum.UnitsOfJob)
	assert.ErrorContains(t, err, "no dial has a line")
	_, err = shop.BenchCard(r, "magic", curriculum.UnitsOfJob)
	assert.ErrorContains(t, err, "no method")
	r.Lathe.CompoundSlide, r.Lathe.Holders, r.Lathe.StudGear, r.Lathe.LeadscrewGear = nil, nil, nil, nil
	_, err = shop.BenchCard(r, "", curriculum.UnitsOfJob)
	assert.ErrorContains(t, err, "no way from start to start")
	closed := job(t, "metric-on-an-inch-lathe")
	_, err = shop.BenchCard(closed, threadmath.ByHalfNut, curriculum.UnitsOfJob)
	assert.ErrorContains(t, err, "leadscrew threads to count")
}

// TestCardsOfEveryMethod prints what each usable method of the jobs says: a
// row for every start, each start once, nothing left open.
func TestCardsOfEveryMethod(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, name := range []string{"three-start-m30", "two-start-twelve-per-inch", "four-start-acme-nut", "metric-on-an-inch-lathe"} {
		r := job(t, name)
		coast := 1.5
		r.Cut.Groove, r.Cut.Room, r.Cut.CoastTurns, r.Thread.Hand = "", "8 in", &coast, ""
		slide := threadmath.Slide{Graduation: "0.02 mm", PerTurn: "4 mm", Reads: "diameter"}
		closing := 400.0
		r.Lathe.CrossSlide, r.Lathe.ClosingRPM = &slide, &closing
		if r.Lathe.CompoundSlide != nil {
			fine := 0.01
			r.Lathe.CompoundSlide.BaseErrorDeg = &fine
		}
		a, err := threadmath.Solve(r)
		require.NoError(t, err)
		for _, m := range a.Methods {
			c, err := shop.BenchCard(r, m.Method, curriculum.UnitsOfJob)
			if !m.Usable {
				require.Error(t, err)
				continue
			}
			if err != nil {
				require.ErrorContains(t, err, "more than half", "%s by %s", name, m.Method)
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
