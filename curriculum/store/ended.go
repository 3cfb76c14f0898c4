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

// EndPerson keeps that a person has left: their sessions and links are gone with
// it, and their API tokens revoked. The last instructor of a workshop who has not
// left is a conflict. Who has left already stays as they are.
func (db *DB) EndPerson(ctx context.Context, p curriculum.Person, e curriculum.Ending) error {
	return db.update(ctx, func(q querier) error {
		// The workshop's row is the lock: of two instructors who end each other, the
		// second sees that there is no third.
		if _, err := q.ExecContext(ctx, `UPDATE workshop SET version = version WHERE id = $1`, p.Workshop); err != nil {
			return err
		}
		kept, err := one(ctx, q, scanPerson, `SELECT `+personColumns+` FROM person WHERE id = $1`, p.ID)
		if err != nil || kept.Ended != nil {
			return err
		}
		others, err := one(ctx, q, scanInt, `SELECT COUNT(*) FROM person WHERE workshop_id = $1 AND id <> $2 AND role = $3 AND ended_at = 0`, p.Workshop, p.ID, curriculum.RoleInstructor)
		if err != nil || others == 0 {
			return firstError(err, curriculum.ErrConflict)
		}
		if _, err := q.ExecContext(ctx, `UPDATE person SET ended_at = $2, ended_by = $3, ended_reason = $4 WHERE id = $1`, p.ID, toMicros(e.At), e.By, e.Reason); err != nil {
			return err
		}
		if err := shutDoors(ctx, q, p.ID, e.At); err != nil {
			return err
		}
		return logEvent(ctx, q, p.Workshop, e.At, e.By, "person ended", p.ID)
	})
}

// LetInPerson takes back that a person has left. Whatever let them in before stays
// void: they need a new link, or sign in with their passphrase.
func (db *DB) LetInPerson(ctx context.Context, p curriculum.Person, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		done, err := affected(q.ExecContext(ctx, `UPDATE person SET ended_at = 0, ended_by = '', ended_reason = '' WHERE id = $1 AND ended_at <> 0`, p.ID))
		if err != nil || !done {
			return err
		}
		// One who signed in at the very moment of being ended has a session that was
		// of no use until now.
		if err := shutDoors(ctx, q, p.ID, now); err != nil {
			return err
		}
		return logEvent(ctx, q, p.Workshop, now, by, "person let in again", p.ID)
	})
}

// shutDoors ends what lets a person in without a passphrase.
func shutDoors(ctx context.Context, q querier, person string, now time.Time) error {
	return sendAll(ctx, q, []statement{
		{`DELETE FROM session WHERE subject_id = $1 AND kind <> 'learner'`, []any{person}},
		{`UPDATE api_token SET revoked_at = $2 WHERE person_id = $1 AND revoked_at = 0`, []any{person, toMicros(now)}},
	})
}

// EndClass keeps that a class is over; one that is already stays as it is.
func (db *DB) EndClass(ctx context.Context, c curriculum.Class, e curriculum.Ending) error {
	return db.update(ctx, func(q querier) error {
		done, err := affected(q.ExecContext(ctx, `UPDATE class SET ended_at = $2, ended_by = $3, ended_reason = $4, version = version + 1 WHERE id = $1 AND ended_at = 0`,
			c.ID, toMicros(e.At), e.By, e.Reason))
		if err != nil || !done {
			return err
		}
		return logEvent(ctx, q, c.Workshop, e.At, e.By, "class ended", c.ID)
	})
}

// ReopenClass takes back that a class is over.
func (db *DB) ReopenClass(ctx context.Context, c curriculum.Class, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		done, err := affected(q.ExecContext(ctx, `UPDATE class SET ended_at = 0, ended_by = '', ended_reason = '', version = version + 1 WHERE id = $1 AND ended_at <> 0`, c.ID))
		if err != nil || !done {
			return err
		}
		return logEvent(ctx, q, c.Workshop, now, by, "class opened again", c.ID)
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
