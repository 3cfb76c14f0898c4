package generate_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// TestOneWayServes looks up every way that is offered in a solution of the
// givens, by its words: the answer is usable and within the limit, the others are
// not, and their feedback says why.
func TestOneWayServes(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, l := range lathes(t) {
		for _, units := range systems {
			for seed := range uint64(150) {
				e, err := generate.Draw("choose-method", l, seed, generate.Options{Units: units})
				require.NoError(t, err)
				a, err := threadmath.Solve(*e.Givens.Solve)
				require.NoError(t, err)
				most, _, err := threadmath.ParseLength(e.Givens.Values["e"])
				require.NoError(t, err)
				p := e.Parts[0]
				require.GreaterOrEqual(t, len(p.Choices), 3, e.Prompt)
				require.Len(t, p.Wrong, len(p.Choices)-1)
				for _, c := range p.Choices {
					usable, spacing, cost := judged(t, a, *e.Givens.Solve.Lathe, c.Text)
					limited := spacing
					if e.Model == "fit-allowed" {
						limited = cost
					}
					serves := usable && limited != nil && limited.MM() <= most.MM()
					assert.Equal(t, c.ID == p.Answer.Text, serves, "%s: %s", e.Prompt, c.Text)
				}
				for _, w := range p.Wrong {
					seen[w.ID] = true
					assert.NotEmpty(t, w.Feedback)
				}
			}
		}
	}
	skill, err := curriculum.SkillOf("choose-method")
	require.NoError(t, err)
	for _, w := range skill.Wrong {
		if w.ID == "too-little-travel" { // the demo lathes' slides are long enough
			continue
		}
		assert.True(t, seen[w.ID], "%s is never met", w.ID)
	}
}

// judged finds a way by its words in an answer.
func judged(t *testing.T, a threadmath.Answer, l threadmath.Lathe, words string) (usable bool, spacing, cost *threadmath.Dimension) {
	t.Helper()
	for begin, method := range map[string]string{
		"the lines of the thread dial": threadmath.ByThreadDial, "the half-nut": threadmath.ByHalfNut, "the carriage": threadmath.ByCarriageShift,
		"the compound slide": threadmath.ByCompoundParallel, "the stud gear": threadmath.ByStudGear, "the teeth of the first gear": threadmath.ByStudGear, "the leadscrew gear": threadmath.ByLeadscrewGear,
	} {
		if !strings.HasPrefix(words, begin) {
			continue
		}
		for _, m := range a.Methods {
			if m.Method == method {
				return m.Usable, m.SpacingError, m.PitchDiameterCost
			}
		}
	}
	kinds := map[string]string{"chuck": "chuck-jaws", "faceplate": "faceplate-slots", "drive plate": "drive-plate-slots", "ring": "index-holes"}
	for i, h := range a.Holders {
		for word, kind := range kinds {
			if h.Kind == kind && strings.HasPrefix(words, "a "+word) && strings.Contains(words, " "+itoa(int(l.Holders[i].Stations))+" ") {
				return h.Usable, h.SpacingError, h.PitchDiameterCost
			}
		}
	}
	t.Fatalf("%s is no way of this lathe", words)
	return
}

// A slide that is too short, and a lathe with nothing to decide between.
func TestWaysOfOtherLathes(t *testing.T) {
	t.Parallel()
	short := threadmath.Lathe{
		Name: "Short", Leadscrew: "4 mm", CompoundSlide: &threadmath.Slide{Graduation: "0.02 mm", PerTurn: "2 mm", Travel: "6 mm"},
		Holders: []threadmath.Holder{{Kind: "chuck-jaws", Stations: 3}, {Kind: "faceplate-slots", Stations: 8, ErrorDeg: new(float64)}},
	}
	met := false
	for seed := range uint64(200) {
		e, err := generate.Draw("choose-method", short, seed, generate.Options{})
		require.NoError(t, err)
		for _, w := range e.Parts[0].Wrong {
			met = met || w.ID == "too-little-travel"
		}
		// Never a thread for which only the reserve is missing: nobody is told of that.
		require.Equal(t, e.Parts[0].Answer.Text, tryWays(t, e, 0), e.Prompt)
	}
	assert.True(t, met, "a slide too short for the moves is offered")
	_, err := generate.Draw("choose-method", threadmath.Lathe{Name: "Bare"}, 1, generate.Options{})
	var unserved *generate.UnservedError
	require.ErrorAs(t, err, &unserved)
	assert.Equal(t, "no two ways of indexing that a job could decide between: choose-method cannot be set on Bare", err.Error())
}

