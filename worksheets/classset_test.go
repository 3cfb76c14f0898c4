package worksheets

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// document returns the pages of a sheet that must lay out.
func document(t require.TestingT) func(Sheet, error) Document {
	return func(s Sheet, err error) Document {
		require.NoError(t, err)
		doc, err := s.Document()
		require.NoError(t, err)
		return doc
	}
}

// workshopPack is a pack of every skill that the lathe serves, for learners with awkward names.
func workshopPack(t *testing.T, lathe threadmath.Lathe, units threadmath.System, style Style) Pack {
	t.Helper()
	var skills []string
	for _, s := range generate.Skills() {
		if generate.Serves(s, lathe, units) == nil {
			skills = append(skills, s)
		}
	}
	names := []string{"Šárka Nguyễn-Žižková", "Bartholomew Featherstonehaugh-Cholmondeley of the Second Evening Group", "Ярослав Ґ."}
	sets, err := generate.Set(generate.SetSpec{Skills: skills, Lathe: lathe, Variants: len(names), Count: len(skills), Seed: 7, Units: units})
	require.NoError(t, err)
	p := Pack{
		Workshop: "Workshop", Class: "Evening group", Style: style, Solution: practice.Solutions, Looks: practice.Looks,
		Set: curriculum.ClassSet{LatheName: lathe.Name, Profile: lathe, Spec: curriculum.SetSpec{Title: "Multi-start threads", Skills: skills, Count: len(skills)}},
	}
	for i, es := range sets {
		p.Variants = append(p.Variants, curriculum.Variant{Code: fmt.Sprintf("7KQ2M9X%d", i), Name: names[i], Seat: i + 1, Exercises: es})
	}
	return p
}

// Sheets and keys of every lathe of the workshop keep the promises of a page, on both papers and in every style.
func TestPacksKeepTheirPromises(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	for i, lathe := range lathes {
		for _, o := range []Options{{}, {LargePrint: true}, {WideSpacing: true, HighContrast: true}, {LargePrint: true, WideSpacing: true}} {
			paper, units := A4, threadmath.Metric
			if i%2 == 1 {
				paper, units = Letter, threadmath.Inch
			}
			p := workshopPack(t, lathe, units, NewStyle(paper, o))
			sheets, err := p.Document()
			require.NoError(t, err, "%s %+v", lathe.Name, o)
			key, grid := document(t)(p.Key()), document(t)(p.MarkingGrid())
			for _, page := range slices.Concat(sheets.Pages, key.Pages, grid.Pages) {
				checkPage(t, p.Style, page)
			}
		}
	}
}

func TestKeyHoldsEveryAnswerAndSheetsSayKeyNowhere(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	p := workshopPack(t, lathes[0], threadmath.Metric, NewStyle(A4, Options{}))
	doc := document(t)(p.Key())
	var said strings.Builder
	for _, page := range doc.Pages {
		marks := 0
		walk(page.Items, func(it Item) {
			if text, ok := it.(Text); ok {
				said.WriteString(strings.TrimSpace(strings.ReplaceAll(text.Text, "\u00a0", " ")) + " ")
				if text.Class == "watermark" {
					marks++
				}
			}
		})
		assert.Equal(t, 1, marks, "every page of the key is watermarked")
	}
	for _, v := range p.Variants {
		for _, e := range v.Exercises {
			for _, part := range e.Parts {
				if len(part.Choices) == 0 {
					assert.Contains(t, said.String(), answerText(part), "the key lacks an answer")
				}
			}
		}
	}
	sheets, err := p.Document()
	require.NoError(t, err)
	for _, page := range sheets.Pages {
		g := Group{Items: page.Items}
		assert.Empty(t, g.Find("watermark"))
		assert.Len(t, g.Find("code"), 1, "the code is on every page")
		assert.Len(t, g.Find("code-text"), 1)
	}
}

// The text of a drawing on an exercise must not hold what is asked.
func TestDrawingsOfExercisesKeepTheAnswer(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	drawings := 0
	drawn := map[string]bool{}
	for _, lathe := range lathes {
		for _, v := range workshopPack(t, lathe, threadmath.Metric, NewStyle(A4, Options{})).Variants {
			for _, e := range v.Exercises {
				g, ok, err := ExerciseDrawing(e, 68, 9)
				require.NoError(t, err)
				if !ok {
					continue
				}
				drawings++
				drawn[e.Skill] = true
				shown := g.Title + g.Desc
				walk(g.Items, func(it Item) {
					if text, ok := it.(Text); ok {
						shown += " " + text.Text
					}
				})
				given := e.Prompt
				for _, text := range e.Givens.Values {
					given += " " + text
				}
				for _, part := range e.Parts {
					answer, _, _ := strings.Cut(answerText(part), " ")
					answer = strings.TrimSuffix(strings.TrimRight(answer, "0"), ".")
					if !strings.Contains(answer, ".") { // the starts are numbered in the drawing
						answer += " " + part.Unit
					}
					if part.Decimals > 0 && !strings.Contains(given, answer) {
						assert.NotContains(t, shown, answer, "%s: %s", e.Skill, e.Prompt)
					}
				}
			}
		}
	}
	assert.Greater(t, drawings, 10)
	for _, skill := range []string{"collar-reading", "pass-schedule", "choose-method"} {
		assert.True(t, drawn[skill], "%s has a drawing", skill)
	}
	assert.False(t, drawn["safe-order"], "words to put in order")
}

func TestSamePackSameBytes(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	var first []byte
	for range 2 {
		doc, err := workshopPack(t, lathes[0], threadmath.Metric, NewStyle(A4, Options{})).Document()
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, Write(&b, doc))
		if first == nil {
			first = b.Bytes()
		}
		assert.True(t, bytes.Equal(first, b.Bytes()))
	}
	_, err = Pack{Style: NewStyle(A4, Options{})}.Sheets()
	require.ErrorIs(t, err, ErrEmpty, "an empty class")
}
