package api

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"
	"github.com/prometheus/client_golang/prometheus"

	"halfnut/api/openapi"
	"halfnut/api/problem"
	"halfnut/api/web"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

// Config is what a server needs.
type Config struct {
	Practice *practice.Service
	Log      *slog.Logger
	// Secure says that browsers reach the service over TLS, here or at a proxy; it
	// decides name and flags of the session's cookie.
	Secure bool
	// Proxies are addresses or networks whose X-Forwarded-For is believed; the
	// limits by address then count the clients behind them. CheckProxies checks them.
	Proxies []string
	// Metrics takes the counters of requests; nil counts for nobody.
	Metrics prometheus.Registerer
	// Languages are those in which the pages can be read; nil is those built in.
	Languages *web.Languages
}

type server struct {
	practice *practice.Service
	contract *openapi.Document
	log      *slog.Logger
	cookie   web.Cookie
	pages    *web.Pages
}

// handlerFunc carries out what a asks for, whom admit has let in. It leaves its
// errors to the one place that turns them into answers.
type handlerFunc func(c *gin.Context, a practice.Actor) error

// open is the handler of a route that asks nobody who they are.
func open(h func(c *gin.Context) error) handlerFunc {
	return func(c *gin.Context, _ practice.Actor) error { return h(c) }
}

// New returns the whole service: API, pages and files.
func New(cfg Config) http.Handler {
	gin.SetMode(gin.ReleaseMode)
	contract, err := openapi.Load()
	if err != nil {
		panic(err) // a fault of the build, found by every test
	}
	s := &server{practice: cfg.Practice, contract: contract, log: cfg.Log, cookie: web.Cookie{Secure: cfg.Secure}}
	s.pages = web.New(cfg.Practice, cfg.Log, s.cookie, cfg.Languages)
	e := gin.New()
	e.HandleMethodNotAllowed = true
	if err := proxies(e, cfg.Proxies); err != nil {
		panic(err) // CheckProxies was not asked
	}
	e.Use(func(c *gin.Context) {
		if route, ok := c.Request.Context().Value(requestKey{}).(*string); ok {
			*route = c.FullPath()
		}
	})
	e.Use(newLimits().handler(func(c *gin.Context, err error) {
		if strings.HasPrefix(c.FullPath(), "/v1/") {
			s.fail(c, err)
			return
		}
		s.pages.Fail(c, err)
	}))
	e.NoRoute(func(c *gin.Context) {
		if strings.HasPrefix(c.Request.URL.Path, "/v1/") {
			problem.Write(c.Writer, problem.Document{Type: "about:blank", Title: "Not found", Status: http.StatusNotFound, Detail: "there is nothing at this address"})
			return
		}
		s.pages.NotFound(c)
	})
	e.NoMethod(func(c *gin.Context) {
		problem.Write(c.Writer, problem.Document{Type: "about:blank", Title: "Not allowed", Status: http.StatusMethodNotAllowed, Detail: "this address does not take " + c.Request.Method})
	})
	for _, r := range s.routes() {
		e.Handle(r.method, r.path, s.handle(r))
	}
	s.pages.Mount(e)
	e.GET("/reference", s.pages.Reference(contract.Reference()))
	return chain(e, cfg.Log, newMetrics(cfg.Metrics))
}

// route is one line of the API.
type route struct {
	method, path string
	handler      handlerFunc
}

