package api_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// printable fills the workshop until every sheet kind has something to print, and
// names the address of each.
func (s *service) printable(t *testing.T) []string {
	t.Helper()
	ctx := t.Context()
	jobs, err := workshop.Jobs()
	require.NoError(t, err)
	request, err := threadmath.ParseRequest(jobs["jobs/three-start-m30.json"])
	require.NoError(t, err)
	learner := s.variants[0].Learner
	_, err = s.SetJob(ctx, s.instructor, curriculum.Job{Class: s.class.ID, Learner: learner, Lathe: s.lathe.ID, Request: request, Factor: 1, Allowed: true})
	require.NoError(t, err)
	session, err := s.PlanShop(ctx, s.instructor, s.class.ID, time.Now().AddDate(0, 0, 7), curriculum.ShopSpec{Title: "First threads", Minutes: 180, Lathes: []string{s.lathe.ID}})
	require.NoError(t, err)
	_, err = s.SetCourse(ctx, s.instructor, s.class.ID, 0, curriculum.CourseSpec{
		Title: "Three starts", Thread: request.Thread, Cut: request.Cut, Lathe: s.lathe.ID, Units: "mm", First: time.Now().AddDate(0, 0, 1), Date: time.Now().AddDate(0, 2, 0),
		EveryDays: 7, Minutes: 120, PracticeDays: 3, PracticeSize: 6,
	})
	require.NoError(t, err)
	_, err = s.CheckLathe(ctx, s.instructor, curriculum.LatheCheck{Lathe: s.lathe.ID, Entry: "leadscrew", What: "ten threads", Predicted: "60 mm", Measured: "60 mm", Division: "0.02 mm"})
	require.NoError(t, err)
	class, set, file := "/v1/classes/"+s.class.ID, "/v1/sets/"+s.set.ID, "/v1/signoff/learners/"+learner
	return []string{
		class + "/jobs/" + learner + "/bench-card.pdf", class + "/preparation.pdf", class + "/course/plan.pdf",
		"/v1/shop-sessions/" + session.ID + "/board.pdf", "/v1/lathes/" + s.lathe.ID + "/poster.pdf", "/v1/lathes/" + s.lathe.ID + "/survey.pdf",
		"/v1/learners/" + learner + "/plan.pdf", set + "/worksheets.pdf", set + "/key.pdf", set + "/grid.pdf", set + "/cover.pdf",
		file + "/card.pdf", file + "/lathes/" + s.lathe.ID + "/multi-start/sheet.pdf",
	}
}

// TestTwinsAreAccessible: every sheet that is printed is also a page, on a phone
// and on a laptop, in which nothing runs over and axe finds nothing.
func TestTwinsAreAccessible(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	sheets := s.printable(t)
	var routes int
	for _, r := range api.Routes() {
		if r.Method == "GET" && strings.HasSuffix(r.Path, ".pdf") {
			routes++
		}
	}
	assert.Len(t, sheets, routes, "every address that prints is looked at")
	for _, width := range []int64{360, 1280} {
		p := s.signedIn(t, width)
		for _, sheet := range sheets {
			p.open(sheet + "?format=html")
			assert.NotEmpty(t, p.text("article.sheet h1"), sheet)
			p.fits()
			p.audit()
		}
		p.open("/lathes/" + s.lathe.ID)
		p.fits()
		p.audit()
	}
}

// TestSheetsPrintOrRead: each address prints a PDF, and with format=html answers
// the page instead; nothing but the two is taken.
func TestSheetsPrintOrRead(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	for _, sheet := range s.printable(t) {
		status, h, body := s.call(t, token, "GET", sheet, "", "")
		require.Equal(t, 200, status, "%s: %.300s", sheet, body)
		assert.Equal(t, "application/pdf", h.Get("Content-Type"), sheet)
		status, h, body = s.call(t, token, "GET", sheet+"?format=html", "", "")
		require.Equal(t, 200, status, "%s: %.300s", sheet, body)
		assert.Equal(t, "text/html; charset=utf-8", h.Get("Content-Type"), sheet)
		assert.Contains(t, body, `<article class="sheet">`, sheet)
		status, _, _ = s.call(t, token, "GET", sheet+"?format=docx", "", "")
		assert.Equal(t, 422, status, sheet)
	}
	jobs, err := workshop.Jobs()
	require.NoError(t, err)
	status, _, body := s.call(t, "", "POST", "/v1/bench-card.pdf?format=html", "application/json", string(jobs["jobs/three-start-m30.json"]))
	require.Equal(t, 200, status)
	assert.Contains(t, body, "Unproved at this lathe")
}

// TestLathesAreCheckedOnTheirPage records a check, first with a length that has no
// division, and reads it on the poster.
func TestLathesAreCheckedOnTheirPage(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 360)
	p.open("/lathes/" + s.lathe.ID)
	assert.Contains(t, p.text("#checks"), "unproved")
	p.write("#entry", "leadscrew")
	p.write("#what", "ten threads of carriage travel")
	p.write("#predicted", "60 mm")
	p.write("#measured", "60.01 mm")
	require.EqualValues(t, 422, p.press("#checks form button"))
	assert.Contains(t, p.text("#division-fault"), "one division")
	assert.Equal(t, "60.01 mm", p.script(`document.querySelector("#measured").value`), "what was typed is kept")
	assert.Equal(t, "6 mm", p.script(`document.querySelector("#leadscrew").value`), "the profile still stands in its form")
	p.audit()
	p.write("#division", "0.02 mm")
	require.EqualValues(t, 200, p.press("#checks form button"))
	assert.Contains(t, p.text("#checks"), "The check of leadscrew is recorded")
	assert.Contains(t, p.text("#checks"), "proved "+time.Now().UTC().Format("2 Jan 2006"))
	p.fits()
	p.audit()
	p.open("/v1/lathes/" + s.lathe.ID + "/poster.pdf?format=html")
	assert.Contains(t, p.text("main"), "leadscrew, 6 mm (proved ")
}
