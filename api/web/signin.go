package web

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

func (w *Pages) signIn(c *gin.Context) error {
	w.show(c, http.StatusOK, "signin.html", view{Title: w.t(c, "Sign in")})
	return nil
}

func (w *Pages) doSignIn(c *gin.Context) error {
	token, expires, err := w.practice.SignIn(c.Request.Context(), c.PostForm("name"), c.PostForm("passphrase"))
	if err != nil {
		return w.again(c, err, "signin.html", view{Title: w.t(c, "Sign in")})
	}
	w.cookie.Set(c.Writer, token, expires)
	c.Redirect(http.StatusSeeOther, "/") // which leads on by role
	return nil
}

func (w *Pages) passphrase(c *gin.Context, a practice.Actor) error {
	if a.Role == practice.RoleLearner {
		return curriculum.ErrDenied
	}
	w.show(c, http.StatusOK, "passphrase.html", view{Title: w.t(c, "Passphrase"), Role: a.Role, Data: c.Query("set")})
	return nil
}

func (w *Pages) setPassphrase(c *gin.Context, a practice.Actor) error {
	if a.Role == practice.RoleLearner {
		return curriculum.ErrDenied
	}
	var err error
	if c.PostForm("passphrase") != c.PostForm("again") {
		err = wrong("/again", "", "is not the same", "")
	} else {
		err = w.practice.SetPassphrase(c.Request.Context(), a, w.cookie.Read(c.Request), c.PostForm("passphrase"))
	}
	if err != nil {
		return w.again(c, err, "passphrase.html", view{Title: w.t(c, "Passphrase"), Role: a.Role, Data: ""})
	}
	c.Redirect(http.StatusSeeOther, "/passphrase?set=1")
	return nil
}

type tokensData struct {
	Tokens []curriculum.APIToken
	Scopes []string
	Names  map[string]string // of people, by id
	// Secret is that of the token that was just made, called Added.
	Secret, Added string
}

func (w *Pages) tokensData(c *gin.Context, a practice.Actor) (d tokensData, err error) {
	d.Scopes, d.Names = curriculum.Scopes, map[string]string{}
	if d.Tokens, err = w.practice.Tokens(c.Request.Context(), a); err != nil {
		return d, err
	}
	people, err := w.practice.Staff(c.Request.Context(), a)
	for _, p := range people {
		d.Names[p.ID] = p.Name
	}
	return d, err
}

func (w *Pages) tokens(c *gin.Context, a practice.Actor) error {
	d, err := w.tokensData(c, a)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "tokens.html", view{Title: w.t(c, "API tokens"), Role: a.Role, Data: d})
	return nil
}

// changeTokens makes a token, or revokes the one that is named. A new one is
// shown in the answer itself: its secret must not stand in an address.
func (w *Pages) changeTokens(c *gin.Context, a practice.Actor) error {
	if id := c.PostForm("revoke"); id != "" {
		if err := w.practice.RevokeToken(c.Request.Context(), a, id); err != nil {
			return err
		}
		c.Redirect(http.StatusSeeOther, "/tokens")
		return nil
	}
	var t curriculum.APIToken
	var secret string
	days, err := wholeIn("/days", c.PostForm("days"))
	if err == nil {
		t, secret, err = w.practice.NewToken(c.Request.Context(), a, c.PostForm("name"), c.PostForm("scope"), days)
	}
	d, derr := w.tokensData(c, a)
	if derr != nil {
		return derr
	}
	v := view{Title: w.t(c, "API tokens"), Role: a.Role, Data: d}
	if err != nil {
		return w.again(c, err, "tokens.html", v)
	}
	d.Secret, d.Added = secret, t.Name
	v.Data = d
	w.show(c, http.StatusCreated, "tokens.html", v)
	return nil
}
