package web

import (
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

// previewData is what a class set would be.
type previewData struct {
	Exercises []curriculum.Exercise
	Pools     []pool
}

// pool says how many exercises a skill has on a lathe, and how many of them a
// class set takes.
type pool struct {
	practice.LatheSkill
	Takes int
}

// Enough reports whether nobody gets what another has.
func (p pool) Enough() bool { return !p.Exact || p.Exercises >= p.Takes }

// poolsOf sizes the pools of a set before it is built. The skills of a set take
// turns, so that the first ones come up once more where it does not divide.
func (w *Pages) poolsOf(c *gin.Context, a practice.Actor, spec curriculum.SetSpec) ([]pool, error) {
	ctx := c.Request.Context()
	lathe, err := w.practice.Lathe(ctx, a, spec.Lathe)
	if err != nil {
		return nil, err
	}
	learners, err := w.practice.Learners(ctx, a, c.Param("id"))
	if err != nil {
		return nil, err
	}
	var out []pool
	for i, slug := range spec.Skills[:min(len(spec.Skills), spec.Count)] {
		takes := (spec.Count - i + len(spec.Skills) - 1) / len(spec.Skills) * len(learners)
		key := lathe.ID + " " + strconv.Itoa(lathe.Version) + " " + spec.Units + " " + slug
		one, ok := w.pools.Get(key)
		if !ok {
			found, err := w.practice.LatheSkills(ctx, a, lathe.ID, spec.Units, slug)
			if err != nil {
				return nil, err
			}
			one = found[0]
			w.pools.Add(key, one)
		}
		out = append(out, pool{one, takes})
	}
	return out, nil
}
