package curriculum_test

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

func TestEntriesOfALathe(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	var names []string
	is := map[string]string{}
	for _, e := range curriculum.EntriesOf(lathes[1]) {
		names = append(names, e.Entry)
		is[e.Entry] = e.Part + ": " + e.Is
	}
	assert.Equal(t, []string{"leadscrew", "thread-dial-1", "thread-dial-2", "thread-dial-3", "compound-slide", "cross-slide", "holder-1", "holder-2", "holder-3",
		"stud-gear", "leadscrew-gear", "change-gears", "gearbox-1"}, names[:13])
	assert.Equal(t, []string{"coast-7", "run-out-groove"}, names[len(names)-2:])
	assert.Equal(t, "Leadscrew: 6 mm", is["leadscrew"])
	assert.Equal(t, "Thread dial: gear of 21 teeth, 3 lines, numbers run up", is["thread-dial-2"])
	assert.Equal(t, "Cross-slide: collar of 0.02 mm a division, reads diameter, 4 mm a turn", is["cross-slide"])
	assert.Equal(t, "Coast: at 600 rev/min", is["coast-7"])
	assert.Empty(t, curriculum.EntriesOf(threadmath.Lathe{}))
	two := threadmath.Count(2)
	assert.Equal(t, "6 mm, 2 starts", curriculum.EntriesOf(threadmath.Lathe{Leadscrew: "6 mm", LeadscrewStarts: &two})[0].Is)
}

// TestProve follows a leadscrew and the settings of a gearbox through checks and
// changes.
func TestProve(t *testing.T) {
	t.Parallel()
	l := threadmath.Lathe{Leadscrew: "6 mm", Gearbox: []string{"2 mm", "4 mm"}, SpindleSpeeds: []float64{60}}
	at := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	check := func(days int, entry string, agrees bool) curriculum.LatheCheck {
		for _, e := range curriculum.EntriesOf(l) {
			if e.Entry == entry {
				return curriculum.LatheCheck{Entry: entry, Stated: e.Stated, Predicted: "1.5", Measured: "1.25", Agrees: agrees, At: at.AddDate(0, 0, days)}
			}
		}
		t.Fatal(entry)
		return curriculum.LatheCheck{}
	}
	words := func(checks ...curriculum.LatheCheck) map[string]string {
		out := map[string]string{}
		for _, p := range curriculum.Prove(curriculum.EntriesOf(l), checks) {
			if p.Entry != curriculum.RunOutGroove {
				out[p.Entry] = p.Words()
			}
		}
		return out
	}
	const never = "unproved"
	assert.Equal(t, map[string]string{"leadscrew": never, "gearbox-1": never, "gearbox-2": never, "coast-1": never}, words())

	good, four := check(0, "leadscrew", true), check(1, "gearbox-2", true)
	assert.Equal(t, map[string]string{"leadscrew": "proved 2 Mar 2026", "gearbox-1": never, "gearbox-2": "proved 3 Mar 2026", "coast-1": never}, words(good, four))
	assert.Equal(t, "unproved: the check of 4 Mar 2026 did not agree", words(good, check(2, "leadscrew", false))["leadscrew"], "the last check decides")
	assert.Equal(t, "proved 5 Mar 2026", words(good, check(2, "leadscrew", false), check(3, "leadscrew", true))["leadscrew"])

	l.Gearbox = []string{"4 mm", "2 mm"}
	assert.Equal(t, "proved 3 Mar 2026", words(four)["gearbox-1"], "a check follows its setting through the list")
	l.Leadscrew = "6.35 mm"
	assert.Equal(t, "unproved: it was changed after the check of 2 Mar 2026", words(good)["leadscrew"])
	one := threadmath.Count(1)
	l.Leadscrew, l.LeadscrewStarts = "6 mm", &one
	assert.Equal(t, "proved 2 Mar 2026", words(good)["leadscrew"], "one start said or not said is the same entry")

	coast := curriculum.EntriesOf(l)[3]
	coast.Assumes = "2"
	assert.False(t, curriculum.Prove([]curriculum.LatheEntry{coast}, []curriculum.LatheCheck{check(0, "coast-1", true)})[0].Proved, "checked for 1.5 turns, the card counts with 2")
	coast.Assumes = "1.50"
	assert.True(t, curriculum.Prove([]curriculum.LatheEntry{coast}, []curriculum.LatheCheck{check(0, "coast-1", true)})[0].Proved)
}

