package practice

import (
	"compress/gzip"
	"context"
	"errors"
	"io"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

type recomputeWork struct {
	Write bool `json:"write"`
}

// Recompute asks for a comparison of everybody's mastery in the workshop with the
// record of attempts. With write, what the record gives takes the place of what is
// kept otherwise.
func (s *Service) Recompute(ctx context.Context, a Actor, write bool) (curriculum.Work, error) {
	if err := a.staff(); err != nil {
		return curriculum.Work{}, err
	}
	return s.ask(ctx, a, curriculum.WorkRecompute, "Mastery and the record", recomputeWork{write})
}

// recompute mends one learner after the other, each for good. Begun anew it finds
// nothing left to mend in those that it has done, and does not count them again.
func (s *Service) recompute(ctx context.Context, r *Running) error {
	var in recomputeWork
	if err := r.Args(&in); err != nil {
		return err
	}
	learners, err := s.store.WorkshopLearners(ctx, r.Actor.Workshop)
	if err != nil {
		return err
	}
	differences := 0
	for i, l := range learners {
		n, err := s.store.CompareLearner(ctx, mastery.Fold, l.ID, in.Write)
		if err != nil {
			return err
		}
		differences += n
		r.Progress(i+1, len(learners))
	}
	return r.Finish(ctx, curriculum.WorkResult{Learners: len(learners), Differences: &differences, Mended: in.Write})
}

// AskExport asks for the workshop's records as a file. It holds what everybody
// answered, and no secret.
func (s *Service) AskExport(ctx context.Context, a Actor) (curriculum.Work, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Work{}, err
	}
	w, err := s.Workshop(ctx, a)
	if err != nil {
		return curriculum.Work{}, err
	}
	return s.ask(ctx, a, curriculum.WorkExport, w.Name, struct{}{})
}

// export has no steps to count: how many rows there are is known at the end.
func (s *Service) export(ctx context.Context, r *Running) error {
	return r.File(ctx, "records.jsonl.gz", "application/gzip", curriculum.WorkResult{}, func(to io.Writer) error {
		z := gzip.NewWriter(to)
		err := s.store.Export(ctx, r.Actor.Workshop, z, s.now())
		return errors.Join(err, z.Close())
	})
}

// packWork are the arguments of a work that prints a class set; Query is how, as
// the address of the archive says it.
type packWork struct {
	Set   string `json:"set"`
	Query string `json:"query"`
}

// AskPack asks for everything that is printed of a class set, as one archive.
// Whoever handles [curriculum.WorkClassPack] prints it.
func (s *Service) AskPack(ctx context.Context, a Actor, set, query string) (curriculum.Work, error) {
	cs, _, err := s.SetInUse(ctx, a, set)
	if err != nil {
		return curriculum.Work{}, err
	}
	return s.ask(ctx, a, curriculum.WorkClassPack, cs.Spec.Title, packWork{set, query})
}

// PackArgs returns the set that a class pack is of, and how it is printed.
func PackArgs(r *Running) (set, query string, err error) {
	var in packWork
	err = r.Args(&in)
	return in.Set, in.Query, err
}
