package api_test

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// service is a demo workshop behind a real address.
type service struct {
	*practice.Service
	base       string
	link       string // an instructor's one-time link
	instructor practice.Actor
	class      curriculum.Class
	lathe      curriculum.Lathe
	set        curriculum.ClassSet
	variants   []curriculum.Variant
	works      []curriculum.Work // of the demo workshop
	over       curriculum.Class  // of the demo workshop, ended
}

func start(t *testing.T, db *store.DB) *service { return startWith(t, db, practice.Options{}) }

func startWith(t *testing.T, db *store.DB, o practice.Options) *service {
	t.Helper()
	ctx := t.Context()
	o.Random = cmp.Or(o.Random, storetest.Random(t))
	s := &service{Service: practice.New(db, o)}
	server := httptest.NewServer(api.New(api.Config{Practice: s.Service, Log: slog.New(slog.DiscardHandler)}))
	t.Cleanup(server.Close)
	s.base = server.URL
	demo, err := workshop.Demo()
	require.NoError(t, err)
	w, p, err := s.Begin(ctx, demo.Name, demo.Instructor, demo.Units)
	require.NoError(t, err)
	s.instructor = practice.Actor{ID: p.ID, Workshop: w.ID, Role: p.Role}
	for _, l := range demo.Lathes {
		kept, err := s.AddLathe(ctx, s.instructor, l.Name, l)
		require.NoError(t, err)
		if l.Name == "Lathe 2" {
			s.lathe = kept
		}
	}
	s.class, err = s.AddClass(ctx, s.instructor, demo.Class)
	require.NoError(t, err)
	_, err = s.AddLearners(ctx, s.instructor, s.class.ID, practice.Adding{Names: demo.Learners})
	require.NoError(t, err)
	s.set, s.variants, err = s.BuildSet(ctx, s.instructor, s.class.ID, curriculum.SetSpec{
		Title: "First leads", Skills: []string{"lead", "pick-up"}, Count: 2, Lathe: s.lathe.ID, Units: "mm",
	})
	require.NoError(t, err)
	s.link, err = s.NewLink(ctx, p)
	require.NoError(t, err)
	return s
}

var browser = sync.OnceValues(func() (context.Context, error) {
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		return nil, fmt.Errorf("no Chromium on this machine")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true))
	allocator, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, stop := chromedp.NewContext(allocator)
	if err := chromedp.Do(ctx); err != nil { // starts it
		cancel()
		return nil, err
	}
	atExit = func() { stop(); cancel() }
	return ctx, nil
})

var atExit = func() {}

func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "20"); err != nil { // the default of TestOddRequests
		panic(err)
	}
	flag.Parse()
	code := m.Run()
	atExit()
	os.Exit(code)
}

// person is somebody at an own browser, with nobody else's cookies.
type person struct {
	t    *testing.T
	ctx  context.Context
	base string
}

// newPerson opens a window of the given width. An error on its console fails the
// test; so does a page that breaks the security policy.
func (s *service) newPerson(t *testing.T, width int64) person {
	t.Helper()
	shared, err := browser()
	if err != nil {
		if os.Getenv("CI") != "" {
			require.NoError(t, err, "the browser suite must run in CI")
		}
		t.Skip(err)
	}
	ctx, cancel := chromedp.NewContext(shared, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, 900)))
	require.NoError(t, chromedp.Listen(ctx, func(ev any) {
		switch e := ev.(type) {
		case *log.EventEntryAdded:
			// A refused form answers 4xx on purpose; that is no fault of the page.
			if e.Entry.Level == log.EntryLevelError && !strings.Contains(e.Entry.Text, "status of 4") {
				t.Errorf("console: %s %s", e.Entry.Text, e.Entry.URL)
			}
		case *runtime.EventExceptionThrown:
			t.Errorf("exception: %s", e.ExceptionDetails.Text)
		}
	}))
	limited, stop := context.WithTimeout(ctx, 15*time.Minute)
	t.Cleanup(stop)
	return person{t, limited, s.base}
}

