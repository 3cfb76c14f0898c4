package worksheets

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares the text form of the items with a file.
func golden(t *testing.T, name string, items []Item) {
	t.Helper()
	var got bytes.Buffer
	require.NoError(t, Dump(&got, items))
	path := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.WriteFile(path, got.Bytes(), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got.String())
}

func TestSampleSheetGolden(t *testing.T) {
	t.Parallel()
	pages, err := Compose(sampleSheet(NewStyle(A4, Options{}), "Šárka Nguyễn"))
	require.NoError(t, err)
	var items []Item
	for _, p := range pages {
		items = append(items, Group{Class: "page", Items: p.Items})
	}
	golden(t, "sample", items)
}

// checkPage holds a page to what every sheet promises: text inside the margins and inside its box, no text over other
// text, nothing left alone at the foot, something on the page besides its header and footer.
func checkPage(t require.TestingT, style Style, page Page) {
	inner := Box{0, 0, style.Paper.Width, style.Paper.Height}.Inset(style.Margin)
	var texts []Text
	drawn := map[Text]bool{}
	for _, it := range page.Items {
		if drawing, ok := it.(Group); ok {
			require.True(t, inner.Contains(drawing.Bounds()), "drawing %q lies outside the margins", drawing.Title)
			walk(drawing.Items, func(it Item) {
				if text, ok := it.(Text); ok {
					drawn[text] = true
				}
			})
		}
	}
	var frames []Rect
	var last Item
	body := 0
	walk(page.Items, func(it Item) {
		switch it := it.(type) {
		case Text:
			if it.Class != "watermark" {
				texts = append(texts, it)
			}
		case Rect:
			if it.Class == "cell" || it.Class == "head" || it.Class == "box" {
				frames = append(frames, it)
			}
		}
		switch it.class() {
		case "header", "code", "code-text", "header-rule", "footer", "footer-rule", "page-number", "watermark":
		default:
			body++
			last = it
		}
	})
	require.Positive(t, body, "blank page")
	assert.NotEqual(t, "heading", last.class(), "heading at the foot of a page")
	if text, ok := last.(Text); ok && text.Class == "caption" { // a table's is bold and stands above it, a figure's below
		assert.NotEqual(t, Bold, text.Face, "caption of a table at the foot of a page")
	}
	if i := len(frames) - 1; i >= 0 && frames[i].Class != "box" {
		if lastText, ok := last.(Text); ok && lastText.Class == "cell-text" {
			assert.NotEqual(t, "head", frames[i].Class, "table header at the foot of a page")
		}
	}
	for i, a := range texts {
		require.True(t, inner.Contains(a.Bounds()), "%q lies outside the margins: %v in %v", a.Text, a.Bounds(), inner)
		for _, b := range texts[i+1:] {
			if drawn[a] && drawn[b] { // lettering of a drawing stands closer
				require.False(t, letterBox(a).Overlaps(letterBox(b)), "%q lies over %q", a.Text, b.Text)
			} else {
				require.False(t, a.Bounds().Overlaps(b.Bounds()), "%q overlaps %q", a.Text, b.Text)
			}
		}
		inCell := false
		for _, f := range frames {
			if f.Box.Overlaps(a.Bounds()) {
				require.True(t, f.Box.Contains(a.Bounds()), "%q runs over its frame %v", a.Text, f.Box)
				inCell = true
			}
		}
		if a.Class == "cell-text" {
			require.True(t, inCell, "%q is in no cell", a.Text)
		}
	}
}

// letters returns the running text of the pages without spaces, in drawing order.
func letters(pages []Page) string {
	var b strings.Builder
	for _, p := range pages {
		walk(p.Items, func(it Item) {
			if t, ok := it.(Text); ok && t.Class == "text" {
				b.WriteString(strings.ReplaceAll(t.Text, " ", ""))
			}
		})
	}
	return b.String()
}

