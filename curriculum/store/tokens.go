package store

import (
	"context"
	"time"

	"halfnut/curriculum"
)

// SetPassphrase keeps the hash of a person's passphrase. With keep, the hash of
// the session that goes on, all other sessions and links of the person end.
func (db *DB) SetPassphrase(ctx context.Context, p curriculum.Person, hash, keep string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx,
			`INSERT INTO passphrase (person_id, hash, changed_at) VALUES ($1, $2, $3)
			 ON CONFLICT (person_id) DO UPDATE SET hash = excluded.hash, changed_at = excluded.changed_at`,
			p.ID, hash, toMicros(now)); err != nil {
			return err
		}
		if _, err := q.ExecContext(ctx, `DELETE FROM session WHERE subject_id = $1 AND kind <> 'learner' AND token_hash <> $2`, p.ID, keep); err != nil {
			return err
		}
		return logEvent(ctx, q, p.Workshop, now, p.ID, "passphrase set", p.ID)
	})
}

// RehashPassphrase replaces a hash by one of the same passphrase, if it is still
// the one that was checked.
func (db *DB) RehashPassphrase(ctx context.Context, person, old, hash string) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `UPDATE passphrase SET hash = $1 WHERE person_id = $2 AND hash = $3`, hash, person, old)
		return err
	})
}

// Passphrases returns the people of a name who have a passphrase and have not left,
// in all workshops, oldest first, at most most.
func (db *DB) Passphrases(ctx context.Context, name string, most int) ([]curriculum.Passphrase, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (p curriculum.Passphrase, err error) {
		err = r.Scan(&p.Person, &p.Workshop, &p.Hash)
		return p, err
	}, `SELECT p.id, p.workshop_id, h.hash FROM person p JOIN passphrase h ON h.person_id = p.id WHERE p.name = $1 AND p.ended_at = 0 ORDER BY p.created_at, p.id LIMIT $2`,
		name, int64(most))
}

const tokenColumns = `id, workshop_id, person_id, name, scope, created_at, expires_at, used_at, revoked_at`

// CreateToken keeps an API token under the hash of its secret.
func (db *DB) CreateToken(ctx context.Context, hash string, t curriculum.APIToken) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx,
			`INSERT INTO api_token (id, token_hash, workshop_id, person_id, name, scope, created_at, expires_at, used_at, revoked_at)
			 VALUES ($1, $2, $3, $4, $5, $6, $7, $8, 0, 0)`,
			t.ID, hash, t.Workshop, t.Person, t.Name, t.Scope, toMicros(t.Created), toMicros(t.Expires)); err != nil {
			return err
		}
		return logEvent(ctx, q, t.Workshop, t.Created, t.Person, "token made: "+t.Scope, t.ID)
	})
}

// Token returns the API token with the hash if it is neither expired nor
// revoked.
func (db *DB) Token(ctx context.Context, hash string, now time.Time) (curriculum.APIToken, error) {
	return one(ctx, db.reader(ctx), scanToken,
		`SELECT `+tokenColumns+` FROM api_token WHERE token_hash = $1 AND expires_at > $2 AND revoked_at = 0`, hash, toMicros(now))
}

// Tokens returns the API tokens of a workshop, newest first.
func (db *DB) Tokens(ctx context.Context, workshop string) ([]curriculum.APIToken, error) {
	return rows(ctx, db.reader(ctx), scanToken,
		`SELECT `+tokenColumns+` FROM api_token WHERE workshop_id = $1 ORDER BY created_at DESC, id DESC`, workshop)
}

// TouchToken notes when an API token was last used.
func (db *DB) TouchToken(ctx context.Context, id string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `UPDATE api_token SET used_at = $1 WHERE id = $2 AND used_at < $1`, toMicros(now), id)
		return err
	})
}

// RevokeToken takes an API token of a workshop back at once; one that is revoked
// already stays as it is.
func (db *DB) RevokeToken(ctx context.Context, workshop, id, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		t, err := one(ctx, q, scanToken, `SELECT `+tokenColumns+` FROM api_token WHERE id = $1 AND workshop_id = $2`, id, workshop)
		if err != nil || t.Revoked != nil {
			return err
		}
		if _, err := q.ExecContext(ctx, `UPDATE api_token SET revoked_at = $1 WHERE id = $2 AND revoked_at = 0`, toMicros(now), id); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, now, by, "token revoked", id)
	})
}

func scanToken(r scanner) (t curriculum.APIToken, err error) {
	var created, expires, used, revoked int64
	err = r.Scan(&t.ID, &t.Workshop, &t.Person, &t.Name, &t.Scope, &created, &expires, &used, &revoked)
	t.Created, t.Expires = fromMicros(created), fromMicros(expires)
	t.Used, t.Revoked = moment(used), moment(revoked)
	return t, err
}

// moment reads a time that may not have come yet, kept as 0.
func moment(micros int64) *time.Time {
	if micros == 0 {
		return nil
	}
	at := fromMicros(micros)
	return &at
}
