package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
)

// Cells returns where a learner stands with every skill that was asked for, by
// the skill's slug.
func (db *DB) Cells(ctx context.Context, learner string) ([]curriculum.Cell, error) {
	return rows(ctx, db.reader(ctx), scanCell, `SELECT body FROM cell WHERE learner_id = $1 ORDER BY skill`, learner)
}

// ClassCells returns the cells of a class's learners in the order of seats, then
// of slugs.
func (db *DB) ClassCells(ctx context.Context, class string) ([]curriculum.Cell, error) {
	return rows(ctx, db.reader(ctx), scanCell,
		`SELECT c.body FROM enrolment e JOIN cell c ON c.learner_id = e.learner_id WHERE e.class_id = $1 ORDER BY e.seat, c.skill`, class)
}

func scanCell(r *sql.Rows) (c curriculum.Cell, err error) {
	var body string
	if err = r.Scan(&body); err != nil {
		return c, err
	}
	return c, json.Unmarshal([]byte(body), &c)
}

// RecordHint remembers that a learner has looked at a hint; the first time
// counts.
func (db *DB) RecordHint(ctx context.Context, variant string, position int, part string, rung int, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `INSERT INTO hint (variant_code, position, part, rung, created_at) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (variant_code, position, part, rung) DO NOTHING`, variant, int64(position), part, int64(rung), toMicros(now))
		return err
	})
}

// ledger carries the cells of the learners that a transaction touches.
type ledger struct {
	q     querier
	fold  curriculum.FoldCells
	pages map[string]*page
	// writes are those that can wait for the next flush.
	writes []statement
}

// later leaves a write to the next flush.
func (l *ledger) later(query string, args ...any) {
	l.writes = append(l.writes, statement{query, args})
}

// flush carries out what waits.
func (l *ledger) flush(ctx context.Context) error {
	writes := l.writes
	l.writes = nil
	return sendAll(ctx, l.q, writes)
}

// page is one learner's part of it.
type page struct {
	lastAt int64
	lastID string
	cells  curriculum.Cells // those that were asked for
	// again says that the cells must be rebuilt: nothing was folded before, or an
	// attempt came out of its order.
	again bool
}

// openLedger locks the learners' pages, always in the same order, so that two
// who record at once wait for one another and never for ever.
func openLedger(ctx context.Context, q querier, fold curriculum.FoldCells, learners []string) (*ledger, error) {
	l := &ledger{q: q, fold: fold, pages: map[string]*page{}}
	slices.Sort(learners)
	for _, who := range slices.Compact(learners) {
		p, err := one(ctx, q, func(r *sql.Rows) (*page, error) {
			p := &page{cells: curriculum.Cells{}}
			return p, r.Scan(&p.lastAt, &p.lastID)
		}, `INSERT INTO folded (learner_id, last_at, last_id) VALUES ($1, 0, '')
			ON CONFLICT (learner_id) DO UPDATE SET last_id = folded.last_id RETURNING last_at, last_id`, who)
		if err != nil {
			return nil, err
		}
		p.again = p.lastID == ""
		l.pages[who] = p
	}
	return l, nil
}

// add folds an attempt that was just kept.
func (l *ledger) add(ctx context.Context, a curriculum.Attempt) error {
	p := l.pages[a.Learner]
	at := toMicros(a.At)
	if at < p.lastAt || at == p.lastAt && a.ID <= p.lastID {
		p.again = true
	} else {
		p.lastAt, p.lastID = at, a.ID
	}
	if p.again || !a.Judged() {
		return nil
	}
	var before []curriculum.Attempt
	if a.Try > 1 {
		all, err := rows(ctx, l.q, scanAttempt, `SELECT `+attemptColumns+attemptTables+
			`WHERE a.variant_code = $1 AND a.position = $2 AND a.id <> $3 ORDER BY a.created_at, a.id`, a.Variant, int64(a.Position), a.ID)
		if err != nil {
			return err
		}
		before = all
	}
	if err := l.load(ctx, p, a); err != nil {
		return err
	}
	l.fold(p.cells, before, a)
	return nil
}

// load reads the cells that an attempt touches into the page, but for those that
// are there already.
func (l *ledger) load(ctx context.Context, p *page, a curriculum.Attempt) error {
	args := []any{a.Learner}
	for _, v := range a.Verdicts {
		for _, skill := range []string{v.Skill, v.Charges} {
			if skill != "" && p.cells[skill] == nil && !slices.Contains(args, any(skill)) {
				args = append(args, skill)
			}
		}
	}
	if len(args) == 1 {
		return nil
	}
	places := make([]string, len(args)-1)
	for i := range places {
		places[i] = fmt.Sprintf("$%d", i+2)
	}
	cells, err := rows(ctx, l.q, scanCell, `SELECT body FROM cell WHERE learner_id = $1 AND skill IN (`+strings.Join(places, ", ")+`)`, args...)
	for i := range cells {
		p.cells[cells[i].Skill] = &cells[i]
	}
	return err
}

