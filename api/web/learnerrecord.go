package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// recordData is what is kept about a learner, or what was left of it.
type recordData struct {
	Learner curriculum.Learner
	// Kinds count the rows that are kept, or were removed.
	Kinds  []kindCount
	Erased bool
}

type kindCount struct {
	Kind  english
	Count int
}

// recordKinds are the kinds of a learner's record that a page tells about, in
// words.
var recordKinds = []struct {
	kind  string
	words english
}{
	{"variant", "sheets"}, {"attempt", "answers"}, {"hint", "hints looked at"}, {"cell", "skills followed"}, {"sitting", "theory sittings"},
	{"shop_job", "jobs"}, {"signoff_line", "lines in the sign-off record"},
}

func (w *Pages) recordData(c *gin.Context, a practice.Actor) (d recordData, err error) {
	if d.Learner, err = w.practice.Learner(c.Request.Context(), a, c.Param("id")); err != nil {
		return d, err
	}
	r, err := w.practice.LearnerRecord(c.Request.Context(), a, d.Learner.ID)
	for _, k := range recordKinds {
		d.Kinds = append(d.Kinds, kindCount{k.words, len(r.Records[k.kind])})
	}
	return d, err
}

// record shows an instructor what is kept about a learner, to hand out or erase.
func (w *Pages) record(c *gin.Context, a practice.Actor) error {
	d, err := w.recordData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "record.html", view{Title: w.t(c, "Record of %s", d.Learner.Name), Role: a.Role, Data: d})
	return nil
}

func (w *Pages) eraseLearner(c *gin.Context, a practice.Actor) error {
	d, err := w.recordData(c, a)
	if err != nil {
		return err
	}
	e, err := w.practice.EraseLearner(c.Request.Context(), a, d.Learner.ID, c.PostForm("name"))
	if err != nil {
		return w.again(c, err, "record.html", view{Title: w.t(c, "Record of %s", d.Learner.Name), Role: a.Role, Data: d})
	}
	d = recordData{Erased: true}
	for _, k := range recordKinds {
		if n, removed := e.Removed[k.kind]; removed {
			d.Kinds = append(d.Kinds, kindCount{k.words, n})
		}
	}
	c.Header("Cache-Control", "no-store")
	w.show(c, http.StatusOK, "record.html", view{Title: w.t(c, "Erased"), Role: a.Role, Data: d})
	return nil
}
