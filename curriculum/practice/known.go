package practice

import (
	"context"
	"errors"
	"fmt"
	"strconv"

	"halfnut/curriculum"
)

// Adding is who is put on a class's list.
type Adding struct {
	Names []string
	// Namesakes says who is meant by a name that is known in the workshop: the same
	// learner or another one. Empty, such a name is refused.
	Namesakes string
	// Known are ids of learners who come back, or come from another class.
	Known []string
}

// What Adding.Namesakes may say.
const (
	NamesakesSame   = "same"
	NamesakesOthers = "others"
)

// AddLearners puts learners on a class's list, all of them or none. A name that
// somebody in the workshop has is refused until it is said who is meant: whoever
// came back as somebody new would come without their record and their sign-offs.
func (s *Service) AddLearners(ctx context.Context, a Actor, class string, add Adding) ([]curriculum.Learner, error) {
	c, err := s.openClass(ctx, a, class)
	if err != nil {
		return nil, err
	}
	ls, err := s.learnersOf(ctx, a, c.ID, add)
	if err != nil {
		return nil, err
	}
	return s.store.AddLearners(ctx, c, ls, a.ID, s.now())
}

// learnersOf are the learners who are meant, new ones without a version.
func (s *Service) learnersOf(ctx context.Context, a Actor, class string, add Adding) ([]curriculum.Learner, error) {
	if n := len(add.Names) + len(add.Known); n == 0 || n > maxLearners {
		return nil, tooManyLearners(n)
	}
	known, err := s.knownTo(ctx, a, class, add.Namesakes)
	if err != nil {
		return nil, err
	}
	var faults []error
	fault := func(path string, i int, value, reason string) {
		faults = append(faults, &curriculum.FieldError{Path: path + "/" + strconv.Itoa(i), Value: value, Reason: reason})
	}
	ls, seen := []curriculum.Learner{}, map[string]bool{}
	for i, name := range add.Names {
		n, err := cleanName("/names/"+strconv.Itoa(i), name)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		if seen[n] {
			fault("/names", i, n, "stands twice in the list")
		}
		seen[n] = true
		l, why := known.called(n)
		if why != "" {
			fault("/names", i, n, why)
		}
		ls = append(ls, l)
	}
	for i, id := range add.Known {
		l, there := known.byID[id]
		if !there {
			fault("/known", i, id, "is no learner of this workshop")
		}
		ls = append(ls, l)
	}
	return ls, errors.Join(faults...)
}

// tooManyLearners is also said of none.
func tooManyLearners(n int) error {
	return &curriculum.FieldError{Path: "/names", Value: strconv.Itoa(n) + " names", Allowed: fmt.Sprintf("1 to %d", maxLearners)}
}

// known tells who is meant by a name on a list for a class.
type known struct {
	namesakes string
	byID      map[string]curriculum.Learner
	// elsewhere are those who are not on the class's list.
	elsewhere map[string][]curriculum.Learner
}

func (s *Service) knownTo(ctx context.Context, a Actor, class, namesakes string) (known, error) {
	k := known{namesakes, map[string]curriculum.Learner{}, map[string][]curriculum.Learner{}}
	switch namesakes {
	case "", NamesakesSame, NamesakesOthers:
	default:
		return k, &curriculum.FieldError{Path: "/namesakes", Value: namesakes, Allowed: NamesakesSame + ", " + NamesakesOthers}
	}
	all, err := s.store.KnownLearners(ctx, a.Workshop)
	for _, l := range all {
		k.byID[l.ID] = l.Learner
		if !l.In(class) {
			k.elsewhere[l.Name] = append(k.elsewhere[l.Name], l.Learner)
		}
	}
	return k, err
}

// called is the learner of a name, a new one if it is nobody's, or why it cannot be
// said who is meant.
func (k known) called(name string) (l curriculum.Learner, why string) {
	there := k.elsewhere[name]
	switch {
	case len(there) == 0 || k.namesakes == NamesakesOthers:
		return curriculum.Learner{ID: newID(), Name: name}, ""
	case k.namesakes == "":
		return l, "is the name of a learner who is known here: say whether it is the same one"
	case len(there) > 1:
		return l, "is the name of several learners who are known here: put the right one on the list from the page of everybody"
	}
	return there[0], ""
}

// LeaveClass takes a learner off a class's list, out of its shop sessions to come,
// and takes their job in it away. Answers, marks, mastery and sign-offs stay: on
// another list, or on this one again, they go on from there.
func (s *Service) LeaveClass(ctx context.Context, a Actor, class, learner string) error {
	c, err := s.openClass(ctx, a, class)
	if err != nil {
		return err
	}
	return s.store.LeaveClass(ctx, c, learner, a.ID, s.now())
}

// KnownLearners returns everybody who learns or has learned in the workshop, with
// the classes that they are in.
func (s *Service) KnownLearners(ctx context.Context, a Actor) ([]curriculum.Known, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	return s.store.KnownLearners(ctx, a.Workshop)
}
