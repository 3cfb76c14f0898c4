package practice

import (
	"context"
	"strings"
	"time"

	"halfnut/curriculum"
)

// How long the answer to a request sent under a key is kept, and how often what
// is older is looked for.
const (
	keyAge    = 24 * time.Hour
	keyForget = time.Hour
)

const maxKey = 200

// Once carries out a request under a key of the actor's, and under the same key
// again only returns what it was answered with (repeated). hash stands for all
// that was asked. What act does and what it returns are kept together or not at
// all; act computes first, writes last, and with its own context.
func (s *Service) Once(ctx context.Context, a Actor, key, hash string, act func(ctx context.Context) (curriculum.KeptAnswer, error)) (answer curriculum.KeptAnswer, repeated bool, err error) {
	if len(key) < 1 || len(key) > maxKey || strings.ContainsFunc(key, func(r rune) bool { return r < '!' || r > '~' }) {
		return answer, false, &curriculum.FieldError{Path: "Idempotency-Key", Value: key, Allowed: "1 to 200 visible ASCII characters"}
	}
	now := s.now()
	answer, repeated, err = s.store.Once(ctx, curriculum.KeyedRequest{Owner: a.ID, Key: key, Hash: hash, At: now, Since: now.Add(-keyAge)}, act)
	if last := s.forgot.Load(); err == nil && !repeated && now.Unix()-last >= int64(keyForget/time.Second) && s.forgot.CompareAndSwap(last, now.Unix()) {
		_ = s.store.ForgetKeys(ctx, now.Add(-keyAge)) // if not now, in an hour
	}
	return answer, repeated, err
}
