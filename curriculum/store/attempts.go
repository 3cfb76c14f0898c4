package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfnut/curriculum"
)

// RecordAttempts keeps attempts, with the marks and, by fold, the cells that they
// change, all or none. An attempt whose id is already there is a repeated
// submission: it is not counted again, and what was kept the first time comes
// back in its place.
func (db *DB) RecordAttempts(ctx context.Context, attempts []curriculum.Attempt, fold curriculum.FoldCells) ([]curriculum.Attempt, error) {
	out := make([]curriculum.Attempt, len(attempts))
	learners := make([]string, len(attempts))
	for i, a := range attempts {
		learners[i] = a.Learner
	}
	err := db.update(ctx, func(q querier) error {
		cells, err := openLedger(ctx, q, fold, slices.Clone(learners))
		if err != nil {
			return err
		}
		for i, a := range attempts {
			if err := cells.flush(ctx); err != nil { // it may be about the same exercise
				return err
			}
			kept, fresh, err := recordAttempt(ctx, q, a, cells)
			if err != nil {
				return err
			}
			if fresh {
				if err := cells.add(ctx, kept); err != nil {
					return err
				}
			}
			out[i] = kept
		}
		return cells.save(ctx)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

const attemptColumns = `a.id, a.variant_code, a.position, a.learner_id, a.source, a.answers, COALESCE(r.verdicts, a.verdicts), COALESCE(r.marks, a.marks), a.out_of, a.try, a.entered_by, a.created_at, a.numbers, a.hinted, e.body`

// What an attempt was first judged stays in it; the last overrule that touched
// it decides what it counts.
const attemptTables = ` FROM attempt a JOIN exercise e ON e.variant_code = a.variant_code AND e.position = a.position
	LEFT JOIN remark r ON r.attempt_id = a.id AND r.number = (SELECT MAX(x.number) FROM remark x WHERE x.attempt_id = a.id) `

// recordAttempt keeps one attempt; the write of its mark is left to the ledger.
func recordAttempt(ctx context.Context, q querier, a curriculum.Attempt, l *ledger) (kept curriculum.Attempt, fresh bool, err error) {
	answers, err := json.Marshal(a.Answers)
	if err != nil {
		return a, false, err
	}
	verdicts, err := json.Marshal(a.Verdicts)
	if err != nil {
		return a, false, err
	}
	// The mark row is the lock under which tries are counted, so it is made first.
	hints := 0
	m, err := one(ctx, q, func(r *sql.Rows) (t tally, err error) {
		err = r.Scan(&t.Tries, &t.First, &t.Best, &t.Last, &hints)
		return t, err
	}, `INSERT INTO mark (variant_code, position, tries, first_marks, best_marks, out_of, last_outcome)
		VALUES ($1, $2, 0, 0, 0, $3, '') ON CONFLICT (variant_code, position) DO UPDATE SET out_of = excluded.out_of
		RETURNING tries, first_marks, best_marks, last_outcome, (SELECT COUNT(*) FROM hint h WHERE h.variant_code = $1 AND h.position = $2)`,
		a.Variant, int64(a.Position), int64(a.OutOf))
	if err != nil {
		return a, false, err
	}
	m.count(a)
	a.Try = m.Tries
	a.At = fromMicros(toMicros(a.At))
	a.Hinted = hints > 0
	result, err := q.ExecContext(ctx, `INSERT INTO attempt (id, variant_code, position, learner_id, source, answers, verdicts, marks, out_of, try, entered_by, created_at, numbers, hinted)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14) ON CONFLICT (id) DO NOTHING`,
		a.ID, a.Variant, int64(a.Position), a.Learner, a.Source, string(answers), string(verdicts),
		int64(a.Marks), int64(a.OutOf), int64(a.Try), a.By, toMicros(a.At), a.Numbers, flag(a.Hinted))
	if err != nil {
		return a, false, err
	}
	if n, err := result.RowsAffected(); err != nil || n == 0 {
		return keptBefore(ctx, q, a, err)
	}
	l.later(`UPDATE mark SET tries = $3, first_marks = $4, best_marks = $5, last_outcome = $6 WHERE variant_code = $1 AND position = $2`,
		a.Variant, int64(a.Position), int64(m.Tries), int64(m.First), int64(m.Best), m.Last)
	return a, true, nil
}

// keptBefore returns the attempt that already has the id.
func keptBefore(ctx context.Context, q querier, a curriculum.Attempt, err error) (curriculum.Attempt, bool, error) {
	if err != nil {
		return a, false, err
	}
	before, err := one(ctx, q, scanAttempt, `SELECT `+attemptColumns+attemptTables+`WHERE a.id = $1`, a.ID)
	if err == nil && (before.Variant != a.Variant || before.Position != a.Position || before.Learner != a.Learner) {
		err = curriculum.ErrConflict
	}
	return before, false, err
}

// flag is a bool as both engines keep it.
func flag(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// tally is a mark being counted up.
type tally struct{ curriculum.Mark }

// count adds an attempt. What was not judged (blank, unreadable, asked back)
// costs no try.
func (t *tally) count(a curriculum.Attempt) {
	if !a.Judged() {
		return
	}
	t.Tries++
	if t.Tries == 1 {
		t.First = a.Marks
	}
	t.Best = max(t.Best, a.Marks)
	t.Last = string(a.Outcome())
}

// Attempts returns the attempts at a variant in the order they were made.
func (db *DB) Attempts(ctx context.Context, variant string) ([]curriculum.Attempt, error) {
	return rows(ctx, db.reader(ctx), scanAttempt,
		`SELECT `+attemptColumns+attemptTables+`WHERE a.variant_code = $1 ORDER BY a.created_at, a.id`, variant)
}

// AttemptsAt returns the attempts at one exercise of a variant in the order they
// were made.
func (db *DB) AttemptsAt(ctx context.Context, variant string, position int) ([]curriculum.Attempt, error) {
	return rows(ctx, db.reader(ctx), scanAttempt,
		`SELECT `+attemptColumns+attemptTables+`WHERE a.variant_code = $1 AND a.position = $2 ORDER BY a.created_at, a.id`, variant, int64(position))
}

func scanAttempt(r *sql.Rows) (a curriculum.Attempt, err error) {
	var answers, verdicts, body string
	var at, hinted int64
	if err = r.Scan(&a.ID, &a.Variant, &a.Position, &a.Learner, &a.Source, &answers, &verdicts, &a.Marks, &a.OutOf, &a.Try, &a.By, &at, &a.Numbers, &hinted, &body); err != nil {
		return a, err
	}
	a.At, a.Hinted = fromMicros(at), hinted != 0
	if a.Exercise, err = idOf(body); err != nil {
		return a, err
	}
	if err = json.Unmarshal([]byte(answers), &a.Answers); err != nil {
		return a, err
	}
	return a, json.Unmarshal([]byte(verdicts), &a.Verdicts)
}

// idOf reads the id of an exercise as issued. It stands first in the document, so
// that of the rest nothing need be decoded.
func idOf(body string) (string, error) {
	d := json.NewDecoder(strings.NewReader(body))
	for i, want := range []json.Token{json.Delim('{'), "id"} {
		if got, err := d.Token(); err != nil || got != want {
			return "", fmt.Errorf("an exercise does not begin with its id (token %d): %w", i, errors.Join(err, curriculum.ErrInvalid))
		}
	}
	var id string
	err := d.Decode(&id)
	return id, err
}

// Marks returns where every learner of a set stands with every exercise tried,
// in order of seat and position.
func (db *DB) Marks(ctx context.Context, set string) ([]curriculum.Mark, error) {
	return db.MarksOfSeats(ctx, set, math.MinInt32, math.MaxInt32)
}

// MarksOfSeats is Marks for the seats above after, up to through.
func (db *DB) MarksOfSeats(ctx context.Context, set string, after, through int) ([]curriculum.Mark, error) {
	ts, err := rows(ctx, db.reader(ctx), scanMark, `SELECT m.variant_code, v.learner_id, m.position, m.tries, m.first_marks, m.best_marks, m.out_of, m.last_outcome
		FROM variant v JOIN mark m ON m.variant_code = v.code
		WHERE v.set_id = $1 AND v.seat > $2 AND v.seat <= $3 AND m.tries > 0 ORDER BY v.seat, m.position`, set, int64(after), int64(through))
	out := make([]curriculum.Mark, len(ts))
	for i, t := range ts {
		out[i] = t.Mark
	}
	return out, err
}

// RebuildMarks computes a set's marks from its attempts alone, for comparison
// with what Marks has kept up.
func (db *DB) RebuildMarks(ctx context.Context, set string) ([]curriculum.Mark, error) {
	as, err := rows(ctx, db.reader(ctx), scanAttempt, `SELECT `+attemptColumns+attemptTables+
		`JOIN variant v ON v.code = a.variant_code WHERE v.set_id = $1 ORDER BY v.seat, a.position, a.created_at, a.id`, set)
	if err != nil {
		return nil, err
	}
	var out []curriculum.Mark
	for _, a := range as {
		if n := len(out); n == 0 || out[n-1].Variant != a.Variant || out[n-1].Position != a.Position {
			out = append(out, curriculum.Mark{Variant: a.Variant, Learner: a.Learner, Position: a.Position})
		}
		t := tally{out[len(out)-1]}
		t.OutOf = a.OutOf
		t.count(a)
		out[len(out)-1] = t.Mark
	}
	kept := out[:0]
	for _, m := range out {
		if m.Tries > 0 {
			kept = append(kept, m)
		}
	}
	return kept, nil
}

func scanMark(r *sql.Rows) (t tally, err error) {
	err = r.Scan(&t.Variant, &t.Learner, &t.Position, &t.Tries, &t.First, &t.Best, &t.OutOf, &t.Last)
	return t, err
}
