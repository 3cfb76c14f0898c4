package store

import (
	"context"
	"database/sql"
	"time"

	"halfnut/curriculum"
)

// ending reads ended_at, ended_by and ended_reason: nil for what has not ended.
func ending(at int64, by, reason string) *curriculum.Ending {
	if at == 0 {
		return nil
	}
	return &curriculum.Ending{At: fromMicros(at), By: by, Reason: reason}
}

// because is what was done, with the reason where one is given: it stays in the log
// when the end is taken back long since.
func because(what, reason string) string {
	if reason == "" {
		return what
	}
	return what + ": " + reason
}

// EndPerson keeps that a person has left, or for nil takes that back. Either way
// their sessions and links are gone with it, and their API tokens revoked: one who
// signed in at the very moment of being ended has a session that is of no use, and
// must be of none afterwards. The last instructor of a workshop who has not left is a
// conflict.
func (db *DB) EndPerson(ctx context.Context, p curriculum.Person, e *curriculum.Ending, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if e == nil {
			if err := whereIs(ctx, q, `UPDATE person SET ended_at = 0, ended_by = '', ended_reason = '' WHERE id = $1 AND ended_at <> 0`, p.ID); err != nil {
				return err
			}
			return firstError(shutDoors(ctx, q, p.ID, now), logEvent(ctx, q, p.Workshop, now, by, "person let in again", p.ID))
		}
		// The workshop's row is the lock: of two instructors who end each other, the
		// second sees that there is no third.
		if _, err := q.ExecContext(ctx, `UPDATE workshop SET version = version WHERE id = $1`, p.Workshop); err != nil {
			return err
		}
		others, err := one(ctx, q, scanInt, `SELECT COUNT(*) FROM person WHERE workshop_id = $1 AND id <> $2 AND role = $3 AND ended_at = 0`, p.Workshop, p.ID, curriculum.RoleInstructor)
		if err != nil || others == 0 {
			return firstError(err, curriculum.ErrConflict)
		}
		if err := whereIs(ctx, q, `UPDATE person SET ended_at = $2, ended_by = $3, ended_reason = $4 WHERE id = $1 AND ended_at = 0`, p.ID, toMicros(e.At), e.By, e.Reason); err != nil {
			return err
		}
		return firstError(shutDoors(ctx, q, p.ID, now), logEvent(ctx, q, p.Workshop, now, by, because("person ended", e.Reason), p.ID))
	})
}

// shutDoors ends what lets a person in without a passphrase.
func shutDoors(ctx context.Context, q querier, person string, now time.Time) error {
	return sendAll(ctx, q, []statement{
		{`DELETE FROM session WHERE subject_id = $1 AND kind <> 'learner'`, []any{person}},
		{`UPDATE api_token SET revoked_at = $2 WHERE person_id = $1 AND revoked_at = 0`, []any{person, toMicros(now)}},
	})
}

// EndClass keeps that a class is over, or for nil takes that back.
func (db *DB) EndClass(ctx context.Context, c curriculum.Class, e *curriculum.Ending, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if e == nil {
			if err := whereIs(ctx, q, `UPDATE class SET ended_at = 0, ended_by = '', ended_reason = '', version = version + 1 WHERE id = $1 AND ended_at <> 0`, c.ID); err != nil {
				return err
			}
			return logEvent(ctx, q, c.Workshop, now, by, "class opened again", c.ID)
		}
		if err := whereIs(ctx, q, `UPDATE class SET ended_at = $2, ended_by = $3, ended_reason = $4, version = version + 1 WHERE id = $1 AND ended_at = 0`,
			c.ID, toMicros(e.At), e.By, e.Reason); err != nil {
			return err
		}
		return logEvent(ctx, q, c.Workshop, now, by, because("class ended", e.Reason), c.ID)
	})
}

// SetJoiningCode gives a class the joining code c.JoiningCode; the one before lets
// nobody in any more.
func (db *DB) SetJoiningCode(ctx context.Context, c curriculum.Class, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `UPDATE class SET joining_code = $2, version = version + 1 WHERE id = $1`, c.ID, c.JoiningCode); err != nil {
			return err
		}
		return logEvent(ctx, q, c.Workshop, now, by, "joining code made anew", c.ID)
	})
}

// affected reports whether a statement changed a row.
func affected(res sql.Result, err error) (bool, error) {
	if err != nil {
		return false, err
	}
	n, err := res.RowsAffected()
	return n > 0, err
}
