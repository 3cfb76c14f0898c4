package web

import (
	"cmp"
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"go/types"
	"html/template"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"text/template/parse"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"golang.org/x/text/language"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
	"halfnut/threadmath"
)

var update = flag.Bool("update", false, "write texts.pot anew")

// catalogue gathers the texts of the pages and where they stand.
type catalogue struct {
	entries []*entry
	by      map[string]*entry
}

type entry struct {
	key, plural string
	where       []string
}

func (c *catalogue) add(t *testing.T, where, key, plural string) {
	if key == "" {
		return
	}
	e := c.by[key]
	if e == nil {
		e = &entry{key: key, plural: plural}
		c.by[key] = e
		c.entries = append(c.entries, e)
	}
	assert.Equal(t, e.plural, plural, "%s: %q stands elsewhere with another plural", where, key)
	if !slices.Contains(e.where, where) {
		e.where = append(e.where, where)
	}
}

// po writes the catalogue: the English texts, which stay as they are.
func (c *catalogue) po() string {
	var b strings.Builder
	b.WriteString(`# The texts of halfnut's pages. Copy this file to the name of a language (de.po),
# name it under Language, give its rule under Plural-Forms, and fill in every msgstr.
# %s is filled in by the page; where the order changes, write %[1]s, %[2]s and so on.
# Keep tags as they are.
msgid ""
msgstr ""
"Language: \n"
"MIME-Version: 1.0\n"
"Content-Type: text/plain; charset=UTF-8\n"
"Content-Transfer-Encoding: 8bit\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\n"
`)
	for _, e := range c.entries {
		slices.Sort(e.where)
		fmt.Fprintf(&b, "\n#: %s\n", strings.Join(e.where, " "))
		context, text, ok := strings.Cut(e.key, "|")
		if ok {
			fmt.Fprintf(&b, "msgctxt %s\n", quoted(context))
		} else {
			text = e.key
		}
		fmt.Fprintf(&b, "msgid %s\n", quoted(text))
		if e.plural == "" {
			b.WriteString("msgstr \"\"\n")
			continue
		}
		fmt.Fprintf(&b, "msgid_plural %s\nmsgstr[0] \"\"\nmsgstr[1] \"\"\n", quoted(e.plural))
	}
	return b.String()
}

func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`).Replace(s) + `"`
}

// TestCatalogue: every text of the pages stands in texts.pot, and nothing else.
func TestCatalogue(t *testing.T) {
	c := &catalogue{by: map[string]*entry{}}
	c.addTemplates(t)
	c.addPages(t)
	c.addDomain(t)
	read, err := readPO(c.po())
	require.NoError(t, err)
	require.Len(t, read, len(c.entries)+1, "the catalogue can be read, its header with it")
	const file = "texts.pot"
	if *update {
		require.NoError(t, os.WriteFile(file, []byte(c.po()), 0o644)) //nolint:gosec // a file of the source
	}
	have, err := os.ReadFile(file)
	require.NoError(t, err)
	if string(have) != c.po() {
		assert.Equal(t, keysOf(c.po()), keysOf(string(have)), "go test ./api/web -run TestCatalogue -update")
		assert.Fail(t, "texts.pot is not what the source says", "go test ./api/web -run TestCatalogue -update")
	}
}

func keysOf(po string) []string {
	var out []string
	for line := range strings.Lines(po) {
		if strings.HasPrefix(line, "msg") {
			out = append(out, line)
		}
	}
	return out
}

// addTemplates takes the texts that stand in the templates.
func (c *catalogue) addTemplates(t *testing.T) {
	all, err := fs.Glob(templateFiles, "templates/*.html")
	require.NoError(t, err)
	parts, err := fs.Glob(templateFiles, "templates/parts/*.html")
	require.NoError(t, err)
	for _, name := range append(all, parts...) {
		source, err := fs.ReadFile(templateFiles, name)
		require.NoError(t, err)
		one, err := template.New(path.Base(name)).Funcs(builtIn.offered[0].functions()).Parse(string(source))
		require.NoError(t, err)
		trees := one.Templates()
		slices.SortFunc(trees, func(a, b *template.Template) int { return cmp.Compare(a.Name(), b.Name()) })
		for _, part := range trees {
			if part.Tree != nil {
				c.walk(t, strings.TrimPrefix(name, "templates/"), part.Tree.Root)
			}
		}
	}
}

