package api

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"halfnut/api/openapi"
	"halfnut/api/problem"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// admit lets a request in as the contract says: the role of who asks, what stands
// behind the path, the media type, the size and the form of the body. It returns
// who asks, at a public operation the actor of no workshop and no role. A route
// that the contract does not describe lets nobody in.
func (s *server) admit(c *gin.Context, op *openapi.Operation) (a practice.Actor, err error) {
	if op == nil {
		return a, fmt.Errorf("%s %s is not in the contract", c.Request.Method, c.FullPath())
	}
	if !op.Public {
		if a, err = s.whoAsks(c, op); err != nil {
			return a, err
		}
		if !slices.Contains(op.Roles, a.Role) {
			return a, fmt.Errorf("%w: this is for %s", curriculum.ErrDenied, plurals(op.Roles))
		}
	}
	return a, checkForm(c, op)
}

// checkForm checks what stands behind the path and the body.
func checkForm(c *gin.Context, op *openapi.Operation) error {
	if err := op.CheckQuery(c.Request.URL.Query()); err != nil {
		return err
	}
	if len(op.Media) == 0 {
		return nil
	}
	c.Request.Body = http.MaxBytesReader(c.Writer, c.Request.Body, op.MaxBytes)
	media := mediaType(c.Request)
	if !slices.Contains(op.Media, media) {
		return fmt.Errorf("%w: a body is %s", problem.ErrMediaType, strings.Join(op.Media, " or "))
	}
	if media != openapi.MediaJSON {
		return nil
	}
	data, err := body(c)
	if err != nil {
		return err
	}
	if data, err = op.Check(data); err != nil {
		return err
	}
	c.Request.Body = io.NopCloser(bytes.NewReader(data))
	return nil
}

// whoAsks returns who a session or an API token belongs to.
func (s *server) whoAsks(c *gin.Context, op *openapi.Operation) (practice.Actor, error) {
	secret := s.token(c)
	if practice.IsAPIToken(secret) {
		return s.asToken(c, secret, op.Scope)
	}
	return s.practice.Actor(c.Request.Context(), secret)
}

// mediaType returns the type of the body; one that is not named is JSON.
func mediaType(r *http.Request) string {
	header := r.Header.Get("Content-Type")
	if header == "" {
		return openapi.MediaJSON
	}
	media, _, err := mime.ParseMediaType(header)
	if err != nil {
		return header
	}
	return media
}

func plurals(roles []string) string {
	out := make([]string, len(roles))
	for i, r := range roles {
		out[i] = r + "s"
	}
	return strings.Join(out, " and ")
}

// token returns the secret of a session: a script's bearer token or a browser's
// cookie.
func (s *server) token(c *gin.Context) string {
	if bearer, ok := strings.CutPrefix(c.GetHeader("Authorization"), "Bearer "); ok {
		return strings.TrimSpace(bearer)
	}
	return s.cookie.Read(c.Request)
}

// ifMatch returns the version that the caller changed.
func ifMatch(c *gin.Context) (int, error) {
	header := c.GetHeader("If-Match")
	if header == "" {
		return 0, fmt.Errorf("%w: send the ETag that it was read with as If-Match; for what takes it, If-None-Match: * makes a first one", problem.ErrNoVersion)
	}
	version, err := strconv.Atoi(strings.Trim(header, `"`))
	if err != nil || version < 1 || version > 1<<31-1 {
		return 0, &curriculum.FieldError{Path: "If-Match", Value: header, Reason: "no version", Allowed: "the ETag that it was read with"}
	}
	return version, nil
}
