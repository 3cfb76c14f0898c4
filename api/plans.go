package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

func (s *server) mastery(c *gin.Context, a practice.Actor) error {
	skills, err := s.practice.Mastery(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, map[string]any{"skills": listOf(skills)})
}

func (s *server) plan(c *gin.Context, a practice.Actor) error {
	p, err := s.practice.Plan(c.Request.Context(), a, c.Param("id"), true)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, p)
}

// planCalendar writes a practice plan as iCalendar.
func (s *server) planCalendar(c *gin.Context, a practice.Actor) error {
	p, err := s.practice.Plan(c.Request.Context(), a, c.Param("id"), false)
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `attachment; filename="plan.ics"`)
	c.Data(http.StatusOK, "text/calendar; charset=utf-8", []byte(practiceCalendar(p)))
	return nil
}

func (s *server) practiceSheet(c *gin.Context, a practice.Actor) error {
	set, v, err := s.practice.PracticeSheet(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("Location", "/v1/sheets/"+v.Code)
	return answer(c, http.StatusCreated, map[string]any{"set": set, "variant": v})
}

func (s *server) classMastery(c *gin.Context, a practice.Actor) error {
	m, err := s.practice.ClassMap(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, m)
}

func (s *server) classForecast(c *gin.Context, a practice.Actor) error {
	f, err := s.practice.ClassForecast(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, f)
}

func (s *server) coursePlan(c *gin.Context, a practice.Actor) error {
	p, err := s.practice.CoursePlan(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, p)
}

func (s *server) course(c *gin.Context, a practice.Actor) error {
	course, err := s.practice.Course(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	c.Header("ETag", etag(course.Version))
	return answer(c, http.StatusOK, course)
}

// setCourse makes a class's course, or replaces the one that If-Match names.
func (s *server) setCourse(c *gin.Context, a practice.Actor) error {
	var version int
	var err error
	if c.GetHeader("If-Match") != "" {
		if version, err = ifMatch(c); err != nil {
			return err
		}
	}
	var in curriculum.CourseSpec
	if err := decode(c, &in); err != nil {
		return err
	}
	course, err := s.practice.SetCourse(c.Request.Context(), a, c.Param("id"), version, in)
	if err != nil {
		return err
	}
	c.Header("ETag", etag(course.Version))
	return answer(c, http.StatusOK, course)
}

// statistics are the figures of the exercises, over the workshop or one class.
func (s *server) statistics(c *gin.Context, a practice.Actor) error {
	items, err := s.practice.Statistics(c.Request.Context(), a, c.Query("class"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, map[string]any{"items": listOf(items)})
}
