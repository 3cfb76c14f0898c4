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
// stands in plan.txt is what it must say; CI reads plan.ics with ical.js, a
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
	kept(t, "plan", text, events)
}

// TestSessionCalendar is the same for a shop session: the meeting, and each turn
// at a lathe.
func TestSessionCalendar(t *testing.T) {
	t.Parallel()
	summer, err := time.LoadLocation("Europe/Paris")
	require.NoError(t, err)
	session := curriculum.ShopSession{ID: "session-1", Begins: time.Date(2026, 3, 29, 1, 30, 0, 0, summer), Changed: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), Version: 3,
		Spec: curriculum.ShopSpec{Title: "Evening; lathes 1, 2", Minutes: 150},
		Plan: curriculum.ShopPlan{Bookings: []curriculum.Booking{
			{Kind: curriculum.BookedLathe, Learner: "l1", Place: "p1", Begin: 15, End: 75},
			{Kind: curriculum.BookedStation, Learner: "l2", Place: "s1", Begin: 15, End: 30},
			{Kind: curriculum.BookedLathe, Learner: "l2", Place: "p1", Begin: 75, End: 130},
			{Kind: curriculum.BookedCheck, Learner: "l1", Place: "1", Begin: 75, End: 80},
		}}}
	text := api.ShopCalendar(session, map[string]string{"l1": "Zoë, Émile", "l2": "Łukasz", "p1": "Lathe 1", "s1": "Grinding"})
	kept(t, "session", text, strings.Join([]string{
		`session-1@halfnut | 2026-03-29T00:30:00Z | 2026-03-29T03:00:00Z | Evening; lathes 1, 2 | "The machine's manual, local rules and the shop's qualified supervisor come first."`,
		"session-1-l1@halfnut | 2026-03-29T00:45:00Z | 2026-03-29T01:45:00Z | Zoë, Émile at Lathe 1 | null",
		"session-1-l2@halfnut | 2026-03-29T01:45:00Z | 2026-03-29T02:40:00Z | Łukasz at Lathe 1 | null", "",
	}, "\n"))

	// Called off, each of its entries is cancelled, and takes the place of the one before.
	session.CalledOff = &curriculum.Ending{At: session.Changed, By: "p9", Reason: "no heating; frost, they say"}
	session.Version, session.Changed = 4, session.Changed.Add(time.Hour)
	text = api.ShopCalendar(session, map[string]string{"l1": "Zoë, Émile", "l2": "Łukasz", "p1": "Lathe 1", "s1": "Grinding"})
	kept(t, "called-off", text, strings.Join([]string{
		`session-1@halfnut | 2026-03-29T00:30:00Z | 2026-03-29T03:00:00Z | Evening; lathes 1, 2 | "Called off: no heating; frost, they say" | CANCELLED 3`,
		"session-1-l1@halfnut | 2026-03-29T00:45:00Z | 2026-03-29T01:45:00Z | Zoë, Émile at Lathe 1 | null | CANCELLED 3",
		"session-1-l2@halfnut | 2026-03-29T01:45:00Z | 2026-03-29T02:40:00Z | Łukasz at Lathe 1 | null | CANCELLED 3", "",
	}, "\n"))
}

// kept compares a calendar, and what must be read from it, with the files that
// CI gives to the other library.
func kept(t *testing.T, name, calendar, events string) {
	t.Helper()
	for file, want := range map[string]string{name + ".ics": calendar, name + ".txt": events} {
		if *updateCalendar {
			require.NoError(t, os.WriteFile("testdata/calendar/"+file, []byte(want), 0o644))
		}
		got, err := os.ReadFile("testdata/calendar/" + file)
		require.NoError(t, err)
		assert.Equal(t, want, string(got), file)
	}
	for line := range strings.SplitSeq(calendar, "\r\n") {
		assert.LessOrEqual(t, len(line), 75, "RFC 5545 folds lines at 75 octets")
	}
}
