package web

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// TestNotesOn: what a lathe's page says of it is what the whole of its profile gives
// when every lead of its gearbox and every skill is asked alone.
func TestNotesOn(t *testing.T) {
	t.Parallel()
	w, err := workshop.Demo()
	require.NoError(t, err)
	said := 0
	for _, l := range w.Lathes {
		var want latheNotes
		byRule := map[string]*[]string{threadmath.PickUpAnywhere: &want.Anywhere, threadmath.PickUpLines: &want.ByLines, threadmath.PickUpKeepClosed: &want.Closed}
		for _, setting := range l.Gearbox {
			a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Pitch: setting}, Lathe: &l})
			require.NoError(t, err)
			*byRule[a.PickUp.Rule] = append(*byRule[a.PickUp.Rule], setting)
		}
		for _, slug := range generate.Skills() {
			metric, inch := generate.Serves(slug, l, threadmath.Metric), generate.Serves(slug, l, threadmath.Inch)
			if metric == nil || inch == nil {
				continue
			}
			s, err := curriculum.SkillOf(slug)
			require.NoError(t, err)
			var why *generate.UnservedError
			require.ErrorAs(t, metric, &why)
			want.Unserved = append(want.Unserved, unserved{s.Title, why.Reason})
		}
		assert.Equal(t, want, notesOn(l), l.Name)
		said += len(want.Anywhere) + len(want.ByLines) + len(want.Closed) + len(want.Unserved)
	}
	assert.Positive(t, said)
}

// BenchmarkNotesOn is what the first look at a lathe costs after a start or a change.
func BenchmarkNotesOn(b *testing.B) {
	w, err := workshop.Demo()
	require.NoError(b, err)
	for _, l := range w.Lathes {
		b.Run(l.Name, func(b *testing.B) {
			for b.Loop() {
				notesOn(l)
			}
		})
	}
}
