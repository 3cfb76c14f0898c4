package api_test

import (
	_ "embed"
	"io"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// axe-core 4.14.1, MPL-2.0; its licence lies beside it.
//
//go:embed testdata/axe/axe.min.js
var axe string

// audit fails for every rule of WCAG 2.2 AA and of good practice that axe-core
// finds broken on the page.
func (p person) audit() {
	p.t.Helper()
	p.inSight()
	p.script(axe + `; ""`)
	found, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](
		`axe.run().then(r => r.violations.map(v => v.id + " (" + v.help + "): " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)).join(" | ")).join("\n"))`, chromedp.EvalAwaitPromise))
	require.NoError(p.t, err)
	assert.Empty(p.t, found, "axe at %s", p.script(`location.pathname`))
}

// TestPagesAreAccessible looks at every page, as those see it who may, on a phone
// and on a laptop: nothing runs over, axe finds nothing.
func TestPagesAreAccessible(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	address := url.Values{}
	for id, text := range benchTyped {
		address.Set(id, text)
	}
	anybody := []string{"/", "/bench", "/bench?" + address.Encode(), "/bench?pitch=0+mm", "/join", "/join?code=" + s.class.JoiningCode, "/join?code=NOSUCH", "/link/x", "/nothing-here", "/signin", "/reference"}
	class := "/classes/" + s.class.ID
	instructor := []string{"/classes", "/learners", "/passphrase", "/units", "/tokens", "/statistics", "/people", "/events", "/events?about=" + s.class.ID, "/events?since=2026-02-30", "/work", class + "/jobs", class + "/shop", class + "/standing", class + "/course", "/classes/" + s.class.ID, class + "/learners/" + s.variants[0].Learner, "/workshop", "/signoff/rules", "/sets/" + s.set.ID, "/sheets/" + s.variants[0].Code + "/answers", "/lathes", "/lathes/" + s.lathe.ID, "/lathes/" + s.lathe.ID + "/times", "/learners/" + s.variants[0].Learner + "/record"}
	learner := []string{"/sheets", "/sheets/" + s.variants[0].Code, "/sheets/" + s.variants[0].Code + "?one=2", "/plan", "/skills"}
	for _, width := range []int64{360, 1280} {
		look := func(p person, pages []string) {
			for _, page := range pages {
				p.open(page)
				p.until(`!document.querySelector("[data-later]")`)
				p.fits()
				p.audit()
			}
		}
		look(s.newPerson(t, width), anybody)
		look(s.signedIn(t, width), instructor)
		look(s.joined(t, width), learner)
	}
}

// signedIn is an instructor who used a link of their own.
func (s *service) signedIn(t *testing.T, width int64) person {
	t.Helper()
	first, err := s.FirstInstructor(t.Context(), s.instructor.Workshop)
	require.NoError(t, err)
	link, err := s.NewLink(t.Context(), first)
	require.NoError(t, err)
	p := s.newPerson(t, width)
	p.open("/link/" + link)
	p.press("main button")
	return p
}

// joined is the learner of the first seat.
func (s *service) joined(t *testing.T, width int64) person {
	t.Helper()
	p := s.newPerson(t, width)
	p.open("/join?code=" + s.class.JoiningCode)
	p.write("#learner", s.variants[0].Learner)
	p.write("#pin", "4711")
	p.press("main button")
	return p
}

// TestSetsArePreviewed puts a set together and sees a variant without issuing it.
func TestSetsArePreviewed(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 1280)
	p.open("/classes/" + s.class.ID)
	p.script(`(() => { const b = document.querySelector("input[value='lead']"); b.checked = true; b.dispatchEvent(new Event("change", {bubbles: true})); return "" })()`)
	p.until(`document.querySelectorAll("#preview .exercise").length === 6`)
	assert.Contains(t, p.text("#preview"), "Lead: 72 exercises, ", "six each of twelve")
	assert.Contains(t, p.text("#preview"), "; 0 of 66 pairs of neighbours have the same answers; some questions are given twice", "Lathe 1 has 50")
	p.audit()
	p.fill("#count", "0")
	p.until(`document.querySelector("#preview .problem")`)
	assert.Contains(t, p.text("#preview"), "1 to 40")
	sets, err := s.Sets(t.Context(), s.instructor, s.class.ID)
	require.NoError(t, err)
	assert.Len(t, sets, 1, "nothing was issued")
}

// TestPaperIsMarkedAsOneTypes types answers from paper and sees their verdicts
// before anything is recorded; Enter goes on to the next.
func TestPaperIsMarkedAsOneTypes(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 1280)
	p.open("/sets/" + s.set.ID)
	key := s.variants[0].Exercises[0]
	p.fill(`[id="a1.a"]`, key.Givens.Values["P"])
	p.until(`document.getElementById("v1.a").innerText.includes("one groove")`)
	p.fill(`[id="a1.a"]`, lengthText(key.Parts[0]))
	p.until(`document.getElementById("v1.a").className.includes("good")`)
	p.script(`(() => { document.getElementById("a1.a").dispatchEvent(new KeyboardEvent("keydown", {key: "Enter", bubbles: true, cancelable: true})); return "" })()`)
	p.focused("a2.a")
	p.audit()
	tries, err := s.Progress(t.Context(), s.instructor, s.variants[0].Code)
	require.NoError(t, err)
	assert.Empty(t, tries, "nothing is recorded")
}

