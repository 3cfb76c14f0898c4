package worksheets

import (
	"bytes"
	"compress/zlib"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/go-pdf/fpdf"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// figures makes TestFigures measure; without it there is nothing to check.
//
//	go test ./worksheets -run TestFigures$ -figures -v -timeout 1h
var figures = flag.Bool("figures", false, "measure what DEVELOPERS.md states of printing")

// cpu returns what a piece of work takes of processor time, with what it starts.
func cpu(t *testing.T, work func()) time.Duration {
	t.Helper()
	spent := func() time.Duration {
		var sum time.Duration
		for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
			var u syscall.Rusage
			require.NoError(t, syscall.Getrusage(who, &u))
			sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
		}
		return sum
	}
	before := spent()
	work()
	return spent() - before
}

func median(xs []time.Duration) time.Duration { return slices.Sorted(slices.Values(xs))[len(xs)/2] }

// realPack is a class of learners with ten exercises each.
func realPack(t *testing.T, learners int) Pack {
	t.Helper()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	skills := []string{"lead", "axial-offset", "index-angle", "thread-dial", "collar-reading", "pass-schedule", "depth-60", "run-out", "gearbox", "pick-up"}
	skills = slices.DeleteFunc(skills, func(s string) bool { return generate.Serves(s, lathes[1], threadmath.Metric) != nil })
	sets, err := generate.Set(generate.SetSpec{Skills: skills, Lathe: lathes[1], Variants: learners, Count: 10, Seed: 11, Units: threadmath.Metric})
	require.NoError(t, err)
	p := Pack{Class: "Evening group", Style: NewStyle(A4, Options{}), Set: curriculum.ClassSet{LatheName: "Lathe 2", Profile: lathes[1], Spec: curriculum.SetSpec{Title: "Multi-start threads"}}}
	for i, es := range sets {
		p.Variants = append(p.Variants, curriculum.Variant{Code: fmt.Sprintf("7KQ2%04d", i), Name: fmt.Sprintf("Learner %d", i), Seat: i + 1, Exercises: es})
	}
	return p
}

// TestFigures measures printing side by side: three interleaved rounds, processor time, medians. fpdf gets
// the same draw list, pdflatex the blocks of the same sheets, which it lays out by itself.
func TestFigures(t *testing.T) {
	if !*figures {
		t.Skip("measures only with -figures")
	}
	const learners = 30
	p := realPack(t, learners)
	doc, err := p.Document()
	require.NoError(t, err)
	var separate []Document
	for _, v := range p.Variants {
		one := p
		one.Variants = []curriculum.Variant{v}
		d, err := one.Document()
		require.NoError(t, err)
		separate = append(separate, d)
	}
	var whole bytes.Buffer
	require.NoError(t, Write(&whole, doc))
	streams := operators(t, whole.Bytes())
	t.Logf("%d learners, %d pages, %d bytes a page in one file", learners, len(doc.Pages), whole.Len()/len(doc.Pages))

	// What takes milliseconds is done several times, so that the collection of garbage falls on it as it should.
	times := map[string]int{"layout": 10, "one file": 4, "operators, one compressor": 10, "fpdf, one file": 4}
	work := map[string]func(){
		"layout": func() {
			_, err := p.Document()
			require.NoError(t, err)
		},
		"one file": func() { require.NoError(t, Write(io.Discard, doc)) },
		"separate files": func() {
			for _, d := range separate {
				require.NoError(t, Write(io.Discard, d))
			}
		},
		"operators, one compressor": func() {
			z := zlib.NewWriter(io.Discard)
			for _, s := range streams {
				z.Reset(io.Discard)
				_, err := io.WriteString(z, s)
				require.NoError(t, err)
				require.NoError(t, z.Close())
			}
		},
		"fpdf, one file": func() { require.NoError(t, byFPDF(io.Discard, doc)) },
		"fpdf, separate files": func() {
			for _, d := range separate {
				require.NoError(t, byFPDF(io.Discard, d))
			}
		},
	}
	if _, err := exec.LookPath("pdflatex"); err == nil {
		dir := t.TempDir()
		sheets, err := p.Sheets()
		require.NoError(t, err)
		t.Logf("pdflatex makes %d pages of them", byLaTeX(t, dir, sheets))
		work["pdflatex, one file"] = func() { byLaTeX(t, dir, sheets) }
	} else {
		t.Log("pdflatex is not installed")
	}
	took := map[string][]time.Duration{}
	for range 3 {
		for name, f := range work {
			n := max(1, times[name])
			took[name] = append(took[name], cpu(t, func() {
				for range n {
					f()
				}
			})/time.Duration(n))
		}
	}
	at := func(name string) float64 { return median(took[name]).Seconds() }
	for name := range work {
		t.Logf("%-26s %8.1f ms, %6.0f pages a processor second %v", name, 1000*at(name), float64(len(doc.Pages))/at(name), took[name])
	}
	load, err := os.ReadFile("/proc/loadavg")
	require.NoError(t, err)
	t.Logf("load average %s", load)
	t.Logf("layout is %.0f %% of layout and writing", 100*at("layout")/(at("layout")+at("one file")))
	t.Logf("one file takes %.1f times the operators with one reused compressor", at("one file")/at("operators, one compressor"))
	t.Logf("fpdf takes %.2f times as long for separate files, %.2f times for one", at("fpdf, separate files")/at("separate files"), at("fpdf, one file")/at("one file"))
	if took["pdflatex, one file"] != nil {
		t.Logf("pdflatex takes %.1f times as long as layout and writing", at("pdflatex, one file")/(at("layout")+at("one file")))
	}
}

