package api_test

import (
	"context"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/api/openapi"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// TestOddRequests sends requests made from the document to every operation:
// those it accepts, those that nearly fit, and hostile ones, in path, query,
// headers and body. None is a fault of the service (5xx); what the document
// refuses is refused, what it accepts is not refused for its form; and every
// answer is one that the document describes (judge). A failure is shrunk; the
// run is repeated with the -rapid.seed that it prints. More than the sample of 20
// for each operation with
//
//	go test ./api -run TestOddRequests -rapid.checks 1000 -timeout 2h
func TestOddRequests(t *testing.T) {
	t.Parallel()
	doc, err := contract()
	require.NoError(t, err)
	d, err := openapi.Load()
	require.NoError(t, err)
	s := newFuzzed(t)
	var sent, taken int
	for _, name := range d.Operations() {
		method, path, _ := strings.Cut(name, " ")
		op := d.Operation(method, path)
		described, item := operationOf(doc, op.ID)
		t.Run(name, func(t *testing.T) {
			token := s.tokenFor(t, op)
			rapid.Check(t, func(rt *rapid.T) {
				status := s.oddRequest(rt, method, path, token, described, item)
				sent++
				if status < 300 {
					taken++
				}
			})
		})
	}
	t.Logf("%d requests, %d of them carried out", sent, taken)
	assert.Greater(t, taken, sent/20, "odd, but not so odd that nothing is looked at")
}

// fuzzed is a service with one of everything, to be named in requests.
type fuzzed struct {
	*service
	ids   map[string][]string // by what stands before them in a path
	words []string            // texts that mean something
}

func newFuzzed(t *testing.T) *fuzzed {
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	f := &fuzzed{service: start(t, db), ids: map[string][]string{}}
	ctx := t.Context()
	session, err := f.PlanShop(ctx, f.instructor, f.class.ID, f.class.Created, curriculum.ShopSpec{Title: "Turns", Lathes: []string{f.lathe.ID}, CheckMinutes: 5})
	require.NoError(t, err)
	steward, _, err := f.AddPerson(ctx, f.instructor, "Door", curriculum.RoleSteward)
	require.NoError(t, err)
	tries, err := f.EnterPaper(ctx, f.instructor, f.set.ID, []practice.PaperAnswer{{Variant: f.variants[1].Code, Position: 1, Answers: map[string]string{"a": "997 mm"}}})
	require.NoError(t, err)
	token, _, err := f.NewToken(ctx, f.instructor, "To be revoked", curriculum.Scopes[0], 3)
	require.NoError(t, err)
	f.ids = map[string][]string{
		"classes": {f.class.ID}, "lathes": {f.lathe.ID}, "sets": {f.set.ID}, "shop-sessions": {session.ID}, "people": {steward.ID}, "attempts": {tries[0].ID}, "tokens": {token.ID},
		"sheets": {f.variants[0].Code, f.variants[1].Code}, "joining": {f.class.JoiningCode},
		"learners": {f.variants[0].Learner, f.variants[1].Learner}, "jobs": {f.variants[0].Learner}, "operation": {"turning", "single-start", "multi-start"},
	}
	f.words = []string{"a", "b", "2 mm", "1/8 in", "0.3937 in", "Tr 24x10 P5", "M24xPh6P2-6g", "1-10 UN 3 START", "7/3", "-1 mm", "1e400 mm", "0 mm", "NaN", "lead", "pick-up", "index-angle",
		"right", "wrong-rule", "steward", "instructor", "theory", "turning", "done", "mm", "in", "chuck-jaws", "brass", "Europe/Prague", "2026-03-02T18:00:00Z", "2026-02-30", uuid.NewString()}
	for _, ids := range f.ids {
		f.words = append(f.words, ids...)
	}
	slices.Sort(f.words)
	return f
}

// tokenFor signs in somebody whom the operation takes, anew for each operation:
// some of them end sessions. What requests put to an end goes on.
func (s *fuzzed) tokenFor(t *testing.T, op *openapi.Operation) string {
	ctx := t.Context()
	// A request may have ended the class, or made another joining code.
	class, err := s.ReopenClass(ctx, s.instructor, s.class.ID)
	require.NoError(t, err)
	s.class, s.ids["joining"] = class, []string{class.JoiningCode}
	_, err = s.PutBackInUse(ctx, s.instructor, s.lathe.ID)
	require.NoError(t, err)
	_, err = s.HoldShop(ctx, s.instructor, s.ids["shop-sessions"][0])
	require.NoError(t, err)
	_, err = s.BringSetBack(ctx, s.instructor, s.set.ID)
	require.NoError(t, err)
	// The learners who answer may have been taken off the list.
	listed, err := s.Learners(ctx, s.instructor, s.class.ID)
	require.NoError(t, err)
	for _, id := range s.ids["learners"] {
		if !slices.ContainsFunc(listed, func(l curriculum.Learner) bool { return l.ID == id }) {
			_, err := s.AddLearners(ctx, s.instructor, s.class.ID, practice.Adding{Known: []string{id}})
			require.NoError(t, err)
		}
	}
	if op.Public {
		return ""
	}
	if slices.Contains(op.Roles, curriculum.RoleInstructor) {
		p, err := s.FirstInstructor(ctx, s.instructor.Workshop)
		require.NoError(t, err)
		link, err := s.NewLink(ctx, p)
		require.NoError(t, err)
		token, _, err := s.UseLink(ctx, link)
		require.NoError(t, err)
		return token
	}
	require.NoError(t, s.ClearPIN(ctx, s.instructor, s.variants[0].Learner)) // a request may have chosen one
	token, _, err := s.Join(ctx, s.class.JoiningCode, s.variants[0].Learner, "4711")
	require.NoError(t, err)
	return token
}

// oddRequest makes one request and judges what comes back.
func (s *fuzzed) oddRequest(rt *rapid.T, method, path, token string, op *openapi3.Operation, item *openapi3.PathItem) int {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		if strings.HasPrefix(p, ":") {
			parts[i] = url.PathEscape(s.inPath(rt, parts[i-1], p[1:], dear(path)))
		}
	}
	address := strings.Join(parts, "/")
	header := http.Header{}
	if token != "" && !oneIn(rt, 30) {
		header.Set("Authorization", "Bearer "+token)
	}
	query := url.Values{}
	for _, ref := range slices.Concat(item.Parameters, op.Parameters) {
		p := ref.Value
		switch {
		case p.In == "path" || !p.Required && oneIn(rt, 2) || oneIn(rt, 20):
		case p.In == "query":
			query.Set(p.Name, s.parameter(rt, p))
		case p.In == "header":
			if v := s.parameter(rt, p); oneLine(v) {
				header.Set(p.Name, v)
			}
		}
	}
	if oneIn(rt, 20) {
		query.Set("unknown", s.text(rt))
	}
	body := ""
	if op.RequestBody != nil {
		media, content := s.media(rt, op.RequestBody.Value.Content)
		header.Set("Content-Type", media)
		body = s.document(rt, content)
	} else if oneIn(rt, 4) {
		body = s.text(rt)
	}
	if len(query) > 0 {
		address += "?" + query.Encode()
	}
	r, err := http.NewRequestWithContext(context.WithoutCancel(rt.Context()), method, s.base+address, strings.NewReader(body))
	require.NoError(rt, err)
	r.Header = header
	res, err := http.DefaultTransport.RoundTrip(r)
	require.NoError(rt, err)
	defer func() { _ = res.Body.Close() }()
	answer, err := io.ReadAll(res.Body)
	require.NoError(rt, err)
	if res.StatusCode >= 500 || !judge(rt, r, []byte(body), res.StatusCode, res.Header, answer) {
		rt.Fatalf("%s %s %v\n%s\n→ %d %.2000s", method, address, header, body, res.StatusCode, answer)
	}
	return res.StatusCode
}

