package shop

import (
	"fmt"

	"halfnut/curriculum"
)

// Limits of a session.
const (
	maxMinutes  = 24 * 60
	maxLathes   = 60
	maxStations = 20
	maxFixed    = 1000
	maxHelpers  = 20
)

// Stations returns the usual stations off the machines: calculate (the numbers
// of one's own job), measure, the gear train on the bench, and peer check, which
// takes two. Minutes are start values without a source; change them.
func Stations() []curriculum.Station {
	return []curriculum.Station{
		{ID: "calculate", Name: "Calculate your job", Minutes: 15, Places: 12, Before: true},
		{ID: "gear-train", Name: "Gear train on the bench", Minutes: 15, Places: 2, Before: true},
		{ID: "measure", Name: "Measure", Minutes: 10, Places: 4},
		{ID: "peer-check", Name: "Check each other's cards", Minutes: 10, Places: 4, Together: 2, Before: true},
	}
}

// Defaults fills in what a spec leaves at zero: start values without a source.
// Opening is a warm-up of 10 and a demonstration of 15 minutes, closing 10 minutes
// of cleaning; a lathe calls every 8 minutes for 1.5 minutes.
func Defaults(s curriculum.ShopSpec) curriculum.ShopSpec {
	if s.Minutes == 0 {
		s.Minutes, s.Opening, s.Closing = 150, 25, 10
	}
	if s.Instructors == 0 {
		s.Instructors = 1
	}
	if s.CallEveryMin == 0 {
		s.CallEveryMin = 8
	}
	if s.HelpMin == 0 {
		s.HelpMin = 1.5
	}
	if s.Stations == nil {
		s.Stations = Stations()
	}
	for _, list := range []*[]string{&s.Lathes, &s.Away, &s.First} {
		if *list == nil {
			*list = []string{}
		}
	}
	if s.Fixed == nil {
		s.Fixed = []curriculum.Fixed{}
	}
	return s
}

// Check returns a FieldError for a spec that no session can have.
func Check(s curriculum.ShopSpec) error {
	number := func(path string, v, low, high int) error {
		if v < low || v > high {
			return &curriculum.FieldError{Path: "/spec/" + path, Value: fmt.Sprint(v), Allowed: fmt.Sprintf("%d to %d", low, high)}
		}
		return nil
	}
	amount := func(path string, v float64) error {
		if !(v > 0 && v <= maxMinutes) {
			return &curriculum.FieldError{Path: "/spec/" + path, Value: fmt.Sprint(v), Allowed: fmt.Sprintf("more than 0, at most %d", maxMinutes)}
		}
		return nil
	}
	for _, err := range []error{
		number("minutes", s.Minutes, 1, maxMinutes),
		number("opening", s.Opening, 0, s.Minutes),
		number("closing", s.Closing, 0, s.Minutes-s.Opening-1),
		number("instructors", s.Instructors, 1, maxHelpers),
		number("check_minutes", s.CheckMinutes, 0, s.Minutes),
		amount("call_every_min", s.CallEveryMin), amount("help_min", s.HelpMin),
	} {
		if err != nil {
			return err
		}
	}
	if n := len(s.Lathes); n < 1 || n > maxLathes {
		return &curriculum.FieldError{Path: "/spec/lathes", Value: fmt.Sprintf("%d lathes", n), Allowed: fmt.Sprintf("1 to %d", maxLathes)}
	}
	if n := len(s.Stations); n > maxStations {
		return &curriculum.FieldError{Path: "/spec/stations", Value: fmt.Sprintf("%d stations", n), Allowed: fmt.Sprintf("0 to %d", maxStations)}
	}
	if n := len(s.Fixed); n > maxFixed {
		return &curriculum.FieldError{Path: "/spec/fixed", Value: fmt.Sprintf("%d decisions", n), Allowed: fmt.Sprintf("0 to %d", maxFixed)}
	}
	places := map[string]bool{}
	for i, l := range s.Lathes {
		if places[l] {
			return &curriculum.FieldError{Path: fmt.Sprintf("/spec/lathes/%d", i), Value: l, Reason: "stands twice in the list"}
		}
		places[l] = true
	}
	for i, st := range s.Stations {
		path := fmt.Sprintf("/spec/stations/%d", i)
		switch {
		case st.ID == "" || places[st.ID]:
			return &curriculum.FieldError{Path: path + "/id", Value: st.ID, Reason: "is empty or stands twice"}
		case st.Minutes < 1 || st.Minutes > s.Minutes:
			return &curriculum.FieldError{Path: path + "/minutes", Value: fmt.Sprint(st.Minutes), Allowed: fmt.Sprintf("1 to %d", s.Minutes)}
		case st.Places < 1 || st.Places > maxFixed:
			return &curriculum.FieldError{Path: path + "/places", Value: fmt.Sprint(st.Places), Allowed: fmt.Sprintf("1 to %d", maxFixed)}
		case st.Together < 0 || st.Together > st.Places:
			return &curriculum.FieldError{Path: path + "/together", Value: fmt.Sprint(st.Together), Allowed: fmt.Sprintf("0 to %d", st.Places)}
		}
		places[st.ID] = true
	}
	for i, f := range s.Fixed {
		path := fmt.Sprintf("/spec/fixed/%d", i)
		if f.Begin != nil && (*f.Begin < 0 || *f.Begin > s.Minutes) {
			return &curriculum.FieldError{Path: path + "/begin", Value: fmt.Sprint(*f.Begin), Allowed: fmt.Sprintf("0 to %d", s.Minutes)}
		}
		if f.Minutes < 0 || f.Minutes > s.Minutes {
			return &curriculum.FieldError{Path: path + "/minutes", Value: fmt.Sprint(f.Minutes), Allowed: fmt.Sprintf("0 to %d", s.Minutes)}
		}
	}
	return nil
}
