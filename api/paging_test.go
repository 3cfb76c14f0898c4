package api_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestPages: a list taken page by page along its links is the list taken whole.
func TestPages(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		tokens := s.tokens(t)
		ctx := t.Context()
		for _, name := range []string{"Second", "Third", "Fourth"} {
			_, err := s.AddClass(ctx, s.instructor, name)
			require.NoError(t, err)
			_, _, err = s.AddPerson(ctx, s.instructor, name, curriculum.RoleSteward)
			require.NoError(t, err)
			_, _, err = s.NewToken(ctx, s.instructor, name, curriculum.Scopes[0], 3)
			require.NoError(t, err)
			seconds := 12.0
			_, err = s.LogTime(ctx, s.instructor, curriculum.LoggedTime{Lathe: s.lathe.ID, HandlingS: &seconds})
			require.NoError(t, err)
			_, err = s.EnterPaper(ctx, s.instructor, s.set.ID, []practice.PaperAnswer{{Variant: s.variants[0].Code, Position: 1, Answers: map[string]string{"a": name}}})
			require.NoError(t, err)
		}
		for path, who := range map[string]string{
			"/v1/lathes": "instructor", "/v1/classes": "instructor", "/v1/classes/" + s.class.ID + "/learners": "instructor", "/v1/classes/" + s.class.ID + "/sets": "instructor",
			"/v1/sets/" + s.set.ID + "/variants": "instructor", "/v1/classes/" + s.class.ID + "/jobs": "instructor", "/v1/classes/" + s.class.ID + "/shop-sessions": "instructor",
			"/v1/events": "instructor", "/v1/events?about=" + s.lathe.ID: "instructor", "/v1/times": "instructor", "/v1/tokens": "instructor", "/v1/people": "instructor", "/v1/sheets/" + s.variants[0].Code + "/attempts": "instructor", "/v1/overrules": "instructor",
			"/v1/sheets": "learner", "/v1/signoff/learners/" + s.variants[0].Learner + "/history": "instructor", "/v1/times?lathe=" + s.lathe.ID: "instructor",
		} {
			entries := func(body string) []any {
				var lists map[string][]any
				require.NoError(t, json.Unmarshal([]byte(body), &lists), path)
				require.Len(t, lists, 1, path)
				for _, l := range lists {
					return l
				}
				return nil
			}
			status, header, body := s.call(t, tokens[who], "GET", path, "", "")
			require.Equal(t, http.StatusOK, status, "%s: %s", path, body)
			assert.Empty(t, header.Get("Link"), path)
			whole := entries(body)
			mark := "?"
			if strings.Contains(path, "?") {
				mark = "&"
			}
			var pages []any
			for next := path + mark + "limit=2"; next != ""; {
				status, header, body = s.call(t, tokens[who], "GET", next, "", "")
				require.Equal(t, http.StatusOK, status, "%s: %s", next, body)
				page := entries(body)
				assert.LessOrEqual(t, len(page), 2)
				pages = append(pages, page...)
				next = ""
				if link := regexp.MustCompile(`^<(.*)>; rel="next"$`).FindStringSubmatch(header.Get("Link")); link != nil {
					next = link[1]
				}
			}
			assert.Equal(t, len(whole), len(pages), path)
			for i := range whole {
				assert.Equal(t, whole[i], pages[i], path)
			}
			status, _, body = s.call(t, tokens[who], "GET", path+mark+"after=nowhere", "", "")
			assert.Equal(t, http.StatusUnprocessableEntity, status, "%s: %s", path, body)
		}
		for query, n := range map[string]int{"q=" + url.QueryEscape(strings.ToUpper(s.variants[0].Name)): 1, "q=nobody+of+this+name": 0} {
			_, _, body := s.call(t, tokens["instructor"], "GET", "/v1/classes/"+s.class.ID+"/learners?"+query, "", "")
			assert.Equal(t, n, strings.Count(body, `"seat"`), body)
		}
	})
}

// TestTwoWhoChange: who changes what somebody else has changed meanwhile is told.
func TestTwoWhoChange(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		token := s.tokens(t)["instructor"]
		_, _, rules := s.call(t, token, "GET", "/v1/signoff/rules", "", "")
		for path, body := range map[string]string{
			"/v1/classes/" + s.class.ID:                                        `{"name": "Tuesday evening"}`,
			"/v1/classes/" + s.class.ID + "/learners/" + s.variants[2].Learner: `{"name": "Another Name", "seat": 5}`,
			"/v1/workshop":             `{"name": "Shed Ten", "units": "in"}`,
			"/v1/signoff/rules":        rules,
			"/v1/lathes/" + s.lathe.ID: `{"name": "Lathe 9", "profile": {}}`,
		} {
			status, header, said := s.call(t, token, "GET", path, "", "")
			require.Equal(t, http.StatusOK, status, said)
			read := header.Get("ETag")
			put := func(match string) (int, http.Header, string) {
				return s.send(t, "PUT", path, body, map[string]string{"Authorization": "Bearer " + token, "If-Match": match})
			}
			status, _, _ = put("")
			assert.Equal(t, http.StatusPreconditionRequired, status, path)
			status, header, said = put(read)
			require.Equal(t, http.StatusOK, status, "%s: %s", path, said)
			assert.NotEqual(t, read, header.Get("ETag"), path)
			status, _, _ = put(read)
			assert.Equal(t, http.StatusConflict, status, "%s: the version that was read is gone", path)
			status, _, said = put(header.Get("ETag"))
			assert.Equal(t, http.StatusOK, status, "%s: %s", path, said)
		}
	})
}
