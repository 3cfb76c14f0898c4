package signoff

import (
	"fmt"
	"strings"
	"time"

	"halfnut/curriculum"
)

// Who is a person or learner as the rules see them.
type Who struct {
	Token string
	Name  string
}

// same reports whether two are one and the same: by token, or by name, since an
// instructor may stand on a class list too.
func (w Who) same(o Who) bool {
	fold := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }
	return w.Token == o.Token || fold(w.Name) == fold(o.Name)
}

// NotOneself refuses that a person witnesses, supervises or signs for
// themselves.
func NotOneself(signer, learner Who) error {
	if signer.same(learner) {
		return fmt.Errorf("%w: nobody signs for themselves; another person has to do this for %s", curriculum.ErrDenied, learner.Name)
	}
	return nil
}

// MayOpen reports why a sitting may not begin now.
func (r *Record) MayOpen(kind, subject, lathe, operation string, now time.Time) error {
	v := r.evidence(subject, lathe, operation, now)
	tries := v.tries
	if kind == SittingRecheck {
		tries = v.rechecks
		if v.decision == nil {
			return fmt.Errorf("%w: a re-check brings a sign-off back, and there is none", curriculum.ErrConflict)
		}
		if !now.Before(fromMillis(v.decision.Expires)) {
			return fmt.Errorf("%w: this sign-off has run out; it takes theory, demonstrations and test piece anew", curriculum.ErrConflict)
		}
	}
	if n := len(tries); n > 0 {
		last := tries[n-1]
		if last.running(now) {
			return fmt.Errorf("%w: a sitting is open until %s", curriculum.ErrConflict, r.stamp(last.closes))
		}
		// Who passed may be asked again at once: that is no second try.
		if next := last.opened.Add(r.Settings.wait()); now.Before(next) && (last.sat == nil || !last.sat.Passed) {
			return fmt.Errorf("%w: the next try can begin on %s", curriculum.ErrConflict, r.stamp(next))
		}
	}
	return nil
}

// MayDemonstrate reports why no demonstration can be witnessed or test piece
// taken: the lathe is used for both, so the theory comes first and what the
// operation builds on must be in force.
func (r *Record) MayDemonstrate(subject, lathe, operation string, now time.Time) error {
	o := operationOf(operation)
	if o == nil {
		return &curriculum.FieldError{Path: "/operation", Value: operation, Reason: "no such operation"}
	}
	for _, need := range o.Needs {
		if n := r.State(subject, lathe, need, now); !n.MayUse {
			return fmt.Errorf("%w: %s on this lathe comes first; it is %s", curriculum.ErrConflict, strings.ToLower(titleOf(need)), n.Status)
		}
	}
	if r.evidence(subject, lathe, operation, now).shown.theory == nil {
		return fmt.Errorf("%w: the theory of this operation on this lathe comes first", curriculum.ErrConflict)
	}
	return nil
}

// Decide fills in a decision, or reports why it cannot be made: a sign-off is
// granted only when every step is there.
func (r *Record) Decide(subject, lathe, operation string, d Decision, now time.Time) (Decision, error) {
	d.MinimumAge, d.Expires = r.Settings.MinimumAge, 0
	if !d.Granted {
		if d.Reason == "" {
			return d, &curriculum.FieldError{Path: "/reason", Reason: "say why the sign-off is not given"}
		}
		return d, nil
	}
	o := operationOf(operation)
	if o == nil {
		return d, &curriculum.FieldError{Path: "/operation", Value: operation, Reason: "no such operation"}
	}
	v := r.evidence(subject, lathe, operation, now)
	steps, _ := r.steps(subject, lathe, o, v.shown, v.tries, now)
	var missing []string
	for _, step := range steps {
		if !step.Done {
			missing = append(missing, strings.ToLower(step.Name)+" ("+step.What+")")
		}
	}
	if len(missing) > 0 {
		return d, fmt.Errorf("%w: still missing: %s", curriculum.ErrConflict, strings.Join(missing, ", "))
	}
	if r.Settings.MinimumAge > 0 && !d.Age {
		return d, &curriculum.FieldError{Path: "/age", Reason: fmt.Sprintf("state that the learner is %d or older, or that what local rules ask for in its place is there", r.Settings.MinimumAge)}
	}
	d.Age = r.Settings.MinimumAge > 0
	d.Expires = r.Settings.expiry(now).UnixMilli()
	return d, nil
}

// MayCheckIn reports why a learner may not begin work at the lathe now.
func (r *Record) MayCheckIn(learner Who, second *Who, lathe, operation string, now time.Time) error {
	s := r.State(learner.Token, lathe, operation, now)
	if !s.MayUse {
		return fmt.Errorf("%w: %s may not use this lathe for %s: %s", curriculum.ErrDenied, learner.Name, strings.ToLower(titleOf(operation)), s.Why)
	}
	switch {
	case second == nil && r.Settings.SecondPerson:
		return &curriculum.FieldError{Path: "/second", Reason: "name the second person who is in the workshop: nobody works at the lathe alone"}
	case second != nil && second.same(learner):
		return &curriculum.FieldError{Path: "/second", Value: second.Name, Reason: "the second person must be somebody else"}
	}
	return nil
}

// MayChange reports why a sign-off cannot be restricted or revoked: there must
// be one that was granted and not revoked since.
func (r *Record) MayChange(subject, lathe, operation string, now time.Time) error {
	if r.evidence(subject, lathe, operation, now).decision == nil {
		return fmt.Errorf("%w: there is no sign-off to change", curriculum.ErrConflict)
	}
	return nil
}
