package worksheets

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func printed(t *testing.T, doc Document) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, doc))
	return b.Bytes()
}

func onePage(items ...Item) Document {
	return Document{Title: "Test", Pages: []Page{{Paper: A4, Items: items}}}
}

func sampleDocument(t *testing.T) Document {
	t.Helper()
	pages, err := Compose(sampleSheet(NewStyle(A4, Options{}), "Šárka Nguyễn"))
	require.NoError(t, err)
	return Document{Title: "Sheets of Šárka", Language: "en-GB", Pages: pages}
}

var streamOf = regexp.MustCompile(`(?s)/Filter/FlateDecode/Length \d+\n>>\nstream\n(.*?)\nendstream`)

// operators returns the decompressed page contents, a page each.
func operators(t *testing.T, pdf []byte) []string {
	t.Helper()
	var out []string
	for _, m := range streamOf.FindAllSubmatch(pdf, -1) {
		r, err := zlib.NewReader(bytes.NewReader(m[1]))
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		if !bytes.Contains(text, []byte("begincmap")) { // of a font
			out = append(out, string(text))
		}
	}
	return out
}

func TestPDFHasOneContentAPage(t *testing.T) {
	t.Parallel()
	doc := sampleDocument(t)
	pdf := printed(t, doc)
	assert.Len(t, operators(t, pdf), len(doc.Pages))
	assert.Equal(t, 1, bytes.Count(pdf, []byte("/Count "+num(float64(len(doc.Pages))))), "written once")
}

// The table of the written file leads to every object, each of which is what its number says, and every stream in it is
// deflated; the catalog names the pages that gopdf made.
func TestPDFTableLeadsToTheObjects(t *testing.T) {
	t.Parallel()
	doc := sampleDocument(t)
	pdf := printed(t, doc)
	head, objects, err := split(pdf)
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(head, []byte("%PDF-1.7\n")))
	pages := 0
	for i, o := range objects {
		assert.True(t, bytes.HasPrefix(o, fmt.Appendf(nil, "%d 0 obj\n", i+1)), "object %d", i+1)
		assert.True(t, bytes.HasSuffix(o, []byte("endobj\n\n")), "object %d", i+1)
		if bytes.Contains(o, []byte("\nstream\n")) {
			assert.Contains(t, string(o[:100]), "FlateDecode", "object %d", i+1)
		}
		if bytes.Contains(o, []byte("/Type /Page\n")) {
			pages++
		}
	}
	assert.Equal(t, len(doc.Pages), pages)
	assert.Contains(t, string(objects[0]), "/Type /Catalog\n/Pages 2 0 R")
	assert.Contains(t, string(objects[1]), "/Type /Pages")
}

// A file that has not the form that gopdf gives is refused, however it is broken.
func TestPDFFormIsChecked(t *testing.T) {
	t.Parallel()
	pdf := printed(t, sampleDocument(t))
	rapid.Check(t, func(t *rapid.T) {
		broken := slices.Clone(pdf)
		tail := len(broken) - 1200
		if rapid.Bool().Draw(t, "cut") {
			broken = broken[:rapid.IntRange(0, len(broken)-2).Draw(t, "to")]
			_, _, err := split(broken)
			require.ErrorIs(t, err, errForm)
			return
		}
		for range rapid.IntRange(1, 5).Draw(t, "bytes") {
			broken[rapid.IntRange(tail, len(broken)-1).Draw(t, "at")] = rapid.SampledFrom([]byte("0123456789- \nxf")).Draw(t, "byte")
		}
		head, objects, err := split(broken)
		if err == nil { // what was changed is not the form
			n := len(head)
			for _, o := range objects {
				n += len(o)
			}
			require.LessOrEqual(t, n, len(broken))
		}
	})
	require.ErrorIs(t, writeMade(io.Discard, pdf[:len(pdf)-2], Document{Title: "x"}), errForm)
}

func TestPDFIsTheSameFromEveryGoroutine(t *testing.T) {
	t.Parallel()
	doc := sampleDocument(t)
	want := printed(t, doc)
	var wg sync.WaitGroup
	got := make([]bytes.Buffer, 8)
	errs := make([]error, len(got))
	for i := range got {
		wg.Go(func() { errs[i] = Write(&got[i], doc) })
	}
	wg.Wait()
	for i := range got {
		require.NoError(t, errs[i])
		assert.True(t, bytes.Equal(want, got[i].Bytes()), "run %d differs", i)
	}
}

// A missing glyph would print as a space, without an error.
func TestPDFRefusesMissingGlyphs(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"田", "🔩", "S\u030C", "a\tb"} {
		err := Write(io.Discard, onePage(Text{At: Point{20, 20}, Text: text, Size: 10}))
		var te *TextError
		require.ErrorAs(t, err, &te, "%q", text)
		assert.Contains(t, err.Error(), `document "Test", page 1`)
	}
}

