package api_test

import (
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"

	ics "github.com/arran4/golang-ical"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api/problem"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// change makes one PUT with the version it was made to.
func (s *service) change(t *testing.T, token, path, match, body string) (int, string) {
	t.Helper()
	r, err := http.NewRequest(http.MethodPut, s.base+path, strings.NewReader(body))
	require.NoError(t, err)
	r.Header.Set("Authorization", "Bearer "+token)
	if match == "" {
		r.Header.Set("If-None-Match", "*")
	} else {
		r.Header.Set("If-Match", match)
	}
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer func() { require.NoError(t, res.Body.Close()) }()
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return res.StatusCode, string(data)
}

// TestShopSession: jobs, a plan, two editors, board and calendar.
func TestShopSession(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		token := s.tokens(t)["instructor"]
		var lathes struct{ Lathes []curriculum.Lathe }
		_, _, body := s.call(t, token, "GET", "/v1/lathes", "", "")
		require.NoError(t, json.Unmarshal([]byte(body), &lathes))
		lathe := ""
		for _, l := range lathes.Lathes {
			if l.Name == "Lathe 2" {
				lathe = l.ID
			}
		}
		require.NotEmpty(t, lathe)
		job := func(rpm string, allowed string) string {
			return `{"lathe": "` + lathe + `", "allowed": ` + allowed + `, "request": {
				"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm"},
				"cut": {"first_cut": "0.25 mm", "least_cut": "0.03 mm", "spring_passes": 2, "tool_flat": "0.25 mm", "spindle_rpm": ` + rpm + `, "reaction_s": 0.7, "groove": "8 mm", "tool_width": "3 mm"}}}`
		}
		path := "/v1/classes/" + s.class.ID + "/jobs/"
		for i, body := range []string{job("40", "true"), job("40", "true"), job("40", "false"), job("95", "true")} {
			status, answer := s.change(t, token, path+s.variants[i].Learner, "", body)
			require.Equal(t, 200, status, answer)
		}
		status, answer := s.change(t, token, path+s.variants[0].Learner, "", job("40", "true"))
		assert.Equal(t, 409, status, "a second first job is told: %s", answer)

		_, _, body = s.call(t, token, "GET", "/v1/classes/"+s.class.ID+"/jobs", "", "")
		var jobs struct{ Jobs []practice.JobState }
		require.NoError(t, json.Unmarshal([]byte(body), &jobs))
		require.Len(t, jobs.Jobs, 4)
		assert.Equal(t, 48, jobs.Jobs[0].Minutes)
		assert.Empty(t, jobs.Jobs[0].Why)
		assert.Contains(t, jobs.Jobs[2].Why, "not allowed")
		assert.Contains(t, jobs.Jobs[3].Why, "open the groove to")

		status, header, card := s.call(t, token, "GET", path+s.variants[0].Learner+"/bench-card.pdf", "", "")
		require.Equal(t, 200, status, card)
		assert.Equal(t, "application/pdf", header.Get("Content-Type"))
		status, header, card = s.send(t, "GET", path+s.variants[0].Learner+"/bench-card.pdf", "", map[string]string{"Authorization": "Bearer " + token, "Accept": "application/json"})
		require.Equal(t, 200, status, card)
		assert.Contains(t, header.Get("Content-Type"), "application/json")
		var data curriculum.BenchCard
		require.NoError(t, json.Unmarshal([]byte(card), &data))
		assert.InDelta(t, 45, data.RunOut.ActAt.MM, 1e-9)
		assert.Len(t, data.Starts, 3)
		status, _, refusal := s.call(t, token, "GET", path+s.variants[3].Learner+"/bench-card.pdf", "", "")
		require.Equal(t, 422, status)
		var d problem.Document
		require.NoError(t, json.Unmarshal([]byte(refusal), &d))
		require.NotEmpty(t, d.Fields)
		assert.Equal(t, "/cut/spindle_rpm", d.Fields[0].Path)

		status, header, list := s.call(t, token, "GET", "/v1/classes/"+s.class.ID+"/preparation.pdf?paper=letter", "", "")
		require.Equal(t, 200, status, list)
		assert.Equal(t, "application/pdf", header.Get("Content-Type"))

		for range 3 { // three turns by the stop-watch replace the start value of 12 s
			status, _, answer := s.call(t, token, "POST", "/v1/lathes/"+lathe+"/times", "application/json", `{"handling_s": 20}`)
			require.Equal(t, 201, status, answer)
		}
		status, _, body = s.call(t, token, "POST", "/v1/classes/"+s.class.ID+"/shop-sessions", "application/json",
			`{"begins": "2026-03-02T18:00:00+01:00", "spec": {"title": "Three starts; lathes, and cards", "zone": "Europe/Prague", "lathes": ["`+lathe+`"], "check_minutes": 5}}`)
		require.Equal(t, 201, status, body)
		var session curriculum.ShopSession
		require.NoError(t, json.Unmarshal([]byte(body), &session))
		turns := map[string]int{}
		for _, b := range session.Plan.Bookings {
			if b.Kind == curriculum.BookedLathe {
				turns[b.Learner] = b.End - b.Begin
			}
		}
		assert.Equal(t, map[string]int{s.variants[0].Learner: 54, s.variants[1].Learner: 54}, turns, "47.3 + 3·16·8/60 = 53.7 minutes; no card and no leave, no turn")
		assert.Len(t, session.Plan.Left, 10)

		own := "/v1/shop-sessions/" + session.ID
		change := func(begin string) string {
			return `{"begins": "2026-03-02T18:00:00+01:00", "spec": {"title": "Changed", "zone": "Europe/Prague", "lathes": ["` + lathe + `"],
				"fixed": [{"learner": "` + s.variants[1].Learner + `", "place": "` + lathe + `", "begin": ` + begin + `}]}}`
		}
		status, answer = s.change(t, token, own, `"1"`, change("25"))
		require.Equal(t, 200, status, answer)
		status, answer = s.change(t, token, own, `"1"`, change("80"))
		assert.Equal(t, 409, status, answer)
		assert.Contains(t, answer, "changed it meanwhile, it has version 2")
		status, answer = s.change(t, token, own, `"2"`, change("140"))
		assert.Equal(t, 422, status, answer)
		_, _, body = s.call(t, token, "GET", own, "", "")
		session = curriculum.ShopSession{}
		require.NoError(t, json.Unmarshal([]byte(body), &session))
		assert.Equal(t, 2, session.Version)
		require.NotEmpty(t, session.Spec.Fixed)
		assert.Equal(t, 25, *session.Spec.Fixed[0].Begin, "the first editor's change stands")

		status, _, board := s.call(t, token, "GET", own+"/board.pdf", "", "")
		require.Equal(t, 200, status, board)
		assert.True(t, strings.HasPrefix(board, "%PDF-"))
		status, header, calendar := s.call(t, token, "GET", own+"/session.ics", "", "")
		require.Equal(t, 200, status)
		assert.Equal(t, "text/calendar; charset=utf-8", header.Get("Content-Type"))
		read, err := ics.ParseCalendar(strings.NewReader(calendar))
		require.NoError(t, err)
		require.Len(t, read.Events(), 3, "the session and two turns")
		begin, err := read.Events()[0].GetStartAt()
		require.NoError(t, err)
		assert.Equal(t, session.Begins.UTC(), begin.UTC())
	})
}
