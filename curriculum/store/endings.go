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

func (e ended) ending() *curriculum.Ending { return ending(e.at, e.by, e.reason) }

// whereIs carries out a statement that ends a thing, or takes that back, only where
// it has not happened already. Of two who say why, the first one's words so stay
// until somebody has read them.
func whereIs(ctx context.Context, q querier, query string, args ...any) error {
	done, err := affected(q.ExecContext(ctx, query, args...))
	if err == nil && !done {
		err = curriculum.ErrChanged
	}
	return err
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
