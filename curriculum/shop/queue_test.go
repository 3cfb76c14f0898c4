package shop_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halfnut/curriculum/shop"
)

// The shop's own figures: each lathe calls every 8 minutes for 1.5 minutes.
// Computed twice by hand-written scripts before this package existed.
func TestHelpOfTheShop(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lathes, instructors int
		wait, busy          float64
	}{{4, 1, 0.9, 0.58}, {6, 1, 2.0, 0.78}, {8, 1, 3.6, 0.91}, {10, 1, 5.9, 0.97}} {
		w := shop.Help(c.lathes, 8, 1.5, c.instructors)
		assert.InDelta(t, c.wait, w.Minutes, 0.05, "%d lathes", c.lathes)
		assert.InDelta(t, c.busy, w.Busy, 0.005, "%d lathes", c.lathes)
	}
	assert.InDelta(t, 0.4, shop.Help(8, 8, 1.5, 2).Minutes, 0.05)
}

// L. G. Peck and R. N. Hazelwood, Finite Queuing Tables (1958), population 5, as
// reproduced in a lecture on limited-population queues (read in a copy): service
// factor X = T/(T+U), D the probability that a call must wait, F the efficiency
// (T+U)/(T+U+W).
func TestFiniteQueuingTables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		x    float64
		m    int
		d, f float64
	}{
		{.012, 1, .048, .999}, {.025, 1, .100, .997}, {.050, 1, .198, .989},
		{.060, 2, .020, .999}, {.060, 1, .237, .983}, {.070, 2, .027, .999}, {.070, 1, .275, .977},
		{.080, 2, .035, .998}, {.080, 1, .313, .969}, {.090, 2, .044, .998}, {.090, 1, .350, .960},
		{.100, 2, .054, .997}, {.100, 1, .386, .950},
	} {
		w := shop.Help(5, 1-c.x, c.x, c.m) // T + U = 1
		assert.InDelta(t, c.d, w.MustWait, 0.0005, "D at X %v, M %d", c.x, c.m)
		assert.InDelta(t, c.f, 1/(1+w.Minutes), 0.0005, "F at X %v, M %d", c.x, c.m)
	}
}

// A published exercise (three machines that run 10 h, two repairers who take 8 h;
// solution read on a question-and-answer page): P0 = 250/1522, both busy
// 336/761, which gives P1 = 600/1522.
func TestThreeMachinesTwoRepairers(t *testing.T) {
	t.Parallel()
	w := shop.Help(3, 10, 8, 2)
	assert.InDelta(t, (600.0/1522+2*672.0/1522)/2, w.Busy, 1e-12)
}

func TestHelpProperties(t *testing.T) {
	t.Parallel()
	for lathes := 1; lathes < 40; lathes++ {
		for helpers := 1; helpers < 5; helpers++ {
			w := shop.Help(lathes, 8, 1.5, helpers)
			// Little's law over the whole cycle of one lathe: run, wait, be helped.
			calls := float64(lathes) / (8 + w.Minutes + 1.5)
			assert.InDelta(t, calls*1.5/float64(helpers), w.Busy, 1e-12)
			assert.LessOrEqual(t, w.Minutes, shop.Help(lathes+1, 8, 1.5, helpers).Minutes+1e-12)
			if lathes <= helpers {
				assert.InDelta(t, 0, w.Minutes, 1e-12)
				assert.Zero(t, w.MustWait)
			}
		}
	}
	assert.InDelta(t, 1, shop.Help(1000, 0.01, 1, 1).Busy, 1e-9, "many lathes that never run keep one instructor busy")
}
