package api

import (
	"net/http"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

func (s *server) jobs(c *gin.Context, a practice.Actor) error {
	jobs, err := s.practice.Jobs(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return list(c, "jobs", jobs, func(j practice.JobState) string { return j.Learner })
}

// setJob takes If-Match for a job that is there already.
func (s *server) setJob(c *gin.Context, a practice.Actor) error {
	var in struct {
		Lathe   string             `json:"lathe"`
		Request threadmath.Request `json:"request"`
		Method  string             `json:"method"`
		Factor  float64            `json:"factor"`
		Allowed bool               `json:"allowed"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	j := curriculum.Job{
		Class: c.Param("id"), Learner: c.Param("learner"), Lathe: in.Lathe, Request: in.Request,
		Method: in.Method, Factor: in.Factor, Allowed: in.Allowed,
	}
	var err error
	if c.GetHeader("If-None-Match") != "*" {
		if j.Version, err = ifMatch(c); err != nil {
			return err
		}
	}
	if j, err = s.practice.SetJob(c.Request.Context(), a, j); err != nil {
		return err
	}
	c.Header("ETag", etag(j.Version))
	return answer(c, http.StatusOK, j)
}

func (s *server) removeJob(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	j := curriculum.Job{Class: c.Param("id"), Learner: c.Param("learner"), Version: version}
	if err := s.practice.RemoveJob(c.Request.Context(), a, j); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (s *server) removeTime(c *gin.Context, a practice.Actor) error {
	if err := s.practice.RemoveTime(c.Request.Context(), a, c.Param("id")); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (s *server) times(c *gin.Context, a practice.Actor) error {
	ts, err := s.practice.LoggedTimes(c.Request.Context(), a)
	if err != nil {
		return err
	}
	ts = only(c, "lathe", ts, func(x curriculum.LoggedTime, lathe string) bool { return x.Lathe == lathe })
	return list(c, "times", ts, func(x curriculum.LoggedTime) string { return x.ID })
}

func (s *server) logTime(c *gin.Context, a practice.Actor) error {
	var in struct {
		SetUpMin   *float64 `json:"set_up_min"`
		HandlingS  *float64 `json:"handling_s"`
		IndexMin   *float64 `json:"index_min"`
		MeasureMin *float64 `json:"measure_min"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	t, err := s.practice.LogTime(c.Request.Context(), a, curriculum.LoggedTime{
		Lathe: c.Param("id"), SetUpMin: in.SetUpMin, HandlingS: in.HandlingS, IndexMin: in.IndexMin, MeasureMin: in.MeasureMin,
	})
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, t)
}

// shopBody is a session as it is asked for.
type shopBody struct {
	Begins time.Time           `json:"begins"`
	Spec   curriculum.ShopSpec `json:"spec"`
}

func (s *server) shopSessions(c *gin.Context, a practice.Actor) error {
	ss, err := s.practice.ShopSessions(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return list(c, "sessions", ss, func(x curriculum.ShopSession) string { return x.ID })
}

func (s *server) planShop(c *gin.Context, a practice.Actor) error {
	var in shopBody
	if err := decode(c, &in); err != nil {
		return err
	}
	out, err := s.practice.PlanShop(c.Request.Context(), a, c.Param("id"), in.Begins, in.Spec)
	if err != nil {
		return err
	}
	c.Header("Location", "/v1/shop-sessions/"+out.ID)
	c.Header("ETag", etag(out.Version))
	return answer(c, http.StatusCreated, out)
}

func (s *server) shopSession(c *gin.Context, a practice.Actor) error {
	out, err := s.practice.ShopSession(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("ETag", etag(out.Version))
	return answer(c, http.StatusOK, out)
}

func (s *server) changeShop(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	var in shopBody
	if err := decode(c, &in); err != nil {
		return err
	}
	out, err := s.practice.ChangeShop(c.Request.Context(), a, c.Param("id"), version, in.Begins, in.Spec)
	if err != nil {
		return err
	}
	c.Header("ETag", etag(out.Version))
	return answer(c, http.StatusOK, out)
}

// shopNamed is a session with the names of its learners, lathes and stations.
func (s *server) shopNamed(c *gin.Context, a practice.Actor) (curriculum.ShopSession, map[string]string, error) {
	out, err := s.practice.ShopSession(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return out, nil, err
	}
	names, err := s.practice.ShopNames(c.Request.Context(), a, out)
	return out, names, err
}

func (s *server) shopCalendar(c *gin.Context, a practice.Actor) error {
	out, names, err := s.shopNamed(c, a)
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="session.ics"`)
	c.Data(http.StatusOK, "text/calendar; charset=utf-8", []byte(shopCalendar(out, names)))
	return nil
}

// shopCalendar writes a session as iCalendar (RFC 5545): the session itself, and
// each turn at a lathe. The same session gives the same bytes; SEQUENCE grows
// with its version, so that an updated file replaces the old entries. One that is
// called off is STATUS:CANCELLED (RFC 5545, 3.8.1.11) with all its turns.
func shopCalendar(s curriculum.ShopSession, names map[string]string) string {
	cal := ics.NewCalendarFor("halfnut")
	cal.SetMethod(ics.MethodPublish)
	cal.SetName(s.Spec.Title)
	event := func(uid, summary string, begin, end int) *ics.VEvent {
		e := cal.AddEvent(uid + "@halfnut")
		e.SetDtStampTime(s.Changed.UTC())
		e.SetSequence(s.Version - 1)
		e.SetStartAt(s.Begins.UTC().Add(time.Duration(begin) * time.Minute))
		e.SetEndAt(s.Begins.UTC().Add(time.Duration(end) * time.Minute))
		e.SetSummary(summary)
		if s.CalledOff != nil {
			e.SetStatus(ics.ObjectStatusCancelled)
		}
		return e
	}
	about := "The machine's manual, local rules and the shop's qualified supervisor come first."
	if s.CalledOff != nil {
		about = "Called off: " + s.CalledOff.Reason
	}
	event(s.ID, s.Spec.Title, 0, s.Spec.Minutes).SetDescription(about)
	for _, b := range s.Plan.Bookings {
		if b.Kind == curriculum.BookedLathe {
			event(s.ID+"-"+b.Learner, names[b.Learner]+" at "+names[b.Place], b.Begin, b.End)
		}
	}
	return cal.Serialize(ics.WithNewLineWindows)
}
