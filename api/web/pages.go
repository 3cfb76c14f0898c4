package web

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"log/slog"
	"net/http"
	"net/url"
	"path"
	"strings"
	"sync"
	"time"

	"github.com/gin-gonic/gin"
	lru "github.com/hashicorp/golang-lru/v2"

	"halfnut/api/problem"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

//go:embed templates
var templateFiles embed.FS

//go:embed static
var staticFiles embed.FS

// Pages are the pages of the service.
type Pages struct {
	practice  *practice.Service
	log       *slog.Logger
	cookie    Cookie
	languages *Languages
	// What a version of a lathe's page says of it is the same for ever.
	notes *lru.Cache[string, latheNotes]
}

// mostKept bounds what is kept of lathes.
const mostKept = 2000

func keep[T any]() *lru.Cache[string, T] {
	c, err := lru.New[string, T](mostKept)
	if err != nil {
		panic(err) // the size is ours
	}
	return c
}

// New makes the pages, in the languages that are built in where none are given.
func New(p *practice.Service, log *slog.Logger, cookie Cookie, l *Languages) *Pages {
	l = cmp.Or(l, builtIn)
	l.offered[0].pages() // now, not while the first reader waits
	return &Pages{practice: p, log: log, cookie: cookie, languages: l, notes: keep[latheNotes]()}
}

// parse reads the templates with the language's words; one that does not parse is
// a fault of the build, found by every test.
func (x *texts) parse() map[string]*template.Template {
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		panic(err)
	}
	out := map[string]*template.Template{}
	for _, name := range names {
		out[path.Base(name)] = template.Must(template.New("layout.html").Funcs(x.functions()).ParseFS(templateFiles, "templates/parts/*.html", name))
	}
	return out
}

// view is what every page is given.
type view struct {
	reader
	Title string
	// Who is signed in: "instructor", "steward", "learner" or "".
	Role string
	// Problem is shown at the top when what was sent could not be used.
	Problem *trouble
	// Where finds the inputs of this page's form for the faults of a request.
	Where inputs
	// Form keeps what was typed.
	Form url.Values
	Data any
	// Lasting is a page that stays the same for a long time: a browser may keep it,
	// and asks whether it has changed.
	Lasting bool
}

// handler shows a page to a, or does what a form of theirs asks. It leaves its
// errors to the one place that turns them into pages.
type handler func(c *gin.Context, a practice.Actor) error

// known asks who it is before the handler is asked anything.
func (w *Pages) known(h handler) gin.HandlerFunc {
	return w.open(func(c *gin.Context) error {
		a, err := w.actor(c)
		if err != nil {
			return err
		}
		return h(c, a)
	})
}

// open is for a page that everybody may see.
func (w *Pages) open(h func(c *gin.Context) error) gin.HandlerFunc {
	return func(c *gin.Context) {
		if err := h(c); err != nil {
			w.fail(c, err)
		}
	}
}

// fail shows an error page; without a session it leads to the door.
func (w *Pages) fail(c *gin.Context, err error) {
	d := problem.Of(err)
	if d.Status >= 500 {
		w.log.ErrorContext(c.Request.Context(), "failed", "route", c.FullPath(), "error", err.Error())
	}
	if errors.Is(err, curriculum.ErrNoSession) && c.Request.Method == http.MethodGet {
		c.Redirect(http.StatusSeeOther, "/join")
		return
	}
	d.SetHeader(c.Writer.Header())
	w.show(c, d.Status, "problem.html", view{Title: w.reader(c).lookUp(d.Title), Problem: troubleOf(err, d, nil)})
}

// Fail shows the page of an error that is not a page's own.
func (w *Pages) Fail(c *gin.Context, err error) { w.fail(c, err) }

// Reference shows the contract to people, as package openapi read it. It is long and
// stays the same while the program runs, so that it is written once in each language,
// and not sent to a browser that has it.
func (w *Pages) Reference(contract any) gin.HandlerFunc {
	written := map[*texts]func() (template.HTML, error){}
	for _, x := range w.languages.offered {
		written[x] = sync.OnceValues(func() (template.HTML, error) {
			var b strings.Builder
			err := x.pages()["reference.html"].ExecuteTemplate(&b, "contract", contract)
			return template.HTML(b.String()), err //nolint:gosec // our own template, which escapes
		})
	}
	return w.open(func(c *gin.Context) error {
		text, err := written[w.reader(c).texts]()
		if err != nil {
			return err
		}
		w.show(c, http.StatusOK, "reference.html", view{Title: w.t(c, "Reference"), Data: text, Lasting: true})
		return nil
	})
}

// NotFound is the page for an address that has none.
func (w *Pages) NotFound(c *gin.Context) {
	w.fail(c, told(curriculum.ErrNotFound, "There is no page at this address."))
}

