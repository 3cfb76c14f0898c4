package api

import (
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// asToken returns who an API token acts for at an operation that needs a scope;
// without one, no token is taken.
func (s *server) asToken(c *gin.Context, secret, needed string) (practice.Actor, error) {
	a, scope, err := s.practice.TokenActor(c.Request.Context(), secret)
	if err != nil {
		return a, err
	}
	if needed == "" {
		return a, fmt.Errorf("%w: this is not for API tokens; sign in", curriculum.ErrDenied)
	}
	if !practice.ScopeHolds(scope, needed) {
		return a, fmt.Errorf("%w: this needs a token of scope %s, not %s", curriculum.ErrDenied, needed, scope)
	}
	return a, nil
}

func (s *server) setPassphrase(c *gin.Context, a practice.Actor) error {
	var in struct {
		Passphrase string `json:"passphrase"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	if err := s.practice.SetPassphrase(c.Request.Context(), a, s.token(c), in.Passphrase); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

// setUnits keeps in which units lengths are shown to who asks.
func (s *server) setUnits(c *gin.Context, a practice.Actor) error {
	var in struct {
		Units string `json:"units"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	if err := s.practice.SetUnits(c.Request.Context(), a, in.Units); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}

func (s *server) tokens(c *gin.Context, a practice.Actor) error {
	ts, err := s.practice.Tokens(c.Request.Context(), a)
	if err != nil {
		return err
	}
	return list(c, "tokens", ts, func(x curriculum.APIToken) string { return x.ID })
}

// newToken is an API token with its secret, which no other answer holds.
type newToken struct {
	Token  curriculum.APIToken `json:"token"`
	Secret string              `json:"secret"`
}

func (s *server) addToken(c *gin.Context, a practice.Actor) error {
	var in struct {
		Name  string `json:"name"`
		Scope string `json:"scope"`
		Days  int    `json:"days"`
	}
	if err := decode(c, &in); err != nil {
		return err
	}
	t, secret, err := s.practice.NewToken(c.Request.Context(), a, in.Name, in.Scope, in.Days)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, newToken{t, secret})
}

func (s *server) revokeToken(c *gin.Context, a practice.Actor) error {
	if err := s.practice.RevokeToken(c.Request.Context(), a, c.Param("id")); err != nil {
		return err
	}
	c.Status(http.StatusNoContent)
	return nil
}