func (c *catalogue) walk(t *testing.T, where string, n parse.Node) {
	switch n := n.(type) {
	case *parse.ListNode:
		if n != nil {
			for _, x := range n.Nodes {
				c.walk(t, where, x)
			}
		}
	case *parse.ActionNode:
		c.walk(t, where, n.Pipe)
	case *parse.IfNode:
		c.walkBranch(t, where, &n.BranchNode)
	case *parse.RangeNode:
		c.walkBranch(t, where, &n.BranchNode)
	case *parse.WithNode:
		c.walkBranch(t, where, &n.BranchNode)
	case *parse.TemplateNode:
		c.walk(t, where, n.Pipe)
	case *parse.PipeNode:
		if n != nil {
			for _, x := range n.Cmds {
				c.walk(t, where, x)
			}
		}
	case *parse.CommandNode:
		c.command(t, where, n)
		for _, x := range n.Args {
			c.walk(t, where, x)
		}
	}
}

func (c *catalogue) walkBranch(t *testing.T, where string, n *parse.BranchNode) {
	c.walk(t, where, n.Pipe)
	c.walk(t, where, n.List)
	c.walk(t, where, n.ElseList)
}

// command takes the texts of a call of t or tn.
func (c *catalogue) command(t *testing.T, where string, n *parse.CommandNode) {
	name, ok := n.Args[0].(*parse.IdentifierNode)
	if !ok {
		return
	}
	text := func(i int) string {
		if len(n.Args) <= i {
			return ""
		}
		s, ok := n.Args[i].(*parse.StringNode)
		if !ok {
			return ""
		}
		return s.Text
	}
	switch name.Ident {
	case "t":
		if key := text(1); key != "" {
			c.add(t, where, key, "")
			places(t, where, key, len(n.Args)-2)
		}
	case "tn":
		one, many := text(2), text(3)
		if assert.NotEmpty(t, one, "%s: tn takes a number and two texts", where) && assert.NotEmpty(t, many, where) {
			c.add(t, where, one, many)
			places(t, where, one, len(n.Args)-3)
			places(t, where, many, len(n.Args)-3)
		}
	}
}

// places checks that as much is filled in as the text has places for.
func places(t *testing.T, where, key string, given int) {
	n := strings.Count(strings.ReplaceAll(key, "%%", ""), "%s") + len(regexp.MustCompile(`%\[\d+\]s`).FindAllString(key, -1))
	assert.Equal(t, n, given, "%s: what is filled in into %q", where, key)
}

// addPages takes the texts that stand in the Go files of this package: the
// constants of the type english.
func (c *catalogue) addPages(t *testing.T) {
	files := token.NewFileSet()
	var parsed []*ast.File
	names, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(files, name, nil, 0)
		require.NoError(t, err)
		parsed = append(parsed, f)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	// What other packages have is not looked at: their faults are not this test's.
	config := types.Config{Importer: nothing{}, Error: func(error) {}}
	_, _ = config.Check("halfnut/api/web", files, parsed, info)
	value := func(e ast.Expr) string {
		tv, ok := info.Types[e]
		if !ok || tv.Value == nil || tv.Type == nil || !strings.HasSuffix(tv.Type.String(), "web.english") {
			return ""
		}
		return constant.StringVal(tv.Value)
	}
	for _, f := range parsed {
		where := files.Position(f.Package).Filename
		counted := map[ast.Expr]bool{}
		ast.Inspect(f, func(n ast.Node) bool {
			if l, ok := n.(*ast.CompositeLit); ok {
				for _, key := range literals(info.Types[l].Type, l) {
					c.add(t, where, key, "")
				}
			}
			call, ok := n.(*ast.CallExpr)
			if ok && len(call.Args) >= 3 {
				if one, many := value(call.Args[1]), value(call.Args[2]); one != "" && many != "" && (called(call) == "N" || called(call) == "count") {
					c.add(t, where, one, many)
					counted[call.Args[1]], counted[call.Args[2]] = true, true
				}
			}
			if e, ok := n.(ast.Expr); ok && !counted[e] {
				if key := value(e); strings.ContainsFunc(key, isLetter) && key != "%s" {
					c.add(t, where, key, "")
				}
			}
			return true
		})
	}
}

