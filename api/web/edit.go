package web

import (
	"errors"
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// versionIn is the version of what a form shows: it was there when the form was
// opened.
func versionIn(c *gin.Context) (int, error) {
	text := c.PostForm("version") // parses the form
	version, err := strconv.Atoi(text)
	if err != nil || version < 0 {
		return 0, wrong("/version", text, "not a version; open the page again", "")
	}
	return version, nil
}

// overtaken says what to do when somebody else has changed a thing while its form
// was open; other errors stay as they are.
func overtaken(err error) error {
	if !errors.Is(err, curriculum.ErrChanged) {
		return err
	}
	return told(err, "Somebody else has changed it meanwhile; what you typed still stands below. Open the page in another window, compare, and save there.")
}

// workshopPage is the page of the workshop's name and units.
func (w *Pages) workshopPage(c *gin.Context, a practice.Actor) (view, error) {
	ws, err := w.practice.Workshop(c.Request.Context(), a)
	return view{Title: w.t(c, "The workshop"), Role: a.Role, Data: ws, Form: url.Values{"name": {ws.Name}, "units": {ws.Units}, "version": {strconv.Itoa(ws.Version)}}}, err
}

func (w *Pages) workshop(c *gin.Context, a practice.Actor) error {
	v, err := w.workshopPage(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "workshop.html", v)
	return nil
}

func (w *Pages) changeWorkshop(c *gin.Context, a practice.Actor) error {
	version, err := versionIn(c)
	if err == nil {
		_, err = w.practice.ChangeWorkshop(c.Request.Context(), a, version, c.PostForm("name"), c.PostForm("units"))
	}
	if err != nil {
		v, verr := w.workshopPage(c, a)
		if verr != nil {
			return verr
		}
		return w.again(c, overtaken(err), "workshop.html", v)
	}
	c.Redirect(http.StatusSeeOther, "/classes")
	return nil
}

func (w *Pages) renameClass(c *gin.Context, a practice.Actor) error {
	version, err := versionIn(c)
	if err == nil {
		_, err = w.practice.RenameClass(c.Request.Context(), a, c.Param("id"), version, c.PostForm("name"))
	}
	if err != nil {
		return w.classAgain(c, a, overtaken(err))
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id"))
	return nil
}

type learnerData struct {
	Class   curriculum.Class
	Learner curriculum.Learner
}

// learnerPage is the page of a learner's name and seat.
func (w *Pages) learnerPage(c *gin.Context, a practice.Actor) (v view, err error) {
	var d learnerData
	if d.Class, err = w.practice.Class(c.Request.Context(), a, c.Param("id")); err != nil {
		return v, err
	}
	d.Learner, err = w.practice.LearnerOf(c.Request.Context(), a, d.Class.ID, c.Param("learner"))
	l := d.Learner
	return view{Title: l.Name, Role: a.Role, Data: d, Form: url.Values{"name": {l.Name}, "seat": {strconv.Itoa(l.Seat)}, "version": {strconv.Itoa(l.Version)}}}, err
}

func (w *Pages) learner(c *gin.Context, a practice.Actor) error {
	v, err := w.learnerPage(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "learner.html", v)
	return nil
}

func (w *Pages) changeLearner(c *gin.Context, a practice.Actor) error {
	seat, err := wholeIn("/seat", c.PostForm("seat"))
	version, verr := versionIn(c)
	if err = errors.Join(err, verr); err == nil {
		_, err = w.practice.ChangeLearner(c.Request.Context(), a, c.Param("id"), c.Param("learner"), version, c.PostForm("name"), seat)
	}
	if err != nil {
		v, verr := w.learnerPage(c, a)
		if verr != nil {
			return verr
		}
		return w.again(c, overtaken(err), "learner.html", v)
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id")+"#learners")
	return nil
}
