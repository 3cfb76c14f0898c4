package worksheets

import (
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// lawful checks what every sheet promises: text in its box, no blank page, ink on the printed page, and no complaint
// of a checker.
func lawful(t *testing.T, style Style, doc Document) {
	t.Helper()
	require.NotEmpty(t, doc.Pages)
	for _, page := range doc.Pages {
		checkPage(t, style, page)
	}
	path := onDisk(t, doc)
	out, err := exec.Command(tool(t, "qpdf"), "--check", path).CombinedOutput()
	require.NoError(t, err, string(out))
	assert.NotContains(t, string(out), "WARNING")
	out, err = exec.Command(tool(t, "mutool"), "info", path).CombinedOutput()
	require.NoError(t, err, string(out))
	assert.NotContains(t, string(out), "error")
	dark := 0
	for _, p := range raster(t, doc, 1, 40).Pix {
		if p < 128 {
			dark++
		}
	}
	assert.Greater(t, dark, 300, "the first page is blank")
}

// Posters and surveys of every lathe of the workshop, on both papers and in every style.
func TestPostersAndSurveys(t *testing.T) {
	t.Parallel()
	lathes, err := workshop.Lathes()
	require.NoError(t, err)
	for i, l := range lathes {
		style := NewStyle([]Paper{A4, Letter}[i%2], Options{LargePrint: i%3 == 1, HighContrast: i%3 == 2, WideSpacing: i%3 == 2})
		lawful(t, style, document(t)(Poster(l, nil, style)))
		lawful(t, style, document(t)(Survey(l, nil, style), nil))
	}
	unknown := Survey(threadmath.Lathe{}, nil, NewStyle(A4, Options{}))
	_, err = unknown.Document()
	require.NoError(t, err, "a lathe of which nothing is known yet")
}

// A leadscrew of 6 mm and a dial of 20 teeth with 4 lines: one division is 5 threads, 30 mm of carriage travel. Worked
// by hand: with a lead of 6 mm every closing serves; with 4 mm, 30 mm is 7 1/2 leads, so lines 0 and 2 serve one start
// and with two starts lines 1 and 3 fall on the other; 7 mm needs 210 mm, which the turn of 120 mm never comes back to.
func TestPosterByHand(t *testing.T) {
	t.Parallel()
	l := threadmath.Lathe{
		Name: "By hand", Leadscrew: "6 mm", Gearbox: []string{"6 mm", "4 mm", "7 mm"},
		ThreadDials: []threadmath.ThreadDial{{Teeth: 20, Graduations: 4}},
		Holders:     []threadmath.Holder{{Kind: "faceplate-slots", Stations: 6}},
	}
	s, err := Poster(l, nil, NewStyle(A4, Options{}))
	require.NoError(t, err)
	rows := map[string][][]string{}
	title := ""
	for _, b := range s.Body {
		switch b := b.(type) {
		case Heading:
			title = b.Text
		case Table:
			rows[title] = b.Rows
		}
	}
	assert.Equal(t, [][]string{{"6 mm", "may be closed anywhere", "unproved"}, {"4 mm", "by the dial only; gear of 20: lines 0, 2", "unproved"}, {"7 mm", "stays closed: withdraw the tool, then reverse", "unproved"}},
		rows["Leads, and the half-nut between passes on one start"])
	dial := rows["Dial, gear of 20 teeth, 4 lines: threads of either hand"]
	require.Len(t, dial, 3)
	assert.Equal(t, []string{"4 mm", "1: 0,2", "1: 0,2; 2: 1,3", "–"}, dial[1][:4])
	assert.Equal(t, "–", dial[2][1])
	assert.Equal(t, []string{"4 mm", "2.000 mm", "1.333 mm", "1.000 mm", "0.800 mm", "0.667 mm"}, rows["Offset from one start to the next: lead divided by starts"][1])
	stations := rows["Index stations, in the order of the starts"][0]
	assert.Equal(t, "–", stations[3], "4 starts do not divide 6 slots")
	assert.NotEqual(t, "–", stations[2], "3 starts divide 6 slots")
	// ISO 68-1: the depth of an external ISO thread of 2 mm is 17/24 of the height of the triangle, 0.6134 P.
	for _, r := range rows["Depth, infeed and wire: ISO metric, 60°"] {
		if r[0] == "2 mm" {
			assert.Equal(t, []string{"2 mm", "1.227 mm", "1.227 mm", "1.155 mm"}, r)
		}
	}
}

func TestPlanSheets(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	chance := 0.8
	plan := curriculum.PracticePlan{Name: "Zoë Łukasz-Ørsted Müller Peña Šimůnek Ž.", Gate: &at, Chance: &chance}
	for i := range 40 {
		plan.Sessions = append(plan.Sessions, curriculum.PracticeSession{Date: at.AddDate(0, 0, i), Items: []curriculum.PracticeItem{
			{Title: "Lead from pitch and starts", Why: curriculum.WhyNew}, {Title: "Lead from pitch and starts", Why: curriculum.WhyNew}, {Title: "Half-nut", Why: curriculum.WhyDue},
		}})
	}
	course := curriculum.CoursePlan{
		Course: curriculum.Course{Spec: curriculum.CourseSpec{Title: "Two-start screw"}}, LatheName: "Lathe 2", MeetingsShort: 1, NotTaught: []string{"lead"},
		Lessons: []curriculum.Lesson{{Number: 1, Date: at, Past: true}, {
			Number: 2, Date: at, Minutes: 120, Parts: []curriculum.Phase{{Minutes: 10, What: "Warm-up"}}, WarmUp: []string{"lead"},
			Aims:      []curriculum.LessonAim{{Title: "Lead", Purpose: "To set the gearbox.", Points: []string{"L = n × P"}}},
			Questions: []curriculum.Exercise{{Prompt: "A two-start thread has a pitch of 2 mm.", Parts: []curriculum.Part{{Ask: "What is its lead?"}}}},
			Mistakes:  []curriculum.BoardExample{{Feedback: "The pitch was taken for the lead.", Task: "Two starts, 2 mm.", Wrong: []string{"L = 2 mm"}, Right: []string{"L = 4 mm"}}},
		}},
	}
	for _, paper := range []Paper{A4, Letter} {
		for _, o := range []Options{{}, {LargePrint: true}, {WideSpacing: true, HighContrast: true}} {
			style := NewStyle(paper, o)
			lawful(t, style, document(t)(PlanSheet(plan, style), nil))
			doc := document(t)(CourseSheet("Evening group", course, style), nil)
			lawful(t, style, doc)
			out, err := exec.Command(tool(t, "pdftotext"), onDisk(t, doc), "-").Output()
			require.NoError(t, err)
			assert.NotContains(t, string(out), "Lesson 1,", "what is past stands for the record")
			assert.Less(t, strings.Index(string(out), "Lesson 2"), strings.Index(string(out), "At the board"))
		}
	}
	plan.Name = "שלום"
	_, err := PlanSheet(plan, NewStyle(A4, Options{})).Document()
	require.ErrorContains(t, err, "שלום")
}

// Cards, posters and surveys say in words which entries they lean on nobody has proved, and the day of those that
// somebody has.
func TestSheetsSayWhatIsProved(t *testing.T) {
	t.Parallel()
	l := threadmath.Lathe{
		Name: "By hand", Leadscrew: "6 mm", Gearbox: []string{"6 mm", "4 mm"}, SpindleSpeeds: []float64{60},
		ThreadDials: []threadmath.ThreadDial{{Teeth: 20, Graduations: 4}}, Holders: []threadmath.Holder{{Kind: "faceplate-slots", Stations: 6}},
		CrossSlide: &threadmath.Slide{Graduation: "0.02 mm", Reads: "diameter"},
	}
	style := NewStyle(A4, Options{})
	at := time.Date(2026, 3, 2, 18, 0, 0, 0, time.UTC)
	var checks []curriculum.LatheCheck
	for _, e := range curriculum.EntriesOf(l) {
		checks = append(checks, curriculum.LatheCheck{Entry: e.Entry, Stated: e.Stated, Predicted: "6 mm", Measured: "1.5", Agrees: true, At: at})
	}
	poster := func(checks []curriculum.LatheCheck) string {
		s, err := Poster(l, checks, style)
		require.NoError(t, err)
		return article(t, s)
	}
	none, all, some := poster(nil), poster(checks), poster(checks[1:])
	assert.Contains(t, none, "⚠ Unproved")
	assert.Contains(t, none, "Leans on: leadscrew, 6 mm (unproved); thread dial, gear of 20 teeth, 4 lines (unproved).")
	assert.Contains(t, none, "Leans on: work is turned by, 6 faceplate slots (unproved")
	assert.Contains(t, none, "Leans on: cross-slide, collar of 0.02 mm a division, reads diameter (unproved")
	assert.Contains(t, none, "<td>unproved</td>", "each setting of the gearbox")
	assert.NotContains(t, none, "proved 2 Mar")
	assert.NotContains(t, strings.ToLower(all), "unproved")
	assert.Contains(t, all, "<td>proved 2 Mar 2026</td>")
	assert.Contains(t, some, "Leans on: leadscrew, 6 mm (unproved); thread dial, gear of 20 teeth, 4 lines (proved 2 Mar 2026).")
	assert.Contains(t, some, "⚠ Unproved")

	survey := article(t, Survey(l, checks[1:], style))
	assert.Contains(t, survey, "6 mm (unproved)")
	assert.Contains(t, survey, "gear of 20 teeth, 4 lines (proved 2 Mar 2026)")
	assert.Contains(t, survey, "at 60 rev/min (1.5 turns, proved 2 Mar 2026)")
	assert.Contains(t, survey, "as this shop cuts it (ran on 1.5 in a groove of 6 mm, proved 2 Mar 2026)")
	bare := article(t, Survey(l, nil, style))
	assert.NotContains(t, bare, "at 60 rev/min", "the record has the speeds, not the turns")
	assert.NotContains(t, bare, "as this shop cuts it")

	c := card(3, 8)
	c.Leans = curriculum.Prove(curriculum.EntriesOf(l)[:2], checks[1:])
	s, err := BenchCard(c, "Zoë", style)
	require.NoError(t, err)
	text := article(t, s)
	assert.Contains(t, text, "⚠ Unproved at this lathe")
	assert.Contains(t, text, "<li>Leadscrew, 6 mm: unproved</li>")
	assert.Contains(t, text, "Proved at this lathe: Thread dial, gear of 20 teeth, 4 lines: proved 2 Mar 2026.")
	c.Leans = curriculum.Prove(curriculum.EntriesOf(l)[:2], checks)
	s, err = BenchCard(c, "Zoë", style)
	require.NoError(t, err)
	assert.NotContains(t, strings.ToLower(article(t, s)), "unproved")
}

// A lathe that is set by its wheels alone: a leadscrew of 3 mm, a stud that turns with the spindle. Worked by hand:
// 3 mm needs 1:1, which two equal wheels or none at all give; 6 mm needs 2:1 = 40/20; 1.5 mm 20/40; a lead of 1 mm
// needs 1:3, which neither 20/60 nor any pair of pairs gives without the 60; 1 inch over 8 is 25.4/24 = 127/120 and no
// wheel has the prime 127.
func TestPosterOfChangeGears(t *testing.T) {
	t.Parallel()
	no := false
	l := threadmath.Lathe{Name: "By wheels", Leadscrew: "3 mm", ChangeGears: []threadmath.Count{20, 40, 50}, ThreadDials: []threadmath.ThreadDial{}}
	style := NewStyle(A4, Options{})
	s, err := Poster(l, nil, style)
	require.NoError(t, err)
	var rows [][]string
	said := ""
	for _, b := range s.Body {
		if table, ok := b.(Table); ok && len(table.Columns) == 3 && strings.HasPrefix(table.Columns[1].Title, "Train") {
			rows = table.Rows
		}
		if p, ok := b.(Paragraph); ok {
			said += p.Spans[0].Text + "\n"
		}
	}
	assert.Contains(t, rows, []string{"6 mm", "40/20", "stays closed: withdraw the tool, then reverse"})
	assert.Contains(t, rows, []string{"1.5 mm", "20/40", "may be closed anywhere"})
	assert.Contains(t, rows, []string{"7.5 mm", "50/20", "stays closed: withdraw the tool, then reverse"})
	for _, r := range rows {
		assert.NotContains(t, r[0], "tpi")
		assert.NotEqual(t, "1 mm", r[0])
	}
	assert.Regexp(t, `No train of these wheels cuts exactly: .*1 mm.*8 tpi`, said)
	assert.Contains(t, said, "a half-nut and no thread dial")
	assert.Contains(t, said, "change gears, 20, 40, 50 (unproved")
	lawful(t, style, document(t)(s, nil))

	l.HalfNut, l.ThreadDials = &no, nil
	s, err = Poster(l, nil, style)
	require.NoError(t, err)
	text := article(t, s)
	assert.Contains(t, text, "No half-nut, so no dial")
	assert.NotContains(t, text, "may be closed anywhere")
	lawful(t, style, document(t)(s, nil))
	l.HalfNut = nil
	s, err = Poster(l, nil, style)
	require.NoError(t, err)
	assert.Contains(t, article(t, s), "Thread dial not known")
	for _, bare := range []threadmath.Lathe{{Name: "x"}, {Name: "x", Leadscrew: "3 mm"}, {Name: "x", Leadscrew: "3 mm", ChangeGears: []threadmath.Count{}}} {
		s, err := Poster(bare, nil, style)
		require.NoError(t, err)
		assert.Contains(t, article(t, s), "nothing can be said of leads")
	}
}
