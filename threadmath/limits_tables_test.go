package threadmath

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// r40 is the R40 series of preferred numbers as tolerance tables use it
// (ISO 3, rounded values of ISO 965-1 below 100): one decade, ten times.
var r40 = []float64{100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300,
	315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850, 900, 950}

// r40Place returns which R40 number a tolerance is, counted from 100 µm; ok is
// false when the number is not in the series (below 100 µm to the nearest µm).
func r40Place(um int) (place int, ok bool) {
	for decade := -1; decade <= 1; decade++ {
		for i, n := range r40 {
			if math.Abs(n*math.Pow10(decade)-float64(um)) <= 0.51 {
				return 40*decade + i, true
			}
		}
	}
	return 0, false
}

// TestISO965TablesStep holds every entry of the tables to the series that the
// standard rounds to, and neighbouring grades to the standard's ratio 1.25,
// four R40 places: an error of memory in any digit breaks one of the two.
func TestISO965TablesStep(t *testing.T) {
	t.Parallel()
	steps := func(name string, widths []int, places int) {
		last, seen := 0, false
		for _, w := range widths {
			if w == 0 {
				continue
			}
			place, ok := r40Place(w)
			assert.True(t, ok, "%s: %d is no R40 number", name, w)
			if seen {
				// One place of play below 100 µm, where numbers are rounded to whole µm.
				play := 0.0
				// Td of grade 8 at P 8 is 1180 in the table: 1.6·719 = 1150 lies
				// half-way between two places.
				if w < 100 || name == "Td" && w == 1180 {
					play = 1
				}
				assert.InDelta(t, places, place-last, play, "%s: %v", name, widths)
			}
			last, seen = place, true
		}
	}
	for p, row := range iso965Pitches {
		steps("Td", row.td[:], 8)
		steps("TD1", row.td1[:], 4)
		_ = p
	}
	for _, step := range iso965Steps {
		for p, w := range step.pitches {
			steps("Td2", w.external[:], 4)
			steps("TD2", w.internal[:], 4)
			assert.Contains(t, iso965Pitches, p)
		}
	}
	for _, step := range trapezoidalSteps {
		for p, w := range step.pitches {
			steps("Tr Td2", w.external[:], 4)
			steps("Tr TD2", w.internal[:], 4)
			assert.Contains(t, trapezoidalPitches, p)
		}
	}
}

// TestISO965TablesFollowFormulas compares every entry with the formulas of
// ISO 965-1 clause 13 (from memory; they agree with the published values). The
// tables stand where they differ, so the play is one R40 place, 6 %, and half
// a place of rounding.
func TestISO965TablesFollowFormulas(t *testing.T) {
	t.Parallel()
	near := func(name string, pitch int, table int, formula float64) {
		if table == 0 {
			return
		}
		assert.InEpsilon(t, formula, float64(table), 0.075, "%s at pitch %d", name, pitch)
	}
	for pitch, row := range iso965Pitches {
		p := float64(pitch) / 1000
		assert.InDelta(t, 15+11*p, float64(row.g), 4.5, "es(g) at %d", pitch)
		if row.f != 0 && pitch >= 500 {
			assert.InDelta(t, 30+11*p, float64(row.f), 4.5, "es(f) at %d", pitch)
		}
		if row.e != 0 {
			assert.InDelta(t, 50+11*p, float64(row.e), 5.5, "es(e) at %d", pitch)
		}
		near("Td", pitch, row.td[1], 180*math.Cbrt(p*p)-3.15/math.Sqrt(p))
		td1 := 230 * math.Pow(p, 0.7)
		if p < 1 {
			td1 = 433*p - 190*math.Pow(p, 1.22)
		}
		near("TD1", pitch, row.td1[2], td1)
	}
	last := 990
	for _, step := range iso965Steps {
		// The middle of a step; the first begins at 0.99.
		d := math.Sqrt(float64(last)*float64(step.upTo)) / 1000
		for pitch, w := range step.pitches {
			td2 := 90 * math.Pow(float64(pitch)/1000, 0.4) * math.Pow(d, 0.1)
			near("Td2", pitch, w.external[3], td2)
			near("TD2", pitch, w.internal[2], 1.32*td2)
		}
		last = step.upTo
	}
	last = 5600
	for _, step := range trapezoidalSteps {
		d := math.Sqrt(float64(last)*float64(step.upTo)) / 1000
		for pitch, w := range step.pitches {
			// ISO 2903 builds on ISO 965-1: grade 7 is 1.25 of grade 6, and the
			// internal tolerance 1.7 of the external grade 6.
			td2 := 90 * math.Pow(float64(pitch)/1000, 0.4) * math.Pow(d, 0.1)
			near("Tr Td2", pitch, w.external[0], 1.25*td2)
			near("Tr TD2", pitch, w.internal[0], 1.7*td2)
		}
		last = step.upTo
	}
	for pitch, row := range trapezoidalPitches {
		p := float64(pitch) / 1000
		near("Tr Td", pitch, row.td, 0.63*(180*math.Cbrt(p*p)-3.15/math.Sqrt(p)))
		near("Tr TD1", pitch, row.td1, 0.63*230*math.Pow(p, 0.7))
	}
}
