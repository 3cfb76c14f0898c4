package api_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store/storetest"
)

// TestLearnerRecordOutAndErased: a learner takes the own record along without the
// key of a sheet that is still being worked on; an instructor erases, after
// typing the name, and the class goes on.
func TestLearnerRecordOutAndErased(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	tokens := s.tokens(t)
	v := s.variants[0]
	status, _, body := s.call(t, tokens["learner"], "POST", "/v1/sheets/"+v.Code+"/answers", "application/json",
		`{"id": "0197f2a0-0000-7000-8000-000000000001", "position": 1, "answers": {"`+v.Exercises[0].Parts[0].ID+`": "0.123"}}`)
	require.Equal(t, 201, status, body)

	status, header, body := s.call(t, tokens["learner"], "GET", "/v1/learners/"+v.Learner+"/record", "", "")
	require.Equal(t, 200, status, body)
	assert.Contains(t, header.Get("Content-Disposition"), "attachment")
	var record curriculum.LearnerRecord
	require.NoError(t, json.Unmarshal([]byte(body), &record))
	assert.Len(t, record.Records["attempt"], 1)
	for _, kind := range []string{"exercise", "attempt"} {
		for _, row := range record.Records[kind] {
			for _, key := range []string{`"accept"`, `"steps"`, `"wrong"`, `"margin"`, `"seed"`, `"compared"`} {
				assert.NotContains(t, string(row), key, kind)
			}
		}
	}

	erase := func(name string) (int, string) {
		status, _, body := s.call(t, tokens["instructor"], "POST", "/v1/learners/"+v.Learner+"/erasure", "application/json", `{"name": "`+name+`"}`)
		return status, body
	}
	status, body = erase("Somebody Else")
	require.Equal(t, 422, status)
	assert.Contains(t, body, "nothing was erased")
	status, body = erase("  " + v.Name + " ")
	require.Equal(t, 200, status, body)
	var e curriculum.Erasure
	require.NoError(t, json.Unmarshal([]byte(body), &e))
	assert.Equal(t, 1, e.Removed["attempt"])

	status, _, _ = s.call(t, tokens["learner"], "GET", "/v1/session", "", "")
	assert.Equal(t, 401, status, "signed out everywhere")
	status, _ = erase(v.Name)
	assert.Equal(t, 404, status)
	for _, path := range []string{"/v1/classes/" + s.class.ID + "/learners", "/v1/sets/" + s.set.ID + "/marks", "/v1/sets/" + s.set.ID + "/variants", "/v1/sets/" + s.set.ID + "/worksheets.pdf", "/v1/sets/" + s.set.ID + "/key.pdf"} {
		status, _, body = s.call(t, tokens["instructor"], "GET", path, "", "")
		assert.Equal(t, 200, status, path)
		assert.NotContains(t, body, v.Learner, path)
	}
}

// TestEraseOnThePage: a wrong name keeps everything and says so beside the input.
func TestEraseOnThePage(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 1280)
	p.open("/learners/" + s.variants[0].Learner + "/record")
	p.fill("#name", "Nobody")
	p.press("main form button")
	assert.Contains(t, p.text("main"), "nothing was erased")
	assert.Equal(t, "Nobody", p.script(`document.querySelector("#name").value`))
	p.audit()
	p.fill("#name", s.variants[0].Name)
	p.press("main form button")
	assert.Contains(t, p.text("main"), "sheets: 1")
	p.audit()
	learners, err := s.Learners(t.Context(), s.instructor, s.class.ID)
	require.NoError(t, err)
	for _, l := range learners {
		assert.NotEqual(t, s.variants[0].Learner, l.ID)
	}
}
