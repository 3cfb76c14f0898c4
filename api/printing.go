package api

import (
	"bytes"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/api/web"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// classPack sends everything that is printed of a class set in one archive.
func (s *server) classPack(c *gin.Context) error {
	a, err := s.actor(c)
	if err != nil {
		return err
	}
	pack, err := web.Pack(c.Request.Context(), s.practice, a, c.Param("id"), c.Request.URL.Query())
	if err != nil {
		return err
	}
	files, err := pack.Files()
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := worksheets.WriteZip(&b, files); err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="pack.zip"`)
	c.Data(http.StatusOK, "application/zip", b.Bytes())
	return nil
}

// printed makes a handler that prints what build lays out for who asks, in the
// style that the query names.
func (s *server) printed(name string, build func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error)) handlerFunc {
	return func(c *gin.Context) error {
		a, err := s.actor(c)
		if err != nil {
			return err
		}
		style, err := web.Style(c.Request.URL.Query())
		if err != nil {
			return err
		}
		doc, err := build(c, a, style)
		if err != nil {
			return err
		}
		return sendPDF(c, doc, name)
	}
}

// sendPDF writes to memory first: a sheet that fails to print is a problem
// document, not half a file.
func sendPDF(c *gin.Context, doc worksheets.Document, name string) error {
	var b bytes.Buffer
	if err := worksheets.Write(&b, doc); err != nil {
		return err
	}
	sendPDFBytes(c, b.Bytes(), name)
	return nil
}

func sendPDFBytes(c *gin.Context, pdf []byte, name string) {
	c.Header("Content-Disposition", `inline; filename="`+name+`"`)
	c.Data(http.StatusOK, "application/pdf", pdf)
}

func (s *server) poster() handlerFunc { return s.ofLathe("poster.pdf", worksheets.Poster) }
func (s *server) survey() handlerFunc { return s.ofLathe("survey.pdf", worksheets.Survey) }

// ofLathe prints what hangs or is filled in at a lathe.
func (s *server) ofLathe(name string, build func(threadmath.Lathe, worksheets.Style) (worksheets.Document, error)) handlerFunc {
	return s.printed(name, func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		l, err := s.practice.Lathe(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Document{}, err
		}
		l.Profile.Name = l.Name
		return build(l.Profile, style)
	})
}

func (s *server) planSheet() handlerFunc {
	return s.printed("plan.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		p, err := s.practice.Plan(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Document{}, err
		}
		return worksheets.PlanSheet(p, style)
	})
}

func (s *server) courseSheet() handlerFunc {
	return s.printed("course.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		class, err := s.practice.Class(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Document{}, err
		}
		p, err := s.practice.CoursePlan(c.Request.Context(), a, class.ID)
		if err != nil {
			return worksheets.Document{}, err
		}
		return worksheets.CourseSheet(class.Name, p, style)
	})
}

func (s *server) jobCard() handlerFunc {
	return s.printed("bench-card.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		card, name, err := s.practice.JobCard(c.Request.Context(), a, c.Param("id"), c.Param("learner"))
		if err != nil {
			return worksheets.Document{}, err
		}
		return worksheets.BenchCard(card, name, style)
	})
}

func (s *server) preparation() handlerFunc {
	return s.printed("preparation.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		p, class, err := s.practice.Preparation(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Document{}, err
		}
		return worksheets.Preparation(class, p, style)
	})
}

func (s *server) shopBoard() handlerFunc {
	return s.printed("board.pdf", func(c *gin.Context, _ practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		out, names, err := s.shopNamed(c)
		if err != nil {
			return worksheets.Document{}, err
		}
		return worksheets.ShopBoard(out, names, style)
	})
}

func (s *server) signOffCard() handlerFunc {
	return s.printed("card.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		card, err := s.practice.SignOffCard(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Document{}, err
		}
		return web.Card(card, s.cookie.Origin(c.Request), style).Document()
	})
}

func (s *server) signOffSheet() handlerFunc {
	return s.printed("sign-off.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Document, error) {
		place := practice.Place{Learner: c.Param("id"), Lathe: c.Param("lathe"), Operation: c.Param("operation")}
		sheet, err := web.SignOffSheet(c.Request.Context(), s.practice, a, place, c.Query("thread"), style)
		if err != nil {
			return worksheets.Document{}, err
		}
		return sheet.Document()
	})
}
