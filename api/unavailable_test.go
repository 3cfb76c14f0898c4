package api_test

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api/problem"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// TestLostDatabase takes the database away: every door says 503 and when to try
// again, in a problem document or a page, and nothing of why; an answer sent
// again when the database is back counts once.
func TestLostDatabase(t *testing.T) {
	t.Parallel()
	proxy := storetest.NewProxy(t, storetest.Postgres(t))
	s := start(t, storetest.OpenAddress(t, proxy.Address))
	learner := s.tokens(t)["learner"]
	sheet := "/v1/sheets/" + s.variants[0].Code
	answer := func(id string) (int, http.Header, string) {
		return s.call(t, learner, "POST", sheet+"/answers", "application/json", `{"id": "`+id+`", "position": 1, "answers": {"a": "99 mm"}}`)
	}
	first, second := uuid.NewString(), uuid.NewString()
	status, _, body := answer(first)
	require.Equal(t, http.StatusCreated, status, body)

	proxy.Cut()
	for range 2 {
		status, header, body := answer(second)
		assert.Equal(t, http.StatusServiceUnavailable, status, body)
		assert.Equal(t, "5", header.Get("Retry-After"))
		assert.Equal(t, problem.ContentType, header.Get("Content-Type"))
		assert.Contains(t, body, "cannot be reached")
		assert.NotContains(t, body, "127.0.0.1", "the cause is for the log")
	}
	status, _, _ = s.call(t, "", "GET", "/readyz", "", "")
	assert.Equal(t, http.StatusServiceUnavailable, status)
	status, _, _ = s.call(t, "", "GET", "/healthz", "", "")
	assert.Equal(t, http.StatusOK, status, "the process itself is well")
	r, err := http.NewRequest(http.MethodGet, s.base+"/sheets", http.NoBody)
	require.NoError(t, err)
	r.AddCookie(&http.Cookie{Name: "halfnut", Value: learner})
	res, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	assert.Equal(t, http.StatusServiceUnavailable, res.StatusCode)
	assert.Equal(t, "5", res.Header.Get("Retry-After"))
	assert.Contains(t, res.Header.Get("Content-Type"), "text/html", "a page for people")

	proxy.Mend()
	for range 2 {
		for _, id := range []string{first, second} {
			status, _, body := answer(id)
			require.Equal(t, http.StatusCreated, status, body)
		}
	}
	_, _, body = s.call(t, learner, "GET", sheet+"/progress", "", "")
	var progress struct {
		Exercises map[string]practice.Result
	}
	require.NoError(t, json.Unmarshal([]byte(body), &progress))
	assert.Equal(t, 2, progress.Exercises["1"].Attempt.Try, "sent five times, counted twice")
	status, _, _ = s.call(t, "", "GET", "/readyz", "", "")
	assert.Equal(t, http.StatusOK, status)
}
