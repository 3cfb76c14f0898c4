package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/getkin/kin-openapi/routers"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/api/openapi"
	"halfnut/api/problem"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/threadmath"
)

// contract is the document as a library that others keep reads it, so that what
// is tested is not our own reading. Schemas of answers are closed: a field that
// the document does not have fails.
var contract = sync.OnceValues(func() (*openapi3.T, error) {
	d, err := openapi.Load()
	if err != nil {
		return nil, err
	}
	loader := openapi3.NewLoader()
	doc, err := loader.LoadFromData(d.JSON())
	if err != nil {
		return nil, err
	}
	if err := doc.Validate(loader.Context); err != nil {
		return nil, err
	}
	closed := false
	for _, s := range doc.Components.Schemas {
		if s.Value.Properties != nil && s.Value.AdditionalProperties.Has == nil {
			s.Value.AdditionalProperties = openapi3.AdditionalProperties{Has: &closed}
		}
	}
	for _, media := range []string{"application/pdf", "application/gzip", "text/html", "text/calendar", "text/csv"} {
		openapi3filter.RegisterBodyDecoder(media, openapi3filter.FileBodyDecoder)
	}
	return doc, nil
})

// TestContractAndRoutesAgree: every route is in the document and the other way
// round, and the document is sound by a validator of others.
func TestContractAndRoutesAgree(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	d, err := openapi.Load()
	require.NoError(t, err)
	var routes []string
	for _, r := range api.Routes() {
		routes = append(routes, r.Method+" "+r.Path)
	}
	slices.Sort(routes)
	assert.Equal(t, routes, d.Operations(), "routes() in server.go and the document under openapi/document differ")
	ids := map[string]bool{}
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			where := method + " " + path
			assert.NotEmpty(t, op.Summary, where)
			assert.NotEmpty(t, op.Tags, where)
			assert.False(t, ids[op.OperationID], "%s: operationId %q stands twice", where, op.OperationID)
			ids[op.OperationID] = true
			for _, tag := range op.Tags {
				assert.NotNil(t, doc.Tags.Get(tag), "%s: tag %q is not declared", where, tag)
			}
		}
	}
}

// TestContractBoundsEveryBody: whatever a body may hold is bounded, text, lists
// and whole numbers, and no object takes fields that it does not name.
func TestContractBoundsEveryBody(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	for path, item := range doc.Paths.Map() {
		for method, op := range item.Operations() {
			if op.RequestBody == nil {
				continue
			}
			media := op.RequestBody.Value.Content.Get("application/json")
			if media == nil {
				continue
			}
			seen := map[*openapi3.Schema]bool{}
			var walk func(s *openapi3.Schema, at string)
			walk = func(s *openapi3.Schema, at string) {
				if seen[s] {
					return
				}
				seen[s] = true
				if s.Type.Includes("string") && s.Enum == nil && s.Pattern == "" && s.Format == "" {
					assert.NotNil(t, s.MaxLength, "%s: text without maxLength", at)
				}
				if s.Type.Includes("array") {
					assert.NotNil(t, s.MaxItems, "%s: list without maxItems", at)
					walk(s.Items.Value, at+"/0")
				}
				if s.Type.Includes("integer") {
					assert.True(t, s.Min != nil && s.Max != nil, "%s: whole number without minimum and maximum", at)
				}
				if s.Type.Includes("object") {
					has := s.AdditionalProperties.Has
					named := s.AdditionalProperties.Schema
					assert.True(t, has != nil && !*has || named != nil && s.MaxProps != nil, "%s: object that takes any field", at)
					if named != nil {
						walk(named.Value, at+"/*")
					}
				}
				for name, p := range s.Properties {
					walk(p.Value, at+"/"+name)
				}
				for _, sub := range slices.Concat(s.AnyOf, s.OneOf, s.AllOf) {
					walk(sub.Value, at)
				}
			}
			walk(media.Schema.Value, method+" "+path)
		}
	}
}