// dear reports whether an answer takes long to make, so that most requests had
// better miss.
func dear(path string) bool {
	return strings.HasSuffix(path, ".pdf") || strings.HasSuffix(path, ".zip") || strings.HasSuffix(path, "/skills")
}

// inPath is one part of a path: mostly what fits there, or seldom.
func (s *fuzzed) inPath(rt *rapid.T, before, name string, seldom bool) string {
	ids := s.ids[before]
	if ids == nil {
		ids = s.ids[name]
	}
	if ids == nil || oneIn(rt, 6) || seldom && !oneIn(rt, 5) {
		if text := s.text(rt); text != "" && text != "." && text != ".." {
			return text
		}
		return "none"
	}
	return pick(rt, ids)
}

func (s *fuzzed) parameter(rt *rapid.T, p *openapi3.Parameter) string {
	if p.Name == "If-Match" && !oneIn(rt, 4) {
		return `"` + strconv.Itoa(rapid.IntRange(-1, 3).Draw(rt, "version")) + `"`
	}
	v := s.value(rt, "", p.Schema.Value, 0)
	if text, err := strconv.Unquote(v); err == nil {
		return text
	}
	return v
}

// oneLine reports whether a header may hold the text.
func oneLine(v string) bool {
	return !strings.ContainsFunc(v, func(r rune) bool { return r < ' ' || r > '~' })
}

