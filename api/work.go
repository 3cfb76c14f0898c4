package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/api/web"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// workAnswer lists works.
type workAnswer struct {
	Work []curriculum.Work `json:"work"`
}

// asked answers that a work has been put into the queue.
func asked(c *gin.Context, w curriculum.Work) error {
	c.Header("Location", "/v1/work/"+w.ID)
	return answer(c, http.StatusAccepted, w)
}

func (s *server) ownWork(c *gin.Context, a practice.Actor) error {
	works, err := s.practice.OwnWork(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, workAnswer{Work: listOf(works)})
}

func (s *server) work(c *gin.Context, a practice.Actor) error {
	w, err := s.practice.Work(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, w)
}

func (s *server) callOffWork(c *gin.Context, a practice.Actor) error {
	w, err := s.practice.CallOffWork(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, w)
}

// workFile sends the file piece by piece. When a piece cannot be read the
// connection is cut, so that nobody takes half a file for a whole one.
func (s *server) workFile(c *gin.Context, a practice.Actor) error {
	file, write, err := s.practice.WorkFile(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return web.SendFile(c, file, write)
}

func (s *server) askPack(c *gin.Context, a practice.Actor) error {
	if _, err := web.Style(c.Request.URL.Query()); err != nil {
		return err
	}
	w, err := s.practice.AskPack(c.Request.Context(), a, c.Param("id"), c.Request.URL.RawQuery)
	if err != nil {
		return err
	}
	return asked(c, w)
}

func (s *server) recompute(c *gin.Context, a practice.Actor) error {
	var in struct {
		Write bool `json:"write"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	w, err := s.practice.Recompute(c.Request.Context(), a, in.Write)
	if err != nil {
		return err
	}
	return asked(c, w)
}

func (s *server) askExport(c *gin.Context, a practice.Actor) error {
	w, err := s.practice.AskExport(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return asked(c, w)
}