// TestContractNamesEveryField compares components with the types that are
// encoded: the same fields, and required where the type always writes them.
func TestContractNamesEveryField(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	for name, of := range map[string]reflect.Type{
		"SolveRequest":  reflect.TypeFor[threadmath.Request](),
		"SolveAnswer":   reflect.TypeFor[threadmath.Answer](),
		"Problem":       reflect.TypeFor[problem.Document](),
		"Skill":         reflect.TypeFor[curriculum.Skill](),
		"Workshop":      reflect.TypeFor[curriculum.Workshop](),
		"Lathe":         reflect.TypeFor[curriculum.Lathe](),
		"Person":        reflect.TypeFor[curriculum.Person](),
		"Class":         reflect.TypeFor[curriculum.Class](),
		"Learner":       reflect.TypeFor[curriculum.Learner](),
		"ClassSet":      reflect.TypeFor[curriculum.ClassSet](),
		"Variant":       reflect.TypeFor[curriculum.Variant](),
		"Attempt":       reflect.TypeFor[curriculum.Attempt](),
		"Actor":         reflect.TypeFor[practice.Actor](),
		"MarkTable":     reflect.TypeFor[practice.MarkTable](),
		"Sheet":         reflect.TypeFor[practice.Sheet](),
		"Result":        reflect.TypeFor[practice.Result](),
		"PaperAnswer":   reflect.TypeFor[practice.PaperAnswer](),
		"Standing":      reflect.TypeFor[practice.Standing](),
		"MasteryMap":    reflect.TypeFor[practice.MasteryMap](),
		"PracticePlan":  reflect.TypeFor[curriculum.PracticePlan](),
		"CoursePlan":    reflect.TypeFor[curriculum.CoursePlan](),
		"Forecast":      reflect.TypeFor[practice.Forecast](),
		"Overrule":      reflect.TypeFor[curriculum.Overrule](),
		"LatheToday":    reflect.TypeFor[practice.LatheToday](),
		"APIToken":      reflect.TypeFor[curriculum.APIToken](),
		"Erasure":       reflect.TypeFor[curriculum.Erasure](),
		"LearnerRecord": reflect.TypeFor[curriculum.LearnerRecord](),
		"SignOffState":  reflect.TypeFor[practice.SignOffState](),
		"LatheProofs":   reflect.TypeFor[practice.LatheProofs](),
		"Work":          reflect.TypeFor[curriculum.Work](),
		"Event":         reflect.TypeFor[curriculum.Event](),
	} {
		s := doc.Components.Schemas[name]
		if assert.NotNil(t, s, name) {
			sameFields(t, map[reflect.Type]bool{}, name, s.Value, of)
		}
	}
}

var marshaler = reflect.TypeFor[json.Marshaler]()

func sameFields(t *testing.T, seen map[reflect.Type]bool, at string, s *openapi3.Schema, of reflect.Type) {
	t.Helper()
	for {
		switch {
		case of.Kind() == reflect.Pointer:
			of = of.Elem()
			continue
		case of.Kind() == reflect.Slice && s.Items != nil:
			s, of = s.Items.Value, of.Elem()
			continue
		case of.Kind() == reflect.Map && s.AdditionalProperties.Schema != nil:
			s, of = s.AdditionalProperties.Schema.Value, of.Elem()
			continue
		case len(s.AnyOf) > 0:
			s = s.AnyOf[0].Value
			continue
		}
		break
	}
	if of.Kind() != reflect.Struct || of.Implements(marshaler) || seen[of] {
		return
	}
	seen[of] = true
	var fields, required []string
	for _, f := range reflect.VisibleFields(of) { // those of embedded types too
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			continue
		}
		fields = append(fields, name)
		if !strings.Contains(options, "omit") {
			required = append(required, name)
		}
		if p := s.Properties[name]; p != nil {
			sameFields(t, seen, at+"/"+name, p.Value, f.Type)
		}
	}
	documented := make([]string, 0, len(s.Properties))
	for name := range s.Properties {
		documented = append(documented, name)
	}
	assert.ElementsMatch(t, fields, documented, "%s: fields of %s", at, of)
	assert.ElementsMatch(t, required, s.Required, "%s: required fields of %s", at, of)
}