var drawWord = rapid.Custom(func(t *rapid.T) string {
	if rapid.IntRange(0, 40).Draw(t, "long") == 0 {
		return strings.Repeat(rapid.SampledFrom([]string{"W", "š", "i", "Ở"}).Draw(t, "letter"), rapid.IntRange(30, 160).Draw(t, "length"))
	}
	return rapid.SampledFrom([]string{"lead", "pitch", "start", "half-nut", "a", "the", "Žižková", "1.0625", "leadscrew", "⌀24", "29°", "measured"}).Draw(t, "word")
})

func drawText(t *rapid.T, most int) string {
	return strings.Join(rapid.SliceOfN(drawWord, 1, most).Draw(t, "words"), " ")
}

func drawBlock(t *rapid.T, depth int, said *strings.Builder) Block {
	say := func(text string) string {
		said.WriteString(strings.ReplaceAll(text, " ", ""))
		return text
	}
	kind := rapid.IntRange(0, 10).Draw(t, "kind")
	if depth > 1 {
		kind %= 4
	}
	switch kind {
	case 0:
		return Para(say(drawText(t, 90)))
	case 1:
		return Paragraph{Spans: []Span{{Text: say(drawText(t, 8))}, {Text: say(drawText(t, 8)), Face: Bold}}, Scale: 0.9}
	case 2:
		return AnswerLine{Label: say(drawText(t, 12)), Unit: rapid.SampledFrom([]string{"", "mm", "in", "divisions"}).Draw(t, "unit"), Marks: rapid.IntRange(0, 12).Draw(t, "marks")}
	case 3:
		l := List{Numbered: rapid.Bool().Draw(t, "numbered")}
		for range rapid.IntRange(1, 4).Draw(t, "entries") {
			l.Entries = append(l.Entries, say(drawText(t, 15)))
		}
		return l
	case 4:
		return Heading{Text: drawText(t, 6), Level: rapid.IntRange(1, 3).Draw(t, "level")}
	case 5:
		tb := Table{Caption: rapid.SampledFrom([]string{"", "Offsets"}).Draw(t, "caption")}
		n := rapid.IntRange(1, 5).Draw(t, "columns")
		for range n {
			tb.Columns = append(tb.Columns, Column{Title: drawText(t, 3), Align: Align(rapid.IntRange(0, 2).Draw(t, "align"))})
		}
		for range rapid.IntRange(1, 40).Draw(t, "rows") {
			row := make([]string, n)
			for i := range row {
				row[i] = drawText(t, 5)
			}
			tb.Rows = append(tb.Rows, row)
		}
		return tb
	case 6:
		return WorkSpace{Steps: rapid.IntRange(0, 5).Draw(t, "steps")}
	case 7:
		return Boxed{Title: say("⚠ Caution"), Body: []Block{drawBlock(t, depth+1, said)}}
	case 8:
		return Keep{Name: "exercise", Body: []Block{Heading{Text: "Exercise", Level: 3}, drawBlock(t, depth+1, said), drawBlock(t, depth+1, said)}}
	case 9:
		return Columns{Parts: [][]Block{{drawBlock(t, depth+1, said)}, {drawBlock(t, depth+1, said)}}}
	default:
		return PageBreak{}
	}
}

func TestEveryPageKeepsItsPromises(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		style := NewStyle(rapid.SampledFrom([]Paper{A4, Letter}).Draw(t, "paper"), Options{
			LargePrint:   rapid.Bool().Draw(t, "large"),
			HighContrast: rapid.Bool().Draw(t, "contrast"),
			WideSpacing:  rapid.Bool().Draw(t, "wide"),
		})
		var said strings.Builder
		var body []Block
		for range rapid.IntRange(1, 12).Draw(t, "blocks") {
			body = append(body, drawBlock(t, 0, &said))
		}
		said.WriteString("End.")
		body = append(body, Para("End."))
		pages, err := Compose(Sheet{
			Owner:   "learner",
			Style:   style,
			Running: Running{Title: drawText(t, 8), Lines: []string{"Name: " + drawText(t, 6)}, Code: "HN1-ABCD-E2", Footer: drawText(t, 20), Watermark: "ANSWER KEY"},
			Body:    body,
		})
		var fit *FitError
		if errors.As(err, &fit) {
			require.Greater(t, fit.Needs, fit.Room)
			return
		}
		require.NoError(t, err)
		for _, p := range pages {
			checkPage(t, style, p)
		}
		got := strings.ReplaceAll(letters(pages), "⚠Caution(continued)", "") // a long box repeats its title
		require.Equal(t, said.String(), got, "text is lost, added or out of order")
	})
}

