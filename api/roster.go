package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum/practice"
)

// importRoster takes a class list as CSV; partial=1 takes the good lines of a
// list that has bad ones; namesakes says who is meant by names that are known.
func (s *server) importRoster(c *gin.Context, a practice.Actor) error {
	data, err := body(c)
	if err != nil {
		return err
	}
	r, w, err := s.practice.ImportRoster(c.Request.Context(), a, c.Param("id"), practice.Roster{
		CSV: data, Partial: c.Query("partial") == "1", Namesakes: c.Query("namesakes"),
	})
	if err != nil {
		return err
	}
	if w != nil {
		return asked(c, *w)
	}
	r.Learners, r.Bad = listOf(r.Learners), listOf(r.Bad)
	return answer(c, http.StatusCreated, r)
}

func (s *server) marksCSV(c *gin.Context, a practice.Actor) error {
	data, err := s.practice.MarksCSV(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="marks.csv"`)
	c.Data(http.StatusOK, "text/csv; charset=utf-8", data)
	return nil
}
