package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// boardStep is the minutes of one row of the board.
const boardStep = 15

type boardData struct {
	Session curriculum.ShopSession
	Class   curriculum.Class
	Names   map[string]string
	Lathes  []curriculum.Lathe
	// Out are the lathes of the session that are out of use.
	Out    []practice.LatheOut
	Staff  staff
	Places []place
	Rows   []boardRow
	Lists  []placeList
	People []boardPerson
	// Changed says what the last change has brought about.
	Changed []phrase
	// Unchecked are the names of those without a check-off.
	Unchecked []string
	Stations  []int
}

// place is a column of the board.
type place struct {
	ID, Name, Kind string
	Out            bool // of use
}

// boardRow is a stretch of the session.
type boardRow struct {
	Time  string
	Cells []boardCell
}

// boardCell is what goes on at a place in a stretch: what begins, and who goes on
// from before.
type boardCell struct {
	Begins []boardTurn
	Goes   []string
}

// boardTurn is those who are at a place for the same minutes.
type boardTurn struct {
	From, To string
	Who      []booked
}

type booked struct {
	Name  string
	Fixed bool
}

// placeList is a place with all its turns, for a window that is too narrow for
// the board.
type placeList struct {
	Name  string
	Check bool // the check-offs, which have no place
	Turns []boardTurn
}

// doing is what a learner does from when to when, at a place or in a check-off.
type doing struct {
	From, To, Name string
	Check          bool
}

// boardPerson is what the session holds for one learner.
type boardPerson struct {
	ID, Name string
	Seat     int
	// Does is what the learner does, in order; Why says why there is no turn.
	Does               []doing
	Why                string
	Idle               int
	Unchecked          bool
	Away, First, Fixed bool
	// Turn says that there is a turn at a lathe, and so a bench card.
	Turn bool
}

func (w *Pages) boardData(c *gin.Context, a practice.Actor) (d boardData, err error) {
	ctx := c.Request.Context()
	if d.Session, err = w.practice.ShopSession(ctx, a, c.Param("id")); err != nil {
		return d, err
	}
	return w.boardOf(c, a, d.Session)
}

// boardOf draws a session up.
func (w *Pages) boardOf(c *gin.Context, a practice.Actor, s curriculum.ShopSession) (d boardData, err error) {
	ctx := c.Request.Context()
	d.Session = s
	if d.Class, err = w.practice.Class(ctx, a, s.Class); err != nil {
		return d, err
	}
	if d.Names, err = w.practice.ShopNames(ctx, a, s); err != nil {
		return d, err
	}
	if d.Lathes, err = w.practice.Lathes(ctx, a); err != nil {
		return d, err
	}
	d.Lathes = offered(d.Lathes, s.Spec.Lathes...)
	if d.Out, err = w.practice.ShopLathesOut(ctx, a, s); err != nil {
		return d, err
	}
	if d.Staff, err = w.practice.StaffNames(ctx, a); err != nil {
		return d, err
	}
	ls, err := w.practice.Learners(ctx, a, s.Class)
	if err != nil {
		return d, err
	}
	d.Stations = count(len(s.Spec.Stations) + spareStations)
	for _, id := range s.Spec.Lathes {
		out := slices.ContainsFunc(d.Out, func(o practice.LatheOut) bool { return o.Lathe.ID == id })
		d.Places = append(d.Places, place{id, d.Names[id], curriculum.BookedLathe, out})
	}
	for _, st := range s.Spec.Stations {
		d.Places = append(d.Places, place{st.ID, st.Name, curriculum.BookedStation, false})
	}
	r := w.reader(c)
	d.Rows, d.Lists = r.boardRows(s, d.Places, d.Names), r.boardLists(s, d.Places, d.Names)
	for _, id := range s.Plan.Unchecked {
		d.Unchecked = append(d.Unchecked, d.Names[id])
	}
	for _, l := range ls {
		d.People = append(d.People, r.boardPersonOf(s, l, d.Names))
	}
	return d, nil
}

// ShopClock is the time of day at a minute of the session.
func (r reader) ShopClock(s curriculum.ShopSession, minute int) string {
	return r.Clock(s.Begins.In(zoneOf(s.Spec)).Add(time.Duration(minute) * time.Minute))
}

// ShopDay is a session's day and time on its own clock.
func (r reader) ShopDay(s curriculum.ShopSession) string {
	return r.Moment(s.Begins.In(zoneOf(s.Spec)))
}

// columnOf is the column of a booking, -1 for none; check-offs have the last one.
func columnOf(b curriculum.Booking, places []place) int {
	if b.Kind == curriculum.BookedCheck {
		return len(places)
	}
	return slices.IndexFunc(places, func(p place) bool { return p.ID == b.Place && p.Kind == b.Kind })
}

