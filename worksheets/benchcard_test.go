package worksheets

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// card is a card of many starts on a lathe with a holder.
func card(starts, passes int) curriculum.BenchCard {
	c := curriculum.BenchCard{
		Title: "Bench card", Lathe: "Lathe 2", Method: threadmath.ChuckJaws, Between: "Between passes.", FedBy: "compound", Reads: "radius",
		Facts: []curriculum.CardRow{{What: "Thread", Is: "external"}}, RunOut: []curriculum.CardRow{{What: "Carriage", Is: "4 mm a second"}},
		SetUp: []string{"Chuck key out"}, Proof: curriculum.ScratchProof{Turns: 5, Lead: "30.000 mm", Spacing: "2.000 mm"},
		Limits: []curriculum.CardLimit{{What: "Pitch diameter", Most: "28.663 mm", Least: "28.493 mm"}}, Notes: []string{"A note."},
		Cautions: []threadmath.Caution{{ID: "a", Text: "Of this job."}, {ID: "b", Text: "Of every job.", Always: true}},
		Holder:   &threadmath.HolderAnswer{Kind: threadmath.ChuckJaws, Stations: starts, Counted: "in the direction of rotation"},
	}
	for i := range starts {
		c.Starts = append(c.Starts, curriculum.CardStart{Start: i + 1, How: "of the chuck", Dial: "jaw"})
		c.Holder.StationsOfStarts = append(c.Holder.StationsOfStarts, i+1)
	}
	for range passes {
		c.Passes = append(c.Passes, curriculum.CardPass{Name: "1", Dial: "2 turns + 25", Reading: "0.5000 in", Depth: "0.0490 in"})
	}
	return c
}

// TestBenchCards: every start has a box for winding the infeed back and one for
// each pass, on either paper and in large print.
func TestBenchCards(t *testing.T) {
	t.Parallel()
	for _, paper := range []Paper{A4, Letter} {
		for _, o := range []Options{{}, {LargePrint: true}, {HighContrast: true}} {
			for starts, passes := range map[int]int{1: 8, 3: 14, 4: 40, 8: 20} {
				c := card(starts, passes)
				style := NewStyle(paper, o)
				doc := document(t)(BenchCard(c, "", style))
				boxes := 0
				for _, page := range doc.Pages {
					checkPage(t, style, page)
					walk(page.Items, func(it Item) {
						if text, ok := it.(Text); ok && text.Text == "☐" {
							boxes++
						}
					})
				}
				assert.Equal(t, starts*(passes+1)+len(c.SetUp)+2+len(c.Limits), boxes, "%d starts, %d passes", starts, passes)
			}
		}
	}
}
