package store

import (
	"context"
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
	learners := make([]string, len(attempts))
	for i, a := range attempts {
		learners[i] = a.Learner
	}
	out := make([]curriculum.Attempt, 0, len(attempts))
	err := db.update(ctx, func(q querier) error {
		l := newLedger(q, fold)
		ask := l.lock(learners)
		for some := range slices.Chunk(attempts, attemptsAtOnce) {
			places := map[curriculum.Place]*place{}
			for _, a := range some {
				at := curriculum.Place{Variant: a.Variant, Position: a.Position}
				if places[at] == nil {
					places[at] = &place{}
					ask = append(ask, places[at].questions(a)...)
				}
			}
			if err := askAll(ctx, q, append(ask, l.load(some)...)); err != nil {
				return err
			}
			ask = nil
			for _, a := range some {
				kept, err := places[curriculum.Place{Variant: a.Variant, Position: a.Position}].record(l, a)
				if err != nil {
					return err
				}
				out = append(out, kept)
			}
			if err := l.flush(ctx); err != nil {
				return err
			}
		}
		return l.save(ctx)
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// attemptsAtOnce bounds what is asked in one round trip, and what of it is held.
const attemptsAtOnce = 100

const attemptColumns = `a.id, a.variant_code, a.position, a.learner_id, a.source, a.answers, COALESCE(r.verdicts, a.verdicts), COALESCE(r.marks, a.marks), a.out_of, a.try, a.entered_by, a.created_at, a.numbers, a.hinted, a.basis, e.body`

// What an attempt was first judged stays in it; the last overrule that touched
// it decides what it counts.
const attemptTables = ` FROM attempt a JOIN exercise e ON e.variant_code = a.variant_code AND e.position = a.position
	LEFT JOIN remark r ON r.attempt_id = a.id AND r.number = (SELECT MAX(x.number) FROM remark x WHERE x.attempt_id = a.id) `

// place is an exercise of one variant, and how its answers count so far.
type place struct {
	tally
	hints  int
	before []curriculum.Attempt // as they count now
}

// questions read the place of an attempt. The mark's row is the lock under which
// tries are counted, so it is made first.
func (p *place) questions(a curriculum.Attempt) []question {
	at := []any{a.Variant, int64(a.Position)}
	return []question{
		{statement{`INSERT INTO mark (variant_code, position, tries, first_marks, best_marks, out_of, last_outcome)
			VALUES ($1, $2, 0, 0, 0, $3, '') ON CONFLICT (variant_code, position) DO UPDATE SET out_of = excluded.out_of
			RETURNING tries, first_marks, best_marks, last_outcome, (SELECT COUNT(*) FROM hint h WHERE h.variant_code = $1 AND h.position = $2)`,
			append(at, int64(a.OutOf))}, func(r scanner) error {
			return r.Scan(&p.Tries, &p.First, &p.Best, &p.Last, &p.hints)
		}},
		{statement{`SELECT ` + attemptColumns + attemptTables + `WHERE a.variant_code = $1 AND a.position = $2 ORDER BY a.created_at, a.id`, at}, func(r scanner) error {
			b, err := scanAttempt(r)
			p.before = append(p.before, b)
			return err
		}},
	}
}

// record counts an attempt and leaves its writes to the ledger. An id that is
// there already at another exercise is found when it is written.
func (p *place) record(l *ledger, a curriculum.Attempt) (curriculum.Attempt, error) {
	if i := slices.IndexFunc(p.before, func(b curriculum.Attempt) bool { return b.ID == a.ID }); i >= 0 {
		if p.before[i].Learner != a.Learner {
			return a, curriculum.ErrConflict
		}
		return p.before[i], nil
	}
	answers, err := json.Marshal(a.Answers)
	if err != nil {
		return a, err
	}
	verdicts, err := json.Marshal(a.Verdicts)
	if err != nil {
		return a, err
	}
	basis, err := json.Marshal(a.Basis)
	if err != nil {
		return a, err
	}
	p.count(a)
	a.Try = p.Tries
	a.At = fromMicros(toMicros(a.At))
	a.Hinted = p.hints > 0
	l.later(`INSERT INTO attempt (id, variant_code, position, learner_id, source, answers, verdicts, marks, out_of, try, entered_by, created_at, numbers, hinted, basis)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
		a.ID, a.Variant, int64(a.Position), a.Learner, a.Source, string(answers), string(verdicts),
		int64(a.Marks), int64(a.OutOf), int64(a.Try), a.By, toMicros(a.At), a.Numbers, flag(a.Hinted), string(basis))
	l.later(`UPDATE mark SET tries = $3, first_marks = $4, best_marks = $5, last_outcome = $6 WHERE variant_code = $1 AND position = $2`,
		a.Variant, int64(a.Position), int64(p.Tries), int64(p.First), int64(p.Best), p.Last)
	l.add(a, p.before)
	p.before = append(p.before, a)
	return a, nil
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

func scanAttempt(r scanner) (a curriculum.Attempt, err error) {
	var answers, verdicts, basis, body string
	var at, hinted int64
	if err = r.Scan(&a.ID, &a.Variant, &a.Position, &a.Learner, &a.Source, &answers, &verdicts, &a.Marks, &a.OutOf, &a.Try, &a.By, &at, &a.Numbers, &hinted, &basis, &body); err != nil {
		return a, err
	}
	a.At, a.Hinted = fromMicros(at), hinted != 0
	if a.Exercise, err = idOf(body); err != nil {
		return a, err
	}
	if a.Basis, err = basisOf(basis, body); err != nil {
		return a, err
	}
	if err = json.Unmarshal([]byte(answers), &a.Answers); err != nil {
		return a, err
	}
	return a, json.Unmarshal([]byte(verdicts), &a.Verdicts)
}

// basisOf reads what an attempt is evidence by. Attempts from before it was kept
// have it from their exercise.
func basisOf(basis, body string) (b curriculum.Basis, err error) {
	if basis != "" {
		return b, json.Unmarshal([]byte(basis), &b)
	}
	var e curriculum.Exercise
	err = json.Unmarshal([]byte(body), &e)
	return e.BasisOf(), err
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

func scanMark(r scanner) (t tally, err error) {
	err = r.Scan(&t.Variant, &t.Learner, &t.Position, &t.Tries, &t.First, &t.Best, &t.OutOf, &t.Last)
	return t, err
}
