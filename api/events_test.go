package api_test

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// noEvent are the routes that are no GET and leave no event, with the reason.
var noEvent = map[string]string{
	"POST /v1/solve":                "keeps nothing",
	"POST /v1/bench-card.pdf":       "keeps nothing",
	"DELETE /v1/session":            "ends what the own session let in, and changes no record",
	"PUT /v1/session/units":         "how lengths are shown to oneself",
	"POST /v1/sheets/:code/answers": "an answer is its own record, with who gave it and when",
	"POST /v1/sets/:id/answers":     "an answer is its own record, with who typed it in and when",
}

// writer makes requests that write, and looks at the event that each leaves.
type writer struct {
	t       *testing.T
	s       *service
	tokens  map[string]string
	ids     map[string]string
	version string
	seen    map[string]bool
}

// write makes a request to a route as somebody; what begins with the text is in
// the log afterwards, once more than before and as theirs. It returns the answer.
func (w writer) write(who, route, path, body, what string) string {
	w.t.Helper()
	w.seen[route] = true
	before := w.events()
	method, _, _ := strings.Cut(route, " ")
	header := map[string]string{"Authorization": "Bearer " + w.tokens[who]}
	if strings.HasSuffix(route, "/roster") {
		header["Content-Type"] = "text/csv"
	}
	if w.version == "*" {
		header["If-None-Match"] = "*"
	} else if w.version != "" {
		header["If-Match"] = `"` + w.version + `"`
	}
	status, _, said := w.s.send(w.t, method, path, body, header)
	require.Less(w.t, status, 300, "%s: %s", route, said)
	var found []curriculum.Event
	for _, e := range w.events() {
		if !slices.Contains(before, e) {
			found = append(found, e)
		}
	}
	if noEvent[route] != "" {
		assert.Empty(w.t, found, route)
		return said
	}
	if assert.True(w.t, slices.ContainsFunc(found, func(e curriculum.Event) bool { return strings.HasPrefix(e.What, what) }), "%s leaves no event %q but %v", route, what, found) {
		for _, e := range found {
			assert.Equal(w.t, w.ids[who], e.Who, "%s: %s", route, e.What)
			assert.NotEmpty(w.t, e.WhoName, route)
		}
	}
	return said
}

// at is a writer under a version, or "*" for what is not there yet.
func (w writer) at(version string) writer {
	w.version = version
	return w
}

func (w writer) events() []curriculum.Event {
	w.t.Helper()
	events, more, err := w.s.Events(w.t.Context(), w.s.instructor, curriculum.EventQuery{Most: practice.MostEvents})
	require.NoError(w.t, err)
	require.False(w.t, more)
	for i := range events { // what it is called may change
		events[i].AboutName, events[i].AboutKind, events[i].WhoName = "", "", map[bool]string{true: "somebody"}[events[i].WhoName != ""]
	}
	return events
}

func idIn(t *testing.T, body string, path ...string) string {
	t.Helper()
	var v any
	require.NoError(t, json.Unmarshal([]byte(body), &v))
	for _, name := range path {
		v = v.(map[string]any)[name]
	}
	return v.(string)
}

func documentOf(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	require.NoError(t, err)
	return string(b)
}

