package api_test

import (
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// TestPlansOverJSON: a course, its lessons, a learner's plan, its calendar and
// its sheet.
func TestPlansOverJSON(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	tokens := s.tokens(t)
	learner := s.variants[0].Learner
	now := time.Now().UTC().Truncate(time.Second)
	spec, err := json.Marshal(map[string]any{
		"title": "Three-start nut", "thread": map[string]any{"designation": "M30xPh6P2"}, "lathe": s.lathe.ID, "units": "mm",
		"first": now.Add(time.Hour), "every_days": 7, "minutes": 150, "date": now.AddDate(0, 0, 56), "practice_days": 2, "practice_size": 6,
	})
	require.NoError(t, err)
	put := func(match string) (int, http.Header, string) {
		r, err := http.NewRequest(http.MethodPut, s.base+"/v1/classes/"+s.class.ID+"/course", strings.NewReader(string(spec)))
		require.NoError(t, err)
		r.Header.Set("Authorization", "Bearer "+tokens["instructor"])
		if match != "" {
			r.Header.Set("If-Match", match)
		}
		res, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		defer func() { require.NoError(t, res.Body.Close()) }()
		data, err := io.ReadAll(res.Body)
		require.NoError(t, err)
		return res.StatusCode, res.Header, string(data)
	}
	status, header, body := put("")
	require.Equal(t, http.StatusOK, status, body)
	assert.Equal(t, `"1"`, header.Get("ETag"))
	status, _, _ = put("")
	assert.Equal(t, http.StatusConflict, status, "the second of two is told")
	status, header, _ = put(header.Get("ETag"))
	require.Equal(t, http.StatusOK, status)
	assert.Equal(t, `"2"`, header.Get("ETag"))

	status, _, body = s.call(t, tokens["instructor"], "GET", "/v1/classes/"+s.class.ID+"/course/plan", "", "")
	require.Equal(t, http.StatusOK, status, body)
	var lessons curriculum.CoursePlan
	require.NoError(t, json.Unmarshal([]byte(body), &lessons))
	assert.Len(t, lessons.Lessons, 8)
	assert.Len(t, lessons.Lessons[0].Questions, 5)

	status, _, body = s.call(t, tokens["instructor"], "GET", "/v1/classes/"+s.class.ID+"/forecast", "", "")
	require.Equal(t, http.StatusOK, status, body)
	var forecast practice.Forecast
	require.NoError(t, json.Unmarshal([]byte(body), &forecast))
	assert.Len(t, forecast.Rows, 12)

	status, _, body = s.call(t, tokens["learner"], "GET", "/v1/learners/"+learner+"/plan", "", "")
	require.Equal(t, http.StatusOK, status, body)
	var p curriculum.PracticePlan
	require.NoError(t, json.Unmarshal([]byte(body), &p))

	status, header, body = s.call(t, tokens["learner"], "GET", "/v1/learners/"+learner+"/plan.ics", "", "")
	require.Equal(t, http.StatusOK, status)
	assert.Equal(t, "text/calendar; charset=utf-8", header.Get("Content-Type"))
	cal, err := ics.ParseCalendar(strings.NewReader(body))
	require.NoError(t, err)
	assert.Len(t, cal.Events(), len(p.Sessions)+1)
	for line := range strings.SplitSeq(body, "\r\n") {
		assert.LessOrEqual(t, len(line), 75, "RFC 5545 folds lines")
	}

	status, _, body = s.call(t, tokens["learner"], "POST", "/v1/learners/"+learner+"/sheets", "", "")
	require.Equal(t, http.StatusCreated, status, body)
	assert.NotContains(t, body, `"seed"`)
	assert.NotContains(t, body, `"answer":`)
	var drawn struct {
		Set     curriculum.ClassSet
		Variant curriculum.Variant
	}
	require.NoError(t, json.Unmarshal([]byte(body), &drawn))
	assert.Len(t, drawn.Variant.Exercises, len(p.Sessions[0].Items))
	status, _, body = s.call(t, tokens["instructor"], "GET", "/v1/sets/"+drawn.Set.ID+"/worksheets.pdf", "", "")
	require.Equal(t, http.StatusOK, status)
	assert.True(t, strings.HasPrefix(body, "%PDF-"), "for those who work on paper")
}