func TestTableRepeatsItsHeader(t *testing.T) {
	t.Parallel()
	rows := make([][]string, 120)
	for i := range rows {
		rows[i] = []string{"line", "start"}
	}
	pages, err := Compose(Sheet{Style: NewStyle(A4, Options{}), Body: []Block{Table{Columns: []Column{{Title: "Dial line"}, {Title: "Catches"}}, Rows: rows}}})
	require.NoError(t, err)
	require.Greater(t, len(pages), 2)
	total := 0
	for i, p := range pages {
		g := Group{Items: p.Items}
		assert.Len(t, g.Find("head"), 2, "page %d", i+1)
		first, ok := g.Find("head")[0].(Rect)
		require.True(t, ok)
		for _, it := range g.Find("cell") {
			assert.GreaterOrEqual(t, it.Bounds().Y, first.Box.Y+first.Box.H-0.01)
		}
		total += len(g.Find("cell"))
	}
	assert.Equal(t, 2*len(rows), total)
}

// A row that no page can hold goes on over the page below its header, and loses no word.
func TestRowThatNoPageHoldsIsSplit(t *testing.T) {
	t.Parallel()
	style := NewStyle(A4, Options{LargePrint: true})
	text := strings.TrimSpace(strings.Repeat("measured leadscrew ", 500))
	pages, err := Compose(Sheet{Style: style, Body: []Block{Para("Before."), Table{Columns: []Column{{Title: "What"}, {Title: "Found"}}, Rows: [][]string{{"short", text}, {"next", "row"}}}}})
	require.NoError(t, err)
	require.Greater(t, len(pages), 3)
	said := ""
	for i, p := range pages {
		checkPage(t, style, p)
		g := Group{Items: p.Items}
		if i > 0 {
			assert.Len(t, g.Find("head"), 2, "page %d", i+1)
		}
		for _, it := range g.Find("cell-text") {
			if text, ok := it.(Text); ok && text.Text != "What" && text.Text != "Found" {
				said += strings.ReplaceAll(text.Text, " ", "")
			}
		}
	}
	assert.Equal(t, "short"+strings.ReplaceAll(text, " ", "")+"nextrow", said)
}

// A row that a page holds, but not with its heading, is split; in no length of the row does the sheet fail.
func TestRowThatLeavesNoRoomForItsHeadingIsSplit(t *testing.T) {
	t.Parallel()
	style := NewStyle(A4, Options{LargePrint: true})
	split := 0
	for words := 40; words < 400; words += 10 {
		text := strings.TrimSpace(strings.Repeat("leadscrew ", words))
		pages, err := Compose(Sheet{Style: style, Body: []Block{Heading{Text: "In force", Level: 2}, Table{Columns: []Column{{Title: "What"}, {Title: "Found"}}, Rows: [][]string{{"short", text}}}}})
		require.NoError(t, err, "%d words", words)
		said := 0
		for _, p := range pages {
			checkPage(t, style, p)
			for _, it := range (Group{Items: p.Items}).Find("cell-text") {
				if text, ok := it.(Text); ok {
					said += strings.Count(text.Text, "leadscrew")
				}
			}
		}
		require.Equal(t, words, said)
		if len(pages) == 2 {
			split++
		}
	}
	assert.NotZero(t, split)
}

