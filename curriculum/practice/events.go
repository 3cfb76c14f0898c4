package practice

import (
	"context"
	"fmt"

	"halfnut/curriculum"
)

// The events of one page.
const (
	UsualEvents = 50
	MostEvents  = 1000
)

// Events returns what was done in the workshop, newest first, to its instructors,
// and whether there is more of it. The log names classes, their sets and everybody
// in them, which is more than a steward or a learner may see.
func (s *Service) Events(ctx context.Context, a Actor, ask curriculum.EventQuery) (events []curriculum.Event, more bool, err error) {
	if err := a.instructor(); err != nil {
		return nil, false, err
	}
	if ask.Most == 0 {
		ask.Most = UsualEvents
	}
	if ask.Most < 1 || ask.Most > MostEvents {
		return nil, false, &curriculum.FieldError{Path: "?limit", Value: fmt.Sprint(ask.Most), Allowed: fmt.Sprintf("1 to %d", MostEvents)}
	}
	if !ask.Since.IsZero() && !ask.Until.IsZero() && !ask.Since.Before(ask.Until) {
		return nil, false, &curriculum.FieldError{Path: "?until", Value: ask.Until.UTC().Format("2006-01-02T15:04:05Z07:00"), Reason: "is not after since", Allowed: "a later time"}
	}
	ask.Workshop = a.Workshop
	most := ask.Most
	ask.Most++
	events, err = s.store.Events(ctx, ask)
	if isNotFound(err) {
		err = &curriculum.FieldError{Path: "?after", Value: ask.After, Reason: "no such entry", Allowed: "the key of an entry that is there"}
	}
	if len(events) > most {
		return events[:most], true, err
	}
	return events, false, err
}
