package practice

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
	"time"

	"golang.org/x/crypto/argon2"

	"halfnut/curriculum"
)

// How long doors stay open.
const (
	linkLife    = 24 * time.Hour
	personLife  = 14 * 24 * time.Hour
	learnerLife = 12 * time.Hour
)

// A PIN is short, so wrong ones are what must cost: after wrongMost in a row an
// account's door stays shut for wrongPause, and for twice as long after every
// wrongMost more, up to wrongLongest. A day without a try forgets them.
const (
	wrongMost    = 5
	wrongPause   = time.Minute
	wrongLongest = 30 * time.Minute
	wrongForget  = 24 * time.Hour
	doorsMost    = 100_000
)

// doors counts wrong PINs and bounds how many are hashed at once.
type doors struct {
	hashing chan struct{}

	mu    sync.Mutex
	wrong map[string]wrongTries
}

type wrongTries struct {
	count int
	last  time.Time
}

func newDoors() *doors {
	return &doors{hashing: make(chan struct{}, runtime.NumCPU()), wrong: map[string]wrongTries{}}
}

// shut returns an error while an account's door stays shut.
func (d *doors) shut(who string, now time.Time) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	w := d.wrong[who]
	if left := w.pause() - now.Sub(w.last); left > 0 {
		return &curriculum.WaitError{Wait: left, Reason: "wrong too often"}
	}
	return nil
}

// pause is how long the door stays shut after the last wrong try.
func (w wrongTries) pause() time.Duration {
	if w.count == 0 || w.count%wrongMost != 0 {
		return 0
	}
	return min(wrongPause<<min(w.count/wrongMost-1, 10), wrongLongest)
}

func (d *doors) note(who string, right bool, now time.Time) {
	d.mu.Lock()
	defer d.mu.Unlock()
	w := d.wrong[who]
	if right {
		delete(d.wrong, who)
		return
	}
	if w.count == 0 && len(d.wrong) >= doorsMost {
		d.forget(now)
	}
	if now.Sub(w.last) >= wrongForget {
		w.count = 0
	}
	d.wrong[who] = wrongTries{w.count + 1, now}
}

// forget makes room: counts that no longer shut a door, and at worst the oldest
// of all.
func (d *doors) forget(now time.Time) {
	oldest, at := "", now
	for k, w := range d.wrong {
		if now.Sub(w.last) >= wrongLongest {
			delete(d.wrong, k)
		} else if !w.last.After(at) {
			oldest, at = k, w.last
		}
	}
	if len(d.wrong) >= doorsMost {
		delete(d.wrong, oldest)
	}
}

// secret returns 256 random bits as text, and the hash under which they are kept.
func (s *Service) secret() (token, hash string, err error) {
	b := make([]byte, 32)
	if _, err := io.ReadFull(rand.Reader, b); err != nil {
		return "", "", err
	}
	token = base64.RawURLEncoding.EncodeToString(b)
	return token, tokenHash(token), nil
}

func tokenHash(token string) string {
	h := sha256.Sum256([]byte(token))
	return hex.EncodeToString(h[:])
}

// NewLink returns the secret of a one-time link that signs an instructor in; it
// lasts a day. It is for whoever runs the service; [Service.LinkFor] is for
// instructors.
func (s *Service) NewLink(ctx context.Context, p curriculum.Person) (string, error) {
	return s.newLink(ctx, p, "")
}

func (s *Service) newLink(ctx context.Context, p curriculum.Person, by string) (string, error) {
	token, hash, err := s.secret()
	if err != nil {
		return "", err
	}
	now := s.now()
	return token, s.store.CreateSession(ctx, hash, curriculum.Session{
		Kind: curriculum.SessionLink, Subject: p.ID, Workshop: p.Workshop, Created: now, Expires: now.Add(linkLife),
	}, by)
}

// UseLink turns a link's secret into a session's; the link is spent.
func (s *Service) UseLink(ctx context.Context, link string) (token string, expires time.Time, err error) {
	token, hash, err := s.secret()
	if err != nil {
		return "", expires, err
	}
	now := s.now()
	expires = now.Add(personLife)
	if _, err = s.store.UseLink(ctx, tokenHash(link), hash, now, expires); err != nil {
		if errors.Is(err, curriculum.ErrNotFound) {
			err = fmt.Errorf("%w: this link has been used or has run out", curriculum.ErrNoSession)
		}
		return "", expires, err
	}
	return token, expires, nil
}

// Actor returns who a session's secret belongs to.
func (s *Service) Actor(ctx context.Context, token string) (Actor, error) {
	if token == "" {
		return Actor{}, curriculum.ErrNoSession
	}
	session, err := s.store.Session(ctx, tokenHash(token), s.now())
	if errors.Is(err, curriculum.ErrNotFound) {
		return Actor{}, curriculum.ErrNoSession
	}
	if err != nil {
		return Actor{}, err
	}
	a := Actor{ID: session.Subject, Workshop: session.Workshop, Role: RoleLearner}
	if session.Kind == curriculum.SessionPerson {
		return s.staffActor(ctx, session.Subject)
	}
	l, err := s.store.Learner(ctx, session.Subject)
	if err != nil {
		return Actor{}, err
	}
	a.Units = l.Units
	return a, nil
}

// staffActor is the instructor or steward of an id, as long as they have not left.
func (s *Service) staffActor(ctx context.Context, id string) (Actor, error) {
	p, err := s.store.Person(ctx, id)
	if err != nil {
		return Actor{}, err
	}
	if p.Ended != nil {
		return Actor{}, curriculum.ErrNoSession
	}
	return Actor{ID: p.ID, Workshop: p.Workshop, Role: p.Role, Units: p.Units}, nil
}