func (s *fuzzed) media(rt *rapid.T, content openapi3.Content) (string, *openapi3.MediaType) {
	name := pick(rt, slices.Sorted(maps.Keys(content)))
	if oneIn(rt, 30) {
		return "text/plain", content[name]
	}
	return name, content[name]
}

// document is a body, now and then one that is no JSON at all.
func (s *fuzzed) document(rt *rapid.T, content *openapi3.MediaType) string {
	body := s.text(rt)
	if content.Schema != nil {
		body = s.value(rt, "", content.Schema.Value, 0)
	}
	if !oneIn(rt, 12) {
		return body
	}
	switch rapid.IntRange(0, 7).Draw(rt, "break") {
	case 0:
		return body[:len(body)/2]
	case 1:
		return body + body
	case 2:
		return body + "\xff"
	case 3:
		return strings.Repeat("[", 20_000)
	case 4:
		return ""
	case 5:
		return "\ufeff" + body
	case 6:
		return strings.Repeat(`{"a":`, 40) + "1" + strings.Repeat("}", 40)
	}
	return "// " + body
}

// odd are values that few places take.
var odd = []string{
	"null", "true", "[]", "{}", `""`, `"\u0000"`, `"\ud800"`, `"` + strings.Repeat("9", 5000) + `"`, `"𝕏 e\u0301 \u202e"`, "0", "-0", "-1", "0.0", "3.0", "3e0", "30e-1", "1e400", "1e1000000", "-1e-400",
	"9007199254740993", "18446744073709551616", strings.Repeat("9", 60), "0.1", "1E2", `"1e1000000 mm"`, "[[]]", `[null]`, `{"": 1}`, `{"a": 1, "a": 2}`,
}

// value is JSON for a schema: mostly a value that fits.
func (s *fuzzed) value(rt *rapid.T, name string, schema *openapi3.Schema, depth int) string {
	switch {
	case oneIn(rt, 40) || depth > 8:
		return pick(rt, odd)
	case schema.Const != nil:
		return quote(fmt.Sprint(schema.Const))
	case len(schema.Enum) > 0:
		v := pick(rt, schema.Enum)
		if text, ok := v.(string); ok {
			return quote(text)
		}
		return fmt.Sprint(v)
	case len(schema.AnyOf) > 0:
		return s.value(rt, name, pick(rt, schema.AnyOf).Value, depth+1)
	case len(schema.OneOf) > 0:
		return s.value(rt, name, pick(rt, schema.OneOf).Value, depth+1)
	case schema.Type == nil:
		return pick(rt, odd)
	}
	switch kind := pick(rt, schema.Type.Slice()); kind {
	case "string":
		return quote(s.word(rt, name, schema))
	case "integer":
		least, most := int64(-3), int64(50)
		if schema.Min != nil {
			least = int64(*schema.Min)
		}
		if schema.Max != nil {
			most = int64(*schema.Max)
		}
		if oneIn(rt, 8) { // at the edges and past them
			return strconv.FormatInt(pick(rt, []int64{least - 1, least, most, most + 1}), 10)
		}
		return strconv.FormatInt(rapid.Int64Range(least, max(least, min(most, least+12))).Draw(rt, "number"), 10)
	case "number":
		return strconv.FormatFloat(pick(rt, []float64{0, 0.5, 1, 2.5, 12, 150, 1e6, -1, 1e-9, 1e300}), 'g', -1, 64)
	case "array":
		return s.list(rt, name, schema, depth)
	case "object":
		return s.object(rt, schema, depth)
	case "boolean":
		return strconv.FormatBool(rapid.Bool().Draw(rt, "flag"))
	default:
		return kind // null
	}
}

