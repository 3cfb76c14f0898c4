package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"halfnut/curriculum"
)

// CreateClass keeps a class; its name is unique in the workshop and its joining
// code everywhere.
func (db *DB) CreateClass(ctx context.Context, c curriculum.Class, by string) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO class (id, workshop_id, name, joining_code, version, created_at) VALUES ($1, $2, $3, $4, 1, $5)`,
			c.ID, c.Workshop, c.Name, c.JoiningCode, toMicros(c.Created)); err != nil {
			return err
		}
		return logEvent(ctx, q, c.Workshop, c.Created, by, "class created", c.ID)
	})
}

// UpdateClass gives a class another name if it still has version c.Version;
// otherwise it is a conflict.
func (db *DB) UpdateClass(ctx context.Context, c curriculum.Class, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		res, err := q.ExecContext(ctx, `UPDATE class SET name = $1, version = version + 1 WHERE id = $2 AND version = $3`, c.Name, c.ID, int64(c.Version))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, c.Workshop, now, by, "class renamed", c.ID)
	})
}

const classColumns = `c.id, c.workshop_id, c.name, c.joining_code, c.version, c.created_at, c.ended_at, c.ended_by, c.ended_reason`

// Class returns a class.
func (db *DB) Class(ctx context.Context, id string) (curriculum.Class, error) {
	return one(ctx, db.reader(ctx), scanClass, `SELECT `+classColumns+` FROM class c WHERE c.id = $1`, id)
}

// ClassByCode returns the class that a joining code opens.
func (db *DB) ClassByCode(ctx context.Context, code string) (curriculum.Class, error) {
	return one(ctx, db.reader(ctx), scanClass, `SELECT `+classColumns+` FROM class c WHERE c.joining_code = $1`, code)
}

// Classes returns the classes of a workshop, ended ones too, oldest first.
func (db *DB) Classes(ctx context.Context, workshop string) ([]curriculum.Class, error) {
	return rows(ctx, db.reader(ctx), scanClass,
		`SELECT `+classColumns+` FROM class c WHERE c.workshop_id = $1 ORDER BY c.created_at, c.id`, workshop)
}

func scanClass(r scanner) (c curriculum.Class, err error) {
	var at int64
	var over ended
	err = r.Scan(append([]any{&c.ID, &c.Workshop, &c.Name, &c.JoiningCode, &c.Version, &at}, over.into()...)...)
	c.Created, c.Ended = fromMicros(at), over.ending()
	return c, err
}

// AddLearners puts learners on a class's list, all or none, seats following the
// last one taken. Those who have a version are known to the workshop, the others
// are new. A name that the class already has is a conflict.
func (db *DB) AddLearners(ctx context.Context, class curriculum.Class, learners []curriculum.Learner, by string, now time.Time) (out []curriculum.Learner, err error) {
	err = db.update(ctx, func(q querier) error {
		out, err = addLearners(ctx, q, class, learners, by, now)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

func addLearners(ctx context.Context, q querier, class curriculum.Class, learners []curriculum.Learner, by string, now time.Time) ([]curriculum.Learner, error) {
	// The class row is the lock that keeps two who add at once from giving out
	// one seat twice.
	if _, err := q.ExecContext(ctx, `UPDATE class SET version = version + 1 WHERE id = $1`, class.ID); err != nil {
		return nil, err
	}
	taken, err := rows(ctx, q, scanLearner, learnersOfClass, class.ID)
	if err != nil {
		return nil, err
	}
	seat, names := 0, map[string]bool{}
	for _, l := range taken {
		seat = max(seat, l.Seat)
		names[l.Name] = true
	}
	out := make([]curriculum.Learner, len(learners))
	for i, l := range learners {
		if names[l.Name] {
			return nil, fmt.Errorf("%w: the class already has a learner called %q", curriculum.ErrConflict, l.Name)
		}
		names[l.Name] = true
		seat++
		l.Seat = seat
		enrol := statement{`INSERT INTO enrolment (class_id, learner_id, seat, created_at) VALUES ($1, $2, $3, $4)`, []any{class.ID, l.ID, int64(seat), toMicros(now)}}
		if l.Version == 0 {
			l.Workshop, l.Version, l.Created = class.Workshop, 1, fromMicros(toMicros(now))
			err = sendAll(ctx, q, []statement{
				{`INSERT INTO learner (id, workshop_id, name, created_at) VALUES ($1, $2, $3, $4)`, []any{l.ID, l.Workshop, l.Name, toMicros(now)}}, enrol})
		} else if err = sendAll(ctx, q, []statement{enrol}); err == nil {
			err = logEvent(ctx, q, class.Workshop, now, by, "put on a class list", l.ID)
		}
		if err != nil {
			return nil, err
		}
		out[i] = l
	}
	return out, logEvent(ctx, q, class.Workshop, now, by, fmt.Sprintf("%d learners added", len(out)), class.ID)
}

// LeaveClass takes a learner off a class's list: out of its shop sessions that
// have not begun, and without a job in it. What was issued to them and what they
// answered stays.
func (db *DB) LeaveClass(ctx context.Context, class curriculum.Class, learner, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		// The class row is the lock, as it is for who adds learners.
		if _, err := q.ExecContext(ctx, `UPDATE class SET version = version WHERE id = $1`, class.ID); err != nil {
			return err
		}
		res, err := q.ExecContext(ctx, `DELETE FROM enrolment WHERE class_id = $1 AND learner_id = $2`, class.ID, learner)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrNotFound)
		}
		if _, err := q.ExecContext(ctx, `DELETE FROM shop_job WHERE class_id = $1 AND learner_id = $2`, class.ID, learner); err != nil {
			return err
		}
		sessions, err := rows(ctx, q, scanShop, `SELECT `+shopColumns+` FROM shop_session WHERE class_id = $1 AND begins_at > $2 ORDER BY id`, class.ID, toMicros(now))
		if err != nil {
			return err
		}
		if err := leave(ctx, q, sessions, learner, now); err != nil {
			return err
		}
		// Who looks up the class finds it, and who looks up the learner.
		if err := logEvent(ctx, q, class.Workshop, now, by, "learner taken off", class.ID); err != nil {
			return err
		}
		return logEvent(ctx, q, class.Workshop, now, by, "taken off a class list", learner)
	})
}

// KnownLearners returns the learners of a workshop, oldest first, with the classes
// that they are in.
func (db *DB) KnownLearners(ctx context.Context, workshop string) ([]curriculum.Known, error) {
	ls, err := rows(ctx, db.reader(ctx), scanLearner,
		`SELECT id, workshop_id, name, 0, pin_hash, units, version, created_at FROM learner WHERE workshop_id = $1 ORDER BY created_at, id`, workshop)
	if err != nil {
		return nil, err
	}
	type place struct {
		learner string
		curriculum.Enrolment
	}
	places, err := rows(ctx, db.reader(ctx), func(r scanner) (p place, err error) {
		err = r.Scan(&p.learner, &p.Class, &p.Name, &p.Seat, &p.Ended)
		return p, err
	}, `SELECT e.learner_id, c.id, c.name, e.seat, c.ended_at <> 0 FROM class c JOIN enrolment e ON e.class_id = c.id WHERE c.workshop_id = $1 ORDER BY c.created_at, c.id, e.seat`, workshop)
	if err != nil {
		return nil, err
	}
	in := map[string][]curriculum.Enrolment{}
	for _, p := range places {
		in[p.learner] = append(in[p.learner], p.Enrolment)
	}
	out := make([]curriculum.Known, len(ls))
	for i, l := range ls {
		out[i] = curriculum.Known{Learner: l, Classes: in[l.ID]}
	}
	return out, nil
}

const learnersOfClass = `SELECT l.id, l.workshop_id, l.name, e.seat, l.pin_hash, l.units, l.version, l.created_at
	FROM enrolment e JOIN learner l ON l.id = e.learner_id WHERE e.class_id = $1 ORDER BY e.seat`

// Learners returns the learners of a class in seat order.
func (db *DB) Learners(ctx context.Context, class string) ([]curriculum.Learner, error) {
	return rows(ctx, db.reader(ctx), scanLearner, learnersOfClass, class)
}

// Learner returns a learner, without a seat.
func (db *DB) Learner(ctx context.Context, id string) (curriculum.Learner, error) {
	return one(ctx, db.reader(ctx), scanLearner,
		`SELECT id, workshop_id, name, 0, pin_hash, units, version, created_at FROM learner WHERE id = $1`, id)
}

func scanLearner(r scanner) (l curriculum.Learner, err error) {
	var at int64
	var pin string
	err = r.Scan(&l.ID, &l.Workshop, &l.Name, &l.Seat, &pin, &l.Units, &l.Version, &at)
	l.HasPIN, l.Created = pin != "", fromMicros(at)
	return l, err
}

// UpdateLearner gives a learner of the class another name or seat if the learner
// still has version l.Version; otherwise it is a conflict. Whoever has the seat
// changes places. What was issued keeps the seat that it was issued for.
func (db *DB) UpdateLearner(ctx context.Context, class curriculum.Class, l curriculum.Learner, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		// The class row is the lock, as it is for who adds learners.
		if _, err := q.ExecContext(ctx, `UPDATE class SET version = version WHERE id = $1`, class.ID); err != nil {
			return err
		}
		list, err := rows(ctx, q, scanLearner, learnersOfClass, class.ID)
		if err != nil {
			return err
		}
		var before, there *curriculum.Learner
		for i := range list {
			switch {
			case list[i].ID == l.ID:
				before = &list[i]
			case list[i].Name == l.Name:
				return fmt.Errorf("%w: the class already has a learner called %q", curriculum.ErrConflict, l.Name)
			case list[i].Seat == l.Seat:
				there = &list[i]
			}
		}
		switch {
		case before == nil:
			return curriculum.ErrNotFound
		case before.Version != l.Version:
			return curriculum.ErrChanged
		}
		if before.Name != l.Name {
			if err := rename(ctx, q, *before, l.Name); err != nil {
				return err
			}
		}
		const sit, rise = `UPDATE enrolment SET seat = $1 WHERE class_id = $2 AND learner_id = $3`, `UPDATE learner SET version = version + 1 WHERE id = $1`
		changes := []statement{{sit, []any{int64(l.Seat), class.ID, l.ID}}, {rise, []any{l.ID}}}
		if there != nil {
			// No two have one seat, not even for a moment.
			changes = slices.Concat([]statement{{sit, []any{int64(-1), class.ID, there.ID}}}, changes,
				[]statement{{sit, []any{int64(before.Seat), class.ID, there.ID}}, {rise, []any{there.ID}}})
		}
		if err := sendAll(ctx, q, changes); err != nil {
			return err
		}
		return logEvent(ctx, q, class.Workshop, now, by, "learner changed", l.ID)
	})
}

// rename writes a learner's new name. What was said of class lists, and quotes the
// old one, goes: erasing would not find it any more.
func rename(ctx context.Context, q querier, l curriculum.Learner, name string) error {
	return sendAll(ctx, q, []statement{
		{`UPDATE learner SET name = $1 WHERE id = $2`, []any{name, l.ID}},
		{`DELETE FROM work WHERE workshop_id = $1 AND kind = $2 AND state IN ('done', 'failed') AND (result LIKE '%' || $3 || '%' OR problem LIKE '%' || $3 || '%')`,
			[]any{l.Workshop, curriculum.WorkRoster, l.Name}},
	})
}

// SetLearnerUnits keeps in which units lengths are shown to a learner.
func (db *DB) SetLearnerUnits(ctx context.Context, id string, u curriculum.Units) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `UPDATE learner SET units = $1 WHERE id = $2`, string(u), id)
		return err
	})
}

// PINHash returns the hash of a learner's PIN, empty where none is chosen yet.
func (db *DB) PINHash(ctx context.Context, learner string) (string, error) {
	return one(ctx, db.reader(ctx), func(r scanner) (hash string, err error) {
		err = r.Scan(&hash)
		return hash, err
	}, `SELECT pin_hash FROM learner WHERE id = $1`, learner)
}

// ChoosePIN keeps the hash of a learner's first PIN; where there is one already
// it is a conflict.
func (db *DB) ChoosePIN(ctx context.Context, l curriculum.Learner, hash string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		res, err := q.ExecContext(ctx, `UPDATE learner SET pin_hash = $1 WHERE id = $2 AND pin_hash = ''`, hash, l.ID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrConflict)
		}
		return logEvent(ctx, q, l.Workshop, now, l.ID, "PIN chosen", l.ID)
	})
}

// ClearPIN lets a learner choose a new PIN, and ends the sessions of the old.
func (db *DB) ClearPIN(ctx context.Context, l curriculum.Learner, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `UPDATE learner SET pin_hash = '' WHERE id = $1`, l.ID); err != nil {
			return err
		}
		if _, err := q.ExecContext(ctx, `DELETE FROM session WHERE kind = 'learner' AND subject_id = $1`, l.ID); err != nil {
			return err
		}
		return logEvent(ctx, q, l.Workshop, now, by, "PIN cleared", l.ID)
	})
}
