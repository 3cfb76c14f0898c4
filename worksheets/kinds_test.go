package worksheets

import (
	"bytes"
	"fmt"
	"image"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// longName is as long as a name may be, with letters that are made of parts.
const longName = "Bartholomäus Žižková-Nguyễn-Featherstonehaugh of the Ørsted Second Evening Group"

// kinds are one sheet of every kind that is printed, with the longest name.
func kinds(t *testing.T, style Style) map[string]Sheet {
	t.Helper()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	lathe := lathes[1]
	p := workshopPack(t, lathe, threadmath.Metric, style)
	p.Class = longName
	for i := range p.Variants {
		p.Variants[i].Name, p.Variants[i].Exercises = longName, p.Variants[i].Exercises[:4]
	}
	makers := sheetMakers(lathe, longName, 3, style)
	makers["worksheet"] = func() (Sheet, error) { return p.Worksheet(p.Variants[0]) }
	makers["key"], makers["grid"], makers["cover"] = p.Key, p.MarkingGrid, p.Cover
	out := map[string]Sheet{}
	for name, f := range makers {
		s, err := f()
		require.NoError(t, err, name)
		out[name] = s
	}
	return out
}

// sheetMakers make one sheet of every kind that is not of a class set: for a lathe, with a name wherever one may stand,
// and lists of a length.
func sheetMakers(lathe threadmath.Lathe, name string, length int, style Style) map[string]func() (Sheet, error) {
	at := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	always := func(s Sheet) func() (Sheet, error) { return func() (Sheet, error) { return s, nil } }
	plan := curriculum.PracticePlan{Name: name, Gate: &at}
	course := curriculum.CoursePlan{LatheName: lathe.Name}
	preparation := curriculum.PreparationGroup{Title: "Wires"}
	signing := SignOffSheet{Workshop: name, Name: name, Lathe: lathe.Name, Operation: "Basic turning", Date: "2026-03-05", Status: "in training", Version: 1, Style: style}
	sign := SignOffCard{Workshop: name, Name: name, Code: "7KQ2M9XR", Address: "https://halfnut.example/signoff/cards/7KQ2M9XR", Date: "2026-03-05", Head: "12:5ff65b90", Style: style}
	session := curriculum.ShopSession{Begins: at, Spec: curriculum.ShopSpec{Title: name, Minutes: 180, Lathes: []string{"a"}}, Plan: curriculum.ShopPlan{CheckOff: curriculum.CheckOff{Fits: true}}}
	names := map[string]string{"a": lathe.Name}
	for i := range length {
		day := at.AddDate(0, 0, i)
		plan.Sessions = append(plan.Sessions, curriculum.PracticeSession{Date: day, Items: []curriculum.PracticeItem{{Title: "Lead", Why: curriculum.WhyNew}}})
		course.Lessons = append(course.Lessons, curriculum.Lesson{
			Number: i + 1, Date: day, Minutes: 120, Parts: []curriculum.Phase{{Minutes: 10, What: "Warm-up"}},
			Aims:     []curriculum.LessonAim{{Title: "Lead", Purpose: "To set the gearbox.", Points: []string{"L = n × P"}}},
			Mistakes: []curriculum.BoardExample{{Feedback: "The pitch was taken for the lead.", Task: "Two starts, 2 mm.", Wrong: []string{"L = 2 mm"}, Right: []string{"L = 4 mm"}}},
		})
		preparation.Items = append(preparation.Items, curriculum.PreparationItem{What: "1.155 mm", Count: 3, For: []string{name, name}})
		signing.Steps = append(signing.Steps, SignOffStep{"Theory", i%2 == 0, "19 of 20 marks"})
		signing.Checklist = append(signing.Checklist, SignOffItem{Text: "Chuck key out"})
		signing.Sizes = append(signing.Sizes, SignOffSize{"diameter", "19.95 mm", "20.05 mm"})
		sign.Entries = append(sign.Entries, SignOffEntry{"Basic turning", lathe.Name, "2026-06-03", "", name})
		learner := fmt.Sprint("b", i)
		names[learner] = name
		session.Plan.Bookings = append(session.Plan.Bookings, curriculum.Booking{Kind: curriculum.BookedLathe, Learner: learner, Place: "a", Begin: 10 + 30*i, End: 40 + 30*i})
		session.Plan.Left = append(session.Plan.Left, curriculum.LeftOut{Learner: learner, Why: "no time"})
	}
	return map[string]func() (Sheet, error){
		"poster": func() (Sheet, error) { return Poster(lathe, nil, style) },
		"survey": always(Survey(lathe, nil, style)),
		"bench card": func() (Sheet, error) {
			c := card(3, length*4)
			c.Leans = curriculum.Prove(curriculum.EntriesOf(lathe), nil)
			return BenchCard(c, name, style)
		},
		"plan":        always(PlanSheet(plan, style)),
		"lesson plan": always(CourseSheet(name, course, style)),
		"preparation": always(Preparation(name, curriculum.Preparation{Groups: []curriculum.PreparationGroup{preparation}}, style)),
		"board, called off": func() (Sheet, error) {
			off := session
			off.CalledOff = &curriculum.Ending{At: session.Begins, Reason: "no heating"}
			return ShopBoard(off, names, nil, style)
		},
		"board": func() (Sheet, error) {
			return ShopBoard(session, names, []string{"Lathe 2 is out of use since 2026-03-01 (Anna Vale): chuck guard broken. Nobody may take these turns: Zoë."}, style)
		},
		"sign-off card":  sign.Sheet,
		"sign-off sheet": always(signing.Sheet()),
	}
}

// Every kind of sheet, on both papers and in every style: text in its box, nothing over anything else, nothing that the
// checkers of files find, and what was drawn is on the paper, inside its edges, on every page.
func TestEveryKindOfSheet(t *testing.T) {
	t.Parallel()
	for i, o := range []Options{{}, {LargePrint: true}, {HighContrast: true, WideSpacing: true}, {LargePrint: true, WideSpacing: true}} {
		style := NewStyle([]Paper{A4, Letter}[i%2], o)
		for name, s := range kinds(t, style) {
			t.Run(fmt.Sprint(name, " ", i), func(t *testing.T) {
				t.Parallel()
				doc := document(t)(s, nil)
				lawful(t, style, doc)
				path := onDisk(t, doc)
				passesCheckers(t, path)
				for page, img := range rastersOf(t, doc, path, 60) {
					onPaper(t, doc.Pages[page], img, 60)
				}
			})
		}
	}
}

// rasters renders every page to grey pixels.
func rasters(t *testing.T, doc Document, dpi int) []*image.Gray {
	t.Helper()
	return rastersOf(t, doc, onDisk(t, doc), dpi)
}

func rastersOf(t *testing.T, doc Document, path string, dpi int) []*image.Gray {
	t.Helper()
	out, err := exec.Command(tool(t, "pdftoppm"), "-gray", "-r", fmt.Sprint(dpi), path).Output()
	require.NoError(t, err)
	var images []*image.Gray
	r := bytes.NewReader(out)
	for r.Len() > 0 {
		var w, h, most int
		_, err := fmt.Fscanf(r, "P5\n%d %d\n%d\n", &w, &h, &most)
		require.NoError(t, err)
		img := image.NewGray(image.Rect(0, 0, w, h))
		_, err = io.ReadFull(r, img.Pix)
		require.NoError(t, err)
		images = append(images, img)
	}
	require.Len(t, images, len(doc.Pages))
	return images
}

// onPaper holds a page's pixels against its draw list: every line of text has ink where it was put, and nothing is
// printed within 3 mm of the edges.
func onPaper(t *testing.T, page Page, img *image.Gray, dpi float64) {
	t.Helper()
	inked := func(b Box) bool {
		px := func(mm float64) int { return int(mm * dpi / 25.4) }
		area := image.Rect(px(b.X), px(b.Y), px(b.X+b.W)+1, px(b.Y+b.H)+1).Intersect(img.Rect)
		for y := area.Min.Y; y < area.Max.Y; y++ {
			for x := area.Min.X; x < area.Max.X; x++ {
				if img.GrayAt(x, y).Y < 200 {
					return true
				}
			}
		}
		return false
	}
	p := page.Paper
	for _, edge := range []Box{{0, 0, p.Width, 3}, {0, p.Height - 3, p.Width, 3}, {0, 0, 3, p.Height}, {p.Width - 3, 0, 3, p.Height}} {
		assert.False(t, inked(edge), "ink at the edge %v", edge)
	}
	walk(page.Items, func(it Item) {
		if text, ok := it.(Text); ok && text.Class != "watermark" && strings.TrimSpace(text.Text) != "" {
			assert.True(t, inked(text.Bounds()), "%q is not on the paper", text.Text)
		}
	})
}

var blanks = regexp.MustCompile(`\s+`)

// What the PDF gives when it is read out is what the page says, in the same order: running lines aside, every word of
// the text twin follows in the text that is extracted.
func TestEveryKindReadsInOrder(t *testing.T) {
	t.Parallel()
	for name, s := range kinds(t, NewStyle(A4, Options{})) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			out, err := exec.Command(tool(t, "pdftotext"), "-raw", onDisk(t, document(t)(s, nil)), "-").Output()
			require.NoError(t, err)
			rest := blanks.ReplaceAllString(strings.ReplaceAll(string(out), "\u00a0", " "), "")
			var marks []string
			collect(s.Body, &marks)
			require.NotEmpty(t, marks)
			for _, m := range marks {
				m = blanks.ReplaceAllString(strings.ReplaceAll(m, "\u00a0", " "), "")
				at := strings.Index(rest, m)
				require.GreaterOrEqual(t, at, 0, "%q is missing or out of order", m)
				rest = rest[at+len(m):]
			}
		})
	}
}

