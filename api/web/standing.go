package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

type standingData struct {
	Map practice.MasteryMap
	// Course says that there is a day to be ready on. The forecast for it takes long
	// the first time of a day, and comes after the page, or when it is asked for.
	Course   bool
	Forecast *practice.Forecast
}

// standing shows where a class stands: the mistakes it holds, who is stuck, who
// will be ready, and every learner's skills.
func (w *Pages) standing(c *gin.Context, a practice.Actor) error {
	m, err := w.practice.ClassMap(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	d := standingData{Map: m}
	if c.Query("forecast") != "" {
		d.Forecast, err = w.forecastOf(c, a)
	} else if _, err = w.practice.Course(c.Request.Context(), a, c.Param("id")); err == nil {
		d.Course = true
	}
	if err != nil && !errors.Is(err, curriculum.ErrNotFound) { // no course yet
		return err
	}
	w.show(c, http.StatusOK, "standing.html", view{Title: w.t(c, "Where %s stands", m.Class.Name), Role: a.Role, Data: d})
	return nil
}

func (w *Pages) forecastOf(c *gin.Context, a practice.Actor) (*practice.Forecast, error) {
	f, err := w.practice.ClassForecast(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return nil, err
	}
	return &f, nil
}

// forecast is the part of the page that comes later.
func (w *Pages) forecast(c *gin.Context, a practice.Actor) error {
	f, err := w.forecastOf(c, a)
	if err != nil {
		return err
	}
	w.showPart(c, http.StatusOK, "standing.html", "forecast", view{Role: a.Role, Data: standingData{Forecast: f}})
	return nil
}

// Look is how a cell of the map looks, and Said what it says to those who cannot
// see it.
func look(s practice.Standing) string {
	state, _ := stateOf(s, false)
	if s.Chances == 0 {
		return "none"
	}
	return state
}

func said(s practice.Standing) english {
	if s.Chances == 0 {
		return "not met"
	}
	_, word := stateOf(s, false)
	return word
}

// courseForm asks for the thread of a course.
var courseForm = jobForm{Groups: []fieldGroup{threadFields()}}

type courseData struct {
	Class  curriculum.Class
	Lathes []curriculum.Lathe
	Form   jobForm
	Units  string
	// Plan is nil until there is a course.
	Plan    *curriculum.CoursePlan
	Version int
}

func (w *Pages) courseData(c *gin.Context, a practice.Actor) (d courseData, form url.Values, err error) {
	ctx := c.Request.Context()
	d.Form = courseForm
	if d.Class, err = w.practice.Class(ctx, a, c.Param("id")); err != nil {
		return d, nil, err
	}
	all, err := w.practice.Lathes(ctx, a)
	if err != nil {
		return d, nil, err
	}
	d.Lathes = offered(slices.Clone(all))
	ws, err := w.practice.Workshop(ctx, a)
	if err != nil {
		return d, nil, err
	}
	d.Units = a.Units.Sheets(ws.Units)
	p, err := w.practice.CoursePlan(ctx, a, d.Class.ID)
	switch {
	case errors.Is(err, curriculum.ErrNotFound):
		return d, url.Values{"every_days": {"7"}, "minutes": {"150"}, "practice_days": {"3"}, "practice_size": {"6"}}, nil
	case err != nil:
		return d, nil, err
	}
	d.Plan, d.Version = &p, p.Course.Version
	d.Lathes = offered(all, p.Course.Spec.Lathe)
	s := p.Course.Spec
	doc, err := marshalThread(s.Thread)
	if err != nil {
		return d, nil, err
	}
	if form, err = courseForm.values(doc); err != nil {
		return d, nil, err
	}
	form.Set("title", s.Title)
	form.Set("lathe", s.Lathe)
	form.Set("units", s.Units)
	form.Set("first", s.First.Format(inputTime))
	form.Set("date", s.Date.Format(inputTime))
	form.Set("every_days", strconv.Itoa(s.EveryDays))
	form.Set("minutes", strconv.Itoa(s.Minutes))
	form.Set("practice_days", strconv.Itoa(s.PracticeDays))
	form.Set("practice_size", strconv.Itoa(s.PracticeSize))
	return d, form, nil
}

// inputTime is how browsers write a day and time without a zone; the workshop's
// clock is taken for it.
const inputTime = "2006-01-02T15:04"

func (w *Pages) course(c *gin.Context, a practice.Actor) error {
	d, form, err := w.courseData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "course.html", view{Title: w.t(c, "Course of %s", d.Class.Name), Role: a.Role, Form: form, Data: d})
	return nil
}

