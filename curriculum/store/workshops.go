package store

import (
	"context"
	"encoding/json"
	"time"

	"halfnut/curriculum"
)

// CreateWorkshop keeps a workshop with its first instructor.
func (db *DB) CreateWorkshop(ctx context.Context, w curriculum.Workshop, first curriculum.Person) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO workshop (id, name, units, created_at) VALUES ($1, $2, $3, $4)`,
			w.ID, w.Name, w.Units, toMicros(w.Created)); err != nil {
			return err
		}
		if err := insertPerson(ctx, q, first); err != nil {
			return err
		}
		return logEvent(ctx, q, w.ID, w.Created, first.ID, "workshop created", w.ID)
	})
}

func insertPerson(ctx context.Context, q querier, p curriculum.Person) error {
	_, err := q.ExecContext(ctx, `INSERT INTO person (id, workshop_id, name, role, created_at) VALUES ($1, $2, $3, $4, $5)`,
		p.ID, p.Workshop, p.Name, p.Role, toMicros(p.Created))
	return err
}

// AddPerson keeps an instructor or steward.
func (db *DB) AddPerson(ctx context.Context, p curriculum.Person, by string) error {
	return db.update(ctx, func(q querier) error {
		if err := insertPerson(ctx, q, p); err != nil {
			return err
		}
		return logEvent(ctx, q, p.Workshop, p.Created, by, p.Role+" added", p.ID)
	})
}

// UpdateWorkshop gives a workshop another name and other units if it still has
// version w.Version; otherwise it is a conflict.
func (db *DB) UpdateWorkshop(ctx context.Context, w curriculum.Workshop, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		res, err := q.ExecContext(ctx, `UPDATE workshop SET name = $1, units = $2, version = version + 1 WHERE id = $3 AND version = $4`, w.Name, w.Units, w.ID, int64(w.Version))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, w.ID, now, by, "workshop changed", w.ID)
	})
}

const workshopColumns = `id, name, units, version, created_at`

// Workshop returns a workshop.
func (db *DB) Workshop(ctx context.Context, id string) (curriculum.Workshop, error) {
	return one(ctx, db.reader(ctx), scanWorkshop, `SELECT `+workshopColumns+` FROM workshop WHERE id = $1`, id)
}

// Workshops returns every workshop, oldest first.
func (db *DB) Workshops(ctx context.Context) ([]curriculum.Workshop, error) {
	return rows(ctx, db.reader(ctx), scanWorkshop, `SELECT `+workshopColumns+` FROM workshop ORDER BY created_at, id`)
}

func scanWorkshop(r scanner) (w curriculum.Workshop, err error) {
	var at int64
	err = r.Scan(&w.ID, &w.Name, &w.Units, &w.Version, &at)
	w.Created = fromMicros(at)
	return w, err
}

const personColumns = `id, workshop_id, name, role, units, created_at, ended_at, ended_by, ended_reason`

// Person returns an instructor or steward.
func (db *DB) Person(ctx context.Context, id string) (curriculum.Person, error) {
	return one(ctx, db.reader(ctx), scanPerson, `SELECT `+personColumns+` FROM person WHERE id = $1`, id)
}

// People returns the instructors and stewards of a workshop, those who have left
// too, oldest first.
func (db *DB) People(ctx context.Context, workshop string) ([]curriculum.Person, error) {
	return rows(ctx, db.reader(ctx), scanPerson,
		`SELECT `+personColumns+` FROM person WHERE workshop_id = $1 ORDER BY created_at, id`, workshop)
}

func scanPerson(r scanner) (p curriculum.Person, err error) {
	var at int64
	var left ended
	err = r.Scan(append([]any{&p.ID, &p.Workshop, &p.Name, &p.Role, &p.Units, &at}, left.into()...)...)
	p.Created, p.Ended = fromMicros(at), left.ending()
	return p, err
}

// SetPersonUnits keeps in which units lengths are shown to a person.
func (db *DB) SetPersonUnits(ctx context.Context, id string, u curriculum.Units) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `UPDATE person SET units = $1 WHERE id = $2`, string(u), id)
		return err
	})
}

// CreateLathe keeps a lathe; a second one of the same name in a workshop is a
// conflict.
func (db *DB) CreateLathe(ctx context.Context, l curriculum.Lathe, by string) error {
	profile, err := json.Marshal(l.Profile)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO lathe (id, workshop_id, name, profile, version, created_at) VALUES ($1, $2, $3, $4, 1, $5)`,
			l.ID, l.Workshop, l.Name, string(profile), toMicros(l.Created)); err != nil {
			return err
		}
		return logEvent(ctx, q, l.Workshop, l.Created, by, "lathe added", l.ID)
	})
}

// UpdateLathe replaces name and profile if the lathe still has version
// l.Version; otherwise it is a conflict.
func (db *DB) UpdateLathe(ctx context.Context, l curriculum.Lathe, by string, now time.Time) error {
	profile, err := json.Marshal(l.Profile)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		res, err := q.ExecContext(ctx,
			`UPDATE lathe SET name = $1, profile = $2, version = version + 1 WHERE id = $3 AND version = $4`,
			l.Name, string(profile), l.ID, int64(l.Version))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, l.Workshop, now, by, "lathe changed", l.ID)
	})
}

const latheColumns = `id, workshop_id, name, profile, version, created_at, out_of_use_at, out_of_use_by, out_of_use_reason`

// Lathe returns a lathe.
func (db *DB) Lathe(ctx context.Context, id string) (curriculum.Lathe, error) {
	return one(ctx, db.reader(ctx), scanLathe, `SELECT `+latheColumns+` FROM lathe WHERE id = $1`, id)
}

// Lathes returns the lathes of a workshop, oldest first.
func (db *DB) Lathes(ctx context.Context, workshop string) ([]curriculum.Lathe, error) {
	return rows(ctx, db.reader(ctx), scanLathe,
		`SELECT `+latheColumns+` FROM lathe WHERE workshop_id = $1 ORDER BY created_at, id`, workshop)
}

func scanLathe(r scanner) (l curriculum.Lathe, err error) {
	var at int64
	var profile string
	var out ended
	if err = r.Scan(append([]any{&l.ID, &l.Workshop, &l.Name, &profile, &l.Version, &at}, out.into()...)...); err != nil {
		return l, err
	}
	l.Created, l.OutOfUse = fromMicros(at), out.ending()
	return l, json.Unmarshal([]byte(profile), &l.Profile)
}

// AddLatheCheck keeps a check made at a lathe of the workshop.
func (db *DB) AddLatheCheck(ctx context.Context, c curriculum.LatheCheck, workshop string) error {
	body, err := json.Marshal(c)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO lathe_check (id, lathe_id, body, created_at) VALUES ($1, $2, $3, $4)`, c.ID, c.Lathe, string(body), toMicros(c.At)); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, c.At, c.By, "lathe checked", c.Lathe)
	})
}

// LatheChecks returns the checks made at a lathe, oldest first.
func (db *DB) LatheChecks(ctx context.Context, lathe string) ([]curriculum.LatheCheck, error) {
	return rows(ctx, db.read, func(r scanner) (c curriculum.LatheCheck, err error) {
		var body string
		var at int64
		if err = r.Scan(&body, &at); err != nil {
			return c, err
		}
		err = json.Unmarshal([]byte(body), &c)
		c.At = fromMicros(at)
		return c, err
	}, `SELECT body, created_at FROM lathe_check WHERE lathe_id = $1 ORDER BY created_at, id`, lathe)
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
