package store

import (
	"context"
	"database/sql"
	"encoding/json"

	"halfnut/curriculum"
)

// SetCourse keeps a class's course if the kept one still has the version that
// the caller saw, 0 where there was none; else it is a conflict.
func (db *DB) SetCourse(ctx context.Context, c curriculum.Course, workshop, by string) error {
	spec, err := json.Marshal(c.Spec)
	if err != nil {
		return err
	}
	return db.update(ctx, func(q querier) error {
		var res sql.Result
		if c.Version == 0 {
			res, err = q.ExecContext(ctx, `INSERT INTO course (class_id, spec, version, changed_at) VALUES ($1, $2, 1, $3) ON CONFLICT (class_id) DO NOTHING`,
				c.Class, string(spec), toMicros(c.Changed))
		} else {
			res, err = q.ExecContext(ctx, `UPDATE course SET spec = $2, version = version + 1, changed_at = $3 WHERE class_id = $1 AND version = $4`,
				c.Class, string(spec), toMicros(c.Changed), int64(c.Version))
		}
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrChanged)
		}
		return logEvent(ctx, q, workshop, c.Changed, by, "course set", c.Class)
	})
}

const courseColumns = `c.class_id, c.spec, c.version, c.changed_at`

// Course returns a class's course.
func (db *DB) Course(ctx context.Context, class string) (curriculum.Course, error) {
	return one(ctx, db.reader(ctx), scanCourse, `SELECT `+courseColumns+` FROM course c WHERE c.class_id = $1`, class)
}

// ClassesOf returns the classes that a learner is in, oldest first.
func (db *DB) ClassesOf(ctx context.Context, learner string) ([]curriculum.Class, error) {
	return rows(ctx, db.reader(ctx), scanClass,
		`SELECT `+classColumns+` FROM enrolment e JOIN class c ON c.id = e.class_id WHERE e.learner_id = $1 ORDER BY c.created_at, c.id`, learner)
}

func scanCourse(r scanner) (c curriculum.Course, err error) {
	var spec string
	var at int64
	if err = r.Scan(&c.Class, &spec, &c.Version, &at); err != nil {
		return c, err
	}
	c.Changed = fromMicros(at)
	return c, json.Unmarshal([]byte(spec), &c.Spec)
}
