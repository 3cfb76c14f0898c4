package practice

import (
	"context"

	"halfnut/curriculum/statistics"
)

// Statistics returns the figures of every skill, model and hard cell that was
// answered in an instructor's workshop, or in one class of it.
func (s *Service) Statistics(ctx context.Context, a Actor, class string) ([]statistics.Item, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	if class != "" {
		if _, err := s.Class(ctx, a, class); err != nil {
			return nil, err
		}
	}
	answered, err := s.store.Answered(ctx, a.Workshop, class)
	if err != nil {
		return nil, err
	}
	return statistics.Of(answered), nil
}
