package api

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

func (s *server) health(c *gin.Context) error {
	return answer(c, http.StatusOK, map[string]string{"status": "up"})
}

func (s *server) ready(c *gin.Context) error {
	if err := s.practice.Ready(c.Request.Context()); err != nil {
		return err
	}
	return answer(c, http.StatusOK, map[string]string{"status": "ready"})
}

// openAPI serves the contract.
func (s *server) openAPI(c *gin.Context) error {
	c.Data(http.StatusOK, "application/json; charset=utf-8", s.contract.JSON())
	return nil
}

func (s *server) solve(c *gin.Context) error {
	request, err := solveRequest(c)
	if err != nil {
		return err
	}
	a, err := threadmath.Solve(request)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, a)
}

func solveRequest(c *gin.Context) (threadmath.Request, error) {
	data, err := body(c)
	if err != nil {
		return threadmath.Request{}, err
	}
	return threadmath.ParseRequest(data)
}

// skillsAnswer lists the skills that exercises can be drawn for.
type skillsAnswer struct {
	Skills []curriculum.Skill `json:"skills"`
}

func (s *server) skills(c *gin.Context) error {
	out := skillsAnswer{Skills: []curriculum.Skill{}}
	for _, slug := range generate.Skills() {
		skill, err := curriculum.SkillOf(slug)
		if err != nil {
			return err
		}
		skill.Needs, skill.Wrong, skill.Example.Lines = listOf(skill.Needs), listOf(skill.Wrong), listOf(skill.Example.Lines)
		out.Skills = append(out.Skills, skill)
	}
	return answer(c, http.StatusOK, out)
}

func (s *server) session(c *gin.Context, a practice.Actor) error {
	return answer(c, http.StatusOK, a)
}

