package api_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// master puts the learner of the first seat at the gate of every skill, without
// the weeks.
func (s *service) master(t *testing.T, db *store.DB) {
	t.Helper()
	v := s.variants[0]
	_, err := db.RecordAttempts(t.Context(), []curriculum.Attempt{{
		ID: uuid.NewString(), Variant: v.Code, Position: 2, Exercise: v.Exercises[1].ID, Learner: v.Learner, Source: curriculum.SourceTyped,
		Answers: map[string]string{}, At: v.Created, By: v.Learner,
	}}, func(cells curriculum.Cells, _ []curriculum.Attempt, a curriculum.Attempt) {
		for _, skill := range curriculum.Skills() {
			cells[skill.Slug] = &curriculum.Cell{Learner: a.Learner, Skill: skill.Slug, Known: 0.99, Chances: 4, Rights: 4, LastRight: true, Last: a.At, Days: 2, RightOn: []string{"a", "b", "c"},
				WorkedOn: []string{"a", "b", "c"}, RightBy: modelsOf(t, skill.Slug)}
		}
	})
	require.NoError(t, err)
}

// door is a steward at their own browser.
func (s *service) door(t *testing.T, width int64) person {
	t.Helper()
	_, link, err := s.AddPerson(t.Context(), s.instructor, "Door", curriculum.RoleSteward)
	require.NoError(t, err)
	p := s.newPerson(t, width)
	p.open("/link/" + link)
	p.press("main button")
	return p
}

