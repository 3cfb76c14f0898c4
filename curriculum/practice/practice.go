package practice

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io"
	"strings"
	"sync/atomic"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/google/uuid"
	lru "github.com/hashicorp/golang-lru/v2"

	"halfnut/curriculum"
)

// Service applies the rules over a store. It is safe for concurrent use.
type Service struct {
	store  Store
	now    func() time.Time
	random io.Reader
	doors  *doors
	forgot atomic.Int64 // when old keys were last looked for, in Unix seconds
	// chances are the forecasts that were worked out, by what they come from.
	chances *lru.Cache[[sha256.Size]byte, float64]
	// kinds are what does the works, by kind.
	kinds     map[string]WorkFunc
	beatEvery time.Duration
}

// Options replace the clock and the source of randomness in tests and in the
// demo workshop. Zero values take the real ones.
type Options struct {
	Now    func() time.Time
	Random io.Reader
	// Beat is how often a work under way tells that it is; zero is once a second.
	Beat time.Duration
}

// New returns a service over the store.
func New(store Store, o Options) *Service {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Random == nil {
		o.Random = rand.Reader
	}
	if o.Beat == 0 {
		o.Beat = time.Second
	}
	chances, err := lru.New[[sha256.Size]byte, float64](mostChances)
	if err != nil {
		panic(err) // the size is ours
	}
	s := &Service{chances: chances, store: store, now: o.Now, random: o.Random, doors: newDoors(), kinds: map[string]WorkFunc{}, beatEvery: o.Beat}
	s.HandleWork(curriculum.WorkClassSet, s.drawSet)
	s.HandleWork(curriculum.WorkRoster, s.addRoster)
	s.HandleWork(curriculum.WorkRecompute, s.recompute)
	s.HandleWork(curriculum.WorkExport, s.export)
	return s
}

// Actor is who asks.
type Actor struct {
	ID       string `json:"id"`
	Workshop string `json:"workshop"`
	Role     string `json:"role"` // an instructor's, a steward's or RoleLearner
	// Units says in which lengths are shown to them.
	Units curriculum.Units `json:"units"`
}

// RoleLearner is an Actor's role when a learner asks.
const RoleLearner = "learner"

// Ready reports whether the store answers.
func (s *Service) Ready(ctx context.Context) error { return s.store.Ping(ctx) }

// instructor refuses everyone but instructors.
func (a Actor) instructor() error {
	if a.Role != curriculum.RoleInstructor {
		return fmt.Errorf("%w: instructors only", curriculum.ErrDenied)
	}
	return nil
}

// Begin makes a workshop with its first instructor.
func (s *Service) Begin(ctx context.Context, name, instructor, units string) (curriculum.Workshop, curriculum.Person, error) {
	var w curriculum.Workshop
	var p curriculum.Person
	name, err := cleanName("/name", name)
	if err != nil {
		return w, p, err
	}
	if instructor, err = cleanName("/instructor", instructor); err != nil {
		return w, p, err
	}
	if units, err = cleanUnits("/units", units); err != nil {
		return w, p, err
	}
	now := s.now()
	w = curriculum.Workshop{ID: newID(), Name: name, Units: units, Version: 1, Created: now}
	p = curriculum.Person{ID: newID(), Workshop: w.ID, Name: instructor, Role: curriculum.RoleInstructor, Created: now}
	return w, p, s.store.CreateWorkshop(ctx, w, p)
}

// Workshops returns every workshop of the database, oldest first.
func (s *Service) Workshops(ctx context.Context) ([]curriculum.Workshop, error) {
	return s.store.Workshops(ctx)
}

// FirstInstructor returns the instructor a workshop was begun by; the next one where
// they have left.
func (s *Service) FirstInstructor(ctx context.Context, workshop string) (curriculum.Person, error) {
	people, err := s.store.People(ctx, workshop)
	if err != nil {
		return curriculum.Person{}, err
	}
	for _, p := range people {
		if p.Role == curriculum.RoleInstructor && p.Ended == nil {
			return p, nil
		}
	}
	return curriculum.Person{}, curriculum.ErrNotFound
}

// Workshop returns the actor's workshop.
func (s *Service) Workshop(ctx context.Context, a Actor) (curriculum.Workshop, error) {
	return s.store.Workshop(ctx, a.Workshop)
}

// ChangeWorkshop gives the workshop another name, and other units for the sheets
// that will be made, if it still has the version that the caller saw.
func (s *Service) ChangeWorkshop(ctx context.Context, a Actor, version int, name, units string) (curriculum.Workshop, error) {
	if err := a.instructor(); err != nil {
		return curriculum.Workshop{}, err
	}
	w, err := s.Workshop(ctx, a)
	if err != nil {
		return w, err
	}
	if w.Name, err = cleanName("/name", name); err != nil {
		return w, err
	}
	if w.Units, err = cleanUnits("/units", units); err != nil {
		return w, err
	}
	w.Version = version
	if err := s.store.UpdateWorkshop(ctx, w, a.ID, s.now()); err != nil {
		return w, err
	}
	w.Version++
	return w, nil
}

// Limits of what people type.
const (
	maxName     = 80
	maxLearners = 3000
	maxAnswers  = 20_000

	// MaxCount is the greatest number of exercises on one sheet.
	MaxCount = 40
)

// cleanName trims a name and refuses what no sheet could print.
func cleanName(path, name string) (string, error) {
	name = strings.Join(strings.Fields(name), " ")
	bad := func(reason string) (string, error) {
		return "", &curriculum.FieldError{Path: path, Value: name, Reason: reason, Allowed: fmt.Sprintf("1 to %d characters", maxName)}
	}
	switch {
	case !utf8.ValidString(name):
		return bad("not UTF-8 text")
	case name == "":
		return bad("is empty")
	case utf8.RuneCountInString(name) > maxName:
		return bad("is too long")
	}
	for _, r := range name {
		if !unicode.IsPrint(r) {
			return bad("holds a character that cannot be printed")
		}
	}
	return name, nil
}

func cleanUnits(path, units string) (string, error) {
	if units != "mm" && units != "in" {
		return "", &curriculum.FieldError{Path: path, Value: units, Allowed: "mm, in"}
	}
	return units, nil
}

func newID() string { return uuid.Must(uuid.NewV7()).String() }

// codeLetters leaves out what is taken for another letter on an oily sheet:
// I, L, O, U, 0, 1.
const codeLetters = "23456789ABCDEFGHJKMNPQRSTVWXYZ"

// code draws n letters, each as likely as the other.
func (s *Service) code(n int) (string, error) {
	const even = 256 - 256%len(codeLetters)
	out := make([]byte, 0, n)
	var b [1]byte
	for len(out) < n {
		if _, err := io.ReadFull(s.random, b[:]); err != nil {
			return "", err
		}
		if int(b[0]) < even {
			out = append(out, codeLetters[int(b[0])%len(codeLetters)])
		}
	}
	return string(out), nil
}

// seed draws a seed that every JSON reader keeps whole.
func (s *Service) seed() (uint64, error) {
	var b [8]byte
	if _, err := io.ReadFull(s.random, b[:]); err != nil {
		return 0, err
	}
	return binary.BigEndian.Uint64(b[:]) >> 11, nil
}

// CleanCode reads a code as people type it: any case, with spaces or dashes.
func CleanCode(typed string) string {
	return strings.Map(func(r rune) rune {
		r = unicode.ToUpper(r)
		if strings.ContainsRune(codeLetters, r) {
			return r
		}
		if r == '-' || r == ' ' {
			return -1
		}
		return r
	}, strings.TrimSpace(typed))
}