// TestCourse says what a class is taught for and reads its lessons.
func TestCourse(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 360)
	p.open("/classes/" + s.class.ID + "/course")
	for id, text := range map[string]string{"title": "Three starts by spring", "lathe": s.lathe.ID, "units": "mm", "first": "2999-01-06T18:30", "date": "2999-03-10T18:30", "pitch": "2 mm", "starts": "three", "form": "iso-metric", "diameter": "30 mm", "length": "45 mm"} {
		p.fill("#"+id, text)
	}
	p.press("main form button")
	assert.Contains(t, p.text("#starts-fault"), "not a number")
	p.focused("starts")
	assert.Equal(t, "Three starts by spring", p.script(`document.querySelector("#title").value`))
	p.fill("#starts", "3")
	p.press("main form button")
	assert.Contains(t, p.text("#lessons"), "Lesson 1")
	assert.Contains(t, p.text("#lessons"), "Aims")
	p.fits()
	p.audit()
	p.open("/classes/" + s.class.ID + "/standing")
	p.until(`document.querySelector("main").innerText.includes("Chance")`)
	assert.Contains(t, p.text("main"), "Who will be ready on")
	p.fits()
	p.audit()
	learner := s.joined(t, 360)
	plain := s.joined(t, 360)
	plain.withoutScript()
	plain.open("/plan")
	assert.NotContains(t, plain.text("main"), "If you keep every sitting")
	plain.press("main a[href^='?']")
	assert.Contains(t, plain.text("main"), "If you keep every sitting")
	learner.open("/plan")
	assert.Contains(t, learner.text("main"), "Day at the lathe")
	learner.until(`document.querySelector("main").innerText.includes("If you keep every sitting")`)
	learner.press("main form button")
	assert.Contains(t, learner.text("main"), "Worked example")
	learner.fits()
	learner.audit()
}

// TestSheetsAreFound opens a sheet for marking by its printed code.
func TestSheetsAreFound(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 360)
	p.open("/classes")
	p.write("#sheet", "nothing")
	p.press("form[action='/find'] button")
	assert.Contains(t, p.text("#sheet-fault"), "no sheet of this workshop")
	p.write("#sheet", strings.ToLower(s.variants[4].Code[:4]+"-"+s.variants[4].Code[4:]))
	p.press("form[action='/find'] button")
	assert.Equal(t, s.variants[4].Code, p.script(`document.querySelector("#sheet").value`))
	p.fill(`[id="a1.a"]`, "3 mm")
	p.press("form[action$='/paper'] button")
	assert.Contains(t, p.text(".done"), "1 exercise")
	assert.Equal(t, s.variants[5].Code, p.script(`document.querySelector("#sheet").value`), "the next of the pile")
}

// TestTriesStandInTheOrderOfTheSheet: what is overruled is looked up with the sheet in
// the other hand, in whatever order it was typed in.
func TestTriesStandInTheOrderOfTheSheet(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	code := s.variants[0].Code
	for _, position := range []int{2, 1} {
		_, err := s.EnterPaper(t.Context(), s.instructor, s.set.ID, []practice.PaperAnswer{{Variant: code, Position: position, Answers: map[string]string{"a": "7 mm"}}})
		require.NoError(t, err)
	}
	page := s.page(t, "/sheets/"+code+"/answers", s.tokens(t)["instructor"], "en")
	first, second := strings.Index(page, "Exercise 1, try"), strings.Index(page, "Exercise 2, try")
	assert.Positive(t, first)
	assert.Greater(t, second, first)
}

// TestReference: what problem documents point to is there, every operation of the
// contract stands on the page, and no link on it leads nowhere.
func TestReference(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	res, err := http.Get(s.base + "/reference")
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	page := string(data)
	assert.Contains(t, page, `id="body"`)
	for _, r := range api.Routes() {
		way := r.Method + " " + regexp.MustCompile(`:(\w+)`).ReplaceAllString(r.Path, "{$1}")
		assert.Contains(t, page, `<code class="way">`+way+`</code>`)
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		assert.False(t, ids[m[1]], "the id %s stands twice", m[1])
		ids[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`href="#([^"]+)"`).FindAllStringSubmatch(page, -1) {
		name, err := url.PathUnescape(m[1])
		require.NoError(t, err)
		assert.True(t, ids[name], "a link to #%s", name)
	}
}

// TestReferenceIsSentOnce: a browser that has the page is told so, and one that
// shows another, for somebody who is signed in, is sent it.
func TestReferenceIsSentOnce(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	ask := func(known, token string) (int, string, string) {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, s.base+"/reference", nil)
		require.NoError(t, err)
		r.Header.Set("If-None-Match", known)
		if token != "" {
			r.AddCookie(&http.Cookie{Name: "halfnut", Value: token})
		}
		res, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		defer func() { require.NoError(t, res.Body.Close()) }()
		data, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		return res.StatusCode, res.Header.Get("ETag"), string(data)
	}
	status, tag, page := ask("", "")
	assert.Equal(t, http.StatusOK, status)
	require.NotEmpty(t, tag)
	status, _, body := ask(tag, "")
	assert.Equal(t, http.StatusNotModified, status)
	assert.Empty(t, body)
	status, other, body := ask(tag, s.tokens(t)["instructor"])
	assert.Equal(t, http.StatusOK, status)
	assert.NotEqual(t, tag, other)
	assert.Contains(t, body, `action="/signout"`)
	assert.NotContains(t, page, `action="/signout"`)
}
