package web

import (
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// SendBenchCard answers with the card of a job: as data where the request accepts
// JSON rather than PDF, else printed. The query may ask for method=chuck-jaws,
// learner=NAME, units=mm, in or both, and what Style reads.
func (w *Pages) SendBenchCard(c *gin.Context, r threadmath.Request, query url.Values) error {
	style, err := Style(query)
	if err != nil {
		return err
	}
	units, err := curriculum.UnitsNamed("?units", query.Get("units"))
	if err != nil {
		return err
	}
	card, err := shop.BenchCard(r, query.Get("method"), units)
	if err != nil {
		return err
	}
	return w.SendCard(c, card, query.Get("learner"), style)
}

// SendCard answers with a card that is made.
func (w *Pages) SendCard(c *gin.Context, card curriculum.BenchCard, learner string, style worksheets.Style) error {
	if c.NegotiateFormat("application/pdf", gin.MIMEJSON, gin.MIMEHTML) == gin.MIMEJSON {
		c.JSON(http.StatusOK, card)
		return nil
	}
	sheet, err := worksheets.BenchCard(card, learner, style)
	if err != nil {
		return err
	}
	return w.SendSheet(c, "bench-card.pdf", sheet)
}

// benchCard prints the card of the bench page's job.
func (w *Pages) benchCard(c *gin.Context) error {
	q := c.Request.URL.Query()
	r, _, err := benchRequest(q)
	if err != nil {
		return err
	}
	q.Set("units", string(w.reader(c).units))
	return w.SendBenchCard(c, r, q)
}
