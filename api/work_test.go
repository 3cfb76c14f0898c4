package api_test

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api/web"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// working lets the service do work until the test ends.
func (s *service) working(t *testing.T, db *store.DB) {
	t.Helper()
	web.PrintPacks(s.Service)
	q, err := db.StartQueue(store.QueueConfig{Do: s.DoWork, Silent: time.Minute, Log: slog.New(slog.DiscardHandler)})
	require.NoError(t, err)
	t.Cleanup(q.Stop)
}

// bigClass is a class that is too large to be printed while one waits.
func (s *service) bigClass(t *testing.T) curriculum.Class {
	t.Helper()
	class, err := s.AddClass(t.Context(), s.instructor, "Everybody")
	require.NoError(t, err)
	names := make([]string, practice.MostAtOnce+1)
	for i := range names {
		names[i] = fmt.Sprintf("Learner %d", i+1)
	}
	_, err = s.AddLearners(t.Context(), s.instructor, class.ID, practice.Adding{Names: names})
	require.NoError(t, err)
	return class
}

// asked posts what becomes work, and waits until it has ended.
func (s *service) asked(t *testing.T, token, path, media, body string) curriculum.Work {
	t.Helper()
	status, header, said := s.call(t, token, "POST", path, media, body)
	require.Equal(t, 202, status, said)
	var w curriculum.Work
	require.Eventually(t, func() bool {
		status, _, body := s.call(t, token, "GET", header.Get("Location"), "", "")
		return assert.Equal(t, 200, status) && json.Unmarshal([]byte(body), &w) == nil && w.Ended()
	}, 5*time.Minute, 50*time.Millisecond)
	return w
}

func (s *service) file(t *testing.T, token, id string) []byte {
	t.Helper()
	r, err := http.NewRequest(http.MethodGet, s.base+"/v1/work/"+id+"/file", http.NoBody)
	require.NoError(t, err)
	r.Header.Set("Authorization", "Bearer "+token)
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	require.Equal(t, 200, res.StatusCode)
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	assert.EqualValues(t, len(data), res.ContentLength)
	return data
}

// TestWork asks for work of every kind and looks at what comes of it.
func TestWork(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		s.working(t, db)
		tokens := s.tokens(t)
		token := tokens["instructor"]
		class := s.bigClass(t)

		spec := `{"title": "Leads", "skills": ["inch-mm"], "count": 2, "lathe": "` + s.lathe.ID + `", "units": "mm"}`
		w := s.asked(t, token, "/v1/classes/"+class.ID+"/sets", "", spec)
		require.Equal(t, curriculum.WorkDone, w.State, w.Problem)
		set := w.Result.Set
		variants, err := s.Variants(t.Context(), s.instructor, set)
		require.NoError(t, err)
		assert.Len(t, variants, practice.MostAtOnce+1)
		status, _, body := s.call(t, token, "POST", "/v1/classes/"+class.ID+"/sets", "", strings.Replace(spec, "inch-mm", "no-such-skill", 1))
		assert.Equal(t, 422, status, "what cannot be built is refused at once: %s", body)

		pack := s.asked(t, token, "/v1/sets/"+set+"/pack?double=1", "", "")
		require.Equal(t, curriculum.WorkDone, pack.State, pack.Problem)
		assert.Equal(t, practice.MostAtOnce+1, pack.Result.Learners)
		data := s.file(t, token, pack.ID)
		archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		require.NoError(t, err)
		_, _, direct := s.call(t, token, "GET", "/v1/sets/"+set+"/pack.zip?double=1", "", "")
		assert.Equal(t, []byte(direct), data, "it is the archive that one can wait for")
		assert.Greater(t, len(archive.File), 3)
		status, _, body = s.call(t, token, "POST", "/v1/sets/"+set+"/pack?paper=a4", "", "")
		assert.Equal(t, 202, status, body)

		var list strings.Builder
		list.WriteString("seat,name,class\n1,,\n")
		for i := range 250 {
			fmt.Fprintf(&list, "%d,Newcomer %d,\n", i+2, i)
		}
		roster := "/v1/classes/" + class.ID + "/roster"
		status, _, body = s.call(t, token, "POST", roster, "text/csv", list.String())
		assert.Equal(t, 422, status, "a bad line is named at once: %s", body)
		w = s.asked(t, token, roster+"?partial=1", "text/csv", list.String())
		require.Equal(t, curriculum.WorkDone, w.State, w.Problem)
		assert.Equal(t, 250, w.Result.Learners)
		assert.Equal(t, 2, w.Result.Bad[0].Line)
		status, _, body = s.call(t, token, "POST", roster+"?partial=1", "text/csv", list.String())
		assert.Equal(t, 422, status, "they are there already: %s", body)

		w = s.asked(t, token, "/v1/recompute", "", `{"write": true}`)
		require.Equal(t, curriculum.WorkDone, w.State, w.Problem)
		assert.Equal(t, 12+practice.MostAtOnce+1+250, w.Result.Learners)
		assert.Zero(t, *w.Result.Differences)
		assert.Equal(t, w.Total, w.Result.Learners)

		export := s.asked(t, token, "/v1/export", "", "")
		require.Equal(t, curriculum.WorkDone, export.State, export.Problem)
		z, err := gzip.NewReader(bytes.NewReader(s.file(t, token, export.ID)))
		require.NoError(t, err)
		first, err := bufio.NewReader(z).ReadString('\n')
		require.NoError(t, err)
		assert.Contains(t, first, store.ExportFormat)

		status, _, body = s.call(t, token, "GET", "/v1/work", "", "")
		require.Equal(t, 200, status)
		var own struct{ Work []curriculum.Work }
		require.NoError(t, json.Unmarshal([]byte(body), &own))
		assert.Len(t, own.Work, 6)
		assert.Equal(t, export.ID, own.Work[0].ID, "newest first")

		// Whom it is nothing to, does not learn of it; a steward of the workshop sees
		// what stewards may ask for.
		_, link, err := s.AddPerson(t.Context(), s.instructor, "Door", curriculum.RoleSteward)
		require.NoError(t, err)
		steward, _, err := s.UseLink(t.Context(), link)
		require.NoError(t, err)
		for id, want := range map[string]int{export.ID: 404, w.ID: 200} {
			status, _, _ = s.call(t, steward, "GET", "/v1/work/"+id, "", "")
			assert.Equal(t, want, status)
			status, _, _ = s.call(t, tokens["stranger"], "GET", "/v1/work/"+id, "", "")
			assert.Equal(t, 404, status)
		}
		status, _, _ = s.call(t, steward, "GET", "/v1/work/"+export.ID+"/file", "", "")
		assert.Equal(t, 404, status)
	})
}

