package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// latheChecks says what of a lathe's record is proved.
func (s *server) latheChecks(c *gin.Context, a practice.Actor) error {
	p, err := s.practice.LatheProofs(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, p)
}

// checkLathe keeps a check made at a lathe.
func (s *server) checkLathe(c *gin.Context, a practice.Actor) error {
	var in struct {
		Entry     string `json:"entry"`
		What      string `json:"what"`
		Predicted string `json:"predicted"`
		Measured  string `json:"measured"`
		Division  string `json:"division"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	check, err := s.practice.CheckLathe(c.Request.Context(), a, curriculum.LatheCheck{
		Lathe: c.Param("id"), Entry: in.Entry, What: in.What, Predicted: in.Predicted, Measured: in.Measured, Division: in.Division,
	})
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, check)
}
