package api

// Route is a method and a pattern, for the tests that go through all of them.
type Route struct{ Method, Path string }

// Routes returns the API's routes.
func Routes() []Route {
	var out []Route
	for _, r := range (&server{}).routes() {
		out = append(out, Route{r.method, r.path})
	}
	return out
}

// PracticeCalendar is the calendar of a practice plan.
var PracticeCalendar = practiceCalendar

// ShopCalendar is the calendar of a shop session.
var ShopCalendar = shopCalendar
