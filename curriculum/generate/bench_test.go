package generate_test

import (
	"encoding/json"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// BenchmarkExercise draws, proves and writes exercises with their keys, as
// halfnut exercises --key does, on a lathe that serves the skill. What is wanted
// is at least 500 a second on one core for the slowest skill and 5,000 for the
// simplest; exercises/s says what is reached.
func BenchmarkExercise(b *testing.B) {
	for _, skill := range generate.Skills() {
		b.Run(skill, func(b *testing.B) {
			for _, l := range lathes(b) {
				units := systems[0]
				if generate.Serves(skill, l, units) != nil {
					units = systems[1]
					if generate.Serves(skill, l, units) != nil {
						continue
					}
				}
				b.Run(l.Name, func(b *testing.B) { drawMany(b, skill, l, units) })
			}
		})
	}
}

func drawMany(b *testing.B, skill string, l threadmath.Lathe, units threadmath.System) {
	drawer, err := generate.NewDrawer(l)
	require.NoError(b, err)
	out := json.NewEncoder(io.Discard)
	b.ReportAllocs()
	seed := uint64(0)
	for b.Loop() {
		e, err := drawer.Draw(skill, seed, generate.Options{Units: units})
		if err == nil {
			err = out.Encode(e)
		}
		if err != nil {
			b.Fatal(err)
		}
		seed++
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "exercises/s")
}