// collect lists what is read of blocks, in order: headings, paragraphs of one line's length, and the first cells of rows.
func collect(blocks []Block, out *[]string) {
	short := func(text string) {
		if text != "" && len(text) < 40 {
			*out = append(*out, text)
		}
	}
	for _, b := range blocks {
		switch b := b.(type) {
		case Heading:
			short(b.Text)
		case Paragraph:
			if len(b.Spans) == 1 {
				short(b.Spans[0].Text)
			}
		case List:
			for _, e := range b.Entries {
				short(e)
			}
		case Table:
			for _, r := range b.Rows {
				short(r[0])
			}
		case Boxed:
			short(b.Title)
			collect(b.Body, out)
		case Keep:
			collect(b.Body, out)
		case Columns:
			for _, part := range b.Parts {
				collect(part, out)
			}
		}
	}
}

// The twin of every kind says every word that is printed, drawings included.
func TestEveryKindHasItsTwin(t *testing.T) {
	t.Parallel()
	for name, s := range kinds(t, NewStyle(A4, Options{})) {
		got := blanks.ReplaceAllString(strings.NewReplacer("&amp;", "&", "&lt;", "<", "&gt;", ">", "&#39;", "'", "&quot;", `"`).Replace(regexp.MustCompile(`<[^>]*>`).ReplaceAllString(article(t, s), " ")), "") // a long word may be broken on paper
		for _, page := range document(t)(s, nil).Pages {
			walk(page.Items, func(it Item) {
				text, ok := it.(Text)
				if !ok || slices.Contains([]string{"page-number", "mark", "code-text"}, text.Class) {
					return
				}
				for w := range strings.FieldsSeq(strings.Trim(strings.TrimSuffix(text.Text, " (continued)"), "[]")) { // a page does not go on over a page
					assert.True(t, strings.Contains(got, w), "%s: %q", name, w)
				}
			})
		}
	}
}

