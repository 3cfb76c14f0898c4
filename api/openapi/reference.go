package openapi

import (
	"maps"
	"slices"
	"strings"
)

// Reference is the document as people read it: its operations by topic, and the
// things that they take and give.
type Reference struct {
	Description string
	Topics      []Topic
	Schemas     []Schema
}

// Topic is a tag with its operations, in the order of their paths.
type Topic struct {
	Name, Description string
	Operations        []Described
}

// Described is an operation in words.
type Described struct {
	ID, Method, Path, Summary, Description string
	// Who lists the roles that may ask, empty for everybody; Scope is what an API
	// token needs, empty where none will do.
	Who   []string
	Scope string
	// Parameters stand in the path, the query or a header; Body and Answers say
	// what is sent and what comes back.
	Parameters    []Member
	Body, Answers []Medium
}

// Medium is a body or an answer of one media type.
type Medium struct {
	Status, Type, Of string
	// Schema is the name of the schema, for a link; empty where it has none.
	Schema string
}

// Schema is one thing with its members.
type Schema struct {
	Name, Description string
	Members           []Member
}

// Member is a field or a parameter.
type Member struct {
	Name, In, Type, Schema, Description string
	Required                            bool
}

// node is a part of the document.
type node = map[string]any

// Reference reads the document for people.
func (d *Document) Reference() Reference {
	tree := d.tree
	r := Reference{Description: text(object(tree, "info"), "description")}
	at := map[string]int{}
	for _, t := range list(tree, "tags") {
		at[text(t, "name")] = len(r.Topics)
		r.Topics = append(r.Topics, Topic{Name: text(t, "name"), Description: text(t, "description")})
	}
	components := object(tree, "components")
	paths := object(tree, "paths")
	for _, path := range slices.Sorted(maps.Keys(paths)) {
		item := object(paths, path)
		for _, method := range []string{"get", "post", "put", "delete"} {
			op := object(item, method)
			if op == nil {
				continue
			}
			x := described(components, op, list(item, "parameters"))
			x.Method, x.Path = strings.ToUpper(method), path
			for _, tag := range texts(op["tags"]) {
				topic := &r.Topics[at[tag]]
				topic.Operations = append(topic.Operations, x)
			}
		}
	}
	schemas := object(components, "schemas")
	for _, name := range slices.Sorted(maps.Keys(schemas)) {
		s := object(schemas, name)
		r.Schemas = append(r.Schemas, Schema{Name: name, Description: text(s, "description"), Members: members(s)})
	}
	return r
}

func described(components, op node, shared []node) Described {
	x := Described{ID: text(op, "operationId"), Summary: text(op, "summary"), Description: text(op, "description")}
	for _, s := range list(op, "security") {
		x.Who = append(x.Who, texts(s["session"])...)
		if scopes := texts(s["token"]); len(scopes) > 0 {
			x.Scope = scopes[0]
		}
	}
	for _, p := range append(slices.Clone(shared), list(op, "parameters")...) {
		p = resolved(components, p)
		m := member(text(p, "name"), object(p, "schema"))
		m.In, m.Required = text(p, "in"), p["required"] == true
		if d := text(p, "description"); d != "" {
			m.Description = d
		}
		x.Parameters = append(x.Parameters, m)
	}
	x.Body = media("", object(op, "requestBody"))
	answers := object(op, "responses")
	for _, status := range slices.Sorted(maps.Keys(answers)) {
		answer := object(answers, status)
		if answer["$ref"] != nil {
			continue // problems, said once at the top
		}
		ms := media(status, answer)
		if ms == nil {
			ms = []Medium{{Status: status}}
		}
		x.Answers = append(x.Answers, ms...)
	}
	return x
}

func media(status string, n node) []Medium {
	content := object(n, "content")
	var out []Medium
	for _, mediaType := range slices.Sorted(maps.Keys(content)) {
		m := member("", object(object(content, mediaType), "schema"))
		out = append(out, Medium{Status: status, Type: mediaType, Of: m.Type, Schema: m.Schema})
	}
	return out
}

func members(s node) []Member {
	properties := object(s, "properties")
	required := texts(s["required"])
	var out []Member
	for _, name := range slices.Sorted(maps.Keys(properties)) {
		m := member(name, object(properties, name))
		m.Required = slices.Contains(required, name)
		out = append(out, m)
	}
	return out
}

// member says what a schema is in a few words: "list of Mark", "text or null".
func member(name string, s node) Member {
	m := Member{Name: name, Description: text(s, "description")}
	m.Type, m.Schema = kindOf(s)
	return m
}

var plainKinds = map[string]string{"string": "text", "integer": "whole number", "number": "number", "boolean": "true or false", "null": "null", "object": "object"}

func kindOf(s node) (words, schema string) {
	if ref := text(s, "$ref"); ref != "" {
		name := ref[strings.LastIndexByte(ref, '/')+1:]
		return name, name
	}
	if choices := list(s, "anyOf"); len(choices) > 0 {
		var all []string
		for _, a := range choices {
			w, n := kindOf(a)
			all = append(all, w)
			if n != "" {
				schema = n
			}
		}
		return strings.Join(all, " or "), schema
	}
	if values, ok := s["enum"].([]any); ok {
		return "one of " + strings.Join(texts(values), ", "), ""
	}
	switch t := text(s, "type"); t {
	case "array":
		w, n := kindOf(object(s, "items"))
		return "list of " + w, n
	case "object":
		if of := object(s, "additionalProperties"); of != nil {
			w, n := kindOf(of)
			return "object of " + w, n
		}
		if names := members(s); len(names) > 0 && text(s, "description") == "" {
			fields := make([]string, len(names))
			for i, f := range names {
				fields[i] = f.Name + ": " + f.Type
				if f.Schema != "" {
					schema = f.Schema
				}
			}
			return "object of " + strings.Join(fields, ", "), schema
		}
		return "object", ""
	default:
		if w, ok := plainKinds[t]; ok {
			return w, ""
		}
		return "any value", ""
	}
}

// resolved follows a reference into the components.
func resolved(components, n node) node {
	ref := text(n, "$ref")
	if ref == "" {
		return n
	}
	parts := strings.Split(strings.TrimPrefix(ref, "#/components/"), "/")
	for _, p := range parts {
		components = object(components, p)
	}
	return components
}

func object(n node, key string) node {
	o, _ := n[key].(map[string]any)
	return o
}

func text(n node, key string) string {
	t, _ := n[key].(string)
	return t
}

func list(n node, key string) []node {
	all, _ := n[key].([]any)
	var out []node
	for _, x := range all {
		if o, ok := x.(map[string]any); ok {
			out = append(out, o)
		}
	}
	return out
}
