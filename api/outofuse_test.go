package api_test

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// threeStartJob gives the first seat a job that can be cut on the lathe, with leave.
func (s *service) threeStartJob(t *testing.T) curriculum.Job {
	t.Helper()
	jobs, err := workshop.Jobs()
	require.NoError(t, err)
	request, err := threadmath.ParseRequest(jobs["jobs/three-start-m30.json"])
	require.NoError(t, err)
	request.Lathe = nil
	j, err := s.SetJob(t.Context(), s.instructor, curriculum.Job{Class: s.class.ID, Learner: s.variants[0].Learner, Lathe: s.lathe.ID, Request: request, Allowed: true, Factor: 1})
	require.NoError(t, err)
	return j
}

// evening is a shop session to come, at all lathes.
func (s *service) evening(t *testing.T) curriculum.ShopSession {
	t.Helper()
	lathes, err := s.Lathes(t.Context(), s.instructor)
	require.NoError(t, err)
	spec := curriculum.ShopSpec{Title: "Evening", CheckMinutes: 5}
	for _, l := range lathes {
		spec.Lathes = append(spec.Lathes, l.ID)
	}
	session, err := s.PlanShop(t.Context(), s.instructor, s.class.ID, time.Date(2199, 3, 4, 18, 0, 0, 0, time.UTC), spec)
	require.NoError(t, err)
	return session
}

// TestALatheOutOfUseOverJSON: the answers say so with the reason, and what would be
// new at the lathe is refused with it.
func TestALatheOutOfUseOverJSON(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		tokens := s.tokens(t)
		s.threeStartJob(t)
		ask := func(who, method, path, body string) (int, string) {
			status, _, said := s.call(t, tokens[who], method, path, "application/json", body)
			return status, said
		}
		lathe := "/v1/lathes/" + s.lathe.ID
		var out struct {
			OutOfUse *curriculum.Ending `json:"out_of_use"`
		}
		status, said := ask("instructor", "PUT", lathe+"/out-of-use", `{"reason": "chuck guard broken"}`)
		require.Equal(t, http.StatusOK, status, said)
		require.NoError(t, json.Unmarshal([]byte(said), &out))
		require.NotNil(t, out.OutOfUse)
		assert.Equal(t, "chuck guard broken", out.OutOfUse.Reason)
		assert.Equal(t, s.instructor.ID, out.OutOfUse.By)
		status, said = ask("instructor", "PUT", lathe+"/out-of-use", `{"reason": "sold"}`)
		assert.Equal(t, http.StatusConflict, status)
		assert.Contains(t, said, "already, since")
		assert.Contains(t, said, "chuck guard broken")

		const why = "): chuck guard broken"
		status, said = ask("instructor", "GET", "/v1/signoff/lathes/"+s.lathe.ID+"/today", "")
		assert.Equal(t, http.StatusOK, status)
		assert.Contains(t, said, `"may_use":[]`)
		assert.Contains(t, said, why)
		status, said = ask("learner", "GET", "/v1/signoff/learners/"+s.variants[0].Learner, "")
		assert.Equal(t, http.StatusOK, status)
		assert.Contains(t, said, why)
		card := "/v1/classes/" + s.class.ID + "/jobs/" + s.variants[0].Learner + "/bench-card.pdf"
		status, said = ask("instructor", "GET", card, "")
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, said, why)
		place := `"learner": "` + s.variants[0].Learner + `", "lathe": "` + s.lathe.ID + `", "operation": "` + signoff.Turning + `"`
		for path, body := range map[string]string{
			"/v1/signoff/check-ins":      `{` + place + `, "job": "shaft", "second": "", "dress": []}`,
			"/v1/signoff/demonstrations": `{` + place + `, "job": "shaft", "items": {}}`,
		} {
			status, said = ask("instructor", "POST", path, body)
			assert.Equal(t, http.StatusConflict, status, path)
			assert.Contains(t, said, why, path)
		}
		status, said = ask("instructor", "POST", "/v1/classes/"+s.class.ID+"/sets", `{"title": "Angles", "skills": ["index-angle"], "count": 1, "lathe": "`+s.lathe.ID+`", "units": "mm"}`)
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, said, `"/lathe"`)
		assert.Contains(t, said, why)
		status, said = ask("instructor", "POST", "/v1/classes/"+s.class.ID+"/shop-sessions", `{"begins": "2199-03-02T18:00:00Z", "spec": {"title": "Evening", "check_minutes": 5, "lathes": ["`+s.lathe.ID+`"]}}`)
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, said, `"/spec/lathes/0"`)
		for _, path := range []string{lathe + "/poster.pdf", lathe + "/survey.pdf", lathe + "/checks"} {
			status, said = ask("instructor", "GET", path, "")
			assert.Equal(t, http.StatusOK, status, "%s: %.80s", path, said)
		}

		status, said = ask("instructor", "DELETE", lathe+"/out-of-use", "")
		require.Equal(t, http.StatusOK, status, said)
		assert.NotContains(t, said, "out_of_use")
		status, said = ask("instructor", "GET", card, "")
		assert.Equal(t, http.StatusOK, status, "%.200s", said)
	})
}

