package web

import (
	"cmp"
	"errors"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"
	"github.com/google/uuid"

	"halfnut/api/problem"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

func (w *Pages) home(c *gin.Context) error {
	a, err := w.actor(c)
	if err == nil {
		to := "/plan"
		if a.Role != practice.RoleLearner {
			to = "/classes"
		}
		if a.Role == curriculum.RoleSteward {
			to = "/signoff"
		}
		c.Redirect(http.StatusSeeOther, to)
		return nil
	}
	w.show(c, http.StatusOK, "home.html", view{Title: w.t(c, "Multi-start threads")})
	return nil
}

// link shows a button: the page that a one-time link opens must not spend it,
// since mail and chat programs open links by themselves.
func (w *Pages) link(c *gin.Context) error {
	w.show(c, http.StatusOK, "link.html", view{Title: w.t(c, "Sign in"), Data: c.Param("token")})
	return nil
}

func (w *Pages) useLink(c *gin.Context) error {
	token, expires, err := w.practice.UseLink(c.Request.Context(), c.PostForm("token"))
	if err != nil {
		return err
	}
	w.cookie.Set(c.Writer, token, expires)
	c.Redirect(http.StatusSeeOther, "/") // which leads on by role
	return nil
}

func (w *Pages) signOut(c *gin.Context) error {
	if err := w.practice.SignOut(c.Request.Context(), w.cookie.Read(c.Request)); err != nil {
		return err
	}
	w.cookie.Clear(c.Writer)
	c.Redirect(http.StatusSeeOther, "/")
	return nil
}

// joinData is the class that a joining code opens, once it is typed.
type joinData struct {
	Code     string
	Class    string
	Learners []curriculum.Learner
}

func (w *Pages) join(c *gin.Context) error {
	code := c.Query("code")
	v := view{Title: w.t(c, "Join a class"), Data: joinData{}}
	if code == "" {
		w.show(c, http.StatusOK, "join.html", v)
		return nil
	}
	v.Form = c.Request.URL.Query()
	d, err := w.joinData(c, code)
	if err != nil {
		return w.againPart(c, err, "join.html", "layout.html", v, c.Request.URL.Query())
	}
	v.Data = d
	w.show(c, http.StatusOK, "join.html", v)
	return nil
}

func (w *Pages) joinData(c *gin.Context, code string) (joinData, error) {
	class, ls, err := w.practice.Joining(c.Request.Context(), code)
	return joinData{Code: code, Class: class.Name, Learners: ls}, err
}

func (w *Pages) doJoin(c *gin.Context) error {
	code := c.PostForm("code")
	token, expires, err := w.practice.Join(c.Request.Context(), code, c.PostForm("learner"), c.PostForm("pin"))
	if err != nil {
		d, _ := w.joinData(c, code)
		return w.again(c, err, "join.html", view{Title: w.t(c, "Join a class"), Data: d})
	}
	w.cookie.Set(c.Writer, token, expires)
	c.Redirect(http.StatusSeeOther, "/sheets")
	return nil
}

type sheetsData struct {
	Learner curriculum.Learner
	Sheets  []practice.Sheet
}

func (w *Pages) sheets(c *gin.Context, a practice.Actor) error {
	me, err := w.practice.Me(c.Request.Context(), a)
	if err != nil {
		return err
	}
	sheets, err := w.practice.OwnSheets(c.Request.Context(), a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "sheets.html", view{Title: w.t(c, "My sheets"), Role: a.Role, Data: sheetsData{me, sheets}})
	return nil
}

// sheetData is a learner's sheet with what became of it so far.
type sheetData struct {
	Variant   curriculum.Variant
	Exercises []exerciseView
	// One is the position of the question that is shown alone, 0 for all.
	One int
	// Example stands in front of a question shown alone; nil for none.
	Example *exampleFor
}

// Shown reports whether the question of a position is on the page.
func (d sheetData) Shown(position int) bool { return d.One == 0 || d.One == position }

type exerciseView struct {
	Position int
	Exercise curriculum.Exercise
	// Try is the id of the next try: sent twice, it counts once.
	Try    string
	Result *practice.Result
	// Typed are the answers of the last try.
	Typed map[string]string
	// Hint is the rung that was just asked for, of a part.
	Hint     []string
	HintPart string
	HintRung int
	// Fault is what was wrong with what was just sent, FaultPart the part of it.
	Fault, FaultPart string
	// Empty are the questions of the parts that were sent empty, in the order of the
	// page: whether that is meant is asked before anything counts.
	Empty []string
}

func (w *Pages) sheet(c *gin.Context, a practice.Actor) error {
	v, err := w.practice.Variant(c.Request.Context(), a, c.Param("code"))
	if err != nil {
		return err
	}
	if a.Role != practice.RoleLearner {
		c.Redirect(http.StatusSeeOther, "/sets/"+v.Set+"?sheet="+v.Code+"#paper")
		return nil
	}
	return w.showSheet(c, a, v, shown{})
}

// shown is what was just sent about the question at a position, whose typed
// answers come from the form: a fault, or a hint.
type shown struct {
	position int
	fault    error
	part     string
	rung     int
	lines    []string
}

func (w *Pages) showSheet(c *gin.Context, a practice.Actor, v curriculum.Variant, s shown) error {
	progress, err := w.practice.Progress(c.Request.Context(), a, v.Code)
	if err != nil {
		return err
	}
	d := sheetData{Variant: v}
	if n, err := strconv.Atoi(cmp.Or(c.Query("one"), c.PostForm("one"))); err == nil && n >= 1 && n <= len(v.Exercises) {
		d.One = n
	}
	for i, e := range v.Exercises {
		x := exerciseView{Position: i + 1, Exercise: e, Try: uuid.NewString(), Typed: map[string]string{}}
		if r, ok := progress[i+1]; ok {
			x.Result, x.Typed = &r, r.Attempt.Answers
		}
		if i+1 == s.position {
			x.Typed, x.Hint, x.HintPart, x.HintRung = typed(c, e), s.lines, s.part, s.rung
			var incomplete *curriculum.IncompleteError
			switch {
			case errors.As(s.fault, &incomplete):
				x.Empty, x.FaultPart = asksOf(e, incomplete.Parts), incomplete.Parts[0]
			case s.fault != nil:
				x.Fault, x.FaultPart = faultOf(s.fault, e)
			}
		}
		d.Exercises = append(d.Exercises, x)
	}
	if d.One > 0 {
		if d.Example, err = w.example(c, a, v.Exercises[d.One-1].Skill); err != nil {
			return err
		}
	}
	status := http.StatusOK
	if s.fault != nil {
		status = http.StatusUnprocessableEntity
	}
	w.show(c, status, "sheet.html", view{Title: w.t(c, "Sheet"), Role: a.Role, Data: d})
	return nil
}

// asksOf returns what the parts ask.
func asksOf(e curriculum.Exercise, parts []string) []string {
	var out []string
	for _, p := range e.Parts {
		if slices.Contains(parts, p.ID) {
			out = append(out, p.Ask)
		}
	}
	return out
}

// faultOf says what is wrong with an answer, and in which part: the first one
// where nothing is answered.
func faultOf(err error, e curriculum.Exercise) (text, part string) {
	part = e.Parts[0].ID
	d := problem.Of(err)
	if len(d.Fields) == 0 {
		return sentence(d.Detail), part
	}
	f := d.Fields[0]
	if name, ok := strings.CutPrefix(f.Path, "/answers/"); ok {
		part = name
	}
	text = capital(f.Reason)
	if f.Allowed != "" {
		text += " (allowed: " + f.Allowed + ")"
	}
	return text + ".", part
}

// typed reads the answers of one exercise from the form.
func typed(c *gin.Context, e curriculum.Exercise) map[string]string {
	out := map[string]string{}
	for _, p := range e.Parts {
		if text := c.PostForm("part." + p.ID); text != "" {
			out[p.ID] = text
		}
	}
	return out
}

// exerciseAsked is the sheet of an address, and which of its exercises is meant.
func (w *Pages) exerciseAsked(c *gin.Context, a practice.Actor) (v curriculum.Variant, position int, err error) {
	if v, err = w.practice.Variant(c.Request.Context(), a, c.Param("code")); err != nil {
		return v, 0, err
	}
	position, err = strconv.Atoi(c.Param("position"))
	if err != nil || position < 1 || position > len(v.Exercises) {
		return v, 0, curriculum.ErrNotFound
	}
	return v, position, nil
}

func (w *Pages) answer(c *gin.Context, a practice.Actor) error {
	v, position, err := w.exerciseAsked(c, a)
	if err != nil {
		return err
	}
	e := v.Exercises[position-1]
	_, err = w.practice.Submit(c.Request.Context(), a, practice.Submission{
		ID: c.PostForm("try"), Variant: v.Code, Position: position, Answers: typed(c, e), Partial: c.PostForm("partial") != "",
	})
	if err != nil {
		if isFormFault(err) {
			return w.showSheet(c, a, v, shown{position: position, fault: err})
		}
		return err
	}
	c.Redirect(http.StatusSeeOther, sheetAddress(v.Code, position, c.PostForm("one") != ""))
	return nil
}

// hint shows one more rung of the hints of a part and keeps what is typed. That
// it was asked for is kept too: the first try then counts as one with help.
func (w *Pages) hint(c *gin.Context, a practice.Actor) error {
	v, position, err := w.exerciseAsked(c, a)
	if err != nil {
		return err
	}
	part, text, _ := strings.Cut(c.PostForm("hint"), ":")
	rung, err := strconv.Atoi(text)
	if err != nil {
		return wrong("/hint", c.PostForm("hint"), "not a rung of the hints", "")
	}
	lines, err := w.practice.Hint(c.Request.Context(), a, v.Code, position, part, rung)
	if err != nil {
		return err
	}
	return w.showSheet(c, a, v, shown{position: position, part: part, rung: rung, lines: lines})
}

// hintRungs are the rungs in front of the worked solution: what to do, by which
// rule, with which numbers.
const hintRungs = 3

// NextHint is what the hint button of a part sends; empty when there is none
// left.
func (x exerciseView) NextHint(part string) string {
	rung := 1
	if x.HintPart == part {
		rung = x.HintRung + 1
	}
	if rung > hintRungs {
		return ""
	}
	return part + ":" + strconv.Itoa(rung)
}

// exampleFor is the worked example in front of a question: whole at the first
// meeting, its last step folded away at the next two, then none.
type exampleFor struct {
	curriculum.Example
	Faded bool
}

// enoughKnown is where examples stop helping (teaching practice: they hold up
// those who know; the value is our own).
const enoughKnown = 0.6

func (w *Pages) example(c *gin.Context, a practice.Actor, slug string) (*exampleFor, error) {
	skill, err := curriculum.SkillOf(slug)
	if err != nil || len(skill.Example.Lines) == 0 {
		return nil, nil //nolint:nilerr // a skill of an older catalogue has no example any more
	}
	standings, err := w.practice.Mastery(c.Request.Context(), a, a.ID)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(standings, func(s practice.Standing) bool { return s.Skill == slug })
	if i < 0 || standings[i].Chances > 2 || standings[i].Known > enoughKnown {
		return nil, nil
	}
	return &exampleFor{skill.Example, standings[i].Chances > 0}, nil
}

// VerdictOf returns the verdict of a part in the last try.
func (x exerciseView) VerdictOf(part string) *curriculum.Verdict {
	if x.Result == nil {
		return nil
	}
	vs := x.Result.Attempt.Verdicts
	i := slices.IndexFunc(vs, func(v curriculum.Verdict) bool { return v.Part == part })
	if i < 0 {
		return nil
	}
	return &vs[i]
}

// Attrs tie the input of a part to what is said of it, and give one with a fault
// the focus.
func (x exerciseView) Attrs(id, part string) template.HTMLAttr {
	switch {
	case x.Empty != nil && x.FaultPart == part:
		return template.HTMLAttr(`aria-invalid="true" autofocus aria-describedby="e` + strconv.Itoa(x.Position) + `-empty"`) //nolint:gosec // likewise
	case x.Fault != "" && x.FaultPart == part:
		return template.HTMLAttr(`aria-invalid="true" autofocus aria-describedby="` + id + `-fault"`) //nolint:gosec // ids of our own templates
	case x.VerdictOf(part) != nil:
		return template.HTMLAttr(`aria-describedby="` + id + `v"`) //nolint:gosec // likewise
	}
	return ""
}

// SolutionOf returns the worked lines of a part, once they are due.
func (x exerciseView) SolutionOf(part string) []string {
	if x.Result == nil {
		return nil
	}
	for _, s := range x.Result.Solution {
		if s.Part == part {
			return s.Lines
		}
	}
	return nil
}

// Open reports whether answers are still taken.
func (x exerciseView) Open() bool { return x.Result == nil || !x.Result.Due }

// Mark is how a question stands: "good", "bad" or "".
func (x exerciseView) Mark() string {
	switch {
	case x.Result == nil:
		return ""
	case x.Result.Attempt.Outcome() == curriculum.Right:
		return "good"
	}
	return "bad"
}

// MarkWord says it to those who cannot see it.
func (x exerciseView) MarkWord() english {
	return map[string]english{"good": "outcome|right", "bad": "not right yet", "": "not tried"}[x.Mark()]
}