func (s *fuzzed) list(rt *rapid.T, name string, schema *openapi3.Schema, depth int) string {
	n := int(schema.MinItems) + rapid.IntRange(0, 2).Draw(rt, "items")
	if oneIn(rt, 25) && schema.MaxItems != nil {
		n = int(min(*schema.MaxItems, 300)) + 1
	}
	items := make([]string, n)
	for i := range items {
		items[i] = s.value(rt, name, schema.Items.Value, depth+1)
		if n > 20 { // the number is the point, not what they are
			return "[" + strings.Repeat(items[0]+",", n-1) + items[0] + "]"
		}
	}
	return "[" + strings.Join(items, ",") + "]"
}

func (s *fuzzed) object(rt *rapid.T, schema *openapi3.Schema, depth int) string {
	var fields []string
	for _, name := range slices.Sorted(maps.Keys(schema.Properties)) {
		required := slices.Contains(schema.Required, name)
		if required && oneIn(rt, 40) || !required && (depth > 4 || !oneIn(rt, 3)) {
			continue
		}
		field := quote(name) + ":" + s.value(rt, name, schema.Properties[name].Value, depth+1)
		fields = append(fields, field)
		if oneIn(rt, 150) {
			fields = append(fields, field)
		}
	}
	if of := schema.AdditionalProperties.Schema; of != nil {
		for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(s.words), 0, 3, rapid.ID).Draw(rt, "keys") {
			fields = append(fields, quote(name)+":"+s.value(rt, name, of.Value, depth+1))
		}
	}
	if oneIn(rt, 60) {
		fields = append(fields, `"unknown": 1`)
	}
	return "{" + strings.Join(fields, ",") + "}"
}

// word is a text for a field: of its pattern, its form, or one that means
// something there or elsewhere.
func (s *fuzzed) word(rt *rapid.T, name string, schema *openapi3.Schema) string {
	if ids := s.ids[name+"s"]; ids != nil && !oneIn(rt, 5) {
		return pick(rt, ids)
	}
	switch {
	case schema.Format == "date-time":
		return pick(rt, []string{"2026-03-02T18:00:00Z", "2026-03-02T18:00:00.5+01:00", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z", "2026-03-02", "2026-13-02T18:00:00Z", "2026-03-02T18:00:00+24:00", "2026-03-02t18:00:00z"})
	case schema.Format == "uuid":
		return pick(rt, []string{uuid.NewString(), strings.ToUpper(uuid.NewString()), "{" + uuid.NewString() + "}", "x"})
	case schema.Pattern != "" && !oneIn(rt, 5):
		return rapid.StringMatching(schema.Pattern).Draw(rt, "pattern")
	case schema.MaxLength != nil && oneIn(rt, 20):
		return strings.Repeat("é", int(min(*schema.MaxLength, 3000))+rapid.IntRange(0, 1).Draw(rt, "more"))
	}
	return s.text(rt)
}

func (s *fuzzed) text(rt *rapid.T) string {
	if oneIn(rt, 5) {
		return pick(rt, []string{"", " ", "\x00", "\u202e", "../..", "%00", "'; --", "<b>", "ünïcode", "\u2028", "1\n2", strings.Repeat("x", 300), "=1+1", "{{.}}"})
	}
	return pick(rt, s.words)
}

func oneIn(rt *rapid.T, n int) bool { return rapid.IntRange(0, n-1).Draw(rt, "one in") == n/2 }

func pick[T any](rt *rapid.T, from []T) T { return rapid.SampledFrom(from).Draw(rt, "of") }

// quote writes a JSON string.
func quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < ' ':
			_, _ = fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// operationOf finds what the document says of an operation, and its path's item.
func operationOf(doc *openapi3.T, id string) (*openapi3.Operation, *openapi3.PathItem) {
	for _, item := range doc.Paths.Map() {
		for _, op := range item.Operations() {
			if op.OperationID == id {
				return op, item
			}
		}
	}
	return nil, nil
}
