package openapi

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"halfnut/curriculum"
)

// Parameter is one that a request may carry behind its path.
type Parameter struct {
	Name     string
	Required bool
	// text says that its value is no number.
	text   bool
	schema *jsonschema.Schema
}

// query gathers an operation's query parameters, which stand in it or among the
// components; at is where the operation is.
func (d *Document) query(compiler *jsonschema.Compiler, op node, at string) ([]Parameter, error) {
	var out []Parameter
	for i, p := range list(op, "parameters") {
		where := fmt.Sprintf("%s/parameters/%d", at, i)
		if ref := text(p, "$ref"); ref != "" {
			where = strings.TrimPrefix(ref, "#")
			p = object(object(object(d.tree, "components"), "parameters"), strings.TrimPrefix(ref, "#/components/parameters/"))
		}
		if p["in"] != "query" {
			continue
		}
		schema, err := compiler.Compile(documentURL + "#" + where + "/schema")
		if err != nil {
			return nil, err
		}
		required, _ := p["required"].(bool)
		out = append(out, Parameter{Name: text(p, "name"), Required: required, text: object(p, "schema")["type"] != "integer", schema: schema})
	}
	return out, nil
}

// CheckQuery checks the parameters behind a path. Those that the document does
// not have are no fault: addresses get marks of others on their way.
func (op *Operation) CheckQuery(query url.Values) error {
	var faults []error
	for _, p := range op.Query {
		values := query[p.Name]
		if len(values) == 0 {
			if p.Required {
				faults = append(faults, &curriculum.FieldError{Path: "?" + p.Name, Reason: "missing"})
			}
			continue
		}
		if err := p.check(values); err != nil {
			faults = append(faults, err)
		}
	}
	return errors.Join(faults...)
}

func (p Parameter) check(values []string) error {
	fault := func(reason, allowed string) error {
		return &curriculum.FieldError{Path: "?" + p.Name, Value: values[0], Reason: reason, Allowed: allowed}
	}
	if len(values) > 1 {
		return fault("given twice", "once")
	}
	var v any = values[0]
	if !p.text {
		if strings.Trim(values[0], "0123456789") != "" || values[0] == "" || len(values[0]) > maxNumber {
			return fault("not a number", "a whole number")
		}
		v = json.Number(values[0])
	}
	err := p.schema.Validate(v)
	if err == nil {
		return nil
	}
	var breaks *BodyError
	if err := explain(err); errors.As(err, &breaks) {
		return fault(breaks.Faults[0].Reason, breaks.Faults[0].Allowed)
	}
	return err
}
