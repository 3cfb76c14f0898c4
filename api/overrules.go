package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// tries lists what was answered on a sheet, with the evidence: for instructors.
func (s *server) tries(c *gin.Context, a practice.Actor) error {
	_, as, err := s.practice.Tries(c.Request.Context(), a, c.Param("code"))
	if err != nil {
		return err
	}
	return list(c, "attempts", as, func(x curriculum.Attempt) string { return x.ID })
}

func (s *server) overrules(c *gin.Context, a practice.Actor) error {
	os, err := s.practice.Overrules(c.Request.Context(), a)
	if err != nil {
		return err
	}
	os = only(c, "skill", os, func(o curriculum.Overrule, skill string) bool { return o.Skill == skill })
	return list(c, "overrules", os, func(o curriculum.Overrule) string { return o.ID })
}

func (s *server) overrule(c *gin.Context, a practice.Actor) error {
	var in struct {
		Part   string             `json:"part"`
		To     curriculum.Outcome `json:"to"`
		Reason string             `json:"reason"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	o, touched, err := s.practice.Overrule(c.Request.Context(), a, c.Param("id"), in.Part, in.To, in.Reason)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, map[string]any{"overrule": o, "touched": listOf(touched)})
}
