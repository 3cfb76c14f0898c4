package api_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/store/storetest"
	"halfnut/threadmath"
)

// TestTimesOnThePage logs times, takes a mistaken one back, and sees the median
// that plans use.
func TestTimesOnThePage(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	p := s.signedIn(t, 360)
	p.open("/lathes/" + s.lathe.ID + "/times")
	p.press("main form button")
	assert.Contains(t, p.text("main"), "nothing was measured")
	p.fill("#handling_s", "a while")
	p.press("main form button")
	assert.Contains(t, p.text("main"), "not a number")
	assert.Equal(t, "a while", p.script(`document.querySelector("#handling_s").value`))
	p.audit()
	for _, seconds := range []string{"20", "22,5", "25", "600"} {
		p.fill("#handling_s", seconds)
		p.press("main form button")
	}
	assert.Contains(t, p.script(`document.querySelector("tbody tr").textContent`), "23.75")
	p.audit()
	p.press("tbody form button")
	assert.Contains(t, p.script(`document.querySelector("tbody tr").textContent`), "22.5")
	logs, err := s.LoggedTimes(t.Context(), s.instructor)
	require.NoError(t, err)
	assert.Len(t, logs, 3)
}

// TestJobsAreTakenAway: with the version that was seen, and not with another.
func TestJobsAreTakenAway(t *testing.T) {
	s := start(t, storetest.OpenAddress(t, storetest.SQLite(t)))
	request, err := threadmath.ParseRequest([]byte(`{"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": 2, "length": "40 mm"}, "cut": {"first_cut": "0.25 mm", "spindle_rpm": 60}}`))
	require.NoError(t, err)
	learner := s.variants[0].Learner
	j, err := s.SetJob(t.Context(), s.instructor, curriculum.Job{Class: s.class.ID, Learner: learner, Lathe: s.lathe.ID, Request: request})
	require.NoError(t, err)
	old := j
	old.Version = 9
	require.ErrorIs(t, s.RemoveJob(t.Context(), s.instructor, old), curriculum.ErrConflict)
	p := s.signedIn(t, 1280)
	p.open("/classes/" + s.class.ID + "/jobs?learner=" + learner)
	p.press("#job button[name='remove']")
	jobs, err := s.Jobs(t.Context(), s.instructor, s.class.ID)
	require.NoError(t, err)
	assert.Empty(t, jobs)
	require.ErrorIs(t, s.RemoveJob(t.Context(), s.instructor, j), curriculum.ErrNotFound)
}