// TestEveryWriteLeavesAnEvent goes over every route that writes: each leaves an
// event with who did it, or is listed with the reason why not. None of the
// events about sign-offs names a learner.
func TestEveryWriteLeavesAnEvent(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		ctx := t.Context()
		var ahead atomic.Int64
		s := startWith(t, db, practice.Options{Now: func() time.Time { return time.Now().Add(time.Duration(ahead.Load())) }})
		s.master(t, db)
		second, link, err := s.AddPerson(ctx, s.instructor, "Second instructor", curriculum.RoleInstructor)
		require.NoError(t, err)
		leaving, _, err := s.AddPerson(ctx, s.instructor, "Third instructor", curriculum.RoleInstructor)
		require.NoError(t, err)
		w := writer{t: t, s: s, tokens: s.tokens(t), ids: map[string]string{"instructor": s.instructor.ID, "learner": s.variants[0].Learner, "third": s.variants[2].Learner, "second": second.ID}, seen: map[string]bool{}}
		learner, lathe, class, set := s.variants[0].Learner, "/v1/lathes/"+s.lathe.ID, "/v1/classes/"+s.class.ID, "/v1/sets/"+s.set.ID

		// The doors.
		w.tokens["second"] = ""
		w.tokens["second"] = idIn(t, w.write("second", "POST /v1/session", "/v1/session", `{"link": "`+link+`"}`, "signed in by link"), "token")
		w.write("second", "PUT /v1/session/passphrase", "/v1/session/passphrase", `{"passphrase": "four quiet words at noon"}`, "passphrase set")
		w.write("second", "POST /v1/session", "/v1/session", `{"name": "Second instructor", "passphrase": "four quiet words at noon"}`, "signed in by passphrase")
		w.write("third", "POST /v1/joining", "/v1/joining", `{"joining_code": "`+s.class.JoiningCode+`", "learner": "`+s.variants[2].Learner+`", "pin": "4713"}`, "PIN chosen")
		w.write("instructor", "DELETE /v1/learners/:id/pin", "/v1/learners/"+s.variants[2].Learner+"/pin", "", "PIN cleared")
		token := idIn(t, w.write("instructor", "POST /v1/tokens", "/v1/tokens", `{"name": "Marks", "scope": "mark", "days": 3}`, "token made: mark"), "token", "id")
		w.write("instructor", "DELETE /v1/tokens/:id", "/v1/tokens/"+token, "", "token revoked")
		w.write("instructor", "POST /v1/people", "/v1/people", `{"name": "Door", "role": "steward"}`, "steward added")
		w.write("instructor", "POST /v1/people/:id/link", "/v1/people/"+second.ID+"/link", "", "link made")
		w.write("instructor", "PUT /v1/people/:id/end", "/v1/people/"+leaving.ID+"/end", `{"reason": "retired"}`, "person ended")
		w.write("instructor", "DELETE /v1/people/:id/end", "/v1/people/"+leaving.ID+"/end", "", "person let in again")
		w.write("second", "PUT /v1/session/units", "/v1/session/units", `{"units": "both"}`, "")
		w.write("second", "DELETE /v1/session", "/v1/session", "", "")

		// The workshop.
		w.write("instructor", "POST /v1/lathes", "/v1/lathes", `{"name": "Lathe 9", "profile": {}}`, "lathe added")
		w.write("instructor", "POST /v1/lathes/:id/checks", lathe+"/checks", `{"entry": "leadscrew", "what": "scratch over 10 turns", "predicted": "60 mm", "measured": "60.01 mm", "division": "0.02 mm"}`, "lathe checked")
		logged := idIn(t, w.write("instructor", "POST /v1/lathes/:id/times", lathe+"/times", `{"handling_s": 12}`, "time logged"), "id")
		w.write("instructor", "DELETE /v1/times/:id", "/v1/times/"+logged, "", "logged time taken back")
		assert.Equal(t, s.lathe.ID, w.events()[0].About, "it stands with the lathe")
		w.write("instructor", "POST /v1/classes", "/v1/classes", `{"name": "Wednesday"}`, "class created")
		w.write("instructor", "POST /v1/classes/:id/learners", class+"/learners", `{"names": ["New One"]}`, "1 learners added")
		w.write("instructor", "DELETE /v1/classes/:id/learners/:learner", class+"/learners/"+s.variants[6].Learner, "", "learner taken off")
		w.write("instructor", "POST /v1/classes/:id/learners", class+"/learners", `{"known": ["`+s.variants[6].Learner+`"]}`, "put on a class list")
		w.write("instructor", "POST /v1/classes/:id/roster", class+"/roster", "seat,name,class\n90,From a list,\n", "1 learners added")
		w.write("instructor", "PUT /v1/classes/:id/end", class+"/end", `{}`, "class ended")
		w.write("instructor", "DELETE /v1/classes/:id/end", class+"/end", "", "class opened again")
		w.write("instructor", "POST /v1/classes/:id/joining-code", class+"/joining-code", "", "joining code made anew")
		now, err := s.Class(ctx, s.instructor, s.class.ID)
		require.NoError(t, err)
		w.at(documentOf(t, now.Version)).write("instructor", "PUT /v1/classes/:id", class, `{"name": "Thursday"}`, "class renamed")
		w.at("1").write("instructor", "PUT /v1/classes/:id/learners/:learner", class+"/learners/"+s.variants[4].Learner, `{"name": "Another Name", "seat": 2}`, "learner changed")
		w.at("1").write("instructor", "PUT /v1/workshop", "/v1/workshop", `{"name": "Shed Ten", "units": "mm"}`, "workshop changed")
		w.write("instructor", "PUT /v1/classes/:id/course", class+"/course", documentOf(t, map[string]any{
			"title": "Nuts", "thread": map[string]any{"pitch": "2 mm", "starts": 3}, "lathe": s.lathe.ID, "units": "mm", "first": "2999-01-06T18:30:00Z", "every_days": 7,
			"minutes": 150, "date": "2999-03-10T18:30:00Z", "practice_days": 3, "practice_size": 6}), "course set")

		// Sets, sheets, answers, overrules.
		w.write("instructor", "POST /v1/classes/:id/sets", class+"/sets", `{"title": "Angles", "skills": ["index-angle"], "count": 1, "lathe": "`+s.lathe.ID+`", "units": "mm"}`, "class set built")
		w.write("learner", "POST /v1/learners/:id/sheets", "/v1/learners/"+learner+"/sheets", "", "class set built")
		w.write("learner", "POST /v1/sheets/:code/answers", "/v1/sheets/"+s.variants[0].Code+"/answers", `{"id": "0190c5ce-7a5f-7000-8000-000000000001", "position": 1, "answers": {"a": "1,250"}}`, "")
		w.write("instructor", "POST /v1/sets/:id/answers", set+"/answers", `{"answers": [{"variant": "`+s.variants[1].Code+`", "position": 1, "answers": {"a": "997 mm"}}]}`, "")
		_, tries, err := s.Tries(ctx, s.instructor, s.variants[1].Code)
		require.NoError(t, err)
		w.write("instructor", "POST /v1/attempts/:id/overrules", "/v1/attempts/"+tries[0].ID+"/overrules", `{"part": "a", "to": "right", "reason": "the sheet was smudged"}`, "verdict overruled")
		w.write("instructor", "PUT /v1/sets/:id/withdrawn", set+"/withdrawn", `{"reason": "wrong lathe"}`, "class set withdrawn: wrong lathe")
		w.write("instructor", "DELETE /v1/sets/:id/withdrawn", set+"/withdrawn", "", "class set brought back")
		w.write("instructor", "POST /v1/sets/:id/pack", set+"/pack", "", "work asked for: class-pack")
		w.write("instructor", "POST /v1/recompute", "/v1/recompute", `{"write": true}`, "work asked for: recompute")
		export := idIn(t, w.write("instructor", "POST /v1/export", "/v1/export", "", "work asked for: export"), "id")
		w.write("instructor", "DELETE /v1/work/:id", "/v1/work/"+export, "", "work called off: export")

		// The shop.
		job := class + "/jobs/" + learner
		w.at("*").write("instructor", "PUT /v1/classes/:id/jobs/:learner", job,
			`{"lathe": "`+s.lathe.ID+`", "request": {"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm"}, "cut": {"first_cut": "0.25 mm", "spindle_rpm": 70}}}`, "job set")
		w.at("1").write("instructor", "DELETE /v1/classes/:id/jobs/:learner", job, "", "job taken away")
		shop := `{"begins": "2199-03-02T18:00:00Z", "spec": {"title": "Evening", "zone": "Europe/Prague", "lathes": ["` + s.lathe.ID + `"], "check_minutes": 5}}`
		session := idIn(t, w.write("instructor", "POST /v1/classes/:id/shop-sessions", class+"/shop-sessions", shop, "shop session planned"), "id")
		w.at("1").write("instructor", "PUT /v1/shop-sessions/:id", "/v1/shop-sessions/"+session, shop, "shop session changed")
		w.write("instructor", "PUT /v1/shop-sessions/:id/called-off", "/v1/shop-sessions/"+session+"/called-off", `{"reason": "no heating"}`, "shop session called off: no heating")
		w.write("instructor", "DELETE /v1/shop-sessions/:id/called-off", "/v1/shop-sessions/"+session+"/called-off", "", "shop session held after all")

		// The record of sign-offs, the whole way.
		place := practice.Place{Learner: learner, Lathe: s.lathe.ID, Operation: signoff.Turning}
		rules := signoff.DefaultSettings()
		rules.SecondPerson = false
		w.at("1").write("instructor", "PUT /v1/signoff/rules", "/v1/signoff/rules", documentOf(t, rules), "sign-off: settings")
		sitting := idIn(t, w.write("instructor", "POST /v1/signoff/sittings", "/v1/signoff/sittings", documentOf(t, practice.OpeningSitting{Place: place, Kind: signoff.SittingTheory}), "sign-off: "+signoff.KindTheoryOpened), "id")
		open, err := s.Sitting(ctx, s.instructor, sitting)
		require.NoError(t, err)
		answers := make([]map[string]string, len(open.Exercises))
		for i, e := range open.Exercises {
			answers[i] = map[string]string{}
			for _, p := range e.Parts {
				if answers[i][p.ID] = p.Answer.String(); p.Answer.Length != nil {
					answers[i][p.ID] = lengthText(p)
				}
			}
		}
		w.write("instructor", "POST /v1/signoff/sittings/:id/answers", "/v1/signoff/sittings/"+sitting+"/answers", documentOf(t, map[string]any{"answers": answers}), "sign-off: "+signoff.KindTheory)
		operation, _ := signoff.OperationOf(place.Operation)
		items := map[string]string{}
		for _, it := range operation.Checklist {
			items[it.ID] = signoff.Done
		}
		for range 2 {
			w.write("instructor", "POST /v1/signoff/demonstrations", "/v1/signoff/demonstrations", documentOf(t, practice.Witnessing{Place: place, Job: "stepped shaft", Items: items}), "sign-off: "+signoff.KindDemonstration)
			ahead.Add(int64(24 * time.Hour))
		}
		piece := practice.Measuring{Place: place, Thread: "three diameters", Instrument: "micrometer"}
		wanted, _, err := practice.MeasuresFor(place.Operation, piece.Thread)
		require.NoError(t, err)
		for _, m := range wanted {
			m.Low, m.High, m.Measured, m.U = "21.3 mm", "21.5 mm", "21.4 mm", "0.01 mm"
			piece.Measures = append(piece.Measures, m)
		}
		w.write("instructor", "POST /v1/signoff/test-pieces", "/v1/signoff/test-pieces", documentOf(t, piece), "sign-off: "+signoff.KindTestPiece)
		w.write("instructor", "POST /v1/signoff/decisions", "/v1/signoff/decisions", documentOf(t, practice.Deciding{Place: place, Granted: true, Age: true}), "sign-off: "+signoff.KindDecision)
		checkIn := practice.CheckingIn{Place: place, Job: "stepped shaft"}
		for _, it := range signoff.DressItems() {
			checkIn.Dress = append(checkIn.Dress, it.ID)
		}
		w.write("instructor", "POST /v1/signoff/check-ins", "/v1/signoff/check-ins", documentOf(t, checkIn), "sign-off: "+signoff.KindCheckIn)
		w.write("instructor", "POST /v1/signoff/restrictions", "/v1/signoff/restrictions", documentOf(t, practice.Changing{Place: place, Restriction: "brass only", Reason: "first week"}), "sign-off: "+signoff.KindRestriction)
		w.write("instructor", "POST /v1/signoff/revocations", "/v1/signoff/revocations", documentOf(t, practice.Changing{Place: place, Reason: "key left in the chuck"}), "sign-off: "+signoff.KindRevocation)
		end, err := s.ChainEnd(ctx, s.instructor)
		require.NoError(t, err)
		entries := int64(0)
		for _, e := range w.events() {
			if strings.HasPrefix(e.What, "sign-off: ") {
				entries++
				assert.NotContains(t, []string{e.Who, e.About}, learner, "an event and a line of the same time would undo the erasing of a name")
			}
		}
		assert.Equal(t, end.Seq, entries, "every line of the chain")
		w.write("instructor", "DELETE /v1/signoff/learners/:id/name", "/v1/signoff/learners/"+learner+"/name", "", "sign-off names erased")

		w.write("instructor", "PUT /v1/lathes/:id/out-of-use", lathe+"/out-of-use", `{"reason": "chuck guard broken"}`, "lathe taken out of use: chuck guard broken")
		w.write("instructor", "DELETE /v1/lathes/:id/out-of-use", lathe+"/out-of-use", "", "lathe put back in use")
		w.at("3").write("instructor", "PUT /v1/lathes/:id", lathe, `{"name": "Lathe 7", "profile": {}}`, "lathe changed")
		w.write("instructor", "POST /v1/learners/:id/erasure", "/v1/learners/"+s.variants[3].Learner+"/erasure", documentOf(t, map[string]string{"name": s.variants[3].Name}), "learner erased")

		for _, r := range api.Routes() {
			if name := r.Method + " " + r.Path; r.Method != http.MethodGet && !w.seen[name] {
				assert.NotEmpty(t, noEvent[name], "%s writes, and this test does not look for its event", name)
			}
		}
	})
}

