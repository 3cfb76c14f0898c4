package threadmath

import (
	"bytes"
	"encoding/json"
	"errors"
	"reflect"
	"strconv"
	"strings"
)

// Limits on the texts of a document: what is echoed or kept stays short.
const (
	maxText  = 200
	maxCount = 1_000_000_000
)

// ParseRequest reads one solve request. What is not JSON, a field that the
// contract does not have, a field given twice, a value of the wrong kind, empty
// text and anything after the document give a DomainError whose Quantity is the
// JSON pointer of the field ("/lathe/thread_dials/0/teeth"), or "request" where
// the document as a whole cannot be read. Null means the same as an absent
// field, except in a list.
func ParseRequest(data []byte) (Request, error) {
	var q Request
	return q, parseDocument("request", data, &q)
}

// ParseLathe reads one lathe profile, the lathe part of a request, under
// ParseRequest's rules, and checks it as Solve would; pointers start at the
// profile ("/thread_dials/0/teeth").
func ParseLathe(data []byte) (Lathe, error) {
	var l Lathe
	if err := parseDocument("lathe", data, &l); err != nil {
		return Lathe{}, err
	}
	return l, l.Check()
}

// UnmarshalJSON reads a request under the rules of ParseRequest.
func (q *Request) UnmarshalJSON(data []byte) error {
	return unmarshal(data, reflect.ValueOf(q).Elem())
}

// UnmarshalJSON reads a lathe under the rules of ParseLathe, without its check.
func (l *Lathe) UnmarshalJSON(data []byte) error {
	return unmarshal(data, reflect.ValueOf(l).Elem())
}

// parseDocument unmarshals data into v and names the document in errors that
// belong to no field.
func parseDocument(name string, data []byte, v json.Unmarshaler) error {
	err := json.Unmarshal(data, v)
	var domain *DomainError
	var syntax *json.SyntaxError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &domain):
		if domain.Quantity == "" {
			domain.Quantity = name // the document itself is of the wrong kind
		}
		return domain
	case errors.As(err, &syntax):
		return &DomainError{Quantity: name, Reason: "not JSON: " + syntax.Error() + " at byte " + strconv.FormatInt(syntax.Offset, 10), Range: "one JSON document"}
	}
	return &DomainError{Quantity: name, Reason: err.Error(), Range: "one JSON document"}
}

// unmarshal fills v from one valid JSON value. It walks document and type side
// by side, so that every refusal knows its path; encoding/json forgets it
// inside lists and for unknown fields.
func unmarshal(data []byte, v reflect.Value) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	token, err := d.Token()
	if err != nil || token == nil {
		return err // null leaves v as it is, as encoding/json asks
	}
	return document{d}.fill(v, token, "")
}

// document reads a JSON document token by token.
type document struct{ *json.Decoder }

// fill sets v from the value that begins with token.
func (d document) fill(v reflect.Value, token json.Token, path string) error {
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	wrong := func(allowed string) error {
		value, reason := describe(token)
		return &DomainError{Quantity: path, Value: value, Reason: reason, Range: allowed}
	}
	number, isNumber := token.(json.Number)
	if isNumber && len(number) > maxNumberLength {
		return &DomainError{Quantity: path, Value: string(number), Reason: "longer than 40 characters", Range: "a number"}
	}
	text, isText := token.(string)
	if isText && (text == "" || len(text) > maxText) {
		reason := "empty text"
		if text != "" {
			reason = "text too long"
		}
		return &DomainError{Quantity: path, Value: text, Reason: reason, Range: "1 to " + strconv.Itoa(maxText) + " bytes, or no such field"}
	}

	switch {
	case v.Type() == reflect.TypeFor[Fraction]():
		if isNumber {
			text = string(number)
		} else if !isText {
			return wrong(`a number, or a fraction as text such as "10/3"`)
		}
		v.SetString(text)
	case v.Kind() == reflect.String:
		if !isText {
			return wrong(`text; a quantity is text with its unit, such as "2 mm" or "10 tpi"`)
		}
		v.SetString(text)
	case v.Kind() == reflect.Int:
		n, ok := wholeNumber(string(number))
		if !isNumber || !ok {
			return wrong("a whole number")
		}
		v.SetInt(n)
	case v.Kind() == reflect.Float64:
		f, err := strconv.ParseFloat(string(number), 64)
		if !isNumber || err != nil {
			return wrong("a number")
		}
		v.SetFloat(f)
	case v.Kind() == reflect.Bool:
		b, ok := token.(bool)
		if !ok {
			return wrong("true or false")
		}
		v.SetBool(b)
	case v.Kind() == reflect.Slice:
		if token != json.Delim('[') {
			return wrong("a list")
		}
		return d.list(v, path)
	default:
		if token != json.Delim('{') {
			return wrong("an object")
		}
		return d.object(v, path)
	}
	return nil
}

// list fills a slice with the entries up to the closing bracket.
func (d document) list(v reflect.Value, path string) error {
	v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	for i := 0; d.More(); i++ {
		if i == maxListed {
			return &DomainError{Quantity: path, Value: "more than " + strconv.Itoa(maxListed) + " entries", Range: "up to " + strconv.Itoa(maxListed)}
		}
		token, err := d.Token()
		if err != nil {
			return err
		}
		entry := reflect.New(v.Type().Elem()).Elem()
		if err := d.fill(entry, token, path+"/"+strconv.Itoa(i)); err != nil {
			return err
		}
		v.Set(reflect.Append(v, entry))
	}
	_, err := d.Token()
	return err
}

// object fills a struct with the members up to the closing brace.
func (d document) object(v reflect.Value, path string) error {
	var seen uint64 // by field: no struct of a request has more than 64
	for d.More() {
		token, err := d.Token()
		if err != nil {
			return err
		}
		key, _ := token.(string)
		at := path + "/" + strings.NewReplacer("~", "~0", "/", "~1").Replace(key)
		i, known := member(v.Type(), key)
		if !known {
			return &DomainError{Quantity: at, Reason: "unknown field", Range: members(v.Type())}
		}
		if seen&(1<<i) != 0 {
			return &DomainError{Quantity: at, Reason: "given twice", Range: "once"}
		}
		seen |= 1 << i
		if token, err = d.Token(); err != nil {
			return err
		}
		if token == nil {
			continue
		}
		if err := d.fill(v.Field(i), token, at); err != nil {
			return err
		}
	}
	_, err := d.Token()
	return err
}

// member returns the index of the field that JSON calls key.
func member(t reflect.Type, key string) (int, bool) {
	for i := range t.NumField() {
		if name := memberName(t, i); name == key {
			return i, true
		}
	}
	return 0, false
}

func memberName(t reflect.Type, i int) string {
	name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
	return name
}

func members(t reflect.Type) string {
	names := make([]string, t.NumField())
	for i := range names {
		names[i] = memberName(t, i)
	}
	return strings.Join(names, ", ")
}

// describe names a value of the wrong kind.
func describe(token json.Token) (value, reason string) {
	switch t := token.(type) {
	case nil:
		return "null", "nothing given"
	case json.Number:
		return string(t), "not what belongs here"
	case string:
		return t, "text"
	case bool:
		return strconv.FormatBool(t), "not what belongs here"
	case json.Delim:
		if t == '[' {
			return "[…]", "a list"
		}
	}
	return "{…}", "an object"
}

// wholeNumber reads a JSON number that is whole, such as 3 or 3.0, within ±10⁹.
func wholeNumber(s string) (int64, bool) {
	r, err := ParseRatio(s)
	n, whole := r.Int64()
	return n, err == nil && whole && n <= maxCount && n >= -maxCount
}
