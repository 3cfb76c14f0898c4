package practice

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
	"golang.org/x/text/unicode/norm"

	"halfnut/curriculum"
)

// What a passphrase must have. Length is all that is asked for (the idea of NIST
// SP 800-63B, which forbids rules of composition; the 15 is from memory).
const (
	leastPassphrase   = 15
	longestPassphrase = 200
	leastDistinct     = 5
	// namesakes is how many people of one name may have a passphrase, in all
	// workshops; each costs a sign-in one hash.
	namesakes = 8
)

// SetPassphrase lets the person of a session sign in with name and passphrase
// from now on. Their other sessions end.
func (s *Service) SetPassphrase(ctx context.Context, a Actor, session, passphrase string) error {
	if err := a.staff(); err != nil {
		return err
	}
	text, err := cleanPassphrase(passphrase)
	if err != nil {
		return err
	}
	p, err := s.store.Person(ctx, a.ID)
	if err != nil {
		return err
	}
	there, err := s.store.Passphrases(ctx, p.Name, namesakes)
	if err != nil {
		return err
	}
	own := false
	for _, t := range there {
		own = own || t.Person == p.ID
	}
	if len(there) == namesakes && !own {
		return fmt.Errorf("%w: %d people of this name sign in with a passphrase already; sign in by link", curriculum.ErrConflict, namesakes)
	}
	hash, err := s.doors.hash(ctx, text)
	if err != nil {
		return err
	}
	return s.store.SetPassphrase(ctx, p, hash, tokenHash(session), s.now())
}

func cleanPassphrase(typed string) (string, error) {
	bad := func(reason string) (string, error) {
		return "", &curriculum.FieldError{Path: "/passphrase", Reason: reason, Allowed: fmt.Sprintf("%d to %d characters; four words or more are easy to keep", leastPassphrase, longestPassphrase)}
	}
	if !utf8.ValidString(typed) {
		return bad("not UTF-8 text")
	}
	text := passphraseText(typed)
	letters := []rune(text)
	distinct := map[rune]bool{}
	for _, r := range letters {
		distinct[r] = true
	}
	switch {
	case len(letters) < leastPassphrase:
		return bad("is too short")
	case len(letters) > longestPassphrase:
		return bad("is too long")
	case len(distinct) < leastDistinct:
		return bad("repeats itself too much")
	}
	return text, nil
}

// passphraseText is the same for the same letters, whatever keyboard and system
// they were typed on.
func passphraseText(typed string) string {
	return norm.NFKC.String(strings.Join(strings.Fields(typed), " "))
}

// SignIn opens a session for an instructor or steward who has set a passphrase.
// A name that nobody has takes as long and is told the same as a wrong
// passphrase.
func (s *Service) SignIn(ctx context.Context, name, passphrase string) (token string, expires time.Time, err error) {
	wrong := fmt.Errorf("%w: name and passphrase do not go together", curriculum.ErrDenied)
	name = strings.Join(strings.Fields(name), " ")
	text := passphraseText(passphrase)
	if !utf8.ValidString(name) || strings.ContainsRune(name, 0) || utf8.RuneCountInString(name) > maxName || utf8.RuneCountInString(text) > longestPassphrase {
		return "", expires, wrong
	}
	door := "name " + strings.ToLower(name)
	now := s.now()
	if err := s.doors.shut(door, now); err != nil {
		return "", expires, err
	}
	people, err := s.store.Passphrases(ctx, name, namesakes)
	if err != nil {
		return "", expires, err
	}
	var who *curriculum.Passphrase
	for i := range people {
		right, err := s.doors.verify(ctx, people[i].Hash, text)
		if err != nil {
			return "", expires, err
		}
		if right && who == nil {
			who = &people[i]
		}
	}
	if len(people) == 0 {
		if _, err := s.doors.derive(ctx, text, make([]byte, 16), preferred); err != nil {
			return "", expires, err
		}
	}
	s.doors.note(door, who != nil, now)
	if who == nil {
		return "", expires, wrong
	}
	if !strings.HasPrefix(who.Hash, argonPrefix) {
		hash, err := s.doors.hash(ctx, text)
		if err != nil {
			return "", expires, err
		}
		if err := s.store.RehashPassphrase(ctx, who.Person, who.Hash, hash); err != nil {
			return "", expires, err
		}
	}
	token, hash, err := s.secret()
	if err != nil {
		return "", expires, err
	}
	expires = now.Add(personLife)
	return token, expires, s.store.CreateSession(ctx, hash, curriculum.Session{
		Kind: curriculum.SessionPerson, Subject: who.Person, Workshop: who.Workshop, Created: now, Expires: expires,
	}, who.Person)
}

// argonCost is what an argon2id hash costs.
type argonCost struct {
	memory, passes uint32 // KiB
	lanes          uint8
}

var preferred = argonCost{argonMemory, argonPasses, argonLanes}

// Costs beyond these are not taken from a kept hash: it was not made here.
const (
	mostMemory = 256 * 1024
	mostPasses = 10
	mostLanes  = 8
)

var errKeptHash = errors.New("a kept hash cannot be read")

// readHash reads the PHC text form of argon2id.
func readHash(kept string) (cost argonCost, salt, key []byte, err error) {
	parts := strings.Split(kept, "$")
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" || parts[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return cost, nil, nil, errKeptHash
	}
	if n, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &cost.memory, &cost.passes, &cost.lanes); n != 3 || err != nil ||
		cost.memory > mostMemory || cost.passes < 1 || cost.passes > mostPasses || cost.lanes < 1 || cost.lanes > mostLanes {
		return cost, nil, nil, errKeptHash
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(parts[4])
	key, err2 := base64.RawStdEncoding.DecodeString(parts[5])
	if err1 != nil || err2 != nil || len(key) != argonKey {
		return cost, nil, nil, errKeptHash
	}
	return cost, salt, key, nil
}