// TestEventsOverJSON: filters reach the log, and what they cannot be is said.
func TestEventsOverJSON(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	get := func(query string) (int, http.Header, []curriculum.Event, string) {
		status, header, body := s.call(t, token, "GET", "/v1/events?"+query, "", "")
		var out struct{ Events []curriculum.Event }
		require.NoError(t, json.Unmarshal([]byte(body), &out))
		return status, header, out.Events, body
	}
	status, header, events, _ := get("about=" + s.class.ID + "&limit=1")
	require.Equal(t, http.StatusOK, status)
	require.Len(t, events, 1)
	assert.Equal(t, [4]string{"12 learners added", "class", s.class.Name, s.instructor.ID}, [4]string{events[0].What, events[0].AboutKind, events[0].AboutName, events[0].Who})
	assert.Contains(t, header.Get("Link"), "after="+events[0].ID)
	status, header, events, _ = get("about=" + s.class.ID + "&limit=1&after=" + events[0].ID)
	require.Equal(t, http.StatusOK, status)
	require.Len(t, events, 1)
	assert.Equal(t, "class created", events[0].What)
	assert.Empty(t, header.Get("Link"))
	at := events[0].At
	_, _, events, _ = get("who=" + s.instructor.ID + "&until=" + at.Add(time.Millisecond).Format("2006-01-02T15:04:05.000Z") + "&since=" + at.Format("2006-01-02T15:04:05.000Z"))
	require.NotEmpty(t, events)
	for _, e := range events {
		assert.True(t, e.At.Equal(at), e.What)
	}
	for query, says := range map[string]string{
		"since=yesterday": "?since", "until=2026-11-27T08:30:00Z&since=2026-11-27T08:30:00Z": "not after since", "limit=0": "?limit", "limit=1001": "?limit", "after=none": "no such entry",
	} {
		status, _, _, body := get(query)
		assert.Equal(t, http.StatusUnprocessableEntity, status, query)
		assert.Contains(t, body, says)
	}
}

