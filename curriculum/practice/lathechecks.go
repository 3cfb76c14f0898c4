package practice

import (
	"context"
	"strings"

	"halfnut/curriculum"
)

// LatheProofs is a lathe's record entry by entry, and the checks made of it.
type LatheProofs struct {
	Lathe   curriculum.Lathe        `json:"-"`
	Entries []curriculum.LatheProof `json:"entries"`
	Checks  []curriculum.LatheCheck `json:"checks"` // oldest first
}

// LatheProofs returns what of a lathe's record is proved.
func (s *Service) LatheProofs(ctx context.Context, a Actor, lathe string) (LatheProofs, error) {
	l, err := s.Lathe(ctx, a, lathe)
	if err != nil {
		return LatheProofs{}, err
	}
	checks, err := s.store.LatheChecks(ctx, l.ID)
	if err != nil {
		return LatheProofs{}, err
	}
	people, err := s.store.People(ctx, a.Workshop)
	if err != nil {
		return LatheProofs{}, err
	}
	names := map[string]string{}
	for _, p := range people {
		names[p.ID] = p.Name
	}
	for i := range checks {
		checks[i].ByName = names[checks[i].By]
	}
	if checks == nil {
		checks = []curriculum.LatheCheck{}
	}
	return LatheProofs{Lathe: l, Entries: curriculum.Prove(curriculum.EntriesOf(l.Profile), checks), Checks: checks}, nil
}

// CheckLathe keeps a check of one entry of a lathe's record as it stands now:
// what was done, predicted and measured. Whether they agree is judged here. The
// id, the person and the time are set.
func (s *Service) CheckLathe(ctx context.Context, a Actor, c curriculum.LatheCheck) (curriculum.LatheCheck, error) {
	if err := a.instructor(); err != nil {
		return c, err
	}
	l, err := s.Lathe(ctx, a, c.Lathe)
	if err != nil {
		return c, err
	}
	entry, err := entryOf(l, c.Entry)
	if err != nil {
		return c, err
	}
	for _, text := range []struct {
		path string
		of   *string
	}{{"/what", &c.What}, {"/predicted", &c.Predicted}, {"/measured", &c.Measured}} {
		if *text.of, err = cleanName(text.path, *text.of); err != nil {
			return c, err
		}
	}
	c.Division = strings.TrimSpace(c.Division)
	if err := c.Judge(); err != nil {
		return c, err
	}
	p, err := s.store.Person(ctx, a.ID)
	if err != nil {
		return c, err
	}
	c.ID, c.Stated, c.By, c.At = newID(), entry.Stated, p.ID, s.now()
	if err := s.store.AddLatheCheck(ctx, c, a.Workshop); err != nil {
		return c, err
	}
	c.ByName = p.Name
	return c, nil
}

func entryOf(l curriculum.Lathe, name string) (curriculum.LatheEntry, error) {
	var names []string
	for _, e := range curriculum.EntriesOf(l.Profile) {
		if e.Entry == name {
			return e, nil
		}
		names = append(names, e.Entry)
	}
	return curriculum.LatheEntry{}, &curriculum.FieldError{Path: "/entry", Value: name, Reason: "the lathe's record has no such entry", Allowed: strings.Join(names, ", ")}
}
