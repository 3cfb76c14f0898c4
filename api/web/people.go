package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// peopleData are the instructors and stewards of a workshop, Others those who are not
// who asks, Left those who have left, with what Endings say of it. Link is the
// one-time link of who was just added, shown once.
type peopleData struct {
	People, Others, Left []curriculum.Person
	Endings              map[string]phrase
	Added                string
	Link                 string
}

func (w *Pages) peoplePage(c *gin.Context, a practice.Actor) (v view, d peopleData, err error) {
	all, err := w.practice.Staff(c.Request.Context(), a)
	if err != nil {
		return v, d, err
	}
	for _, p := range all {
		switch {
		case p.Ended != nil:
			d.Left = append(d.Left, p)
			continue
		case p.ID != a.ID:
			d.Others = append(d.Others, p)
		}
		d.People = append(d.People, p)
	}
	d.Endings, err = endings(w, c, a, all, func(p curriculum.Person) (string, *curriculum.Ending) { return p.ID, p.Ended })
	return view{Title: w.t(c, "People"), Role: a.Role, Data: d}, d, err
}

func (w *Pages) people(c *gin.Context, a practice.Actor) error {
	v, _, err := w.peoplePage(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "people.html", v)
	return nil
}

// addPerson adds somebody, or makes a new link for somebody who is there.
func (w *Pages) addPerson(c *gin.Context, a practice.Actor) error {
	var p curriculum.Person
	var link string
	var err error
	if id := c.PostForm("person"); id != "" {
		p, link, err = w.practice.LinkFor(c.Request.Context(), a, id)
	} else {
		p, link, err = w.practice.AddPerson(c.Request.Context(), a, c.PostForm("name"), c.PostForm("role"))
	}
	if err != nil {
		return w.peopleAgain(c, a, err)
	}
	v, d, err := w.peoplePage(c, a)
	if err != nil {
		return err
	}
	d.Added, d.Link = p.Name, w.cookie.Origin(c.Request)+"/link/"+link
	v.Data = d
	c.Header("Cache-Control", "no-store")
	w.show(c, http.StatusCreated, "people.html", v)
	return nil
}

// peopleAgain shows the people with what could not be used.
func (w *Pages) peopleAgain(c *gin.Context, a practice.Actor, err error) error {
	v, _, verr := w.peoplePage(c, a)
	if verr != nil {
		return verr
	}
	return w.again(c, err, "people.html", v)
}

func (w *Pages) endPerson(c *gin.Context, a practice.Actor) error {
	if _, err := w.practice.EndPerson(c.Request.Context(), a, c.PostForm("person"), c.PostForm("reason")); err != nil {
		return w.peopleAgain(c, a, err)
	}
	c.Redirect(http.StatusSeeOther, "/people#left")
	return nil
}

func (w *Pages) letInAgain(c *gin.Context, a practice.Actor) error {
	if _, err := w.practice.LetInAgain(c.Request.Context(), a, c.PostForm("person")); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/people")
	return nil
}

func (w *Pages) endClass(c *gin.Context, a practice.Actor) error {
	if _, err := w.practice.EndClass(c.Request.Context(), a, c.Param("id"), c.PostForm("reason")); err != nil {
		return w.classAgain(c, a, err)
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id"))
	return nil
}

func (w *Pages) reopenClass(c *gin.Context, a practice.Actor) error {
	if _, err := w.practice.ReopenClass(c.Request.Context(), a, c.Param("id")); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id"))
	return nil
}

func (w *Pages) newJoiningCode(c *gin.Context, a practice.Actor) error {
	if _, err := w.practice.NewJoiningCode(c.Request.Context(), a, c.Param("id")); err != nil {
		return w.classAgain(c, a, err)
	}
	c.Redirect(http.StatusSeeOther, "/classes/"+c.Param("id"))
	return nil
}

// endings say of each that has ended when, by whom and why.
func endings[T any](w *Pages, c *gin.Context, a practice.Actor, of []T, ended func(T) (id string, e *curriculum.Ending)) (map[string]phrase, error) {
	out := map[string]phrase{}
	names := map[string]string{}
	for _, x := range of {
		id, e := ended(x)
		if e == nil {
			continue
		}
		if len(names) == 0 {
			people, err := w.practice.Staff(c.Request.Context(), a)
			if err != nil {
				return nil, err
			}
			for _, p := range people {
				names[p.ID] = p.Name
			}
		}
		day := w.reader(c).Date(e.At)
		if out[id] = phraseOf("Ended on %s by %s.", day, names[e.By]); e.Reason != "" {
			out[id] = phraseOf("Ended on %s by %s: %s", day, names[e.By], e.Reason)
		}
	}
	return out, nil
}
