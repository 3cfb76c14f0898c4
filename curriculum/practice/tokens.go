package practice

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
)

// tokenPrefix begins every API token, so that one that got into a file or a log
// is found by a search.
const tokenPrefix = "hnt_"

// How long an API token may last, and how exactly its last use is kept.
const (
	tokenDaysMost = 366
	tokenUse      = 10 * time.Minute
)

// IsAPIToken tells an API token from the secret of a session.
func IsAPIToken(secret string) bool { return strings.HasPrefix(secret, tokenPrefix) }

// NewToken makes an API token that acts for the instructor who asks, within the
// scope and for some days, and returns its secret, which is shown only now.
func (s *Service) NewToken(ctx context.Context, a Actor, name, scope string, days int) (curriculum.APIToken, string, error) {
	var t curriculum.APIToken
	if err := a.instructor(); err != nil {
		return t, "", err
	}
	name, err := cleanName("/name", name)
	if err != nil {
		return t, "", err
	}
	if !slices.Contains(curriculum.Scopes, scope) {
		return t, "", &curriculum.FieldError{Path: "/scope", Value: scope, Allowed: strings.Join(curriculum.Scopes, ", ")}
	}
	if days < 1 || days > tokenDaysMost {
		return t, "", &curriculum.FieldError{Path: "/days", Value: fmt.Sprint(days), Allowed: fmt.Sprintf("1 to %d", tokenDaysMost)}
	}
	secret, _, err := s.secret()
	if err != nil {
		return t, "", err
	}
	secret = tokenPrefix + secret
	now := s.now()
	t = curriculum.APIToken{ID: newID(), Workshop: a.Workshop, Person: a.ID, Name: name, Scope: scope, Created: now, Expires: now.AddDate(0, 0, days)}
	return t, secret, s.store.CreateToken(ctx, tokenHash(secret), t)
}

// TokenActor returns who an API token acts for, and its scope.
func (s *Service) TokenActor(ctx context.Context, secret string) (Actor, string, error) {
	now := s.now()
	t, err := s.store.Token(ctx, tokenHash(secret), now)
	if errors.Is(err, curriculum.ErrNotFound) {
		return Actor{}, "", fmt.Errorf("%w: this token is not known, has run out or is revoked", curriculum.ErrNoSession)
	}
	if err != nil {
		return Actor{}, "", err
	}
	a, err := s.staffActor(ctx, t.Person)
	if err != nil {
		return Actor{}, "", err
	}
	if t.Used == nil || now.Sub(*t.Used) >= tokenUse {
		// Reading goes on where nothing can be written.
		if err := s.store.TouchToken(ctx, t.ID, now); err != nil && !errors.Is(err, curriculum.ErrUnavailable) {
			return Actor{}, "", err
		}
	}
	return a, t.Scope, nil
}

// ScopeHolds reports whether a token of one scope may do what needs another.
func ScopeHolds(scope, needed string) bool {
	has, needs := slices.Index(curriculum.Scopes, scope), slices.Index(curriculum.Scopes, needed)
	return needs >= 0 && has >= needs
}

// Tokens returns the API tokens of the workshop, those that have run out or are
// revoked too, newest first.
func (s *Service) Tokens(ctx context.Context, a Actor) ([]curriculum.APIToken, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	return s.store.Tokens(ctx, a.Workshop)
}

// RevokeToken takes an API token of the workshop back at once.
func (s *Service) RevokeToken(ctx context.Context, a Actor, id string) error {
	if err := a.instructor(); err != nil {
		return err
	}
	return s.store.RevokeToken(ctx, a.Workshop, id, a.ID, s.now())
}