// join adds a booking to the turns of a place, beside those for the same minutes.
func (r reader) join(turns []boardTurn, s curriculum.ShopSession, b curriculum.Booking, name string) []boardTurn {
	from, to := r.ShopClock(s, b.Begin), r.ShopClock(s, b.End)
	i := slices.IndexFunc(turns, func(t boardTurn) bool { return t.From == from && t.To == to })
	if i < 0 {
		turns, i = append(turns, boardTurn{From: from, To: to}), len(turns)
	}
	turns[i].Who = append(turns[i].Who, booked{name, b.Fixed})
	return turns
}

func (r reader) boardRows(s curriculum.ShopSession, places []place, names map[string]string) []boardRow {
	var rows []boardRow
	for from := s.Spec.Opening; from < s.Spec.Minutes; from += boardStep {
		to := min(from+boardStep, s.Spec.Minutes)
		row := boardRow{Time: r.ShopClock(s, from), Cells: make([]boardCell, len(places)+1)}
		some := false
		for _, b := range s.Plan.Bookings {
			at := columnOf(b, places)
			if at < 0 || b.End <= from || b.Begin >= to {
				continue
			}
			some = true
			if cell := &row.Cells[at]; b.Begin >= from {
				cell.Begins = r.join(cell.Begins, s, b, names[b.Learner])
			} else {
				cell.Goes = append(cell.Goes, names[b.Learner])
			}
		}
		if some || from < s.Spec.Minutes-s.Spec.Closing {
			rows = append(rows, row)
		}
	}
	return rows
}

// boardLists is the board by place.
func (r reader) boardLists(s curriculum.ShopSession, places []place, names map[string]string) []placeList {
	out := make([]placeList, len(places)+1)
	for i, p := range places {
		out[i].Name = p.Name
	}
	out[len(places)].Check = true
	for _, b := range s.Plan.Bookings {
		if at := columnOf(b, places); at >= 0 {
			out[at].Turns = r.join(out[at].Turns, s, b, names[b.Learner])
		}
	}
	return out
}

func (r reader) boardPersonOf(s curriculum.ShopSession, l curriculum.Learner, names map[string]string) boardPerson {
	p := boardPerson{ID: l.ID, Name: l.Name, Seat: l.Seat, Away: slices.Contains(s.Spec.Away, l.ID), First: slices.Contains(s.Spec.First, l.ID), Unchecked: slices.Contains(s.Plan.Unchecked, l.ID)}
	for _, b := range s.Plan.Bookings {
		if b.Learner != l.ID {
			continue
		}
		p.Turn = p.Turn || b.Kind == curriculum.BookedLathe
		p.Does = append(p.Does, doing{r.ShopClock(s, b.Begin), r.ShopClock(s, b.End), names[b.Place], b.Kind == curriculum.BookedCheck})
	}
	p.Fixed = slices.ContainsFunc(s.Spec.Fixed, func(f curriculum.Fixed) bool { return f.Learner == l.ID })
	for _, x := range s.Plan.Left {
		if x.Learner == l.ID {
			p.Why = x.Why
		}
	}
	for _, x := range s.Plan.Idle.Learners {
		if x.Learner == l.ID {
			p.Idle = x.Minutes
		}
	}
	return p
}

func boardForm(s curriculum.ShopSession) url.Values {
	f := shopValues(s.Spec, s.Begins)
	f["away"], f["first"] = s.Spec.Away, s.Spec.First
	return f
}

func (w *Pages) board(c *gin.Context, a practice.Actor) error {
	d, err := w.boardData(c, a)
	if err != nil {
		return err
	}
	form := boardForm(d.Session)
	form.Set("learner", c.Query("move"))
	w.show(c, http.StatusOK, "board.html", view{Title: d.Session.Spec.Title, Role: a.Role, Form: form, Data: d})
	return nil
}

// changeBoard applies one change to a session and shows what it brings about.
// What the other forms of the page hold is what the session has, so that a fault
// in one of them loses nothing of it.
func (w *Pages) changeBoard(c *gin.Context, a practice.Actor, change func(s curriculum.ShopSession) (time.Time, curriculum.ShopSpec, error)) error {
	before, err := w.practice.ShopSession(c.Request.Context(), a, c.Param("id"))
	if err != nil {
		return err
	}
	version, err := versionIn(c)
	after := before
	if err == nil {
		var begins time.Time
		var spec curriculum.ShopSpec
		if begins, spec, err = change(before); err == nil {
			after, err = w.practice.ChangeShop(c.Request.Context(), a, before.ID, version, begins, spec)
		}
	}
	if err != nil {
		d, derr := w.boardData(c, a)
		if derr != nil {
			return derr
		}
		if errors.Is(err, curriculum.ErrChanged) {
			err = told(err, "Somebody else has changed this session meanwhile. The board shows it as it is now, and what you chose still stands in its form: look, and save again if it still holds.")
		}
		typed := boardForm(d.Session)
		if form := c.PostForm("form"); form == "spec" {
			typed = url.Values{"away": d.Session.Spec.Away, "first": d.Session.Spec.First}
			d.Stations = count(stationsTyped(c.Request.PostForm))
		} else if form == "people" {
			delete(typed, "away")
			delete(typed, "first")
		}
		for name, values := range c.Request.PostForm {
			typed[name] = values
		}
		return w.againPart(c, err, "board.html", "layout.html", view{Title: d.Session.Spec.Title, Role: a.Role, Where: shopInputs, Data: d}, typed)
	}
	d, err := w.boardOf(c, a, after)
	if err != nil {
		return err
	}
	d.Changed = w.reader(c).consequences(before, after, d.Names)
	w.show(c, http.StatusOK, "board.html", view{Title: after.Spec.Title, Role: a.Role, Form: boardForm(after), Data: d})
	return nil
}