func (s *server) signIn(c *gin.Context) error {
	var in struct {
		Link       string `json:"link"`
		Name       string `json:"name"`
		Passphrase string `json:"passphrase"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	enter := func(ctx context.Context) (string, time.Time, error) { return s.practice.UseLink(ctx, in.Link) }
	if in.Link == "" {
		enter = func(ctx context.Context) (string, time.Time, error) {
			return s.practice.SignIn(ctx, in.Name, in.Passphrase)
		}
	}
	token, expires, err := enter(c.Request.Context())
	if err != nil {
		return err
	}
	return s.signedIn(c, token, expires)
}

func (s *server) signOut(c *gin.Context, _ practice.Actor) error {
	if err := s.practice.SignOut(c.Request.Context(), s.token(c)); err != nil {
		return err
	}
	s.cookie.Clear(c.Writer)
	c.Status(http.StatusNoContent)
	return nil
}

// listedLearner is what the class list shows to whoever holds the joining code.
type listedLearner struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	HasPIN bool   `json:"has_pin"`
}

func (s *server) joining(c *gin.Context) error {
	class, ls, err := s.practice.Joining(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	out := make([]listedLearner, len(ls))
	for i, l := range ls {
		out[i] = listedLearner{l.ID, l.Name, l.HasPIN}
	}
	return answer(c, http.StatusOK, map[string]any{"class": class.Name, "learners": out})
}

func (s *server) join(c *gin.Context) error {
	var in struct {
		JoiningCode string `json:"joining_code"`
		Learner     string `json:"learner"`
		PIN         string `json:"pin"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	token, expires, err := s.practice.Join(c.Request.Context(), in.JoiningCode, in.Learner, in.PIN)
	if err != nil {
		return err
	}
	return s.signedIn(c, token, expires)
}

func (s *server) lathes(c *gin.Context, a practice.Actor) error {
	ls, err := s.practice.Lathes(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return list(c, "lathes", ls, func(l curriculum.Lathe) string { return l.ID })
}

// listOf makes an empty list of nil, so that JSON never says null.
func listOf[T any](v []T) []T {
	if v == nil {
		return []T{}
	}
	return v
}

type latheBody struct {
	Name    string           `json:"name"`
	Profile threadmath.Lathe `json:"profile"`
}

func (s *server) addLathe(c *gin.Context, a practice.Actor) error {
	var in latheBody
	if err := decode(c, &in); err != nil {
		return err
	}
	l, err := s.practice.AddLathe(c.Request.Context(), a, in.Name, in.Profile)
	if err != nil {
		return err
	}
	c.Header("Location", "/v1/lathes/"+l.ID)
	return s.latheAnswer(c, http.StatusCreated, l)
}

func (s *server) latheAnswer(c *gin.Context, status int, l curriculum.Lathe) error {
	c.Header("ETag", etag(l.Version))
	return answer(c, status, l)
}

func etag(version int) string { return `"` + strconv.Itoa(version) + `"` }

func (s *server) lathe(c *gin.Context, a practice.Actor) error {
	l, err := s.practice.Lathe(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return s.latheAnswer(c, http.StatusOK, l)
}

func (s *server) changeLathe(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	var in latheBody
	if err := decode(c, &in); err != nil {
		return err
	}
	l, err := s.practice.ChangeLathe(c.Request.Context(), a, c.Param("id"), version, in.Name, in.Profile)
	if err != nil {
		return err
	}
	return s.latheAnswer(c, http.StatusOK, l)
}

func (s *server) classes(c *gin.Context, a practice.Actor) error {
	of := s.practice.Classes
	if c.Query("ended") == "true" {
		of = s.practice.EndedClasses
	}
	cs, err := of(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return list(c, "classes", cs, func(x curriculum.Class) string { return x.ID })
}

func (s *server) addClass(c *gin.Context, a practice.Actor) error {
	var in struct {
		Name string `json:"name"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	class, err := s.practice.AddClass(c.Request.Context(), a, in.Name)
	if err != nil {
		return err
	}
	c.Header("Location", "/v1/classes/"+class.ID)
	return classAnswer(c, http.StatusCreated, class)
}

func classAnswer(c *gin.Context, status int, class curriculum.Class) error {
	c.Header("ETag", etag(class.Version))
	return answer(c, status, class)
}

func (s *server) class(c *gin.Context, a practice.Actor) error {
	class, err := s.practice.Class(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return classAnswer(c, http.StatusOK, class)
}

func (s *server) renameClass(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	var in struct {
		Name string `json:"name"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	class, err := s.practice.RenameClass(c.Request.Context(), a, c.Param("id"), version, in.Name)
	if err != nil {
		return err
	}
	return classAnswer(c, http.StatusOK, class)
}

func (s *server) learners(c *gin.Context, a practice.Actor) error {
	ls, err := s.practice.Learners(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	ls = only(c, "q", ls, func(l curriculum.Learner, part string) bool { return named(l.Name, part) })
	return list(c, "learners", ls, func(l curriculum.Learner) string { return l.ID })
}

func (s *server) addLearners(c *gin.Context, a practice.Actor) error {
	var in struct {
		Names     []string `json:"names"`
		Namesakes string   `json:"namesakes"`
		Known     []string `json:"known"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	ls, err := s.practice.AddLearners(c.Request.Context(), a, c.Param("id"), practice.Adding(in))
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, map[string]any{"learners": listOf(ls)})
}

func (s *server) leaveClass(c *gin.Context, a practice.Actor) error {
	if err := s.practice.LeaveClass(c.Request.Context(), a, c.Param("id"), c.Param("learner")); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

// knownLearner is a learner of the workshop, whatever class they are in.
type knownLearner struct {
	ID      string                 `json:"id"`
	Name    string                 `json:"name"`
	HasPIN  bool                   `json:"has_pin"`
	Created time.Time              `json:"created"`
	Classes []curriculum.Enrolment `json:"classes"`
}

func (s *server) knownLearners(c *gin.Context, a practice.Actor) error {
	all, err := s.practice.KnownLearners(c.Request.Context(), a)
	if err != nil {
		return err
	}
	ls := make([]knownLearner, len(all))
	for i, k := range all {
		ls[i] = knownLearner{k.ID, k.Name, k.HasPIN, k.Created, listOf(k.Classes)}
	}
	ls = only(c, "q", ls, func(l knownLearner, part string) bool { return named(l.Name, part) })
	return list(c, "learners", ls, func(l knownLearner) string { return l.ID })
}

// named says whether a name holds a text, in any case.
func named(name, part string) bool {
	return strings.Contains(strings.ToLower(name), strings.ToLower(part))
}

func learnerAnswer(c *gin.Context, l curriculum.Learner) error {
	c.Header("ETag", etag(l.Version))
	return answer(c, http.StatusOK, l)
}

func (s *server) learner(c *gin.Context, a practice.Actor) error {
	l, err := s.practice.LearnerOf(c.Request.Context(), a, c.Param("id"), c.Param("learner"))
	if err != nil {
		return err
	}
	return learnerAnswer(c, l)
}

func (s *server) changeLearner(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	var in struct {
		Name string `json:"name"`
		Seat int    `json:"seat"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	l, err := s.practice.ChangeLearner(c.Request.Context(), a, c.Param("id"), c.Param("learner"), version, in.Name, in.Seat)
	if err != nil {
		return err
	}
	return learnerAnswer(c, l)
}

func workshopAnswer(c *gin.Context, w curriculum.Workshop) error {
	c.Header("ETag", etag(w.Version))
	return answer(c, http.StatusOK, w)
}

func (s *server) workshop(c *gin.Context, a practice.Actor) error {
	w, err := s.practice.Workshop(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return workshopAnswer(c, w)
}

func (s *server) changeWorkshop(c *gin.Context, a practice.Actor) error {
	version, err := ifMatch(c)
	if err != nil {
		return err
	}
	var in struct {
		Name  string `json:"name"`
		Units string `json:"units"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	w, err := s.practice.ChangeWorkshop(c.Request.Context(), a, version, in.Name, in.Units)
	if err != nil {
		return err
	}
	return workshopAnswer(c, w)
}

func (s *server) clearPIN(c *gin.Context, a practice.Actor) error {
	if err := s.practice.ClearPIN(c.Request.Context(), a, c.Param("id")); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (s *server) sets(c *gin.Context, a practice.Actor) error {
	sets, err := s.practice.Sets(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	sets = only(c, "for", sets, func(x curriculum.ClassSet, learner string) bool { return x.Spec.For == learner })
	return list(c, "sets", sets, func(x curriculum.ClassSet) string { return x.ID })
}

func (s *server) buildSet(c *gin.Context, a practice.Actor) error {
	var in curriculum.SetSpec
	if err := decode(c, &in); err != nil {
		return err
	}
	set, variants, w, err := s.practice.AskSet(c.Request.Context(), a, c.Param("id"), in)
	if err != nil {
		return err
	}
	if w != nil {
		return asked(c, *w)
	}
	c.Header("Location", "/v1/sets/"+set.ID)
	return answer(c, http.StatusCreated, map[string]any{"set": set, "variants": listOf(variants)})
}

func (s *server) set(c *gin.Context, a practice.Actor) error {
	set, _, err := s.practice.Set(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, set)
}

func (s *server) variants(c *gin.Context, a practice.Actor) error {
	vs, err := s.practice.Variants(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	return list(c, "variants", vs, func(v curriculum.Variant) string { return v.Code })
}

func (s *server) marks(c *gin.Context, a practice.Actor) error {
	// Without limit the whole class; with it a page, the next one by after.
	if c.Query("limit") == "" && c.Query("after") == "" {
		t, err := s.practice.ClassMarks(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return err
		}
		return answer(c, http.StatusOK, t)
	}
	limit, err := queryNumber(c, "limit")
	if err != nil {
		return err
	}
	after := 0
	if c.Query("after") != "" {
		if after, err = queryNumber(c, "after"); err != nil {
			return err
		}
	}
	t, err := s.practice.ClassMarksPage(c.Request.Context(), a, c.Param("id"), after, limit)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, t)
}

// enterPaper takes answers from paper as JSON or as CSV, all of them or none.
func (s *server) enterPaper(c *gin.Context, a practice.Actor) error {
	var answers []practice.PaperAnswer
	if strings.HasPrefix(c.ContentType(), "text/csv") {
		data, err := body(c)
		if err != nil {
			return err
		}
		if answers, err = practice.ReadPaperCSV(bytes.NewReader(data)); err != nil {
			return err
		}
	} else {
		var in struct {
			Answers []practice.PaperAnswer `json:"answers"`
		}
		if err := decode(c, &in); err != nil {
			return err
		}
		answers = in.Answers
	}
	attempts, err := s.practice.EnterPaper(c.Request.Context(), a, c.Param("id"), answers)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, map[string]any{"attempts": listOf(attempts)})
}

func (s *server) ownSheets(c *gin.Context, a practice.Actor) error {
	sheets, err := s.practice.OwnSheets(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return list(c, "sheets", sheets, func(x practice.Sheet) string { return x.Variant.Code })
}

func (s *server) sheet(c *gin.Context, a practice.Actor) error {
	v, err := s.practice.Variant(c.Request.Context(), a, c.Param("code"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, v)
}

func (s *server) progress(c *gin.Context, a practice.Actor) error {
	p, err := s.practice.Progress(c.Request.Context(), a, c.Param("code"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, map[string]any{"exercises": p})
}

func (s *server) hint(c *gin.Context, a practice.Actor) error {
	position, err := queryNumber(c, "position")
	if err != nil {
		return err
	}
	rung, err := queryNumber(c, "rung")
	if err != nil {
		return err
	}
	lines, err := s.practice.Hint(c.Request.Context(), a, c.Param("code"), position, c.Query("part"), rung)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, map[string]any{"lines": listOf(lines)})
}

func queryNumber(c *gin.Context, name string) (int, error) {
	n, err := strconv.Atoi(c.Query(name))
	if err != nil {
		return 0, &curriculum.FieldError{Path: "?" + name, Value: c.Query(name), Reason: "not a number"}
	}
	return n, nil
}

func (s *server) submit(c *gin.Context, a practice.Actor) error {
	var in practice.Submission
	if err := decode(c, &in); err != nil {
		return err
	}
	in.Variant = c.Param("code")
	r, err := s.practice.Submit(c.Request.Context(), a, in)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, r)
}
