package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum/practice"
)

// latheSkillsAnswer lists what can be set on a lathe.
type latheSkillsAnswer struct {
	Skills []practice.LatheSkill `json:"skills"`
}

func (s *server) latheSkills(c *gin.Context, a practice.Actor) error {
	skills, err := s.practice.LatheSkills(c.Request.Context(), a, c.Param("id"), c.DefaultQuery("units", "mm"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, latheSkillsAnswer{Skills: listOf(skills)})
}
