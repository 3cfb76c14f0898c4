package api_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store/storetest"
)

// TestEndingByPage: on a phone an instructor ends somebody and a class, makes a new
// joining code, and takes both ends back.
func TestEndingByPage(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 360)
	p.open("/people")
	assert.NotContains(t, p.text("main"), "Somebody leaves", "nobody ends themselves")
	second, _, err := s.AddPerson(t.Context(), s.instructor, "Second instructor", curriculum.RoleInstructor)
	require.NoError(t, err)

	p.open("/people")
	p.fill("#reason", "retired")
	p.press("#end button")
	left := p.text("#left + table")
	assert.Contains(t, left, second.Name)
	assert.Regexp(t, `Ended on .+ by Instructor.*: retired`, left)
	assert.NotContains(t, p.text("main table"), second.Name, "who may come in stands in another list")
	p.audit()
	p.fits()
	p.press(`form[action="/people/again"] button`)
	assert.Contains(t, p.text("main table"), second.Name)
	assert.NotContains(t, p.text("main"), "No longer here")

	class := "/classes/" + s.class.ID
	press := func(form string) {
		t.Helper()
		p.script(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
		p.press(`form[action="` + form + `"] button`)
	}
	p.open(class)
	press(class + "/joining-code")
	now, err := s.Class(t.Context(), s.instructor, s.class.ID)
	require.NoError(t, err)
	assert.NotEqual(t, s.class.JoiningCode, now.JoiningCode)
	assert.Contains(t, p.text("main"), now.JoiningCode)
	p.script(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
	p.fill("#reason", "the term is over")
	press(class + "/end")
	assert.Regexp(t, `Ended on .+ by Instructor.*: the term is over`, p.text("#ended"))
	assert.NotContains(t, p.text("main"), now.JoiningCode)
	assert.Equal(t, "null", p.script(`String(document.querySelector("#names, #newset, #roster"))`))
	p.audit()
	p.fits()
	for _, page := range []string{"/jobs", "/shop", "/course", "/learners/" + s.variants[0].Learner} {
		p.open(class + page)
		assert.Contains(t, p.text("main .notice"), "This class has ended", page)
		assert.Equal(t, "null", p.script(`String(document.querySelector("main form"))`), page)
		p.audit()
	}
	p.open("/classes")
	assert.Contains(t, p.text("main"), "No class goes on.")
	p.script(`document.querySelector("#ended").open = true; ""`)
	assert.Contains(t, p.text("#ended"), "the term is over")
	p.audit()
	p.fits()
	p.press("#ended a")
	press(class + "/reopen")
	assert.Contains(t, p.text("main"), now.JoiningCode)
}
