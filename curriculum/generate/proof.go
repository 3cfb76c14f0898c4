package generate

import (
	"context"
	"errors"

	"halfnut/threadmath"
)

// Proof is what many draws of a skill came to.
type Proof struct {
	Skill string
	// Draws were made; Violations of them broke a promise and Impossible gave no
	// exercise. First tells of the first of either.
	Draws, Violations, Impossible int
	First                         error
	// MostTries is the greatest number of tries that one draw took.
	MostTries int
	// LeastMargin is the nearest that a wrong rule came to an answer, in bands; 0
	// where no part has a number.
	LeastMargin float64
}

// OK reports whether every draw gave an exercise that keeps its promises.
func (p Proof) OK() bool { return p.Violations == 0 && p.Impossible == 0 && p.MostTries <= maxTries }

// Prove draws count exercises of the skill with seeds from first up, on those of
// the lathes and in those unit systems that serve it, in turn, and checks each
// (see [Check]). One that no lathe serves gives an UnservedError. It keeps one
// exercise at a time.
func Prove(ctx context.Context, skill string, lathes []threadmath.Lathe, count int, first uint64) (Proof, error) {
	type place struct {
		bench *bench
		units threadmath.System
	}
	var places []place
	var why error
	for _, l := range lathes {
		b, err := newBench(l)
		if err != nil {
			return Proof{}, err
		}
		for _, units := range [2]threadmath.System{threadmath.Metric, threadmath.Inch} {
			if _, err := b.models(skill, Options{Units: units}); err != nil {
				why = err
				continue
			}
			places = append(places, place{b, units})
		}
	}
	if len(places) == 0 {
		return Proof{}, why
	}
	out := Proof{Skill: skill}
	for i := range count {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		at := places[i%len(places)]
		e, tries, err := at.bench.draw(skill, (first+uint64(i))&maxSeed, Options{Units: at.units})
		out.Draws++
		var unserved *UnservedError
		switch {
		case errors.As(err, &unserved):
			out.Impossible++
		case err != nil:
			return out, err
		default:
			out.MostTries = max(out.MostTries, tries)
			if err = Check(e); err != nil {
				out.Violations++
			}
			if e.Margin > 0 && (out.LeastMargin == 0 || e.Margin < out.LeastMargin) {
				out.LeastMargin = e.Margin
			}
		}
		if err != nil && out.First == nil {
			out.First = err
		}
	}
	return out, nil
}