// save writes the pages back, and whatever still waits.
func (l *ledger) save(ctx context.Context) error {
	for _, who := range slices.Sorted(maps.Keys(l.pages)) {
		p := l.pages[who]
		if p.again {
			if err := l.flush(ctx); err != nil {
				return err
			}
			var err error
			if p.cells, p.lastAt, p.lastID, err = foldAll(ctx, l.q, l.fold, who); err != nil {
				return err
			}
			l.later(`DELETE FROM cell WHERE learner_id = $1`, who)
		}
		if err := l.write(who, p); err != nil {
			return err
		}
	}
	return l.flush(ctx)
}

func (l *ledger) write(learner string, p *page) error {
	for _, skill := range slices.Sorted(maps.Keys(p.cells)) {
		body, err := json.Marshal(p.cells[skill])
		if err != nil {
			return err
		}
		l.later(`INSERT INTO cell (learner_id, skill, body) VALUES ($1, $2, $3)
			ON CONFLICT (learner_id, skill) DO UPDATE SET body = excluded.body`, learner, skill, string(body))
	}
	l.later(`UPDATE folded SET last_at = $2, last_id = $3 WHERE learner_id = $1`, learner, p.lastAt, p.lastID)
	return nil
}

// foldAll computes a learner's cells from all of their attempts, in order.
func foldAll(ctx context.Context, q querier, fold curriculum.FoldCells, learner string) (cells curriculum.Cells, lastAt int64, lastID string, err error) {
	as, err := rows(ctx, q, scanAttempt, `SELECT `+attemptColumns+attemptTables+`WHERE a.learner_id = $1 ORDER BY a.created_at, a.id`, learner)
	if err != nil {
		return nil, 0, "", err
	}
	cells = curriculum.Cells{}
	before := map[curriculum.Place][]curriculum.Attempt{}
	for _, a := range as {
		at := curriculum.Place{Variant: a.Variant, Position: a.Position}
		fold(cells, before[at], a)
		before[at] = append(before[at], a)
		lastAt, lastID = toMicros(a.At), a.ID
	}
	return cells, lastAt, lastID, nil
}

// Difference is a cell that is not what the attempts give. Kept or Computed is
// nil where there is none.
type Difference struct {
	Learner, Skill string
	Kept, Computed *curriculum.Cell
}

// CompareCells computes the cells of every learner from the attempts alone and
// reports each that differs from what is kept. It returns the number of
// learners gone through. With write the computed ones take their place, one
// learner at a time.
func (db *DB) CompareCells(ctx context.Context, fold curriculum.FoldCells, write bool, report func(Difference) error) (int, error) {
	learners, err := rows(ctx, db.reader(ctx), func(r *sql.Rows) (id string, err error) {
		err = r.Scan(&id)
		return id, err
	}, `SELECT id FROM learner ORDER BY id`)
	if err != nil {
		return 0, err
	}
	for _, who := range learners {
		differences, err := db.compareLearner(ctx, fold, who, write)
		if err != nil {
			return 0, err
		}
		for _, d := range differences {
			if err := report(d); err != nil {
				return 0, err
			}
		}
	}
	return len(learners), nil
}

// CompareLearner is CompareCells for one learner; it counts the differences.
func (db *DB) CompareLearner(ctx context.Context, fold curriculum.FoldCells, learner string, write bool) (int, error) {
	differences, err := db.compareLearner(ctx, fold, learner, write)
	return len(differences), err
}

func (db *DB) compareLearner(ctx context.Context, fold curriculum.FoldCells, learner string, write bool) ([]Difference, error) {
	differences, err := compareCells(ctx, db.read, fold, learner)
	if err != nil || !write || len(differences) == 0 {
		return differences, err
	}
	return differences, db.update(ctx, func(q querier) error {
		l, err := openLedger(ctx, q, fold, []string{learner})
		if err != nil {
			return err
		}
		l.pages[learner].again = true
		return l.save(ctx)
	})
}

func compareCells(ctx context.Context, q querier, fold curriculum.FoldCells, learner string) ([]Difference, error) {
	kept, err := rows(ctx, q, scanCell, `SELECT body FROM cell WHERE learner_id = $1`, learner)
	if err != nil {
		return nil, err
	}
	computed, _, _, err := foldAll(ctx, q, fold, learner)
	if err != nil {
		return nil, err
	}
	var out []Difference
	for i := range kept {
		c := computed[kept[i].Skill]
		delete(computed, kept[i].Skill)
		if c == nil || !sameCell(kept[i], *c) {
			out = append(out, Difference{Learner: learner, Skill: kept[i].Skill, Kept: &kept[i], Computed: c})
		}
	}
	for _, skill := range slices.Sorted(maps.Keys(computed)) {
		out = append(out, Difference{Learner: learner, Skill: skill, Computed: computed[skill]})
	}
	return out, nil
}

// sameCell compares what would be written.
func sameCell(a, b curriculum.Cell) bool {
	x, err1 := json.Marshal(a)
	y, err2 := json.Marshal(b)
	return err1 == nil && err2 == nil && bytes.Equal(x, y)
}
