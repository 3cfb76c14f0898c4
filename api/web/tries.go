package web

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// triesData is what an instructor sees of the answers on a sheet.
type triesData struct {
	Variant  curriculum.Variant
	Attempts []curriculum.Attempt
	// Touched says how many answers the overrule that was just made marked anew.
	Touched int
}

func (w *Pages) triesData(c *gin.Context, a practice.Actor) (d triesData, err error) {
	d.Variant, d.Attempts, err = w.practice.Tries(c.Request.Context(), a, c.Param("code"))
	d.Touched = asCount(c.Query("touched"))
	// In the order of the sheet that lies beside: answers from paper have one time.
	slices.SortStableFunc(d.Attempts, func(a, b curriculum.Attempt) int {
		return cmp.Or(cmp.Compare(a.Position, b.Position), cmp.Compare(a.Try, b.Try))
	})
	return d, err
}

func (w *Pages) tries(c *gin.Context, a practice.Actor) error {
	d, err := w.triesData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "tries.html", view{Title: w.t(c, "Answers of %s", d.Variant.Name), Role: a.Role, Data: d})
	return nil
}

// overrule takes an instructor's decision about one verdict.
func (w *Pages) overrule(c *gin.Context, a practice.Actor) error {
	_, touched, err := w.practice.Overrule(c.Request.Context(), a, c.PostForm("attempt"), c.PostForm("part"), curriculum.Outcome(c.PostForm("to")), c.PostForm("reason"))
	if err != nil {
		d, derr := w.triesData(c, a)
		if derr != nil {
			return derr
		}
		of := c.PostForm("attempt") + "-" + c.PostForm("part")
		c.Request.PostForm.Set("act", of)
		where := func(pointer string) (id string, label phrase) {
			switch pointer {
			case "/reason":
				return "reason" + of, phraseOf("Why")
			case "/to":
				return "to" + of, phraseOf("It counts as")
			}
			return "", phrase{}
		}
		return w.again(c, err, "tries.html", view{Title: w.t(c, "Answers of %s", d.Variant.Name), Role: a.Role, Where: where, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/sheets/"+c.Param("code")+"/answers?touched="+strconv.Itoa(len(touched)))
	return nil
}
