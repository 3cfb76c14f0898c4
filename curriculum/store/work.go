package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"time"

	"halfnut/curriculum"
)

const workColumns = `id, workshop_id, kind, title, asked_by, role, args, state, tries, done, total, result, problem, created_at, started_at, finished_at`

// StartWork keeps a work and puts it into the queue in the same transaction.
func (db *DB) StartWork(ctx context.Context, w curriculum.Work) error {
	err := db.updateWork(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO work (`+workColumns+`, run, beat_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, 'waiting', 0, 0, 0, '', '', $8, 0, 0, '', 0)`,
			w.ID, w.Workshop, w.Kind, w.Title, w.By, w.Role, w.Args, toMicros(w.Created)); err != nil {
			return err
		}
		if err := logEvent(ctx, q, w.Workshop, w.Created, w.By, "work asked for: "+w.Kind, w.ID); err != nil {
			return err
		}
		return db.enqueue(ctx, q, w.ID)
	})
	db.wake()
	return err
}

// Work returns a work.
func (db *DB) Work(ctx context.Context, id string) (curriculum.Work, error) {
	return one(ctx, db.reader(ctx), scanWork, `SELECT `+workColumns+` FROM work WHERE id = $1`, id)
}

// WorkOf returns what somebody asked for, newest first, at most most.
func (db *DB) WorkOf(ctx context.Context, workshop, by string, most int) ([]curriculum.Work, error) {
	return rows(ctx, db.reader(ctx), scanWork, `SELECT `+workColumns+` FROM work WHERE workshop_id = $1 AND asked_by = $2
		ORDER BY created_at DESC, id DESC LIMIT $3`, workshop, by, int64(most))
}

func scanWork(r scanner) (w curriculum.Work, err error) {
	var result string
	var created, started, finished int64
	if err = r.Scan(&w.ID, &w.Workshop, &w.Kind, &w.Title, &w.By, &w.Role, &w.Args, &w.State, &w.Tries, &w.Done, &w.Total,
		&result, &w.Problem, &created, &started, &finished); err != nil {
		return w, err
	}
	w.Created = fromMicros(created)
	if started > 0 {
		w.Started = fromMicros(started)
	}
	if finished > 0 {
		w.Finished = fromMicros(finished)
	}
	if result == "" {
		return w, nil
	}
	w.Result = &curriculum.WorkResult{}
	return w, json.Unmarshal([]byte(result), w.Result)
}

// ClaimWork begins a try at a work that waits. One that does not wait (another
// try has it, or it has ended) is ErrTaken.
func (db *DB) ClaimWork(ctx context.Context, id, run string, now time.Time) (curriculum.Work, error) {
	var w curriculum.Work
	err := db.update(ctx, func(q querier) error {
		if err := changed(q.ExecContext(ctx, `UPDATE work SET state = 'running', run = $2, tries = tries + 1, done = 0, total = 0, started_at = $3, beat_at = $3
			WHERE id = $1 AND state = 'waiting'`, id, run, toMicros(now))); err != nil {
			return err
		}
		var err error
		w, err = one(ctx, q, scanWork, `SELECT `+workColumns+` FROM work WHERE id = $1`, id)
		return err
	})
	return w, err
}

// changed is ErrTaken where an UPDATE found no row.
func changed(res sql.Result, err error) error {
	if err != nil {
		return err
	}
	if n, err := res.RowsAffected(); err != nil || n == 0 {
		return firstError(err, curriculum.ErrTaken)
	}
	return nil
}

// BeatWork says that a try is alive and how far it is.
func (db *DB) BeatWork(ctx context.Context, id, run string, done, total int, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		return changed(q.ExecContext(ctx, `UPDATE work SET done = $3, total = $4, beat_at = $5 WHERE id = $1 AND run = $2 AND state = 'running'`,
			id, run, int64(done), int64(total), toMicros(now)))
	})
}

// LeaveWork ends a try without an end of the work, which waits again. A try that
// was stopped from outside does not count. Putting it into the queue again is
// left to whoever took it from there.
func (db *DB) LeaveWork(ctx context.Context, id, run string, counts bool) error {
	return db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `DELETE FROM work_file WHERE work_id = $1 AND run = $2`, id, run); err != nil {
			return err
		}
		return changed(q.ExecContext(ctx, `UPDATE work SET state = 'waiting', run = '', tries = tries - $3 WHERE id = $1 AND run = $2 AND state = 'running'`,
			id, run, 1-flag(counts)))
	})
}

// FinishWork ends a work that had no effect on the records, or whose effects are
// kept already.
func (db *DB) FinishWork(ctx context.Context, end curriculum.WorkEnd) error {
	return db.update(ctx, func(q querier) error { return endWork(ctx, q, end) })
}

// FinishSet is CreateSet and the end of the work that drew the set.
func (db *DB) FinishSet(ctx context.Context, end curriculum.WorkEnd, s curriculum.ClassSet, variants []curriculum.Variant, workshop, by string) error {
	return db.update(ctx, func(q querier) error {
		if err := endWork(ctx, q, end); err != nil {
			return err
		}
		return createSet(ctx, q, s, variants, workshop, by)
	})
}

// FinishLearners is AddLearners and the end of the work that had the list.
func (db *DB) FinishLearners(ctx context.Context, end curriculum.WorkEnd, class curriculum.Class, learners []curriculum.Learner, by string) error {
	return db.update(ctx, func(q querier) error {
		if err := endWork(ctx, q, end); err != nil {
			return err
		}
		_, err := addLearners(ctx, q, class, learners, by, end.At)
		return err
	})
}

// endWork stands first in a transaction: its row is the lock that lets no second
// try have an effect. What was asked is forgotten, since it may hold names.
func endWork(ctx context.Context, q querier, end curriculum.WorkEnd) error {
	state, result := curriculum.WorkFailed, ""
	if end.Problem == "" {
		body, err := json.Marshal(end.Result)
		if err != nil {
			return err
		}
		state, result = curriculum.WorkDone, string(body)
	}
	return changed(q.ExecContext(ctx, `UPDATE work SET state = $3, result = $4, problem = $5, done = $6, total = $6, finished_at = $7, args = '' WHERE id = $1 AND run = $2 AND state = 'running'`,
		end.ID, end.Run, state, result, end.Problem, int64(end.Total), toMicros(end.At)))
}

// CallOffWork ends a work that waits or runs without an effect; one that has ended
// is a conflict. The try that has it finds it taken away, and so does whoever takes
// it from the queue.
func (db *DB) CallOffWork(ctx context.Context, w curriculum.Work, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		res, err := q.ExecContext(ctx, `UPDATE work SET state = 'called-off', run = '', args = '', finished_at = $2 WHERE id = $1 AND state IN ('waiting', 'running')`, w.ID, toMicros(now))
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrConflict)
		}
		if _, err := q.ExecContext(ctx, `DELETE FROM work_file WHERE work_id = $1`, w.ID); err != nil {
			return err
		}
		return logEvent(ctx, q, w.Workshop, now, by, "work called off: "+w.Kind, w.ID)
	})
}

// WriteWorkFile keeps one piece of the file that a try makes; pieces are numbered
// from 1.
func (db *DB) WriteWorkFile(ctx context.Context, id, run string, number int, body []byte) error {
	return db.update(ctx, func(q querier) error {
		// The row is the lock: what has been taken away meanwhile gets no piece more.
		if err := changed(q.ExecContext(ctx, `UPDATE work SET beat_at = beat_at WHERE id = $1 AND run = $2 AND state = 'running'`, id, run)); err != nil {
			return err
		}
		_, err := q.ExecContext(ctx, `INSERT INTO work_file (work_id, run, number, body) VALUES ($1, $2, $3, $4)`, id, run, int64(number), body)
		return err
	})
}

// ReadWorkFile returns one piece of the file of a work that is done; after the
// last one, and when the file is forgotten, it is ErrNotFound.
func (db *DB) ReadWorkFile(ctx context.Context, id string, number int) ([]byte, error) {
	return one(ctx, db.read, func(r scanner) (body []byte, err error) {
		err = r.Scan(&body)
		return body, err
	}, `SELECT f.body FROM work w JOIN work_file f ON f.work_id = w.id AND f.run = w.run WHERE w.id = $1 AND w.state = 'done' AND f.number = $2`, id, int64(number))
}

// WorkStates counts the works by kind and state.
func (db *DB) WorkStates(ctx context.Context, tell func(kind, state string, n int64)) error {
	type count struct {
		kind, state string
		n           int64
	}
	counts, err := rows(ctx, db.read, func(r scanner) (c count, err error) {
		err = r.Scan(&c.kind, &c.state, &c.n)
		return c, err
	}, `SELECT kind, state, COUNT(*) FROM work GROUP BY kind, state`)
	for _, c := range counts {
		tell(c.kind, c.state, c.n)
	}
	return err
}

// rescueWork puts back into the queue what is running and has not been heard of
// since silent: the copy that had it is gone, or will find that it has lost it.
func (db *DB) rescueWork(ctx context.Context, silent time.Time) error {
	type stale struct{ id, run string }
	found, err := rows(ctx, db.read, func(r scanner) (s stale, err error) {
		err = r.Scan(&s.id, &s.run)
		return s, err
	}, `SELECT id, run FROM work WHERE state = 'running' AND beat_at < $1 ORDER BY created_at, id`, toMicros(silent))
	if err != nil {
		return err
	}
	for _, s := range found {
		err := db.updateWork(ctx, func(q querier) error {
			res, err := q.ExecContext(ctx, `UPDATE work SET state = 'waiting', run = '' WHERE id = $1 AND run = $2 AND state = 'running' AND beat_at < $3`, s.id, s.run, toMicros(silent))
			if err != nil {
				return err
			}
			if n, err := res.RowsAffected(); err != nil || n == 0 {
				return err // another copy was faster
			}
			if _, err := q.ExecContext(ctx, `DELETE FROM work_file WHERE work_id = $1 AND run = $2`, s.id, s.run); err != nil {
				return err
			}
			return db.enqueue(ctx, q, s.id)
		})
		if err != nil {
			return err
		}
		db.wake()
	}
	return nil
}

// beginWorkAnew takes a workshop's works from the tries that have them, since they
// have read what is erased now. They look silent, and so are given back.
func beginWorkAnew(ctx context.Context, q querier, workshop string) error {
	_, err := q.ExecContext(ctx, `UPDATE work SET run = '', beat_at = 0 WHERE workshop_id = $1 AND state = 'running'`, workshop)
	return err
}

// forgetWork removes what has been kept long enough.
func (db *DB) forgetWork(ctx context.Context, now time.Time) error {
	const files = `FROM work_file WHERE work_id IN (SELECT id FROM work WHERE state IN ('done', 'failed', 'called-off') AND finished_at < $1)`
	const works = `FROM work WHERE state IN ('done', 'failed', 'called-off') AND finished_at < $1`
	for _, old := range []struct {
		what   string
		before int64
	}{{files, toMicros(now.Add(-curriculum.KeepWorkFile))}, {works, toMicros(now.Add(-curriculum.KeepWork))}} {
		n, err := one(ctx, db.read, scanInt, `SELECT COUNT(*) `+old.what, old.before)
		if err != nil {
			return err
		}
		if n == 0 {
			continue // most often, and it costs no write
		}
		if err := db.update(ctx, func(q querier) error {
			_, err := q.ExecContext(ctx, `DELETE `+old.what, old.before)
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}
