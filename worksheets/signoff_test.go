package worksheets_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/worksheets"
)

func card(entries int) worksheets.SignOffCard {
	c := worksheets.SignOffCard{
		Workshop: "Kiln Row Workshop", Name: "Ines Okafor", Code: "7KQ2M9XR", Address: "https://halfnut.example/signoff/cards/7KQ2M9XR", Date: "2026-03-05",
		Head: "12:" + strings.Repeat("5ff65b90", 8), Style: worksheets.NewStyle(worksheets.A4, worksheets.Options{}),
	}
	all := []worksheets.SignOffEntry{
		{"Multi-start threading", "Lathe 2", "2026-06-03", "not above 95 rpm, and with the instructor beside the lathe at the first scratch", "Instructor Kiln"},
		{"Single-start threading", "Lathe 2", "2026-06-03", "", "Instructor Kiln"},
		{"Basic turning", "Lathe 2", "2026-06-03", "", "Instructor Kiln"},
		{"Basic turning", "Lathe 1", "2026-06-03", "", "Instructor Kiln"},
		{"Basic turning", "Lathe 3", "2026-06-03", "", ""},
	}
	c.Entries = all[:entries]
	return c
}

// TestCardIsRead prints the card and reads its code back as a phone would, with
// the zbar reader.
func TestCardIsRead(t *testing.T) {
	t.Parallel()
	for _, n := range []int{0, 1, 5} {
		sheet, err := card(n).Sheet()
		require.NoError(t, err)
		doc, err := sheet.Document()
		require.NoError(t, err)
		require.Len(t, doc.Pages, 1, "one page")
		dir := t.TempDir()
		file := filepath.Join(dir, "card.pdf")
		require.NoError(t, worksheets.WriteFile(file, doc))
		out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
		require.NoError(t, err)
		text := string(out)
		assert.Contains(t, text, "7KQ2-M9XR")
		assert.Contains(t, text, "12: 5ff65")
		if n == 0 {
			assert.Contains(t, text, "nothing at present")
			continue
		}
		assert.Contains(t, text, "only: not above 95 rpm", "the restriction stands on the card")
		if n == 5 {
			assert.Contains(t, text, "and 1 more")
		}
		_, err = exec.Command("pdftoppm", "-r", "150", "-png", "-singlefile", file, filepath.Join(dir, "card")).CombinedOutput()
		require.NoError(t, err)
		read, err := exec.Command("zbarimg", "-q", "--raw", filepath.Join(dir, "card.png")).Output()
		require.NoError(t, err)
		assert.Equal(t, "https://halfnut.example/signoff/cards/7KQ2M9XR", strings.TrimSpace(string(read)))
	}
}

// TestCardStaysInside: nothing on the card overlaps or leaves it, however long
// the names are.
func TestCardStaysInside(t *testing.T) {
	t.Parallel()
	c := card(5)
	c.Name = strings.Repeat("Maximiliane ", 6)
	c.Workshop = strings.Repeat("Workshop ", 12)
	for i := range c.Entries {
		c.Entries[i].Lathe = strings.Repeat("lathe ", 13)
		c.Entries[i].Restriction = strings.Repeat("slowly ", 20)
	}
	sheet, err := c.Sheet()
	require.NoError(t, err)
	doc, err := sheet.Document()
	require.NoError(t, err)
	found := false
	var look func(items []worksheets.Item)
	look = func(items []worksheets.Item) {
		for _, it := range items {
			g, ok := it.(worksheets.Group)
			if !ok {
				continue
			}
			if g.Title != "Sign-off card" {
				look(g.Items)
				continue
			}
			found = true
			frame := g.Items[0].Bounds()
			assert.InDelta(t, 85.6, frame.W, 0.001)
			assert.InDelta(t, 53.98, frame.H, 0.001)
			for i, a := range g.Items[1:] {
				assert.True(t, frame.Contains(a.Bounds()), "%+v", a)
				for _, b := range g.Items[1+i+1:] {
					assert.False(t, shrunk(a.Bounds()).Overlaps(shrunk(b.Bounds())), "%+v over %+v", a, b)
				}
			}
		}
	}
	for _, p := range doc.Pages {
		look(p.Items)
	}
	assert.True(t, found)
}

// shrunk leaves out the room above and below the letters of a line of text.
func shrunk(b worksheets.Box) worksheets.Box {
	return worksheets.Box{X: b.X, Y: b.Y + b.H*0.15, W: b.W, H: b.H * 0.6}
}

func TestSignOffSheet(t *testing.T) {
	t.Parallel()
	s := worksheets.SignOffSheet{
		Workshop: "Kiln Row Workshop", Name: "Ines Okafor", Lathe: "Lathe 2", Operation: "Multi-start threading", Date: "2026-03-05", Status: "in training", Version: 1,
		Steps:     []worksheets.SignOffStep{{"Theory", true, "19 of 20 marks"}, {"Demonstrations", false, "1 of 2 days"}, {"Test piece", false, "not measured yet"}},
		Checklist: []worksheets.SignOffItem{{"Withdraws the tool before the spindle is reversed", ""}, {"A thread the dial cannot catch: the half-nut stays closed", "the dial catches this thread"}},
		Sizes:     []worksheets.SignOffSize{{"lead over 5 turns", "49.95 mm", "50.05 mm"}, {"start 2 from start 1", "4.95 mm", "5.05 mm"}, {"pitch diameter", "", ""}},
		Head:      "12:" + strings.Repeat("5ff65b90", 8),
	}
	for _, o := range []worksheets.Options{{}, {LargePrint: true}, {HighContrast: true, WideSpacing: true}} {
		for _, paper := range []worksheets.Paper{worksheets.A4, worksheets.Letter} {
			s.Style = worksheets.NewStyle(paper, o)
			doc, err := s.Sheet().Document()
			require.NoError(t, err)
			var first, second bytes.Buffer
			require.NoError(t, worksheets.Write(&first, doc))
			require.NoError(t, worksheets.Write(&second, doc))
			assert.Equal(t, first.Bytes(), second.Bytes(), "the same sheet prints the same bytes")
			file := filepath.Join(t.TempDir(), "sheet.pdf")
			require.NoError(t, os.WriteFile(file, first.Bytes(), 0o600))
			text, err := exec.Command("pdftotext", "-layout", file, "-").Output()
			require.NoError(t, err)
			for _, want := range []string{"Multi-start threading on Lathe 2", "49.95 mm", "lead over 5 turns", "signature"} {
				assert.Contains(t, strings.Join(strings.Fields(string(text)), " "), want)
			}
		}
	}
}
