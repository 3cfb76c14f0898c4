package practice

import (
	"context"
	"errors"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
)

// enoughExercises is where the count of a skill's exercises stops: a class of
// thirty with six exercises each meets no more.
const enoughExercises = 200

// LatheSkill says how many different exercises a skill has on a lathe: exactly,
// or at least so many; none, and why, where it cannot be set there.
type LatheSkill struct {
	Skill     string `json:"skill"`
	Exercises int    `json:"exercises"`
	Exact     bool   `json:"exact"`
	Why       string `json:"why,omitempty"`
}

// LatheSkills returns what can be set on a lathe in the units, for an
// instructor: known before a set is built or printed. With skills given it looks
// at these alone; a skill takes some hundredths of a second.
func (s *Service) LatheSkills(ctx context.Context, a Actor, lathe, units string, skills ...string) ([]LatheSkill, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	if units != "mm" && units != "in" {
		return nil, &curriculum.FieldError{Path: "?units", Value: units, Reason: "mm or in"}
	}
	l, err := s.Lathe(ctx, a, lathe)
	if err != nil {
		return nil, err
	}
	profile := l.Profile
	profile.Name = l.Name
	drawer, err := generate.NewDrawer(profile)
	if err != nil {
		return nil, err
	}
	var out []LatheSkill
	if len(skills) == 0 {
		skills = generate.Skills()
	}
	for _, slug := range skills {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		pool, err := drawer.Pool(slug, generate.Options{Units: system(units)}, enoughExercises)
		one := LatheSkill{Skill: slug, Exercises: pool.Size, Exact: pool.Exact}
		var unserved *generate.UnservedError
		switch {
		case errors.As(err, &unserved):
			one.Exact, one.Why = true, unserved.Reason
		case err != nil:
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}