func (s *server) routes() []route {
	return []route{
		{"GET", "/healthz", open(s.health)},
		{"GET", "/readyz", open(s.ready)},
		{"GET", "/v1/openapi.json", open(s.openAPI)},
		{"POST", "/v1/solve", open(s.solve)},
		{"POST", "/v1/bench-card.pdf", open(s.benchCard)},
		{"GET", "/v1/classes/:id/jobs", s.jobs},
		{"PUT", "/v1/classes/:id/jobs/:learner", s.setJob},
		{"DELETE", "/v1/classes/:id/jobs/:learner", s.removeJob},
		{"GET", "/v1/classes/:id/jobs/:learner/bench-card.pdf", s.jobCard()},
		{"GET", "/v1/classes/:id/preparation.pdf", s.preparation()},
		{"GET", "/v1/classes/:id/shop-sessions", s.shopSessions},
		{"POST", "/v1/classes/:id/shop-sessions", s.planShop},
		{"GET", "/v1/shop-sessions/:id", s.shopSession},
		{"PUT", "/v1/shop-sessions/:id", s.changeShop},
		{"PUT", "/v1/shop-sessions/:id/called-off", ended(s.practice.CallOffShop, tellShop)},
		{"DELETE", "/v1/shop-sessions/:id/called-off", lifted(s.practice.HoldShop, tellShop)},
		{"GET", "/v1/shop-sessions/:id/board.pdf", s.shopBoard()},
		{"GET", "/v1/shop-sessions/:id/session.ics", s.shopCalendar},
		{"GET", "/v1/times", s.times},
		{"DELETE", "/v1/times/:id", s.removeTime},
		{"POST", "/v1/lathes/:id/times", s.logTime},
		{"GET", "/v1/skills", open(s.skills)},
		{"GET", "/v1/session", s.session},
		{"POST", "/v1/session", open(s.signIn)},
		{"DELETE", "/v1/session", s.signOut},
		{"PUT", "/v1/session/passphrase", s.setPassphrase},
		{"PUT", "/v1/session/units", s.setUnits},
		{"GET", "/v1/tokens", s.tokens},
		{"POST", "/v1/tokens", s.addToken},
		{"DELETE", "/v1/tokens/:id", s.revokeToken},
		{"GET", "/v1/joining/:code", open(s.joining)},
		{"POST", "/v1/joining", open(s.join)},
		{"GET", "/v1/workshop", s.workshop},
		{"PUT", "/v1/workshop", s.changeWorkshop},
		{"GET", "/v1/lathes", s.lathes},
		{"POST", "/v1/lathes", s.addLathe},
		{"GET", "/v1/lathes/:id", s.lathe},
		{"PUT", "/v1/lathes/:id", s.changeLathe},
		{"PUT", "/v1/lathes/:id/out-of-use", ended(s.practice.TakeOutOfUse, tellLathe)},
		{"DELETE", "/v1/lathes/:id/out-of-use", lifted(s.practice.PutBackInUse, tellLathe)},
		{"GET", "/v1/lathes/:id/skills", s.latheSkills},
		{"GET", "/v1/lathes/:id/checks", s.latheChecks},
		{"POST", "/v1/lathes/:id/checks", s.checkLathe},
		{"GET", "/v1/lathes/:id/poster.pdf", s.poster()},
		{"GET", "/v1/lathes/:id/survey.pdf", s.survey()},
		{"GET", "/v1/classes", s.classes},
		{"POST", "/v1/classes", s.addClass},
		{"GET", "/v1/classes/:id", s.class},
		{"PUT", "/v1/classes/:id", s.renameClass},
		{"PUT", "/v1/classes/:id/end", s.endClass},
		{"DELETE", "/v1/classes/:id/end", s.reopenClass},
		{"POST", "/v1/classes/:id/joining-code", s.newJoiningCode},
		{"GET", "/v1/classes/:id/learners", s.learners},
		{"POST", "/v1/classes/:id/learners", s.addLearners},
		{"GET", "/v1/classes/:id/learners/:learner", s.learner},
		{"PUT", "/v1/classes/:id/learners/:learner", s.changeLearner},
		{"DELETE", "/v1/classes/:id/learners/:learner", s.leaveClass},
		{"GET", "/v1/learners", s.knownLearners},
		{"DELETE", "/v1/learners/:id/pin", s.clearPIN},
		{"GET", "/v1/learners/:id/mastery", s.mastery},
		{"GET", "/v1/learners/:id/record", s.learnerRecord},
		{"POST", "/v1/learners/:id/erasure", s.eraseLearner},
		{"GET", "/v1/learners/:id/plan", s.plan},
		{"GET", "/v1/learners/:id/plan.ics", s.planCalendar},
		{"GET", "/v1/learners/:id/plan.pdf", s.planSheet()},
		{"POST", "/v1/learners/:id/sheets", s.practiceSheet},
		{"GET", "/v1/classes/:id/mastery", s.classMastery},
		{"GET", "/v1/classes/:id/course", s.course},
		{"PUT", "/v1/classes/:id/course", s.setCourse},
		{"GET", "/v1/classes/:id/course/plan", s.coursePlan},
		{"GET", "/v1/classes/:id/course/plan.pdf", s.courseSheet()},
		{"GET", "/v1/classes/:id/forecast", s.classForecast},
		{"GET", "/v1/classes/:id/sets", s.sets},
		{"POST", "/v1/classes/:id/sets", s.buildSet},
		{"GET", "/v1/sets/:id", s.set},
		{"PUT", "/v1/sets/:id/withdrawn", ended(s.practice.WithdrawSet, tellSet)},
		{"DELETE", "/v1/sets/:id/withdrawn", lifted(s.practice.BringSetBack, tellSet)},
		{"GET", "/v1/sets/:id/variants", s.variants},
		{"GET", "/v1/sets/:id/worksheets.pdf", s.worksheets},
		{"GET", "/v1/sets/:id/key.pdf", s.key()},
		{"GET", "/v1/sets/:id/grid.pdf", s.markingGrid()},
		{"GET", "/v1/sets/:id/cover.pdf", s.cover()},
		{"GET", "/v1/sets/:id/pack.zip", s.classPack},
		{"POST", "/v1/sets/:id/pack", s.askPack},
		{"POST", "/v1/recompute", s.recompute},
		{"POST", "/v1/export", s.askExport},
		{"GET", "/v1/work", s.ownWork},
		{"GET", "/v1/work/:id", s.work},
		{"DELETE", "/v1/work/:id", s.callOffWork},
		{"GET", "/v1/work/:id/file", s.workFile},
		{"GET", "/v1/sets/:id/marks", s.marks},
		{"GET", "/v1/sets/:id/marks.csv", s.marksCSV},
		{"POST", "/v1/classes/:id/roster", s.importRoster},
		{"POST", "/v1/sets/:id/answers", s.enterPaper},
		{"GET", "/v1/events", s.events},
		{"GET", "/v1/people", s.people},
		{"POST", "/v1/people", s.addPerson},
		{"POST", "/v1/people/:id/link", s.linkFor},
		{"PUT", "/v1/people/:id/end", s.endPerson},
		{"DELETE", "/v1/people/:id/end", s.letInAgain},
		{"GET", "/v1/signoff/operations", open(s.signOffOperations)},
		{"GET", "/v1/signoff/rules", s.signOffRules},
		{"PUT", "/v1/signoff/rules", s.setSignOffRules},
		{"GET", "/v1/signoff/end", s.chainEnd},
		{"GET", "/v1/signoff/learners", s.findSignOff},
		{"GET", "/v1/signoff/learners/:id", s.signOffs},
		{"GET", "/v1/signoff/learners/:id/history", s.signOffHistory},
		{"DELETE", "/v1/signoff/learners/:id/name", s.eraseSignOffName},
		{"GET", "/v1/signoff/learners/:id/card.pdf", s.signOffCard()},
		{"GET", "/v1/signoff/learners/:id/lathes/:lathe/:operation", s.signOff},
		{"GET", "/v1/signoff/learners/:id/lathes/:lathe/:operation/sheet.pdf", s.signOffSheet()},
		{"GET", "/v1/signoff/lathes/:id/today", s.signOffToday},
		{"POST", "/v1/signoff/sittings", s.openSitting},
		{"GET", "/v1/signoff/sittings/:id", s.sitting},
		{"POST", "/v1/signoff/sittings/:id/answers", s.handIn},
		{"POST", "/v1/signoff/demonstrations", s.witness()},
		{"POST", "/v1/signoff/test-pieces", s.measure()},
		{"POST", "/v1/signoff/decisions", s.decide()},
		{"POST", "/v1/signoff/check-ins", s.checkIn()},
		{"POST", "/v1/signoff/restrictions", s.restrict()},
		{"POST", "/v1/signoff/revocations", s.revoke()},
		{"GET", "/v1/sheets", s.ownSheets},
		{"GET", "/v1/sheets/:code", s.sheet},
		{"GET", "/v1/sheets/:code/progress", s.progress},
		{"GET", "/v1/sheets/:code/hint", s.hint},
		{"POST", "/v1/sheets/:code/answers", s.submit},
		{"GET", "/v1/sheets/:code/attempts", s.tries},
		{"GET", "/v1/overrules", s.overrules},
		{"GET", "/v1/statistics", s.statistics},
		{"POST", "/v1/attempts/:id/overrules", s.overrule},
	}
}

