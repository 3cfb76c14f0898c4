package worksheets_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// TestEveryExerciseCanBeDrawn: no numbers that the generator draws leave a sheet
// without its drawing, at the widths and type that sheets and pages use.
func TestEveryExerciseCanBeDrawn(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	styles := []worksheets.Style{
		worksheets.NewStyle(worksheets.A4, worksheets.Options{}),
		worksheets.NewStyle(worksheets.Letter, worksheets.Options{LargePrint: true, WideSpacing: true, HighContrast: true}),
	}
	drawn := 0
	for _, l := range lathes {
		for _, units := range []threadmath.System{threadmath.Metric, threadmath.Inch} {
			for _, skill := range generate.Skills() {
				if generate.Serves(skill, l, units) != nil {
					continue
				}
				pack := worksheets.Pack{Class: "Tuesday", Variants: []curriculum.Variant{{Code: "ABCD2345", Name: "Zoë", Seat: 1}}}
				for seed := range uint64(60) {
					e, err := generate.Draw(skill, l, seed, generate.Options{Units: units})
					require.NoError(t, err)
					_, ok, err := worksheets.ExerciseDrawing(e, 70, 9) // as pages draw it
					require.NoError(t, err, "%s on %s, seed %d", skill, l.Name, seed)
					if ok {
						drawn++
					}
					pack.Variants[0].Exercises = append(pack.Variants[0].Exercises, e)
				}
				for _, style := range styles {
					pack.Style = style
					_, err := pack.Document()
					require.NoError(t, err, "%s on %s in %s", skill, l.Name, units)
				}
			}
		}
	}
	require.Greater(t, drawn, 1000)
}
