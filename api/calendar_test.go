package api_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/api"
	"halfnut/curriculum"
)

var updateCalendar = flag.Bool("update-calendar", false, "write api/testdata/calendar anew")

// TestCalendar pins the calendar of a plan with whatever needs care: commas,
// semicolons, accents, long lines, a sitting across midnight, summer time. What
// stands in events.txt is what it must say; CI reads plan.ics with ical.js, a
// library that had no part in writing it, and compares.
func TestCalendar(t *testing.T) {
	t.Parallel()
	summer, err := time.LoadLocation("Europe/Paris")
	require.NoError(t, err)
	gate := time.Date(2026, 3, 30, 18, 0, 0, 0, summer)
	p := curriculum.PracticePlan{Learner: "learner-1", Gate: &gate, Sessions: []curriculum.PracticeSession{
		{Date: time.Date(2026, 3, 28, 18, 0, 0, 0, summer), Items: []curriculum.PracticeItem{
			{Skill: "a", Title: "Lead, pitch; starts \\ façade", Why: curriculum.WhyNew, First: true},
			{Skill: "b", Title: strings.Repeat("Größe der Steigung und ", 8), Why: curriculum.WhyDue},
			{Skill: "a", Title: "Lead, pitch; starts \\ façade", Why: curriculum.WhyNew},
		}},
		{Date: time.Date(2026, 3, 29, 23, 58, 0, 0, summer), Items: []curriculum.PracticeItem{{Skill: "c", Title: "日本 ⌀ ½", Why: curriculum.WhyDue}}},
	}}
	text := api.PracticeCalendar(p)
	description := func(lines ...string) string {
		var b strings.Builder
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		require.NoError(t, e.Encode(strings.Join(lines, "\n")))
		return strings.TrimSpace(b.String())
	}
	events := strings.Join([]string{
		fmt.Sprintf("learner-1-20260328@halfnut | 2026-03-28T17:00:00Z | 2026-03-28T17:09:00Z | Practice 1: 3 exercises | %s",
			description("2 × Lead, pitch; starts \\ façade (new: read the worked example first)", "1 × "+strings.Repeat("Größe der Steigung und ", 8))),
		fmt.Sprintf("learner-1-20260329@halfnut | 2026-03-29T21:58:00Z | 2026-03-29T22:01:00Z | Practice 2: 1 exercise | %s", description("1 × 日本 ⌀ ½")),
		"learner-1-gate@halfnut | 2026-03-30T16:00:00Z | 2026-03-30T17:00:00Z | At the lathe, with the supervisor | null", "",
	}, "\n")
	for name, want := range map[string]string{"plan.ics": text, "events.txt": events} {
		if *updateCalendar {
			require.NoError(t, os.WriteFile("testdata/calendar/"+name, []byte(want), 0o644))
		}
		kept, err := os.ReadFile("testdata/calendar/" + name)
		require.NoError(t, err)
		assert.Equal(t, want, string(kept), name)
	}
	for line := range strings.SplitSeq(text, "\r\n") {
		assert.LessOrEqual(t, len(line), 75, "RFC 5545 folds lines at 75 octets")
	}
}
