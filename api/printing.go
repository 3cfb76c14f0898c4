package api

import (
	"bytes"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/api/web"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// classPack sends everything that is printed of a class set in one archive.
func (s *server) classPack(c *gin.Context, a practice.Actor) error {
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

// printed makes a handler that prints the sheet that build lays out for who asks,
// in the style that the query names; format=html asks for its text twin.
func (s *server) printed(name string, build func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error)) handlerFunc {
	return func(c *gin.Context, a practice.Actor) error {
		style, err := web.Style(c.Request.URL.Query())
		if err != nil {
			return err
		}
		sheet, err := build(c, a, style)
		if err != nil {
			return err
		}
		return s.pages.SendSheet(c, name, sheet)
	}
}

// ofPack prints a sheet that belongs to a class set.
func (s *server) ofPack(name string, build func(worksheets.Pack) (worksheets.Sheet, error)) handlerFunc {
	return s.printed(name, func(c *gin.Context, a practice.Actor, _ worksheets.Style) (worksheets.Sheet, error) {
		pack, err := web.Pack(c.Request.Context(), s.practice, a, c.Param("id"), c.Request.URL.Query())
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return build(pack)
	})
}

func (s *server) key() handlerFunc         { return s.ofPack("key.pdf", worksheets.Pack.Key) }
func (s *server) markingGrid() handlerFunc { return s.ofPack("grid.pdf", worksheets.Pack.MarkingGrid) }
func (s *server) cover() handlerFunc       { return s.ofPack("cover.pdf", worksheets.Pack.Cover) }

// worksheets prints the sheets of a whole class.
func (s *server) worksheets(c *gin.Context, a practice.Actor) error {
	pack, err := web.Pack(c.Request.Context(), s.practice, a, c.Param("id"), c.Request.URL.Query())
	if err != nil {
		return err
	}
	if web.WantsHTML(c) {
		sheets, err := pack.Sheets()
		if err != nil {
			return err
		}
		return s.pages.Twins(c, pack.Set.Spec.Title, sheets)
	}
	doc, err := pack.Document()
	if err != nil {
		return err
	}
	return web.SendPDF(c, "worksheets.pdf", doc)
}

func (s *server) poster() handlerFunc { return s.ofLathe("poster.pdf", worksheets.Poster) }

func (s *server) survey() handlerFunc {
	return s.ofLathe("survey.pdf", func(l threadmath.Lathe, checks []curriculum.LatheCheck, style worksheets.Style) (worksheets.Sheet, error) {
		return worksheets.Survey(l, checks, style), nil
	})
}

// ofLathe prints what hangs or is filled in at a lathe.
func (s *server) ofLathe(name string, build func(threadmath.Lathe, []curriculum.LatheCheck, worksheets.Style) (worksheets.Sheet, error)) handlerFunc {
	return s.printed(name, func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		p, err := s.practice.LatheProofs(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Sheet{}, err
		}
		p.Lathe.Profile.Name = p.Lathe.Name
		return build(p.Lathe.Profile, p.Checks, style)
	})
}

func (s *server) planSheet() handlerFunc {
	return s.printed("plan.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		p, err := s.practice.Plan(c.Request.Context(), a, c.Param("id"), true)
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return worksheets.PlanSheet(p, style), nil
	})
}

func (s *server) courseSheet() handlerFunc {
	return s.printed("course.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		class, err := s.practice.Class(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Sheet{}, err
		}
		p, err := s.practice.CoursePlan(c.Request.Context(), a, class.ID)
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return worksheets.CourseSheet(class.Name, p, style), nil
	})
}

func (s *server) jobCard() handlerFunc {
	return func(c *gin.Context, a practice.Actor) error {
		style, err := web.Style(c.Request.URL.Query())
		if err != nil {
			return err
		}
		card, name, err := s.practice.JobCard(c.Request.Context(), a, c.Param("id"), c.Param("learner"))
		if err != nil {
			return err
		}
		return s.pages.SendCard(c, card, name, style)
	}
}

func (s *server) preparation() handlerFunc {
	return s.printed("preparation.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		p, class, err := s.practice.Preparation(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return worksheets.Preparation(class, p, style), nil
	})
}

func (s *server) shopBoard() handlerFunc {
	return s.printed("board.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		out, names, err := s.shopNamed(c, a)
		if err != nil {
			return worksheets.Sheet{}, err
		}
		lathes, err := s.practice.ShopLathesOut(c.Request.Context(), a, out)
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return worksheets.ShopBoard(out, names, outOfUse(lathes, names), style)
	})
}

// outOfUse says which lathes of a session are out of use, and whose turns are lost.
func outOfUse(lathes []practice.LatheOut, names map[string]string) []string {
	var out []string
	for _, l := range lathes {
		text := l.Lathe.Name + " " + l.Why + "."
		for i, id := range l.Turns {
			text += []string{" Nobody may take these turns: ", ", "}[min(i, 1)] + names[id]
		}
		if len(l.Turns) > 0 {
			text += "."
		}
		out = append(out, text)
	}
	return out
}

func (s *server) signOffCard() handlerFunc {
	return s.printed("card.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		card, err := s.practice.SignOffCard(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return web.Card(card, s.cookie.Origin(c.Request), style).Sheet()
	})
}

func (s *server) signOffSheet() handlerFunc {
	return s.printed("sign-off.pdf", func(c *gin.Context, a practice.Actor, style worksheets.Style) (worksheets.Sheet, error) {
		place := practice.Place{Learner: c.Param("id"), Lathe: c.Param("lathe"), Operation: c.Param("operation")}
		sheet, err := web.SignOffSheet(c.Request.Context(), s.practice, a, place, c.Query("thread"), style)
		if err != nil {
			return worksheets.Sheet{}, err
		}
		return sheet.Sheet(), nil
	})
}