func (w *Pages) setCourse(c *gin.Context, a practice.Actor) error {
	spec, version, where, err := courseSpec(c)
	if err == nil {
		_, err = w.practice.SetCourse(c.Request.Context(), a, c.Param("id"), version, spec)
	}
	if err != nil {
		d, _, derr := w.courseData(c, a)
		if derr != nil {
			return derr
		}
		return w.again(c, overtaken(err), "course.html", view{Title: w.t(c, "Course of %s", d.Class.Name), Role: a.Role, Where: where, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id")+"/course#lessons")
	return nil
}

// courseSpec reads the form of a course. Every field that cannot be read is
// named.
func courseSpec(c *gin.Context) (curriculum.CourseSpec, int, inputs, error) {
	spec := curriculum.CourseSpec{Title: c.PostForm("title"), Lathe: c.PostForm("lathe"), Units: c.PostForm("units")}
	thread, from, err := courseForm.document(c.Request.PostForm)
	where := courseForm.whereFrom(from)
	faults := []error{err}
	if err == nil {
		r, err := threadmath.ParseRequest(thread)
		spec.Thread = r.Thread
		faults = append(faults, err)
	}
	whole := func(name string) int {
		n, err := strconv.Atoi(strings.TrimSpace(c.PostForm(name)))
		if err != nil {
			faults = append(faults, wrong("/"+name, c.PostForm(name), "not a whole number", ""))
		}
		return n
	}
	at := func(name string) time.Time {
		t, err := time.ParseInLocation(inputTime, c.PostForm(name), time.Local)
		if err != nil {
			faults = append(faults, wrong("/"+name, c.PostForm(name), "not a day that exists, with its time", "2026-02-28T18:30"))
		}
		return t
	}
	spec.EveryDays, spec.Minutes, spec.PracticeDays, spec.PracticeSize = whole("every_days"), whole("minutes"), whole("practice_days"), whole("practice_size")
	spec.First, spec.Date = at("first"), at("date")
	version := whole("version")
	return spec, version, where, errors.Join(faults...)
}

// previewSet shows what a class would get, while the set is put together.
func (w *Pages) previewSet(c *gin.Context, a practice.Actor) error {
	v := view{Title: w.t(c, "Preview"), Role: a.Role, Form: c.Request.URL.Query()}
	count, err := wholeIn("/count", c.Query("count"))
	if err != nil {
		return w.againPart(c, err, "class.html", "preview", v, v.Form)
	}
	spec := curriculum.SetSpec{Title: c.Query("title"), Skills: c.QueryArray("skills"), Count: count, Lathe: c.Query("lathe"), Units: c.Query("units")}
	if v.Data, err = w.practice.PreviewSet(c.Request.Context(), a, c.Param("id"), spec); err != nil {
		v.Data = nil
		return w.againPart(c, err, "class.html", "preview", v, v.Form)
	}
	w.showPart(c, http.StatusOK, "class.html", "preview", v)
	return nil
}

// tried is a verdict as the marking grid shows it while somebody types.
type tried struct {
	Class string `json:"class"`
	Text  string `json:"text"`
}

// tryPaper marks what has been typed of a sheet so far; nothing is recorded.
func (w *Pages) tryPaper(c *gin.Context, a practice.Actor) error {
	v, err := w.practice.Variant(c.Request.Context(), a, c.PostForm("sheet"))
	if err != nil {
		return err
	}
	out := map[string]tried{}
	for i, e := range v.Exercises {
		answers := paperAnswers(c, i+1, e)
		if len(answers) == 0 {
			continue
		}
		verdicts, err := w.practice.TryPaper(c.Request.Context(), a, v.Code, i+1, answers)
		if err != nil {
			continue // it is told when the sheet is recorded
		}
		for _, verdict := range verdicts {
			if answers[verdict.Part] != "" {
				out[strconv.Itoa(i+1)+"."+verdict.Part] = tried{markClass(verdict.Outcome), verdict.Reason}
			}
		}
	}
	c.JSON(http.StatusOK, out)
	return nil
}

// paperAnswers reads the answers to one exercise from the marking grid.
func paperAnswers(c *gin.Context, position int, e curriculum.Exercise) map[string]string {
	texts := map[string]string{}
	for _, p := range e.Parts {
		if text := strings.TrimSpace(c.PostForm(strconv.Itoa(position) + "." + p.ID)); text != "" {
			texts[p.ID] = text
		}
	}
	return texts
}
