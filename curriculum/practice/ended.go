package practice

import (
	"context"
	"errors"
	"fmt"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
)

// ending is the end that somebody puts to something, with a reason that may be empty.
func (s *Service) ending(a Actor, reason string) (curriculum.Ending, error) {
	reason, err := signoff.Text("/reason", reason, true)
	return curriculum.Ending{At: s.now(), By: a.ID, Reason: reason}, err
}

// personOf returns one of the people of an instructor's workshop.
func (s *Service) personOf(ctx context.Context, a Actor, id string) (curriculum.Person, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Person{}, err
	}
	p, err := s.store.Person(ctx, id)
	if err == nil && p.Workshop != a.Workshop {
		return curriculum.Person{}, curriculum.ErrNotFound
	}
	return p, err
}

var errPersonEnded = fmt.Errorf("%w: this person has left; let them in again first", curriculum.ErrConflict)

// EndPerson keeps that an instructor or steward has left. From then on nothing lets
// them in: their sessions and one-time links are gone, their API tokens revoked, and
// their passphrase is as a wrong one. What they did stays theirs. Nobody ends
// themselves, and one instructor always stays who may come in. Who has left already is
// given back as they are.
func (s *Service) EndPerson(ctx context.Context, a Actor, id, reason string) (curriculum.Person, error) {
	p, err := s.personOf(ctx, a, id)
	if err != nil {
		return p, err
	}
	e, err := s.ending(a, reason)
	if err != nil {
		return p, err
	}
	if p.ID == a.ID {
		return p, fmt.Errorf("%w: nobody ends themselves; another instructor can", curriculum.ErrConflict)
	}
	if err := s.store.EndPerson(ctx, p, e); errors.Is(err, curriculum.ErrConflict) {
		return p, fmt.Errorf("%w: no other instructor could sign in any more; nothing was changed", curriculum.ErrConflict)
	} else if err != nil {
		return p, err
	}
	return s.store.Person(ctx, id)
}

// LetInAgain takes back that somebody has left. What let them in before stays void;
// their passphrase is good again, and a link can be made.
func (s *Service) LetInAgain(ctx context.Context, a Actor, id string) (curriculum.Person, error) {
	p, err := s.personOf(ctx, a, id)
	if err != nil {
		return p, err
	}
	if err := s.store.LetInPerson(ctx, p, a.ID, s.now()); err != nil {
		return p, err
	}
	return s.store.Person(ctx, id)
}

// EndClass keeps that a class is over. Its joining code lets nobody in any more, and
// nothing is added to it or changed but its name; everything in it can be read,
// printed and marked, and answers from paper still go in. One that has ended already
// is given back as it is.
func (s *Service) EndClass(ctx context.Context, a Actor, id, reason string) (curriculum.Class, error) {
	c, err := s.Class(ctx, a, id)
	if err != nil {
		return c, err
	}
	e, err := s.ending(a, reason)
	if err != nil {
		return c, err
	}
	if err := s.store.EndClass(ctx, c, e); err != nil {
		return c, err
	}
	return s.store.Class(ctx, id)
}

// ReopenClass takes back that a class is over. Its joining code is good again.
func (s *Service) ReopenClass(ctx context.Context, a Actor, id string) (curriculum.Class, error) {
	c, err := s.Class(ctx, a, id)
	if err != nil {
		return c, err
	}
	if err := s.store.ReopenClass(ctx, c, a.ID, s.now()); err != nil {
		return c, err
	}
	return s.store.Class(ctx, id)
}

// NewJoiningCode gives a class another joining code. The one before is void at once;
// learners who are signed in stay so until their session runs out.
func (s *Service) NewJoiningCode(ctx context.Context, a Actor, id string) (curriculum.Class, error) {
	c, err := s.openClass(ctx, a, id)
	if err != nil {
		return c, err
	}
	if c.JoiningCode, err = s.code(6); err != nil {
		return c, err
	}
	if err := s.store.SetJoiningCode(ctx, c, a.ID, s.now()); err != nil {
		return c, err
	}
	return s.store.Class(ctx, id)
}
