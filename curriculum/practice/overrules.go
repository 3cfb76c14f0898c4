package practice

import (
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

const maxReason = 300

// Overrule decides that the verdict on one part of an attempt was wrong, and
// marks everybody anew whose answer was judged alike. It returns what was
// touched. An answer that is being judged in the very same moment may keep the
// old verdict; the same decision on it then takes it in.
func (s *Service) Overrule(ctx context.Context, a Actor, attempt, part string, to curriculum.Outcome, reason string) (curriculum.Overrule, []curriculum.Remark, error) {
	fail := func(err error) (curriculum.Overrule, []curriculum.Remark, error) {
		return curriculum.Overrule{}, nil, err
	}
	if err := a.instructor(); err != nil {
		return fail(err)
	}
	t, err := s.store.Attempt(ctx, attempt)
	if err != nil {
		return fail(err)
	}
	v, err := s.variant(ctx, a, t.Variant) // of the actor's workshop, or not found
	if err != nil {
		return fail(err)
	}
	if to != curriculum.Right && to != curriculum.Rounding && to != curriculum.Unknown {
		return fail(&curriculum.FieldError{Path: "/to", Value: string(to), Allowed: "right, rounding, unknown"})
	}
	reason = strings.Join(strings.Fields(reason), " ")
	if !utf8.ValidString(reason) || reason == "" || utf8.RuneCountInString(reason) > maxReason {
		return fail(&curriculum.FieldError{Path: "/reason", Value: reason, Reason: "learners read it", Allowed: fmt.Sprintf("1 to %d characters", maxReason)})
	}
	var o curriculum.Overrule
	for _, verdict := range t.Verdicts {
		switch {
		case verdict.Part != part:
		case !verdict.Outcome.Judged():
			return fail(&curriculum.FieldError{Path: "/part", Value: part, Reason: "nothing was judged there"})
		case verdict.Outcome == to:
			return fail(&curriculum.FieldError{Path: "/to", Value: string(to), Reason: "that is what the verdict says"})
		default:
			o = curriculum.NewOverrule(v.Exercises[t.Position-1], t, verdict, to)
		}
	}
	if o.Part == "" {
		return fail(&curriculum.FieldError{Path: "/part", Value: part, Reason: "the exercise has no such part"})
	}
	o.ID, o.Workshop, o.By, o.At, o.Reason = newID(), a.Workshop, a.ID, s.now(), reason
	touched, err := s.store.AddOverrule(ctx, o, mastery.Fold)
	if err != nil {
		return fail(err)
	}
	return o, touched, nil
}

// Overrules returns the overrules of an instructor's workshop, oldest first.
func (s *Service) Overrules(ctx context.Context, a Actor) ([]curriculum.Overrule, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	return s.store.Overrules(ctx, a.Workshop)
}

// decided applies the overrules of before to an attempt at an exercise that was
// just judged.
func decided(overrules []curriculum.Overrule, e curriculum.Exercise, a curriculum.Attempt) curriculum.Attempt {
	for _, o := range overrules {
		if o.Skill == e.Skill && o.Model == e.Model && o.ModelVersion == e.ModelVersion {
			a, _ = o.Apply(a)
		}
	}
	return a
}

// Tries returns the attempts at a variant, oldest first, with their evidence:
// for instructors.
func (s *Service) Tries(ctx context.Context, a Actor, code string) (curriculum.Variant, []curriculum.Attempt, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Variant{}, nil, err
	}
	v, err := s.variant(ctx, a, CleanCode(code))
	if err != nil {
		return curriculum.Variant{}, nil, err
	}
	as, err := s.store.Attempts(ctx, v.Code)
	return v, as, err
}
