package api

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"net/http"

	"github.com/gin-gonic/gin"

	"halfnut/api/openapi"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// once carries a request out once for each Idempotency-Key, where the operation
// takes one and the request has one.
func (s *server) once(c *gin.Context, op *openapi.Operation, a practice.Actor, handler handlerFunc) error {
	keys := c.Request.Header.Values("Idempotency-Key")
	if !op.Keyed || len(keys) == 0 {
		return handler(c, a)
	}
	if len(keys) > 1 {
		return &curriculum.FieldError{Path: "Idempotency-Key", Reason: "given twice", Allowed: "one key"}
	}
	data, err := body(c)
	if err != nil {
		return err
	}
	c.Request.Body = io.NopCloser(bytes.NewReader(data))
	held := &heldAnswer{ResponseWriter: c.Writer, header: http.Header{}}
	kept, repeated, err := s.practice.Once(c.Request.Context(), a, keys[0], requestHash(c.Request, data), func(ctx context.Context) (curriculum.KeptAnswer, error) {
		c.Request, c.Writer = c.Request.WithContext(ctx), held
		if err := handler(c, a); err != nil || op.Secret {
			return curriculum.KeptAnswer{}, err
		}
		return held.kept(), nil
	})
	c.Writer = held.ResponseWriter
	switch {
	case err != nil:
		return err
	case !repeated && op.Secret:
		kept = held.kept()
	case kept.Status == 0:
		return fmt.Errorf("%w: this was done before under the same key; its answer held a secret, which is shown once and not kept", curriculum.ErrConflict)
	}
	for name, value := range map[string]string{"Location": kept.Location, "ETag": kept.ETag} {
		if value != "" {
			c.Header(name, value)
		}
	}
	c.Data(kept.Status, "application/json; charset=utf-8", []byte(kept.Body))
	return nil
}

// requestHash stands for all that a request asks for.
func requestHash(r *http.Request, body []byte) string {
	h := sha256.New()
	for _, part := range []string{r.Method, r.URL.Path, r.URL.RawQuery, mediaType(r)} {
		_, _ = fmt.Fprintf(h, "%d %s\n", len(part), part)
	}
	_, _ = h.Write(body)
	return hex.EncodeToString(h.Sum(nil))
}

// heldAnswer holds an answer back until what it tells of is kept.
type heldAnswer struct {
	gin.ResponseWriter
	header http.Header
	status int
	body   bytes.Buffer
}

// Header, WriteHeader, Write and the others take the place of the client.
func (w *heldAnswer) Header() http.Header               { return w.header }
func (w *heldAnswer) WriteHeader(status int)            { w.status = status }
func (w *heldAnswer) WriteHeaderNow()                   {}
func (w *heldAnswer) Write(data []byte) (int, error)    { return w.body.Write(data) }
func (w *heldAnswer) WriteString(s string) (int, error) { return w.body.WriteString(s) }
func (w *heldAnswer) Status() int                       { return w.status }
func (w *heldAnswer) Size() int                         { return w.body.Len() }
func (w *heldAnswer) Written() bool                     { return w.body.Len() > 0 }

func (w *heldAnswer) kept() curriculum.KeptAnswer {
	return curriculum.KeptAnswer{Status: w.status, Location: w.header.Get("Location"), ETag: w.header.Get("ETag"), Body: w.body.String()}
}
