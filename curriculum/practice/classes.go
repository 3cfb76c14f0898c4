package practice

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// AddLathe adds a machine to the actor's workshop. Its profile must read as the
// solve contract's lathe.
func (s *Service) AddLathe(ctx context.Context, a Actor, name string, profile threadmath.Lathe) (curriculum.Lathe, error) {
	l := curriculum.Lathe{ID: newID(), Workshop: a.Workshop, Name: name, Profile: profile, Version: 1, Created: s.now()}
	if err := s.checkLathe(a, &l); err != nil {
		return l, err
	}
	return l, conflictField(s.store.CreateLathe(ctx, l, a.ID), "/name", l.Name, "the workshop already has a lathe of this name")
}

// ChangeLathe replaces a machine's name and profile if it still has the version
// that the caller saw.
func (s *Service) ChangeLathe(ctx context.Context, a Actor, id string, version int, name string, profile threadmath.Lathe) (curriculum.Lathe, error) {
	l, err := s.Lathe(ctx, a, id)
	if err != nil {
		return l, err
	}
	l.Name, l.Profile, l.Version = name, profile, version
	if err := s.checkLathe(a, &l); err != nil {
		return l, err
	}
	if err := s.store.UpdateLathe(ctx, l, a.ID, s.now()); err != nil {
		return l, conflictField(err, "/name", l.Name, "the workshop already has a lathe of this name")
	}
	l.Version++
	return l, nil
}

func (s *Service) checkLathe(a Actor, l *curriculum.Lathe) (err error) {
	if err = a.instructor(); err != nil {
		return err
	}
	if l.Name, err = cleanName("/name", l.Name); err != nil {
		return err
	}
	// Any thread will do: it is the lathe that is read.
	l.Profile.Name = l.Name
	_, err = threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Pitch: "1 mm"}, Lathe: &l.Profile})
	return err
}

// Lathe returns one lathe of the actor's workshop.
func (s *Service) Lathe(ctx context.Context, a Actor, id string) (curriculum.Lathe, error) {
	l, err := s.store.Lathe(ctx, id)
	if err == nil && l.Workshop != a.Workshop {
		return curriculum.Lathe{}, curriculum.ErrNotFound
	}
	return l, err
}

// Lathes returns the lathes of the actor's workshop.
func (s *Service) Lathes(ctx context.Context, a Actor) ([]curriculum.Lathe, error) {
	return s.store.Lathes(ctx, a.Workshop)
}

// classNameTaken says it of ended classes as well, which stand in a list of their own.
const classNameTaken = "the workshop already has a class of this name; one that has ended can be renamed"

// AddClass makes a class with a fresh joining code.
func (s *Service) AddClass(ctx context.Context, a Actor, name string) (curriculum.Class, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Class{}, err
	}
	name, err := cleanName("/name", name)
	if err != nil {
		return curriculum.Class{}, err
	}
	code, err := s.code(6)
	if err != nil {
		return curriculum.Class{}, err
	}
	c := curriculum.Class{ID: newID(), Workshop: a.Workshop, Name: name, JoiningCode: code, Version: 1, Created: s.now()}
	return c, conflictField(s.store.CreateClass(ctx, c, a.ID), "/name", name, classNameTaken)
}

// RenameClass gives a class another name if it still has the version that the
// caller saw.
func (s *Service) RenameClass(ctx context.Context, a Actor, id string, version int, name string) (curriculum.Class, error) {
	c, err := s.Class(ctx, a, id)
	if err != nil {
		return c, err
	}
	if c.Name, err = cleanName("/name", name); err != nil {
		return c, err
	}
	c.Version = version
	if err := s.store.UpdateClass(ctx, c, a.ID, s.now()); err != nil {
		return c, conflictField(err, "/name", c.Name, classNameTaken)
	}
	c.Version++
	return c, nil
}

// Classes returns the classes of an instructor's workshop that go on.
func (s *Service) Classes(ctx context.Context, a Actor) ([]curriculum.Class, error) {
	return s.classes(ctx, a, false)
}

