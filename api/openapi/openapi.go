package openapi

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

//go:embed document/*.yaml
var parts embed.FS

// Document is the API's contract, ready to serve and to check bodies by. It is
// safe for concurrent use.
type Document struct {
	json       []byte
	tree       map[string]any
	operations map[string]*Operation
}

// Operation is one method at one path.
type Operation struct {
	ID string
	// Public says that nobody needs to be signed in.
	Public bool
	// Roles are those whose session is taken; Scope is what an API token must hold,
	// empty where tokens are not taken.
	Roles []string
	Scope string
	// Query are the parameters that may stand behind the path.
	Query []Parameter
	// Body checks a JSON body; nil where the operation takes none.
	Body *jsonschema.Schema
	// Media are the media types of bodies that are taken, MaxBytes their greatest
	// size: the document's x-max-bytes, or 128 KiB.
	Media    []string
	MaxBytes int64
	// Keyed says that an Idempotency-Key is taken; Secret, the document's
	// x-secret-answer, that the answer to it must not be kept.
	Keyed, Secret bool
}

// Load returns the document that is built in. It fails only where a part is
// faulty, which every test finds.
var Load = sync.OnceValues(func() (*Document, error) {
	tree, err := merge(parts)
	if err != nil {
		return nil, fmt.Errorf("openapi: %w", err)
	}
	d, err := newDocument(tree)
	if err != nil {
		return nil, fmt.Errorf("openapi: %w", err)
	}
	return d, nil
})

// JSON returns the document as JSON.
func (d *Document) JSON() []byte { return d.json }

// Operation returns the operation of a method at a path in the router's
// spelling ("/v1/sets/:id"), or nil.
func (d *Document) Operation(method, path string) *Operation {
	return d.operations[method+" "+path]
}

// Operations returns what the document describes, as "METHOD /path" in the
// router's spelling, sorted.
func (d *Document) Operations() []string { return slices.Sorted(maps.Keys(d.operations)) }

// merge puts the parts into one document: paths and components are gathered,
// and a name given twice is an error.
func merge(files fs.FS) (map[string]any, error) {
	names, err := fs.Glob(files, "document/*.yaml")
	if err != nil {
		return nil, err
	}
	all := map[string]any{}
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		var part map[string]any
		if err := yaml.Unmarshal(data, &part); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		if err := into(all, part, ""); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	return all, nil
}

func into(all, part map[string]any, at string) error {
	for key, value := range part {
		here, there := all[key], at+"/"+key
		inner, isMap := value.(map[string]any)
		outer, wasMap := here.(map[string]any)
		switch {
		case here == nil:
			all[key] = value
		case isMap && wasMap && strings.Count(there, "/") <= 2: // paths and the kinds of components
			if err := into(outer, inner, there); err != nil {
				return err
			}
		default:
			return fmt.Errorf("%s is given twice", there)
		}
	}
	return nil
}

const documentURL = "halfnut:openapi"

func newDocument(tree map[string]any) (*Document, error) {
	data, err := json.Marshal(tree)
	if err != nil {
		return nil, err
	}
	// The compiler wants the numbers as they are written.
	read, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	compiler := jsonschema.NewCompiler()
	compiler.DefaultDraft(jsonschema.Draft2020)
	if err := compiler.AddResource(documentURL, read); err != nil {
		return nil, err
	}
	d := &Document{json: data, tree: tree, operations: map[string]*Operation{}}
	paths, _ := tree["paths"].(map[string]any)
	for path, item := range paths {
		item, _ := item.(map[string]any)
		for method, node := range item {
			node, ok := node.(map[string]any)
			if !ok || method == "parameters" {
				continue
			}
			op, err := operation(node)
			if err != nil {
				return nil, fmt.Errorf("%s %s: %w", method, path, err)
			}
			if op.Query, err = d.query(compiler, node, "/paths/"+escape(path)+"/"+method); err != nil {
				return nil, err
			}
			if slices.Contains(op.Media, MediaJSON) {
				at := documentURL + "#/paths/" + escape(path) + "/" + method + "/requestBody/content/" + escape(MediaJSON) + "/schema"
				if op.Body, err = compiler.Compile(at); err != nil {
					return nil, err
				}
			}
			d.operations[strings.ToUpper(method)+" "+routerPath(path)] = op
		}
	}
	return d, nil
}

// MediaJSON is the media type of most bodies.
const MediaJSON = "application/json"

func operation(node map[string]any) (*Operation, error) {
	op := &Operation{MaxBytes: 128 << 10}
	if most := node["x-max-bytes"]; most != nil {
		n, ok := most.(uint64)
		if !ok {
			return nil, fmt.Errorf("x-max-bytes: %v is no number of bytes", most)
		}
		op.MaxBytes = int64(n)
	}
	op.ID, _ = node["operationId"].(string)
	security, ok := node["security"].([]any)
	if !ok {
		return nil, fmt.Errorf("security is missing; [] means that nobody needs to sign in")
	}
	op.Public = len(security) == 0
	for _, way := range security {
		way, _ := way.(map[string]any)
		for scheme, needs := range way {
			names := texts(needs)
			switch {
			case scheme == "session" && len(names) > 0:
				op.Roles = names
			case scheme == "token" && len(names) == 1:
				op.Scope = names[0]
			default:
				return nil, fmt.Errorf("security: session lists roles, token one scope")
			}
		}
	}
	op.Keyed = slices.ContainsFunc(list(node, "parameters"), func(p map[string]any) bool { return p["$ref"] == keyParameter })
	op.Secret, _ = node["x-secret-answer"].(bool)
	body, _ := node["requestBody"].(map[string]any)
	content, _ := body["content"].(map[string]any)
	op.Media = slices.Sorted(maps.Keys(content))
	return op, nil
}

// keyParameter is how an operation says that it takes an Idempotency-Key.
const keyParameter = "#/components/parameters/idempotency_key"

func texts(v any) []string {
	list, _ := v.([]any)
	out := make([]string, 0, len(list))
	for _, x := range list {
		if s, ok := x.(string); ok {
			out = append(out, s)
		}
	}
	return out
}

// escape writes a key of the document for a JSON pointer in an address.
func escape(key string) string {
	return strings.NewReplacer("~", "~0", "/", "~1", "{", "%7B", "}", "%7D").Replace(key)
}

// routerPath writes /v1/sets/{id} as the router does, /v1/sets/:id.
func routerPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}
