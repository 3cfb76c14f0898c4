// Package problem turns errors into what a client is told: problem documents
// (RFC 9457), with the field, the value seen and what is allowed, and nothing of
// an error that is not meant for the public.
package problem

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// ContentType is the media type of a problem document.
const ContentType = "application/problem+json"

// Document is a problem document.
type Document struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail,omitempty"`
	// Fields name what is wrong with a request, field by field.
	Fields []Field `json:"fields,omitempty"`
	// RetryAfter is the header of that name, in seconds, where it is known.
	RetryAfter int `json:"-"`
}

// Field is one fault of a request.
type Field struct {
	// Path is a JSON pointer into the request, or a line of an upload.
	Path    string `json:"path"`
	Value   string `json:"value,omitempty"`
	Reason  string `json:"reason,omitempty"`
	Allowed string `json:"allowed,omitempty"`
}

// Faults of a request that only HTTP knows.
var (
	// ErrMediaType says that a body is of a kind that is not taken.
	ErrMediaType = errors.New("media type not taken")
	// ErrNoVersion says that If-Match is missing.
	ErrNoVersion = errors.New("version missing")
)

// kinds are the sentinels in the order in which they are looked for.
var kinds = []struct {
	err    error
	status int
	title  string
}{
	{curriculum.ErrNoSession, http.StatusUnauthorized, "Not signed in"},
	{curriculum.ErrDenied, http.StatusForbidden, "Not allowed"},
	{curriculum.ErrTooMany, http.StatusTooManyRequests, "Too many tries"},
	{curriculum.ErrNotFound, http.StatusNotFound, "Not found"},
	{curriculum.ErrConflict, http.StatusConflict, "In conflict with what is there"},
	{curriculum.ErrUnavailable, http.StatusServiceUnavailable, "The record cannot be reached; nothing was changed"},
	{context.DeadlineExceeded, http.StatusServiceUnavailable, "This took too long"},
	{context.Canceled, http.StatusRequestTimeout, "The client went away"},
	{ErrMediaType, http.StatusUnsupportedMediaType, "Not taken in this form"},
	{ErrNoVersion, http.StatusPreconditionRequired, "Say which version you changed"},
	{curriculum.ErrInvalid, http.StatusUnprocessableEntity, "The request cannot be used"},
}

// Of returns the document for an error.
func Of(err error) Document {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return Document{Type: "about:blank", Title: "Too large", Status: http.StatusRequestEntityTooLarge, Detail: "the body may have at most " + sizeText(tooLarge.Limit)}
	}
	if fields := fieldsOf(err); len(fields) > 0 {
		d := Document{Type: "about:blank", Title: "The request cannot be used", Status: http.StatusUnprocessableEntity, Detail: detail(err), Fields: fields}
		return d
	}
	var text *worksheets.TextError
	var fit *worksheets.FitError
	if errors.As(err, &text) || errors.As(err, &fit) || errors.Is(err, worksheets.ErrEmpty) {
		return Document{Type: "about:blank", Title: "The sheet cannot be printed", Status: http.StatusUnprocessableEntity, Detail: detail(err)}
	}
	for _, k := range kinds {
		if errors.Is(err, k.err) {
			d := Document{Type: "about:blank", Title: k.title, Status: k.status}
			if k.status < 500 {
				d.Detail = detail(err)
			}
			var wait *curriculum.WaitError
			if errors.As(err, &wait) {
				d.RetryAfter = wait.Seconds()
			}
			return d
		}
	}
	return Document{Type: "about:blank", Title: "Something went wrong here", Status: http.StatusInternalServerError}
}

// fieldsOf gathers the field errors of an error tree.
func fieldsOf(err error) []Field {
	switch e := err.(type) {
	case nil:
		return nil
	case *curriculum.FieldError:
		return []Field{{Path: e.Path, Value: short(e.Value), Reason: e.Reason, Allowed: e.Allowed}}
	case *curriculum.IncompleteError:
		var out []Field
		for _, part := range e.Parts {
			out = append(out, Field{Path: "/answers/" + part, Reason: "is empty", Allowed: `an answer, or "partial": true beside the answers`})
		}
		return out
	case *threadmath.DomainError:
		return []Field{{Path: e.Quantity, Value: short(e.Value), Reason: e.Reason, Allowed: e.Range}}
	case interface{ Unwrap() []error }:
		var out []Field
		for _, x := range e.Unwrap() {
			out = append(out, fieldsOf(x)...)
		}
		return out
	case interface{ Unwrap() error }:
		return fieldsOf(e.Unwrap())
	}
	return nil
}

// What is echoed of a request stays short, however long it was.
const (
	longestValue  = 100
	longestDetail = 1000
)

func short(s string) string { return cut(s, longestValue) }

func detail(err error) string { return cut(err.Error(), longestDetail) }

func cut(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most]) + "…"
}

func sizeText(n int64) string {
	const kib = 1 << 10
	b, err := json.Marshal(n / kib)
	if err != nil {
		return "its limit"
	}
	return string(b) + " KiB"
}

// SetHeader sets the headers that belong to the document.
func (d Document) SetHeader(h http.Header) {
	if d.RetryAfter > 0 {
		h.Set("Retry-After", strconv.Itoa(d.RetryAfter))
	}
}

// Write sends the document.
func Write(w http.ResponseWriter, d Document) {
	d.SetHeader(w.Header())
	body, err := json.Marshal(d)
	if err != nil { // strings only: it does not happen
		http.Error(w, d.Title, d.Status)
		return
	}
	w.Header().Set("Content-Type", ContentType)
	w.WriteHeader(d.Status)
	_, _ = w.Write(body)
}
