package api_test

import (
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store/storetest"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// wrongForm is a form with something wrong in it: what is sent, which input gets
// the focus, what is said there, and what must still stand in the form.
type wrongForm struct {
	who, path string
	sent      url.Values
	status    int
	focus     string
	says      string
	keeps     []string
}

var (
	focused = regexp.MustCompile(`<[a-z]+ [^>]*\bautofocus\b[^>]*>`)
	anID    = regexp.MustCompile(` id="([^"]*)"`)
	aForm   = regexp.MustCompile(`<form method="(?:post|get)" action="([^"]*)"`)
	aButton = regexp.MustCompile(`formaction="([^"]*)"`)
	action  = regexp.MustCompile(`\{\{[^}]*\}\}`)
)

// nothingTyped are the forms that hold nothing but a button, a choice that cannot
// be wrong, or a secret of ours; what cannot be done is said on a page of its own.
var nothingTyped = []string{
	"/people/again", "/classes/*/reopen", "/classes/*/joining-code",
	"/link", "/signout", "/plan", "/statistics", "/classes/*/pin", "/classes/*/learners/*/leave", "*/theory", "*/re-check", "*/hint", "/bench/card.pdf", "/signoff", "/work", "/work/*", "/sets/*/pack",
}

// TestFormsSayWhatIsWrong: every form that is refused says what is wrong, where
// and what to do, keeps what was typed, and moves the focus to the first input
// that is wrong, without script. A form that is in no row fails the test.
func TestFormsSayWhatIsWrong(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	s := start(t, db)
	s.master(t, db)
	ctx := t.Context()
	tokens := s.tokens(t)
	class, set, sheet, lathe, learner := "/classes/"+s.class.ID, "/sets/"+s.set.ID, "/sheets/"+s.variants[0].Code, "/lathes/"+s.lathe.ID, s.variants[0].Learner
	file := "/signoff/learners/" + learner + lathe + "/" + signoff.Turning
	tried, err := s.EnterPaper(ctx, s.instructor, s.set.ID, []practice.PaperAnswer{{Variant: s.variants[0].Code, Position: 1, Answers: map[string]string{"a": s.variants[0].Exercises[0].Givens.Values["P"]}}})
	require.NoError(t, err)
	sitting, err := s.OpenSitting(ctx, s.instructor, practice.OpeningSitting{Place: practice.Place{Learner: learner, Lathe: s.lathe.ID, Operation: signoff.Turning}, Kind: signoff.SittingTheory})
	require.NoError(t, err)
	jobs, err := workshop.Jobs()
	require.NoError(t, err)
	request, err := threadmath.ParseRequest(jobs["jobs/three-start-m30.json"])
	require.NoError(t, err)
	request.Lathe = nil
	_, err = s.SetJob(ctx, s.instructor, curriculum.Job{Class: s.class.ID, Learner: learner, Lathe: s.lathe.ID, Request: request, Allowed: true, Factor: 1})
	require.NoError(t, err)
	session, err := s.PlanShop(ctx, s.instructor, s.class.ID, time.Date(2199, 3, 4, 18, 0, 0, 0, time.UTC), curriculum.ShopSpec{Title: "Evening", CheckMinutes: 5, Lathes: []string{s.lathe.ID}})
	require.NoError(t, err)
	gone, err := s.AddLearners(ctx, s.instructor, s.class.ID, practice.Adding{Names: []string{"Gone Away"}})
	require.NoError(t, err)
	require.NoError(t, s.LeaveClass(ctx, s.instructor, s.class.ID, gone[0].ID))
	board := "/shop-sessions/" + session.ID
	second, _, err := s.AddPerson(ctx, s.instructor, "Second instructor", curriculum.RoleInstructor)
	require.NoError(t, err)
	long := strings.Repeat("9", 600)

	forms := []wrongForm{
		{"nobody", "/bench", url.Values{"pitch": {"0 mm"}, "starts": {"two"}, "diameter": {"30 mm"}}, 422, "starts", "not a number", []string{`value="0 mm"`, `value="two"`, `value="30 mm"`}},
		{"nobody", "/join", url.Values{"code": {"NOSUCH"}}, 422, "code", "no class has this joining code", []string{`value="NOSUCH"`}},
		{"nobody", "POST /join", url.Values{"code": {s.class.JoiningCode}, "learner": {learner}, "pin": {"12"}}, 422, "pin", "4 to 12 digits", []string{`value="` + learner + `" selected`}},
		{"nobody", "POST /signin", url.Values{"name": {"Instructor"}, "passphrase": {"no such words at all"}}, 403, "problem", "passphrase", []string{`value="Instructor"`}},
		{"instructor", "POST /passphrase", url.Values{"passphrase": {"fifteen letters or more"}, "again": {"other"}}, 422, "again", "is not the same", nil},
		{"instructor", "POST /passphrase", url.Values{"passphrase": {"short"}, "again": {"short"}}, 422, "passphrase", "15 to 200 characters", nil},
		{"instructor", "POST /tokens", url.Values{"name": {"Marks"}, "scope": {"mark"}, "days": {"a month"}}, 422, "days", "not a whole number", []string{`value="Marks"`, `<option selected>mark`, `value="a month"`}},
		{"instructor", "POST /units", url.Values{"units": {"cubits"}}, 422, "units", "mm, in, both", nil},
		{"instructor", "POST /classes", url.Values{"name": {s.class.Name}}, 409, "problem", "already", []string{`value="` + s.class.Name + `"`}},
		{"instructor", "POST /workshop", url.Values{"name": {" "}, "units": {"in"}, "version": {"1"}}, 422, "name", "1 to 80 characters", []string{`value="in" selected`}},
		{"instructor", "POST /workshop", url.Values{"name": {"Shed Ten"}, "units": {"in"}, "version": {"9"}}, 409, "problem", "Somebody else has changed it meanwhile", []string{`value="Shed Ten"`, `value="in" selected`}},
		{"instructor", "POST " + class, url.Values{"name": {s.class.Name + "\x00"}, "version": {"2"}}, 422, "name", "cannot be printed", nil},
		{"instructor", "POST " + class, url.Values{"name": {"Thursday"}, "version": {"9"}}, 409, "problem", "Somebody else has changed it meanwhile", []string{`value="Thursday"`}},
		{"instructor", "POST " + class + "/learners/" + s.variants[2].Learner, url.Values{"name": {"Another Name"}, "seat": {"third"}, "version": {"1"}}, 422, "seat", "not a whole number", []string{`value="Another Name"`, `value="third"`}},
		{"instructor", "POST " + class + "/learners/" + s.variants[2].Learner, url.Values{"name": {s.variants[1].Name}, "seat": {"3"}, "version": {"1"}}, 409, "problem", "already has a learner", []string{`value="` + s.variants[1].Name + `"`}},
		{"instructor", "POST " + class + "/learners/" + s.variants[2].Learner, url.Values{"name": {"Another Name"}, "seat": {"3"}, "version": {"9"}}, 409, "problem", "Somebody else has changed it meanwhile", []string{`value="Another Name"`}},
		{"instructor", "POST " + lathe, url.Values{"name": {"Lathe 2 renamed"}, "version": {"9"}, "leadscrew": {"6 mm"}}, 409, "problem", "Somebody else has changed it meanwhile", []string{`value="Lathe 2 renamed"`}},
		{"instructor", "POST /signoff/rules", url.Values{"pass_mark": {"85"}, "wait_hours": {"24"}, "sitting_minutes": {"45"}, "valid_months": {"12"}, "lapse_days": {"90"}, "minimum_age": {"0"}, "zone": {"UTC"}, "version": {"9"}}, 409, "problem", "Somebody else has changed it meanwhile", []string{`value="85"`, `value="45"`}},
		{"instructor", "POST /signoff/rules", url.Values{"pass_mark": {"85"}, "wait_hours": {"24"}, "sitting_minutes": {"45"}, "valid_months": {"12"}, "lapse_days": {"90"}, "minimum_age": {"0"}, "zone": {"UTC"}, "version": {"0"}}, 422, "problem", "open the page again", []string{`value="85"`}},
		{"instructor", "/find", url.Values{"sheet": {"nothing"}}, 422, "sheet", "eight letters and digits", []string{`value="nothing"`}},
		{"instructor", "POST " + class + "/learners", url.Values{"names": {"New One\n" + s.variants[0].Name}}, 409, "problem", "already has a learner", []string{"New One"}},
		{"instructor", "POST " + class + "/learners", url.Values{"names": {"New One\nGone Away"}}, 422, "names", "known here", []string{"New One", "Gone Away"}},
		{"instructor", "POST /learners", url.Values{"q": {"away"}, "known": {"nobody"}, "class": {s.class.ID}}, 422, "q", "no learner of this workshop", []string{`value="away"`}},
		{"instructor", "POST " + class + "/sets", url.Values{"title": {"Leads"}, "skills": {"lead"}, "count": {"six"}, "lathe": {s.lathe.ID}, "units": {"in"}}, 422, "count", "not a whole number", []string{`value="Leads"`, `value="lead" checked`, `value="six"`, `value="in" selected`}},
		{"instructor", "POST " + class + "/roster", url.Values{"file:roster": {"seat,name\n1,X\n"}}, 422, "problem", "line 1", nil},
		{"instructor", "POST " + class + "/course", url.Values{"title": {"Nuts"}, "lathe": {s.lathe.ID}, "units": {"mm"}, "first": {"2999-02-30T18:30"}, "date": {"2999-03-10T18:30"}, "every_days": {"7"}, "minutes": {"150"}, "practice_days": {"3"}, "practice_size": {"6"}, "pitch": {"2 mm"}, "starts": {"3"}, "version": {"0"}}, 422, "first", "not a day that exists", []string{`value="Nuts"`, `value="2999-03-10T18:30"`}},
		{"instructor", "POST " + class + "/jobs", url.Values{"learner": {s.variants[1].Learner}, "version": {"0"}, "lathe": {s.lathe.ID}, "factor": {"9"}, "pitch": {"2 mm"}, "starts": {"3"}}, 422, "factor", "1 to 3", []string{`value="9"`, `value="2 mm"`}},
		{"instructor", "POST " + class + "/shop", url.Values{"title": {"Next"}, "begins": {"2199-03-04T18:00"}, "zone": {"Nowhere"}, "minutes": {"150"}, "lathes": {s.lathe.ID}}, 422, "zone", "no such time zone", []string{`value="Next"`, `value="Nowhere"`}},
		{"instructor", "POST " + board, url.Values{"form": {"spec"}, "version": {"1"}, "title": {"Next"}, "begins": {"2199-03-04T18:00"}, "minutes": {"many"}, "lathes": {s.lathe.ID}}, 422, "minutes", "not a whole number", []string{`value="Next"`, `value="many"`}},
		{"instructor", "POST " + board + "/move", url.Values{"form": {"move"}, "version": {"1"}, "learner": {learner}, "place": {s.lathe.ID}, "begin": {"25:99"}}, 422, "begin", "25:99", []string{`value="` + learner + `" selected`, `value="25:99"`}},
		{"instructor", "POST " + board + "/called-off", url.Values{"reason": {" "}}, 422, "reason", "1 to 80 characters", nil},
		{"instructor", "POST " + board + "/people", url.Values{"form": {"people"}, "version": {"9"}, "away": {learner}}, 409, "problem", "Somebody else has changed", []string{`value="` + learner + `" aria-label="` + s.variants[0].Name + ` is away" checked`}},
		{"instructor", "POST " + set + "/paper", url.Values{"sheet": {s.variants[1].Code}, "1.a": {long}, "2.a": {"later"}}, 422, "a1.a", "too long", []string{`value="` + long + `"`, `value="` + s.variants[1].Code + `" selected`}},
		{"instructor", "POST " + set + "/withdrawn", url.Values{"reason": {" "}}, 422, "reason", "1 to 80 characters", nil},
		{"instructor", "POST " + set + "/upload", url.Values{"file:file": {"sheet,exercise,part,answer\nnone,x,a,1\n"}}, 422, "problem", "line 2", nil},
		{"instructor", "POST " + sheet + "/overrules", url.Values{"attempt": {tried[0].ID}, "part": {"a"}, "to": {"rounding"}, "reason": {" "}}, 422, "reason" + tried[0].ID + "-a", "1 to 300 characters", []string{`value="rounding" selected`}},
		{"learner", "POST " + sheet + "/1", url.Values{"try": {"0190c5ce-7a5f-7000-8000-000000000002"}, "part.a": {long}}, 422, "p1a", "Too long", []string{`value="` + long + `"`}},
		{"learner", "POST " + sheet + "/1", url.Values{"try": {"0190c5ce-7a5f-7000-8000-000000000003"}}, 422, "p1a", "Nothing is answered", nil},
		{"instructor", "POST /learners/" + learner + "/record", url.Values{"name": {"Somebody Else"}}, 422, "name", "", []string{`value="Somebody Else"`}},
		{"instructor", "/events", url.Values{"since": {"2026-02-30"}, "who": {s.instructor.ID}}, 422, "since", "not a day that exists", []string{`value="2026-02-30"`, `value="` + s.instructor.ID + `" selected`}},
		{"instructor", "/events", url.Values{"since": {"2026-03-02"}, "until": {"2026-03-01"}}, 422, "until", "is not after since", []string{`value="2026-03-02"`}},
		{"instructor", "POST /people", url.Values{"name": {" "}, "role": {"instructor"}}, 422, "name", "1 to 80 characters", []string{`value="instructor" selected`}},
		{"instructor", "POST /people/end", url.Values{"person": {second.ID}, "reason": {"ret\x00ired"}}, 422, "reason", "cannot be printed", []string{`value="` + second.ID + `" selected`}},
		{"instructor", "POST /people/end", url.Values{"person": {s.instructor.ID}, "reason": {"retired"}}, 409, "problem", "nobody ends themselves", []string{`value="retired"`}},
		{"instructor", "POST " + class + "/end", url.Values{"reason": {long}}, 422, "reason", "1 to 80 characters", []string{`value="` + long + `"`}},
		{"instructor", "POST /lathes", url.Values{"name": {"Lathe 9"}, "leadscrew": {"six"}, "change_gears": {"20 30"}}, 422, "leadscrew", "", []string{`value="Lathe 9"`, `value="six"`, `value="20 30"`}},
		{"instructor", "POST " + lathe, url.Values{"name": {"Lathe 2"}, "version": {"1"}, "leadscrew": {"-6 mm"}}, 422, "leadscrew", "", []string{`value="-6 mm"`}},
		{"instructor", "POST " + lathe + "/checks", url.Values{"entry": {"leadscrew"}, "what": {"scratch over 10 turns"}, "predicted": {"60 mm"}, "measured": {" "}, "division": {"0.02 mm"}}, 422, "measured", "", []string{`value="scratch over 10 turns"`, `value="60 mm"`, `value="0.02 mm"`}},
		{"instructor", "POST " + lathe + "/out-of-use", url.Values{"reason": {strings.Repeat("guard ", 20)}}, 422, "reason", "1 to 80 characters", []string{`value="` + strings.Repeat("guard ", 20) + `"`}},
		{"instructor", "POST " + lathe + "/times", url.Values{"set_up_min": {"12"}, "handling_s": {"quick"}}, 422, "handling_s", "", []string{`value="12"`, `value="quick"`}},
		{"instructor", "POST /signoff/rules", url.Values{"pass_mark": {"70"}, "wait_hours": {"24"}, "sitting_minutes": {"45"}, "valid_months": {"12"}, "lapse_days": {"90"}, "minimum_age": {"0"}, "version": {"1"}}, 422, "pass_mark", "80 to 100", []string{`value="70"`, `value="45"`}},
		{"instructor", "POST " + file + "/check-in", url.Values{"job": {"shaft"}, "second": {"Nobody At All"}}, 422, "check-in-second", "nobody of this workshop", []string{`value="shaft"`, `value="Nobody At All"`}},
		{"instructor", "POST " + file + "/witness", url.Values{"job": {"shaft"}}, 422, "witness-item-dress", "", []string{`value="shaft"`}},
		{"instructor", file, url.Values{"thread": {"nonsense"}}, 200, "", "", nil},
		{"instructor", "POST " + file + "/piece", url.Values{"thread": {"shaft"}, "instrument": {"calliper"}}, 422, "piece-measured-0", "", []string{`value="calliper"`}},
		{"instructor", "POST " + file + "/decide", url.Values{"restriction": {"brass only"}}, 422, "decide-granted", "choose one of the two", []string{`value="brass only"`}},
		{"instructor", "POST " + file + "/restrict", url.Values{"restriction": {"brass only"}}, 422, "restrict-reason", "", []string{`value="brass only"`}},
		{"instructor", "POST " + file + "/revoke", url.Values{"reason": {" "}}, 422, "revoke-reason", "", nil},
		{"learner", "POST /signoff/sittings/" + sitting.ID, url.Values{"a1.a": {long}}, 422, "a1.a", "too long", []string{`value="` + long + `"`}},
	}
	names := strings.NewReplacer(s.variants[2].Learner, "*", s.class.ID, "*", s.set.ID, "*", s.variants[0].Code, "*", s.lathe.ID, "*", learner, "*", session.ID, "*", sitting.ID, "*")
	known := map[string]bool{}
	for _, f := range forms {
		method, path, post := strings.Cut(f.path, " ")
		if !post {
			method, path = "GET", f.path
		}
		known[names.Replace(path)] = true
		if f.focus == "" {
			continue // its own test has it
		}
		t.Run(f.path+" "+f.focus, func(t *testing.T) {
			status, page := s.sendForm(t, tokens[f.who], method, path, f.sent)
			assert.Equal(t, f.status, status)
			found := focused.FindAllString(page, -1)
			require.Len(t, found, 1, "one element takes the focus")
			id := anID.FindStringSubmatch(found[0])
			require.NotNil(t, id, found[0])
			assert.Equal(t, f.focus, id[1])
			_, after, _ := strings.Cut(page, `id="problem"`)
			summary, _, _ := strings.Cut(after, "</div>")
			said := summary
			if f.focus != "problem" {
				_, after, there := strings.Cut(page, `id="`+f.focus+`-fault"`)
				assert.True(t, there, "it is said at the input")
				said, _, _ = strings.Cut(after, "</p>")
				assert.Contains(t, found[0], `aria-invalid="true"`)
			}
			assert.Contains(t, said, f.says)
			for _, kept := range f.keeps {
				assert.True(t, strings.Contains(page, kept), "%s is kept", kept)
			}
		})
	}
	for _, where := range templateForms(t) {
		there := known[where]
		for _, n := range nothingTyped {
			there = there || n == where || strings.HasPrefix(n, "*") && strings.HasSuffix(where, n[1:])
		}
		assert.True(t, there, "the form to %s has no row", where)
	}
}

// templateForms lists where the forms of the templates go to, a * for what is
// filled in.
func templateForms(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("web/templates/*.html")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var out []string
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		page := string(text)
		for name, is := range map[string]string{"{{$page}}": map[string]string{"jobs.html": "/classes/*/jobs", "board.html": "/shop-sessions/*", "times.html": "/lathes/*/times"}[filepath.Base(file)], "{{$d.Address}}": "/signoff/learners/*/lathes/*/turning"} {
			page = strings.ReplaceAll(page, `action="`+name, `action="`+is)
		}
		page = action.ReplaceAllString(page, "*")
		for _, m := range append(aForm.FindAllStringSubmatch(page, -1), aButton.FindAllStringSubmatch(page, -1)...) {
			out = append(out, strings.Replace(m[1], "/sheets/*/*", "/sheets/*/1", 1))
		}
	}
	return out
}