func (p person) open(path string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Navigate(p.base+path)))
}

// press clicks what leads to another page and waits for it.
func (p person) press(selector string) int64 {
	p.t.Helper()
	res, err := chromedp.RunResponse(p.ctx, chromedp.Click(chromedp.CSS(selector)))
	require.NoError(p.t, err, selector)
	return int64(res.Status)
}

func (p person) write(selector, text string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.SetValue(chromedp.CSS(selector), text)), selector)
}

func (p person) text(selector string) string {
	p.t.Helper()
	return p.script(`(() => { const e = document.querySelector(` + strconv.Quote(selector) + `); return e.innerText || e.textContent })()`) // nothing in sight has no innerText
}

func (p person) script(code string) string {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](code))
	require.NoError(p.t, err, code)
	return v
}

// inSight lays out what the browser would leave until it is scrolled to.
func (p person) inSight() {
	p.t.Helper()
	p.script(`(() => { const s = new CSSStyleSheet(); s.replaceSync("* { content-visibility: visible !important }"); document.adoptedStyleSheets = [s]; return "" })()`)
}

// fits checks that nothing makes the page scroll sideways, and that no template
// printed a fault of its own.
func (p person) fits() {
	p.t.Helper()
	p.inSight()
	for _, fault := range []string{"%!", "<nil>", "ZgotmplZ", "0xc0"} {
		assert.NotContains(p.t, p.text("body"), fault)
	}
	wide := p.script(`(() => { const w = document.documentElement.clientWidth; if (document.documentElement.scrollWidth <= w) return ""; return [...document.querySelectorAll("body *")].filter(e => e.getBoundingClientRect().right > w + 1 && !e.closest(".wide")).map(e => e.tagName + "." + e.className).slice(0, 5).join(" ") || "the page" })()`)
	assert.Empty(p.t, wide, "wider than the window at %s", p.script(`location.pathname`))
}

// fill types a text as a person does, so that the page's script hears of it.
func (p person) fill(selector, text string) {
	p.t.Helper()
	p.script(`(() => { const e = document.querySelector(` + strconv.Quote(selector) + `); e.value = ` + strconv.Quote(text) + `; e.dispatchEvent(new Event("input", {bubbles: true})); return "" })()`)
}

// until waits for what the page brings about. A page that is left while it is asked
// has not answered: the next one is asked.
func (p person) until(condition string) {
	p.t.Helper()
	var holds bool
	var err error
	for end := time.Now().Add(3 * time.Minute); time.Now().Before(end) && p.ctx.Err() == nil; time.Sleep(30 * time.Millisecond) {
		if holds, err = chromedp.Run(p.ctx, chromedp.Evaluate[bool]("!!("+condition+")")); holds {
			return
		}
	}
	require.NoError(p.t, err, condition)
	require.True(p.t, holds, "%s does not come", condition)
}

// focused waits until the focus is where it is wanted: a browser moves it after
// the page is there.
func (p person) focused(id string) {
	p.t.Helper()
	p.until(`document.activeElement?.id === ` + strconv.Quote(id))
}

// send presses the check button of an exercise and waits for what the page says.
func (p person) send(section string) {
	p.t.Helper()
	p.sendBy(section, "button.check")
}

func (p person) sendBy(section, button string) {
	p.t.Helper()
	p.script(`(() => { document.querySelector(` + strconv.Quote(section) + `).dataset.old = "yes"; return "" })()`)
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Click(chromedp.CSS(section+" "+button))), section)
	p.until(`document.querySelector(` + strconv.Quote(section) + `) && !document.querySelector(` + strconv.Quote(section) + `).dataset.old`)
}

