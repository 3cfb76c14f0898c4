package web

import (
	"cmp"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/leonelquinteros/gotext/plurals"
	"golang.org/x/text/language"
)

// The texts of another language stand in a PO file, the form of GNU gettext that
// translators' programs read; it is offered when it has one. What there is to
// translate is listed in texts.pot; English is what stands in the source.
//
//go:embed texts
var textFiles embed.FS

// english is a text of the pages as it stands in the source, which is its key in
// the catalogues. What is filled in is written %s, whatever it is, and markup inside
// a sentence belongs to the text, so that a translation can put both elsewhere. A
// word that other languages have two words for has its context before a bar:
// "hand|right" is read as "right".
type english string

// phrase is a text with what is filled in, made before it is known who reads it.
type phrase struct {
	key  english
	with []any
}

// domain is a text of the packages behind the pages, to be filled in.
type domain string

// phraseOf is a text with what is filled in.
func phraseOf(key english, with ...any) phrase { return phrase{key, with} }

// texts are the texts of the pages in one language.
type texts struct {
	tag language.Tag
	// known are the translations by their keys. Those of counted things have several
	// forms; rule says which.
	known map[english]string
	forms map[english][]string
	rule  plurals.Expression
	// pages are the templates with this language's words, parsed when somebody
	// first reads it.
	pages func() map[string]*template.Template
}

// Languages are those in which the pages can be read.
type Languages struct {
	offered []*texts // English first
	matcher language.Matcher
}

// builtIn are the languages of the program itself.
var builtIn = func() *Languages {
	l, err := ReadLanguages(nil)
	if err != nil {
		panic(err) // a fault of the build, found by every test
	}
	return l
}()

// ReadLanguages reads the languages built in and those of further PO files, which
// replace one built in of the same name; nil has none.
func ReadLanguages(further fs.FS) (*Languages, error) {
	own := &texts{tag: language.English}
	own.pages = sync.OnceValue(own.parse)
	all, err := readTexts(textFiles, "texts")
	if err != nil {
		return nil, err
	}
	all = append([]*texts{own}, all...) // the first is for everybody who speaks none of them
	if further != nil {
		more, err := readTexts(further, ".")
		if err != nil {
			return nil, err
		}
		if len(more) == 0 {
			return nil, errors.New("there is no PO file, such as de.po")
		}
		all = append(all, more...)
	}
	l := &Languages{}
	for _, x := range all {
		i := slices.IndexFunc(l.offered, func(y *texts) bool { return y.tag == x.tag })
		if i < 0 {
			l.offered = append(l.offered, x)
		} else {
			l.offered[i] = x
		}
	}
	tags := make([]language.Tag, len(l.offered))
	for i, x := range l.offered {
		tags[i] = x.tag
	}
	l.matcher = language.NewMatcher(tags)
	return l, nil
}

// of is the language of a request.
func (l *Languages) of(r *http.Request) *texts {
	_, i := language.MatchStrings(l.matcher, r.Header.Get("Accept-Language"))
	return l.offered[i]
}

// readTexts reads the PO files of a folder; the name of a file is its language.
func readTexts(files fs.FS, folder string) ([]*texts, error) {
	names, err := fs.Glob(files, path.Join(folder, "*.po"))
	if err != nil {
		return nil, err
	}
	var out []*texts
	for _, name := range names {
		tag, err := language.Parse(strings.TrimSuffix(path.Base(name), ".po"))
		if err != nil {
			return nil, fmt.Errorf("%s: the name of the file is no language: %w", name, err)
		}
		data, err := fs.ReadFile(files, name)
		if err != nil {
			return nil, err
		}
		x := &texts{tag: tag, known: map[english]string{}, forms: map[english][]string{}}
		if err := x.read(string(data)); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		x.pages = sync.OnceValue(x.parse)
		out = append(out, x)
	}
	return out, nil
}

// read takes the translations of a file. One that has other markup or other places to
// fill than its text is refused: what it shows would not be what is meant, or not
// even HTML.
func (x *texts) read(data string) error {
	messages, err := readPO(data)
	if err != nil {
		return err
	}
	rule := ""
	for _, m := range messages {
		if m.id == "" { // the header
			_, rule, _ = strings.Cut(m.forms[0], "plural=")
			rule, _, _ = strings.Cut(rule, ";")
			continue
		}
		for _, text := range m.forms {
			if text != "" && !slices.Equal(fixedParts(text), fixedParts(cmp.Or(m.plural, m.id))) {
				return fmt.Errorf("the translation %q has not the markup and the places of %q", text, m.id)
			}
		}
		key := english(m.id)
		if m.context != "" {
			key = english(m.context) + "|" + key
		}
		switch {
		case m.fuzzy || slices.Contains(m.forms, ""): // not, or not wholly translated
		case m.plural == "":
			x.known[key] = m.forms[0]
		default:
			x.forms[key] = m.forms
		}
	}
	if len(x.forms) == 0 {
		return nil
	}
	if x.rule, err = plurals.Compile(rule); err != nil {
		return fmt.Errorf("its Plural-Forms: %w", err)
	}
	return nil
}

