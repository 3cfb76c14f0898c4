package generate

import (
	"encoding/binary"
	"encoding/json"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// SetSpec says which class set is wanted.
type SetSpec struct {
	Skills []string
	Lathe  threadmath.Lathe
	// Variants is the number of learners, Count the exercises of each.
	Variants, Count int
	Seed            uint64
	Units           threadmath.System
	// Tell, where it is given, hears after each exercise how many are drawn; its
	// error ends the drawing.
	Tell func(drawn int) error
}

// triesForNew is how often a draw that repeats numbers already used is drawn
// again before the pool counts as used up.
const triesForNew = 40

// Set returns Count exercises for each of the variants. The variants are
// parallel: the skills come in turn, and the exercises at one position share
// skill, model and declared difficulty. Numbers differ between variants and
// within one as long as new ones are found, and between neighbours as long as
// the pool holds two.
func Set(s SetSpec) ([][]curriculum.Exercise, error) {
	b, err := newBench(s.Lathe)
	if err != nil {
		return nil, err
	}
	out := make([][]curriculum.Exercise, s.Variants)
	used := map[string]bool{}
	for position := range s.Count {
		skill := s.Skills[position%len(s.Skills)]
		opts := Options{Units: s.Units}
		previous := ""
		for variant := range out {
			e, face, err := b.fresh(s, skill, opts, position, variant, used, previous)
			if err != nil {
				return nil, err
			}
			used[face], previous = true, face
			out[variant] = append(out[variant], e)
			// The first variant settles what is parallel.
			opts.Model, opts.Difficulty = e.Model, e.Difficulty
			if s.Tell == nil {
				continue
			}
			if err := s.Tell(position*s.Variants + variant + 1); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

// fresh draws an exercise whose face was not used, or failing that one that
// differs from the neighbour's.
func (b *bench) fresh(s SetSpec, skill string, opts Options, position, variant int, used map[string]bool, previous string) (curriculum.Exercise, string, error) {
	var kept curriculum.Exercise
	keptFace := ""
	for try := range triesForNew {
		sum := b.digest(s.Seed, s.Units, "set", skill, strconv.Itoa(position), strconv.Itoa(variant), strconv.Itoa(try))
		e, _, err := b.draw(skill, binary.LittleEndian.Uint64(sum[:8])&maxSeed, opts)
		if err != nil {
			return e, "", err
		}
		f, err := face(e)
		if err != nil {
			return e, "", err
		}
		if !used[f] {
			return e, f, nil
		}
		if keptFace == "" || keptFace == previous {
			kept, keptFace = e, f
		}
	}
	return kept, keptFace, nil
}

// face is what a learner sees of an exercise: two with the same face are the
// same question.
func face(e curriculum.Exercise) (string, error) {
	b, err := json.Marshal([]any{e.Skill, e.Model, e.Prompt, e.Givens.Values, e.Public().Parts})
	return string(b), err
}
