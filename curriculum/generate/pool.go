package generate

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
)

// Pool is how many different exercises there are: exactly, or at least so many.
type Pool struct {
	Size  int  `json:"size"`
	Exact bool `json:"exact"`
}

// String reads "12" or "at least 500".
func (p Pool) String() string {
	if p.Exact {
		return strconv.Itoa(p.Size)
	}
	return "at least " + strconv.Itoa(p.Size)
}

// poolPaths bounds the draws by which one model's pool is counted.
const poolPaths = 20_000

// Pool counts the different exercises that the skill, or the model that opts
// names, has on this lathe with the difficulty that opts asks for. The count
// stops at enough, which makes it a lower bound; so does a model with more ways
// of drawing than are tried. Two exercises differ when they say or ask something
// else; the order of choices makes no difference. Errors are those of [Draw].
func (d *Drawer) Pool(skill string, opts Options, enough int) (Pool, error) {
	wanted := opts.wanted()
	models, err := d.bench.models(skill, opts)
	if err != nil {
		return Pool{}, err
	}
	faces := map[string]bool{}
	exact := true
	for _, m := range models {
		known, err := d.bench.count(m, opts, wanted, faces, enough)
		if err != nil {
			return Pool{}, err
		}
		exact = exact && known
		if len(faces) >= enough {
			return Pool{Size: enough}, nil
		}
	}
	return Pool{Size: len(faces), Exact: exact}, nil
}

// count adds the faces of every exercise of the model, and reports whether these
// are all.
func (b *bench) count(m *model, opts Options, wanted map[string]string, faces map[string]bool, enough int) (all bool, err error) {
	try := func(c chance) error {
		d := &draw{rng: c, bench: b, machine: &b.machine, lathe: &b.lathe, units: opts.Units, wanted: wanted, radicals: map[string]string{}}
		it, err := m.draw(d)
		if err == nil {
			err = it.prove()
		}
		if r := rejection(""); errors.As(err, &r) {
			return nil
		}
		if err != nil {
			return err
		}
		it.ex.Skill, it.ex.Model = m.skill, m.name
		f, err := poolFace(it.ex)
		faces[f] = true
		return err
	}
	every := &everyChance{}
	for range poolPaths {
		if err := try(every); err != nil {
			return false, err
		}
		if !every.next() {
			return true, nil
		}
		if len(faces) >= enough {
			return false, nil
		}
	}
	// What was walked is one corner; draws at random see the rest.
	for seed := range uint64(poolPaths / 10) {
		e, _, err := b.draw(m.skill, seed, Options{Units: opts.Units, Model: m.name, Difficulty: wanted})
		if err != nil {
			return false, err
		}
		f, err := poolFace(e)
		if err != nil {
			return false, err
		}
		if faces[f] = true; len(faces) >= enough {
			break
		}
	}
	return false, nil
}

// poolFace is the face of an exercise without the order of its choices.
func poolFace(e curriculum.Exercise) (string, error) {
	e = e.Public()
	for i := range e.Parts {
		p := &e.Parts[i]
		p.Choices = slices.Clone(p.Choices)
		for j := range p.Choices {
			p.Choices[j].ID = ""
		}
		slices.SortFunc(p.Choices, func(a, b curriculum.Choice) int { return strings.Compare(a.Text, b.Text) })
	}
	b, err := json.Marshal([]any{e.Skill, e.Model, e.Prompt, e.Givens.Values, e.Parts})
	return string(b), err
}

// wanted are the radicals that the options ask for.
func (o Options) wanted() map[string]string {
	wanted := maps.Clone(o.Difficulty)
	if o.Starts != 0 {
		if wanted == nil {
			wanted = map[string]string{}
		}
		wanted["starts"] = strconv.Itoa(o.Starts)
	}
	delete(wanted, radicalUnits)
	return wanted
}

// everyChance makes every sequence of choices in turn: draw, next, draw, …
type everyChance struct {
	at     int
	choice []int
	widths []int
}

// IntN makes the choice that is due.
func (c *everyChance) IntN(n int) int {
	if c.at == len(c.choice) {
		c.choice, c.widths = append(c.choice, 0), append(c.widths, n)
	}
	c.at++
	return c.choice[c.at-1]
}

// Shuffle leaves the order as it is: no order is another exercise.
func (c *everyChance) Shuffle(int, func(i, j int)) {}

// next goes on to the next sequence, and reports whether there is one.
func (c *everyChance) next() bool {
	c.at = 0
	for i := len(c.choice) - 1; i >= 0; i-- {
		if c.choice[i]++; c.choice[i] < c.widths[i] {
			return true
		}
		c.choice, c.widths = c.choice[:i], c.widths[:i]
	}
	return false
}