// TestFiguresOfMemory writes ever more files of 30 one after the other and reads the most memory that the process, in
// which nothing else runs, ever held:
//
//	GOMAXPROCS=1 go test ./worksheets -run TestFiguresOfMemory -figures -v -timeout 1h
func TestFiguresOfMemory(t *testing.T) {
	if !*figures {
		t.Skip("measures only with -figures")
	}
	p := realPack(t, 30)
	for _, sheets := range []int{300, 1000, 3000} {
		spent := cpu(t, func() {
			for range sheets / 30 {
				doc, err := p.Document()
				require.NoError(t, err)
				require.NoError(t, Write(io.Discard, doc))
			}
		})
		status, err := os.ReadFile("/proc/self/status")
		require.NoError(t, err)
		_, high, _ := strings.Cut(string(status), "VmHWM:")
		high, _, _ = strings.Cut(high, "\n")
		t.Logf("%d worksheets in files of 30: %.1f ms each, at most %s resident in this process", sheets/30*30, 1000*spent.Seconds()/float64(sheets/30*30), strings.TrimSpace(high))
	}
}

// byFPDF writes a document with another PDF writer and the same slimmed fonts.
func byFPDF(w io.Writer, doc Document) error {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetAutoPageBreak(false, 0)
	f.AddUTF8FontFromBytes("regular", "", Regular.TTF())
	f.AddUTF8FontFromBytes("bold", "", Bold.TTF())
	for _, page := range doc.Pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: page.Paper.Width, Ht: page.Paper.Height})
		walk(page.Items, func(it Item) { paintFPDF(f, it) })
	}
	return f.Output(w)
}

func paintFPDF(f *fpdf.Fpdf, it Item) {
	line := func(s Stroke) { f.SetLineWidth(max(s.Width, 0.1)) }
	points := func(ps []Point) []fpdf.PointType {
		out := make([]fpdf.PointType, len(ps))
		for i, p := range ps {
			out[i] = fpdf.PointType{X: p.X, Y: p.Y}
		}
		return out
	}
	switch it := it.(type) {
	case Text:
		f.SetFont(map[Face]string{Regular: "regular", Bold: "bold"}[it.Face], "", it.Size)
		x := it.At.X
		switch it.Anchor {
		case Middle:
			x -= it.Width() / 2
		case End:
			x -= it.Width()
		}
		f.Text(x, it.At.Y, it.Text)
	case Line:
		line(it.Stroke)
		f.Line(it.A.X, it.A.Y, it.B.X, it.B.Y)
	case Polyline:
		line(it.Stroke)
		for i := 1; i < len(it.Points); i++ {
			f.Line(it.Points[i-1].X, it.Points[i-1].Y, it.Points[i].X, it.Points[i].Y)
		}
	case Polygon:
		line(it.Stroke)
		f.Polygon(points(it.Points), "D")
	case Rect:
		line(it.Stroke)
		f.Rect(it.Box.X, it.Box.Y, it.Box.W, it.Box.H, "D")
	case Circle:
		line(it.Stroke)
		f.Circle(it.Centre.X, it.Centre.Y, it.Radius, "D")
	case Arc:
		line(it.Stroke)
		f.Arc(it.Centre.X, it.Centre.Y, it.Radius, it.Radius, 0, it.From, it.To, "D")
	case QR:
		rects, err := it.rects()
		if err != nil {
			return
		}
		for _, r := range rects {
			f.Rect(r.X, r.Y, r.W, r.H, "F")
		}
	}
}