// show renders to memory first, so that a page is whole or a problem.
func (w *Pages) show(c *gin.Context, status int, name string, v view) {
	w.showPart(c, status, name, "layout.html", v)
}

// showPart renders one part of a page, for a script that puts it in place.
func (w *Pages) showPart(c *gin.Context, status int, name, part string, v view) {
	a, err := w.actor(c)
	if err == nil {
		v.Role = cmp.Or(v.Role, a.Role)
	}
	v.reader = w.reader(c)
	c.Header("Vary", "Accept-Language")
	if v.Form == nil {
		v.Form = url.Values{}
	}
	var b bytes.Buffer
	if err := v.pages()[name].ExecuteTemplate(&b, part, v); err != nil {
		w.log.ErrorContext(c.Request.Context(), "page", "name", name, "error", err.Error())
		problem.Write(c.Writer, problem.Document{Type: "about:blank", Title: "Something went wrong here", Status: http.StatusInternalServerError})
		return
	}
	if v.Lasting {
		// Weak, since it is of the page before it is packed.
		c.Header("ETag", fmt.Sprintf(`W/"%x"`, sha256.Sum256(b.Bytes())))
		c.Header("Cache-Control", "private, no-cache")
		c.Header("Content-Type", "text/html; charset=utf-8")
		http.ServeContent(c.Writer, c.Request, "", time.Time{}, bytes.NewReader(b.Bytes()))
		return
	}
	c.Data(status, "text/html; charset=utf-8", b.Bytes())
}

// again shows a form once more with what was typed and what is wrong; errors
// that are not about the form go to the error page.
func (w *Pages) again(c *gin.Context, err error, name string, v view) error {
	return w.againPart(c, err, name, "layout.html", v, c.Request.PostForm)
}

func (w *Pages) againPart(c *gin.Context, err error, name, part string, v view, typed url.Values) error {
	d := problem.Of(err)
	if d.Status != http.StatusUnprocessableEntity && d.Status != http.StatusConflict && d.Status != http.StatusForbidden && d.Status != http.StatusTooManyRequests {
		return err
	}
	d.SetHeader(c.Writer.Header())
	v.Problem, v.Form = troubleOf(err, d, v.Where), typed
	w.showPart(c, d.Status, name, part, v)
	return nil
}

// actor is who asks; found once for a request.
func (w *Pages) actor(c *gin.Context) (practice.Actor, error) {
	const key = "actor"
	if a, ok := c.Get(key); ok {
		return a.(practice.Actor), nil
	}
	a, err := w.practice.Actor(c.Request.Context(), w.cookie.Read(c.Request))
	if err == nil {
		c.Set(key, a)
	}
	return a, err
}

// reader is who the page is for; found once for a request. The units of an address
// count before those that who asks has chosen, so that a job can be passed on as it
// was seen.
func (w *Pages) reader(c *gin.Context) reader {
	const key = "reader"
	if r, ok := c.Get(key); ok {
		return r.(reader)
	}
	units, err := curriculum.UnitsNamed("/units", c.Query("units"))
	if a, known := w.actor(c); known == nil && (err != nil || units == curriculum.UnitsOfJob) {
		units = a.Units
	}
	r := readerOf(c.Request, units)
	r.texts = w.languages.of(c.Request)
	c.Set(key, r)
	return r
}

// t is a text in the language of who asks.
func (w *Pages) t(c *gin.Context, key english, with ...any) string {
	return w.reader(c).T(key, with...)
}

