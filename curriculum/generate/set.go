package generate

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"maps"
	"math"
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

// How many draws a place in a set may take: triesForNew at most, triesForOther where
// what is left to wish is that no part at all has the neighbour's answer. rowTries
// is how often what is parallel is settled anew because it left neighbours alike.
const (
	triesForNew   = 40
	triesForOther = 8
	rowTries      = 4
)

// Set returns Count exercises for each of the variants. The variants are
// parallel: the skills come in turn, and the exercises at one position share
// skill, model and declared difficulty but for the number of starts, which decides
// most answers; whether the answers come out round is shared as long as such draws
// are found. Neighbours get different answers wherever draws with the lathe's numbers
// have two, and questions differ within the set as long as new ones are found.
func Set(s SetSpec) ([][]curriculum.Exercise, error) {
	b, err := newBench(s.Lathe)
	if err != nil {
		return nil, err
	}
	d := &setDrawing{SetSpec: s, bench: b, used: map[string]bool{}}
	out := make([][]curriculum.Exercise, s.Variants)
	for position := range s.Count {
		row, err := d.parallel(position)
		if err != nil {
			return nil, err
		}
		for variant, p := range row.places {
			d.used[p.face] = true
			out[variant] = append(out[variant], p.exercise)
		}
	}
	return out, nil
}

// setDrawing is a set being drawn.
type setDrawing struct {
	SetSpec
	bench *bench
	used  map[string]bool // faces of the positions before
	told  int
}

// row is what the variants get at one position.
type row struct {
	places []place
	alike  int // neighbours with the same answers
	rank   int
}

// place is one variant's exercise in a row.
type place struct {
	exercise curriculum.Exercise
	face     string
	rank     int // see rankOf
}

// parallel draws the row at a position. The first variant settles what is parallel;
// where that leaves neighbours alike another is tried.
func (d *setDrawing) parallel(position int) (row, error) {
	var best row
	for attempt := range rowTries {
		r, err := d.row(position, attempt)
		if err != nil {
			return row{}, err
		}
		if attempt == 0 || r.alike < best.alike || r.alike == best.alike && r.rank < best.rank {
			best = r
		}
		if best.alike == 0 {
			break
		}
	}
	return best, nil
}

func (d *setDrawing) row(position, attempt int) (row, error) {
	skill := d.Skills[position%len(d.Skills)]
	opts := Options{Units: d.Units}
	out := row{places: make([]place, 0, d.Variants)}
	here := map[string]bool{}
	for variant := range d.Variants {
		p, err := d.place(skill, opts, out.places, here, position, variant, attempt)
		if unserved := (*UnservedError)(nil); errors.As(err, &unserved) && variant > 0 {
			// The first one's difficulty needs the first one's starts.
			opts.Difficulty = out.places[0].exercise.Difficulty
			p, err = d.place(skill, opts, out.places, here, position, variant, attempt)
		}
		if err != nil {
			return row{}, err
		}
		if p.rank >= rankAlike {
			out.alike++
		}
		out.rank += p.rank
		here[p.face] = true
		out.places = append(out.places, p)
		if variant == 0 {
			opts.Model, opts.Difficulty = p.exercise.Model, maps.Clone(p.exercise.Difficulty)
			delete(opts.Difficulty, "starts")
		}
		if d.Tell == nil {
			continue
		}
		d.told = max(d.told, position*d.Variants+variant+1) // a row that is drawn again tells nothing new
		if err := d.Tell(d.told); err != nil {
			return row{}, err
		}
	}
	return out, nil
}

// place draws the exercise that suits the row best.
func (d *setDrawing) place(skill string, opts Options, before []place, here map[string]bool, position, variant, attempt int) (place, error) {
	var best place
	for try := range triesForNew {
		sum := d.bench.digest(d.Seed, d.Units, "set", skill, strconv.Itoa(position), strconv.Itoa(variant), strconv.Itoa(attempt), strconv.Itoa(try))
		e, _, err := d.bench.draw(skill, binary.LittleEndian.Uint64(sum[:8])&maxSeed, opts)
		if err != nil {
			return place{}, err
		}
		p := place{exercise: e}
		if p.face, err = face(e); err != nil {
			return place{}, err
		}
		p.rank = rankOf(p, before)
		if d.used[p.face] || here[p.face] {
			p.rank += rankRepeated
		}
		if try == 0 || p.rank < best.rank {
			best = p
		}
		if best.rank == 0 || try >= triesForOther && best.rank < rankRound {
			break
		}
	}
	return best, nil
}

// What speaks against an exercise at its place, from worst to least: it has the
// neighbour's answers, its question has been asked, its answers are round where the
// first one's are not, and each single answer that is the neighbour's.
const (
	rankAlike    = 1000
	rankRepeated = 100
	rankRound    = 50
)

func rankOf(p place, before []place) int {
	if len(before) == 0 {
		return 0
	}
	rank := 0
	if roundAnswers(p.exercise) != roundAnswers(before[0].exercise) {
		rank += rankRound
	}
	same := sameAnswers(p.exercise, before[len(before)-1].exercise)
	if same == len(p.exercise.Parts) {
		return rank + rankAlike
	}
	return rank + min(same, rankRound-1)
}

// sameAnswers counts the parts to which the neighbour's answer would be right.
func sameAnswers(e, neighbour curriculum.Exercise) int {
	n := 0
	for i := range min(len(e.Parts), len(neighbour.Parts)) {
		if e.Parts[i].TakesAnswerOf(neighbour.Parts[i]) {
			n++
		}
	}
	return n
}

// roundAnswers reports whether every number that is asked ends within the digits
// that it is asked to.
func roundAnswers(e curriculum.Exercise) bool {
	for _, p := range e.Parts {
		if p.Answer == nil {
			continue
		}
		v, ok := p.Number(*p.Answer)
		if !ok {
			continue
		}
		f := v.Float64() * math.Pow10(p.Decimals)
		if math.Abs(f-math.Round(f)) > 1e-6 {
			return false
		}
	}
	return true
}

// Spread says of one skill how a class set came out.
type Spread struct {
	Skill string
	// Exercises were drawn, of which so many are Different questions.
	Exercises, Different int
	// Neighbours are pairs that sit side by side, counted at every position; so many
	// of them have the same answers and are Alike.
	Neighbours, Alike int
}

// Few reports whether the lathe has too few exercises for such a set: more than one
// in twenty pairs of neighbours have the same answers.
func (s Spread) Few() bool { return s.Alike*20 > s.Neighbours }

// SpreadOf returns how a set came out, by skill in the order of the positions.
func SpreadOf(set [][]curriculum.Exercise) ([]Spread, error) {
	var out []Spread
	at := map[string]int{}
	faces := map[string]bool{}
	for v, es := range set {
		for i, e := range es {
			if _, known := at[e.Skill]; !known {
				at[e.Skill] = len(out)
				out = append(out, Spread{Skill: e.Skill})
			}
			s := &out[at[e.Skill]]
			s.Exercises++
			f, err := face(e)
			if err != nil {
				return nil, err
			}
			if !faces[f] {
				faces[f] = true
				s.Different++
			}
			if v == 0 || i >= len(set[v-1]) {
				continue
			}
			s.Neighbours++
			if sameAnswers(e, set[v-1][i]) == len(e.Parts) {
				s.Alike++
			}
		}
	}
	return out, nil
}

// face is what a learner sees of an exercise: two with the same face are the
// same question.
func face(e curriculum.Exercise) (string, error) {
	b, err := json.Marshal([]any{e.Skill, e.Model, e.Prompt, e.Givens.Values, e.Public().Parts})
	return string(b), err
}