// TestWorkThatFails says why: the class list has changed since it was asked for.
func TestWorkThatFails(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	s := start(t, db)
	token := s.tokens(t)["instructor"]
	var list strings.Builder
	list.WriteString("seat,name,class\n")
	for i := range 201 {
		fmt.Fprintf(&list, "%d,Newcomer %d,\n", i+1, i)
	}
	status, header, body := s.call(t, token, "POST", "/v1/classes/"+s.class.ID+"/roster", "text/csv", list.String())
	require.Equal(t, 202, status, body)
	_, err := s.AddLearners(t.Context(), s.instructor, s.class.ID, practice.Adding{Names: []string{"Newcomer 7"}})
	require.NoError(t, err)
	s.working(t, db)
	var w curriculum.Work
	require.Eventually(t, func() bool {
		_, _, body := s.call(t, token, "GET", header.Get("Location"), "", "")
		return json.Unmarshal([]byte(body), &w) == nil && w.Ended()
	}, time.Minute, 50*time.Millisecond)
	assert.Equal(t, curriculum.WorkFailed, w.State)
	assert.Contains(t, w.Problem, "Newcomer 7")
	learners, err := s.Learners(t.Context(), s.instructor, s.class.ID)
	require.NoError(t, err)
	assert.Len(t, learners, 13, "nothing is half-imported")
}

// TestWorkIsShown: an instructor asks for a large set by the form, leaves, comes
// back, and finds it done; the class pack and the comparison likewise.
func TestWorkIsShown(t *testing.T) {
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	s := start(t, db)
	class := s.bigClass(t)
	p := s.signedIn(t, 360)
	p.open("/classes/" + class.ID)
	p.fill("#title", "Inches")
	p.script(`(() => { document.querySelector("input[value='inch-mm']").checked = true; document.querySelector("#lathe").value = "` + s.lathe.ID + `"; return "" })()`)
	p.press("form[action$='/sets'] button")
	assert.Contains(t, p.text("#state"), "waits for its turn")
	p.fits()
	p.audit()
	asked := p.script(`location.pathname`)
	p.open("/classes")
	s.working(t, db)
	p.open("/work")
	assert.Contains(t, p.text("main"), "Class set: Inches")
	p.audit()
	p.press(`a[href="` + asked + `"]`)
	p.until(`document.querySelector("#progress[data-ended]")`)
	assert.Contains(t, p.text("#state"), "done")
	assert.Contains(t, p.text("#progress"), "37 sheets")
	p.fits()
	p.audit()
	p.press("#progress a.button")
	assert.Contains(t, p.text("main"), "37 sheets take a while")
	p.fits()
	p.audit()
	p.press("form[action$='/pack'] button")
	p.until(`document.querySelector("#progress a.button")`)
	assert.Contains(t, p.text("#progress"), "pack.zip")
	p.fits()
	p.audit()
	p.open("/work")
	p.press("main form:last-of-type button")
	p.until(`document.querySelector("#progress[data-ended]")`)
	assert.Contains(t, p.text("#progress"), "learners compared. Nothing differs")
	p.audit()
}