func (w *Pages) changeShop(c *gin.Context, a practice.Actor) error {
	return w.changeBoard(c, a, func(s curriculum.ShopSession) (time.Time, curriculum.ShopSpec, error) { return shopOfForm(c, s.Spec) })
}

// moveLearner fixes a learner to a place from a time of day on, or lets them go.
func (w *Pages) moveLearner(c *gin.Context, a practice.Actor) error {
	return w.changeBoard(c, a, func(s curriculum.ShopSession) (time.Time, curriculum.ShopSpec, error) {
		spec, f := s.Spec, curriculum.Fixed{Learner: c.PostForm("learner"), Place: c.PostForm("place")}
		release := c.PostForm("release") != ""
		lathe := slices.Contains(spec.Lathes, f.Place)
		// A decision replaces that for the same station, or for any lathe: there is one turn.
		spec.Fixed = slices.DeleteFunc(slices.Clone(spec.Fixed), func(x curriculum.Fixed) bool {
			return x.Learner == f.Learner && (release || x.Place == f.Place || lathe && slices.Contains(spec.Lathes, x.Place))
		})
		if release {
			return s.Begins, spec, nil
		}
		if text := strings.TrimSpace(c.PostForm("begin")); text != "" {
			r := w.reader(c)
			allowed := english(r.ShopClock(s, spec.Opening) + " to " + r.ShopClock(s, spec.Minutes-spec.Closing))
			t, err := time.Parse("15:04", text)
			if err != nil {
				return s.Begins, spec, wrong("/begin", text, "not a time of day", allowed)
			}
			first := s.Begins.In(zoneOf(spec))
			const day = 24 * 60
			minute := ((t.Hour()*60+t.Minute()-first.Hour()*60-first.Minute())%day + day) % day
			if minute > spec.Minutes {
				return s.Begins, spec, wrong("/begin", text, "is outside the session", allowed)
			}
			f.Begin = &minute
		}
		spec.Fixed = append(spec.Fixed, f)
		return s.Begins, spec, nil
	})
}

// setPeople says who is away and who goes first.
func (w *Pages) setPeople(c *gin.Context, a practice.Actor) error {
	return w.changeBoard(c, a, func(s curriculum.ShopSession) (time.Time, curriculum.ShopSpec, error) {
		spec := s.Spec
		spec.Away = c.PostFormArray("away")
		spec.First = slices.DeleteFunc(c.PostFormArray("first"), func(id string) bool { return slices.Contains(spec.Away, id) })
		keepPlaces(&spec)
		return s.Begins, spec, nil
	})
}

// consequences says what a change has brought about, learner by learner.
func (r reader) consequences(before, after curriculum.ShopSession, names map[string]string) []phrase {
	type turn struct{ at, lathe string }
	turns := func(s curriculum.ShopSession) map[string]turn {
		out := map[string]turn{}
		for _, b := range s.Plan.Bookings {
			if b.Kind == curriculum.BookedLathe {
				out[b.Learner] = turn{r.ShopClock(s, b.Begin), names[b.Place]}
			}
		}
		return out
	}
	had, has := turns(before), turns(after)
	out := []phrase{}
	for _, b := range after.Plan.Bookings {
		if b.Kind != curriculum.BookedLathe || had[b.Learner] == has[b.Learner] {
			continue
		}
		was, is := had[b.Learner], has[b.Learner]
		if was.at == "" {
			out = append(out, phraseOf("%s now has a turn, %s at %s.", names[b.Learner], is.at, is.lathe))
		} else {
			out = append(out, phraseOf("%s moves from %s at %s to %s at %s.", names[b.Learner], was.at, was.lathe, is.at, is.lathe))
		}
	}
	for _, b := range before.Plan.Bookings {
		if b.Kind == curriculum.BookedLathe && has[b.Learner].at == "" {
			out = append(out, phraseOf("%s has no turn any more.", names[b.Learner]))
		}
	}
	for _, x := range []struct {
		what     english
		old, now int
	}{
		{"Minutes from the opening to the last turn or check-off: %s (before: %s).", before.Plan.Makespan, after.Plan.Makespan},
		{"Turns without a check-off: %s (before: %s).", len(before.Plan.Unchecked), len(after.Plan.Unchecked)},
	} {
		if x.old != x.now {
			out = append(out, phraseOf(x.what, x.now, x.old))
		}
	}
	if len(out) == 0 {
		out = append(out, phraseOf("No turn changes."))
	}
	return out
}
