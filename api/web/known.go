package web

import (
	"cmp"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// mostKnown is how many are shown of everybody; who is not among them is found by
// name.
const mostKnown = 100

// namesakeChoices are what a known name on a list for a class may mean.
var namesakeChoices = []option{
	{"", "ask me"},
	{practice.NamesakesSame, "it is the same learner"},
	{practice.NamesakesOthers, "it is another learner"},
}

type everybodyData struct {
	Query   string
	Found   []knownRow
	More    int // found, and not shown
	Classes []curriculum.Class
	// Movable says that somebody can be put into a class.
	Movable bool
}

type knownRow struct {
	curriculum.Known
	// Others are the classes that the learner can be put into.
	Others []curriculum.Class
}

func (w *Pages) everybodyPage(c *gin.Context, a practice.Actor) (v view, err error) {
	d := everybodyData{Query: strings.TrimSpace(cmp.Or(c.Query("q"), c.PostForm("q")))}
	all, err := w.practice.KnownLearners(c.Request.Context(), a)
	if err != nil {
		return v, err
	}
	if d.Classes, err = w.practice.Classes(c.Request.Context(), a); err != nil {
		return v, err
	}
	for _, k := range all {
		if !strings.Contains(strings.ToLower(k.Name), strings.ToLower(d.Query)) {
			continue
		}
		if len(d.Found) == mostKnown {
			d.More++
			continue
		}
		row := knownRow{Known: k}
		for _, class := range d.Classes {
			if !k.In(class.ID) {
				row.Others = append(row.Others, class)
			}
		}
		d.Found, d.Movable = append(d.Found, row), d.Movable || len(row.Others) > 0
	}
	return view{Title: w.t(c, "Everybody who learns or has learned here"), Role: a.Role, Data: d}, nil
}

func (w *Pages) everybody(c *gin.Context, a practice.Actor) error {
	v, err := w.everybodyPage(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "everybody.html", v)
	return nil
}

// enrol puts somebody who is known on a class's list.
func (w *Pages) enrol(c *gin.Context, a practice.Actor) error {
	class := c.PostForm("class")
	if _, err := w.practice.AddLearners(c.Request.Context(), a, class, practice.Adding{Known: []string{c.PostForm("known")}}); err != nil {
		v, verr := w.everybodyPage(c, a)
		if verr != nil {
			return verr
		}
		return w.again(c, err, "everybody.html", v)
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+url.PathEscape(class)+"#learners")
	return nil
}

// leaveClass takes somebody off a class's list.
func (w *Pages) leaveClass(c *gin.Context, a practice.Actor) error {
	if err := w.practice.LeaveClass(c.Request.Context(), a, c.Param("id"), c.Param("learner")); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id")+"#learners")
	return nil
}