// TestWorkIsCalledOff calls works off while they wait and while they run: nothing
// comes of them, and what is asked for afterwards is done.
func TestWorkIsCalledOff(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := startWith(t, db, practice.Options{Beat: 20 * time.Millisecond})
		token := s.tokens(t)["instructor"]
		class := s.bigClass(t)
		ask := func(path, media, body string) string {
			status, header, said := s.call(t, token, "POST", path, media, body)
			require.Equal(t, http.StatusAccepted, status, said)
			return header.Get("Location")
		}
		read := func(path string) (w curriculum.Work) {
			status, _, said := s.call(t, token, "GET", path, "", "")
			require.Equal(t, http.StatusOK, status, said)
			require.NoError(t, json.Unmarshal([]byte(said), &w))
			return w
		}
		callOff := func(path string, want int) {
			status, _, said := s.call(t, token, "DELETE", path, "", "")
			require.Equal(t, want, status, said)
			if want == http.StatusOK {
				assert.Contains(t, said, `"state":"called-off"`)
			}
		}
		wholeJobs := `{"title": "Whole jobs", "skills": ["whole-job"], "count": 40, "lathe": "` + s.lathe.ID + `", "units": "mm"}`
		var list strings.Builder
		list.WriteString("seat,name,class\n")
		for i := range 250 {
			fmt.Fprintf(&list, "%d,Newcomer %d,\n", i+1, i)
		}
		sets, roster := "/v1/classes/"+class.ID+"/sets", "/v1/classes/"+class.ID+"/roster"

		waiting := []string{ask(sets, "", wholeJobs), ask(roster, "text/csv", list.String()), ask("/v1/export", "", "")}
		for _, w := range waiting {
			callOff(w, http.StatusOK)
			callOff(w, http.StatusOK)
		}
		running := make(chan struct{})
		gone := make(chan error, 1)
		s.HandleWork(curriculum.WorkExport, func(ctx context.Context, r *practice.Running) error {
			err := r.File(ctx, "records.jsonl.gz", "application/gzip", curriculum.WorkResult{}, func(to io.Writer) error {
				if _, err := to.Write(make([]byte, 3<<20)); err != nil {
					return err
				}
				close(running)
				<-ctx.Done()
				return nil // as if it had not noticed
			})
			gone <- err
			return err
		})
		s.working(t, db)

		// A file that is being written.
		export := ask("/v1/export", "", "")
		<-running
		callOff(export, http.StatusOK)
		require.Error(t, <-gone)
		assert.Equal(t, curriculum.WorkCalledOff, read(export).State)
		status, _, _ := s.call(t, token, "GET", export+"/file", "", "")
		assert.Equal(t, http.StatusNotFound, status)

		// A set that is being drawn.
		set := ask(sets, "", wholeJobs)
		require.Eventually(t, func() bool { return read(set).State == curriculum.WorkRunning }, time.Minute, 5*time.Millisecond)
		callOff(set, http.StatusOK)

		// What is asked for later is done; the two hands are free again.
		var last curriculum.Work
		for range 3 {
			last = s.asked(t, token, "/v1/recompute", "", `{"write": false}`)
			assert.Equal(t, curriculum.WorkDone, last.State, last.Problem)
		}
		callOff("/v1/work/"+last.ID, http.StatusConflict)
		for _, w := range append(waiting, export, set) {
			got := read(w)
			assert.Equal(t, curriculum.WorkCalledOff, got.State)
			assert.Nil(t, got.Result)
		}
		none, err := s.Sets(t.Context(), s.instructor, class.ID)
		require.NoError(t, err)
		assert.Empty(t, none)
		learners, err := s.Learners(t.Context(), s.instructor, class.ID)
		require.NoError(t, err)
		assert.Len(t, learners, practice.MostAtOnce+1)

		// Whom it is nothing to, calls nothing off.
		own := ask("/v1/export", "", "")
		_, link, err := s.AddPerson(t.Context(), s.instructor, "Door", curriculum.RoleSteward)
		require.NoError(t, err)
		steward, _, err := s.UseLink(t.Context(), link)
		require.NoError(t, err)
		status, _, _ = s.call(t, steward, "DELETE", own, "", "")
		assert.Equal(t, http.StatusNotFound, status)
		callOff(own, http.StatusOK)
	})
}

// TestWorkIsCalledOffByHand: the page of a work has the button as long as there is
// something to call off.
func TestWorkIsCalledOffByHand(t *testing.T) {
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	s := start(t, db)
	p := s.signedIn(t, 360)
	p.open("/work")
	p.press("form:has(input[value='export']) button")
	path := p.script(`location.pathname`)
	p.fits()
	p.audit()
	p.press("#call-off button")
	assert.Equal(t, path, p.script(`location.pathname`))
	assert.Contains(t, p.text("#state"), "called off")
	assert.Contains(t, p.text("#progress"), "Nothing comes of it")
	assert.Equal(t, "0", p.script(`String(document.querySelectorAll("#call-off").length)`))
	p.fits()
	p.audit()
	p.open("/work")
	assert.Contains(t, p.text("main"), "called off")
	p.press("form:has(input[value='recompute']) button")
	p.script(`document.querySelector("#call-off button").focus(); ""`)
	s.working(t, db)
	p.until(`!document.querySelector("#call-off")`)
	assert.Contains(t, p.text("#state"), "done")
	p.focused("state")
}
