package api_test

import (
	_ "embed"
	"net/url"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store/storetest"
)

// axe-core 4.14.1, MPL-2.0; its licence lies beside it.
//
//go:embed testdata/axe/axe.min.js
var axe string

// audit fails for every rule of WCAG 2.2 AA and of good practice that axe-core
// finds broken on the page.
func (p person) audit() {
	p.t.Helper()
	p.script(axe + `; ""`)
	found, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](
		`axe.run().then(r => r.violations.map(v => v.id + " (" + v.help + "): " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 160)).join(" | ")).join("\n"))`, chromedp.EvalAwaitPromise))
	require.NoError(p.t, err)
	assert.Empty(p.t, found, "axe at %s", p.script(`location.pathname`))
}

// TestPagesAreAccessible looks at every page, as those see it who may, on a phone
// and on a laptop: nothing runs over, axe finds nothing.
func TestPagesAreAccessible(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	address := url.Values{}
	for id, text := range benchTyped {
		address.Set(id, text)
	}
	anybody := []string{"/", "/bench", "/bench?" + address.Encode(), "/bench?pitch=0+mm", "/join", "/join?code=" + s.class.JoiningCode, "/join?code=NOSUCH", "/link/x", "/nothing-here"}
	instructor := []string{"/classes", "/classes/" + s.class.ID, "/sets/" + s.set.ID, "/sheets/" + s.variants[0].Code + "/answers", "/lathes", "/lathes/" + s.lathe.ID}
	learner := []string{"/sheets", "/sheets/" + s.variants[0].Code, "/sheets/" + s.variants[0].Code + "?one=2", "/plan", "/skills"}
	for _, width := range []int64{360, 1280} {
		look := func(p person, pages []string) {
			for _, page := range pages {
				p.open(page)
				p.fits()
				p.audit()
			}
		}
		look(s.newPerson(t, width), anybody)
		look(s.signedIn(t, width), instructor)
		look(s.joined(t, width), learner)
	}
}

// signedIn is an instructor who used a link of their own.
func (s *service) signedIn(t *testing.T, width int64) person {
	t.Helper()
	first, err := s.FirstInstructor(t.Context(), s.instructor.Workshop)
	require.NoError(t, err)
	link, err := s.NewLink(t.Context(), first)
	require.NoError(t, err)
	p := s.newPerson(t, width)
	p.open("/link/" + link)
	p.press("main button")
	return p
}

// joined is the learner of the first seat.
func (s *service) joined(t *testing.T, width int64) person {
	t.Helper()
	p := s.newPerson(t, width)
	p.open("/join?code=" + s.class.JoiningCode)
	p.write("#learner", s.variants[0].Learner)
	p.write("#pin", "4711")
	p.press("main button")
	return p
}