// What the words must say to be answered by: that the train stays shut, and how
// many starts the leadscrew has.
func TestWaysNameWhatDecides(t *testing.T) {
	t.Parallel()
	shut, two := false, threadmath.Count(2)
	l := threadmath.Lathe{
		Name: "Shut", Leadscrew: "12 mm", LeadscrewStarts: &two, TrainOpens: &shut, CrossSlide: &threadmath.Slide{Graduation: "0.02 mm", PerTurn: "4 mm", Reads: "diameter"},
		CompoundSlide: &threadmath.Slide{Graduation: "0.02 mm", PerTurn: "2 mm", Travel: "80 mm"},
		Holders:       []threadmath.Holder{{Kind: "index-holes", Stations: 60, ErrorDeg: new(float64)}, {Kind: "chuck-jaws", Stations: 3, ErrorDeg: new(float64)}},
	}
	holes := false
	for seed := range uint64(100) {
		e, err := generate.Draw("choose-method", l, seed, generate.Options{})
		require.NoError(t, err)
		assert.Contains(t, e.Prompt, "whose leadscrew is 12 mm, counted by its travel in a turn, with 2 starts. It has no thread dial. Its gear train cannot be opened.")
		require.Equal(t, e.Parts[0].Answer.Text, tryWays(t, e, 0), e.Prompt)
		for _, c := range e.Parts[0].Choices {
			holes = holes || strings.Contains(c.Text, "index holes")
		}
		e, err = generate.Draw("whole-job", l, seed, generate.Options{})
		require.NoError(t, err)
		assert.Contains(t, e.Prompt, "whose leadscrew is 12 mm, counted by its travel in a turn, with 2 starts.")
	}
	assert.True(t, holes)
}

// TestIndexHolesNeedATrainThatOpens: where it does not, nothing asks for them as if
// they served.
func TestIndexHolesNeedATrainThatOpens(t *testing.T) {
	t.Parallel()
	shut := false
	l := threadmath.Lathe{
		Name: "Shut", Leadscrew: "6 mm", TrainOpens: &shut, CrossSlide: &threadmath.Slide{Graduation: "0.02 mm", PerTurn: "4 mm", Reads: "diameter"},
		Holders: []threadmath.Holder{{Kind: "index-holes", Stations: 60}},
	}
	for _, model := range []string{"stations", "which-holder"} {
		_, err := generate.Draw("station-index", l, 1, generate.Options{Model: model})
		var unserved *generate.UnservedError
		require.ErrorAs(t, err, &unserved, model)
	}
	l.Holders = append(l.Holders, threadmath.Holder{Kind: "faceplate-slots", Stations: 8}, threadmath.Holder{Kind: "chuck-jaws", Stations: 3})
	for _, skill := range []string{"station-index", "whole-job"} {
		for seed := range uint64(100) {
			e, err := generate.Draw(skill, l, seed, generate.Options{})
			require.NoError(t, err)
			text := e.Prompt
			for _, p := range e.Parts {
				text += p.Ask
				for _, c := range p.Choices {
					text += c.Text
				}
			}
			assert.NotContains(t, text, "index holes", e.ID)
		}
	}
	opens := true
	l.TrainOpens = &opens
	_, err := generate.Draw("station-index", l, 1, generate.Options{Model: "stations"})
	require.NoError(t, err)
}

func itoa(n int) string { return strconv.Itoa(n) }
