package practice

import (
	"context"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
	"halfnut/threadmath"
)

// Who lets a learner work at a lathe.
const (
	AllowedBySignOff    = "sign-off"
	AllowedByInstructor = "instructor"
)

// leave says who lets learners work at their lathes. Where the record of
// sign-offs decides, it does: one in force lets them, one that was revoked does
// not, whatever else was ticked, nor does a revoked one that the operation needs. Everybody else works there to learn, supervised,
// when the instructor says so with the job. Nobody works at a lathe out of use.
type leave struct {
	s     *Service
	a     Actor
	names signOffNames
	of    map[string]*signoff.Record // by lathe
}

func (s *Service) leave(ctx context.Context, a Actor) (leave, error) {
	names, err := s.signOffNames(ctx, a.Workshop)
	return leave{s, a, names, map[string]*signoff.Record{}}, err
}

// decide fills in who allows the job, and what stands against it.
func (l leave) decide(ctx context.Context, st *JobState, lathe curriculum.Lathe, request threadmath.Request) error {
	out, err := l.s.WhyOutOfUse(ctx, l.a, lathe)
	if err != nil {
		return err
	}
	r := l.of[st.Lathe]
	if r == nil {
		lines, err := l.s.store.LinesAt(ctx, l.a.Workshop, st.Lathe)
		if err != nil {
			return err
		}
		if r, err = l.s.record(ctx, l.a, lines, l.names); err != nil {
			return err
		}
		l.of[st.Lathe] = r
	}
	operation, now := operationFor(request), l.s.now()
	state := r.State(st.Learner, st.Lathe, operation, now)
	barred, isBarred := r.Barred(st.Learner, st.Lathe, operation, now)
	st.SignOff, st.Restriction = state.Status, state.Restriction
	switch {
	case out != "":
		st.Why = "the lathe " + out
	case state.MayUse:
		st.AllowedBy = AllowedBySignOff
	case isBarred:
		o, _ := signoff.OperationOf(barred.Operation)
		st.Why = "the sign-off for " + strings.ToLower(o.Title) + " on this lathe is " + barred.Why
	case st.Allowed:
		st.AllowedBy = AllowedByInstructor
	default:
		st.Why = "not allowed at a lathe yet"
	}
	return nil
}

// operationFor is what a job is an exercise of; one that cannot be told counts as
// the harder.
func operationFor(r threadmath.Request) string {
	if a, err := threadmath.Solve(r); err == nil && len(a.Starts) == 1 {
		return signoff.SingleStart
	}
	return signoff.MultiStart
}

// TakesTurn reports that nothing keeps the learner from the lathe.
func (j JobState) TakesTurn() bool { return j.Why == "" }

// learnersJob returns a learner's job of a class.
func learnersJob(jobs []JobState, learner string) (JobState, error) {
	for _, j := range jobs {
		if j.Learner == learner {
			return j, nil
		}
	}
	return JobState{}, curriculum.ErrNotFound
}