// sendForm sends a form as a browser without script does.
func (s *service) sendForm(t *testing.T, token, method, path string, values url.Values) (int, string) {
	t.Helper()
	var body io.Reader = strings.NewReader(values.Encode())
	media := "application/x-www-form-urlencoded"
	for name, text := range values {
		if name, ok := strings.CutPrefix(name, "file:"); ok {
			var b strings.Builder
			w := multipart.NewWriter(&b)
			f, err := w.CreateFormFile(name, "list.csv")
			require.NoError(t, err)
			_, err = io.WriteString(f, text[0])
			require.NoError(t, err)
			require.NoError(t, w.Close())
			body, media = strings.NewReader(b.String()), w.FormDataContentType()
		}
	}
	address := s.base + path
	if method == http.MethodGet {
		address, body, media = address+"?"+values.Encode(), nil, ""
	}
	r, err := http.NewRequestWithContext(t.Context(), method, address, body)
	require.NoError(t, err)
	if media != "" {
		r.Header.Set("Content-Type", media)
	}
	if token != "" {
		r.AddCookie(&http.Cookie{Name: "halfnut", Value: token})
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return res.StatusCode, string(data)
}

// TestWhatTwoMayEditByForm: the forms of what two people may edit carry the version
// that was seen; the first of two is kept, and the second is told.
func TestWhatTwoMayEditByForm(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	learner := s.variants[2]
	aVersion := regexp.MustCompile(`name="version" value="([0-9]+)"`)
	for path, f := range map[string]struct {
		open    string // where the form stands
		sent    url.Values
		changed string // what it is afterwards
	}{
		"/workshop":              {"/workshop", url.Values{"name": {"Shed Ten"}, "units": {"in"}}, "Shed Ten"},
		"/classes/" + s.class.ID: {"/classes/" + s.class.ID, url.Values{"name": {"Thursday"}}, "<h1>Thursday</h1>"},
		"/classes/" + s.class.ID + "/learners/" + learner.Learner: {"/classes/" + s.class.ID + "/learners/" + learner.Learner, url.Values{"name": {"Another Name"}, "seat": {"90"}}, "/learners/" + learner.Learner + `">Another Name<`},
		"/lathes/" + s.lathe.ID:                                   {"/lathes/" + s.lathe.ID, url.Values{"name": {"Lathe 7"}, "leadscrew": {"6 mm"}}, "<h1>Lathe 7</h1>"},
		"/signoff/rules":                                          {"/signoff/rules", url.Values{"pass_mark": {"85"}, "wait_hours": {"24"}, "sitting_minutes": {"45"}, "valid_months": {"12"}, "lapse_days": {"90"}, "minimum_age": {"0"}, "zone": {"UTC"}}, `value="85"`},
	} {
		_, page := s.sendForm(t, token, http.MethodGet, f.open, nil)
		found := aVersion.FindStringSubmatch(page)
		require.NotNil(t, found, path)
		f.sent.Set("version", found[1])
		status, page := s.sendForm(t, token, http.MethodPost, path, f.sent)
		assert.Equal(t, http.StatusOK, status, path)
		assert.Contains(t, page, f.changed, path)
		status, page = s.sendForm(t, token, http.MethodPost, path, f.sent)
		assert.Equal(t, http.StatusConflict, status, path)
		assert.Contains(t, page, "Somebody else has changed it meanwhile", path)
		assert.Contains(t, page, "in another window", path)
	}
}
