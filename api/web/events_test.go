package web

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

// storedDoings are what the store notes as done, read from its source: each text that
// is handed to logEvent, with what is added to it.
func storedDoings(t *testing.T) []string {
	t.Helper()
	work := slices.Sorted(maps.Keys(workWords))
	added := map[string][]string{
		"token made: ": curriculum.Scopes, "work asked for: ": work, "work called off: ": work,
		"lathe taken out of use: ": {"chuck guard broken"}, "shop session called off: ": {"no heating: pipe burst"}, "class set withdrawn: ": {"wrong lathe"},
		" added": {curriculum.RoleInstructor, curriculum.RoleSteward},
	}
	var out []string
	of := func(e ast.Expr) string {
		if l, ok := e.(*ast.BasicLit); ok {
			text, err := strconv.Unquote(l.Value)
			require.NoError(t, err)
			return text
		}
		return ""
	}
	names, err := filepath.Glob("../../curriculum/store/*.go")
	require.NoError(t, err)
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || called(call) != "logEvent" {
				return true
			}
			switch what := call.Args[5].(type) {
			case *ast.BasicLit:
				out = append(out, of(what))
			case *ast.BinaryExpr:
				before, after := of(what.X), of(what.Y)
				require.NotEmpty(t, added[before+after], "%s: what is added to %q", name, before+after)
				for _, x := range added[before+after] {
					out = append(out, before+x+after)
				}
			case *ast.CallExpr: // Sprintf
				out = append(out, strings.Replace(of(what.Args[0]), "%d", "1", 1), strings.Replace(of(what.Args[0]), "%d", "12", 1))
			default:
				assert.Fail(t, "logEvent is handed something else", name)
			}
			return true
		})
	}
	lines, err := os.ReadFile("../../curriculum/signoff/lines.go")
	require.NoError(t, err)
	f, err := parser.ParseFile(token.NewFileSet(), "", lines, 0)
	require.NoError(t, err)
	ast.Inspect(f, func(n ast.Node) bool {
		if c, ok := n.(*ast.ValueSpec); ok && strings.HasPrefix(c.Names[0].Name, "Kind") {
			out = append(out, "sign-off: "+of(c.Values[0]))
		}
		return true
	})
	return out
}

// TestDoings: whatever the store notes as done has words of the page, none has any
// that is never noted, and what is not known is shown as it was kept.
func TestDoings(t *testing.T) {
	t.Parallel()
	r := readerOf(httptest.NewRequest("GET", "/", nil), curriculum.UnitsOfJob)
	stored := storedDoings(t)
	for _, what := range stored {
		assert.NotEmpty(t, doneWords(r, what), what)
	}
	for what := range doings {
		assert.Contains(t, stored, what)
	}
	assert.Equal(t, "1 learner added", doneWords(r, "1 learners added"))
	assert.Equal(t, "verdict changed, 12 answers marked anew", doneWords(r, "verdict overruled, 12 answers marked anew"))
	assert.Equal(t, "ended, may not sign in any more: moved: far away", doneWords(r, "person ended: moved: far away"))
	assert.Equal(t, "class ended: the term is over", doneWords(r, "class ended: the term is over"))
	assert.Empty(t, doneWords(r, "12 learners added twice"))

	var page strings.Builder
	v := view{reader: r, Role: curriculum.RoleInstructor, Data: eventsData{Zone: "UTC", Events: []shownEvent{
		showEvent(r, curriculum.Event{What: "lathe repainted", WhoName: "Somebody"}, time.UTC), showEvent(r, curriculum.Event{What: "lathe added", WhoName: "Somebody"}, time.UTC),
	}}}
	require.NoError(t, r.pages()["events.html"].ExecuteTemplate(&page, "content", v))
	assert.Contains(t, page.String(), `<th scope="row" lang="en">lathe repainted</th>`)
	assert.Contains(t, page.String(), `<th scope="row">lathe added</th>`)
}
