package web

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
)

func isFormFault(err error) bool {
	return errors.Is(err, curriculum.ErrInvalid) || errors.Is(err, curriculum.ErrConflict)
}

type classesData struct {
	Workshop curriculum.Workshop
	Classes  []curriculum.Class
	Ended    []curriculum.Class
	// Endings say when, by whom and why each of the ended ones ended.
	Endings map[string]phrase
}

func (w *Pages) classesData(c *gin.Context, a practice.Actor) (d classesData, err error) {
	if d.Workshop, err = w.practice.Workshop(c.Request.Context(), a); err != nil {
		return d, err
	}
	if d.Classes, err = w.practice.Classes(c.Request.Context(), a); err != nil {
		return d, err
	}
	if d.Ended, err = w.practice.EndedClasses(c.Request.Context(), a); err != nil {
		return d, err
	}
	d.Endings, err = endings(w, c, a, d.Ended, func(x curriculum.Class) (string, *curriculum.Ending) { return x.ID, x.Ended })
	return d, err
}

func (w *Pages) classes(c *gin.Context, a practice.Actor) error {
	d, err := w.classesData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "classes.html", view{Title: w.t(c, "Classes"), Role: a.Role, Data: d})
	return nil
}

func (w *Pages) addClass(c *gin.Context, a practice.Actor) error {
	class, err := w.practice.AddClass(c.Request.Context(), a, c.PostForm("name"))
	if err != nil {
		d, derr := w.classesData(c, a)
		if derr != nil {
			return derr
		}
		return w.again(c, err, "classes.html", view{Title: w.t(c, "Classes"), Role: a.Role, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+class.ID)
	return nil
}

type classData struct {
	Class curriculum.Class
	// Ending says when, by whom and why the class ended, where it has.
	Ending   phrase
	Learners []curriculum.Learner
	Sets     []curriculum.ClassSet
	Staff    staff
	Lathes   []curriculum.Lathe
	Skills   []curriculum.Skill
	Units    string
	// Roster is what came of a class list that was just sent; nil where none was.
	Roster *practice.RosterResult
}

// find opens the sheet of a code that was typed in or scanned.
func (w *Pages) find(c *gin.Context, a practice.Actor) error {
	v, err := w.practice.Variant(c.Request.Context(), a, c.Query("sheet"))
	if err != nil {
		d, derr := w.classesData(c, a)
		if derr != nil {
			return derr
		}
		if errors.Is(err, curriculum.ErrNotFound) {
			err = wrong("/sheet", c.Query("sheet"), "no sheet of this workshop has this code", "the eight letters and digits below the square on the sheet")
		}
		return w.againPart(c, err, "classes.html", "layout.html", view{Title: w.t(c, "Classes"), Role: a.Role, Data: d}, c.Request.URL.Query())
	}
	c.Redirect(http.StatusSeeOther, "/sheets/"+v.Code)
	return nil
}

func (w *Pages) classData(c *gin.Context, a practice.Actor) (d classData, err error) {
	ctx := c.Request.Context()
	if d.Class, err = w.practice.Class(ctx, a, c.Param("id")); err != nil {
		return d, err
	}
	if d.Learners, err = w.practice.Learners(ctx, a, d.Class.ID); err != nil {
		return d, err
	}
	if d.Sets, err = w.practice.Sets(ctx, a, d.Class.ID); err != nil {
		return d, err
	}
	if d.Staff, err = w.practice.StaffNames(ctx, a); err != nil {
		return d, err
	}
	if d.Lathes, err = w.practice.Lathes(ctx, a); err != nil {
		return d, err
	}
	d.Lathes = offered(d.Lathes)
	ws, err := w.practice.Workshop(ctx, a)
	if err != nil {
		return d, err
	}
	said, err := endings(w, c, a, []curriculum.Class{d.Class}, func(x curriculum.Class) (string, *curriculum.Ending) { return x.ID, x.Ended })
	if err != nil {
		return d, err
	}
	d.Ending = said[d.Class.ID]
	d.Units = a.Units.Sheets(ws.Units)
	for _, slug := range generate.Skills() {
		s, err := curriculum.SkillOf(slug)
		if err != nil {
			return d, err
		}
		d.Skills = append(d.Skills, s)
	}
	return d, nil
}

func (w *Pages) class(c *gin.Context, a practice.Actor) error {
	d, err := w.classData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "class.html", view{Title: d.Class.Name, Role: a.Role, Data: d})
	return nil
}

// classAgain shows the class with what could not be used.
func (w *Pages) classAgain(c *gin.Context, a practice.Actor, err error) error {
	d, derr := w.classData(c, a)
	if derr != nil {
		return derr
	}
	return w.again(c, err, "class.html", view{Title: d.Class.Name, Role: a.Role, Data: d})
}

func (w *Pages) addLearners(c *gin.Context, a practice.Actor) error {
	var names []string
	for line := range strings.Lines(c.PostForm("names")) {
		if line = strings.TrimSpace(line); line != "" {
			names = append(names, line)
		}
	}
	if _, err := w.practice.AddLearners(c.Request.Context(), a, c.Param("id"), practice.Adding{Names: names, Namesakes: c.PostForm("namesakes")}); err != nil {
		return w.classAgain(c, a, err)
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id")+"#learners")
	return nil
}

func (w *Pages) clearPIN(c *gin.Context, a practice.Actor) error {
	if err := w.practice.ClearPIN(c.Request.Context(), a, c.PostForm("learner")); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id")+"#learners")
	return nil
}

func (w *Pages) buildSet(c *gin.Context, a practice.Actor) error {
	count, err := wholeIn("/count", c.PostForm("count"))
	if err != nil {
		return w.classAgain(c, a, err)
	}
	set, _, work, err := w.practice.AskSet(c.Request.Context(), a, c.Param("id"), curriculum.SetSpec{
		Title: c.PostForm("title"), Skills: c.PostFormArray("skills"), Count: count, Lathe: c.PostForm("lathe"), Units: c.PostForm("units"),
	})
	if err != nil {
		return w.classAgain(c, a, err)
	}
	if work != nil {
		c.Redirect(http.StatusSeeOther, "/work/"+work.ID)
		return nil
	}
	c.Redirect(http.StatusSeeOther, "/sets/"+set.ID)
	return nil
}

type setData struct {
	Table    practice.MarkTable
	Staff    staff
	Variants []curriculum.Variant
	// Sheet is the one whose answers are typed in next.
	Sheet curriculum.Variant
	// Entered says how many answers from paper were just taken.
	Entered int
	// Large says that printing takes longer than somebody may wait.
	Large bool
}

func (w *Pages) setData(c *gin.Context, a practice.Actor) (d setData, err error) {
	if d.Table, err = w.practice.ClassMarks(c.Request.Context(), a, c.Param("id")); err != nil {
		return d, err
	}
	if d.Staff, err = w.practice.StaffNames(c.Request.Context(), a); err != nil {
		return d, err
	}
	d.Variants, err = w.practice.Variants(c.Request.Context(), a, c.Param("id"))
	d.Entered, d.Large = asCount(c.Query("entered")), len(d.Variants) > practice.MostAtOnce
	asked := practice.CleanCode(cmp.Or(c.PostForm("sheet"), c.Query("sheet")))
	for i, v := range d.Variants {
		if i == 0 || v.Code == asked {
			d.Sheet = v
		}
	}
	return d, err
}

func (w *Pages) set(c *gin.Context, a practice.Actor) error {
	d, err := w.setData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "set.html", view{Title: d.Table.Set.Spec.Title, Role: a.Role, Data: d})
	return nil
}

func (w *Pages) entered(c *gin.Context, a practice.Actor, answers []practice.PaperAnswer, err error) error {
	if err == nil {
		_, err = w.practice.EnterPaper(c.Request.Context(), a, c.Param("id"), answers)
	}
	if err != nil {
		d, derr := w.setData(c, a)
		if derr != nil {
			return derr
		}
		return w.again(c, err, "set.html", view{Title: d.Table.Set.Spec.Title, Role: a.Role, Where: paperInputs, Data: d})
	}
	// The next sheet of the pile is ready to be typed in.
	next := ""
	if sheet := practice.CleanCode(c.PostForm("sheet")); sheet != "" {
		vs, err := w.practice.Variants(c.Request.Context(), a, c.Param("id"))
		if err != nil {
			return err
		}
		for i, v := range vs[:len(vs)-1] {
			if v.Code == sheet {
				next = "&sheet=" + vs[i+1].Code
			}
		}
	}
	c.Redirect(http.StatusSeeOther, "/sets/"+c.Param("id")+"?entered="+strconv.Itoa(len(answers))+next+"#paper")
	return nil
}

// paperInputs finds the inputs of the marking grid.
func paperInputs(pointer string) (id string, label phrase) {
	p := strings.Split(pointer, "/")
	if len(p) == 5 && p[1] == "exercises" && p[3] == "answers" {
		return "a" + p[2] + "." + p[4], phraseOf("Exercise %s", p[2]+p[4])
	}
	return "", phrase{}
}

// paper takes the answers of one sheet, typed in.
func (w *Pages) paper(c *gin.Context, a practice.Actor) error {
	v, err := w.practice.Variant(c.Request.Context(), a, c.PostForm("sheet"))
	if err != nil {
		if errors.Is(err, curriculum.ErrNotFound) {
			err = wrong("/sheet", c.PostForm("sheet"), "no sheet of this set has this code", "")
		}
		return w.entered(c, a, nil, err)
	}
	var answers []practice.PaperAnswer
	for i, e := range v.Exercises {
		if texts := paperAnswers(c, i+1, e); len(texts) > 0 {
			answers = append(answers, practice.PaperAnswer{Variant: v.Code, Position: i + 1, Answers: texts, At: "/exercises/" + strconv.Itoa(i+1)})
		}
	}
	return w.entered(c, a, answers, nil)
}

// upload takes a CSV file of answers.
func (w *Pages) upload(c *gin.Context, a practice.Actor) error {
	file, _, err := c.Request.FormFile("file")
	if err != nil {
		return w.entered(c, a, nil, wrong("/file", "", "choose a CSV file", ""))
	}
	defer func() { _ = file.Close() }()
	data, err := io.ReadAll(file)
	if err != nil {
		return err
	}
	answers, err := practice.ReadPaperCSV(bytes.NewReader(data))
	return w.entered(c, a, answers, err)
}
