package api

import (
	"bytes"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/api/web"
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

func (s *server) poster(c *gin.Context) error {
	return s.ofLathe(c, "poster.pdf", worksheets.Poster)
}

func (s *server) survey(c *gin.Context) error {
	return s.ofLathe(c, "survey.pdf", worksheets.Survey)
}

// ofLathe prints what hangs or is filled in at a lathe.
func (s *server) ofLathe(c *gin.Context, name string, build func(threadmath.Lathe, worksheets.Style) (worksheets.Document, error)) error {
	a, err := s.actor(c)
	if err != nil {
		return err
	}
	l, err := s.practice.Lathe(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	style, err := web.Style(c.Request.URL.Query())
	if err != nil {
		return err
	}
	l.Profile.Name = l.Name
	doc, err := build(l.Profile, style)
	if err != nil {
		return err
	}
	return sendPDF(c, doc, name)
}

func (s *server) planSheet(c *gin.Context) error {
	a, err := s.actor(c)
	if err != nil {
		return err
	}
	style, err := web.Style(c.Request.URL.Query())
	if err != nil {
		return err
	}
	p, err := s.practice.Plan(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	doc, err := worksheets.PlanSheet(p, style)
	if err != nil {
		return err
	}
	return sendPDF(c, doc, "plan.pdf")
}

func (s *server) courseSheet(c *gin.Context) error {
	a, err := s.actor(c)
	if err != nil {
		return err
	}
	style, err := web.Style(c.Request.URL.Query())
	if err != nil {
		return err
	}
	class, err := s.practice.Class(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	p, err := s.practice.CoursePlan(c.Request.Context(), a, class.ID)
	if err != nil {
		return err
	}
	doc, err := worksheets.CourseSheet(class.Name, p, style)
	if err != nil {
		return err
	}
	return sendPDF(c, doc, "course.pdf")
}
