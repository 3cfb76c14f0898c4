package openapi

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/santhosh-tekuri/jsonschema/v6/kind"

	"halfnut/curriculum"
)

// maxFaults bounds how many faults of one body are told.
const maxFaults = 20

// explain turns a validator's error into faults, each with the field's path,
// the value seen where it is short, and what is allowed.
func explain(err error) error {
	var v *jsonschema.ValidationError
	if !errors.As(err, &v) {
		return err
	}
	var out []*curriculum.FieldError
	leaves(v, &out)
	slices.SortStableFunc(out, func(a, b *curriculum.FieldError) int { return strings.Compare(a.Path, b.Path) })
	out = slices.CompactFunc(out, func(a, b *curriculum.FieldError) bool { return *a == *b })
	return &BodyError{out[:min(len(out), maxFaults)]}
}

func leaves(v *jsonschema.ValidationError, out *[]*curriculum.FieldError) {
	switch v.ErrorKind.(type) {
	case *kind.AnyOf, *kind.OneOf:
		leaves(closest(v.Causes), out)
		return
	}
	if len(v.Causes) > 0 {
		for _, c := range v.Causes {
			leaves(c, out)
		}
		return
	}
	*out = append(*out, faults(v)...)
}

// closest returns the alternative that the value came nearest to: the one
// whose fault lies deepest, so that "or null" does not hide what is wrong.
func closest(causes []*jsonschema.ValidationError) *jsonschema.ValidationError {
	return slices.MaxFunc(causes, func(a, b *jsonschema.ValidationError) int { return reach(a) - reach(b) })
}

func reach(v *jsonschema.ValidationError) int {
	deepest := 2 * len(v.InstanceLocation)
	if _, wrongType := v.ErrorKind.(*kind.Type); !wrongType {
		deepest++
	}
	for _, c := range v.Causes {
		deepest = max(deepest, reach(c))
	}
	return deepest
}

func faults(v *jsonschema.ValidationError) []*curriculum.FieldError {
	at := ""
	for _, key := range v.InstanceLocation {
		at += "/" + pointer(key)
	}
	one := func(value, reason, allowed string) []*curriculum.FieldError {
		path := at
		if path == "" {
			path = "/"
		}
		return []*curriculum.FieldError{{Path: path, Value: value, Reason: reason, Allowed: allowed}}
	}
	var out []*curriculum.FieldError
	switch k := v.ErrorKind.(type) {
	case *kind.Required:
		for _, name := range k.Missing {
			out = append(out, &curriculum.FieldError{Path: at + "/" + pointer(name), Reason: "missing"})
		}
		return out
	case *kind.AdditionalProperties:
		for _, name := range k.Properties {
			out = append(out, &curriculum.FieldError{Path: at + "/" + pointer(name), Reason: "unknown field"})
		}
		return out
	case *kind.Type:
		return one("", "is "+typeName(k.Got), joined(k.Want, typeName))
	case *kind.Enum:
		return one(written(k.Got), "not one of the choices", joined(k.Want, written))
	case *kind.Const:
		return one(written(k.Got), "", written(k.Want))
	case *kind.MinLength:
		return one("", tooShort(k.Got), atLeast(k.Want, "characters"))
	case *kind.MaxLength:
		return one("", fmt.Sprintf("has %d characters", k.Got), fmt.Sprintf("up to %d characters", k.Want))
	case *kind.MinItems:
		return one("", tooShort(k.Got), atLeast(k.Want, "entries"))
	case *kind.MaxItems:
		return one("", fmt.Sprintf("has %d entries", k.Got), fmt.Sprintf("up to %d entries", k.Want))
	case *kind.MinProperties:
		return one("", tooShort(k.Got), atLeast(k.Want, "fields"))
	case *kind.MaxProperties:
		return one("", fmt.Sprintf("has %d fields", k.Got), fmt.Sprintf("up to %d fields", k.Want))
	case *kind.Minimum:
		return one(number(k.Got), "", number(k.Want)+" or more")
	case *kind.Maximum:
		return one(number(k.Got), "", number(k.Want)+" or less")
	case *kind.ExclusiveMinimum:
		return one(number(k.Got), "", "more than "+number(k.Want))
	case *kind.ExclusiveMaximum:
		return one(number(k.Got), "", "less than "+number(k.Want))
	case *kind.Pattern:
		// Not what was typed: patterns stand at PINs.
		return one("", "not in the form that is asked for", k.Want)
	}
	return one("", "does not fit", "")
}

// typeNames are JSON's types in words.
var typeNames = map[string]string{
	"null": "null", "boolean": "true or false", "number": "a number", "integer": "a whole number", "string": "text", "array": "a list", "object": "an object",
}

func typeName(t string) string { return typeNames[t] }

func joined[T any](vs []T, text func(T) string) string {
	out := make([]string, len(vs))
	for i, v := range vs {
		out[i] = text(v)
	}
	return strings.Join(out, ", ")
}

// written writes a value of an enumeration as it stands in JSON, text without
// quotes.
func written(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case string:
		return v
	case []any:
		return "a list"
	case map[string]any:
		return "an object"
	}
	return fmt.Sprint(v)
}

func tooShort(got int) string {
	if got == 0 {
		return "is empty"
	}
	return "has " + strconv.Itoa(got)
}

func atLeast(n int, of string) string { return fmt.Sprintf("%d or more %s", n, of) }

func number(r *big.Rat) string {
	f, _ := r.Float64()
	return strconv.FormatFloat(f, 'g', 9, 64)
}