func (p person) withoutScript() {
	p.t.Helper()
	_, err := chromedp.Call(p.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	require.NoError(p.t, err)
}

// benchTyped is a job, by the ids of the bench's inputs.
var benchTyped = map[string]string{
	"pitch": "2 mm", "starts": "4", "form": "iso-metric", "diameter": "30 mm", "leadscrew": "6 mm", "dial_teeth": "20", "dial_lines": "4",
	"holder1": "chuck-jaws", "stations1": "4", "spindle_rpm": "60", "groove": "8 mm", "tool_width": "3 mm", "first_cut": "0.25 mm", "least_cut": "0.03 mm",
}

// checkBench looks at the answer to benchTyped.
func checkBench(p person) {
	p.t.Helper()
	for id, text := range benchTyped {
		assert.Equal(p.t, text, p.script(`document.querySelector("#`+id+`").value`), "%s is kept", id)
	}
	assert.Contains(p.t, p.text("#run-out"), "8.0 mm/s")
	assert.Contains(p.t, p.text("#run-out"), "would run past the room")
	assert.NotContains(p.t, p.text("#run-out"), "stays within")
	assert.Contains(p.t, p.text("#thread"), "8.000 mm")
	for _, section := range []string{"thread", "starts-table", "dials", "fit"} {
		assert.Equal(p.t, "true", p.script(`String(!!document.querySelector("#`+section+` svg"))`), "a drawing in %s", section)
	}
	assert.Contains(p.t, p.text(".caution"), "wind the infeed back")
	p.fits()
}

// lengthText writes a right answer with a unit other than the printed one.
func lengthText(p curriculum.Part) string {
	return strconv.FormatFloat(p.Answer.Length.Value(threadmath.Inch), 'f', 6, 64) + " in"
}

// TestTheTrip goes the whole way in a real browser on both engines: sign in, set,
// print, join, answer, be told why, answer from paper, see the marks.
func TestTheTrip(t *testing.T) {
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		teacher := s.newPerson(t, 1280)

		// The link signs in, once.
		teacher.open("/link/" + s.link)
		require.EqualValues(t, http.StatusOK, teacher.press("main button"))
		assert.Contains(t, teacher.text("h1"), "Kiln Row Workshop")
		teacher.fits()
		teacher.press(".rows a")
		assert.Contains(t, teacher.text("main"), s.class.JoiningCode)
		teacher.fits()

		// A set that cannot be built says why and keeps what was typed.
		teacher.write("#title", "Offsets")
		assert.EqualValues(t, http.StatusUnprocessableEntity, teacher.press("form[action$='/sets'] button"))
		assert.Contains(t, teacher.text(".problem"), "choose at least one skill")
		assert.Equal(t, "Offsets", teacher.script(`document.querySelector("#title").value`))
		teacher.focused("skills")
		assert.Contains(t, teacher.text("#skills-fault"), "choose at least one skill")
		require.NoError(t, chromedp.Do(teacher.ctx,
			chromedp.Click(chromedp.CSS("input[value='axial-offset']")), chromedp.Click(chromedp.CSS("input[value='station-index']")), chromedp.SetValue(chromedp.CSS("#count"), "4")))
		require.NoError(t, chromedp.Do(teacher.ctx, chromedp.SetValue(chromedp.CSS("#lathe"), s.lathe.ID)))
		require.EqualValues(t, http.StatusOK, teacher.press("form[action$='/sets'] button"))
		assert.Equal(t, "Offsets", teacher.text("h1"))
		teacher.fits()
		assert.Equal(t, "12", teacher.script(`String(document.querySelectorAll("#marks ~ .wide tbody tr").length)`))
		for _, name := range []string{"worksheets.pdf", "key.pdf"} {
			head, err := chromedp.Run(teacher.ctx, chromedp.Evaluate[string](
				`fetch(document.querySelector("a[href$='`+name+`']").href).then(async r => r.status + " " + (await r.text()).slice(0, 5))`, chromedp.EvalAwaitPromise))
			require.NoError(t, err)
			assert.Equal(t, "200 %PDF-", head, name)
		}

		// A learner on a phone.
		learner := s.newPerson(t, 360)
		learner.open("/join")
		learner.write("#code", "NOSUCH")
		learner.press("main button")
		assert.Contains(t, learner.text(".problem"), "no class has this joining code")
		learner.write("#code", strings.ToLower(s.class.JoiningCode))
		learner.press("main button")
		learner.fits()
		learner.write("#learner", s.variants[0].Learner)
		learner.write("#pin", "12")
		learner.press("main button")
		assert.Contains(t, learner.text(".problem"), "4 to 12 digits")
		learner.write("#learner", s.variants[0].Learner)
		learner.write("#pin", "4711")
		require.EqualValues(t, http.StatusOK, learner.press("main button"))
		learner.fits()
		learner.open("/sheets/" + s.variants[0].Code)
		learner.fits()
		source := learner.script(`document.documentElement.outerHTML`)
		key := s.variants[0].Exercises[0]
		assert.Contains(t, source, "<svg", "a drawing that helps")
		assert.NotContains(t, source, "Worked solution")

		// A known mistake gets its sentence.
		learner.write("#p1a", key.Givens.Values["P"])
		learner.send("#e1")
		assert.Contains(t, learner.text("#p1av"), "one groove")
		assert.NotContains(t, learner.script(`document.documentElement.outerHTML`), "Worked solution")
		// What can be read two ways is asked back and costs no try.
		before := learner.text("#e1 form > .tries")
		learner.write("#p1a", "1,250")
		learner.send("#e1")
		assert.Contains(t, learner.script(`document.querySelector("#p1av").className`), "ask")
		assert.Equal(t, before, learner.text("#e1 form > .tries"))
		// A hint keeps what is typed.
		learner.write("#p1a", "7")
		learner.sendBy("#e1", "button[name=hint]")
		assert.Contains(t, learner.text("#e1"), "Hint 1")
		assert.Equal(t, "7", learner.script(`document.querySelector("#p1a").value`))
		// Right, in the other unit, while the network is away: kept, sent again, counted once.
		learner.script(`(() => { window.net = window.fetch; window.fetch = () => Promise.reject(new TypeError("away")); return "" })()`)
		learner.write("#p1a", lengthText(key.Parts[0]))
		require.NoError(t, chromedp.Do(learner.ctx, chromedp.Click(chromedp.CSS("#e1 button.check"))))
		learner.until(`document.querySelector("#kept").innerText.includes("kept here")`)
		learner.script(`(() => { window.fetch = window.net; dispatchEvent(new Event("online")); return "" })()`)
		learner.until(`document.querySelector("#p1av")?.className.includes("good")`)
		assert.Equal(t, "null", learner.script(`String(localStorage.getItem("halfnut.answers"))`))
		tries, err := s.Progress(t.Context(), s.instructor, s.variants[0].Code)
		require.NoError(t, err)
		assert.Equal(t, 2, tries[1].Attempt.Try, "the wrong one, then the right one once")
		assert.Contains(t, learner.script(`document.querySelector("#p1av").className`), "good")
		assert.Contains(t, learner.text("#e1 .solution"), "n × P")
		learner.fits()

		// Another learner cannot see it.
		other := s.newPerson(t, 1280)
		other.open("/join?code=" + s.class.JoiningCode)
		other.write("#learner", s.variants[1].Learner)
		other.write("#pin", "0815")
		other.press("main button")
		other.open("/sheets/" + s.variants[0].Code)
		assert.Contains(t, other.text("h1"), "Not found")

		// Paper: typed in, then uploaded.
		teacher.open("/sets/" + s.set.ID)
		teacher.write("#sheet", s.variants[2].Code)
		teacher.write(`[id="a1.a"]`, lengthText(s.variants[2].Exercises[0].Parts[0]))
		teacher.press("form[action$='/paper'] button")
		assert.Contains(t, teacher.text(".done"), "1 exercise from paper is in the record")
		file := filepath.Join(t.TempDir(), "answers.csv")
		require.NoError(t, os.WriteFile(file, []byte("sheet,exercise,part,answer\n"+s.variants[3].Code+",1,a,"+lengthText(s.variants[3].Exercises[0].Parts[0])+"\n"+s.variants[3].Code+",x,a,1\n"), 0o600))
		require.NoError(t, chromedp.Do(teacher.ctx, chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file})))
		teacher.press("form[action$='/upload'] button")
		assert.Contains(t, teacher.text(".problem"), "line 3")
		require.NoError(t, os.WriteFile(file, []byte("sheet,exercise,part,answer\n"+s.variants[3].Code+",1,a,"+lengthText(s.variants[3].Exercises[0].Parts[0])+"\n"), 0o600))
		require.NoError(t, chromedp.Do(teacher.ctx, chromedp.SetUploadFiles(chromedp.CSS("#file"), []string{file})))
		teacher.press("form[action$='/upload'] button")
		for i, want := range map[int]string{0: "right only later", 2: "right", 3: "right"} {
			row := teacher.text(fmt.Sprintf("[id='%s']", s.variants[i].Code))
			assert.Regexp(t, regexp.MustCompile(`\b`+strconv.Itoa(s.variants[i].Exercises[0].Parts[0].Marks)+`\b`), row, want)
		}
		assert.Contains(t, teacher.text(fmt.Sprintf("[id='%s']", s.variants[0].Code)), "first 0")

		// The bench, for anybody.
		visitor := s.newPerson(t, 360)
		visitor.open("/bench")
		for id, text := range benchTyped {
			visitor.fill("#"+id, text)
		}
		visitor.until(`document.querySelector("#run-out")?.textContent.includes("8.0 mm/s")`)
		checkBench(visitor)
		assert.Contains(t, visitor.script(`location.search`), "tool_width=3+mm", "the address says the job")
		// An indexing error is moved and its cost seen.
		visitor.fill("#slip", "10")
		visitor.until(`document.querySelector("#fit")?.textContent.includes("0.200 mm")`)
		assert.Equal(t, "slip", visitor.script(`document.activeElement.id || "slip"`))
		// A fault is said at its field; the form keeps what was typed.
		visitor.fill("#pitch", "0 mm")
		visitor.until(`document.querySelector("#answer .problem")`)
		assert.Contains(t, visitor.text("#answer .problem"), "more than 0")
		assert.Equal(t, "true", visitor.script(`document.querySelector("#pitch").getAttribute("aria-invalid")`))
		visitor.fill("#pitch", "2 mm")
		visitor.until(`document.querySelector("#thread")`)
		// Sections that an answer has and another has not come and go; the rest stays.
		visitor.script(`document.querySelector("#thread").old = "yes"`)
		visitor.fill("#pitch", "2.5 mm")
		visitor.until(`!document.querySelector("#half-nut")`)
		visitor.fill("#pitch", "2 mm")
		visitor.until(`document.querySelector("#half-nut")`)
		assert.Equal(t, "yes", visitor.script(`document.querySelector("#thread").old`))
		assert.Equal(t, "carriage half-nut", visitor.script(`[...document.querySelectorAll("#carriage, #half-nut, #carriage + #half-nut")].map(e => e.id).join(" ")`))
		assert.Equal(t, "holder-0", visitor.script(`document.querySelector("#carriage").previousElementSibling.id`), "where it stood")

		// The same without script: the button opens the page.
		plain := s.newPerson(t, 360)
		plain.withoutScript()
		address := url.Values{}
		for id, text := range benchTyped {
			address.Set(id, text)
		}
		plain.open("/bench?" + address.Encode())
		checkBench(plain)
		plain.open("/bench?pitch=0+mm&starts=2&stations2=x&holder2=chuck-jaws")
		assert.Contains(t, plain.text(".problem"), "Stations 2")
		plain.open("/bench?pitch=0+mm&starts=2")
		assert.Contains(t, plain.text(".problem"), "more than 0")
		assert.Contains(t, plain.text("#pitch-fault"), "Pitch: “0 mm”")
		assert.Equal(t, "pitch 0 mm", plain.script(`document.activeElement.id + " " + document.querySelector("#pitch").value`))

		teacher.press("header form button")
		teacher.open("/classes")
		assert.Contains(t, teacher.text("h1"), "Join a class", "signed out")
	})
}
