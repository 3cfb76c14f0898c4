package api_test

import (
	"io"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"halfnut/api/web"
	"halfnut/curriculum"
	"halfnut/worksheets"
)

// pseudo is the language of TestPagesCanBeTranslated.
const pseudo = "en-XA"

// pseudoLanguage translates every text of the catalogue into itself with accents,
// between ⟦ and ⟧.
func pseudoLanguage(t *testing.T) *web.Languages {
	t.Helper()
	source, err := os.ReadFile("web/texts.pot")
	require.NoError(t, err)
	var po strings.Builder
	one, many := "", ""
	for line := range strings.Lines(string(source)) {
		line = strings.TrimSuffix(line, "\n")
		switch {
		case strings.HasPrefix(line, "msgid "):
			one = strings.TrimPrefix(line, "msgid ")
		case strings.HasPrefix(line, "msgid_plural "):
			many = strings.TrimPrefix(line, "msgid_plural ")
		case one == `""`: // the header
		case line == `msgstr ""`, line == `msgstr[0] ""`:
			line = strings.TrimSuffix(line, `""`) + accented(one)
		case line == `msgstr[1] ""`:
			line = strings.TrimSuffix(line, `""`) + accented(many)
		}
		po.WriteString(line + "\n")
	}
	l, err := web.ReadLanguages(fstest.MapFS{pseudo + ".po": {Data: []byte(po.String())}})
	require.NoError(t, err)
	return l
}

// unchanged is what a translation must not change.
var unchanged = regexp.MustCompile(`<[^>]*>|&\w+;|%(?:\[\d+\])?s|\\.`)

func accented(quoted string) string {
	accents := strings.NewReplacer("a", "á", "e", "é", "i", "ï", "o", "ö", "u", "ü", "A", "Á", "E", "É", "I", "Ï", "O", "Ö", "U", "Ü")
	text := quoted[1 : len(quoted)-1]
	var b strings.Builder
	last := 0
	for _, at := range unchanged.FindAllStringIndex(text, -1) {
		b.WriteString(accents.Replace(text[last:at[0]]) + text[at[0]:at[1]])
		last = at[1]
	}
	return `"⟦` + b.String() + accents.Replace(text[last:]) + `⟧"`
}

// TestPagesCanBeTranslated serves every page of the demo workshop in a language
// made from the catalogue. What is then neither translated, nor marked as English,
// nor a name, a number or a unit stands outside the catalogue.
func TestPagesCanBeTranslated(t *testing.T) {
	t.Parallel()
	s := startDemo(t, pseudoLanguage(t))
	tokens := s.everybodySignedIn(t)
	names := s.names(t)
	shown, marked := 0, map[string]bool{}
	look := func(path, page string) {
		p := reading{names: names, marked: marked}
		root, err := html.ParseWithOptions(strings.NewReader(page), html.ParseOptionEnableScripting(false)) // reads what is for those without script too
		require.NoError(t, err)
		p.read(root, false)
		assert.Contains(t, page, `<html lang="`+pseudo+`">`, path)
		assert.Empty(t, p.stray, "%s: stands outside the catalogue", path)
		assert.Zero(t, p.depth, "%s: a text has lost an end", path)
		shown += p.texts
	}
	for who, shots := range s.shots(t) {
		for _, x := range shots {
			look(x.path, s.page(t, x.path, tokens[who], pseudo))
		}
	}
	for path := "/events"; path != ""; {
		page := s.page(t, path, tokens["instructor"], pseudo)
		look(path, page)
		assert.NotContains(t, page, `<th scope="row" lang="en">`, "%s: something that was done is shown as it was kept", path)
		path = ""
		if older := regexp.MustCompile(`class="button" href="(/events[^"]+)"`).FindStringSubmatch(page); older != nil {
			path = html.UnescapeString(older[1])
		}
	}
	class := "/classes/" + s.class.ID
	for _, f := range []wrongForm{
		{who: "instructor", path: class + "/course", sent: url.Values{"title": {""}, "starts": {"three"}}},
		{who: "instructor", path: class + "/shop", sent: url.Values{"title": {""}, "minutes": {"many"}, "station0_name": {"Lathe 1"}, "station0_minutes": {"0"}, "station0_places": {"x"}}},
		{who: "instructor", path: class + "/jobs", sent: url.Values{"learner": {s.variants[0].Learner}, "factor": {"9"}, "version": {"x"}}},
		{who: "instructor", path: "/people", sent: url.Values{"role": {"instructor"}}},
		{who: "instructor", path: "/people/end", sent: url.Values{"person": {s.instructor.ID}, "reason": {strings.Repeat("7", 301)}}},
		{who: "instructor", path: class + "/end", sent: url.Values{"reason": {strings.Repeat("7", 301)}}},
		{who: "instructor", path: "/tokens", sent: url.Values{"days": {"7 or 8"}}},
		{who: "instructor", path: "/passphrase", sent: url.Values{"passphrase": {"1"}, "again": {"2"}}},
		{who: "instructor", path: "/signoff/rules", sent: url.Values{"pass_mark": {"1"}}},
		{who: "instructor", path: "/lathes", sent: url.Values{"dial_teeth": {"7 or 8"}}},
		{who: "nobody", path: "/join", sent: url.Values{"code": {s.class.JoiningCode}, "pin": {"1"}}},
	} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.base+f.path, strings.NewReader(f.sent.Encode()))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Accept-Language", pseudo)
		look("POST "+f.path, send(t, r, tokens[f.who]))
	}
	assert.Greater(t, shown, 2000, "texts were looked at")
	t.Logf("%d texts in the language, %d different ones marked as English", shown, len(marked))
}