// TestEventsAreShown: an instructor finds from a class who did what about it, and
// goes on to older pages; a steward and a learner are not shown the log.
func TestEventsAreShown(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	for i := range practice.UsualEvents {
		_, err := s.CheckLathe(t.Context(), s.instructor, curriculum.LatheCheck{Lathe: s.lathe.ID, Entry: "leadscrew", What: "scratch over 10 turns", Predicted: "60 mm", Measured: "60 mm", Division: "0.02 mm"})
		require.NoError(t, err, i)
	}
	p := s.signedIn(t, 360)
	p.open("/classes/" + s.class.ID)
	p.follow(`a[href^="/events"]`)
	assert.Contains(t, p.text("table"), "12 learners added")
	assert.NotContains(t, p.text("table"), "lathe checked")
	p.fits()
	p.audit()
	p.open("/events")
	p.follow(`main p a.button`)
	assert.Contains(t, p.text("table"), "workshop created")
	assert.NotContains(t, p.text("main"), "Older")
	p.fits()
	p.audit()
	p.open("/events?since=2999-01-01")
	assert.Contains(t, p.text("main"), "Nothing.")
	door := s.door(t, 360)
	door.open("/events")
	assert.Contains(t, door.text("main"), "instructors only")
	assert.NotContains(t, door.text("main"), "newest first")
}
