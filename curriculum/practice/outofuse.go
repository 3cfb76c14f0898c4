package practice

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
)

// An ending says that a person has left or a class is over (ended.go), that a lathe
// is out of use, a session called off, a set withdrawn. It can be taken back; who said
// why stays in the log.

// ending is how one kind of thing is ended.
type ending[T any] struct {
	// read finds the thing, for who may; of is its ending.
	read func() (T, error)
	of   func(T) *curriculum.Ending
	// keep ends it, or for nil takes that back. It is ErrChanged where that is so already.
	keep func(x T, e *curriculum.Ending, now time.Time) error
	// is says what an ended one is: "is out of use"; it what it is called, where that
	// is not "it".
	is, it string
	// silent says that it may end without a reason.
	silent bool
}

// end ends a thing, with the reason, and gives it back as it is then. The same
// reason once more changes nothing; another one would cover up the first, which
// somebody may still have to see to, and is a conflict.
func (x ending[T]) end(ctx context.Context, s *Service, a Actor, reason string) (out T, err error) {
	if out, err = x.read(); err != nil {
		return out, err
	}
	if x.silent && strings.TrimSpace(reason) == "" {
		reason = ""
	} else if reason, err = cleanName("/reason", reason); err != nil {
		return out, err
	}
	now := s.now()
	if x.of(out) == nil {
		if err = x.keep(out, &curriculum.Ending{At: now, By: a.ID, Reason: reason}, now); err != nil && !errors.Is(err, curriculum.ErrChanged) {
			return out, err
		}
		if out, err = x.read(); err != nil {
			return out, err
		}
	}
	if e := x.of(out); e != nil && e.Reason != reason {
		why, err := s.endingText(ctx, a, x.is, *e)
		if err == nil {
			err = fmt.Errorf("%w: %s %s", curriculum.ErrConflict, cmp.Or(x.it, "it"), strings.Replace(why, " since ", " already, since ", 1))
		}
		return out, err
	}
	return out, nil
}

// lift takes an ending back; where there is none, nothing changes.
func (x ending[T]) lift(s *Service) (out T, err error) {
	if out, err = x.read(); err != nil || x.of(out) == nil {
		return out, err
	}
	if err = x.keep(out, nil, s.now()); err != nil && !errors.Is(err, curriculum.ErrChanged) {
		return out, err
	}
	return x.read()
}

// endingText says since when, who said so and why: "is out of use since 2026-11-27
// (Anna Vale): chuck guard broken". Days are those of the workshop's zone.
func (s *Service) endingText(ctx context.Context, a Actor, is string, e curriculum.Ending) (string, error) {
	rules, err := s.SignOffRules(ctx, a)
	if err != nil {
		return "", err
	}
	who := ""
	if p, err := s.store.Person(ctx, e.By); err == nil {
		who = " (" + p.Name + ")"
	} else if !isNotFound(err) {
		return "", err
	}
	text := is + " since " + rules.Day(e.At) + who
	if e.Reason != "" {
		text += ": " + e.Reason
	}
	return text, nil
}

// StaffNames are the names of the workshop's instructors and stewards by id, for
// what says who put something to an end.
func (s *Service) StaffNames(ctx context.Context, a Actor) (map[string]string, error) {
	people, err := s.store.People(ctx, a.Workshop)
	names := map[string]string{}
	for _, p := range people {
		names[p.ID] = p.Name
	}
	return names, err
}

func (s *Service) latheEnding(ctx context.Context, a Actor, id string) ending[curriculum.Lathe] {
	return ending[curriculum.Lathe]{
		read: func() (curriculum.Lathe, error) { return s.Lathe(ctx, a, id) },
		of:   func(l curriculum.Lathe) *curriculum.Ending { return l.OutOfUse },
		keep: func(l curriculum.Lathe, e *curriculum.Ending, now time.Time) error {
			return s.store.EndLathe(ctx, l, e, a.ID, now)
		},
		is: "is out of use",
	}
}

// TakeOutOfUse says that nobody may work at a lathe from now on, and why. Whoever
// stands there and sees that it is broken may: instructors and stewards. It keeps
// people off in what this service says and records; the lock or tag on the machine
// itself is for local rules (that both go together is common practice, no source).
func (s *Service) TakeOutOfUse(ctx context.Context, a Actor, id, reason string) (curriculum.Lathe, error) {
	if err := a.staff(); err != nil {
		return curriculum.Lathe{}, err
	}
	return s.latheEnding(ctx, a, id).end(ctx, s, a, reason)
}

// PutBackInUse lets people work at a lathe again; instructors only.
func (s *Service) PutBackInUse(ctx context.Context, a Actor, id string) (curriculum.Lathe, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Lathe{}, err
	}
	return s.latheEnding(ctx, a, id).lift(s)
}

// WhyOutOfUse says why nobody may work at a lathe; empty while it is in use.
func (s *Service) WhyOutOfUse(ctx context.Context, a Actor, l curriculum.Lathe) (string, error) {
	if l.OutOfUse == nil {
		return "", nil
	}
	return s.endingText(ctx, a, "is out of use", *l.OutOfUse)
}

// chooseLathe finds the lathe that is chosen for something. One out of use is
// refused, unless it is kept: what it was chosen for before.
func (s *Service) chooseLathe(ctx context.Context, a Actor, path, id, kept string) (curriculum.Lathe, error) {
	l, err := s.Lathe(ctx, a, id)
	if err != nil {
		return l, fieldNotFound(err, path, id, "no such lathe in this workshop")
	}
	if l.ID == kept {
		return l, nil
	}
	why, err := s.WhyOutOfUse(ctx, a, l)
	if err == nil && why != "" {
		err = &curriculum.FieldError{Path: path, Value: l.Name, Reason: why}
	}
	return l, err
}

// today is how a sign-off stands on a lathe as it is now: one out of use gives
// nobody leave, whatever the record says. The record stays as it is.
func (s *Service) today(ctx context.Context, a Actor, st SignOffState, l curriculum.Lathe) (SignOffState, error) {
	why, err := s.WhyOutOfUse(ctx, a, l)
	if err == nil && why != "" {
		st.OutOfUse, st.MayUse, st.Why, st.Until = l.OutOfUse, false, "this lathe "+why, time.Time{}
	}
	return st, err
}

// atTheLathe are the entries that are made while somebody works at the lathe.
func atTheLathe(kind string) bool {
	return kind == signoff.KindCheckIn || kind == signoff.KindDemonstration
}