// Letters made of parts keep them on every kind of sheet: the name's accents are ink above its letters.
func TestNamesKeepTheirAccents(t *testing.T) {
	t.Parallel()
	for name, s := range kinds(t, NewStyle(A4, Options{})) {
		s.Body = append([]Block{Para("Žšňő")}, s.Body...)
		doc := document(t)(s, nil)
		const dpi = 200.0
		var at *Text
		walk(doc.Pages[0].Items, func(it Item) {
			if text, ok := it.(Text); ok && text.Text == "Žšňő" {
				at = &text
			}
		})
		require.NotNil(t, at, name)
		img := raster(t, doc, 1, dpi)
		x, caps := at.At.X, at.At.Y-at.Face.CapHeight(at.Size)
		for _, r := range at.Text {
			w := at.Face.Width(string(r), at.Size, at.Tracking)
			top := at.At.Y - at.Face.CapHeight(at.Size)*0.78 // above the small letters
			if r == 'Ž' {
				top = caps
			}
			ink := 0
			for py := int((caps - 1.2) * dpi / 25.4); py < int(top*dpi/25.4); py++ {
				for px := int(x * dpi / 25.4); px < int((x+w)*dpi/25.4); px++ {
					if img.GrayAt(px, py).Y < 128 {
						ink++
					}
				}
			}
			assert.Greater(t, ink, 3, "%s: the accent of %q is not on the paper", name, r)
			x += w
		}
	}
}

// firstClass returns the class of what stands first in the body of a page.
func firstClass(page Page) string {
	for _, it := range page.Items {
		switch c := it.class(); c {
		case "header", "code", "code-text", "header-rule", "watermark":
		default:
			return c
		}
	}
	return ""
}

