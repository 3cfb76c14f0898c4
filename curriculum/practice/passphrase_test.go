package practice_test

import (
	"database/sql"
	"encoding/base64"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/crypto/argon2"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
	"halfnut/curriculum/store/storetest"
)

const passphrase = "four starts on one lathe"

// signedIn returns the instructor's person and a session's secret.
func (f *fixture) signedIn(t *testing.T) (curriculum.Person, string) {
	t.Helper()
	p, err := f.FirstInstructor(t.Context(), f.instructor.Workshop)
	require.NoError(t, err)
	link, err := f.NewLink(t.Context(), p)
	require.NoError(t, err)
	token, _, err := f.UseLink(t.Context(), link)
	require.NoError(t, err)
	return p, token
}

func TestPassphrase(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		p, session := f.signedIn(t)
		_, other := f.signedIn(t)
		unused, err := f.NewLink(ctx, p)
		require.NoError(t, err)

		_, _, err = f.SignIn(ctx, p.Name, passphrase)
		require.ErrorIs(t, err, curriculum.ErrDenied, "none is set yet")
		for _, bad := range []string{"", "fourteen chars", strings.Repeat("ab", 20), strings.Repeat("abcdef", 40), "\xff" + passphrase} {
			var field *curriculum.FieldError
			require.ErrorAs(t, f.SetPassphrase(ctx, f.instructor, session, bad), &field, "%q", bad)
			assert.Equal(t, "/passphrase", field.Path)
			assert.Empty(t, field.Value, "a secret is not echoed")
		}
		learner := practice.Actor{ID: f.learners[0].ID, Workshop: f.instructor.Workshop, Role: practice.RoleLearner}
		require.ErrorIs(t, f.SetPassphrase(ctx, learner, session, passphrase), curriculum.ErrDenied)
		require.NoError(t, f.SetPassphrase(ctx, f.instructor, session, passphrase))

		_, err = f.Actor(ctx, session)
		require.NoError(t, err, "this session goes on")
		_, err = f.Actor(ctx, other)
		require.ErrorIs(t, err, curriculum.ErrNoSession, "other sessions end")
		_, _, err = f.UseLink(ctx, unused)
		require.ErrorIs(t, err, curriculum.ErrNoSession, "and links")

		token, expires, err := f.SignIn(ctx, "  "+p.Name+" ", " four  starts on one lathe ")
		require.NoError(t, err)
		assert.True(t, expires.After(f.now))
		a, err := f.Actor(ctx, token)
		require.NoError(t, err)
		assert.Equal(t, f.instructor, a)

		_, _, unknown := f.SignIn(ctx, "Nobody Here", passphrase)
		require.ErrorIs(t, unknown, curriculum.ErrDenied)
		for range 5 {
			_, _, err = f.SignIn(ctx, p.Name, "something else entirely")
			require.ErrorIs(t, err, curriculum.ErrDenied)
			assert.Equal(t, unknown.Error(), err.Error(), "an unknown name is told the same")
		}
		var wait *curriculum.WaitError
		_, _, err = f.SignIn(ctx, strings.ToUpper(p.Name), passphrase)
		require.ErrorAs(t, err, &wait, "five wrong ones shut the name's door, in any case of letters")
		assert.Equal(t, time.Minute, wait.Wait)
		f.now = f.now.Add(time.Minute)
		_, _, err = f.SignIn(ctx, p.Name, passphrase)
		require.NoError(t, err)
	})
}

