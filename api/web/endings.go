package web

import (
	"html/template"
	"net/http"
	"slices"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// staff are the names of those who put things to an end, by id.
type staff map[string]string

// Since says since when something is at an end, who said so, and why.
func (r reader) Since(e curriculum.Ending, names staff) (template.HTML, error) {
	if who := names[e.By]; who != "" {
		return r.html(english("since %s, says %s: <b>%s</b>"), r.Date(e.At), who, e.Reason)
	}
	return r.html(english("since %s: <b>%s</b>"), r.Date(e.At), e.Reason)
}

// offered are the lathes that can be chosen: those in use, and those that were
// chosen before.
func offered(lathes []curriculum.Lathe, kept ...string) []curriculum.Lathe {
	return slices.DeleteFunc(lathes, func(l curriculum.Lathe) bool { return l.OutOfUse != nil && !slices.Contains(kept, l.ID) })
}

// changeUse takes a lathe out of use or puts it back. A steward, whom the list at the
// door has led here, is led back there.
func (w *Pages) changeUse(c *gin.Context, a practice.Actor) error {
	var err error
	if c.PostForm("back") != "" {
		_, err = w.practice.PutBackInUse(c.Request.Context(), a, c.Param("id"))
	} else {
		_, err = w.practice.TakeOutOfUse(c.Request.Context(), a, c.Param("id"), c.PostForm("reason"))
	}
	if err != nil {
		v, verr := w.lathePage(c, a)
		if verr != nil {
			return verr
		}
		v.Form.Set("reason", c.PostForm("reason"))
		return w.againPart(c, err, "lathe.html", "layout.html", v, v.Form)
	}
	to := "/lathes/"
	if a.Role == curriculum.RoleSteward {
		to = "/signoff/lathes/"
	}
	c.Redirect(http.StatusSeeOther, to+c.Param("id"))
	return nil
}

// callOffShop calls a session off or holds it after all.
func (w *Pages) callOffShop(c *gin.Context, a practice.Actor) error {
	var err error
	if c.PostForm("back") != "" {
		_, err = w.practice.HoldShop(c.Request.Context(), a, c.Param("id"))
	} else {
		_, err = w.practice.CallOffShop(c.Request.Context(), a, c.Param("id"), c.PostForm("reason"))
	}
	if err != nil {
		d, derr := w.boardData(c, a)
		if derr != nil {
			return derr
		}
		form := boardForm(d.Session)
		form.Set("reason", c.PostForm("reason"))
		return w.againPart(c, err, "board.html", "layout.html", view{Title: d.Session.Spec.Title, Role: a.Role, Data: d}, form)
	}
	c.Redirect(http.StatusSeeOther, "/shop-sessions/"+c.Param("id"))
	return nil
}

// withdrawSet withdraws a class set or brings it back.
func (w *Pages) withdrawSet(c *gin.Context, a practice.Actor) error {
	var err error
	if c.PostForm("back") != "" {
		_, err = w.practice.BringSetBack(c.Request.Context(), a, c.Param("id"))
	} else {
		_, err = w.practice.WithdrawSet(c.Request.Context(), a, c.Param("id"), c.PostForm("reason"))
	}
	if err != nil {
		d, derr := w.setData(c, a)
		if derr != nil {
			return derr
		}
		return w.again(c, err, "set.html", view{Title: d.Table.Set.Spec.Title, Role: a.Role, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/sets/"+c.Param("id"))
	return nil
}
