package web

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/shop"
)

// measured is one part of a turn that is timed.
type measured struct {
	Name   string
	Label  english
	Unit   string
	of     func(*curriculum.LoggedTime) **float64
	median func(shop.Times) *float64
}

var measuredParts = []measured{
	{"set_up_min", "Set-up", "min", func(t *curriculum.LoggedTime) **float64 { return &t.SetUpMin }, func(t shop.Times) *float64 { return t.SetUpMin }},
	{"handling_s", "Handling a pass", "s", func(t *curriculum.LoggedTime) **float64 { return &t.HandlingS }, func(t shop.Times) *float64 { return t.HandlingS }},
	{"index_min", "Going to the next start", "min", func(t *curriculum.LoggedTime) **float64 { return &t.IndexMin }, func(t shop.Times) *float64 { return t.IndexMin }},
	{"measure_min", "Measuring a start", "min", func(t *curriculum.LoggedTime) **float64 { return &t.MeasureMin }, func(t shop.Times) *float64 { return t.MeasureMin }},
}

type timesData struct {
	Lathe curriculum.Lathe
	Parts []measured
	// Medians stand in plans in place of the start values; empty where too few are
	// logged.
	Medians []string
	Rows    []timesRow
}

type timesRow struct {
	curriculum.LoggedTime
	Values []string // by part
}

func (w *Pages) timesData(c *gin.Context, a practice.Actor) (d timesData, err error) {
	if d.Lathe, err = w.practice.Lathe(c.Request.Context(), a, c.Param("id")); err != nil {
		return d, err
	}
	logs, err := w.practice.LoggedTimes(c.Request.Context(), a)
	if err != nil {
		return d, err
	}
	d.Parts = measuredParts
	medians := shop.Medians(logs, d.Lathe.ID)
	for _, p := range d.Parts {
		d.Medians = append(d.Medians, timeText(p.median(medians)))
	}
	for i := len(logs) - 1; i >= 0; i-- { // the newest first
		if logs[i].Lathe != d.Lathe.ID {
			continue
		}
		row := timesRow{LoggedTime: logs[i]}
		for _, p := range d.Parts {
			row.Values = append(row.Values, timeText(*p.of(&row.LoggedTime)))
		}
		d.Rows = append(d.Rows, row)
	}
	return d, nil
}

func timeText(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

func timesInputs(pointer string) (id string, label phrase) {
	for _, p := range measuredParts {
		if pointer == "/"+p.Name {
			return p.Name, phraseOf("%s, %s", p.Label, p.Unit)
		}
	}
	if pointer == "/" {
		return measuredParts[0].Name, phraseOf("Times")
	}
	return "", phrase{}
}

// times shows what turns at a lathe took.
func (w *Pages) times(c *gin.Context, a practice.Actor) error {
	d, err := w.timesData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "times.html", view{Title: w.t(c, "Times at %s", d.Lathe.Name), Role: a.Role, Data: d})
	return nil
}

// logTime logs a time, or takes one back.
func (w *Pages) logTime(c *gin.Context, a practice.Actor) error {
	var err error
	if id := c.PostForm("remove"); id != "" {
		err = w.practice.RemoveTime(c.Request.Context(), a, id)
	} else {
		err = w.logTyped(c, a)
	}
	if err != nil {
		d, derr := w.timesData(c, a)
		if derr != nil {
			return derr
		}
		return w.again(c, err, "times.html", view{Title: w.t(c, "Times at %s", d.Lathe.Name), Role: a.Role, Where: timesInputs, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/lathes/"+c.Param("id")+"/times")
	return nil
}

func (w *Pages) logTyped(c *gin.Context, a practice.Actor) error {
	t := curriculum.LoggedTime{Lathe: c.Param("id")}
	for _, p := range measuredParts {
		text := strings.TrimSpace(c.PostForm(p.Name))
		if text == "" {
			continue
		}
		v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil {
			return wrong("/"+p.Name, text, "not a number", "0 to 600")
		}
		*p.of(&t) = &v
	}
	_, err := w.practice.LogTime(c.Request.Context(), a, t)
	return err
}
