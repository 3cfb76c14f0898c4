package worksheets

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfnut/curriculum"
)

// ShopBoard returns the board sheet of a session: who is where, when, with names for the ids of learners, lathes and
// stations. Times are those of the spec's zone. Cautions say what of it cannot be; one that is called off says so across
// the page.
func ShopBoard(s curriculum.ShopSession, names map[string]string, cautions []string, style Style) (Sheet, error) {
	zone, err := time.LoadLocation(s.Spec.Zone)
	if err != nil {
		return Sheet{}, fmt.Errorf("time zone of the session: %w", err)
	}
	s.Begins = s.Begins.In(zone)
	at := func(minute int) string { return s.Begins.Add(time.Duration(minute) * time.Minute).Format("15:04") }
	name := func(id string) string {
		if n := names[id]; n != "" {
			return n
		}
		return id
	}
	sheet := Sheet{
		Owner: "the board of " + s.Spec.Title, Style: style,
		Running: Running{
			Title: s.Spec.Title,
			Lines: []string{
				s.Begins.Format("2006-01-02 15:04 MST"),
				fmt.Sprintf("Opening to %s, stations to %s, closing to %s", at(s.Spec.Opening), at(s.Spec.Minutes-s.Spec.Closing), at(s.Spec.Minutes)),
			},
			Footer: safetyFooter,
		},
	}
	if e := s.CalledOff; e != nil {
		sheet.Running.Watermark = "CALLED OFF"
		sheet.Body = append(sheet.Body, Boxed{Title: "Called off", Body: []Block{Para("This session is not held, since " + e.At.In(zone).Format(time.DateOnly) + ": " + e.Reason)}})
	}
	if len(cautions) > 0 {
		sheet.Body = append(sheet.Body, Boxed{Title: "Out of use", Body: []Block{List{Entries: cautions}}})
	}
	var lathes [][]string // a row a turn, so that a long evening goes on over the page
	for _, l := range s.Spec.Lathes {
		idle := true
		for _, b := range s.Plan.Bookings {
			if b.Kind == curriculum.BookedLathe && b.Place == l {
				lathes = append(lathes, []string{name(l), at(b.Begin) + "\u00a0to\u00a0" + at(b.End), name(b.Learner)})
				idle = false
			}
		}
		if idle {
			lathes = append(lathes, []string{name(l), "–", "–"})
		}
	}
	sheet.Body = append(sheet.Body, Heading{Text: "At the lathes", Level: 2}, Table{Columns: []Column{{Title: "Lathe", Bold: true}, {Title: "Turn"}, {Title: "Learner"}}, Rows: lathes})
	var order []string
	rows := map[string][]string{}
	for _, b := range s.Plan.Bookings {
		if rows[b.Learner] == nil {
			order = append(order, b.Learner)
			rows[b.Learner] = []string{name(b.Learner), ""}
		}
		where := name(b.Place)
		if b.Kind == curriculum.BookedCheck {
			where = "check-off"
			if s.Spec.Instructors > 1 {
				where += ", instructor " + b.Place
			}
		}
		r := rows[b.Learner]
		if r[1] != "" {
			r[1] += ";  "
		}
		r[1] += at(b.Begin) + " " + where
	}
	slices.SortStableFunc(order, func(a, b string) int { return strings.Compare(name(a), name(b)) })
	var people [][]string
	for _, id := range order {
		people = append(people, rows[id])
	}
	if len(people) > 0 {
		sheet.Body = append(sheet.Body, Heading{Text: "Each learner", Level: 2}, Table{Columns: []Column{{Title: "Name", Bold: true}, {Title: "Where"}}, Rows: people})
	}
	if len(s.Plan.Left) > 0 {
		var left [][]string
		for _, l := range s.Plan.Left {
			left = append(left, []string{name(l.Learner), l.Why})
		}
		sheet.Body = append(sheet.Body, Heading{Text: "No turn at a lathe this time", Level: 2}, Table{Columns: []Column{{Title: "Name", Bold: true}, {Title: "Why"}}, Rows: left})
	}
	p := s.Plan
	facts := []string{
		fmt.Sprintf("Turns and check-offs take %d minutes; no plan can take less than %d.", p.Makespan, p.Bound.Minutes),
		fmt.Sprintf("A call for help waits %.1f minutes on average; helping takes %.0f %% of an instructor's time.", p.Waiting.Minutes, 100*p.Waiting.Busy),
	}
	idle := 0
	for _, l := range p.Idle.Lathes {
		idle += l.Minutes
	}
	facts = append(facts, fmt.Sprintf("Lathes stand idle for %d minutes in all.", idle))
	if !p.CheckOff.Fits {
		facts = append(facts, p.CheckOff.Why+".")
	}
	if p.Sessions > 1 {
		facts = append(facts, strconv.Itoa(p.Sessions)+" sessions like this one are needed until everybody has had a turn.")
	}
	sheet.Body = append(sheet.Body, Heading{Text: "For the instructor", Level: 2}, List{Entries: facts})
	return sheet, nil
}
