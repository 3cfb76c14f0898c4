package generate

import (
	"bytes"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// maxTries bounds the draws of one exercise; triesPerCell is how many of them
// keep the same radicals before others are chosen.
const (
	maxTries     = 200
	triesPerCell = 40
)

// maxSeed keeps seeds whole in every JSON reader.
const maxSeed = 1<<53 - 1

// Options say which of a skill's exercises is wanted. The zero value leaves
// everything but metric units to the seed.
type Options struct {
	Units threadmath.System
	// Model is the name of an item model of the skill.
	Model string
	// Difficulty holds radicals that the exercise must have ("starts": "3"); the
	// Difficulty of one exercise asks for another parallel to it.
	Difficulty map[string]string
	// Starts is short for Difficulty["starts"]; 0 leaves it open.
	Starts int
}

// UnservedError says that a lathe cannot serve a skill, and why.
type UnservedError struct {
	Skill, Lathe, Reason string
}

// Error reads "no thread dial: thread-dial cannot be set on Lathe 2".
func (e *UnservedError) Error() string {
	lathe := e.Lathe
	if lathe == "" {
		lathe = "this lathe"
	}
	return e.Reason + ": " + e.Skill + " cannot be set on " + lathe
}

// Unwrap makes errors.Is(err, curriculum.ErrInvalid) hold.
func (e *UnservedError) Unwrap() error { return curriculum.ErrInvalid }

// Draw returns the exercise of the skill that lathe, seed and options name. The
// seed is below 2⁵³. A lathe that cannot serve the skill gives an UnservedError,
// an unknown skill or model an ErrNotFound.
func Draw(skill string, lathe threadmath.Lathe, seed uint64, opts Options) (curriculum.Exercise, error) {
	b, err := newBench(lathe)
	if err != nil {
		return curriculum.Exercise{}, err
	}
	e, _, err := b.draw(skill, seed, opts)
	return e, err
}

// Serves reports, as an UnservedError, why the lathe cannot serve the skill in
// these units; nil means that it can.
func Serves(skill string, lathe threadmath.Lathe, units threadmath.System) error {
	b, err := newBench(lathe)
	if err != nil {
		return err
	}
	return b.serves(skill, units)
}

func (b *bench) serves(skill string, units threadmath.System) error {
	if _, err := b.models(skill, Options{Units: units}); err != nil {
		return err
	}
	_, _, err := b.draw(skill, 0, Options{Units: units})
	return err
}

// bench is a lathe read once, for any number of draws.
type bench struct {
	lathe   threadmath.Lathe
	machine machine
}

func newBench(lathe threadmath.Lathe) (*bench, error) {
	m, err := readMachine(lathe)
	if err != nil {
		return nil, fmt.Errorf("lathe %s: %w", lathe.Name, err)
	}
	return &bench{lathe: lathe, machine: m}, nil
}

// models returns the skill's models that serve the options on this lathe.
func (b *bench) models(skill string, opts Options) ([]*model, error) {
	all := registry[skill]
	if len(all) == 0 {
		return nil, fmt.Errorf("skill %q: %w", skill, curriculum.ErrNotFound)
	}
	var out []*model
	var reason string
	known := opts.Model == ""
	for _, m := range all {
		if opts.Model != "" && m.name != opts.Model {
			continue
		}
		known = true
		if m.serve == nil {
			out = append(out, m)
			continue
		}
		if r := m.serve(&b.machine, opts.Units); r != "" {
			if reason == "" {
				reason = r
			}
			continue
		}
		out = append(out, m)
	}
	if !known {
		return nil, fmt.Errorf("model %q of skill %q: %w", opts.Model, skill, curriculum.ErrNotFound)
	}
	if len(out) == 0 {
		return nil, &UnservedError{Skill: skill, Lathe: b.lathe.Name, Reason: reason}
	}
	return out, nil
}

// draw also returns how many tries it took.
func (b *bench) draw(skill string, seed uint64, opts Options) (curriculum.Exercise, int, error) {
	fail := func(err error) (curriculum.Exercise, int, error) { return curriculum.Exercise{}, 0, err }
	if seed > maxSeed {
		return fail(fmt.Errorf("seed %d: above %d: %w", seed, uint64(maxSeed), curriculum.ErrInvalid))
	}
	models, err := b.models(skill, opts)
	if err != nil {
		return fail(err)
	}
	picker := rand.New(b.source(seed, opts.Units, skill, "model"))
	m := pick(picker, models, func(m *model) int { return m.weight })
	it, tries, err := b.drawItem(m, seed, opts)
	if err != nil {
		return fail(err)
	}
	e := it.ex
	e.ID = skill + "-" + b.id(seed, opts.Units, skill, m.name, strconv.Itoa(m.version), strings.Join(sorted(opts.wanted()), ";"))
	e.Basis, err = b.basis(m, it, opts.Units)
	return e, tries, err
}

// drawItem draws with one model; it also returns how many tries it took.
func (b *bench) drawItem(m *model, seed uint64, opts Options) (*item, int, error) {
	wanted := opts.wanted()
	source := b.source(seed, opts.Units, append([]string{m.skill, m.name, strconv.Itoa(m.version)}, sorted(wanted)...)...)
	d := &draw{rng: rand.New(source), bench: b, machine: &b.machine, lathe: &b.lathe, units: opts.Units, wanted: wanted, radicals: map[string]string{}}
	var last rejection
	for try := 1; try <= maxTries; try++ {
		if try%triesPerCell == 0 {
			clear(d.radicals)
		}
		it, err := m.draw(d)
		if err == nil {
			err = it.prove()
		}
		switch {
		case err == nil:
			e := &it.ex
			e.Skill, e.Model, e.ModelVersion, e.Seed = m.skill, m.name, m.version, seed
			e.Lathe, e.Units = b.lathe.Name, opts.Units.String()
			e.Difficulty = maps.Clone(d.radicals)
			e.Difficulty[radicalUnits] = e.Units
			return it, try, nil
		case !errors.As(err, &last):
			return nil, try, fmt.Errorf("%s, model %s: %w", m.skill, m.name, err)
		}
	}
	return nil, maxTries, &UnservedError{Skill: m.skill, Lathe: b.lathe.Name, Reason: fmt.Sprintf("no draw in %d tries (model %s, last: %s)", maxTries, m.name, last)}
}

// digest hashes what an exercise is made from; length prefixes keep the fields
// apart.
func (b *bench) digest(seed uint64, units threadmath.System, fields ...string) [sha256.Size]byte {
	var buf bytes.Buffer
	var n [8]byte
	binary.LittleEndian.PutUint64(n[:], seed)
	buf.Write(n[:])
	for _, f := range append([]string{units.String(), b.machine.text}, fields...) {
		binary.LittleEndian.PutUint64(n[:], uint64(len(f)))
		buf.Write(n[:])
		buf.WriteString(f)
	}
	return sha256.Sum256(buf.Bytes())
}

func (b *bench) source(seed uint64, units threadmath.System, fields ...string) rand.Source {
	sum := b.digest(seed, units, fields...)
	return rand.NewPCG(binary.LittleEndian.Uint64(sum[:8]), binary.LittleEndian.Uint64(sum[8:16]))
}

var idEncoding = base32.NewEncoding("abcdefghjkmnpqrstuvwxyz023456789").WithPadding(base32.NoPadding)

// id is 60 bits of the digest, short enough to read out.
func (b *bench) id(seed uint64, units threadmath.System, fields ...string) string {
	sum := b.digest(seed, units, append(fields, "id")...)
	return idEncoding.EncodeToString(sum[:])[:12]
}

func sorted(m map[string]string) []string {
	out := make([]string, 0, len(m))
	for _, k := range slices.Sorted(maps.Keys(m)) {
		out = append(out, k+"="+m[k])
	}
	return out
}
