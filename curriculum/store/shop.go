package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"halfnut/curriculum"
)

// SetJob keeps a learner's job if the kept one still has the version that the
// caller saw, 0 where there was none; else it is a conflict.
func (db *DB) SetJob(ctx context.Context, j curriculum.Job, workshop, by string) error {
	body, err := json.Marshal(j)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		var res sql.Result
		if j.Version == 0 {
			res, err = q.ExecContext(ctx, `INSERT INTO shop_job (class_id, learner_id, lathe_id, body, version, changed_at) VALUES ($1, $2, $3, $4, 1, $5)
				ON CONFLICT (class_id, learner_id) DO NOTHING`, j.Class, j.Learner, j.Lathe, string(body), toMicros(j.Changed))
		} else {
			res, err = q.ExecContext(ctx, `UPDATE shop_job SET lathe_id = $3, body = $4, version = version + 1, changed_at = $5
				WHERE class_id = $1 AND learner_id = $2 AND version = $6`, j.Class, j.Learner, j.Lathe, string(body), toMicros(j.Changed), int64(j.Version))
		}
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, workshop, j.Changed, by, "job set", j.Learner)
	})
}

// RemoveJob takes a learner's job away if it still has the version that the
// caller saw; else it is a conflict, and ErrNotFound where there is none.
func (db *DB) RemoveJob(ctx context.Context, j curriculum.Job, workshop, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if _, err := one(ctx, q, scanInt, `SELECT version FROM shop_job WHERE class_id = $1 AND learner_id = $2`, j.Class, j.Learner); err != nil {
			return err
		}
		res, err := q.ExecContext(ctx, `DELETE FROM shop_job WHERE class_id = $1 AND learner_id = $2 AND version = $3`, j.Class, j.Learner, int64(j.Version))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, workshop, now, by, "job taken away", j.Learner)
	})
}

// Jobs returns the jobs of a class.
func (db *DB) Jobs(ctx context.Context, class string) ([]curriculum.Job, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (j curriculum.Job, err error) {
		var body string
		var version int
		var at int64
		if err = r.Scan(&body, &version, &at); err != nil {
			return j, err
		}
		err = json.Unmarshal([]byte(body), &j)
		j.Version, j.Changed = version, fromMicros(at)
		return j, err
	}, `SELECT body, version, changed_at FROM shop_job WHERE class_id = $1 ORDER BY learner_id`, class)
}

// CreateShopSession keeps a planned session.
func (db *DB) CreateShopSession(ctx context.Context, s curriculum.ShopSession, workshop, by string) error {
	spec, plan, err := shopTexts(s)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO shop_session (id, class_id, begins_at, spec, plan, version, created_at, changed_at) VALUES ($1, $2, $3, $4, $5, 1, $6, $7)`,
			s.ID, s.Class, toMicros(s.Begins), spec, plan, toMicros(s.Created), toMicros(s.Changed)); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, s.Changed, by, "shop session planned", s.ID)
	})
}

// UpdateShopSession replaces a session if it still has version s.Version;
// otherwise it is a conflict and nothing changes.
func (db *DB) UpdateShopSession(ctx context.Context, s curriculum.ShopSession, workshop, by string) error {
	spec, plan, err := shopTexts(s)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		res, err := q.ExecContext(ctx, `UPDATE shop_session SET begins_at = $1, spec = $2, plan = $3, version = version + 1, changed_at = $4 WHERE id = $5 AND version = $6`,
			toMicros(s.Begins), spec, plan, toMicros(s.Changed), s.ID, int64(s.Version))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, workshop, s.Changed, by, "shop session changed", s.ID)
	})
}

func shopTexts(s curriculum.ShopSession) (spec, plan string, err error) {
	a, err := json.Marshal(s.Spec)
	if err != nil {
		return "", "", err
	}
	b, err := json.Marshal(s.Plan)
	return string(a), string(b), err
}

const shopColumns = `id, class_id, begins_at, spec, plan, version, created_at, changed_at, called_off_at, called_off_by, called_off_reason`

// ShopSession returns a session.
func (db *DB) ShopSession(ctx context.Context, id string) (curriculum.ShopSession, error) {
	return one(ctx, db.reader(ctx), scanShop, `SELECT `+shopColumns+` FROM shop_session WHERE id = $1`, id)
}

// ShopSessions returns the sessions of a class, the earliest first.
func (db *DB) ShopSessions(ctx context.Context, class string) ([]curriculum.ShopSession, error) {
	return rows(ctx, db.reader(ctx), scanShop, `SELECT `+shopColumns+` FROM shop_session WHERE class_id = $1 ORDER BY begins_at, id`, class)
}

func scanShop(r scanner) (s curriculum.ShopSession, err error) {
	var begins, created, changed int64
	var spec, plan string
	var off ended
	if err = r.Scan(append([]any{&s.ID, &s.Class, &begins, &spec, &plan, &s.Version, &created, &changed}, off.into()...)...); err != nil {
		return s, err
	}
	s.CalledOff = off.ending()
	s.Begins, s.Created, s.Changed = fromMicros(begins), fromMicros(created), fromMicros(changed)
	if err = json.Unmarshal([]byte(spec), &s.Spec); err != nil {
		return s, err
	}
	return s, json.Unmarshal([]byte(plan), &s.Plan)
}

// LogTime keeps what a turn took.
func (db *DB) LogTime(ctx context.Context, t curriculum.LoggedTime, workshop string) error {
	body, err := json.Marshal(t)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO logged_time (id, lathe_id, body, created_at) VALUES ($1, $2, $3, $4)`, t.ID, t.Lathe, string(body), toMicros(t.At)); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, t.At, t.By, "time logged", t.Lathe)
	})
}

// RemoveTime takes a logged time back.
func (db *DB) RemoveTime(ctx context.Context, workshop, id, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		lathe, err := one(ctx, q, scanText, `DELETE FROM logged_time WHERE id = $1 AND lathe_id IN (SELECT id FROM lathe WHERE workshop_id = $2) RETURNING lathe_id`, id, workshop)
		if err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, now, by, "logged time taken back", lathe)
	})
}

// LoggedTimes returns the times logged on all lathes of a workshop, oldest first.
func (db *DB) LoggedTimes(ctx context.Context, workshop string) ([]curriculum.LoggedTime, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (t curriculum.LoggedTime, err error) {
		var body string
		var at int64
		if err = r.Scan(&body, &at); err != nil {
			return t, err
		}
		err = json.Unmarshal([]byte(body), &t)
		t.At = fromMicros(at)
		return t, err
	}, `SELECT t.body, t.created_at FROM logged_time t JOIN lathe l ON l.id = t.lathe_id WHERE l.workshop_id = $1 ORDER BY t.created_at, t.id`, workshop)
}
