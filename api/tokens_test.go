package api_test

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api/openapi"
	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// TestTokensHaveTheScopeOfTheContract: for every route, a token of each scope
// gets in where the document says so, and is refused where it does not.
func TestTokensHaveTheScopeOfTheContract(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	session := s.tokens(t)["instructor"]
	secrets := map[string]string{}
	for _, scope := range curriculum.Scopes {
		status, _, body := s.call(t, session, "POST", "/v1/tokens", "", `{"name": "for `+scope+`", "scope": "`+scope+`", "days": 30}`)
		require.Equal(t, http.StatusCreated, status, body)
		var made struct{ Secret string }
		require.NoError(t, json.Unmarshal([]byte(body), &made))
		secrets[scope] = made.Secret
	}
	document, err := openapi.Load()
	require.NoError(t, err)
	checked := 0
	for _, name := range document.Operations() {
		method, path, _ := strings.Cut(name, " ")
		op := document.Operation(method, path)
		if op.Public {
			continue
		}
		door := doors[name]
		for _, scope := range curriculum.Scopes {
			status, _, body := s.call(t, secrets[scope], method, strings.NewReplacer(":id", "NONE", ":code", "NONE", ":learner", "NONE", ":lathe", "NONE", ":operation", "NONE").Replace(path), "", door.body)
			byScope := strings.Contains(body, "needs a token of scope") || strings.Contains(body, "not for API tokens")
			assert.Equal(t, !practice.ScopeHolds(scope, op.Scope), status == http.StatusForbidden && byScope, "%s with %s: %d %s", name, scope, status, body)
			checked++
		}
	}
	assert.Greater(t, checked, 100)

	status, _, body := s.call(t, session, "GET", "/v1/tokens", "", "")
	require.Equal(t, http.StatusOK, status)
	var list struct{ Tokens []curriculum.APIToken }
	require.NoError(t, json.Unmarshal([]byte(body), &list))
	require.Len(t, list.Tokens, 3)
	for _, secret := range secrets {
		assert.NotContains(t, body, secret, "a secret is shown once")
	}
	status, _, _ = s.call(t, session, "DELETE", "/v1/tokens/"+list.Tokens[0].ID, "", "")
	require.Equal(t, http.StatusNoContent, status)
	status, _, _ = s.call(t, secrets[list.Tokens[0].Scope], "GET", "/v1/classes", "", "")
	assert.Equal(t, http.StatusUnauthorized, status, "revoked at once")
}

// TestSigningInByName goes over both doors, the API's and the page's.
func TestSigningInByName(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	session := s.tokens(t)["instructor"]
	p, err := s.FirstInstructor(t.Context(), s.instructor.Workshop)
	require.NoError(t, err)
	sent, err := json.Marshal(map[string]string{"name": p.Name, "passphrase": "four starts on one lathe"})
	require.NoError(t, err)
	status, _, _ := s.call(t, "", "POST", "/v1/session", "", string(sent))
	assert.Equal(t, http.StatusForbidden, status)
	status, _, body := s.call(t, session, "PUT", "/v1/session/passphrase", "", `{"passphrase": "four starts on one lathe"}`)
	require.Equal(t, http.StatusNoContent, status, body)
	status, _, body = s.call(t, "", "POST", "/v1/session", "", string(sent))
	require.Equal(t, http.StatusCreated, status, body)
	form := "name=" + strings.ReplaceAll(p.Name, " ", "+") + "&passphrase="
	status, h, body := s.call(t, "", "POST", "/signin", "application/x-www-form-urlencoded", form+"four+starts+on+one+lathe")
	require.Equal(t, http.StatusSeeOther, status, body)
	assert.Contains(t, h.Get("Set-Cookie"), "halfnut=")
	status, _, body = s.call(t, "", "POST", "/signin", "application/x-www-form-urlencoded", form+"wrong")
	assert.Equal(t, http.StatusForbidden, status)
	assert.Contains(t, body, "do not go together")
	assert.NotContains(t, body, `value="wrong"`, "a passphrase is not put back into the form")
}