func (s *server) handle(r route) gin.HandlerFunc {
	op := s.contract.Operation(r.method, r.path)
	return func(c *gin.Context) {
		a, err := s.admit(c, op)
		if err == nil {
			err = s.once(c, op, a, r.handler)
		}
		if err != nil {
			s.fail(c, err)
		}
	}
}

func (s *server) fail(c *gin.Context, err error) {
	d := problem.Of(err)
	var breaks *openapi.BodyError
	if errors.As(err, &breaks) {
		d.Type = "/reference#body"
	}
	if d.Status >= 500 {
		s.log.ErrorContext(c.Request.Context(), "failed", "route", c.FullPath(), "error", err.Error())
	}
	problem.Write(c.Writer, d)
}

// answer encodes before the status is sent, so that a failure is still a
// problem document.
func answer(c *gin.Context, status int, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	c.Data(status, "application/json; charset=utf-8", b.Bytes())
	return nil
}

// body reads the whole body; it is bounded by the contract.
func body(c *gin.Context) ([]byte, error) {
	data, err := io.ReadAll(c.Request.Body)
	if err != nil {
		var tooLarge *http.MaxBytesError
		if errors.As(err, &tooLarge) {
			return nil, err
		}
		return nil, &curriculum.FieldError{Path: "/", Reason: "the body could not be read"}
	}
	return data, nil
}

// decode reads one JSON object without fields that v does not have. Where the
// contract describes the route, admit has checked the body by it.
func decode(c *gin.Context, v any) error {
	data, err := body(c)
	if err != nil {
		return err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return decodeError(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return &curriculum.FieldError{Path: "/", Reason: "more than one document"}
	}
	return nil
}

func decodeError(err error) error {
	var domain *threadmath.DomainError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &domain):
		return domain
	case errors.As(err, &kind):
		return &curriculum.FieldError{Path: "/" + strings.ReplaceAll(kind.Field, ".", "/"), Value: kind.Value, Reason: "wrong kind of value", Allowed: kind.Type.String()}
	}
	return &curriculum.FieldError{Path: "/", Reason: strings.TrimPrefix(err.Error(), "json: ")}
}

// signedIn answers with a new session: for scripts as a token, for browsers as a
// cookie.
func (s *server) signedIn(c *gin.Context, token string, expires time.Time) error {
	s.cookie.Set(c.Writer, token, expires)
	return answer(c, http.StatusCreated, map[string]any{"token": token, "expires": expires})
}
