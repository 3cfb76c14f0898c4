package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// eventsAnswer is one page of the log.
type eventsAnswer struct {
	Events []curriculum.Event `json:"events"`
}

// events answers with who did what. The page is cut by the store: the log grows
// for ever.
func (s *server) events(c *gin.Context, a practice.Actor) error {
	ask := curriculum.EventQuery{Who: c.Query("who"), About: c.Query("about"), After: c.Query("after")}
	var err error
	if ask.Since, err = queryTime(c, "since"); err != nil {
		return err
	}
	if ask.Until, err = queryTime(c, "until"); err != nil {
		return err
	}
	if limit := c.Query("limit"); limit != "" {
		if ask.Most, err = strconv.Atoi(limit); err != nil {
			return err // the contract has let nothing but figures through
		}
	}
	page, more, err := s.practice.Events(c.Request.Context(), a, ask)
	if err != nil {
		return err
	}
	if more {
		linkNext(c, page[len(page)-1].ID)
	}
	return answer(c, http.StatusOK, eventsAnswer{listOf(page)})
}

// queryTime reads a time of the query; none is the zero time.
func queryTime(c *gin.Context, name string) (time.Time, error) {
	text := c.Query(name)
	if text == "" {
		return time.Time{}, nil
	}
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return at, &curriculum.FieldError{Path: "?" + name, Value: text, Reason: "not a time", Allowed: `RFC 3339, such as "2026-11-27T08:30:00Z"`}
	}
	return at, nil
}