// What no record states is known from its checks: how far a spindle coasts, what run-out grooves are cut.
func TestHabitsAreKeptByTheirChecks(t *testing.T) {
	t.Parallel()
	l := threadmath.Lathe{Leadscrew: "6 mm", SpindleSpeeds: []float64{60}}
	entries := curriculum.EntriesOf(l)
	require.Len(t, entries, 3)
	at := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	var checks []curriculum.LatheCheck
	for i, c := range [][3]string{{"coast-1", "1.5", "1.25"}, {curriculum.RunOutGroove, "12 mm", "9.5 mm"}, {curriculum.RunOutGroove, "6 mm", "6.2 mm"}} {
		e := entries[slices.IndexFunc(entries, func(e curriculum.LatheEntry) bool { return e.Entry == c[0] })]
		check := curriculum.LatheCheck{Entry: e.Entry, Stated: e.Stated, Predicted: c[1], Measured: c[2], At: at.AddDate(0, 0, i)}
		require.NoError(t, check.Judge())
		checks = append(checks, check)
	}
	for _, e := range entries {
		assert.Equal(t, e.Entry != "leadscrew", e.Habit(), e.Entry)
	}
	proofs := curriculum.Prove(entries, checks[:2])
	assert.Equal(t, "1.25 turns, proved 2 Mar 2026", proofs[1].Words())
	assert.Equal(t, "ran on 9.5 mm in a groove of 12 mm, proved 3 Mar 2026", proofs[2].Words())
	assert.Equal(t, "unproved: the check of 4 Mar 2026 did not agree", curriculum.Prove(entries, checks)[2].Words(), "the tool ran on further than the groove is wide")

	groove := entries[2]
	for assumes, proved := range map[string]bool{"12 mm": true, "12.00 mm": true, "6 mm": false, "8 mm": false} {
		groove.Assumes = assumes
		assert.Equal(t, proved, curriculum.Prove([]curriculum.LatheEntry{groove}, checks)[0].Proved, "a card with a groove of %s", assumes)
	}
}

func TestChecksAreJudged(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		entry, predicted, measured, division string
		agrees                               bool
		path                                 string
	}{
		{"gearbox-1", "40 mm", "40.02 mm", "0.02 mm", true, ""},
		{"gearbox-1", "40 mm", "39.98 mm", "0.02 mm", true, ""},
		{"gearbox-1", "40 mm", "40.021 mm", "0.02 mm", false, ""},
		{"gearbox-1", "1 in", "25.4 mm", "0.01 mm", true, ""},
		{"gearbox-1", "40 mm", "40.02 mm", "", false, "/division"},
		{"gearbox-1", "40 mm", "40.02 mm", "0 mm", false, "/division"},
		{"gearbox-1", "40 mm", "forty", "0.02 mm", false, "/measured"},
		{"holder-1", "6", "6.0", "", true, ""},
		{"holder-1", "6", "5", "", false, ""},
		{"thread-dial-1", "lines 0, 2", "Lines 0,  2", "", true, ""},
		{"thread-dial-1", "lines 0, 2", "line 0", "", false, ""},
		{"coast-1", "1.5", "1.25", "", true, ""},
		{"run-out-groove", "12 mm", "9.5 mm", "", true, ""},
		{"run-out-groove", "0.5 in", "12.7 mm", "", true, ""},
		{"run-out-groove", "12 mm", "12.1 mm", "0.5 mm", false, ""},
		{"run-out-groove", "wide", "9.5 mm", "", false, "/predicted"},
		{"run-out-groove", "12 mm", "9.5", "", false, "/measured"},
		{"coast-1", "1.5", "1.75", "", false, ""},
		{"coast-1", "a turn", "1", "", false, "/predicted"},
		{"coast-1", "1", "a turn", "", false, "/measured"},
	} {
		check := curriculum.LatheCheck{Entry: c.entry, Predicted: c.predicted, Measured: c.measured, Division: c.division}
		err := check.Judge()
		if c.path == "" {
			require.NoError(t, err, "%+v", c)
			assert.Equal(t, c.agrees, check.Agrees, "%+v", c)
			continue
		}
		var field *curriculum.FieldError
		require.ErrorAs(t, err, &field, "%+v", c)
		assert.Equal(t, c.path, field.Path)
		assert.False(t, check.Agrees)
	}
}
