package api_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// cutTyped is a job that gets a bench card on Lathe 2, by the ids of the form.
var cutTyped = map[string]string{
	"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": "3", "length": "45 mm", "first_cut": "0.25 mm", "least_cut": "0.03 mm",
	"spring_passes": "2", "tool_flat": "0.25 mm", "spindle_rpm": "40", "reaction": "0.7", "groove": "8 mm", "tool_width": "3 mm",
}

// lathe2 is the id of the demo's second lathe.
func (s *service) lathe2(t *testing.T) string {
	t.Helper()
	ls, err := s.Lathes(t.Context(), s.instructor)
	require.NoError(t, err)
	for _, l := range ls {
		if l.Name == "Lathe 2" {
			return l.ID
		}
	}
	require.Fail(t, "no Lathe 2")
	return ""
}

// TestShopPages gives jobs, plans a session, moves a learner by hand and sees what
// comes of it; what cannot be used says where, and a second editor loses nothing.
func TestShopPages(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	lathe, class := s.lathe2(t), "/classes/"+s.class.ID
	who, second := s.variants[0], s.variants[1]
	p := s.signedIn(t, 1280)

	p.open(class + "/jobs?learner=" + who.Learner)
	for id, text := range cutTyped {
		p.write("#"+id, text)
	}
	p.write("#lathe", lathe)
	p.write("#factor", "5")
	p.script(`document.querySelector("input[name=allowed]").checked = true; document.querySelector("input[name=rest]").checked = true; ""`)
	require.EqualValues(t, 422, p.press("#job form button"))
	p.focused("factor")
	assert.Equal(t, "30 mm", p.script(`document.querySelector("#diameter").value`), "what was typed is kept")
	p.write("#factor", "1")
	require.EqualValues(t, 200, p.press("#job form button"))
	jobs, err := s.Jobs(t.Context(), s.instructor, s.class.ID)
	require.NoError(t, err)
	require.Len(t, jobs, 12, "the rest have the same job")
	assert.Equal(t, "instructor", jobs[0].AllowedBy)
	assert.Contains(t, jobs[1].Why, "not allowed")
	assert.Contains(t, p.text("main"), "by the instructor, supervised")
	for _, v := range s.variants[1:4] {
		p.open(class + "/jobs?learner=" + v.Learner)
		p.script(`document.querySelector("input[name=allowed]").checked = true; ""`)
		require.EqualValues(t, 200, p.press("#job form button"))
	}

	p.open(class + "/shop")
	assert.Contains(t, p.text("main"), "4 of them can take a turn")
	p.write("#title", "Three starts")
	p.write("#zone", "Nowhere/Else")
	p.script(`document.querySelectorAll("input[name=lathes]").forEach(i => i.checked = i.value === ` + quoted(lathe) + `); document.querySelector("#begins").value = "2199-03-04T18:00"; ""`)
	require.EqualValues(t, 422, p.press("main form button"))
	p.focused("zone")
	assert.Equal(t, "Three starts", p.script(`document.querySelector("#title").value`))
	p.write("#zone", "Europe/Prague")
	require.EqualValues(t, 200, p.press("main form button"))
	board := p.script(`location.pathname`)
	id := strings.TrimPrefix(board, "/shop-sessions/")
	assert.Contains(t, p.text("#left + ul"), "not allowed at a lathe yet")
	assert.Contains(t, p.text("table.board"), who.Name)

	// Somebody else has the same page open.
	other := s.signedIn(t, 360)
	other.withoutScript()
	other.open(board)

	move := "form[action$='/move'] button:not([name])"
	p.write("#learner", second.Learner)
	p.write("#begin", "23:59")
	require.EqualValues(t, 422, p.press(move))
	p.focused("begin")
	assert.Equal(t, second.Learner, p.script(`document.querySelector("#learner").value`))
	p.write("#begin", "19:30")
	require.EqualValues(t, 200, p.press(move))
	assert.Contains(t, p.text(".done"), second.Name+" moves from 6:25 pm at Lathe 2 to 7:30 pm at Lathe 2")
	session, err := s.ShopSession(t.Context(), s.instructor, id)
	require.NoError(t, err)
	require.Len(t, session.Spec.Fixed, 1)
	assert.Equal(t, curriculum.Fixed{Learner: second.Learner, Place: lathe, Begin: session.Spec.Fixed[0].Begin}, session.Spec.Fixed[0])
	assert.Equal(t, 90, *session.Spec.Fixed[0].Begin, "19:30 is 90 minutes into it")

	other.write("#learner", who.Learner)
	other.write("#begin", "18:30")
	require.EqualValues(t, 409, other.press(move))
	assert.Contains(t, other.text(".problem"), "Somebody else has changed this session meanwhile")
	assert.Equal(t, "18:30", other.script(`document.querySelector("#begin").value`), "what was chosen is kept")
	require.EqualValues(t, 200, other.press(move), "on the board as it is now")
	session, err = s.ShopSession(t.Context(), s.instructor, id)
	require.NoError(t, err)
	assert.Len(t, session.Spec.Fixed, 2, "the first editor's move stands")

	p.open(board)
	p.write("#learner", who.Learner)
	require.EqualValues(t, 200, p.press("button[name=release]"))
	p.script(`document.querySelector("input[name=away][value='` + second.Learner + `']").checked = true; ""`)
	require.EqualValues(t, 200, p.press("form[action$='/people'] button"))
	assert.Contains(t, p.text(".done"), second.Name+" has no turn any more")
	session, err = s.ShopSession(t.Context(), s.instructor, id)
	require.NoError(t, err)
	assert.Empty(t, session.Spec.Fixed, "nobody is fixed who is away")
	assert.Equal(t, []string{second.Learner}, session.Spec.Away)
	p.script(`document.querySelector("details").open = true; document.querySelector("#minutes").value = "0"; ""`)
	require.EqualValues(t, 422, p.press("form[action='"+board+"'] button"))
	p.focused("minutes")
	p.write("#minutes", "180")
	require.EqualValues(t, 200, p.press("form[action='"+board+"'] button"))

	pages := []string{class, class + "/jobs", class + "/jobs?learner=" + who.Learner, class + "/shop", board, board + "?move=" + who.Learner}
	for _, width := range []int64{360, 1280} {
		p := s.signedIn(t, width)
		for _, page := range pages {
			p.open(page)
			p.script(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
			p.fits()
			p.audit()
		}
	}
}

// TestRosterPages uploads a class list with a bad line, and looks at how the
// exercises turn out.
func TestRosterPages(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 360)
	p.open("/classes/" + s.class.ID)
	choose := func() {
		p.script(`(() => { const f = new DataTransfer(); f.items.add(new File(["seat,name,class\n1,Wanda Q.,\nx,Nobody,\n"], "list.csv")); document.querySelector("#roster").files = f.files; return "" })()`)
	}
	choose()
	require.EqualValues(t, 422, p.press("form[action$='/roster'] button"))
	assert.Contains(t, p.text(".problem"), "line 3")
	choose()
	p.script(`document.querySelector("input[name=partial]").checked = true; ""`)
	require.EqualValues(t, 200, p.press("form[action$='/roster'] button"))
	assert.Contains(t, p.text(".done"), "1 name was added to the list")
	assert.Contains(t, p.text(".done"), "Line 3")
	p.fits()
	p.audit()
	v := s.variants[0]
	_, err := s.EnterPaper(t.Context(), s.instructor, s.set.ID, []practice.PaperAnswer{{Variant: v.Code, Position: 1, Answers: map[string]string{"a": v.Exercises[0].Givens.Values["P"]}}})
	require.NoError(t, err)
	p.open("/statistics?class=" + s.class.ID)
	assert.Contains(t, p.text("tbody"), "1 by 1")
	p.fits()
	p.audit()
}
