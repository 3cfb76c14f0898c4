package web

import (
	"net/url"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// BenchCard lays out the card of a job. The query may ask for method=chuck-jaws,
// learner=NAME, units=mm, in or both, and what Style reads.
func BenchCard(r threadmath.Request, query url.Values) (worksheets.Sheet, error) {
	style, err := Style(query)
	if err != nil {
		return worksheets.Sheet{}, err
	}
	units, err := curriculum.UnitsNamed("?units", query.Get("units"))
	if err != nil {
		return worksheets.Sheet{}, err
	}
	card, err := shop.BenchCard(r, query.Get("method"), units)
	if err != nil {
		return worksheets.Sheet{}, err
	}
	return worksheets.BenchCard(card, query.Get("learner"), style)
}

// benchCard prints the card of the bench page's job.
func (w *Pages) benchCard(c *gin.Context) error {
	q := c.Request.URL.Query()
	r, _, err := benchRequest(q)
	if err != nil {
		return err
	}
	q.Set("units", string(w.reader(c).units))
	card, err := BenchCard(r, q)
	if err != nil {
		return err
	}
	return w.SendSheet(c, "bench-card.pdf", card)
}
