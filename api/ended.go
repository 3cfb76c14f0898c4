package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum/practice"
)

// endingReason reads why something ends.
func endingReason(c *gin.Context) (string, error) {
	var in struct {
		Reason string `json:"reason"`
	}
	err := decode(c, &in)
	return in.Reason, err
}

func (s *server) endPerson(c *gin.Context, a practice.Actor) error {
	reason, err := endingReason(c)
	if err != nil {
		return err
	}
	p, err := s.practice.EndPerson(c.Request.Context(), a, c.Param("id"), reason)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, p)
}

func (s *server) letInAgain(c *gin.Context, a practice.Actor) error {
	p, err := s.practice.LetInAgain(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, p)
}

func (s *server) endClass(c *gin.Context, a practice.Actor) error {
	reason, err := endingReason(c)
	if err != nil {
		return err
	}
	class, err := s.practice.EndClass(c.Request.Context(), a, c.Param("id"), reason)
	if err != nil {
		return err
	}
	return classAnswer(c, http.StatusOK, class)
}

func (s *server) reopenClass(c *gin.Context, a practice.Actor) error {
	class, err := s.practice.ReopenClass(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return classAnswer(c, http.StatusOK, class)
}

func (s *server) newJoiningCode(c *gin.Context, a practice.Actor) error {
	class, err := s.practice.NewJoiningCode(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return classAnswer(c, http.StatusCreated, class)
}
