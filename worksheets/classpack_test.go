package worksheets

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// A pack of 31 learners: sheets in seat order over two files without the key, each learner on a front side, every
// code of the first sheets read at 150 dpi, and nothing that the checkers find.
func TestClassPack(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	p := workshopPack(t, lathes[0], threadmath.Metric, NewStyle(A4, Options{}))
	p.DoubleSided = true
	p.Variants[0].Exercises = p.Variants[0].Exercises[:4]
	one := p.Variants[0]
	p.Variants = nil
	for i := range 31 {
		v := one
		v.Seat, v.Code, v.Name = 31-i, fmt.Sprintf("7KQ2M9%02d", 31-i), "Zoë Łukasz-Ørsted Müller Peña Šimůnek Ž."
		p.Variants = append(p.Variants, v)
	}
	files, err := p.Files()
	require.NoError(t, err)
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
		path := filepath.Join(t.TempDir(), f.Name)
		require.NoError(t, WriteFile(path, f.Document))
		passesCheckers(t, path)
		text, err := exec.Command(tool(t, "pdftotext"), path, "-").Output()
		require.NoError(t, err)
		assert.Contains(t, string(text), "Łukasz-Ørsted", f.Name)
		assert.Equal(t, f.Name == "key.pdf", strings.Contains(string(text), "Worked steps"), f.Name)
	}
	assert.Equal(t, []string{"cover.pdf", "sheets-01.pdf", "sheets-02.pdf", "key.pdf", "grid.pdf"}, names)
	sheets := files[1].Document
	assert.Zero(t, len(sheets.Pages)%60, "30 learners on front and back sides")
	var seen []string
	for page := range 4 {
		img := raster(t, sheets, page+1, 150)
		path := filepath.Join(t.TempDir(), "page.pgm")
		require.NoError(t, os.WriteFile(path, append([]byte(fmt.Sprintf("P5\n%d %d\n255\n", img.Rect.Dx(), img.Rect.Dy())), img.Pix...), 0o644))
		if len((Group{Items: sheets.Pages[page].Items}).Find("code")) == 0 {
			continue // a back side
		}
		out, err := exec.Command(tool(t, "zbarimg"), "--quiet", "--raw", path).Output()
		require.NoError(t, err)
		seen = append(seen, strings.TrimSpace(string(out)))
	}
	assert.Equal(t, "7KQ2-M901", seen[0], "seat 1 comes first")
	for range 2 {
		var a, b bytes.Buffer
		require.NoError(t, WriteZip(&a, files[:1]))
		require.NoError(t, WriteZip(&b, files[:1]))
		assert.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
	}
	p.Variants[3].Name = "שלום"
	_, err = p.Files()
	require.ErrorContains(t, err, "שלום", "a name that cannot be printed is refused by name")
	p.Variants = nil
	_, err = p.Files()
	require.ErrorIs(t, err, ErrEmpty)
}
