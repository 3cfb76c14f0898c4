package openapi

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"halfnut/curriculum"
)

// Limits of a body beside its size.
const (
	maxDepth    = 32
	maxNumber   = 40  // characters of a number
	maxExponent = 400 // of a number, either way
	maxUnasked  = 64  // values that nothing asks for, before reading ends
)

// BodyError says that a body breaks the document. It unwraps to a
// *curriculum.FieldError for each fault.
type BodyError struct{ Faults []*curriculum.FieldError }

// Error joins the faults.
func (e *BodyError) Error() string { return errors.Join(e.Unwrap()...).Error() }

// Unwrap returns the faults.
func (e *BodyError) Unwrap() []error {
	out := make([]error, len(e.Faults))
	for i, f := range e.Faults {
		out[i] = f
	}
	return out
}

func fault(path, value, reason, allowed string) error {
	if path == "" {
		path = "/"
	}
	return &BodyError{[]*curriculum.FieldError{{Path: path, Value: value, Reason: reason, Allowed: allowed}}}
}

// Check checks a JSON body against the operation's schema and returns it in a
// spelling that encoding/json reads: a whole number written 3.0 or 3e0, which
// JSON Schema counts as an integer, is written 3. What breaks the document gives
// a *BodyError.
func (op *Operation) Check(data []byte) ([]byte, error) {
	schema := op.Body
	if schema == nil {
		schema = anything
	}
	v, data, err := read(data, schema)
	if err != nil {
		return nil, err
	}
	if op.Body == nil {
		return data, nil
	}
	if err := op.Body.Validate(v); err != nil {
		return nil, explain(err)
	}
	return data, nil
}

// reader reads one JSON document token by token.
type reader struct {
	*json.Decoder
	data []byte
	// whole are whole numbers that are not written as such.
	whole []literal
	// unasked counts the values that the schema has no place for.
	unasked int
}

type literal struct {
	from, to int
	text     string
}

// read reads a document and, on the way, refuses what the schema would refuse
// later at a cost that grows with the body: lists that are too long and heaps of
// what nothing asks for.
func read(data []byte, schema *jsonschema.Schema) (any, []byte, error) {
	if !utf8.Valid(data) {
		return nil, nil, fault("", "", "not UTF-8 text", "one JSON document")
	}
	r := &reader{Decoder: json.NewDecoder(bytes.NewReader(data)), data: data}
	r.UseNumber()
	v, err := r.value("", 0, schema)
	if err == nil {
		_, err = r.Token()
		switch {
		case errors.Is(err, io.EOF):
			return v, r.spelled(), nil
		case err == nil:
			err = fault("", "", "more than one document", "one JSON document")
		}
	}
	var body *BodyError
	switch {
	case errors.As(err, &body):
		return nil, nil, err
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, nil, fault("", "", "not JSON: it ends too early", "one JSON document")
	}
	return nil, nil, fault("", "", "not JSON: "+err.Error()+" at byte "+strconv.FormatInt(r.InputOffset(), 10), "one JSON document")
}

// value reads the value that comes next.
func (r *reader) value(path string, depth int, schema *jsonschema.Schema) (any, error) {
	token, err := r.Token()
	if err != nil {
		return nil, err
	}
	switch t := token.(type) {
	case json.Number:
		return t, r.number(path, t)
	case json.Delim:
		if depth == maxDepth {
			return nil, fault("", "", "nested too deeply", "up to "+strconv.Itoa(maxDepth)+" levels")
		}
		if t == '[' {
			return r.list(path, depth+1, shapeOf(schema))
		}
		return r.object(path, depth+1, shapeOf(schema))
	}
	return token, nil
}

