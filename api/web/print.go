package web

import (
	"bytes"
	"cmp"
	"context"
	"html/template"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/worksheets"
)

// Pack gathers what is printed of a class set that is not withdrawn, for an
// instructor. The query may
// ask for paper=letter, large=1, contrast=1, spacing=1, double=1.
func Pack(ctx context.Context, p *practice.Service, a practice.Actor, set string, query url.Values) (worksheets.Pack, error) {
	cs, class, err := p.SetInUse(ctx, a, set)
	if err != nil {
		return worksheets.Pack{}, err
	}
	variants, err := p.Variants(ctx, a, set)
	if err != nil {
		return worksheets.Pack{}, err
	}
	w, err := p.Workshop(ctx, a)
	if err != nil {
		return worksheets.Pack{}, err
	}
	style, err := Style(query)
	if err != nil {
		return worksheets.Pack{}, err
	}
	return worksheets.Pack{
		Workshop: w.Name, Class: class.Name, Set: cs, Variants: variants, Solution: practice.Solutions, Looks: practice.Looks,
		Style: style, DoubleSided: query.Get("double") == "1",
	}, nil
}

// Style reads how something is to be printed: paper=letter, large=1, contrast=1,
// spacing=1; and refuses a format that is neither pdf nor html.
func Style(query url.Values) (worksheets.Style, error) {
	name := query.Get("paper")
	if name == "" {
		name = "a4"
	}
	paper, err := worksheets.PaperNamed(name)
	if err != nil {
		return worksheets.Style{}, &curriculum.FieldError{Path: "?paper", Value: name, Allowed: "a4, letter"}
	}
	if f := query.Get("format"); f != "" && f != "pdf" && f != "html" {
		return worksheets.Style{}, &curriculum.FieldError{Path: "?format", Value: f, Allowed: "pdf, html"}
	}
	return worksheets.NewStyle(paper, worksheets.Options{
		LargePrint: query.Get("large") == "1", HighContrast: query.Get("contrast") == "1", WideSpacing: query.Get("spacing") == "1",
	}), nil
}

// WantsHTML reports whether the query asks for the text twin of a sheet.
func WantsHTML(c *gin.Context) bool { return c.Query("format") == "html" }

// SendSheet sends one sheet: as a PDF of the name, or as its text twin where the
// query asks for format=html.
func (w *Pages) SendSheet(c *gin.Context, name string, s worksheets.Sheet) error {
	if WantsHTML(c) {
		return w.Twins(c, cmp.Or(s.Title, s.Running.Title), []worksheets.Sheet{s})
	}
	doc, err := s.Document()
	if err != nil {
		return err
	}
	return SendPDF(c, name, doc)
}

// SendPDF writes to memory first: a sheet that fails to print is a problem
// document, not half a file.
func SendPDF(c *gin.Context, name string, doc worksheets.Document) error {
	var b bytes.Buffer
	if err := worksheets.Write(&b, doc); err != nil {
		return err
	}
	c.Header("Content-Disposition", `inline; filename="`+name+`"`)
	c.Data(http.StatusOK, "application/pdf", b.Bytes())
	return nil
}

// Twins shows the text twins of sheets one below the other.
func (w *Pages) Twins(c *gin.Context, title string, sheets []worksheets.Sheet) error {
	var b bytes.Buffer
	for _, s := range sheets {
		if err := worksheets.HTML(&b, s); err != nil {
			return err
		}
	}
	w.show(c, http.StatusOK, "twin.html", view{Title: title, Data: template.HTML(b.String())}) //nolint:gosec // our own writer, which escapes all text
	return nil
}
