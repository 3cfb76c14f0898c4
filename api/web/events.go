package web

import (
	"net/http"
	"net/url"
	"slices"
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

// shownEvent is an event with what it is about in words. What was done is kept in
// English.
type shownEvent struct {
	curriculum.Event
	Says phrase
}

// aboutWords are the kinds of what events are about.
var aboutWords = map[string]english{
	"class": "class %s", "learner": "learner %s", "lathe": "lathe %s", "person": "person %s", "set": "class set %s", "shop-session": "shop session %s",
	"token": "API token %s", "work": "work %s", "workshop": "workshop %s",
}

func showEvent(e curriculum.Event, zone *time.Location) shownEvent {
	e.At = e.At.In(zone)
	if e.AboutKind == "overrule" { // it has no name
		return shownEvent{e, phraseOf("changed verdict")}
	}
	if words, ok := aboutWords[e.AboutKind]; ok {
		return shownEvent{e, phraseOf(words, e.AboutName)}
	}
	return shownEvent{e, phraseOf("what is gone")}
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
		d.Events = append(d.Events, showEvent(e, zone))
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
