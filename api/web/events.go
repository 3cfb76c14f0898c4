package web

import (
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// eventsData is a page of the log of who did what.
type eventsData struct {
	// Choices are those whose doings can be asked for.
	Choices []curriculum.Person
	Events  []shownEvent
	// Zone is the one that the workshop counts its days in.
	Zone string
	// Older is the address of the next page; empty on the last.
	Older string
}

// shownEvent is an event in words. Did is empty where what was done is in words that
// this version does not know.
type shownEvent struct {
	curriculum.Event
	Did  string
	Says phrase
}

// doings are what the store notes as done, in words for who reads the page. The log
// is never changed, so that the words of earlier versions stay here.
var doings = map[string]english{
	"workshop created": "workshop created", "workshop changed": "workshop changed", "instructor added": "instructor added", "steward added": "steward added",

	"link made": "link to sign in made", "signed in by link": "signed in by a link", "signed in by passphrase": "signed in by passphrase",
	"passphrase set": "passphrase set", "PIN chosen": "PIN chosen", "PIN cleared": "PIN cleared",
	"token made: read": "API token made: may look", "token made: mark": "API token made: may enter answers", "token made: manage": "API token made: may change things",
	"token revoked": "API token revoked",

	"person ended": "ended, may not sign in any more", "person let in again": "may sign in again",

	"class created": "class created", "class renamed": "class renamed", "class ended": "class ended", "class opened again": "class opened again",
	"joining code made anew": "joining code made anew", "learner changed": "learner changed", "learner erased": "learner erased",
	"put on a class list": "put on a class list", "taken off a class list": "taken off a class list", "learner taken off": "a learner taken off the list",
	"course set": "course changed", "class set built": "class set built",

	"lathe added": "lathe added", "lathe changed": "lathe changed", "lathe checked": "lathe checked", "lathe put back in use": "lathe put back in use",
	"job set": "job given", "job taken away": "job taken away", "shop session planned": "shop session planned", "shop session changed": "shop session changed",
	"shop session held after all": "shop session held after all", "class set brought back": "class set brought back",
	"time logged": "time at the lathe logged", "logged time taken back": "logged time taken back",

	"work asked for: class-set": "class set asked for", "work asked for: roster": "class list sent in", "work asked for: class-pack": "class pack asked for",
	"work asked for: recompute": "comparison asked for", "work asked for: export": "all records asked for",
	"work called off: class-set": "class set called off", "work called off: roster": "class list called off", "work called off: class-pack": "class pack called off",
	"work called off: recompute": "comparison called off", "work called off: export": "all records called off",

	"sign-off: settings": "sign-offs: rules changed", "sign-off: theory-opened": "sign-off: theory begun", "sign-off: theory": "sign-off: theory marked",
	"sign-off: re-check-opened": "sign-off: re-check begun", "sign-off: re-check": "sign-off: re-check marked",
	"sign-off: demonstration": "sign-off: demonstration witnessed", "sign-off: test-piece": "sign-off: test piece measured", "sign-off: decision": "sign-off: decided",
	"sign-off: check-in": "sign-off: checked in at the lathe", "sign-off: restriction": "sign-off: restriction changed", "sign-off: revocation": "sign-off: revoked",
	"sign-off names erased": "name erased from the record of sign-offs",
}

// countedDoings are those that say of how many.
var countedDoings = []struct {
	stored *regexp.Regexp
	words  func(r reader, n int) string
}{
	{regexp.MustCompile(`^(\d{1,6}) learners added$`), func(r reader, n int) string { return r.N(n, "%s learner added", "%s learners added") }},
	{regexp.MustCompile(`^verdict overruled, (\d{1,6}) answers marked anew$`), func(r reader, n int) string {
		return r.N(n, "verdict changed, %s answer marked anew", "verdict changed, %s answers marked anew")
	}},
}

// reasonedDoings are those that say why, by what stands before the reason.
var reasonedDoings = map[string]english{
	"person ended": "ended, may not sign in any more: %s", "class ended": "class ended: %s",
	"lathe taken out of use": "lathe taken out of use: %s", "shop session called off": "shop session called off: %s", "class set withdrawn": "class set withdrawn: %s",
}

// doneWords is what was done in the words of who reads it; empty where it is not known.
func doneWords(r reader, stored string) string {
	if words, ok := doings[stored]; ok {
		return r.T(words)
	}
	if what, why, ok := strings.Cut(stored, ": "); ok {
		if words, ok := reasonedDoings[what]; ok {
			return r.T(words, why)
		}
	}
	for _, d := range countedDoings {
		if m := d.stored.FindStringSubmatch(stored); m != nil {
			return d.words(r, asCount(m[1]))
		}
	}
	return ""
}

// aboutWords are the kinds of what events are about.
var aboutWords = map[string]english{
	"class": "class %s", "learner": "learner %s", "lathe": "lathe %s", "person": "person %s", "set": "class set %s", "shop-session": "shop session %s",
	"token": "API token %s", "work": "long task %s", "workshop": "workshop %s",
}

func showEvent(r reader, e curriculum.Event, zone *time.Location) shownEvent {
	e.At = e.At.In(zone)
	out := shownEvent{e, doneWords(r, e.What), phraseOf("no longer there")}
	if e.AboutKind == "overrule" { // it has no name
		out.Says = phraseOf("changed verdict")
	} else if words, ok := aboutWords[e.AboutKind]; ok {
		out.Says = phraseOf(words, workTitle(r, e.AboutName))
	}
	return out
}

// inputDay is how browsers write a day.
const inputDay = "2006-01-02"

// eventInputs finds the inputs of the days.
func eventInputs(pointer string) (id string, label phrase) {
	switch pointer {
	case "?since":
		return "since", phraseOf("From")
	case "?until":
		return "until", phraseOf("Through")
	}
	return "", phrase{}
}

// events shows what was done, newest first, and what the form asks of it.
func (w *Pages) events(c *gin.Context, a practice.Actor) error {
	rules, err := w.practice.SignOffRules(c.Request.Context(), a)
	if err != nil {
		return err
	}
	zone, err := time.LoadLocation(rules.Zone)
	if err != nil {
		return err
	}
	query := c.Request.URL.Query()
	d := eventsData{Zone: rules.Zone}
	if d.Choices, err = w.practice.Staff(c.Request.Context(), a); err != nil {
		return err
	}
	v := view{Title: w.t(c, "Who did what"), Role: a.Role, Form: query, Where: eventInputs}
	events, more, err := w.askEvents(c, a, query, zone)
	if who := query.Get("who"); who != "" && !slices.ContainsFunc(d.Choices, func(p curriculum.Person) bool { return p.ID == who }) {
		asked := curriculum.Person{ID: who}
		if len(events) > 0 {
			asked.Name = events[0].WhoName
		}
		d.Choices = append(d.Choices, asked)
	}
	if err != nil {
		if !isFormFault(err) {
			return err
		}
		v.Data = d
		return w.againPart(c, err, "events.html", "layout.html", v, query)
	}
	for _, e := range events {
		d.Events = append(d.Events, showEvent(w.reader(c), e, zone))
	}
	if more {
		next := url.Values{"after": {events[len(events)-1].ID}}
		for _, name := range []string{"who", "about", "since", "until"} {
			if text := query.Get(name); text != "" {
				next.Set(name, text)
			}
		}
		d.Older = "/events?" + next.Encode()
	}
	v.Data = d
	w.show(c, http.StatusOK, "events.html", v)
	return nil
}

func (w *Pages) askEvents(c *gin.Context, a practice.Actor, query url.Values, zone *time.Location) ([]curriculum.Event, bool, error) {
	ask := curriculum.EventQuery{Who: query.Get("who"), About: query.Get("about"), After: query.Get("after")}
	for name, into := range map[string]*time.Time{"since": &ask.Since, "until": &ask.Until} {
		text := query.Get(name)
		if text == "" {
			continue
		}
		day, err := time.ParseInLocation(inputDay, text, zone)
		if err != nil {
			return nil, false, wrong("?"+name, text, "not a day that exists", "such as 2026-02-28")
		}
		if *into = day; name == "until" {
			*into = day.AddDate(0, 0, 1) // the day itself is in it
		}
	}
	return w.practice.Events(c.Request.Context(), a, ask)
}
