package threadmath

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strconv"
	"strings"
)

// ParseRequest reads one solve request. A field that the contract does not
// have, a value of the wrong kind or anything after the document gives a
// DomainError.
func ParseRequest(data []byte) (Request, error) {
	var r Request
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return Request{}, requestError(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Request{}, &DomainError{Quantity: "/", Reason: "more than one document"}
	}
	return r, nil
}

func requestError(err error) error {
	var kind *json.UnmarshalTypeError
	var domain *DomainError
	switch {
	case errors.As(err, &domain):
		return domain
	case errors.As(err, &kind):
		return &DomainError{Quantity: "/" + strings.ReplaceAll(kind.Field, ".", "/"), Value: kind.Value, Reason: "wrong kind of value", Range: kind.Type.String()}
	}
	return &DomainError{Quantity: "/", Reason: strings.TrimPrefix(err.Error(), "json: ")}
}

// reader reads the fields of a request one after another and keeps the first
// error, so that newJob reads like the contract.
type reader struct {
	err error
	// system is that of the last quantity read by pitch.
	system System
}

func (r *reader) fail(path, value, reason, allowed string) {
	if r.err == nil {
		r.err = &DomainError{Quantity: path, Value: value, Reason: reason, Range: allowed}
	}
}

// length reads a length above zero; empty text is not known.
func (r *reader) length(path, text string) *Length {
	if text == "" {
		return nil
	}
	l, _, err := ParseLength(text)
	return r.positive(path, text, l, err)
}

// pitch reads what ParsePitch reads, above zero.
func (r *reader) pitch(path, text string) *Length {
	if text == "" {
		return nil
	}
	l, s, err := ParsePitch(text)
	r.system = s
	return r.positive(path, text, l, err)
}

func (r *reader) positive(path, text string, l Length, err error) *Length {
	var d *DomainError
	switch {
	case errors.As(err, &d):
		r.fail(path, text, d.Reason, d.Range)
		return nil
	case l.Sign() <= 0:
		r.fail(path, text, "", "more than 0")
		return nil
	case l.Cmp(longest) > 0 || l.Cmp(shortest) < 0:
		r.fail(path, text, "no size that a lathe meets", shortest.Exact(Metric)+" to "+longest.Exact(Metric))
		return nil
	}
	return &l
}

// Sizes beyond these are slips of the pen; refusing them keeps every float64
// far from overflow.
var (
	longest  = Millimetres(Int(100_000))
	shortest = Millimetres(frac(1, 100_000))
)

// count reads a whole number in [low, high].
func (r *reader) count(path string, c Count, low, high int) int {
	if int(c) < low || int(c) > high {
		r.fail(path, strconv.Itoa(int(c)), "", strconv.Itoa(low)+" to "+strconv.Itoa(high))
		return low
	}
	return int(c)
}

// number checks an optional float64 in [low, high].
func (r *reader) number(path string, f *float64, low, high float64) *float64 {
	if f != nil && !(*f >= low && *f <= high) {
		r.fail(path, formatFloat(*f), "", formatFloat(low)+" to "+formatFloat(high))
		return nil
	}
	return f
}

func formatFloat(f float64) string { return strconv.FormatFloat(f, 'g', 9, 64) }

// approxText writes mm in the system's unit with nine digits.
func approxText(mm float64, s System) string {
	return formatFloat(ApproxDimension(mm).Value(s)) + " " + s.String()
}