// literals are the constants of the type english in a literal of a type. The type
// checker passes over what stands behind a key of another package.
func literals(of types.Type, e ast.Expr) []string {
	if of == nil {
		return nil
	}
	if l, ok := e.(*ast.BasicLit); ok && strings.HasSuffix(of.String(), "web.english") {
		text, err := strconv.Unquote(l.Value)
		if err != nil || !strings.ContainsFunc(text, isLetter) {
			return nil
		}
		return []string{text}
	}
	l, ok := e.(*ast.CompositeLit)
	if !ok {
		return nil
	}
	var out []string
	for i, x := range l.Elts {
		kv, keyed := x.(*ast.KeyValueExpr)
		if keyed {
			x = kv.Value
		}
		switch of := of.Underlying().(type) {
		case *types.Map:
			out = append(out, literals(of.Elem(), x)...)
		case *types.Slice:
			out = append(out, literals(of.Elem(), x)...)
		case *types.Struct:
			for j := range of.NumFields() {
				if field := of.Field(j); keyed && field.Name() == fmt.Sprint(kv.Key) || !keyed && i == j {
					out = append(out, literals(field.Type(), x)...)
				}
			}
		}
	}
	return out
}

func selected(e ast.Expr) string {
	if s, ok := e.(*ast.SelectorExpr); ok {
		return s.Sel.Name
	}
	return ""
}

// called is the name of what is called.
func called(c *ast.CallExpr) string {
	if id, ok := c.Fun.(*ast.Ident); ok {
		return id.Name
	}
	return selected(c.Fun)
}

type nothing struct{}

func (nothing) Import(string) (*types.Package, error) { return nil, errors.New("not looked at") }

// fields of the domain's types whose texts are shown as they stand.
var domainFields = []string{"Why", "why", "Reason", "Allowed", "Range", "What", "Source", "DepthRule", "Arrangement", "Gauge", "Basis", "Swing", "Counted", "MultiStart", "Purpose", "Unless", "source", "End"}

// domainCalls are the functions of the domain that are handed such texts.
var domainCalls = []string{"add", "bad", "fail", "joinWhy", "useless"}

// addDomain takes the texts of the packages behind the pages that never change:
// those of the catalogue of skills and of the checklists, cautions, reasons. What has
// numbers of its own is not among them; it stays English.
func (c *catalogue) addDomain(t *testing.T) {
	for _, s := range curriculum.Skills() {
		c.add(t, "curriculum", s.Title, "")
		c.add(t, "curriculum", s.Purpose, "")
		for _, w := range s.Wrong {
			c.add(t, "curriculum", w.Feedback, "")
		}
	}
	for _, o := range signoff.Operations() {
		c.add(t, "curriculum/signoff", o.Title, "")
		c.add(t, "curriculum/signoff", words(o.Slug), "")
		for _, i := range o.Checklist {
			c.add(t, "curriculum/signoff", i.Text, "")
			c.add(t, "curriculum/signoff", i.Unless, "")
		}
	}
	for _, i := range signoff.DressItems() {
		c.add(t, "curriculum/signoff", i.Text, "")
	}
	for _, s := range []string{signoff.None, signoff.Training, signoff.Ready, signoff.Signed, signoff.Lapsed, signoff.Expired, signoff.Revoked, signoff.SittingTheory, words(signoff.SittingRecheck)} {
		c.add(t, "curriculum/signoff", s, "")
	}
	for _, s := range []string{curriculum.RoleInstructor, curriculum.RoleSteward, "learner", "Compound slide", "Cross-slide", "unproved"} {
		c.add(t, "curriculum", s, "")
	}
	for _, f := range threadmath.Forms() {
		c.add(t, "threadmath", f.Title, "")
	}
	for _, m := range indexingMethods {
		c.add(t, "threadmath", words(m), "")
	}
	for _, s := range []string{"compound slide", "cross slide", "compound"} {
		c.add(t, "threadmath", s, "")
	}
	for _, folder := range []string{"threadmath", "curriculum", "curriculum/signoff", "curriculum/practice", "curriculum/shop", "curriculum/plan", "curriculum/generate", "curriculum/grade", "curriculum/statistics"} {
		c.addSource(t, folder, func(n ast.Node, literal func(ast.Expr)) {
			switch n := n.(type) {
			case *ast.KeyValueExpr:
				// A rule is words in threadmath, and a formula in curriculum.
				if k, ok := n.Key.(*ast.Ident); ok && (slices.Contains(domainFields, k.Name) || k.Name == "Rule" && folder == "threadmath") {
					literal(n.Value)
				}
			case *ast.AssignStmt:
				for i, l := range n.Lhs {
					name := selected(l)
					if id, ok := l.(*ast.Ident); ok {
						name = id.Name
					}
					if i < len(n.Rhs) && slices.Contains(domainFields, name) {
						literal(n.Rhs[i])
					}
				}
			case *ast.CallExpr:
				if id, ok := n.Fun.(*ast.Ident); ok && slices.Contains(domainCalls, id.Name) && folder != "curriculum/shop" { // its cards are paper
					for _, a := range n.Args {
						literal(a)
					}
				}
			case *ast.CompositeLit:
				if id, ok := n.Type.(*ast.ArrayType); ok && folder == "threadmath" {
					if of, ok := id.Elt.(*ast.Ident); ok && of.Name == "caution" {
						for _, x := range n.Elts {
							literal(x.(*ast.CompositeLit).Elts[1])
						}
					}
				}
			}
		})
	}
	c.addSource(t, "api/problem", func(n ast.Node, literal func(ast.Expr)) {
		if l, ok := n.(*ast.BasicLit); ok && regexp.MustCompile(`^"[A-Z][a-z]+ [^"]*"$`).MatchString(l.Value) {
			literal(l)
		}
	})
}

