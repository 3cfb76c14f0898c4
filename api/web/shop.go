package web

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/shop"
)

// spareStations is how many more stations the form has room for.
const spareStations = 2

type shopListData struct {
	Class    curriculum.Class
	Lathes   []curriculum.Lathe
	Sessions []curriculum.ShopSession
	Staff    staff
	// Jobs counts the learners with a job, Ready those of them who can take a turn.
	Learners, Jobs, Ready int
	Stations              []int
}

func (w *Pages) shopListData(c *gin.Context, a practice.Actor) (d shopListData, err error) {
	ctx := c.Request.Context()
	if d.Class, err = w.practice.Class(ctx, a, c.Param("id")); err != nil {
		return d, err
	}
	if d.Lathes, err = w.practice.Lathes(ctx, a); err != nil {
		return d, err
	}
	d.Lathes = offered(d.Lathes)
	if d.Sessions, err = w.practice.ShopSessions(ctx, a, d.Class.ID); err != nil {
		return d, err
	}
	if d.Staff, err = w.practice.StaffNames(ctx, a); err != nil {
		return d, err
	}
	ls, err := w.practice.Learners(ctx, a, d.Class.ID)
	if err != nil {
		return d, err
	}
	jobs, err := w.practice.Jobs(ctx, a, d.Class.ID)
	d.Learners, d.Jobs = len(ls), len(jobs)
	for _, j := range jobs {
		if j.TakesTurn() {
			d.Ready++
		}
	}
	d.Stations = count(len(shop.Stations()) + spareStations)
	return d, err
}