// Every code of a class pack reads at 150 dpi, as it lies and as it comes out of a scanner.
func TestEveryCodeOfAPackReads(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	zbar := tool(t, "zbarimg")
	for i, o := range []Options{{}, {LargePrint: true}} {
		p := workshopPack(t, lathes[1+i], threadmath.Metric, NewStyle([]Paper{A4, Letter}[i], o))
		for i := range p.Variants {
			p.Variants[i].Exercises = p.Variants[i].Exercises[:4]
		}
		doc, err := p.Document()
		require.NoError(t, err)
		images := rasters(t, doc, 150)
		at := 0
		for _, v := range p.Variants {
			sheet, err := p.Worksheet(v)
			require.NoError(t, err)
			pages, err := Compose(sheet)
			require.NoError(t, err)
			for n := range pages {
				img := images[at+n]
				for k, degrees := range []float64{0, 90, 180, 270, 4, -3} {
					if k > 0 && (n+k)%3 != 0 && n > 0 { // every page as it lies, each turned twice; first pages all ways
						continue
					}
					shown := turned(img, degrees)
					path := filepath.Join(t.TempDir(), "page.pgm")
					require.NoError(t, os.WriteFile(path, append([]byte(fmt.Sprintf("P5\n%d %d\n255\n", shown.Rect.Dx(), shown.Rect.Dy())), shown.Pix...), 0o600))
					out, err := exec.Command(zbar, "--quiet", "--raw", path).Output()
					require.NoError(t, err, "%s, page %d turned %v degrees", v.Code, n+1, degrees)
					assert.Equal(t, CodeText(v.Code), strings.TrimSpace(string(out)), "page %d turned %v degrees", n+1, degrees)
				}
			}
			at += len(pages)
		}
		assert.Len(t, doc.Pages, at)
	}
}

// Sheets that are not of a class set, for any lathe, with names and lists of any length.
func TestKindsOfAnyLength(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	lathes = append(lathes, threadmath.Lathe{Name: "Bare"}, threadmath.Lathe{Name: longName, Leadscrew: "6 mm"})
	rapid.Check(t, func(t *rapid.T) {
		style := NewStyle(rapid.SampledFrom([]Paper{A4, Letter}).Draw(t, "paper"), Options{
			LargePrint: rapid.Bool().Draw(t, "large"), HighContrast: rapid.Bool().Draw(t, "contrast"), WideSpacing: rapid.Bool().Draw(t, "wide"),
		})
		lathe := rapid.SampledFrom(lathes).Draw(t, "lathe")
		name := rapid.SampledFrom([]string{"Ana", longName, strings.Repeat("W", 80), strings.Repeat("Ü ", 40)}).Draw(t, "name")
		makers := sheetMakers(lathe, name, rapid.IntRange(1, 12).Draw(t, "length"), style)
		kind := rapid.SampledFrom(slices.Sorted(maps.Keys(makers))).Draw(t, "kind")
		s, err := makers[kind]()
		require.NoError(t, err)
		for _, page := range document(t)(s, nil).Pages {
			checkPage(t, style, page)
		}
	})
}

// Any set of any lathe: sheets, key, grid and cover keep their promises, for both papers and names of any length.
func TestPacksOfAnyKind(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		lathe := rapid.SampledFrom(lathes).Draw(t, "lathe")
		units := rapid.SampledFrom([]threadmath.System{threadmath.Metric, threadmath.Inch}).Draw(t, "units")
		var served []string
		for _, s := range generate.Skills() {
			if generate.Serves(s, lathe, units) == nil {
				served = append(served, s)
			}
		}
		skills := rapid.SliceOfNDistinct(rapid.SampledFrom(served), 1, 2, rapid.ID[string]).Draw(t, "skills")
		seats := rapid.IntRange(1, 2).Draw(t, "seats")
		sets, err := generate.Set(generate.SetSpec{Skills: skills, Lathe: lathe, Variants: seats, Count: len(skills), Seed: rapid.Uint64().Draw(t, "seed"), Units: units})
		require.NoError(t, err)
		style := NewStyle(rapid.SampledFrom([]Paper{A4, Letter}).Draw(t, "paper"), Options{
			LargePrint: rapid.Bool().Draw(t, "large"), HighContrast: rapid.Bool().Draw(t, "contrast"), WideSpacing: rapid.Bool().Draw(t, "wide"),
		})
		p := Pack{
			Workshop: longName, Class: longName, Style: style, Solution: practice.Solutions, Looks: practice.Looks,
			Set: curriculum.ClassSet{LatheName: lathe.Name, Profile: lathe, Spec: curriculum.SetSpec{Title: "Multi-start threads", Skills: skills, Count: len(skills)}},
		}
		for i, es := range sets {
			name := rapid.SampledFrom([]string{"Ana", longName, strings.Repeat("W", 80), strings.Repeat("Ü ", 40)}).Draw(t, "name")
			p.Variants = append(p.Variants, curriculum.Variant{Code: fmt.Sprintf("7KQ2M9X%d", i), Name: name, Seat: i + 1, Exercises: es})
		}
		files, err := p.Files()
		require.NoError(t, err)
		for _, f := range files {
			for _, page := range f.Document.Pages {
				checkPage(t, style, page)
				require.NotEqual(t, "work", firstClass(page), "%s: working lines without their exercise", f.Name)
			}
		}
	})
}
