package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum/practice"
)

// learnerRecord hands out everything that is kept about a learner.
func (s *server) learnerRecord(c *gin.Context, a practice.Actor) error {
	r, err := s.practice.LearnerRecord(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="record.json"`)
	return answer(c, http.StatusOK, r)
}

func (s *server) eraseLearner(c *gin.Context, a practice.Actor) error {
	var in struct {
		Name string `json:"name"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	e, err := s.practice.EraseLearner(c.Request.Context(), a, c.Param("id"), in.Name)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, e)
}
