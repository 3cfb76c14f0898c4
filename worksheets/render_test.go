package worksheets

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// tool returns the path of a program that tests lean on. CI has them all, so there a missing one is a failure.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}

func onDisk(t *testing.T, doc Document) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	require.NoError(t, WriteFile(path, doc))
	return path
}

// raster renders a page to grey pixels.
func raster(t *testing.T, doc Document, page, dpi int) *image.Gray {
	t.Helper()
	n := fmt.Sprint(page)
	out, err := exec.Command(tool(t, "pdftoppm"), "-gray", "-r", fmt.Sprint(dpi), "-f", n, "-l", n, onDisk(t, doc)).Output()
	require.NoError(t, err)
	var w, h, most int
	r := bytes.NewReader(out)
	_, err = fmt.Fscanf(r, "P5\n%d %d\n%d\n", &w, &h, &most)
	require.NoError(t, err)
	img := image.NewGray(image.Rect(0, 0, w, h))
	n2, err := r.Read(img.Pix)
	require.NoError(t, err)
	require.Equal(t, w*h, n2)
	return img
}

// The printed pixels of letters made of parts of parts are compared with the outlines of the untouched font. The
// PDF library loses such parts without an error, and no checker of the file's structure sees it.
func TestPrintedGlyphsEqualTheFont(t *testing.T) {
	t.Parallel()
	const dpi, size = 144, 36.0 // two pixels a point
	text := []rune("šŽńőòóκčçấỄǗ⌀⅛½°φй")
	var items []Item
	at := func(face Face, i int) Point {
		return Point{15 + float64(i%9)*20, 30 + float64(i/9)*25 + float64(face)*60}
	}
	for i, r := range text {
		for _, f := range []Face{Regular, Bold} {
			items = append(items, Text{At: at(f, i), Text: string(r), Size: size, Face: f})
		}
	}
	got := raster(t, onePage(items...), 1, dpi)
	for f, src := range map[Face][]byte{Regular: dejavusanscondensed.TTF, Bold: dejavusanscondensedbold.TTF} {
		whole, err := sfnt.Parse(src)
		require.NoError(t, err)
		for i, r := range text {
			p := at(f, i)
			x0, y0 := p.X*dpi/25.4, p.Y*dpi/25.4
			cell := image.Rect(int(x0)-8, int(y0)-100, int(x0)+92, int(y0)+32)
			want := outlineImage(t, whole, r, size*dpi/72, x0-float64(cell.Min.X), y0-float64(cell.Min.Y), cell.Dx(), cell.Dy())
			printed := image.NewAlpha(want.Rect)
			for y := range cell.Dy() {
				for x := range cell.Dx() {
					printed.Pix[printed.PixOffset(x, y)] = 255 - got.GrayAt(cell.Min.X+x, cell.Min.Y+y).Y
				}
			}
			ink, wrong := inkWithout(want, printed)
			_, extra := inkWithout(printed, want)
			wrong += extra
			require.Greater(t, ink, 30, "%q", r)
			assert.LessOrEqual(t, float64(wrong), 0.005*float64(ink), "%q in face %d: %d of %d pixels differ", r, f, wrong, ink)
		}
	}
}

// inkWithout counts the dark pixels of a, and those of them that have no ink of b within a pixel: renderers put
// glyphs on whole pixels.
func inkWithout(a, b *image.Alpha) (ink, alone int) {
	for y := 1; y < a.Rect.Dy()-1; y++ {
		for x := 1; x < a.Rect.Dx()-1; x++ {
			if a.AlphaAt(x, y).A < 200 {
				continue
			}
			ink++
			near := false
			for i := range 9 {
				near = near || b.AlphaAt(x+i%3-1, y+i/3-1).A > 60
			}
			if !near {
				alone++
			}
		}
	}
	return ink, alone
}

// outlineImage fills the glyph's outline as the font states it.
func outlineImage(t *testing.T, f *sfnt.Font, r rune, ppem, x, y float64, w, h int) *image.Alpha {
	t.Helper()
	var b sfnt.Buffer
	g, err := f.GlyphIndex(&b, r)
	require.NoError(t, err)
	segs, err := f.LoadGlyph(&b, g, fixed.Int26_6(ppem*64), nil)
	require.NoError(t, err)
	z := vector.NewRasterizer(w, h)
	pt := func(p fixed.Point26_6) (float32, float32) {
		return float32(x + float64(p.X)/64), float32(y + float64(p.Y)/64)
	}
	for _, s := range segs {
		ax, ay := pt(s.Args[0])
		bx, by := pt(s.Args[1])
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			z.ClosePath()
			z.MoveTo(ax, ay)
		case sfnt.SegmentOpLineTo:
			z.LineTo(ax, ay)
		case sfnt.SegmentOpQuadTo:
			z.QuadTo(ax, ay, bx, by)
		}
	}
	z.ClosePath()
	img := image.NewAlpha(image.Rect(0, 0, w, h))
	z.DrawOp = draw.Src
	z.Draw(img, img.Bounds(), image.Opaque, image.Point{})
	return img
}

