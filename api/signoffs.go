package api

import (
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
)

func (s *server) people(c *gin.Context, a practice.Actor) error {
	people, err := s.practice.Staff(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return list(c, "people", people, func(p curriculum.Person) string { return p.ID })
}

func (s *server) addPerson(c *gin.Context, a practice.Actor) error {
	var in struct {
		Name string `json:"name"`
		Role string `json:"role"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	p, link, err := s.practice.AddPerson(c.Request.Context(), a, in.Name, in.Role)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, map[string]any{"person": p, "link": link})
}

func (s *server) linkFor(c *gin.Context, a practice.Actor) error {
	p, link, err := s.practice.LinkFor(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, map[string]any{"person": p, "link": link})
}

func (s *server) signOffOperations(c *gin.Context) error {
	return answer(c, http.StatusOK, map[string]any{"operations": signoff.Operations(), "dress": signoff.DressItems()})
}

func (s *server) signOffRules(c *gin.Context, a practice.Actor) error {
	rules, version, err := s.practice.VersionedRules(c.Request.Context(), a)
	if err != nil {
		return err
	}
	c.Header("ETag", etag(version))
	return answer(c, http.StatusOK, rules)
}

func (s *server) setSignOffRules(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	var rules signoff.Settings
	if err := decode(c, &rules); err != nil {
		return err
	}
	if version, err = s.practice.ChangeRules(c.Request.Context(), a, version, rules); err != nil {
		return err
	}
	c.Header("ETag", etag(version))
	return answer(c, http.StatusOK, rules)
}

func (s *server) findSignOff(c *gin.Context, a practice.Actor) error {
	found, err := s.practice.FindSignOff(c.Request.Context(), a, c.Query("q"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, map[string]any{"learners": found})
}

func (s *server) signOffs(c *gin.Context, a practice.Actor) error {
	file, err := s.practice.SignOffs(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, file)
}

func (s *server) signOff(c *gin.Context, a practice.Actor) error {
	state, err := s.practice.SignOff(c.Request.Context(), a, c.Param("id"), c.Param("lathe"), c.Param("operation"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, state)
}

func (s *server) signOffHistory(c *gin.Context, a practice.Actor) error {
	entries, err := s.practice.SignOffHistory(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return list(c, "entries", entries, func(e practice.SignOffEntry) string { return strconv.FormatInt(e.Seq, 10) })
}

func (s *server) eraseSignOffName(c *gin.Context, a practice.Actor) error {
	if err := s.practice.EraseSignOffName(c.Request.Context(), a, c.Param("id")); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (s *server) signOffToday(c *gin.Context, a practice.Actor) error {
	today, err := s.practice.SignOffToday(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, today)
}

func (s *server) chainEnd(c *gin.Context, a practice.Actor) error {
	head, err := s.practice.ChainEnd(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, head)
}

func (s *server) openSitting(c *gin.Context, a practice.Actor) error {
	var in practice.OpeningSitting
	if err := decode(c, &in); err != nil {
		return err
	}
	t, err := s.practice.OpenSitting(c.Request.Context(), a, in)
	if err != nil {
		return err
	}
	// Not the keys, even to an instructor: the sitting is not over.
	for i, e := range t.Exercises {
		t.Exercises[i] = e.Public()
	}
	return answer(c, http.StatusCreated, t)
}

func (s *server) sitting(c *gin.Context, a practice.Actor) error {
	t, err := s.practice.Sitting(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, t)
}

func (s *server) handIn(c *gin.Context, a practice.Actor) error {
	var in struct {
		Answers []map[string]string `json:"answers"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	out, err := s.practice.HandIn(c.Request.Context(), a, c.Param("id"), in.Answers)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, out)
}

// signing is a handler that decodes an entry, makes it, and answers with how the
// learner stands afterwards.
func signing[T any](s *server, act func(c *gin.Context, a practice.Actor, in T) (practice.SignOffState, error)) handlerFunc {
	return func(c *gin.Context, a practice.Actor) error {
		var in T
		if err := decode(c, &in); err != nil {
			return err
		}
		state, err := act(c, a, in)
		if err != nil {
			return err
		}
		return answer(c, http.StatusCreated, state)
	}
}

func (s *server) witness() handlerFunc {
	return signing(s, func(c *gin.Context, a practice.Actor, in practice.Witnessing) (practice.SignOffState, error) {
		return s.practice.Witness(c.Request.Context(), a, in)
	})
}

func (s *server) measure() handlerFunc {
	return signing(s, func(c *gin.Context, a practice.Actor, in practice.Measuring) (practice.SignOffState, error) {
		return s.practice.Measure(c.Request.Context(), a, in)
	})
}

func (s *server) decide() handlerFunc {
	return signing(s, func(c *gin.Context, a practice.Actor, in practice.Deciding) (practice.SignOffState, error) {
		return s.practice.Decide(c.Request.Context(), a, in)
	})
}

func (s *server) checkIn() handlerFunc {
	return signing(s, func(c *gin.Context, a practice.Actor, in practice.CheckingIn) (practice.SignOffState, error) {
		return s.practice.CheckIn(c.Request.Context(), a, in)
	})
}

func (s *server) restrict() handlerFunc {
	return signing(s, func(c *gin.Context, a practice.Actor, in practice.Changing) (practice.SignOffState, error) {
		return s.practice.Restrict(c.Request.Context(), a, in)
	})
}

func (s *server) revoke() handlerFunc {
	return signing(s, func(c *gin.Context, a practice.Actor, in practice.Changing) (practice.SignOffState, error) {
		return s.practice.Revoke(c.Request.Context(), a, in)
	})
}