// TestSignOffPages goes through the sign-off in a real browser: look up,
// theory in one sitting, a demonstration with its checklist, a revocation; what
// cannot be used says where and keeps what was typed.
func TestSignOffPages(t *testing.T) {
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	s := start(t, db)
	s.master(t, db)
	who := s.variants[0]
	file := "/signoff/learners/" + who.Learner + "/lathes/" + s.lathe.ID + "/turning"

	instructor := s.signedIn(t, 1280)
	instructor.open("/people")
	instructor.write("#name", "Second steward")
	require.EqualValues(t, 201, instructor.press("#add button"))
	first := instructor.text(".done")
	assert.Contains(t, first, "/link/")
	require.EqualValues(t, 201, instructor.press("table button"))
	assert.Contains(t, instructor.text(".done"), "/link/")
	assert.NotEqual(t, first, instructor.text(".done"), "a link of their own")
	instructor.open("/signoff/rules")
	instructor.write("#pass_mark", "70")
	require.EqualValues(t, 422, instructor.press("main form button"))
	instructor.focused("pass_mark")
	assert.Equal(t, "70", instructor.script(`document.querySelector("#pass_mark").value`), "what was typed is kept")
	instructor.write("#pass_mark", "80")
	require.EqualValues(t, 200, instructor.press("main form button"))

	instructor.open(file)
	instructor.script(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
	require.EqualValues(t, 200, instructor.press("form[action$='/theory'] button"))
	path := instructor.script(`location.pathname`)
	assert.Contains(t, path, "/signoff/sittings/")
	assert.NotContains(t, instructor.script(`document.documentElement.outerHTML`), "Worked solution")
	instructor.fits()
	instructor.audit()

	// The learner sees the open sitting and hands it in.
	learner := s.joined(t, 360)
	learner.open("/signoff")
	learner.fits()
	learner.audit()
	learner.follow("main .done a")
	assert.Equal(t, path, learner.script(`location.pathname`))
	sitting, err := s.Sitting(t.Context(), s.instructor, path[strings.LastIndex(path, "/")+1:])
	require.NoError(t, err)
	for i, e := range sitting.Exercises {
		for _, p := range e.Parts {
			field := "a" + strconv.Itoa(i+1) + "." + p.ID
			if p.Kind == curriculum.KindChoice {
				learner.script(`document.querySelector('input[name="` + field + `"][value="` + p.Answer.Text + `"]').checked = true; ""`)
				continue
			}
			text := p.Answer.String()
			if p.Answer.Length != nil {
				text = lengthText(p)
			}
			learner.script(`document.getElementById("` + field + `").value = ` + quoted(text) + `; ""`)
		}
	}
	require.EqualValues(t, 200, learner.press("main form button"))
	assert.Contains(t, learner.text("main .done"), "Passed")
	learner.fits()
	learner.audit()
	learner.open(file)
	assert.NotContains(t, learner.script(`document.documentElement.outerHTML`), "Revoke", "a learner only looks")

	// The steward at the door, on a phone.
	door := s.door(t, 360)
	assert.Equal(t, "/signoff", door.script(`location.pathname`))
	door.write("#q", strings.ToUpper(who.Name))
	door.press("main form button")
	assert.Equal(t, who.Name, door.text("h1"))
	door.fits()
	door.audit()
	door.open(file)
	door.fits()
	assert.Contains(t, door.text(".lead"), "no")
	open := `document.querySelectorAll("details").forEach(d => d.open = true); ""`
	door.script(open)
	door.audit()
	door.write("#witness-job", "stepped shaft")
	require.EqualValues(t, 422, door.press("form[action$='/witness'] button"))
	assert.Equal(t, "stepped shaft", door.script(`document.querySelector("#witness-job").value`))
	door.focused("witness-item-dress")
	door.fits()
	door.audit()
	door.script(`document.querySelectorAll("input[value=done]").forEach(i => i.checked = true); ""`)
	require.EqualValues(t, 200, door.press("form[action$='/witness'] button"))
	assert.Contains(t, door.text(".ticks"), "1 of 2 days")
	door.script(open)
	require.EqualValues(t, 409, door.press("form[action$='/re-check'] button"))
	assert.Contains(t, door.text(".problem"), "there is none")
	assert.Equal(t, "0", door.script(`String(document.querySelectorAll("form[action$='/decide']").length)`), "deciding is an instructor's")

	// The code on a card.
	card, err := s.SignOffCard(t.Context(), s.instructor, who.Learner)
	require.NoError(t, err)
	door.open("/signoff/cards/" + card.Code)
	assert.Equal(t, who.Name, door.text("h1"), "the code on the card leads to its person")
	door.open("/signoff/lathes/" + s.lathe.ID)
	assert.Contains(t, door.text("main"), "Nobody")
	door.fits()
	door.audit()

	// The instructor measures: limits come from the thread.
	piece := "/signoff/learners/" + who.Learner + "/lathes/" + s.lathe.ID + "/multi-start"
	instructor.open(piece + "?thread=Tr+24x10+P5")
	assert.Equal(t, "49.95 mm", instructor.script(`document.querySelector("#piece-low-0").value`))
	instructor.fits()
	instructor.audit()
	instructor.write("#piece-instrument", "calliper")
	require.EqualValues(t, 422, instructor.press("form[action$='/piece'] button"))
	instructor.focused("piece-measured-0")
	assert.Equal(t, "calliper", instructor.script(`document.querySelector("#piece-instrument").value`))
	instructor.open(piece + "?thread=nonsense")
	instructor.focused("piece-thread")
	for _, page := range []string{"/people", "/signoff", "/signoff/rules", "/signoff/learners/" + who.Learner, file} {
		instructor.open(page)
		instructor.fits()
		instructor.audit()
	}
}

func quoted(text string) string { return `"` + strings.ReplaceAll(text, `"`, `\"`) + `"` }

// follow opens what a link leads to.
func (p person) follow(selector string) {
	p.t.Helper()
	href := p.script(`document.querySelector(` + quoted(selector) + `).getAttribute("href")`)
	p.open(href)
}

// modelsOf are the names of a skill's item models.
func modelsOf(t *testing.T, skill string) []string {
	t.Helper()
	models, err := generate.Models(skill)
	require.NoError(t, err)
	out := make([]string, len(models))
	for i, m := range models {
		out[i] = m.Name
	}
	return out
}
