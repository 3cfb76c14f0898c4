package api_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store/storetest"
)

func TestOverruleOverJSONAndForm(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	tokens := s.tokens(t)
	code := s.variants[0].Code
	status, _, body := s.call(t, tokens["learner"], "POST", "/v1/sheets/"+code+"/answers", "application/json",
		`{"id": "`+uuid.NewString()+`", "position": 1, "answers": {"a": "`+s.variants[0].Exercises[0].Givens.Values["P"]+`"}}`)
	require.Equal(t, http.StatusCreated, status, body)
	_, _, body = s.call(t, tokens["instructor"], "GET", "/v1/sheets/"+code+"/attempts", "", "")
	var list struct{ Attempts []curriculum.Attempt }
	require.NoError(t, json.Unmarshal([]byte(body), &list))
	require.Len(t, list.Attempts, 1)
	at := list.Attempts[0]

	status, _, body = s.call(t, tokens["learner"], "POST", "/v1/attempts/"+at.ID+"/overrules", "", `{"part": "a", "to": "right", "reason": "I say so"}`)
	assert.Equal(t, http.StatusForbidden, status, body)
	status, _, body = s.call(t, tokens["stranger"], "POST", "/v1/attempts/"+at.ID+"/overrules", "", `{"part": "a", "to": "right", "reason": "so"}`)
	assert.Equal(t, http.StatusNotFound, status, body)
	status, _, body = s.call(t, tokens["instructor"], "POST", "/v1/attempts/"+at.ID+"/overrules", "", `{"part": "a", "to": "right", "reason": "The drawing was wrong."}`)
	require.Equal(t, http.StatusCreated, status, body)
	assert.Contains(t, body, `"after":`)
	_, _, body = s.call(t, tokens["instructor"], "GET", "/v1/overrules", "", "")
	assert.Contains(t, body, "The drawing was wrong.")

	// The same by the page's form, the other way round.
	token := tokens["instructor"]
	form := url.Values{"attempt": {at.ID}, "part": {"a"}, "to": {"unknown"}, "reason": {"It was right after all."}}
	post := func() *http.Response {
		r, err := http.NewRequest(http.MethodPost, s.base+"/sheets/"+code+"/overrules", strings.NewReader(form.Encode()))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.AddCookie(&http.Cookie{Name: "halfnut", Value: token})
		client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		res, err := client.Do(r)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		return res
	}
	res := post()
	require.Equal(t, http.StatusSeeOther, res.StatusCode)
	assert.Equal(t, "/sheets/"+code+"/answers?touched=1", res.Header.Get("Location"))
	assert.Equal(t, http.StatusUnprocessableEntity, post().StatusCode, "that is what the verdict says by now")
}
