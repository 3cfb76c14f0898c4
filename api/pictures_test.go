package api_test

import (
	"flag"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/api/web"
	"halfnut/curriculum"
	"halfnut/curriculum/demo"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

var pictures = flag.Bool("pictures", false, "write the README's pictures to testdata/pictures")

// startDemo is the workshop of serve --demo behind a real address, in the languages
// built in where none are given.
func startDemo(t *testing.T, languages *web.Languages) *service {
	t.Helper()
	ctx := t.Context()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	require.NoError(t, demo.Fill(ctx, db, time.Now(), storetest.Random(t)))
	s := &service{Service: practice.New(db, practice.Options{})}
	server := httptest.NewServer(api.New(api.Config{Practice: s.Service, Log: slog.New(slog.DiscardHandler), Languages: languages}))
	t.Cleanup(server.Close)
	s.base = server.URL
	ws, err := s.Workshops(ctx)
	require.NoError(t, err)
	p, err := s.FirstInstructor(ctx, ws[0].ID)
	require.NoError(t, err)
	s.instructor = practice.Actor{ID: p.ID, Workshop: p.Workshop, Role: p.Role}
	classes, err := s.Classes(ctx, s.instructor)
	require.NoError(t, err)
	s.class = classes[0]
	sets, err := s.Sets(ctx, s.instructor, s.class.ID)
	require.NoError(t, err)
	s.set = sets[slices.IndexFunc(sets, func(c curriculum.ClassSet) bool { return c.Spec.Title == "First leads and starts" })]
	s.variants, err = s.Variants(ctx, s.instructor, s.set.ID)
	require.NoError(t, err)
	lathe := s.lathe2(t)
	s.lathe, err = s.Lathe(ctx, s.instructor, lathe)
	require.NoError(t, err)
	s.someWork(t, db)
	s.someEnds(t)
	return s
}

// someEnds has a steward leave and a class end.
func (s *service) someEnds(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	p, _, err := s.AddPerson(ctx, s.instructor, "Steward of the spring", curriculum.RoleSteward)
	require.NoError(t, err)
	_, err = s.EndPerson(ctx, s.instructor, p.ID, "moved to another town")
	require.NoError(t, err)
	s.over, err = s.AddClass(ctx, s.instructor, "Spring evenings")
	require.NoError(t, err)
	_, err = s.AddLearners(ctx, s.instructor, s.over.ID, practice.Adding{Names: []string{"First learner", "Second learner"}})
	require.NoError(t, err)
	_, _, err = s.BuildSet(ctx, s.instructor, s.over.ID, curriculum.SetSpec{Title: "Leads to begin with", Skills: []string{"lead"}, Count: 2, Lathe: s.lathe.ID, Units: "mm"})
	require.NoError(t, err)
	s.over, err = s.EndClass(ctx, s.instructor, s.over.ID, "the term is over")
	require.NoError(t, err)
}

// someWork asks for work of every kind and has most of it done: a class too large to be
// waited for, its set and the pack of it, a comparison. One is called off, and one waits
// for a service that has stopped.
func (s *service) someWork(t *testing.T, db *store.DB) {
	t.Helper()
	ctx := t.Context()
	class, err := s.AddClass(ctx, s.instructor, "Evening courses, all")
	require.NoError(t, err)
	name := func(i int) string { return fmt.Sprintf("Learner %d", i+1) }
	names := make([]string, practice.MostAtOnce+1)
	for i := range names {
		names[i] = name(i)
	}
	_, err = s.AddLearners(ctx, s.instructor, class.ID, practice.Adding{Names: names})
	require.NoError(t, err)
	roster := "seat,name,class\n"
	for i := len(names); i < 300; i++ { // more than are put on a list at once
		roster += fmt.Sprintf("%d,%s,\n", i+1, name(i))
	}
	web.PrintPacks(s.Service)
	q, err := db.StartQueue(store.QueueConfig{Do: s.DoWork, Silent: time.Minute, Log: slog.New(slog.DiscardHandler)})
	require.NoError(t, err)
	done := func(w *curriculum.Work, err error) curriculum.Work {
		require.NoError(t, err)
		require.Eventually(t, func() bool {
			now, err := s.Work(ctx, s.instructor, w.ID)
			*w = now
			return err == nil && now.Ended()
		}, 5*time.Minute, 20*time.Millisecond)
		require.Equal(t, curriculum.WorkDone, w.State, w.Problem)
		s.works = append(s.works, *w)
		return *w
	}
	_, _, w, err := s.AskSet(ctx, s.instructor, class.ID, curriculum.SetSpec{Title: "Leads to begin with", Skills: []string{"lead"}, Count: 1, Lathe: s.lathe.ID, Units: "mm"})
	set := done(w, err).Result.Set
	pack, err := s.AskPack(ctx, s.instructor, set, "")
	done(&pack, err)
	_, w, err = s.ImportRoster(ctx, s.instructor, class.ID, practice.Roster{CSV: []byte(roster)})
	done(w, err)
	comparison, err := s.Recompute(ctx, s.instructor, false)
	done(&comparison, err)
	q.Stop()
	export, err := s.AskExport(ctx, s.instructor)
	require.NoError(t, err)
	export, err = s.CallOffWork(ctx, s.instructor, export.ID)
	require.NoError(t, err)
	waits, err := s.AskPack(ctx, s.instructor, s.set.ID, "")
	require.NoError(t, err)
	s.works = append(s.works, export, waits)
}

// shot is a page and what is done on it before its picture is taken.
type shot struct{ name, path, script string }

const (
	openAll = `document.querySelectorAll("details").forEach(d => d.open = true); ""`
	// chosen puts a set together, so that its preview shows.
	chosen = `(() => { for (const b of document.querySelectorAll("input[value=lead], input[value=station-index]")) { b.checked = true; b.dispatchEvent(new Event("change", {bubbles: true})); } document.querySelector("#previewed").scrollIntoView(); return "" })()`
)

// shots are the pages by who sees them.
func (s *service) shots(t *testing.T) map[string][]shot {
	t.Helper()
	ctx := t.Context()
	address := url.Values{"graduation": {"0.02 mm"}, "per_turn": {"2 mm"}, "travel": {"80 mm"}, "infeed_angle": {"29.5"}, "class": {"6g"}, "wire": {"1.155 mm"}, "length": {"45 mm"}}
	for id, text := range benchTyped {
		address.Set(id, text)
	}
	address.Set("starts", "3")
	address.Set("stations1", "3")
	sessions, err := s.ShopSessions(ctx, s.instructor, s.class.ID)
	require.NoError(t, err)
	class, board, first := "/classes/"+s.class.ID, "/shop-sessions/"+sessions[0].ID, s.variants[0]
	file := "/signoff/learners/" + first.Learner + "/lathes/" + s.lathe.ID + "/" + signoff.Turning
	training := "/signoff/learners/" + s.variants[4].Learner + "/lathes/" + s.lathe.ID + "/" + signoff.Turning
	shots := map[string][]shot{
		"visitor": {{"home", "/", ""}, {"bench-empty", "/bench", ""}, {"bench", "/bench?" + address.Encode(), ""}, {"join", "/join", ""}, {"join-name", "/join?code=" + s.class.JoiningCode, ""}, {"signin", "/signin", ""}, {"reference", "/reference", ""}},
		"instructor": {
			{"classes", "/classes", ""}, {"everybody", "/learners?q=an", ""}, {"class", class, ""}, {"classes-open", "/classes", openAll}, {"class-open", class, openAll}, {"over-open", "/classes/" + s.over.ID, ""}, {"over-jobs-open", "/classes/" + s.over.ID + "/jobs", ""}, {"class-learner", class + "/learners/" + first.Learner, openAll}, {"preview", class, chosen}, {"standing", class + "/standing", ""}, {"course", class + "/course", ""},
			{"set", "/sets/" + s.set.ID, ""}, {"marking", "/sets/" + s.set.ID + "?sheet=" + s.variants[10].Code, `document.querySelector("#paper").scrollIntoView(); ""`}, {"overrule", "/sheets/" + s.variants[1].Code + "/answers", openAll},
			{"lathes", "/lathes", ""}, {"lathe", "/lathes/" + s.lathe.ID, ""}, {"jobs", class + "/jobs", ""}, {"job", class + "/jobs?learner=" + first.Learner, ""}, {"shop-sessions", class + "/shop", ""},
			{"board", board, ""}, {"board-open", board, openAll}, {"statistics", "/statistics", ""}, {"people", "/people", ""}, {"events", "/events", ""}, {"works", "/work", ""}, {"passphrase", "/passphrase", ""}, {"tokens", "/tokens", ""}, {"rules", "/signoff/rules", ""}, {"units", "/units", ""},
			{"decide", training, openAll}, {"times", "/lathes/" + s.lathe.ID + "/times", ""}, {"record", "/learners/" + first.Learner + "/record", ""},
		},
		"steward": {{"look-up", "/signoff?q=an", ""}, {"signoff-learner", "/signoff/learners/" + first.Learner, ""}, {"who-may-use", "/signoff/lathes/" + s.lathe.ID, ""}, {"signoff", file, ""}, {"signoff-open", file, openAll}},
		"learner": {
			{"plan", "/plan", ""}, {"skills", "/skills", ""}, {"sheets", "/sheets", ""}, {"sheet", "/sheets/" + first.Code, ""}, {"question", "/sheets/" + first.Code + "?one=5", ""}, {"own-signoffs", "/signoff", ""},
		},
	}
	for _, w := range s.works {
		shots["instructor"] = append(shots["instructor"], shot{"work-" + w.Kind + "-" + w.State, "/work/" + w.ID, ""})
	}
	return shots
}

// visitors signs each of them in.
func (s *service) visitors(t *testing.T, width int64) map[string]person {
	t.Helper()
	return map[string]person{"visitor": s.newPerson(t, width), "instructor": s.signedIn(t, width), "steward": s.door(t, width), "learner": s.joined(t, width)}
}

// TestPictures takes a picture of every page of the demo workshop for the README,
// half as large: on a laptop, and on a phone what learners and stewards see. With
// HALFNUT_PICTURES it writes them all whole and large, in both widths, into that
// folder, to be looked at.
func TestPictures(t *testing.T) {
	large := os.Getenv("HALFNUT_PICTURES")
	if !*pictures && large == "" {
		t.Skip("go test ./api -run TestPictures -pictures writes them")
	}
	s := startDemo(t, nil)
	dir := filepath.Join("..", "testdata", "pictures")
	if large != "" {
		dir = large
	}
	require.NoError(t, os.MkdirAll(dir, 0o755))
	shots := s.shots(t)
	for _, width := range []int64{1280, 360} {
		for who, p := range s.visitors(t, width) {
			onPhone := who == "learner" || who == "steward"
			for _, x := range shots[who] {
				if large == "" && (onPhone != (width == 360) || strings.HasSuffix(x.name, "-open") || strings.HasPrefix(x.name, "work-") || slices.Contains([]string{"reference", "bench-empty", "join-name"}, x.name)) {
					continue
				}
				p.open(x.path)
				p.inSight()
				p.until(`!document.querySelector("[data-later]")`)
				if x.script != "" {
					p.script(x.script)
					p.until(`!document.querySelector("[aria-busy=true]")`)
				}
				action, name := chromedp.CaptureScreenshot(), x.name+".png"
				if large == "" {
					require.NoError(t, chromedp.Do(p.ctx, chromedp.EmulateViewport(width, 900, chromedp.EmulateScale(0.5))))
				}
				if large != "" {
					if x.name != "reference" { // longer than a picture can be
						action = chromedp.FullScreenshot(100)
					}
					name = x.name + "-" + strconv.FormatInt(width, 10) + ".png"
				}
				png, err := chromedp.Run(p.ctx, action)
				require.NoError(t, err)
				require.NoError(t, os.WriteFile(filepath.Join(dir, name), png, 0o644))
			}
		}
	}
	s.worksheetPicture(t, dir)
}

// worksheetPicture is the first page of a class set on paper.
func (s *service) worksheetPicture(t *testing.T, dir string) {
	t.Helper()
	p, err := s.FirstInstructor(t.Context(), s.instructor.Workshop)
	require.NoError(t, err)
	link, err := s.NewLink(t.Context(), p)
	require.NoError(t, err)
	token, _, err := s.UseLink(t.Context(), link)
	require.NoError(t, err)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, s.base+"/v1/sets/"+s.set.ID+"/worksheets.pdf", nil)
	require.NoError(t, err)
	r.Header.Set("Authorization", "Bearer "+token)
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	pdf := filepath.Join(t.TempDir(), "sheets.pdf")
	f, err := os.Create(pdf)
	require.NoError(t, err)
	_, err = f.ReadFrom(res.Body)
	require.NoError(t, err)
	require.NoError(t, f.Close())
	out, err := exec.Command("pdftoppm", "-png", "-r", "80", "-f", "1", "-l", "1", "-singlefile", pdf, filepath.Join(dir, "worksheet")).CombinedOutput()
	require.NoError(t, err, string(out))
}