// TestALatheOutOfUseIsShown: a steward on a phone takes a lathe out of use at the
// list of who may use it; everybody sees it by word and shape, and an instructor
// puts it back.
func TestALatheOutOfUseIsShown(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	s.threeStartJob(t)
	board := "/shop-sessions/" + s.evening(t).ID
	looked := func(p person, path string) {
		t.Helper()
		p.open(path)
		p.fits()
		p.audit()
	}
	today := "/signoff/lathes/" + s.lathe.ID
	door := s.door(t, 360)
	door.open(today)
	door.follow(`a[href$="#out-of-use"]`)
	door.fits()
	door.audit()
	door.write("#reason", "chuck guard broken")
	require.EqualValues(t, http.StatusOK, door.press("#out-of-use button"))
	assert.Equal(t, today, door.script(`location.pathname`))
	assert.Contains(t, door.text("main"), "Nobody.")
	for _, says := range []string{"out of use", "says door: chuck guard broken", "does not replace the lock or the tag"} {
		assert.Contains(t, strings.ToLower(door.text(".ended")), says)
	}
	door.fits()
	door.audit()
	looked(door, "/lathes/"+s.lathe.ID)
	assert.Equal(t, "false", door.script(`String(!!document.querySelector("[name=back]"))`), "only an instructor puts it back")
	looked(door, "/signoff")
	assert.Contains(t, strings.ToLower(door.text(`a[href="`+today+`"]`)), "out of use")

	learner := s.joined(t, 360)
	looked(learner, "/signoff")
	assert.Contains(t, learner.text("main"), "this lathe is out of use since")
	assert.Contains(t, learner.text("main"), "(Door): chuck guard broken")

	instructor := s.signedIn(t, 1280)
	looked(instructor, "/lathes")
	assert.Contains(t, strings.ToLower(instructor.text(`a[href="/lathes/`+s.lathe.ID+`"]`)), "out of use")
	for _, path := range []string{"", "/course", "/shop"} {
		looked(instructor, "/classes/"+s.class.ID+path)
		assert.Equal(t, "false", instructor.script(`String(!!document.querySelector("[value='`+s.lathe.ID+`']"))`), "it is not offered: %s", path)
	}
	looked(instructor, "/classes/"+s.class.ID+"/jobs?learner="+s.variants[0].Learner)
	assert.Contains(t, instructor.text("#lathe option:checked"), "(out of use)", "the job that has it keeps it")
	assert.Contains(t, instructor.text("table"), "The lathe is out of use since")
	looked(instructor, board)
	assert.Contains(t, instructor.text(".ended"), "Nobody may take these turns: "+s.variants[0].Name)
	assert.Contains(t, strings.ToLower(instructor.text("table.board thead")), "out of use")
	require.EqualValues(t, http.StatusOK, instructor.press("form[action$='/people'] button"))
	assert.Contains(t, instructor.text(".done"), s.variants[0].Name+" has no turn any more.")
	assert.Contains(t, instructor.text("#left + ul"), "chuck guard broken")
	assert.Contains(t, instructor.text(".ended"), "No turn is planned at it.")

	instructor.open("/lathes/" + s.lathe.ID)
	require.EqualValues(t, http.StatusOK, instructor.press("[name=back]"))
	assert.Equal(t, "false", instructor.script(`String(!!document.querySelector(".ended"))`))
	events, _, err := s.Events(t.Context(), s.instructor, curriculum.EventQuery{About: s.lathe.ID, Most: practice.UsualEvents})
	require.NoError(t, err)
	assert.Equal(t, "lathe put back in use", events[0].What)
	looked(instructor, "/events?about="+s.lathe.ID)
	assert.Contains(t, instructor.text("table"), "lathe taken out of use: chuck guard broken")
}