// count lists 0 to n-1.
func count(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// shops lists the shop sessions of a class, with the form for the next one, which
// begins with what the last one had.
func (w *Pages) shops(c *gin.Context, a practice.Actor) error {
	d, err := w.shopListData(c, a)
	if err != nil {
		return err
	}
	spec := shop.Defaults(curriculum.ShopSpec{CheckMinutes: 5})
	for _, l := range d.Lathes {
		spec.Lathes = append(spec.Lathes, l.ID)
	}
	if n := len(d.Sessions); n > 0 {
		spec = d.Sessions[n-1].Spec
		d.Stations = count(len(spec.Stations) + spareStations)
	}
	w.show(c, http.StatusOK, "shops.html", view{Title: w.t(c, "Shop sessions of %s", d.Class.Name), Role: a.Role, Form: shopValues(spec, time.Time{}), Data: d})
	return nil
}

func (w *Pages) planShop(c *gin.Context, a practice.Actor) error {
	begins, spec, err := shopOfForm(c, curriculum.ShopSpec{})
	var out curriculum.ShopSession
	if err == nil {
		out, err = w.practice.PlanShop(c.Request.Context(), a, c.Param("id"), begins, spec)
	}
	if err != nil {
		d, derr := w.shopListData(c, a)
		if derr != nil {
			return derr
		}
		d.Stations = count(stationsTyped(c.Request.PostForm))
		return w.again(c, err, "shops.html", view{Title: w.t(c, "Shop sessions of %s", d.Class.Name), Role: a.Role, Where: shopInputs, Data: d})
	}
	c.Redirect(http.StatusSeeOther, "/shop-sessions/"+out.ID)
	return nil
}

// shopValues is the form that says a session again.
func shopValues(s curriculum.ShopSpec, begins time.Time) url.Values {
	f := url.Values{"title": {s.Title}, "zone": {s.Zone}, "lathes": s.Lathes}
	whole := func(name string, n int) { f.Set(name, strconv.Itoa(n)) }
	if !begins.IsZero() {
		f.Set("begins", begins.In(zoneOf(s)).Format(inputTime))
	}
	whole("minutes", s.Minutes)
	whole("opening", s.Opening)
	whole("closing", s.Closing)
	whole("instructors", s.Instructors)
	whole("check_minutes", s.CheckMinutes)
	f.Set("call_every_min", strconv.FormatFloat(s.CallEveryMin, 'f', -1, 64))
	f.Set("help_min", strconv.FormatFloat(s.HelpMin, 'f', -1, 64))
	for i, st := range s.Stations {
		f.Set(stationField(i, "id"), st.ID)
		f.Set(stationField(i, "name"), st.Name)
		whole(stationField(i, "minutes"), st.Minutes)
		whole(stationField(i, "places"), st.Places)
		if st.Together > 1 {
			whole(stationField(i, "together"), st.Together)
		}
		if st.Before {
			f.Set(stationField(i, "before"), "yes")
		}
	}
	return f
}

func stationField(i int, name string) string { return "station" + strconv.Itoa(i) + "_" + name }

// stationsTyped is how many rows of stations a sent form had.
func stationsTyped(form url.Values) int {
	n := 0
	for form.Has(stationField(n, "name")) {
		n++
	}
	return n
}

func zoneOf(s curriculum.ShopSpec) *time.Location {
	if at, err := time.LoadLocation(s.Zone); err == nil {
		return at
	}
	return time.UTC
}

// shopOfForm reads the form of a session onto what it had before, which keeps the
// decisions made by hand. Every field that cannot be read is named.
func shopOfForm(c *gin.Context, spec curriculum.ShopSpec) (time.Time, curriculum.ShopSpec, error) {
	var faults []error
	bad := func(path, value string, reason, allowed english) {
		faults = append(faults, wrong(path, value, reason, allowed))
	}
	whole := func(name string, path string) int {
		text := strings.TrimSpace(c.PostForm(name))
		n, err := strconv.Atoi(text)
		if err != nil && text != "" {
			bad(path, text, "not a whole number", "")
		}
		return n
	}
	decimal := func(name string) float64 {
		text := strings.TrimSpace(c.PostForm(name))
		f, err := strconv.ParseFloat(text, 64)
		if err != nil && text != "" {
			bad("/spec/"+name, text, "not a number", "figures with a decimal point, such as 1.5")
		}
		return f
	}
	spec.Title, spec.Zone, spec.Lathes = c.PostForm("title"), strings.TrimSpace(c.PostForm("zone")), c.PostFormArray("lathes")
	zone, err := time.LoadLocation(spec.Zone)
	if err != nil {
		bad("/spec/zone", spec.Zone, "no such time zone", `a name such as "Europe/Prague"`)
		zone = time.UTC
	}
	begins, err := time.ParseInLocation(inputTime, c.PostForm("begins"), zone)
	if err != nil {
		bad("/begins", c.PostForm("begins"), "not a day that exists, with its time", "2026-02-28T18:30")
	}
	for _, x := range []struct {
		name string
		to   *int
	}{{"minutes", &spec.Minutes}, {"opening", &spec.Opening}, {"closing", &spec.Closing}, {"instructors", &spec.Instructors}, {"check_minutes", &spec.CheckMinutes}} {
		*x.to = whole(x.name, "/spec/"+x.name)
	}
	if spec.Minutes == 0 { // nothing is filled in behind the reader's back
		bad("/spec/minutes", c.PostForm("minutes"), "is missing", "1 to 1440")
	}
	spec.CallEveryMin, spec.HelpMin = decimal("call_every_min"), decimal("help_min")
	spec.Stations = []curriculum.Station{}
	for i := range stationsTyped(c.Request.PostForm) {
		st := curriculum.Station{ID: c.PostForm(stationField(i, "id")), Name: strings.TrimSpace(c.PostForm(stationField(i, "name"))), Before: c.PostForm(stationField(i, "before")) != ""}
		if st.Name == "" {
			continue // taken off the list
		}
		path := fmt.Sprintf("/spec/stations/%d/", i)
		if st.ID == "" {
			st.ID = "station-" + strconv.Itoa(i+1)
		}
		st.Minutes, st.Places, st.Together = whole(stationField(i, "minutes"), path+"minutes"), whole(stationField(i, "places"), path+"places"), whole(stationField(i, "together"), path+"together")
		if st.Minutes < 1 || st.Minutes > spec.Minutes {
			faults = append(faults, &curriculum.FieldError{Path: path + "minutes", Value: c.PostForm(stationField(i, "minutes")), Allowed: fmt.Sprintf("1 to %d", spec.Minutes)})
		}
		if st.Places < 1 {
			bad(path+"places", c.PostForm(stationField(i, "places")), "", "1 or more")
		}
		spec.Stations = append(spec.Stations, st)
	}
	keepPlaces(&spec)
	return begins, spec, errors.Join(faults...)
}

// keepPlaces drops what was decided by hand for places and learners that the
// session no longer has.
func keepPlaces(s *curriculum.ShopSpec) {
	s.Fixed = slices.DeleteFunc(slices.Clone(s.Fixed), func(f curriculum.Fixed) bool {
		station := slices.ContainsFunc(s.Stations, func(st curriculum.Station) bool { return st.ID == f.Place })
		return slices.Contains(s.Away, f.Learner) || !station && !slices.Contains(s.Lathes, f.Place)
	})
}

var shopLabels = map[string]english{
	"title": "Title", "begins": "Begins", "zone": "Time zone", "minutes": "Minutes", "opening": "Opening", "closing": "Closing", "instructors": "Instructors",
	"check_minutes": "Minutes of a check-off", "call_every_min": "A lathe calls for help every", "help_min": "Minutes of a help", "lathes": "Lathes",
	"learner": "Who", "place": "Where", "begin": "From",
}

// stationLabels are the inputs of a station.
var stationLabels = map[string]english{"minutes": "minutes", "places": "places", "together": "together"}

// shopInputs finds the inputs of the two forms of a session.
func shopInputs(pointer string) (id string, label phrase) {
	words := strings.Split(strings.TrimPrefix(strings.TrimPrefix(pointer, "/"), "spec/"), "/")
	switch {
	case len(words) == 1 && shopLabels[words[0]] != "":
		return words[0], phraseOf(shopLabels[words[0]])
	case words[0] == "lathes":
		return "lathes", phraseOf("Lathes")
	case words[0] == "fixed" && len(words) == 2:
		return "learner", phraseOf("Who")
	case words[0] == "fixed" && len(words) == 3 && shopLabels[words[2]] != "":
		return words[2], phraseOf(shopLabels[words[2]])
	case words[0] == "stations" && len(words) == 3:
		if i, err := strconv.Atoi(words[1]); err == nil {
			return stationField(i, words[2]), phraseOf("Station %s, %s", i+1, cmp.Or(stationLabels[words[2]], english(words[2])))
		}
	}
	return "", phrase{}
}
