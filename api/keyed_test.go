package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/api/openapi"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestEveryCreateTakesAKey: whatever is posted can be sent again under an
// Idempotency-Key, but for what keeps nothing and for the doors, whose answers
// are secrets.
func TestEveryCreateTakesAKey(t *testing.T) {
	t.Parallel()
	d, err := openapi.Load()
	require.NoError(t, err)
	without := map[string]string{
		"/v1/learners/:id/erasure": "makes nothing, and an erased learner is not there a second time",
		"/v1/solve":                "keeps nothing",
		"/v1/bench-card.pdf":       "keeps nothing",
		"/v1/session":              "a door; its answer is a session's secret",
		"/v1/joining":              "a door; its answer is a session's secret",
	}
	for _, r := range api.Routes() {
		op := d.Operation(r.Method, r.Path)
		if r.Method != http.MethodPost {
			assert.False(t, op.Keyed, "%s %s", r.Method, r.Path)
			continue
		}
		assert.Equal(t, without[r.Path] == "", op.Keyed, "%s %s", r.Method, r.Path)
	}
}

// post sends a body under a key.
func (s *service) post(t *testing.T, token, path, contentType, key, body string) (int, http.Header, string) {
	t.Helper()
	return s.send(t, http.MethodPost, path, body, map[string]string{"Authorization": "Bearer " + token, "Content-Type": contentType, "Idempotency-Key": key})
}

func TestSentAgainUnderAKey(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		tokens := s.tokens(t)
		token, json := tokens["instructor"], "application/json"
		names := strings.NewReplacer("LEARNER", s.variants[0].Learner, "LATHE", s.lathe.ID, "CLASS", s.class.ID, "SET", s.set.ID, "SHEET", s.variants[0].Code,
			"OTHER", s.variants[1].Code, "UUID", uuid.NewString())
		// Each of these fails or counts on when it is done twice.
		for path, c := range map[string]struct{ who, contentType, body, list string }{
			"/v1/classes":                     {"instructor", json, `{"name": "Twice"}`, "/v1/classes"},
			"/v1/lathes":                      {"instructor", json, `{"name": "Twice", "profile": {}}`, "/v1/lathes"},
			"/v1/classes/CLASS/learners":      {"instructor", json, `{"names": ["Twice", "Again"]}`, "/v1/classes/CLASS/learners"},
			"/v1/classes/CLASS/roster":        {"instructor", "text/csv", "seat,name,class\n90,From a list,\n", "/v1/classes/CLASS/learners"},
			"/v1/classes/CLASS/sets":          {"instructor", json, `{"title": "Twice", "skills": ["lead"], "count": 1, "lathe": "LATHE", "units": "mm"}`, "/v1/classes/CLASS/sets"},
			"/v1/lathes/LATHE/times":          {"instructor", json, `{"handling_s": 12}`, "/v1/times"},
			"/v1/sets/SET/answers":            {"instructor", json, `{"answers": [{"variant": "OTHER", "position": 1, "answers": {"a": "997 mm"}}]}`, "/v1/sheets/OTHER/attempts"},
			"/v1/sheets/SHEET/answers":        {"learner", json, `{"id": "UUID", "position": 1, "answers": {"a": "997 mm"}}`, "/v1/sheets/SHEET/progress"},
			"/v1/learners/LEARNER/sheets":     {"learner", "", "", "/v1/sheets"},
			"/v1/classes/CLASS/shop-sessions": {"instructor", json, `{"begins": "2026-03-02T18:00:00Z", "spec": {"title": "Twice", "zone": "Europe/Prague", "lathes": ["LATHE"], "check_minutes": 5}}`, "/v1/classes/CLASS/shop-sessions"},
		} {
			path, c.body, c.list = names.Replace(path), names.Replace(c.body), names.Replace(c.list)
			key := uuid.NewString()
			status, header, body := s.post(t, tokens[c.who], path, c.contentType, key, c.body)
			if !assert.Equal(t, http.StatusCreated, status, "%s: %s", path, body) {
				continue
			}
			_, _, listed := s.call(t, tokens[c.who], "GET", c.list, "", "")
			again, header2, body2 := s.post(t, tokens[c.who], path, c.contentType, key, c.body)
			assert.Equal(t, http.StatusCreated, again, path)
			assert.Equal(t, body, body2, path)
			for _, h := range []string{"Location", "Etag", "Content-Type"} {
				assert.Equal(t, header[h], header2[h], "%s: %s", path, h)
			}
			_, _, listed2 := s.call(t, tokens[c.who], "GET", c.list, "", "")
			assert.Equal(t, listed, listed2, "%s: sent twice, done once", path)
		}

		// The key for another body, another address, of somebody else.
		status, _, first := s.post(t, token, "/v1/classes", json, "k", `{"name": "Keyed"}`)
		require.Equal(t, http.StatusCreated, status)
		for path, body := range map[string]string{"/v1/classes": `{"name": "Another"}`, "/v1/classes/" + s.class.ID + "/learners": `{"name": "Keyed"}`} {
			status, _, said := s.post(t, token, path, json, "k", body)
			assert.Equal(t, http.StatusUnprocessableEntity, status, said)
		}
		status, _, other := s.post(t, tokens["stranger"], "/v1/classes", json, "k", `{"name": "Keyed"}`)
		assert.Equal(t, http.StatusCreated, status)
		assert.NotEqual(t, first, other, "keys are everybody's own")

		// What is refused leaves the key free.
		status, _, _ = s.post(t, token, "/v1/classes", json, "refused", `{"name": "Keyed"}`)
		assert.Equal(t, http.StatusConflict, status, "there is a class of this name")
		status, _, _ = s.post(t, token, "/v1/classes", json, "refused", `{"name": "Free"}`)
		assert.Equal(t, http.StatusCreated, status)
		for _, bad := range []string{"two words", "ümlaut", strings.Repeat("k", 201)} {
			status, _, _ = s.post(t, token, "/v1/classes", json, bad, `{"name": "Bad"}`)
			assert.Equal(t, http.StatusUnprocessableEntity, status, bad)
		}

		// Secrets are not kept, not even for a repeated request.
		for path, body := range map[string]string{"/v1/people": `{"name": "Twice", "role": "steward"}`, "/v1/tokens": `{"name": "Twice", "scope": "read", "days": 3}`} {
			status, _, made := s.post(t, token, path, json, "secret"+path, body)
			require.Equal(t, http.StatusCreated, status, made)
			_, _, listed := s.call(t, token, "GET", path, "", "")
			status, _, said := s.post(t, token, path, json, "secret"+path, body)
			assert.Equal(t, http.StatusConflict, status, said)
			_, _, listed2 := s.call(t, token, "GET", path, "", "")
			assert.Equal(t, listed, listed2, path)
		}
	})
}

// TestSameKeyAtOnce: of many who send the same, all get the one answer.
func TestSameKeyAtOnce(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		token := s.tokens(t)["instructor"]
		answers := make([]string, 10)
		var wait sync.WaitGroup
		for i := range answers {
			wait.Go(func() {
				status, _, body := s.post(t, token, "/v1/classes/"+s.class.ID+"/sets", "application/json", "k",
					`{"title": "At once", "skills": ["lead"], "count": 1, "lathe": "`+s.lathe.ID+`", "units": "mm"}`)
				assert.Equal(t, http.StatusCreated, status, body)
				answers[i] = body
			})
		}
		wait.Wait()
		for _, a := range answers {
			assert.Equal(t, answers[0], a)
		}
		sets, err := s.Sets(t.Context(), s.instructor, s.class.ID)
		require.NoError(t, err)
		assert.Len(t, sets, 2)
	})
}
