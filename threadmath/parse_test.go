package threadmath

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every refusal names the field's path, what was seen and what is allowed.
func TestParseRequestRefuses(t *testing.T) {
	t.Parallel()
	for document, want := range map[string]struct{ path, value string }{
		``:                          {"request", ""},
		`{`:                         {"request", ""},
		`{"thread": {}} x`:          {"request", ""},
		`[]`:                        {"request", "[…]"},
		`7`:                         {"request", "7"},
		`{"a/b~c": 1}`:              {"/a~1b~0c", ""},
		`{"Thread": {}}`:            {"/Thread", ""},
		`{"thread": []}`:            {"/thread", "[…]"},
		`{"thread": {"bogus": 1}}`:  {"/thread/bogus", ""},
		`{"thread": {"pitch": 2}}`:  {"/thread/pitch", "2"},
		`{"thread": {"pitch": ""}}`: {"/thread/pitch", ""},
		`{"thread": {"pitch": "2 mm", "pitch": "3 mm"}}`:                   {"/thread/pitch", ""},
		`{"thread": {"starts": 2.5}}`:                                      {"/thread/starts", "2.5"},
		`{"thread": {"starts": "2"}}`:                                      {"/thread/starts", "2"},
		`{"thread": {"starts": 1e300}}`:                                    {"/thread/starts", "1e300"},
		`{"lathe": {"half_nut": "yes"}}`:                                   {"/lathe/half_nut", "yes"},
		`{"lathe": {"thread_dials": {}}}`:                                  {"/lathe/thread_dials", "{…}"},
		`{"lathe": {"thread_dials": [null]}}`:                              {"/lathe/thread_dials/0", "null"},
		`{"lathe": {"thread_dials": [{"teeth": "16"}]}}`:                   {"/lathe/thread_dials/0/teeth", "16"},
		`{"lathe": {"holders": [{}, {"error_deg": 1e999}]}}`:               {"/lathe/holders/1/error_deg", "1e999"},
		`{"lathe": {"stud_gear": {"turns_per_spindle_turn": true}}}`:       {"/lathe/stud_gear/turns_per_spindle_turn", "true"},
		`{"lathe": {"spindle_speeds": [` + strings.Repeat("9", 41) + `]}}`: {"/lathe/spindle_speeds/0", strings.Repeat("9", 41)},
		`{"thread": {"class": "` + strings.Repeat("g", 201) + `"}}`:        {"/thread/class", strings.Repeat("g", 201)},
	} {
		_, err := ParseRequest([]byte(document))
		d := requireDomain(t, err, want.path)
		assert.Equal(t, want.value, d.Value, document)
		assert.NotEmpty(t, d.Range, document)
		assert.Less(t, len(d.Error()), 500, document)
	}
	_, err := ParseRequest([]byte(`{"lathe": {"change_gears": [` + strings.Repeat("20,", 64) + `20]}}`))
	requireDomain(t, err, "/lathe/change_gears")
}

// Null is the same as an absent field; an empty list is not.
func TestParseRequestNullIsAbsent(t *testing.T) {
	t.Parallel()
	q, err := ParseRequest([]byte(`{"thread": {"pitch": "2 mm", "starts": null}, "lathe": {"thread_dials": null, "holders": []}, "cut": null}`))
	require.NoError(t, err)
	assert.Nil(t, q.Thread.Starts)
	assert.Nil(t, q.Cut)
	assert.Nil(t, q.Lathe.ThreadDials)
	assert.NotNil(t, q.Lathe.Holders)
}

// What is written reads back the same.
func TestRequestRoundTrip(t *testing.T) {
	t.Parallel()
	q, err := ParseRequest([]byte(`{"thread": {"pitch": "2 mm", "starts": 3.0}, "lathe": {"thread_dials": [], "stud_gear": {"teeth": 45, "turns_per_spindle_turn": 0.5}}, "cut": {"blind": true}}`))
	require.NoError(t, err)
	data, err := json.Marshal(q)
	require.NoError(t, err)
	back, err := ParseRequest(data)
	require.NoError(t, err)
	assert.Equal(t, q, back)
}

func TestParseLathe(t *testing.T) {
	t.Parallel()
	_, err := ParseLathe([]byte(`{"leadscrew": "8 tpi", "holders": [{"kind": "chuck-jaws", "stations": 4}]}`))
	require.NoError(t, err)
	_, err = ParseLathe([]byte(`{"holders": [{"kind": "chuck-jaws", "stations": 0}]}`))
	requireDomain(t, err, "/holders/0/stations")
	_, err = ParseLathe([]byte(`[]`))
	requireDomain(t, err, "lathe")
}
