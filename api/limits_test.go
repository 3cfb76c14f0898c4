package api_test

import (
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// TestGuessingAtTheDoors: whoever guesses is slowed down by address, with the
// seconds to wait; other addresses, and other pages, are as they were.
func TestGuessingAtTheDoors(t *testing.T) {
	t.Parallel()
	db := storetest.OpenAddress(t, storetest.SQLite(t))
	handler := api.New(api.Config{Practice: practice.New(db, practice.Options{Random: storetest.Random(t)}), Log: slog.New(slog.DiscardHandler), Proxies: []string{"192.0.2.1"}})
	ask := func(method, path, from, forwarded, body string) *httptest.ResponseRecorder {
		r := httptest.NewRequest(method, path, strings.NewReader(body))
		r.RemoteAddr = from + ":4000"
		if forwarded != "" {
			r.Header.Set("X-Forwarded-For", forwarded)
		}
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, r)
		return w
	}
	// Every door counts, and a proxy's clients are counted one by one.
	guesses := []func(n int) *httptest.ResponseRecorder{
		func(n int) *httptest.ResponseRecorder {
			return ask("GET", fmt.Sprintf("/v1/joining/X%d", n), "192.0.2.1", "198.51.100.7", "")
		},
		func(n int) *httptest.ResponseRecorder {
			return ask("POST", "/v1/session", "192.0.2.1", "198.51.100.7", fmt.Sprintf(`{"link": "%d"}`, n))
		},
		func(n int) *httptest.ResponseRecorder {
			return ask("GET", fmt.Sprintf("/join?code=X%d", n), "192.0.2.1", "198.51.100.7", "")
		},
	}
	refused := map[int]*httptest.ResponseRecorder{}
	for n := range 120 {
		w := guesses[n%3](n)
		if w.Code == http.StatusTooManyRequests {
			refused[n%3] = w
		}
	}
	require.Len(t, refused, 3, "every door is shut after a hundred wrong guesses")
	for _, w := range refused {
		wait, err := strconv.Atoi(w.Header().Get("Retry-After"))
		require.NoError(t, err)
		assert.Positive(t, wait)
		assert.LessOrEqual(t, wait, 60)
		assert.Contains(t, w.Body.String(), "oo many tries from this address")
	}
	assert.Contains(t, refused[2].Header().Get("Content-Type"), "text/html", "a page answers with a page")
	assert.Equal(t, http.StatusOK, ask("GET", "/v1/skills", "192.0.2.1", "198.51.100.7", "").Code, "only doors are shut")
	assert.Equal(t, http.StatusUnprocessableEntity, ask("GET", "/v1/joining/X", "192.0.2.1", "198.51.100.8", "").Code, "another client of the proxy")
	assert.Equal(t, http.StatusUnprocessableEntity, ask("GET", "/v1/joining/X", "203.0.113.5", "", "").Code, "another address")
	// Who is not a proxy cannot change its address by a header.
	codes := map[int]int{}
	for n := range 60 {
		codes[ask("GET", "/v1/joining/X", "203.0.113.9", fmt.Sprintf("10.0.0.%d", n), "").Code]++
	}
	assert.Positive(t, codes[http.StatusTooManyRequests], "%v", codes)
	// A host with a whole IPv6 network is one address.
	codes = map[int]int{}
	for n := range 60 {
		codes[ask("GET", "/v1/joining/X", fmt.Sprintf("[2001:db8::%x]", n+1), "", "").Code]++
	}
	assert.Positive(t, codes[http.StatusTooManyRequests], "%v", codes)
}

// TestAClassJoinsFromOneAddress: a room of learners behind one address is not
// taken for somebody who guesses.
func TestAClassJoinsFromOneAddress(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	for n := range 100 {
		status, _, body := s.call(t, "", "GET", "/v1/joining/"+s.class.JoiningCode, "", "")
		require.Equal(t, http.StatusOK, status, "%d: %s", n, body)
	}
	for _, v := range s.variants {
		status, _, body := s.call(t, "", "POST", "/v1/joining", "", `{"joining_code": "`+s.class.JoiningCode+`", "learner": "`+v.Learner+`", "pin": "1234"}`)
		require.Equal(t, http.StatusCreated, status, body)
	}
}

func TestCheckProxies(t *testing.T) {
	t.Parallel()
	require.NoError(t, api.CheckProxies(nil))
	require.NoError(t, api.CheckProxies([]string{"127.0.0.1", "10.0.0.0/8", "fd00::/8"}))
	assert.Error(t, api.CheckProxies([]string{"the proxy"}))
}