func send(t *testing.T, r *http.Request, token string) string {
	t.Helper()
	if token != "" {
		r.AddCookie(&http.Cookie{Name: "halfnut", Value: token})
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	require.GreaterOrEqual(t, res.StatusCode, 400)
	page, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return string(page)
}

// reading goes through a page.
type reading struct {
	names *strings.Replacer
	// depth is how many texts are open where the reading is.
	depth, texts int
	stray        []string
	// marked are the texts that say that they are English.
	marked map[string]bool
}

// notText holds nothing that a catalogue could say: drawings, days, scripts, and
// codes to be typed as they are.
var notText = []string{"svg", "time", "script", "style", "code"}

func (p *reading) read(n *html.Node, english bool) {
	switch n.Type {
	case html.ElementNode:
		if slices.Contains(notText, n.Data) {
			return
		}
		for _, a := range n.Attr {
			switch {
			case a.Key == "translate" && a.Val == "no":
				return
			case a.Key == "lang" && n.Data != "html":
				english = english || a.Val == "en"
			case a.Key == "aria-label" || a.Key == "title" || a.Key == "alt" || n.Data == "p" && strings.HasPrefix(a.Key, "data-"):
				p.text(a.Val)
			}
		}
	case html.TextNode:
		if !english {
			p.text(n.Data)
		} else if s := strings.TrimSpace(n.Data); s != "" {
			p.marked[s] = true
		}
		return
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		p.read(c, english)
	}
}

// text looks at what stands outside the translated.
func (p *reading) text(s string) {
	outside := ""
	for _, r := range s {
		switch {
		case r == '⟦':
			p.depth++
			p.texts++
		case r == '⟧':
			p.depth--
		case p.depth == 0:
			outside += string(r)
		}
	}
	left := units.ReplaceAllString(p.names.Replace(outside), " ")
	if strings.ContainsFunc(left, unicode.IsLetter) {
		p.stray = append(p.stray, strings.TrimSpace(s))
	}
}

// units are the program's name, what numbers carry, days and times, the letters of
// parts and choices, designations of threads, codes of sheets, and what was typed.
var units = regexp.MustCompile(`“[^”]*”|\b[A-Z0-9]{4}-[A-Z0-9]{4}\b|[A-Z][a-z]{2}, \d+ [A-Z][a-z]{2} \d{4}, \d+:\d+ UTC|\b(?:halfnut|mm|in|tpi|rev/min|mm/s|s|min|MiB|UTC|U|x|csv|zip|gz|jsonl|read|mark|manage|\d*[a-h]|[A-H]\.|M\d\S*|Tr|P\d*)\b`)

// names are what people have called things, and codes.
func (s *service) names(t *testing.T) *strings.Replacer {
	t.Helper()
	ctx := t.Context()
	var list []string
	w, err := s.Workshop(ctx, s.instructor)
	require.NoError(t, err)
	list = append(list, w.Name, s.class.Name, s.class.JoiningCode)
	works, err := s.OwnWork(ctx, s.instructor)
	require.NoError(t, err)
	for _, w := range works {
		if w.Kind != curriculum.WorkRecompute { // which has its title from us
			list = append(list, w.Title)
		}
	}
	for _, v := range s.variants {
		list = append(list, worksheets.CodeText(v.Code))
	}
	learners, err := s.KnownLearners(ctx, s.instructor)
	require.NoError(t, err)
	for _, l := range learners {
		list = append(list, l.Name)
	}
	lathes, err := s.Lathes(ctx, s.instructor)
	require.NoError(t, err)
	for _, l := range lathes {
		list = append(list, l.Name)
	}
	staff, err := s.Staff(ctx, s.instructor)
	require.NoError(t, err)
	for _, p := range staff {
		list = append(list, p.Name)
	}
	sets, err := s.Sets(ctx, s.instructor, s.class.ID)
	require.NoError(t, err)
	for _, x := range sets {
		list = append(list, x.Spec.Title)
	}
	list = append(list, s.over.Name, s.over.Ended.Reason)
	listed, err := s.Learners(ctx, s.instructor, s.over.ID)
	require.NoError(t, err)
	for _, l := range listed {
		list = append(list, l.Name)
	}
	for _, p := range staff {
		if p.Ended != nil {
			list = append(list, p.Ended.Reason)
		}
	}
	sessions, err := s.ShopSessions(ctx, s.instructor, s.class.ID)
	require.NoError(t, err)
	for _, x := range sessions {
		list = append(list, x.Spec.Title)
		for _, station := range x.Spec.Stations {
			list = append(list, station.Name)
		}
	}
	slices.SortFunc(list, func(a, b string) int { return len(b) - len(a) })
	var pairs []string
	for _, name := range list {
		if name != "" {
			pairs = append(pairs, name, " ")
		}
	}
	return strings.NewReplacer(pairs...)
}

// everybodySignedIn are the sessions of those who look at the shots.
func (s *service) everybodySignedIn(t *testing.T) map[string]string {
	t.Helper()
	ctx := t.Context()
	out := map[string]string{"visitor": "", "nobody": ""}
	first, err := s.FirstInstructor(ctx, s.instructor.Workshop)
	require.NoError(t, err)
	link, err := s.NewLink(ctx, first)
	require.NoError(t, err)
	out["instructor"], _, err = s.UseLink(ctx, link)
	require.NoError(t, err)
	_, link, err = s.AddPerson(ctx, s.instructor, "Door", curriculum.RoleSteward)
	require.NoError(t, err)
	out["steward"], _, err = s.UseLink(ctx, link)
	require.NoError(t, err)
	out["learner"], _, err = s.Join(ctx, s.class.JoiningCode, s.variants[0].Learner, "4711")
	require.NoError(t, err)
	return out
}
