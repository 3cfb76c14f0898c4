package api

import (
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"halfnut/curriculum"
)

// sittingMinutes is how long an exercise is reckoned in a calendar: a start
// value, no source.
const sittingMinutes = 3

// practiceCalendar writes the sittings of a plan as iCalendar (RFC 5545). The
// same plan gives the same bytes; a sitting keeps its UID as long as its day
// stays, so that an updated file replaces it.
func practiceCalendar(p curriculum.PracticePlan) string {
	cal := ics.NewCalendarFor("halfnut")
	cal.SetMethod(ics.MethodPublish)
	cal.SetName("Thread practice")
	for i, s := range p.Sessions {
		e := cal.AddEvent(p.Learner + "-" + s.Date.UTC().Format("20060102") + "@halfnut")
		e.SetDtStampTime(p.Sessions[0].Date.UTC())
		e.SetStartAt(s.Date.UTC())
		e.SetEndAt(s.Date.UTC().Add(time.Duration(sittingMinutes*max(len(s.Items), 1)) * time.Minute))
		e.SetSummary("Practice " + strconv.Itoa(i+1) + ": " + exercises(len(s.Items)))
		e.SetDescription(itemsText(s.Items))
	}
	if p.Gate != nil {
		e := cal.AddEvent(p.Learner + "-gate@halfnut")
		if len(p.Sessions) > 0 {
			e.SetDtStampTime(p.Sessions[0].Date.UTC())
		} else {
			e.SetDtStampTime(p.Gate.UTC())
		}
		e.SetStartAt(p.Gate.UTC())
		e.SetEndAt(p.Gate.UTC().Add(time.Hour))
		e.SetSummary("At the lathe, with the supervisor")
	}
	return cal.Serialize(ics.WithNewLineWindows)
}

func exercises(n int) string {
	if n == 1 {
		return "1 exercise"
	}
	return strconv.Itoa(n) + " exercises"
}

// itemsText lists what a sitting asks, one line a skill in the order in which it
// comes first.
func itemsText(items []curriculum.PracticeItem) string {
	times := map[string]int{}
	var order []curriculum.PracticeItem
	for _, item := range items {
		if times[item.Skill] == 0 {
			order = append(order, item)
		}
		times[item.Skill]++
	}
	lines := make([]string, len(order))
	for i, item := range order {
		lines[i] = strconv.Itoa(times[item.Skill]) + " × " + item.Title
		if item.First {
			lines[i] += " (new: read the worked example first)"
		}
	}
	return strings.Join(lines, "\n")
}
