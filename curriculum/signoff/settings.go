package signoff

import (
	"fmt"
	"strconv"
	"sync"
	"time"
	_ "time/tzdata" // zones are known on machines without them, too

	"halfnut/curriculum"
)

// Settings are a workshop's own rules.
type Settings struct {
	// MinimumAge in years; whoever decides states that the learner has it. The
	// record keeps the statement, never a date of birth. 0 asks for no statement.
	MinimumAge int `json:"minimum_age"`
	// PassMark of the theory test, in percent of its marks.
	PassMark int `json:"pass_mark"`
	// WaitHours lie between the beginnings of two tries at the theory or at a
	// re-check.
	WaitHours int `json:"wait_hours"`
	// SittingMinutes is how long a sitting stays open.
	SittingMinutes int `json:"sitting_minutes"`
	// ValidMonths is how long a sign-off, and the evidence for one, is good for.
	ValidMonths int `json:"valid_months"`
	// LapseDays without use end a sign-off until a re-check is passed.
	LapseDays int `json:"lapse_days"`
	// SecondPerson asks for a second person at every check-in.
	SecondPerson bool `json:"second_person"`
	// SecondWitness asks that two different people witnessed the demonstrations.
	SecondWitness bool `json:"second_witness"`
	// Zone is the time zone in which days are counted ("Europe/Berlin").
	Zone string `json:"zone"`
}

// DefaultSettings are what holds until a workshop sets its own. Pass mark, wait
// and periods follow published practice of university and school workshops: pass
// marks from 80 % (Stony Brook, Duke), renewal every academic year (UCSB), never
// alone (Dartmouth, Northwestern). The age, the 24 hours, the 60 minutes and the
// 90 days are common practice, no source.
func DefaultSettings() Settings {
	return Settings{
		MinimumAge: 18, PassMark: 80, WaitHours: 24, SittingMinutes: 60, ValidMonths: 12, LapseDays: 90,
		SecondPerson: true, SecondWitness: false, Zone: "UTC",
	}
}

// settingRanges bound the numbers. A pass mark below 80 % or tries closer than a
// day are not offered.
var settingRanges = []struct {
	path      string
	low, high int
	value     func(s Settings) int
}{
	{"/minimum_age", 0, 99, func(s Settings) int { return s.MinimumAge }},
	{"/pass_mark", 80, 100, func(s Settings) int { return s.PassMark }},
	{"/wait_hours", 24, 24 * 28, func(s Settings) int { return s.WaitHours }},
	{"/sitting_minutes", 10, 240, func(s Settings) int { return s.SittingMinutes }},
	{"/valid_months", 1, 24, func(s Settings) int { return s.ValidMonths }},
	{"/lapse_days", 7, 365, func(s Settings) int { return s.LapseDays }},
}

// Check refuses settings out of range, all faults at once.
func (s Settings) Check() error {
	var wrong []error
	for _, r := range settingRanges {
		if v := r.value(s); v < r.low || v > r.high {
			wrong = append(wrong, &curriculum.FieldError{Path: r.path, Value: strconv.Itoa(v), Allowed: fmt.Sprintf("%d to %d", r.low, r.high)})
		}
	}
	// "Local" would be another zone on every machine.
	if _, err := time.LoadLocation(s.Zone); err != nil || s.Zone == "" || s.Zone == "Local" {
		wrong = append(wrong, &curriculum.FieldError{Path: "/zone", Value: s.Zone, Reason: "no such time zone", Allowed: `a name of the IANA database such as "Europe/Berlin" or "UTC"`})
	}
	return joined(wrong)
}

// zones keeps the locations that were read: every day that is counted asks.
var zones sync.Map

func (s Settings) location() *time.Location {
	if l, ok := zones.Load(s.Zone); ok {
		return l.(*time.Location)
	}
	l, err := time.LoadLocation(s.Zone)
	if err != nil { // Check lets no such name in
		return time.UTC
	}
	zones.Store(s.Zone, l)
	return l
}

// Day numbers the days of the site's calendar.
func (s Settings) Day(t time.Time) string { return t.In(s.location()).Format(time.DateOnly) }

func (s Settings) wait() time.Duration  { return time.Duration(s.WaitHours) * time.Hour }
func (s Settings) lapse() time.Duration { return time.Duration(s.LapseDays) * 24 * time.Hour }

// expiry is the moment at which a sign-off given at t runs out: the same day and
// time so many months on, or the last day of a shorter month.
func (s Settings) expiry(t time.Time) time.Time {
	local := t.In(s.location())
	first := time.Date(local.Year(), local.Month()+time.Month(s.ValidMonths), 1, local.Hour(), local.Minute(), local.Second(), local.Nanosecond(), local.Location())
	day := min(local.Day(), first.AddDate(0, 1, -1).Day())
	return first.AddDate(0, 0, day-1).UTC()
}

// oldest is the earliest moment from which evidence still counts at t.
func (s Settings) oldest(t time.Time) time.Time { return t.AddDate(0, -s.ValidMonths, 0) }