func TestPDFRefusesBlankPagesAndBadNumbers(t *testing.T) {
	t.Parallel()
	require.ErrorIs(t, Write(io.Discard, Document{Title: "x"}), ErrEmpty)
	require.ErrorIs(t, Write(io.Discard, onePage()), ErrEmpty)
	zero := 0.0
	require.ErrorContains(t, Write(io.Discard, onePage(Line{B: Point{X: 1 / zero}, Class: "axis"})), `item "axis" has no finite place`)
	require.ErrorContains(t, Write(io.Discard, onePage(Circle{Radius: zero / zero})), "no finite place")
	doc := onePage(Line{B: Point{X: 10}, Stroke: Fine})
	doc.Language = "en) /OpenAction ("
	require.ErrorContains(t, Write(io.Discard, doc), "not a language tag")
}

// failing fails after n bytes, as a full disk or a reader that hangs up does.
type failing struct{ n int }

var errFull = errors.New("no space left")

func (f *failing) Write(b []byte) (int, error) {
	if len(b) > f.n {
		n := f.n
		f.n = 0
		return n, errFull
	}
	f.n -= len(b)
	return len(b), nil
}

// The library's WriteTo returns nil when its writer fails.
func TestPDFReportsTheWritersError(t *testing.T) {
	t.Parallel()
	doc := sampleDocument(t)
	size := len(printed(t, doc))
	for _, n := range []int{0, 1, size / 2, size - 700, size - 1} {
		require.ErrorIs(t, Write(&failing{n}, doc), errFull, "after %d bytes of %d", n, size)
	}
	require.NoError(t, Write(&failing{size}, doc))
}

// A new page starts with the defaults of the format, whatever the page before used.
func TestPDFStateStartsAnewOnEachPage(t *testing.T) {
	t.Parallel()
	line := Line{A: Point{10, 10}, B: Point{50, 10}, Stroke: Stroke{Width: Thick, Tone: Muted, Dash: Chain}}
	doc := onePage(line, Rect{Box: Box{10, 20, 5, 5}, Fill: Shade})
	doc.Pages = append(doc.Pages, doc.Pages[0])
	got := operators(t, printed(t, doc))
	require.Len(t, got, 2)
	assert.Equal(t, got[0], got[1])
	for _, op := range []string{"1.42 w", "0.30 G", "[11.34 2.27 1.42 2.27] 0.00 d", "0.90 g"} {
		assert.Contains(t, got[0], op)
	}
}

// Text colour must not leak into areas nor the other way round; each mark is printed in its own grey.
func TestPDFGreysDoNotLeak(t *testing.T) {
	t.Parallel()
	text := Text{At: Point{20, 20}, Text: "a", Size: 10}
	muted := Text{At: Point{20, 30}, Text: "b", Size: 10, Tone: Muted}
	turned := Text{At: Point{20, 40}, Text: "c", Size: 10, Tone: Muted, Rotate: 30}
	area := Rect{Box: Box{10, 20, 5, 5}, Fill: Shade}
	got := operators(t, printed(t, onePage(area, text, area, muted, turned, text, QR{At: Point{50, 50}, Side: 18, Text: "HN1"}, turned, area)))
	require.Len(t, got, 1)
	fill, saved := "0.00", []string{}
	var seen []string
	for line := range strings.Lines(got[0]) {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
		case f[0] == "q":
			saved = append(saved, fill)
		case f[0] == "Q":
			fill, saved = saved[len(saved)-1], saved[:len(saved)-1]
		case f[len(f)-1] == "g":
			fill = f[0]
		case f[len(f)-1] == "TJ" || f[len(f)-1] == "f":
			if n := len(seen); n == 0 || seen[n-1] != fill {
				seen = append(seen, fill)
			}
		}
	}
	assert.Equal(t, []string{"0.90", "0.00", "0.90", "0.30", "0.00", "0.30", "0.90"}, seen)
	assert.Empty(t, saved, "every saved state is restored")
}

// The library scales the slice of a dash pattern in place and keeps it.
func TestPDFDashesStayTheSame(t *testing.T) {
	t.Parallel()
	before := num(dashLengths[Chain][0]) + num(dashLengths[Dashed][0])
	line := func(y float64, d Dash) Line {
		return Line{A: Point{10, y}, B: Point{90, y}, Stroke: Stroke{Width: Thin, Tone: Ink, Dash: d}}
	}
	got := operators(t, printed(t, onePage(line(10, Chain), line(20, Dashed), line(30, Chain), line(40, Solid), line(50, Dashed))))
	dashes := regexp.MustCompile(`(?m)^\[.*\] .* d$`).FindAllString(got[0], -1)
	chain, dashed := "[11.34 2.27 1.42 2.27] 0.00 d", "[5.67 2.27] 0.00 d"
	assert.Equal(t, []string{chain, dashed, chain, "[] 0.00 d", dashed}, dashes)
	assert.Equal(t, before, num(dashLengths[Chain][0])+num(dashLengths[Dashed][0]))
}

