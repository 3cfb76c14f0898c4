package practice

import (
	"context"
	"fmt"

	"halfnut/curriculum"
)

// LearnerRecord returns everything that is kept about a learner: for the learner
// and for the workshop's instructors.
func (s *Service) LearnerRecord(ctx context.Context, a Actor, learner string) (curriculum.LearnerRecord, error) {
	if _, err := s.Learner(ctx, a, learner); err != nil {
		return curriculum.LearnerRecord{}, err
	}
	return s.store.LearnerRecord(ctx, learner, s.now())
}

// EraseLearner removes a learner for good. The name must be given once more, so
// that a wrong id erases nobody. What stays: the log and the chain of sign-offs,
// which name nobody, and decisions about verdicts. Nobody can be let in on a
// sign-off of an erased learner.
func (s *Service) EraseLearner(ctx context.Context, a Actor, learner, name string) (curriculum.Erasure, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Erasure{}, err
	}
	l, err := s.Learner(ctx, a, learner)
	if err != nil {
		return curriculum.Erasure{}, err
	}
	if given, err := cleanName("/name", name); err != nil || given != l.Name {
		return curriculum.Erasure{}, &curriculum.FieldError{Path: "/name", Value: name, Reason: "is not this learner's name; nothing was erased", Allowed: fmt.Sprintf("%q, to confirm", l.Name)}
	}
	return s.store.EraseLearner(ctx, l, a.ID, s.now())
}
