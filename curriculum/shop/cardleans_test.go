package shop_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
)

// TestCardsNameWhatTheyLeanOn: the entries are those that the method, the infeed
// and the run-out of the card take their numbers from, and no others.
func TestCardsNameWhatTheyLeanOn(t *testing.T) {
	t.Parallel()
	coast, room := 1.5, "80 mm"
	closed := func(r *threadmath.Request) {
		r.Cut.CoastTurns, r.Cut.Room, r.Cut.Groove = &coast, room, ""
	}
	for _, c := range []struct {
		job, method string
		change      func(*threadmath.Request)
		entries     []string
	}{
		{"three-start-m30", "", nil, []string{"leadscrew", "compound-slide", "cross-slide", "gearbox-3", "run-out-groove"}},
		{"three-start-m30", threadmath.ChuckJaws, nil, []string{"leadscrew", "compound-slide", "holder-1", "gearbox-3", "run-out-groove"}},
		{"three-start-m30", threadmath.FaceplateSlots, nil, []string{"leadscrew", "compound-slide", "holder-2", "gearbox-3", "run-out-groove"}},
		{"three-start-m30", "stud-gear", nil, []string{"leadscrew", "compound-slide", "stud-gear", "gearbox-3", "run-out-groove"}},
		{"two-start-twelve-per-inch", "half-nut", nil, []string{"leadscrew", "thread-dial-1", "compound-slide", "gearbox-2", "run-out-groove"}},
		{"three-start-m30", "", func(r *threadmath.Request) { r.Thread.Pitch, r.Lathe.Gearbox = "4/3 mm", []string{"4 mm"} },
			[]string{"leadscrew", "thread-dial-1", "compound-slide", "holder-1", "gearbox-1", "run-out-groove"}}, // jaws; lead 4 mm on a 6 mm screw comes back by the dial
		{"metric-on-an-inch-lathe", "", func(r *threadmath.Request) {
			closed(r)
			r.Lathe.CompoundSlide, r.Lathe.SpindleSpeeds = &threadmath.Slide{Graduation: "0.001 in"}, []float64{45, 70}
			r.Lathe.CrossSlide = r.Lathe.CompoundSlide
		}, []string{"leadscrew", "compound-slide", "cross-slide", "change-gears", "coast-1"}},
	} {
		r := job(t, c.job)
		if c.change != nil {
			c.change(&r)
		}
		card, err := shop.BenchCard(r, c.method, curriculum.UnitsOfJob)
		require.NoError(t, err, "%s %s", c.job, c.method)
		var entries []string
		for _, p := range card.Leans {
			entries = append(entries, p.Entry)
			assert.False(t, p.Proved)
			if p.Entry == "coast-1" {
				assert.Equal(t, "1.5 turns at 45 rev/min", p.Is)
			}
		}
		assert.Equal(t, c.entries, entries, "%s %s by %s", c.job, c.method, card.Method)
	}
	card, err := shop.BenchCard(job(t, "three-start-m30"), "", curriculum.UnitsOfJob)
	require.NoError(t, err)
	card.Prove([]curriculum.LatheCheck{{Entry: "leadscrew", Stated: card.Leans[0].Stated, Agrees: true}})
	assert.True(t, card.Leans[0].Proved)
	assert.False(t, card.Leans[1].Proved)
}