// passesCheckers holds a file to what two readers of PDF say of its form.
func passesCheckers(t *testing.T, path string) {
	t.Helper()
	out, err := exec.Command(tool(t, "qpdf"), "--check", path).CombinedOutput()
	require.NoError(t, err, "%s: %s", path, out)
	assert.NotContains(t, string(out), "WARNING", path)
	out, err = exec.Command(tool(t, "mutool"), "draw", "-q", "-o", os.DevNull, "-F", "txt", path).CombinedOutput()
	require.NoError(t, err, "%s: %s", path, out)
	out = bytes.ReplaceAll(out, []byte("warning: ICC support is not available"), nil) // how the tool was built
	assert.NotContains(t, string(out), "warning", path)
	assert.NotContains(t, string(out), "error", path)
}

func TestPDFPassesTheCheckers(t *testing.T) {
	t.Parallel()
	path := onDisk(t, sampleDocument(t))
	passesCheckers(t, path)
	out, err := exec.Command(tool(t, "pdffonts"), path).Output()
	require.NoError(t, err)
	assert.Equal(t, 2, bytes.Count(out, []byte("yes yes yes")), "embedded, subset, with a character map:\n%s", out)
}

func TestTextExtractsInReadingOrder(t *testing.T) {
	t.Parallel()
	out, err := exec.Command(tool(t, "pdftotext"), "-raw", onDisk(t, sampleDocument(t)), "-").Output()
	require.NoError(t, err)
	rest := out
	for _, part := range []string{"Multi-start threads, set 3", "Name: Šárka Nguyễn", "Class: evening group", "HN3-7KQ2-M5", "Your lathe", "Leadscrew lead", "⚠ Before you cut", "wind the infeed back", "Exercise 1", "M24 × Ph6 P3", "Pitch", "come first", "page 1 of 2", "Exercise 2"} {
		i := bytes.Index(rest, []byte(part))
		require.GreaterOrEqual(t, i, 0, "%q is missing or out of order in\n%s", part, out)
		rest = rest[i+len(part):]
	}
}

// Every code of a pack reads at 150 dpi, also turned as sheets come out of a scanner.
func TestCodesDecode(t *testing.T) {
	t.Parallel()
	zbar := tool(t, "zbarimg")
	doc := sampleDocument(t)
	for page := range doc.Pages {
		img := raster(t, doc, page+1, 150)
		for _, degrees := range []float64{0, 3, 90, 180} {
			shown := turned(img, degrees)
			path := filepath.Join(t.TempDir(), "page.pgm")
			pgm := append([]byte(fmt.Sprintf("P5\n%d %d\n255\n", shown.Rect.Dx(), shown.Rect.Dy())), shown.Pix...)
			require.NoError(t, os.WriteFile(path, pgm, 0o644))
			out, err := exec.Command(zbar, "--quiet", "--raw", path).Output()
			require.NoError(t, err, "page %d turned %v degrees", page+1, degrees)
			assert.Equal(t, "HN3-7KQ2-M5\n", string(out), "page %d turned %v degrees", page+1, degrees)
		}
	}
}

// turned returns the image turned about its middle on a sheet large enough to hold it.
func turned(img *image.Gray, degrees float64) *image.Gray {
	if degrees == 0 {
		return img
	}
	s, c := math.Sincos(degrees * math.Pi / 180)
	w, h := float64(img.Rect.Dx()), float64(img.Rect.Dy())
	out := image.NewGray(image.Rect(0, 0, int(math.Abs(c)*w+math.Abs(s)*h), int(math.Abs(s)*w+math.Abs(c)*h)))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			dx, dy := float64(x)-float64(out.Rect.Dx())/2, float64(y)-float64(out.Rect.Dy())/2
			from := image.Pt(int(math.Floor(w/2+dx*c-dy*s)), int(math.Floor(h/2+dx*s+dy*c)))
			out.Pix[out.PixOffset(x, y)] = 255
			if from.In(img.Rect) {
				out.Pix[out.PixOffset(x, y)] = img.GrayAt(from.X, from.Y).Y
			}
		}
	}
	return out
}