// addSource takes the texts that find hands over of the files of a folder.
func (c *catalogue) addSource(t *testing.T, folder string, find func(n ast.Node, literal func(ast.Expr))) {
	names, err := filepath.Glob(filepath.Join("..", "..", folder, "*.go"))
	require.NoError(t, err)
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			find(n, func(e ast.Expr) {
				if l, ok := e.(*ast.BasicLit); ok && l.Kind == token.STRING {
					s, err := strconv.Unquote(l.Value)
					require.NoError(t, err)
					if strings.ContainsFunc(s, isLetter) && !strings.Contains(s, "%") && (strings.Contains(s, " ") || s != strings.ToLower(s)) {
						c.add(t, folder, s, "")
					}
				}
			})
			return true
		})
	}
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }

// read aloud or seen
var humanAttributes = []string{"aria-label", "placeholder", "title", "alt", "label", "content"}

// TestTemplatesHoldNoText: outside t and tn there is not a letter that somebody
// could read, but for the name of the program and units.
func TestTemplatesHoldNoText(t *testing.T) {
	t.Parallel()
	same := []string{"halfnut", "mm", "in", "U", "Europe", "Prague"}
	action := regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	noscript := strings.NewReplacer("<noscript>", "", "</noscript>", "") // its inside is HTML like the rest
	require.NoError(t, fs.WalkDir(templateFiles, "templates", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		source, err := fs.ReadFile(templateFiles, name)
		require.NoError(t, err)
		read := html.NewTokenizer(strings.NewReader(noscript.Replace(action.ReplaceAllString(string(source), ""))))
		stray := func(text string) {
			for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !isLetter(r) }) {
				assert.Contains(t, same, word, "%s: %q stands outside the catalogue", name, strings.TrimSpace(text))
			}
		}
		for {
			switch read.Next() {
			case html.ErrorToken:
				return nil
			case html.TextToken:
				stray(string(read.Text()))
			case html.StartTagToken, html.SelfClosingTagToken:
				token := read.Token()
				for _, a := range token.Attr {
					if slices.Contains(humanAttributes, a.Key) && token.Data != "meta" {
						stray(a.Val)
					}
				}
			}
		}
	}))
}

// TestScriptsHoldNoText: a script takes what it says from the page.
func TestScriptsHoldNoText(t *testing.T) {
	t.Parallel()
	names, err := fs.Glob(staticFiles, "static/*.js")
	require.NoError(t, err)
	text := regexp.MustCompile("[\"'`]([A-Z][a-z]*[,.]? [^\"'`]*|[a-z]+[,;:]? [a-z]+ [^\"'`]*)[\"'`]")
	for _, name := range names {
		source, err := fs.ReadFile(staticFiles, name)
		require.NoError(t, err)
		for line := range strings.Lines(string(source)) {
			if !strings.HasPrefix(strings.TrimSpace(line), "//") && !strings.Contains(line, "className") {
				assert.NotRegexp(t, text, line, name)
			}
		}
	}
	assert.Regexp(t, text, `note("Your answer has been sent.");`, "the test would find one")
}

