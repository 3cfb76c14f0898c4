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
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

type lathesData struct {
	Lathes []curriculum.Lathe
	Staff  staff
	Form   jobForm
}

func (w *Pages) lathesData(c *gin.Context, a practice.Actor) (lathesData, error) {
	ls, err := w.practice.Lathes(c.Request.Context(), a)
	if err != nil {
		return lathesData{}, err
	}
	names, err := w.practice.StaffNames(c.Request.Context(), a)
	return lathesData{Lathes: ls, Staff: names, Form: latheForm(threadmath.Lathe{})}, err
}

func (w *Pages) lathes(c *gin.Context, a practice.Actor) error {
	d, err := w.lathesData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "lathes.html", view{Title: w.t(c, "Lathes"), Role: a.Role, Data: d})
	return nil
}

// profileOfForm reads a lathe from the form's fields.
func profileOfForm(form jobForm, values url.Values) (threadmath.Lathe, inputs, error) {
	doc, from, err := form.document(values)
	find := form.whereFrom(from)
	where := func(pointer string) (id string, label phrase) {
		if !strings.HasPrefix(pointer, latheRoot+"/") {
			pointer = latheRoot + strings.TrimPrefix(pointer, "/profile")
		}
		return find(pointer)
	}
	if err != nil {
		return threadmath.Lathe{}, where, err
	}
	l, err := threadmath.ParseLathe(doc)
	return l, where, err
}

func (w *Pages) addLathe(c *gin.Context, a practice.Actor) error {
	name := c.PostForm("name") // parses the form
	profile, where, err := profileOfForm(latheForm(threadmath.Lathe{}), c.Request.PostForm)
	var l curriculum.Lathe
	if err == nil {
		l, err = w.practice.AddLathe(c.Request.Context(), a, name, profile)
	}
	if err != nil {
		d, derr := w.lathesData(c, a)
		if derr != nil {
			return derr
		}
		return w.again(c, err, "lathes.html", view{Title: w.t(c, "Lathes"), Role: a.Role, Data: d, Where: nameOr(where)})
	}
	c.Redirect(http.StatusSeeOther, "/lathes/"+l.ID)
	return nil
}

// nameOr finds the name's input before those of the profile.
func nameOr(where inputs) inputs {
	return func(pointer string) (id string, label phrase) {
		if pointer == "/name" {
			return "name", phraseOf("Name")
		}
		return where(pointer)
	}
}

type latheData struct {
	practice.LatheProofs
	Staff   staff
	Form    jobForm
	Notes   latheNotes
	Saved   bool
	Checked string // the entry whose check was just recorded
}

// lathePage is the page of a lathe with its profile in the form.
func (w *Pages) lathePage(c *gin.Context, a practice.Actor) (view, error) {
	p, err := w.practice.LatheProofs(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return view{}, err
	}
	l := p.Lathe
	doc, err := json.Marshal(l.Profile)
	if err != nil {
		return view{}, err
	}
	shape := latheForm(l.Profile)
	form, err := shape.values(doc)
	if err != nil {
		return view{}, err
	}
	names, err := w.practice.StaffNames(c.Request.Context(), a)
	if err != nil {
		return view{}, err
	}
	form.Set("name", l.Name)
	form.Set("version", strconv.Itoa(l.Version))
	return view{Title: l.Name, Role: a.Role, Form: form, Data: latheData{
		LatheProofs: p, Staff: names, Form: shape, Notes: w.notesOn(l), Saved: c.Query("saved") != "", Checked: c.Query("checked"),
	}}, nil
}

func (w *Pages) lathe(c *gin.Context, a practice.Actor) error {
	v, err := w.lathePage(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "lathe.html", v)
	return nil
}

// checkInputs are the inputs of the form that records a check.
var checkInputs = map[string]english{
	"/entry": "Entry", "/what": "What was done", "/predicted": "Predicted", "/measured": "Measured", "/division": "One division of the instrument",
}

