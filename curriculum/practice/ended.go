package practice

import (
	"context"
	"errors"
	"fmt"
	"time"

	"halfnut/curriculum"
)

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

func (s *Service) personEnding(ctx context.Context, a Actor, id string) ending[curriculum.Person] {
	return ending[curriculum.Person]{
		read: func() (curriculum.Person, error) { return s.personOf(ctx, a, id) },
		of:   func(p curriculum.Person) *curriculum.Ending { return p.Ended },
		keep: func(p curriculum.Person, e *curriculum.Ending, now time.Time) error {
			err := s.store.EndPerson(ctx, p, e, a.ID, now)
			if errors.Is(err, curriculum.ErrConflict) && !errors.Is(err, curriculum.ErrChanged) {
				err = fmt.Errorf("%w: no other instructor could sign in any more; nothing was changed", curriculum.ErrConflict)
			}
			return err
		},
		is: "has left", it: "this person", silent: true,
	}
}

// EndPerson keeps that an instructor or steward has left. From then on nothing lets
// them in: their sessions and one-time links are gone, their API tokens revoked, and
// their passphrase is as a wrong one. What they did stays theirs. Nobody ends
// themselves, and one instructor always stays who may come in.
func (s *Service) EndPerson(ctx context.Context, a Actor, id, reason string) (curriculum.Person, error) {
	if id == a.ID {
		return curriculum.Person{}, fmt.Errorf("%w: nobody ends themselves; another instructor can", curriculum.ErrConflict)
	}
	return s.personEnding(ctx, a, id).end(ctx, s, a, reason)
}

// LetInAgain takes back that somebody has left. What let them in before stays void;
// their passphrase is good again, and a link can be made.
func (s *Service) LetInAgain(ctx context.Context, a Actor, id string) (curriculum.Person, error) {
	return s.personEnding(ctx, a, id).lift(s)
}

func (s *Service) classEnding(ctx context.Context, a Actor, id string) ending[curriculum.Class] {
	return ending[curriculum.Class]{
		read: func() (curriculum.Class, error) { return s.Class(ctx, a, id) },
		of:   func(c curriculum.Class) *curriculum.Ending { return c.Ended },
		keep: func(c curriculum.Class, e *curriculum.Ending, now time.Time) error {
			return s.store.EndClass(ctx, c, e, a.ID, now)
		},
		is: "is over", it: "this class", silent: true,
	}
}

// EndClass keeps that a class is over. Its joining code lets nobody in any more, and
// nothing is added to it or changed but its name; everything in it can be read,
// printed and marked, and answers from paper still go in.
func (s *Service) EndClass(ctx context.Context, a Actor, id, reason string) (curriculum.Class, error) {
	return s.classEnding(ctx, a, id).end(ctx, s, a, reason)
}

// ReopenClass takes back that a class is over. Its joining code is good again.
func (s *Service) ReopenClass(ctx context.Context, a Actor, id string) (curriculum.Class, error) {
	return s.classEnding(ctx, a, id).lift(s)
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
