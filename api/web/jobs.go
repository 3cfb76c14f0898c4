package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

// cutForm asks for a job without its lathe, which is one of the workshop's.
var cutForm = jobForm{Groups: append([]fieldGroup{threadFields()}, cutFields()...)}

type jobsData struct {
	Class    curriculum.Class
	Lathes   []curriculum.Lathe
	Learners []curriculum.Learner
	// Jobs are those of the class, by learner.
	Jobs map[string]practice.JobState
	Form jobForm
	// Learner is the one whose job the form shows.
	Learner curriculum.Learner
	Saved   string
}

func (w *Pages) jobsData(c *gin.Context, a practice.Actor, learner string) (d jobsData, err error) {
	ctx := c.Request.Context()
	d.Form, d.Jobs = cutForm, map[string]practice.JobState{}
	if d.Class, err = w.practice.Class(ctx, a, c.Param("id")); err != nil {
		return d, err
	}
	if d.Lathes, err = w.practice.Lathes(ctx, a); err != nil {
		return d, err
	}
	if d.Learners, err = w.practice.Learners(ctx, a, d.Class.ID); err != nil {
		return d, err
	}
	jobs, err := w.practice.Jobs(ctx, a, d.Class.ID)
	if err != nil {
		return d, err
	}
	for _, j := range jobs {
		d.Jobs[j.Learner] = j
	}
	for _, l := range d.Learners {
		if l.ID == learner {
			d.Learner = l
		}
	}
	kept := ""
	if j, has := d.Jobs[d.Learner.ID]; has {
		kept = j.Lathe
	}
	d.Lathes = offered(d.Lathes, kept)
	if learner != "" && d.Learner.ID == "" {
		return d, told(curriculum.ErrNotFound, "This class has no such learner.")
	}
	return d, nil
}

// Thread is a job's thread in one line.
func (r reader) Thread(t threadmath.Thread) string {
	if t.Designation != "" {
		return t.Designation
	}
	words := []string{}
	if t.Diameter != "" {
		words = append(words, r.Typed(t.Diameter))
	}
	if t.Pitch != "" {
		words = append(words, r.T("pitch %s", r.Typed(t.Pitch)))
	}
	if t.Lead != "" {
		words = append(words, r.T("lead %s", r.Typed(t.Lead)))
	}
	if t.Starts != nil {
		words = append(words, r.N(int(*t.Starts), "%s start", "%s starts"))
	}
	return strings.Join(words, ", ")
}

// jobs shows who cuts what where, and the form of one learner's job.
func (w *Pages) jobs(c *gin.Context, a practice.Actor) error {
	d, err := w.jobsData(c, a, c.Query("learner"))
	if err != nil {
		return err
	}
	d.Saved = c.Query("saved")
	var form url.Values
	if d.Learner.ID != "" {
		if form, err = jobValues(d); err != nil {
			return err
		}
	}
	w.show(c, http.StatusOK, "jobs.html", view{Title: w.t(c, "Jobs of %s", d.Class.Name), Role: a.Role, Form: form, Data: d})
	return nil
}

// jobValues fills the form with a learner's job, or for a first one with the
// thread of the seat before, which is most often the same.
func jobValues(d jobsData) (url.Values, error) {
	j, has := d.Jobs[d.Learner.ID]
	if !has {
		for _, l := range d.Learners {
			if other, ok := d.Jobs[l.ID]; ok && l.Seat < d.Learner.Seat {
				j = other
			}
		}
		j.Version, j.Allowed, j.Factor = 0, false, 1
	}
	doc, err := json.Marshal(j.Request)
	if err != nil {
		return nil, err
	}
	form, err := cutForm.values(doc)
	if err != nil {
		return nil, err
	}
	form.Set("lathe", j.Lathe)
	form.Set("method", j.Method)
	form.Set("factor", strconv.FormatFloat(j.Factor, 'f', -1, 64))
	form.Set("version", strconv.Itoa(j.Version))
	if j.Allowed {
		form.Set("allowed", "yes")
	}
	return form, nil
}

// setJob saves one learner's job, and gives it to those who have none when that
// is asked for.
func (w *Pages) setJob(c *gin.Context, a practice.Actor) error {
	learner := c.PostForm("learner") // parses the form
	j, where, err := jobOfForm(c)
	j.Learner = learner
	switch {
	case c.PostForm("remove") != "":
		err = w.practice.RemoveJob(c.Request.Context(), a, j)
	case err != nil:
	default:
		if j, err = w.practice.SetJob(c.Request.Context(), a, j); err == nil && c.PostForm("rest") != "" {
			err = w.giveRest(c, a, j)
		}
	}
	if err != nil {
		d, derr := w.jobsData(c, a, learner)
		if derr != nil {
			return derr
		}
		return w.again(c, overtaken(err), "jobs.html", view{Title: w.t(c, "Jobs of %s", d.Class.Name), Role: a.Role, Where: where, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id")+"/jobs?saved="+url.QueryEscape(learner)+"#jobs")
	return nil
}

// giveRest gives a job to everybody who has none. Leave is each learner's own.
func (w *Pages) giveRest(c *gin.Context, a practice.Actor, j curriculum.Job) error {
	d, err := w.jobsData(c, a, "")
	if err != nil {
		return err
	}
	for _, l := range d.Learners {
		if _, has := d.Jobs[l.ID]; has {
			continue
		}
		j.Learner, j.Version, j.Allowed = l.ID, 0, false
		if _, err := w.practice.SetJob(c.Request.Context(), a, j); err != nil && !errors.Is(err, curriculum.ErrConflict) {
			return err
		}
	}
	return nil
}

// jobOfForm reads the form of a job. Every field that cannot be read is named.
func jobOfForm(c *gin.Context) (curriculum.Job, inputs, error) {
	j := curriculum.Job{Class: c.Param("id"), Lathe: c.PostForm("lathe"), Method: c.PostForm("method"), Allowed: c.PostForm("allowed") != ""}
	doc, from, err := cutForm.document(c.Request.PostForm)
	find := cutForm.whereFrom(from)
	where := func(pointer string) (id string, label phrase) {
		if pointer == "/factor" {
			return "factor", phraseOf("Factor")
		}
		return find(pointer)
	}
	faults := []error{err}
	if err == nil {
		j.Request, err = threadmath.ParseRequest(doc)
		faults = append(faults, err)
	}
	if text := strings.TrimSpace(c.PostForm("factor")); text != "" {
		if j.Factor, err = strconv.ParseFloat(text, 64); err != nil {
			faults = append(faults, wrong("/factor", text, "not a number", "1 to 3"))
		}
	}
	j.Version, err = versionIn(c)
	faults = append(faults, err)
	return j, where, errors.Join(faults...)
}

// indexingMethods are the ways from start to start that a job may ask for.
var indexingMethods = []string{
	threadmath.ByThreadDial, threadmath.ByHalfNut, threadmath.ByCarriageShift, threadmath.ByCompoundParallel, threadmath.ByCompoundAngled,
	threadmath.ByChuckJaws, threadmath.ByFaceplateSlots, threadmath.ByDrivePlateSlots, threadmath.ByIndexHoles, threadmath.ByStudGear, threadmath.ByLeadscrewGear,
}
