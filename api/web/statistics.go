package web

import (
	"bytes"
	"io"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/statistics"
)

type statisticsData struct {
	Classes []curriculum.Class
	Items   []statistics.Item
	Enough  int
}

// statistics shows how the exercises turn out, in the workshop or in one class.
func (w *Pages) statistics(c *gin.Context, a practice.Actor) error {
	d := statisticsData{Enough: statistics.Enough}
	var err error
	if d.Classes, err = w.practice.Classes(c.Request.Context(), a); err != nil {
		return err
	}
	ended, err := w.practice.EndedClasses(c.Request.Context(), a)
	if err != nil {
		return err
	}
	d.Classes = append(d.Classes, ended...)
	if d.Items, err = w.practice.Statistics(c.Request.Context(), a, c.Query("class")); err != nil {
		return err
	}
	if c.Query("draws") == "" { // the kinds of draw are many, and have few answers each
		d.Items = slices.DeleteFunc(d.Items, func(i statistics.Item) bool { return i.Cell != "" })
	}
	w.show(c, http.StatusOK, "statistics.html", view{Title: w.t(c, "How the exercises turn out"), Role: a.Role, Form: c.Request.URL.Query(), Data: d})
	return nil
}

// importRoster takes a class list as a file. What came of it is shown at once,
// every line that was left out with it.
func (w *Pages) importRoster(c *gin.Context, a practice.Actor) error {
	file, _, err := c.Request.FormFile("roster")
	if err != nil {
		return w.classAgain(c, a, wrong("/roster", "", "choose a CSV file", ""))
	}
	defer func() { _ = file.Close() }()
	var data bytes.Buffer
	if _, err := io.Copy(&data, file); err != nil {
		return err
	}
	r, work, err := w.practice.ImportRoster(c.Request.Context(), a, c.Param("id"), practice.Roster{
		CSV: data.Bytes(), Partial: c.PostForm("partial") != "", Namesakes: c.PostForm("namesakes"),
	})
	if err != nil {
		return w.classAgain(c, a, err)
	}
	if work != nil {
		c.Redirect(http.StatusSeeOther, "/work/"+work.ID)
		return nil
	}
	d, err := w.classData(c, a)
	if err != nil {
		return err
	}
	d.Roster = &r
	w.show(c, http.StatusOK, "class.html", view{Title: d.Class.Name, Role: a.Role, Data: d})
	return nil
}