// tester is a test, or one check of a property.
type tester interface {
	require.TestingT
	Helper()
	Context() context.Context
}

// judge checks one exchange against the document: what the document refuses is
// refused, what it accepts is not refused for its form, and the answer is one
// that it describes. It returns whether all of that is so.
func judge(t tester, r *http.Request, body []byte, status int, header http.Header, answer []byte) bool {
	t.Helper()
	doc, err := contract()
	require.NoError(t, err)
	route, params := find(doc, r)
	if route == nil {
		return true // a page, or no such address
	}
	ctx := t.Context()
	request := r.Clone(ctx)
	request.URL = &url.URL{Path: r.URL.Path, RawQuery: r.URL.RawQuery}
	request.Body = io.NopCloser(bytes.NewReader(body))
	if len(body) > 0 && request.Header.Get("Content-Type") == "" {
		request.Header.Set("Content-Type", "application/json")
	}
	input := &openapi3filter.RequestValidationInput{
		Request: request, PathParams: params, Route: route,
		Options: &openapi3filter.Options{AuthenticationFunc: openapi3filter.NoopAuthenticationFunc, IncludeResponseStatus: true},
	}
	ok := true
	refused := openapi3filter.ValidateRequest(ctx, input)
	where := r.Method + " " + r.URL.Path
	if refused != nil {
		ok = assert.True(t, status >= 400 && status < 500, "%s: the document refuses the request, the service answers %d: %v", where, status, refused)
	} else if status >= 400 {
		var d problem.Document
		require.NoError(t, json.Unmarshal(answer, &d), where)
		ok = assert.False(t, d.Type == "/reference#body" && !strictness(d) && !underflows(body), "%s: the document accepts the request, the service does not: %s", where, answer)
	}
	return assert.NoError(t, openapi3filter.ValidateResponse(ctx, &openapi3filter.ResponseValidationInput{
		RequestValidationInput: input, Status: status, Header: header, Body: io.NopCloser(bytes.NewReader(answer)), Options: input.Options,
	}), "%s: the answer is not the document's", where) && ok
}

// strictness reports faults that the document tells in words, since JSON Schema
// has none for them.
func strictness(d problem.Document) bool {
	for _, f := range d.Fields {
		for _, words := range []string{ // kept in step with openapi.BodyError
			"given twice", "longer than", "exponent", "nested too deeply", "not UTF-8", "more than one document"} {
			if strings.Contains(f.Reason, words) {
				return true
			}
		}
	}
	return false
}

// underflows reports whether a body holds a number that the library that judges
// takes for 0, and so for a whole one, which it is not.
func underflows(body []byte) bool { return bytes.Contains(body, []byte("-1e-400")) }

// find returns the document's route of a request.
func find(doc *openapi3.T, r *http.Request) (*routers.Route, map[string]string) {
	parts := strings.Split(r.URL.EscapedPath(), "/")
	for path, item := range doc.Paths.Map() {
		op := item.GetOperation(r.Method)
		pattern := strings.Split(path, "/")
		if op == nil || len(pattern) != len(parts) {
			continue
		}
		params := map[string]string{}
		fits := true
		for i, p := range pattern {
			if name, ok := strings.CutPrefix(p, "{"); ok {
				params[strings.TrimSuffix(name, "}")], _ = url.PathUnescape(parts[i])
				continue
			}
			fits = fits && p == parts[i]
		}
		if fits {
			return &routers.Route{Spec: doc, Path: path, PathItem: item, Method: r.Method, Operation: op}, params
		}
	}
	return nil, nil
}