// TestACalledOffSession: the list, the board, its sheet and its calendar say so, and
// nothing of it is changed until it is held after all.
func TestACalledOffSession(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	s.threeStartJob(t)
	session := s.evening(t)
	board := "/shop-sessions/" + session.ID
	token := s.tokens(t)["instructor"]
	for _, width := range []int64{360, 1280} {
		p := s.signedIn(t, width)
		p.open(board)
		p.script(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
		p.write("#reason", "no heating")
		require.EqualValues(t, http.StatusOK, p.press("form[action$='/called-off'] button"))
		for _, path := range []string{board, "/classes/" + s.class.ID + "/shop"} {
			p.open(path)
			assert.Contains(t, strings.ToLower(p.text("main")), "called off")
			assert.Contains(t, p.text("main"), "no heating")
			assert.Equal(t, "Evening", p.text("main s"), "it is crossed out")
			p.fits()
			p.audit()
		}
		p.open(board)
		assert.Equal(t, "0", p.script(`String(document.querySelectorAll("form[action$='/move'], form[action$='/people'] button, input[name=zone]").length)`), "it is not planned again")
		status, header, _ := s.call(t, token, "GET", "/v1"+board, "", "")
		require.Equal(t, http.StatusOK, status)
		status, _, said := s.send(t, "PUT", "/v1"+board, `{"begins": "2199-03-04T18:00:00Z", "spec": {"title": "Evening"}}`, map[string]string{"Authorization": "Bearer " + token, "If-Match": header.Get("ETag"), "Content-Type": "application/json"})
		assert.Equal(t, http.StatusConflict, status)
		assert.Contains(t, said, "called off since")
		_, _, sheet := s.call(t, token, "GET", "/v1"+board+"/board.pdf?format=html", "", "")
		assert.Contains(t, sheet, `<p class="watermark">CALLED OFF</p>`)
		assert.Contains(t, sheet, "no heating")
		_, _, calendar := s.call(t, token, "GET", "/v1"+board+"/session.ics", "", "")
		assert.Equal(t, strings.Count(calendar, "BEGIN:VEVENT"), strings.Count(calendar, "STATUS:CANCELLED"))
		require.EqualValues(t, http.StatusOK, p.press("[name=back]"))
		assert.NotContains(t, strings.ToLower(p.text("h1")), "called off")
		_, _, calendar = s.call(t, token, "GET", "/v1"+board+"/session.ics", "", "")
		assert.NotContains(t, calendar, "CANCELLED")
	}
}

// TestAWithdrawnSet: the class's list and the set's page say so with its marks, a
// learner who has the sheet open is told and nothing of theirs waits for ever.
func TestAWithdrawnSet(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	sheet := "/sheets/" + s.variants[0].Code
	learner := s.joined(t, 360)
	learner.open(sheet)
	p := s.signedIn(t, 1280)
	p.open("/sets/" + s.set.ID)
	p.script(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
	p.write("#reason", "wrong lathe")
	require.EqualValues(t, http.StatusOK, p.press("form[action$='/withdrawn'] button"))
	for _, path := range []string{"/sets/" + s.set.ID, "/classes/" + s.class.ID} {
		p.open(path)
		assert.Contains(t, strings.ToLower(p.text("main")), "withdrawn")
		assert.Contains(t, p.text("main"), "wrong lathe")
		assert.Equal(t, s.set.Spec.Title, p.text("main s"))
		p.fits()
		p.audit()
	}
	p.open("/sets/" + s.set.ID)
	assert.Contains(t, p.text("table"), s.variants[0].Name, "the marks can be looked at")
	assert.Contains(t, p.text(".ended"), "keeps counting")
	for _, name := range []string{"worksheets.pdf", "key.pdf", "grid.pdf", "cover.pdf", "pack.zip"} {
		status, _, said := s.call(t, token, "GET", "/v1/sets/"+s.set.ID+"/"+name, "", "")
		assert.Equal(t, http.StatusConflict, status, name)
		assert.Contains(t, said, "wrong lathe", name)
	}

	learner.script(`document.querySelector("#e1 input:not([type=hidden])").value = "12 mm"; document.querySelector("#e1 button.check").click(); ""`)
	learner.until(`document.querySelector("#problem")`)
	assert.Contains(t, learner.text("main"), "this sheet is withdrawn since")
	assert.Contains(t, learner.text("main"), "wrong lathe")
	assert.Equal(t, "null", learner.script(`String(localStorage.getItem("halfnut.answers"))`), "the browser keeps nothing waiting")
	learner.fits()
	learner.open("/sheets")
	assert.NotContains(t, learner.text("main"), s.set.Spec.Title)

	// What was kept while the network was away is given up as well.
	learner.script(`localStorage.setItem("halfnut.answers", JSON.stringify([{to: ` + quoted(sheet+"/1") + `, body: "try=0190c5ce-7a5f-7000-8000-00000000000a&part.a=12+mm", page: ` + quoted(sheet) + `, section: "e1", at: Date.now()}])); ""`)
	other, sheets, err := s.BuildSet(t.Context(), s.instructor, s.class.ID, curriculum.SetSpec{Title: "Others", Skills: []string{"lead"}, Count: 1, Lathe: s.lathe.ID, Units: "mm"})
	require.NoError(t, err)
	assert.Nil(t, other.Withdrawn)
	learner.open("/sheets/" + sheets[0].Code)
	learner.until(`localStorage.getItem("halfnut.answers") === null`)
}