// TestSignInRehashes: a hash of other costs is read, and replaced by one of
// today's when its passphrase comes in.
func TestSignInRehashes(t *testing.T) {
	t.Parallel()
	address := storetest.SQLite(t)
	f := begin(t, storetest.OpenAddress(t, address))
	p, session := f.signedIn(t)
	require.NoError(t, f.SetPassphrase(t.Context(), f.instructor, session, passphrase))
	pool, err := sql.Open("sqlite", address)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, pool.Close()) })
	salt := []byte("0123456789abcdef")
	e := base64.RawStdEncoding
	old := "$argon2id$v=19$m=8192,t=3,p=2$" + e.EncodeToString(salt) + "$" + e.EncodeToString(argon2.IDKey([]byte(passphrase), salt, 3, 8192, 2, 32))
	hash := func() (kept string) {
		require.NoError(t, pool.QueryRowContext(t.Context(), `SELECT hash FROM passphrase`).Scan(&kept))
		return kept
	}
	_, err = pool.ExecContext(t.Context(), `UPDATE passphrase SET hash = $1`, old)
	require.NoError(t, err)
	_, _, err = f.SignIn(t.Context(), p.Name, "not the passphrase at all")
	require.ErrorIs(t, err, curriculum.ErrDenied)
	assert.Equal(t, old, hash())
	_, _, err = f.SignIn(t.Context(), p.Name, passphrase)
	require.NoError(t, err)
	assert.Contains(t, hash(), "$argon2id$v=19$m=19456,t=2,p=1$")
	_, _, err = f.SignIn(t.Context(), p.Name, passphrase)
	require.NoError(t, err)

	for _, broken := range []string{"", "x", "$argon2id$v=19$m=999999999,t=1,p=1$AA$AA", fmt.Sprintf("$argon2i$v=19$m=8192,t=3,p=2$%s$%s", e.EncodeToString(salt), e.EncodeToString(salt))} {
		_, err = pool.ExecContext(t.Context(), `UPDATE passphrase SET hash = $1`, broken)
		require.NoError(t, err)
		_, _, err = f.SignIn(t.Context(), p.Name, passphrase)
		assert.Error(t, err, "%q lets nobody in", broken)
	}
}

func TestAPITokens(t *testing.T) {
	t.Parallel()
	storetest.Each(t, func(t *testing.T, db *store.DB) {
		f := begin(t, db)
		ctx := t.Context()
		for _, bad := range []struct {
			name, scope string
			days        int
		}{{" ", "read", 1}, {"x", "all", 1}, {"x", "read", 0}, {"x", "read", 400}} {
			_, _, err := f.NewToken(ctx, f.instructor, bad.name, bad.scope, bad.days)
			require.ErrorIs(t, err, curriculum.ErrInvalid)
		}
		kept, secret, err := f.NewToken(ctx, f.instructor, "Marks to the office", curriculum.ScopeRead, 30)
		require.NoError(t, err)
		require.True(t, practice.IsAPIToken(secret))
		a, scope, err := f.TokenActor(ctx, secret)
		require.NoError(t, err)
		assert.Equal(t, f.instructor, a)
		assert.Equal(t, curriculum.ScopeRead, scope)
		_, err = f.Actor(ctx, secret)
		require.ErrorIs(t, err, curriculum.ErrNoSession, "a token is no session")

		list, err := f.Tokens(ctx, f.instructor)
		require.NoError(t, err)
		require.Len(t, list, 1)
		require.NotNil(t, list[0].Used)
		assert.WithinDuration(t, f.now, *list[0].Used, time.Second)

		stranger := practice.Actor{ID: "s", Workshop: "elsewhere", Role: curriculum.RoleInstructor}
		require.ErrorIs(t, f.RevokeToken(ctx, stranger, kept.ID), curriculum.ErrNotFound)
		require.NoError(t, f.RevokeToken(ctx, f.instructor, kept.ID))
		require.NoError(t, f.RevokeToken(ctx, f.instructor, kept.ID), "twice is once")
		_, _, err = f.TokenActor(ctx, secret)
		require.ErrorIs(t, err, curriculum.ErrNoSession)

		_, secret, err = f.NewToken(ctx, f.instructor, "Short", curriculum.ScopeManage, 1)
		require.NoError(t, err)
		f.now = f.now.Add(24 * time.Hour)
		_, _, err = f.TokenActor(ctx, secret)
		require.ErrorIs(t, err, curriculum.ErrNoSession, "run out")
	})
}

func TestScopes(t *testing.T) {
	t.Parallel()
	for i, has := range curriculum.Scopes {
		for j, needed := range curriculum.Scopes {
			assert.Equal(t, i >= j, practice.ScopeHolds(has, needed), "%s for %s", has, needed)
		}
		assert.False(t, practice.ScopeHolds(has, ""))
	}
	assert.False(t, practice.ScopeHolds("", curriculum.ScopeRead))
}