// Mount adds the pages' routes.
func (w *Pages) Mount(e *gin.Engine) {
	static, err := fs.Sub(staticFiles, "static")
	if err != nil {
		panic(err)
	}
	files := http.StripPrefix("/static/", http.FileServerFS(static))
	e.GET("/static/*file", func(c *gin.Context) {
		c.Header("Cache-Control", "max-age=3600")
		files.ServeHTTP(c.Writer, c.Request)
	})
	for _, r := range []struct {
		method, path string
		handler      func(c *gin.Context) error
	}{
		{"GET", "/", w.home},
		{"GET", "/bench", w.bench},
		{"GET", "/bench/answer", w.benchAnswer},
		{"GET", "/bench/fit", w.benchFit},
		{"GET", "/bench/card.pdf", w.benchCard},
		{"GET", "/link/:token", w.link},
		{"POST", "/link", w.useLink},
		{"GET", "/signin", w.signIn},
		{"POST", "/signin", w.doSignIn},
		{"POST", "/signout", w.signOut},
		{"GET", "/join", w.join},
		{"POST", "/join", w.doJoin},
	} {
		e.Handle(r.method, r.path, w.open(r.handler))
	}
	for _, r := range []struct {
		method, path string
		handler      handler
	}{
		{"GET", "/passphrase", w.passphrase},
		{"POST", "/passphrase", w.setPassphrase},
		{"GET", "/tokens", w.tokens},
		{"POST", "/tokens", w.changeTokens},
		{"GET", "/units", w.units},
		{"POST", "/units", w.setUnits},
		{"GET", "/plan", w.plan},
		{"POST", "/plan", w.practise},
		{"GET", "/plan/chance", w.planChance},
		{"GET", "/skills", w.skillMap},
		{"GET", "/sheets", w.sheets},
		{"GET", "/sheets/:code", w.sheet},
		{"POST", "/sheets/:code/:position", w.answer},
		{"GET", "/sheets/:code/answers", w.tries},
		{"POST", "/sheets/:code/overrules", w.overrule},
		{"POST", "/sheets/:code/:position/hint", w.hint},
		{"GET", "/find", w.find},
		{"GET", "/classes", w.classes},
		{"POST", "/classes", w.addClass},
		{"GET", "/classes/:id", w.class},
		{"GET", "/workshop", w.workshop},
		{"POST", "/workshop", w.changeWorkshop},
		{"POST", "/classes/:id", w.renameClass},
		{"POST", "/classes/:id/end", w.endClass},
		{"POST", "/classes/:id/reopen", w.reopenClass},
		{"POST", "/classes/:id/joining-code", w.newJoiningCode},
		{"POST", "/classes/:id/learners", w.addLearners},
		{"GET", "/classes/:id/learners/:learner", w.learner},
		{"POST", "/classes/:id/learners/:learner", w.changeLearner},
		{"POST", "/classes/:id/learners/:learner/leave", w.leaveClass},
		{"POST", "/classes/:id/pin", w.clearPIN},
		{"GET", "/learners", w.everybody},
		{"POST", "/learners", w.enrol},
		{"GET", "/lathes/:id/times", w.times},
		{"POST", "/lathes/:id/times", w.logTime},
		{"GET", "/learners/:id/record", w.record},
		{"POST", "/learners/:id/record", w.eraseLearner},
		{"POST", "/classes/:id/sets", w.buildSet},
		{"GET", "/classes/:id/preview", w.previewSet},
		{"GET", "/classes/:id/standing", w.standing},
		{"GET", "/classes/:id/standing/forecast", w.forecast},
		{"GET", "/classes/:id/course", w.course},
		{"POST", "/classes/:id/course", w.setCourse},
		{"POST", "/classes/:id/roster", w.importRoster},
		{"GET", "/statistics", w.statistics},
		{"GET", "/classes/:id/jobs", w.jobs},
		{"POST", "/classes/:id/jobs", w.setJob},
		{"GET", "/classes/:id/shop", w.shops},
		{"POST", "/classes/:id/shop", w.planShop},
		{"GET", "/shop-sessions/:id", w.board},
		{"POST", "/shop-sessions/:id", w.changeShop},
		{"POST", "/shop-sessions/:id/move", w.moveLearner},
		{"POST", "/shop-sessions/:id/people", w.setPeople},
		{"POST", "/shop-sessions/:id/called-off", w.callOffShop},
		{"GET", "/sets/:id", w.set},
		{"POST", "/sets/:id/pack", w.askPack},
		{"POST", "/sets/:id/withdrawn", w.withdrawSet},
		{"GET", "/work", w.works},
		{"POST", "/work", w.askWork},
		{"GET", "/work/:id", w.work},
		{"POST", "/work/:id", w.callOffWork},
		{"GET", "/work/:id/progress", w.workProgress},
		{"POST", "/sets/:id/try", w.tryPaper},
		{"POST", "/sets/:id/paper", w.paper},
		{"POST", "/sets/:id/upload", w.upload},
		{"GET", "/signoff", w.signOffs},
		{"GET", "/signoff/rules", w.signOffRules},
		{"POST", "/signoff/rules", w.setSignOffRules},
		{"GET", "/signoff/cards/:code", w.signOffCardCode},
		{"GET", "/signoff/lathes/:id", w.signOffToday},
		{"GET", "/signoff/sittings/:id", w.sitting},
		{"POST", "/signoff/sittings/:id", w.handIn},
		{"GET", "/signoff/learners/:id", w.signOffLearner},
		{"GET", "/signoff/learners/:id/lathes/:lathe/:operation", w.signOff},
		{"POST", "/signoff/learners/:id/lathes/:lathe/:operation/:act", w.signOffAct},
		{"GET", "/events", w.events},
		{"GET", "/people", w.people},
		{"POST", "/people", w.addPerson},
		{"POST", "/people/end", w.endPerson},
		{"POST", "/people/again", w.letInAgain},
		{"GET", "/lathes", w.lathes},
		{"POST", "/lathes", w.addLathe},
		{"GET", "/lathes/:id", w.lathe},
		{"POST", "/lathes/:id", w.changeLathe},
		{"POST", "/lathes/:id/checks", w.checkLathe},
		{"POST", "/lathes/:id/out-of-use", w.changeUse},
	} {
		e.Handle(r.method, r.path, w.known(r.handler))
	}
}