// inLanguage is the texts of a PO file.
func inLanguage(t *testing.T, name, po string) (*texts, error) {
	t.Helper()
	l, err := ReadLanguages(fstest.MapFS{name + ".po": {Data: []byte(po)}})
	if err != nil {
		return nil, err
	}
	for _, x := range l.offered {
		if x.tag == language.MustParse(name) {
			return x, nil
		}
	}
	return nil, errors.New("it is not offered")
}

// TestTranslations: plurals by the file's own rule, places in another order, a word
// by its context, markup kept and what is filled in escaped.
func TestTranslations(t *testing.T) {
	t.Parallel()
	x, err := inLanguage(t, "cs", `msgid ""
msgstr ""
"Plural-Forms: nplurals=3; plural=(n==1) ? 0 : (n>=2 && n<=4) ? 1 : 2;\n"

msgid "%s start"
msgid_plural "%s starts"
msgstr[0] "%s chod"
msgstr[1] ""
"%s "
"chody"
msgstr[2] "%s chodů"

msgid "<b>%s</b> at %s"
msgstr "%[2]s: <b>%[1]s</b>"

msgctxt "hand"
msgid "right"
msgstr "pravý"

msgctxt "outcome"
msgid "right"
msgstr "správně"

#, fuzzy
msgid "Bench"
msgstr "Lavice?"

msgid "%s to %s"
msgstr "%s až %s"

msgid "the lathe has no half-nut"
msgstr "soustruh nemá dělenou matici"
`)
	require.NoError(t, err)
	for n, want := range map[int]string{1: "1 chod", 3: "3 chody", 5: "5 chodů"} {
		assert.Equal(t, want, x.N(n, "%s start", "%s starts"))
	}
	made, err := x.html("<b>%s</b> at %s", "<Iva>", 7)
	require.NoError(t, err)
	assert.Equal(t, template.HTML("7: <b>&lt;Iva&gt;</b>"), made)
	assert.Equal(t, []string{"pravý", "správně", "left", "Bench"}, []string{x.T("hand|right"), x.T("outcome|right"), x.T("hand|left"), x.T("Bench")}, "without a translation it is English")
	assert.Equal(t, template.HTML("Soustruh nemá dělenou matici."), x.foreign("the lathe has no half-nut", sentence))
	assert.Equal(t, template.HTML(`<span lang="en">7 &lt; 8 teeth</span>`), x.say("7 < 8 teeth"), "what is not in the catalogue says that it is English")
	for given, want := range map[string]string{"80 to 100": "80 až 100", "6:30 pm to 9:00 pm": "6:30 pm až 9:00 pm", "1 to 80 characters": "1 to 80 characters", "up to 3": `<span lang="en">up to 3</span>`} {
		assert.Equal(t, template.HTML(want), x.allowed(given))
	}
	assert.Equal(t, template.HTML("7 &lt; 8 teeth"), builtIn.offered[0].say("7 < 8 teeth"))
}

// TestWrongTranslations: a file whose markup or places are not those of the text is
// refused, and so is one whose name is no language.
func TestWrongTranslations(t *testing.T) {
	t.Parallel()
	for text, wrong := range map[string]string{
		`msgid "<b>%s</b> at %s"` + "\n" + `msgstr "%s"`:                                                                      "markup",
		`msgid "<b>%s</b> at %s"` + "\n" + `msgstr "<b onclick=\"x\">%s</b> %s"`:                                              "markup",
		`msgid "%s at %s"` + "\n" + `msgstr "%[2]s a %[3]s"`:                                                                  "places",
		`msgid "%s start"` + "\n" + `msgid_plural "%s starts"` + "\n" + `msgstr[0] "ein Gang"`:                                "places",
		`msgid "%s start"` + "\n" + `msgid_plural "%s starts"` + "\n" + `msgstr[0] "%s Gang"` + "\n" + `msgstr[1] "%s Gänge"`: "Plural-Forms",
		`msgid "Bench`:                          "line 1",
		`msgid "Bench"` + "\n" + `msgstr "B\q"`: "line 2",
		`"Bench"`:                               "line 1",
		`msgid "%s start"` + "\n" + `msgid_plural "%s starts"` + "\n" + `msgstr[1] "%s"`: "line 3",
	} {
		_, err := inLanguage(t, "de", text)
		assert.ErrorContains(t, err, wrong, text)
	}
	_, err := ReadLanguages(fstest.MapFS{"not a language.po": {}})
	assert.ErrorContains(t, err, "no language")
}