// checkLathe records a check; what is typed wrong stands again beside the
// unchanged profile.
func (w *Pages) checkLathe(c *gin.Context, a practice.Actor) error {
	v, err := w.lathePage(c, a)
	if err != nil {
		return err
	}
	_, err = w.practice.CheckLathe(c.Request.Context(), a, curriculum.LatheCheck{
		Lathe: c.Param("id"), Entry: c.PostForm("entry"), What: c.PostForm("what"), Predicted: c.PostForm("predicted"), Measured: c.PostForm("measured"), Division: c.PostForm("division"),
	})
	if err != nil {
		v.Where = func(pointer string) (id string, label phrase) {
			return strings.TrimPrefix(pointer, "/"), phraseOf(checkInputs[pointer])
		}
		for name, typed := range c.Request.PostForm {
			v.Form[name] = typed
		}
		return w.againPart(c, err, "lathe.html", "layout.html", v, v.Form)
	}
	c.Redirect(http.StatusSeeOther, "/lathes/"+c.Param("id")+"?checked="+url.QueryEscape(c.PostForm("entry"))+"#checks")
	return nil
}

func (w *Pages) changeLathe(c *gin.Context, a practice.Actor) error {
	proofs, err := w.practice.LatheProofs(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	kept := proofs.Lathe
	names, err := w.practice.StaffNames(c.Request.Context(), a)
	if err != nil {
		return err
	}
	name := c.PostForm("name") // parses the form
	shape := latheForm(kept.Profile)
	profile, where, err := profileOfForm(shape, c.Request.PostForm)
	if err == nil {
		var version int
		if version, err = versionIn(c); err == nil {
			_, err = w.practice.ChangeLathe(c.Request.Context(), a, kept.ID, version, name, profile)
		}
	}
	if err != nil {
		return w.again(c, overtaken(err), "lathe.html", view{Title: kept.Name, Role: a.Role, Where: nameOr(where), Data: latheData{LatheProofs: proofs, Staff: names, Form: shape, Notes: w.notesOn(kept)}})
	}
	c.Redirect(http.StatusSeeOther, "/lathes/"+kept.ID+"?saved=1")
	return nil
}

// latheNotes say what a lathe's profile comes to, so that a slip in it is seen
// before a sheet leans on it.
type latheNotes struct {
	// Anywhere, ByLines and Closed are the leads of its gearbox by how the
	// half-nut is used between passes.
	Anywhere, ByLines, Closed []string
	// Unserved says which skills cannot be set on it, and why.
	Unserved []unserved
}

type unserved struct{ Skill, Why string }

func (w *Pages) notesOn(l curriculum.Lathe) latheNotes {
	key := l.ID + " " + strconv.Itoa(l.Version)
	n, ok := w.notes.Get(key)
	if !ok {
		n = notesOn(l.Profile)
		w.notes.Add(key, n)
	}
	return n
}

func notesOn(l threadmath.Lathe) latheNotes {
	var n latheNotes
	// Nothing else of a lathe decides about its half-nut, and the rest would be worked
	// out at every setting.
	drive := threadmath.Lathe{Leadscrew: l.Leadscrew, LeadscrewStarts: l.LeadscrewStarts, HalfNut: l.HalfNut, ThreadDials: l.ThreadDials}
	for _, setting := range l.Gearbox {
		a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Pitch: setting}, Lathe: &drive})
		if err != nil || a.PickUp == nil {
			continue
		}
		switch a.PickUp.Rule {
		case threadmath.PickUpAnywhere:
			n.Anywhere = append(n.Anywhere, setting)
		case threadmath.PickUpLines:
			n.ByLines = append(n.ByLines, setting)
		default:
			n.Closed = append(n.Closed, setting)
		}
	}
	drawer, err := generate.NewDrawer(l)
	if err != nil {
		return n // a profile that cannot be read was never kept
	}
	for _, slug := range generate.Skills() {
		metric := drawer.Serves(slug, threadmath.Metric)
		if metric == nil || drawer.Serves(slug, threadmath.Inch) == nil {
			continue
		}
		title := slug
		if s, err := curriculum.SkillOf(slug); err == nil {
			title = s.Title
		}
		why := metric.Error()
		var u *generate.UnservedError
		if errors.As(metric, &u) {
			why = u.Reason
		}
		n.Unserved = append(n.Unserved, unserved{title, why})
	}
	return n
}
