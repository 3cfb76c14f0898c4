package web

import (
	"bytes"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// BenchCard prints the card of a job. The query may ask for method=chuck-jaws,
// learner=NAME, units=mm, in or both, and what Style reads.
func BenchCard(r threadmath.Request, query url.Values) ([]byte, error) {
	style, err := Style(query)
	if err != nil {
		return nil, err
	}
	units, err := curriculum.UnitsNamed("?units", query.Get("units"))
	if err != nil {
		return nil, err
	}
	card, err := shop.BenchCard(r, query.Get("method"), units)
	if err != nil {
		return nil, err
	}
	doc, err := worksheets.BenchCard(card, query.Get("learner"), style)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := worksheets.Write(&b, doc); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// benchCard prints the card of the bench page's job.
func (w *Pages) benchCard(c *gin.Context) error {
	q := c.Request.URL.Query()
	r, _, err := benchRequest(q)
	if err != nil {
		return err
	}
	q.Set("units", string(w.reader(c).units))
	pdf, err := BenchCard(r, q)
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `inline; filename="bench-card.pdf"`)
	c.Data(http.StatusOK, "application/pdf", pdf)
	return nil
}
