package worksheets_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
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

// TestWaysShowOnlyWhatIsOffered: beside a choice of ways stands the dial or what
// turns the work only where a way by it can be chosen.
func TestWaysShowOnlyWhatIsOffered(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	shown, left := 0, 0
	for _, l := range lathes {
		for seed := range uint64(60) {
			e, err := generate.Draw("choose-method", l, seed, generate.Options{})
			require.NoError(t, err)
			g, ok, err := worksheets.ExerciseDrawing(e, 60, 9)
			require.NoError(t, err)
			if !ok {
				left++
				continue
			}
			shown++
			var choices strings.Builder
			for _, c := range e.Parts[0].Choices {
				choices.WriteString(c.Text + "\n")
			}
			stations := 0
			for len(g.Find(fmt.Sprintf("station:%d", stations+1))) == 1 {
				stations++
			}
			if stations == 0 {
				assert.Contains(t, choices.String(), "thread dial", "seed %d on %s", seed, l.Name)
				continue
			}
			assert.Regexp(t, fmt.Sprintf(`\b%d (jaws|slots|index holes)`, stations), choices.String(), "seed %d on %s", seed, l.Name)
		}
	}
	assert.Positive(t, shown)
	assert.Positive(t, left)
}
