package worksheets

import (
	"bytes"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func article(t *testing.T, s Sheet) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, HTML(&b, s))
	return b.String()
}

// The page says what the sheet says: every word that is printed is on it.
func TestHTMLSaysWhatTheSheetSays(t *testing.T) {
	t.Parallel()
	sheet := sampleSheet(NewStyle(A4, Options{}), "Šárka Nguyễn & friends")
	got := article(t, sheet)
	plainText := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(strings.ReplaceAll(got, "&amp;", "&"), " ")
	pages, err := Compose(sheet)
	require.NoError(t, err)
	for _, p := range pages {
		walk(p.Items, func(it Item) {
			text, ok := it.(Text)
			if !ok || text.Class == "page-number" || text.Class == "mark" {
				return
			}
			for w := range strings.FieldsSeq(strings.Trim(text.Text, "[]")) {
				assert.Contains(t, plainText, w)
			}
		})
	}
	assert.Contains(t, got, "Šárka Nguyễn &amp; friends")
}

func TestHTMLStructure(t *testing.T) {
	t.Parallel()
	got := article(t, sampleSheet(NewStyle(A4, Options{}), "Ana"))
	assert.Contains(t, got, "<h1>Multi-start threads, set 3</h1>")
	assert.Contains(t, got, `<th scope="col">What</th><th scope="col" class="right">Value</th>`)
	assert.Contains(t, got, "<li>Write the lead.</li>")
	assert.Contains(t, got, `<span class="blank">________</span> mm <strong>[1 mark]</strong>`)
	assert.Contains(t, got, `<svg xmlns="http://www.w3.org/2000/svg" role="img"`)
	assert.Contains(t, got, `<span class="description">A square of 20 mm.</span>`)
	assert.NotRegexp(t, `style=|<script|<style|\sid=|\son[a-z]+=`, got)

	// No heading skips a level.
	last := 0
	for _, m := range regexp.MustCompile(`<h(\d)>`).FindAllStringSubmatch(got, -1) {
		level := int(m[1][0] - '0')
		assert.LessOrEqual(t, level, last+1)
		last = level
	}
	// Every element that is opened is closed, in order.
	var open []string
	for _, m := range regexp.MustCompile(`<(/?)([a-z0-9]+)[^>]*?(/?)>`).FindAllStringSubmatch(got, -1) {
		switch {
		case m[1] == "/":
			require.NotEmpty(t, open)
			require.Equal(t, open[len(open)-1], m[2])
			open = open[:len(open)-1]
		case m[3] == "" && m[2] != "hr":
			open = append(open, m[2])
		}
	}
	assert.Empty(t, open)
}

func TestHTMLEscapesAndRefuses(t *testing.T) {
	t.Parallel()
	style := NewStyle(A4, Options{})
	got := article(t, Sheet{Style: style, Running: Running{Watermark: "<b>", Code: `"x"`}, Body: []Block{
		Table{Caption: "<c>", Columns: []Column{{Title: "<d>", Bold: true}}, Rows: [][]string{{"<e>"}, {}}},
		Columns{Parts: [][]Block{{List{Numbered: true, Entries: []string{"<f>"}}}}},
		PageBreak{}, WorkSpace{Steps: 2},
	}})
	assert.NotRegexp(t, `<[bcdef]>`, got)
	assert.Contains(t, got, `<th scope="row">&lt;e&gt;</th>`)

	for _, s := range []Sheet{
		{Body: []Block{Para("田")}},
		{Running: Running{Title: "שרה"}},
		{Body: []Block{Figure{Drawing: Group{Items: []Item{Text{Text: "田", Size: 9}}}}}},
	} {
		s.Owner, s.Style = "Ana", style
		var te *TextError
		require.ErrorAs(t, HTML(io.Discard, s), &te)
	}
	require.ErrorIs(t, HTML(&failing{5}, sampleSheet(style, "Ana")), errFull)
}
