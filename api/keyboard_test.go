package api_test

import (
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/store/storetest"
)

// tabTo presses Tab until the focus is on what is looked for. Everything that it
// meets on the way must show that it has the focus.
func (p person) tabTo(selector string) {
	p.t.Helper()
	for range 80 {
		p.keys(kb.Tab)
		if p.script(`document.activeElement === document.body ? "none" : getComputedStyle(document.activeElement).outlineStyle`) == "none" && p.script(`document.activeElement.tagName`) != "BODY" {
			assert.Fail(p.t, "the focus cannot be seen", "%s at %s", p.script(`document.activeElement.outerHTML.slice(0, 120)`), p.script(`location.pathname`))
		}
		if p.script(`String(document.activeElement.matches(`+strconv.Quote(selector)+`))`) == "true" {
			return
		}
	}
	require.Fail(p.t, "Tab does not come to it", selector)
}

func (p person) keys(keys string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(keys)))
}

// enter presses Enter and waits for the page that comes.
func (p person) enter(shows string) {
	p.t.Helper()
	p.keys(kb.Enter)
	p.until(`document.querySelector("main")?.textContent.includes(` + strconv.Quote(shows) + `)`)
}

// TestKeyboardAlone: a learner joins, opens a sheet and answers, and a steward
// looks somebody up and checks in, with the keyboard alone and without script.
func TestKeyboardAlone(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.newPerson(t, 360)
	p.withoutScript()
	p.open("/")
	p.keys(kb.Tab)
	assert.Equal(t, "To the content", p.script(`document.activeElement.innerText`), "the first Tab leads past the header")
	p.open("/join")
	p.tabTo("#code")
	p.keys(s.class.JoiningCode)
	p.enter("Your name on the class list")
	p.tabTo("#learner")
	p.keys(s.variants[1].Name[:3])
	assert.Equal(t, s.variants[1].Learner, p.script(`document.querySelector("#learner").value`))
	p.tabTo("#pin")
	p.keys("4711")
	p.enter("my sheets")
	p.tabTo(".rows a")
	p.enter("Exercise 1")
	p.tabTo("#p1a")
	p.keys(s.variants[1].Exercises[0].Givens.Values["P"])
	p.enter("one groove")
	tries, err := s.Progress(t.Context(), s.instructor, s.variants[1].Code)
	require.NoError(t, err)
	assert.Equal(t, 1, tries[1].Attempt.Try, "Enter sends the answer and asks for no hint")
	assert.False(t, tries[1].Attempt.Hinted)

	door := s.door(t, 360)
	door.withoutScript()
	door.open("/signoff")
	door.tabTo("#q")
	door.keys(s.variants[0].Name)
	door.enter("Basic turning")
	door.tabTo("main .rows a")
	door.enter("Check in at the lathe")
	door.tabTo("summary")
	door.keys(kb.Enter)
	door.tabTo("#check-in-job")
	door.keys("stepped shaft")
	door.keys(kb.Enter)
	door.focused("check-in-dress")
	assert.Equal(t, "stepped shaft", door.script(`document.querySelector("#check-in-job").value`))
}
