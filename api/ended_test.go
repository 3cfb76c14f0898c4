package api_test

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

// TestEndingOverJSON: a person who leaves and a class that ends, for a program.
func TestEndingOverJSON(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		s := start(t, db)
		ctx := t.Context()
		token := s.tokens(t)["instructor"]
		second, link, err := s.AddPerson(ctx, s.instructor, "Second instructor", curriculum.RoleInstructor)
		require.NoError(t, err)
		theirs, _, err := s.UseLink(ctx, link)
		require.NoError(t, err)
		call := func(method, path, body string, into any) (int, http.Header, string) {
			t.Helper()
			status, header, said := s.call(t, token, method, path, "", body)
			if into != nil {
				require.NoError(t, json.Unmarshal([]byte(said), into), said)
			}
			return status, header, said
		}

		status, _, said := call("PUT", "/v1/people/"+s.instructor.ID+"/end", `{}`, nil)
		assert.Equal(t, http.StatusConflict, status)
		assert.Contains(t, said, "nobody ends themselves")
		status, _, said = call("PUT", "/v1/people/"+second.ID+"/end", `{"reason": "a\u0007b"}`, nil)
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, said, `"/reason"`)
		var p curriculum.Person
		status, _, _ = call("PUT", "/v1/people/"+second.ID+"/end", `{"reason": "retired"}`, &p)
		require.Equal(t, http.StatusOK, status)
		require.NotNil(t, p.Ended)
		assert.Equal(t, [2]string{s.instructor.ID, "retired"}, [2]string{p.Ended.By, p.Ended.Reason})
		status, _, _ = s.call(t, theirs, "GET", "/v1/session", "", "")
		assert.Equal(t, http.StatusUnauthorized, status)
		status, _, said = call("POST", "/v1/people/"+second.ID+"/link", "", nil)
		assert.Equal(t, http.StatusConflict, status)
		assert.Contains(t, said, "has left")
		var people struct{ People []curriculum.Person }
		call("GET", "/v1/people", "", &people)
		require.Len(t, people.People, 2)
		assert.Nil(t, people.People[0].Ended)
		assert.Equal(t, p.Ended, people.People[1].Ended)
		var back curriculum.Person
		status, _, _ = call("DELETE", "/v1/people/"+second.ID+"/end", "", &back)
		assert.Equal(t, http.StatusOK, status)
		assert.Nil(t, back.Ended)

		path := "/v1/classes/" + s.class.ID
		var made, ended curriculum.Class
		status, header, _ := call("POST", path+"/joining-code", "", &made)
		require.Equal(t, http.StatusCreated, status)
		assert.Equal(t, documentOf(t, documentOf(t, made.Version)), header.Get("ETag"))
		status, _, _ = s.call(t, "", "GET", "/v1/joining/"+s.class.JoiningCode, "", "")
		assert.Equal(t, http.StatusUnprocessableEntity, status, "the code before is void at once")
		status, _, _ = s.call(t, "", "GET", "/v1/joining/"+made.JoiningCode, "", "")
		assert.Equal(t, http.StatusOK, status)

		status, header, _ = call("PUT", path+"/end", `{"reason": "spring term"}`, &ended)
		require.Equal(t, http.StatusOK, status)
		require.NotNil(t, ended.Ended)
		assert.Equal(t, "spring term", ended.Ended.Reason)
		assert.Equal(t, documentOf(t, documentOf(t, made.Version+1)), header.Get("ETag"))
		var classes struct{ Classes []curriculum.Class }
		call("GET", "/v1/classes", "", &classes)
		assert.Empty(t, classes.Classes)
		call("GET", "/v1/classes?ended=true", "", &classes)
		assert.Equal(t, []curriculum.Class{ended}, classes.Classes)
		status, _, said = s.call(t, "", "POST", "/v1/joining", "", documentOf(t, map[string]string{"joining_code": made.JoiningCode, "learner": s.variants[0].Learner, "pin": "4711"}))
		assert.Equal(t, http.StatusUnprocessableEntity, status)
		assert.Contains(t, said, "has ended")
		status, _, said = call("POST", path+"/learners", `{"names": ["New One"]}`, nil)
		assert.Equal(t, http.StatusConflict, status)
		assert.Contains(t, said, "opens it again")
		status, _, _ = call("GET", path+"/learners", "", nil)
		assert.Equal(t, http.StatusOK, status)
		status, _, _ = call("DELETE", path+"/end", "", nil)
		assert.Equal(t, http.StatusOK, status)
		status, _, _ = call("POST", path+"/learners", `{"names": ["New One"]}`, nil)
		assert.Equal(t, http.StatusCreated, status)
	})
}