var fixed = regexp.MustCompile(`<[^>]*>|&\w+;|%(\[\d+\])?s|%%`)

// fixedParts are the tags and the places of a text, sorted; places are numbered.
func fixedParts(text string) []string {
	var parts []string
	places := 0
	for _, p := range fixed.FindAllString(text, -1) {
		if p == "%s" {
			places++
			p = "%[" + strconv.Itoa(places) + "]s"
		}
		parts = append(parts, p)
	}
	slices.Sort(parts)
	return parts
}

// form is the text for a number of things.
func (x *texts) form(n int, one, many english) string {
	if forms, ok := x.forms[one]; ok {
		if i := x.rule.Eval(uint32(n)); i >= 0 && i < len(forms) { //nolint:gosec // numbers of things
			return forms[i]
		}
	}
	if n == 1 {
		return string(one)
	}
	return string(many)
}

// find looks a text up; without a translation it is what stands in the source.
func (x *texts) find(key english) string {
	if text, ok := x.known[key]; ok {
		return text
	}
	if _, text, ok := strings.Cut(string(key), "|"); ok {
		return text
	}
	return string(key)
}

// fill puts what is filled in into a text.
func (x *texts) fill(text string, with []any, escape, say func(string) string) string {
	if len(with) == 0 {
		return text
	}
	filled := make([]any, len(with))
	for i, w := range with {
		switch w := w.(type) {
		case template.HTML:
			filled[i] = string(w)
		case english:
			filled[i] = escape(x.find(w))
		case domain:
			filled[i] = say(string(w))
		case phrase:
			filled[i] = x.fill(x.find(w.key), w.with, escape, say)
		default:
			filled[i] = escape(fmt.Sprint(w))
		}
	}
	return fmt.Sprintf(text, filled...)
}

func asItIs(s string) string { return s }

// T is a text without markup in the language of who reads it.
func (x *texts) T(key english, with ...any) string {
	return x.fill(x.find(key), with, asItIs, x.lookUp)
}

// N is T for a number of things, which is the first that is filled in.
func (x *texts) N(n int, one, many english, with ...any) string {
	return x.fill(x.form(n, one, many), append([]any{n}, with...), asItIs, x.lookUp)
}

// html is T in a template: it keeps the text's markup and escapes what is filled
// in.
func (x *texts) html(key any, with ...any) (template.HTML, error) {
	switch k := key.(type) {
	case string: // a text that stands in the template
		return x.markup(x.find(english(k)), with), nil
	case english:
		return x.markup(x.find(k), with), nil
	case phrase:
		return x.markup(x.find(k.key), k.with), nil
	}
	return "", fmt.Errorf("%T is no text", key)
}

// markup fills in a text that may have markup of its own.
func (x *texts) markup(text string, with []any) template.HTML {
	return template.HTML(x.fill(text, with, template.HTMLEscapeString, func(s string) string { return string(x.say(s)) })) //nolint:gosec // our own texts; the rest is escaped
}

// counted is N in a template.
func (x *texts) counted(n int, one, many string, with ...any) template.HTML {
	return x.markup(x.form(n, english(one), english(many)), append([]any{n}, with...))
}

// foreign is a text of the packages behind the pages, made into one of the page. The
// catalogues have those that never change; one with numbers of its own stays
// English, and says so to who reads it aloud.
func (x *texts) foreign(s string, shape func(string) string) template.HTML {
	_, known := x.known[english(s)]
	text := template.HTMLEscapeString(shape(x.lookUp(s)))
	if !known && text != "" && x.tag != language.English {
		text = `<span lang="en">` + text + `</span>`
	}
	return template.HTML(text) //nolint:gosec // escaped
}

// lookUp is a domain's text where no markup can stand.
func (x *texts) lookUp(s string) string {
	if text, ok := x.known[english(s)]; ok {
		return text
	}
	return s
}

// say is a domain's text as it stands.
func (x *texts) say(s string) template.HTML { return x.foreign(s, asItIs) }