func TestHeadingMovesWithItsText(t *testing.T) {
	t.Parallel()
	style := NewStyle(A4, Options{})
	for steps := range 30 { // push the heading over the foot of the page by and by
		pages, err := Compose(Sheet{Style: style, Body: []Block{WorkSpace{Steps: steps}, Heading{Text: "Next", Level: 2}, Para(strings.Repeat("word ", 60))}})
		if steps*int(style.WriteHeight) > 250 {
			var fit *FitError
			require.ErrorAs(t, err, &fit)
			continue
		}
		require.NoError(t, err)
		for _, p := range pages {
			checkPage(t, style, p)
		}
	}
}

func TestKeepIsNotSplit(t *testing.T) {
	t.Parallel()
	style := NewStyle(Letter, Options{})
	keep := Keep{Name: "exercise 2", Body: []Block{Para("first"), WorkSpace{Steps: 10}, Para("last")}}
	pages, err := Compose(Sheet{Style: style, Body: []Block{WorkSpace{Steps: 15}, keep}})
	require.NoError(t, err)
	require.Len(t, pages, 2)
	assert.Equal(t, "firstlast", letters(pages[1:]))

	keep.Body = append(keep.Body, WorkSpace{Steps: 20})
	_, err = Compose(Sheet{Owner: "Ana", Style: style, Body: []Block{keep}})
	var fit *FitError
	require.ErrorAs(t, err, &fit)
	assert.Contains(t, err.Error(), "Ana: exercise 2 needs")

	keep.OrFlow = true
	pages, err = Compose(Sheet{Owner: "Ana", Style: style, Body: []Block{keep}})
	require.NoError(t, err)
	assert.Len(t, pages, 2)
}

// A box with more cautions than a page holds goes on over the page: no caution is lost, and the box says so.
func TestLongBoxGoesOn(t *testing.T) {
	t.Parallel()
	style := NewStyle(Letter, Options{LargePrint: true})
	var said strings.Builder
	var entries []string
	for i := range 20 {
		entries = append(entries, fmt.Sprintf("Caution %d: %s", i, strings.Repeat("keep clear of the chuck ", 5)))
		said.WriteString(strings.ReplaceAll(entries[i], " ", ""))
	}
	pages, err := Compose(Sheet{Style: style, Body: []Block{Para("Before."), Boxed{Title: "At the lathe", Body: []Block{List{Entries: entries}}}, Para("After.")}})
	require.NoError(t, err)
	require.Greater(t, len(pages), 2)
	for i, p := range pages {
		checkPage(t, style, p)
		if i > 0 {
			g := Group{Items: p.Items}
			first, ok := g.Find("text")[0].(Text)
			require.True(t, ok)
			assert.Equal(t, "At the lathe (continued)", first.Text)
		}
		for _, it := range (Group{Items: p.Items}).Find("box-side") {
			assert.True(t, Box{0, 0, style.Paper.Width, style.Paper.Height}.Inset(style.Margin).Contains(it.Bounds()))
		}
	}
	got := strings.ReplaceAll(letters(pages), "Atthelathe(continued)", "")
	assert.Equal(t, "Before.Atthelathe"+said.String()+"After.", got)
}