// SetUnits keeps in which units lengths are shown to who asks: "mm", "in" or
// "both", or "" for the job's own first. No exercise changes.
func (s *Service) SetUnits(ctx context.Context, a Actor, units string) error {
	u, err := curriculum.UnitsNamed("/units", units)
	if err != nil {
		return err
	}
	if a.Role == RoleLearner {
		return s.store.SetLearnerUnits(ctx, a.ID, u)
	}
	return s.store.SetPersonUnits(ctx, a.ID, u)
}

// SignOut ends a session.
func (s *Service) SignOut(ctx context.Context, token string) error {
	return s.store.EndSession(ctx, tokenHash(token), s.now())
}

// Joining returns the class that a joining code opens and the names on its list.
func (s *Service) Joining(ctx context.Context, code string) (curriculum.Class, []curriculum.Learner, error) {
	c, err := s.store.ClassByCode(ctx, CleanCode(code))
	if errors.Is(err, curriculum.ErrNotFound) {
		err = &curriculum.FieldError{Path: "/joining_code", Value: code, Reason: "no class has this joining code"}
	}
	if err == nil && c.Ended != nil {
		err = &curriculum.FieldError{Path: "/joining_code", Value: code, Reason: "the class of this joining code has ended; ask your instructor"}
	}
	if err != nil {
		return curriculum.Class{}, nil, err
	}
	ls, err := s.store.Learners(ctx, c.ID)
	return c, ls, err
}

// Join signs a learner in with the class's joining code, the name on the class
// list and an own PIN of 4 to 12 digits; the first PIN given is the one that
// stays.
func (s *Service) Join(ctx context.Context, code, learner, pin string) (token string, expires time.Time, err error) {
	_, ls, err := s.Joining(ctx, code)
	if err != nil {
		return "", expires, err
	}
	var who *curriculum.Learner
	for i := range ls {
		if ls[i].ID == learner || ls[i].Name == learner {
			who = &ls[i]
		}
	}
	if who == nil {
		return "", expires, &curriculum.FieldError{Path: "/learner", Value: learner, Reason: "not on the class list"}
	}
	if err := checkPIN(pin); err != nil {
		return "", expires, err
	}
	if err := s.checkPIN(ctx, *who, pin); err != nil {
		return "", expires, err
	}
	token, hash, err := s.secret()
	if err != nil {
		return "", expires, err
	}
	now := s.now()
	expires = now.Add(learnerLife)
	return token, expires, s.store.CreateSession(ctx, hash, curriculum.Session{
		Kind: curriculum.SessionLearner, Subject: who.ID, Workshop: who.Workshop, Created: now, Expires: expires,
	}, who.ID)
}

func checkPIN(pin string) error {
	ok := len(pin) >= 4 && len(pin) <= 12
	for _, c := range pin {
		ok = ok && c >= '0' && c <= '9'
	}
	if !ok {
		return &curriculum.FieldError{Path: "/pin", Reason: "a PIN is digits", Allowed: "4 to 12 digits"}
	}
	return nil
}

func (s *Service) checkPIN(ctx context.Context, l curriculum.Learner, pin string) error {
	if err := s.doors.shut(l.ID, s.now()); err != nil {
		return err
	}
	kept, err := s.store.PINHash(ctx, l.ID)
	if err != nil {
		return err
	}
	if kept == "" {
		hash, err := s.doors.hash(ctx, pin)
		if err != nil {
			return err
		}
		err = s.store.ChoosePIN(ctx, l, hash, s.now())
		if !errors.Is(err, curriculum.ErrConflict) {
			return err
		}
		// Somebody chose one a moment ago; theirs stays.
		if kept, err = s.store.PINHash(ctx, l.ID); err != nil {
			return err
		}
	}
	right, err := s.doors.verify(ctx, kept, pin)
	if err != nil {
		return err
	}
	s.doors.note(l.ID, right, s.now())
	if !right {
		return fmt.Errorf("%w: this is not the PIN chosen for %s; an instructor can clear it", curriculum.ErrDenied, l.Name)
	}
	return nil
}

// argon2id with 19 MiB, two passes, one lane (RFC 9106; the figures are the
// smallest that current guidance accepts), in the PHC text form.
const (
	argonMemory = 19 * 1024
	argonPasses = 2
	argonLanes  = 1
	argonKey    = 32 // bytes
	argonPrefix = "$argon2id$v=19$m=19456,t=2,p=1$"
)

func (d *doors) hash(ctx context.Context, secret string) (string, error) {
	salt := make([]byte, 16)
	if _, err := io.ReadFull(rand.Reader, salt); err != nil {
		return "", err
	}
	key, err := d.derive(ctx, secret, salt, preferred)
	if err != nil {
		return "", err
	}
	e := base64.RawStdEncoding
	return argonPrefix + e.EncodeToString(salt) + "$" + e.EncodeToString(key), nil
}

func (d *doors) verify(ctx context.Context, kept, secret string) (bool, error) {
	cost, salt, want, err := readHash(kept)
	if err != nil {
		return false, err
	}
	got, err := d.derive(ctx, secret, salt, cost)
	return err == nil && subtle.ConstantTimeCompare(got, want) == 1, err
}

// derive waits for a free core: sixteen at once would take 300 MiB and no less
// time.
func (d *doors) derive(ctx context.Context, secret string, salt []byte, cost argonCost) ([]byte, error) {
	select {
	case d.hashing <- struct{}{}:
		defer func() { <-d.hashing }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	return argon2.IDKey([]byte(secret), salt, cost.passes, cost.memory, cost.lanes, argonKey), nil
}
