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
		doc, err := Poster(l, style)
		require.NoError(t, err, l.Name)
		lawful(t, style, doc)
		doc, err = Survey(l, style)
		require.NoError(t, err, l.Name)
		lawful(t, style, doc)
	}
	_, err = Survey(threadmath.Lathe{}, NewStyle(A4, Options{}))
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
	s, err := posterSheet(l, NewStyle(A4, Options{}))
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
	assert.Equal(t, [][]string{{"6 mm", "may be closed anywhere"}, {"4 mm", "by the dial only; gear of 20: lines 0, 2"}, {"7 mm", "stays closed: withdraw the tool, then reverse"}},
		rows["Leads, and the half-nut between passes on one start"])
	dial := rows["Dial, gear of 20 teeth, 4 lines"]
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
			doc, err := PlanSheet(plan, style)
			require.NoError(t, err)
			lawful(t, style, doc)
			doc, err = CourseSheet("Evening group", course, style)
			require.NoError(t, err)
			lawful(t, style, doc)
			out, err := exec.Command(tool(t, "pdftotext"), onDisk(t, doc), "-").Output()
			require.NoError(t, err)
			assert.NotContains(t, string(out), "Lesson 1,", "what is past stands for the record")
			assert.Less(t, strings.Index(string(out), "Lesson 2"), strings.Index(string(out), "At the board"))
		}
	}
	plan.Name = "שלום"
	_, err := PlanSheet(plan, NewStyle(A4, Options{}))
	require.ErrorContains(t, err, "שלום")
}