// Two texts on one line must not be joined.
func TestPDFTextsKeepTheirPlaces(t *testing.T) {
	t.Parallel()
	got := operators(t, printed(t, onePage(Text{At: Point{20, 20}, Text: "a", Size: 10}, Text{At: Point{60, 20}, Text: "b", Size: 10})))
	assert.Contains(t, got[0], "56.69 785.20 TD")
	assert.Contains(t, got[0], "170.08 785.20 TD")
}

// An open line must not be closed, and keeps its corners in one path.
func TestPDFOpenLinesStayOpen(t *testing.T) {
	t.Parallel()
	got := operators(t, printed(t, onePage(Polyline{Points: []Point{{0, 0}, {10, 0}, {10, 10}}, Stroke: Fine})))
	assert.Contains(t, got[0], "0.00 841.89 m 28.35 841.89 l 28.35 813.54 l 28.35 841.89 l  s")
	dashed := Fine
	dashed.Dash = Dashed
	got = operators(t, printed(t, onePage(Polyline{Points: []Point{{0, 0}, {10, 0}, {10, 10}}, Stroke: dashed})))
	assert.Contains(t, got[0], "0.00 841.89 m 28.35 841.89 l S")
	assert.Contains(t, got[0], "[5.67 2.27] 4.54 d", "10 mm are 3 periods of 2.8 mm and 1.6 mm")
}

var baseFont = regexp.MustCompile(`/BaseFont /(\S+)`)

func fontNames(pdf []byte) []string {
	var out []string
	for _, m := range baseFont.FindAllSubmatch(pdf, -1) {
		if name := string(m[1]); len(out) == 0 || out[len(out)-1] != name {
			out = append(out, name)
		}
	}
	return out
}

func TestPDFNamesItsSubsets(t *testing.T) {
	t.Parallel()
	regular := Text{At: Point{20, 20}, Text: "abc", Size: 10}
	bold := Text{At: Point{20, 30}, Text: "abc", Size: 10, Face: Bold}
	both := fontNames(printed(t, onePage(regular, bold)))
	require.Len(t, both, 2)
	assert.Regexp(t, `^[A-Z]{6}\+DejaVuSansCondensed$`, both[0])
	assert.Regexp(t, `^[A-Z]{6}\+DejaVuSansCondensed-Bold$`, both[1])
	assert.Equal(t, both[:1], fontNames(printed(t, onePage(regular))), "only used fonts; equal subsets have equal names")
	regular.Text = "abd"
	assert.NotEqual(t, both[:1], fontNames(printed(t, onePage(regular))), "other subsets have other names")
}

func TestPDFPaperSizes(t *testing.T) {
	t.Parallel()
	doc := onePage(Line{B: Point{10, 10}, Stroke: Fine})
	doc.Pages = append(doc.Pages, Page{Paper: Letter, Items: doc.Pages[0].Items})
	pdf := printed(t, doc)
	assert.Contains(t, string(pdf), "/MediaBox [ 0 0 595.28 841.89 ]")
	assert.Contains(t, string(pdf), "/MediaBox [ 0 0 612.00 792.00 ]")
}

func TestPDFDescribesItself(t *testing.T) {
	t.Parallel()
	pdf := string(printed(t, sampleDocument(t)))
	assert.Contains(t, pdf, "/Lang (en-GB)")
	assert.Contains(t, pdf, "/DisplayDocTitle true")
	assert.Contains(t, pdf, "/Title <FEFF0053006800650065007400730020006F006600200160")
	assert.Regexp(t, `/ID \[<[0-9A-F]{32}> <[0-9A-F]{32}>\]`, pdf)
	assert.NotContains(t, pdf, "CreationDate", "the same document gives the same bytes on any day")
	assert.True(t, strings.HasSuffix(pdf, "%%EOF\n"))
}

func TestWriteFileLeavesNoBrokenFile(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	path := filepath.Join(dir, "set.pdf")
	doc := sampleDocument(t)
	require.NoError(t, WriteFile(path, doc))
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, printed(t, doc), whole)

	err = writeFile(path, func(w io.Writer) error {
		_, err := io.WriteString(w, "half a")
		require.NoError(t, err)
		return errFull
	})
	require.ErrorIs(t, err, errFull)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, whole, after)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "no temporary file is left")

	require.Error(t, WriteFile(filepath.Join(dir, "missing", "set.pdf"), doc))
	require.Error(t, WriteFile(dir, doc), "a directory in the way")
	entries, err = os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1)
}
