package worksheets

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

func of(text string, mm float64) curriculum.CardSize { return curriculum.CardSize{Text: text, MM: mm} }

// card is a card of many starts on a lathe with a holder.
func card(starts, passes int) curriculum.BenchCard {
	setting := curriculum.CardSetting{Text: "2 turns + 25", Turns: 2, Divisions: 25, Reading: of("0.5000 in", 12.7)}
	wire, expected, aim, most, least := of("1.155 mm", 1.155), of("30.482 mm", 30.482), of("30.310 mm", 30.31), of("30.395 mm", 30.395), of("30.225 mm", 30.225)
	c := curriculum.BenchCard{
		Title: "Bench card", Lathe: "Lathe 2", Method: threadmath.ChuckJaws,
		Thread:  curriculum.CardThread{Side: "external", Hand: "left", Starts: starts, Pitch: of("2.000 mm", 2), Lead: of("6.000 mm", 6), Length: of("45.000 mm", 45), BeginsAt: "headstock end", EndsAt: "tailstock end"},
		Blank:   curriculum.CardBlank{Turn: "turn to"},
		Infeed:  curriculum.CardInfeed{FedBy: "compound", Reads: "radius"},
		RunOut:  curriculum.CardRunOut{Hand: curriculum.HandOpens, ActAt: of("45.000 mm", 45), StillBy: of("47.800 mm", 47.8), Limit: of("49.000 mm", 49), Sketch: "Act in time."},
		Between: curriculum.CardBetween{Text: "Between passes."},
		SetUp:   []string{"Chuck key out"}, Proof: curriculum.ScratchProof{Turns: 5, Lead: of("30.000 mm", 30), Spacing: &wire},
		Measure: curriculum.CardMeasure{
			AfterPass: 2, By: curriculum.MeasureOverWires, Wire: &wire, Wires: 3, Expected: &expected, Aim: &aim, Max: &most, Min: &least, CollarPerMM: 1, GreatestStep: &setting,
			Limits: []curriculum.CardLimit{{What: "Pitch diameter", Most: "28.663 mm", Least: "28.493 mm"}},
		},
		Notes:    []string{"A note."},
		Cautions: []threadmath.Caution{{ID: "a", Text: "Of this job."}, {ID: "b", Text: "Of every job.", Always: true}},
		Holder:   &threadmath.HolderAnswer{Kind: threadmath.ChuckJaws, Stations: starts, Counted: "in the direction of rotation"},
	}
	for i := range starts {
		c.Starts = append(c.Starts, curriculum.CardStart{Start: i + 1, How: "of the chuck", Dial: "jaw", CarriageAt: of("45.000 mm", 45)})
		c.Holder.StationsOfStarts = append(c.Holder.StationsOfStarts, i+1)
	}
	for k := range passes + 1 {
		p := curriculum.CardPass{Pass: k, Name: "1", Depth: of("0.0490 in", 1.2446)}
		for range starts {
			p.Readings = append(p.Readings, setting)
		}
		c.Passes = append(c.Passes, p)
	}
	return c
}

// TestBenchCards: every start has a box for winding the infeed back and one for
// each pass, on either paper and in large print.
func TestBenchCards(t *testing.T) {
	t.Parallel()
	for _, paper := range []Paper{A4, Letter} {
		for _, o := range []Options{{}, {LargePrint: true}, {HighContrast: true}} {
			for starts, passes := range map[int]int{1: 8, 3: 14, 4: 40, 8: 20, 9: 21} {
				c := card(starts, passes)
				if starts == 9 { // every start with readings of its own
					c.Passes[1].Readings[4].Text = "3 turns + 1"
				}
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
				assert.Equal(t, starts*(passes+1)+len(c.SetUp)+2+len(c.Measure.Limits), boxes, "%d starts, %d passes", starts, passes)
			}
		}
	}
}