func (r *reader) list(path string, depth int, s *jsonschema.Schema) (any, error) {
	out := []any{}
	for r.More() {
		if s.MaxItems != nil && len(out) == *s.MaxItems {
			return nil, fault(path, "", "has more than "+strconv.Itoa(*s.MaxItems)+" entries", "up to "+strconv.Itoa(*s.MaxItems)+" entries")
		}
		if s == nothing && !r.ask() {
			return nil, fault(path, "", "a list that is not asked for", "")
		}
		v, err := r.value(path+"/"+strconv.Itoa(len(out)), depth, s.Items2020)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	_, err := r.Token()
	return out, err
}

func (r *reader) object(path string, depth int, s *jsonschema.Schema) (any, error) {
	out := map[string]any{}
	for r.More() {
		token, err := r.Token()
		if err != nil {
			return nil, err
		}
		key, _ := token.(string)
		at := path + "/" + pointer(key)
		if _, twice := out[key]; twice {
			return nil, fault(at, "", "given twice", "once")
		}
		of, known := s.Properties[key]
		if !known {
			of, known = s.AdditionalProperties.(*jsonschema.Schema)
		}
		if !known && s != anything && !r.ask() {
			return nil, fault(at, "", "one of many unknown fields", "")
		}
		if out[key], err = r.value(at, depth, of); err != nil {
			return nil, err
		}
	}
	_, err := r.Token()
	return out, err
}

// ask counts a value that nothing asks for and reports whether it is read, so
// that a few of them are all told.
func (r *reader) ask() bool {
	r.unasked++
	return r.unasked <= maxUnasked
}

// The shape of what may be anything, and of what is no list and no object.
var anything, nothing = &jsonschema.Schema{}, &jsonschema.Schema{}

// shapeOf follows references and looks through "or null" to what a list or an
// object may hold. Where several could be meant it is anything: they are told
// apart later.
func shapeOf(s *jsonschema.Schema) *jsonschema.Schema {
	for s != nil && s.Ref != nil {
		s = s.Ref
	}
	if s == nil {
		return nothing
	}
	if s == anything || s.Items2020 != nil || s.Properties != nil || s.AdditionalProperties != nil {
		return s
	}
	shape := nothing
	for _, alternative := range slices.Concat(s.AnyOf, s.OneOf, s.AllOf) {
		if of := shapeOf(alternative); of != nothing {
			if shape != nothing {
				return anything
			}
			shape = of
		}
	}
	return shape
}

// number refuses what costs too much and notes a whole number that is not
// written as one.
func (r *reader) number(path string, n json.Number) error {
	text := string(n)
	if len(text) > maxNumber {
		return fault(path, text, "longer than "+strconv.Itoa(maxNumber)+" characters", "a shorter number")
	}
	mantissa, exponent, has := strings.Cut(strings.ToLower(text), "e")
	if has {
		e, err := strconv.Atoi(exponent)
		if err != nil || e > maxExponent || e < -maxExponent {
			return fault(path, text, "the exponent is out of range", "exponents from -"+strconv.Itoa(maxExponent)+" to "+strconv.Itoa(maxExponent))
		}
	}
	if !has && !strings.Contains(mantissa, ".") {
		return nil
	}
	// Up to 2⁵³ a float64 holds every whole number.
	f, err := strconv.ParseFloat(text, 64)
	if whole := int64(f); err == nil && f >= -1<<53 && f <= 1<<53 && float64(whole) == f {
		end := int(r.InputOffset())
		r.whole = append(r.whole, literal{end - len(text), end, strconv.FormatInt(whole, 10)})
	}
	return nil
}

// spelled returns the document with its whole numbers written as such.
func (r *reader) spelled() []byte {
	if len(r.whole) == 0 {
		return r.data
	}
	out := make([]byte, 0, len(r.data))
	at := 0
	for _, w := range r.whole {
		out = append(append(out, r.data[at:w.from]...), w.text...)
		at = w.to
	}
	return append(out, r.data[at:]...)
}

// pointer writes a key for a JSON pointer (RFC 6901).
func pointer(key string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(key)
}
