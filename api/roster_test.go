package api_test

import (
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api/problem"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store/storetest"
)

// TestRoster: every bad line is named, and nothing is taken of a list with one
// unless that is asked for.
func TestRoster(t *testing.T) {
	t.Parallel()
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	token := s.tokens(t)["instructor"]
	path := "/v1/classes/" + s.class.ID + "/roster"
	send := func(query, text string) (int, string) {
		status, _, body := s.call(t, token, "POST", path+query, "text/csv", text)
		return status, body
	}
	count := func() int {
		_, _, body := s.call(t, token, "GET", "/v1/classes/"+s.class.ID+"/learners", "", "")
		return strings.Count(body, `"id"`)
	}
	before := count()
	list := "\ufeffSeat,Name,Class\r\n2,\"Novak, Ema\",\r\n1,Ünal,\r\n1,Again on seat 1,\r\n\r\n3,Ünal,\r\n4,Bad \xff byte,\r\nx,No seat,\r\n5,Too,many,columns\r\n" +
		"6,,\r\n7,Elsewhere,Another class\r\n8,a \"stray quote,\r\n9," + s.variants[0].Name + ",\r\n10," + strings.Repeat("n", 81) + ",\r\n"
	status, body := send("", list)
	require.Equal(t, 422, status, body)
	var d problem.Document
	require.NoError(t, json.Unmarshal([]byte(body), &d))
	var lines []string
	for _, f := range d.Fields {
		lines = append(lines, f.Path)
	}
	assert.Equal(t, []string{"line 4", "line 5", "line 6", "line 7", "line 8", "line 9", "line 10", "line 11", "line 12", "line 13", "line 14"}, lines)
	assert.Equal(t, before, count(), "nothing is half-imported")

	status, body = send("?partial=1", list)
	require.Equal(t, 201, status, body)
	var r practice.RosterResult
	require.NoError(t, json.Unmarshal([]byte(body), &r))
	require.Len(t, r.Learners, 2)
	assert.Equal(t, "Ünal", r.Learners[0].Name, "in the order of the seats")
	assert.Equal(t, "Novak, Ema", r.Learners[1].Name)
	assert.Len(t, r.Bad, 11)
	assert.Equal(t, before+2, count())

	for name, c := range map[string]struct {
		text   string
		status int
	}{
		"empty":       {"", 422},
		"header only": {"seat,name,class\n", 422},
		"no header":   {"1,Somebody,\n", 422},
		"wrong bytes": {"\xff\xfes\x00e\x00", 422},
		"10 MB":       {"seat,name,class\n" + strings.Repeat("1,Somebody,\n", 900_000), 422},
		"20 MB":       {"seat,name,class\n" + strings.Repeat("1,Somebody,\n", 1_800_000), 413},
		"many bad":    {"seat,name,class\n" + strings.Repeat("1,Somebody,\n", 100_000), 422},
	} {
		status, body := send("", c.text)
		assert.Equal(t, c.status, status, "%s: %.200s", name, body)
		assert.Less(t, len(body), 30_000, name)
	}
	assert.Equal(t, before+2, count())

	status, header, marks := s.call(t, token, "GET", "/v1/sets/"+s.set.ID+"/marks.csv", "", "")
	require.Equal(t, 200, status)
	assert.Equal(t, "text/csv; charset=utf-8", header.Get("Content-Type"))
	rows, err := csv.NewReader(strings.NewReader(marks)).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 13)
	assert.Equal(t, "seat", rows[0][0])
	assert.Equal(t, s.variants[0].Name, rows[1][1])
}
