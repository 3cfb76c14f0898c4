package store

import (
	"context"
	"time"

	"halfnut/curriculum"
)

// ended is the three columns of an ending while they are read.
type ended struct {
	at         int64
	by, reason string
}

func (e *ended) into() []any { return []any{&e.at, &e.by, &e.reason} }

// ending is nil for what has not ended.
func (e ended) ending() *curriculum.Ending {
	if e.at == 0 {
		return nil
	}
	return &curriculum.Ending{At: fromMicros(e.at), By: e.by, Reason: e.reason}
}

// whereIs carries out a statement that ends a thing, or takes that back, only where
// it has not happened already. Of two who say why, the first one's words so stay
// until somebody has read them.
func whereIs(ctx context.Context, q querier, query string, args ...any) error {
	res, err := q.ExecContext(ctx, query, args...)
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return firstError(err, curriculum.ErrChanged)
	}
	return nil
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

// EndLathe takes a lathe out of use, or for nil puts it back. The reason stays in
// the log when the lathe is back long since.
func (db *DB) EndLathe(ctx context.Context, l curriculum.Lathe, e *curriculum.Ending, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if e == nil {
			if err := whereIs(ctx, q, `UPDATE lathe SET out_of_use_at = 0, out_of_use_by = '', out_of_use_reason = '', version = version + 1
				WHERE id = $1 AND out_of_use_at <> 0`, l.ID); err != nil {
				return err
			}
			return logEvent(ctx, q, l.Workshop, now, by, "lathe put back in use", l.ID)
		}
		if err := whereIs(ctx, q, `UPDATE lathe SET out_of_use_at = $2, out_of_use_by = $3, out_of_use_reason = $4, version = version + 1
			WHERE id = $1 AND out_of_use_at = 0`, l.ID, toMicros(e.At), e.By, e.Reason); err != nil {
			return err
		}
		return logEvent(ctx, q, l.Workshop, now, by, "lathe taken out of use: "+e.Reason, l.ID)
	})
}

// EndShopSession calls a session off, or for nil holds it after all. Its calendar
// follows its version and when it was changed.
func (db *DB) EndShopSession(ctx context.Context, s curriculum.ShopSession, e *curriculum.Ending, workshop, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if e == nil {
			if err := whereIs(ctx, q, `UPDATE shop_session SET called_off_at = 0, called_off_by = '', called_off_reason = '', changed_at = $2, version = version + 1
				WHERE id = $1 AND called_off_at <> 0`, s.ID, toMicros(now)); err != nil {
				return err
			}
			return logEvent(ctx, q, workshop, now, by, "shop session held after all", s.ID)
		}
		if err := whereIs(ctx, q, `UPDATE shop_session SET called_off_at = $2, called_off_by = $3, called_off_reason = $4, changed_at = $2, version = version + 1
			WHERE id = $1 AND called_off_at = 0`, s.ID, toMicros(e.At), e.By, e.Reason); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, now, by, "shop session called off: "+e.Reason, s.ID)
	})
}

// EndSet withdraws a class set, or for nil brings it back.
func (db *DB) EndSet(ctx context.Context, s curriculum.ClassSet, e *curriculum.Ending, workshop, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if e == nil {
			if err := whereIs(ctx, q, `UPDATE class_set SET withdrawn_at = 0, withdrawn_by = '', withdrawn_reason = ''
				WHERE id = $1 AND withdrawn_at <> 0`, s.ID); err != nil {
				return err
			}
			return logEvent(ctx, q, workshop, now, by, "class set brought back", s.ID)
		}
		if err := whereIs(ctx, q, `UPDATE class_set SET withdrawn_at = $2, withdrawn_by = $3, withdrawn_reason = $4
			WHERE id = $1 AND withdrawn_at = 0`, s.ID, toMicros(e.At), e.By, e.Reason); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, now, by, "class set withdrawn: "+e.Reason, s.ID)
	})
}