func TestComposeRefuses(t *testing.T) {
	t.Parallel()
	style := NewStyle(A4, Options{})
	_, err := Compose(Sheet{Owner: "Ana", Style: style})
	require.ErrorIs(t, err, ErrEmpty)
	_, err = Compose(Sheet{Owner: "Ana", Style: style, Body: []Block{PageBreak{}, PageBreak{}}})
	require.ErrorIs(t, err, ErrEmpty)
	_, err = Compose(Sheet{Body: []Block{Para("x")}})
	require.ErrorContains(t, err, "style out of range")

	where := map[string]Sheet{
		"body":      {Body: []Block{Para("田")}},
		"title":     {Running: Running{Title: "田"}, Body: []Block{Para("x")}},
		"line":      {Running: Running{Lines: []string{"田"}}, Body: []Block{Para("x")}},
		"footer":    {Running: Running{Footer: "田"}, Body: []Block{Para("x")}},
		"watermark": {Running: Running{Watermark: "田"}, Body: []Block{Para("x")}},
		"code":      {Running: Running{Code: "田"}, Body: []Block{Para("x")}},
		"cell":      {Body: []Block{Table{Columns: []Column{{Title: "a"}}, Rows: [][]string{{"田"}}}}},
		"unit":      {Body: []Block{AnswerLine{Unit: "田"}}},
		"drawing":   {Body: []Block{Figure{Drawing: Group{Items: []Item{Group{Items: []Item{Text{Text: "田", Size: 9}}}}}}}},
	}
	for name, s := range where {
		s.Owner, s.Style = "Ana Šimić", style
		_, err := Compose(s)
		var te *TextError
		require.ErrorAs(t, err, &te, name)
		assert.Equal(t, '田', te.Rune, name)
		assert.Contains(t, err.Error(), "Ana Šimić", name)
	}

	_, err = Compose(Sheet{Owner: "Ana", Style: style, Body: []Block{Figure{Drawing: Group{Title: "wide", Items: []Item{Line{B: Point{X: 300}}}}}}})
	require.ErrorContains(t, err, "Ana: drawing wide needs 300.0 mm")
}

func TestAccentsAreComposed(t *testing.T) {
	t.Parallel()
	pages, err := Compose(Sheet{Style: NewStyle(A4, Options{}), Body: []Block{Para("S\u030Cimun")}})
	require.NoError(t, err)
	assert.Equal(t, "Šimun", letters(pages))
}

func TestWideSpacingFollowsWCAG(t *testing.T) {
	t.Parallel()
	// WCAG 2.2, success criterion 1.4.12: line height 1.5, letters 0.12, words 0.16 times the size.
	pages, err := Compose(Sheet{Style: NewStyle(A4, Options{WideSpacing: true}), Body: []Block{Para(strings.Repeat("ab cd ", 60))}})
	require.NoError(t, err)
	var texts []Text
	for _, it := range (Group{Items: pages[0].Items}).Find("text") {
		text, ok := it.(Text)
		require.True(t, ok)
		texts = append(texts, text)
	}
	a, b := texts[0], texts[1]
	em := a.Size / pointsPerMM
	assert.InDelta(t, 0.12*a.Size, a.Tracking, 1e-9)
	assert.InDelta(t, Regular.Width("ab ", a.Size, 0)+3*0.12*em+0.16*em, b.At.X-a.At.X, 1e-9)
	for _, c := range texts {
		if c.At.Y > a.At.Y {
			assert.InDelta(t, 1.5*em, c.At.Y-a.At.Y, 1e-9)
			break
		}
	}
}

// A learner works below the exercise: where a page holds an exercise beside its drawing and no working lines more, the
// text goes over the page with them.
func TestWorkingLinesStayWithTheirExercise(t *testing.T) {
	t.Parallel()
	style := NewStyle(A4, Options{})
	for lines := 20; lines < 60; lines++ {
		text := make([]Block, lines)
		for i := range text {
			text[i] = Para("A line of the exercise.")
		}
		body := []Block{Keep{Name: "exercise 1", OrFlow: true, Body: []Block{Heading{Text: "Exercise 1", Level: 3}, Columns{Parts: [][]Block{text, {Para("Beside it")}}}, WorkSpace{Steps: 4}}}}
		pages, err := Compose(Sheet{Owner: "Ana", Style: style, Body: body})
		if fit := (*FitError)(nil); errors.As(err, &fit) {
			t.Fatalf("%d lines: %v", lines, err)
		}
		require.NoError(t, err)
		for _, page := range pages {
			checkPage(t, style, page)
			require.NotEqual(t, "work", firstClass(page), "%d lines", lines)
		}
	}
}
