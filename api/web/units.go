package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// unitChoices are what a person can choose, in the words of the page.
var unitChoices = []option{
	{string(curriculum.UnitsOfJob), "both, the job's first"},
	{string(curriculum.UnitsMM), "millimetres"},
	{string(curriculum.UnitsInch), "inches"},
	{string(curriculum.UnitsBoth), "both, bench cards too"},
}

// UnitsText says in which units lengths are shown.
func (r reader) UnitsText() english {
	for _, o := range unitChoices {
		if o.Value == string(r.units) {
			return o.Text
		}
	}
	return ""
}

// benchUnits are the choices of the bench page; the first leaves it at what who
// asks has chosen.
func (w *Pages) benchUnits(c *gin.Context) []option {
	own := reader{}
	if a, err := w.actor(c); err == nil {
		own.units = a.Units
	}
	out := []option{{"", own.UnitsText()}}
	for _, o := range unitChoices[1:] {
		if o.Value != string(own.units) {
			out = append(out, o)
		}
	}
	return out
}

type unitsData struct {
	Choices []option
	Chosen  string
	Done    bool
}

// units asks in which units lengths are shown to who asks.
func (w *Pages) units(c *gin.Context, a practice.Actor) error {
	w.show(c, http.StatusOK, "units.html", view{Title: w.t(c, "Units"), Data: unitsData{unitChoices, string(a.Units), c.Query("done") != ""}})
	return nil
}

func (w *Pages) setUnits(c *gin.Context, a practice.Actor) error {
	if err := w.practice.SetUnits(c.Request.Context(), a, c.PostForm("units")); err != nil {
		return w.again(c, err, "units.html", view{Title: w.t(c, "Units"), Data: unitsData{Choices: unitChoices, Chosen: string(a.Units)}})
	}
	c.Redirect(http.StatusSeeOther, "/units?done=1")
	return nil
}