// EndedClasses returns the classes of an instructor's workshop that have ended.
func (s *Service) EndedClasses(ctx context.Context, a Actor) ([]curriculum.Class, error) {
	return s.classes(ctx, a, true)
}

func (s *Service) classes(ctx context.Context, a Actor, ended bool) ([]curriculum.Class, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	all, err := s.store.Classes(ctx, a.Workshop)
	return slices.DeleteFunc(all, func(c curriculum.Class) bool { return (c.Ended != nil) != ended }), err
}

// openClass is Class for whoever adds to the class or changes what is in it: one
// that has ended is refused.
func (s *Service) openClass(ctx context.Context, a Actor, id string) (curriculum.Class, error) {
	c, err := s.Class(ctx, a, id)
	if err == nil && c.Ended != nil {
		return curriculum.Class{}, errClassEnded
	}
	return c, err
}

var errClassEnded = fmt.Errorf("%w: this class has ended: it is read, printed and marked, and nothing is added to it or changed; the page of the class, or DELETE /v1/classes/{id}/end, opens it again", curriculum.ErrConflict)

// Class returns a class of an instructor's workshop.
func (s *Service) Class(ctx context.Context, a Actor, id string) (curriculum.Class, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Class{}, err
	}
	c, err := s.store.Class(ctx, id)
	if err == nil && c.Workshop != a.Workshop {
		return curriculum.Class{}, curriculum.ErrNotFound
	}
	return c, err
}

// Learners returns a class's list in seat order.
func (s *Service) Learners(ctx context.Context, a Actor, class string) ([]curriculum.Learner, error) {
	if _, err := s.Class(ctx, a, class); err != nil {
		return nil, err
	}
	return s.store.Learners(ctx, class)
}

// LearnerOf returns a learner of a class, with the seat.
func (s *Service) LearnerOf(ctx context.Context, a Actor, class, id string) (curriculum.Learner, error) {
	list, err := s.Learners(ctx, a, class)
	if err != nil {
		return curriculum.Learner{}, err
	}
	for _, l := range list {
		if l.ID == id {
			return l, nil
		}
	}
	return curriculum.Learner{}, curriculum.ErrNotFound
}

// ChangeLearner gives a learner of a class another name or seat if they still have
// the version that the caller saw. Whoever sits there changes places. Sheets that
// are issued keep the seat that they were issued for; lines of the record of
// sign-offs stay bound to the name that they were made under.
func (s *Service) ChangeLearner(ctx context.Context, a Actor, class, id string, version int, name string, seat int) (curriculum.Learner, error) {
	c, err := s.openClass(ctx, a, class)
	if err != nil {
		return curriculum.Learner{}, err
	}
	l, err := s.LearnerOf(ctx, a, class, id)
	if err != nil {
		return l, err
	}
	if l.Name, err = cleanName("/name", name); err != nil {
		return l, err
	}
	if seat < 1 || seat > maxLearners {
		return l, &curriculum.FieldError{Path: "/seat", Value: strconv.Itoa(seat), Allowed: fmt.Sprintf("1 to %d", maxLearners)}
	}
	l.Seat, l.Version = seat, version
	if err := s.store.UpdateLearner(ctx, c, l, a.ID, s.now()); err != nil {
		return l, err
	}
	l.Version++
	return l, nil
}

// ClearPIN lets a learner who forgot the PIN choose a new one.
func (s *Service) ClearPIN(ctx context.Context, a Actor, learner string) error {
	if err := a.instructor(); err != nil {
		return err
	}
	l, err := s.store.Learner(ctx, learner)
	if err == nil && l.Workshop != a.Workshop {
		err = curriculum.ErrNotFound
	}
	if err != nil {
		return err
	}
	return s.store.ClearPIN(ctx, l, a.ID, s.now())
}

// conflictField says which field a conflict is about, where it is not that the
// whole was changed meanwhile.
func conflictField(err error, path, value, reason string) error {
	if errors.Is(err, curriculum.ErrConflict) && !errors.Is(err, curriculum.ErrChanged) {
		return fmt.Errorf("%w: %s: \"%s\": %s", curriculum.ErrConflict, path, value, reason)
	}
	return err
}
