package store

import (
	"bytes"
	"context"
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

func scanCell(r scanner) (c curriculum.Cell, err error) {
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
	// again says that the cells must be rebuilt: nothing was folded before, or by
	// earlier rules, or an attempt came out of its order.
	again bool
}

// openLedger locks the learners' pages.
func openLedger(ctx context.Context, q querier, fold curriculum.FoldCells, learners []string) (*ledger, error) {
	l := newLedger(q, fold)
	return l, askAll(ctx, q, l.lock(learners))
}

func newLedger(q querier, fold curriculum.FoldCells) *ledger {
	return &ledger{q: q, fold: fold, pages: map[string]*page{}}
}

// lock asks for the learners' pages, always in the same order, so that two who
// record at once wait for one another and never for ever.
func (l *ledger) lock(learners []string) (ask []question) {
	for _, who := range slices.Compact(slices.Sorted(slices.Values(learners))) {
		p := &page{cells: curriculum.Cells{}}
		l.pages[who] = p
		ask = append(ask, question{statement{`INSERT INTO folded (learner_id, last_at, last_id) VALUES ($1, 0, '')
			ON CONFLICT (learner_id) DO UPDATE SET last_id = folded.last_id RETURNING last_at, last_id, rules`, []any{who}}, func(r scanner) error {
			var rules int64
			err := r.Scan(&p.lastAt, &p.lastID, &rules)
			p.again = p.lastID == "" || rules != curriculum.FoldRules
			return err
		}})
	}
	return ask
}

// load asks for the cells that attempts touch, but for those that are there
// already.
func (l *ledger) load(attempts []curriculum.Attempt) (ask []question) {
	wanted := map[string][]any{}
	for _, a := range attempts {
		p := l.pages[a.Learner]
		for _, v := range a.Verdicts {
			for _, skill := range []string{v.Skill, v.Charges} {
				if skill != "" && a.Judged() && p.cells[skill] == nil && !slices.Contains(wanted[a.Learner], any(skill)) {
					wanted[a.Learner] = append(wanted[a.Learner], skill)
				}
			}
		}
	}
	for _, who := range slices.Sorted(maps.Keys(wanted)) {
		places := make([]string, len(wanted[who]))
		for i := range places {
			places[i] = fmt.Sprintf("$%d", i+2)
		}
		ask = append(ask, question{statement{`SELECT body FROM cell WHERE learner_id = $1 AND skill IN (` + strings.Join(places, ", ") + `)`,
			append([]any{who}, wanted[who]...)}, func(r scanner) error {
			c, err := scanCell(r)
			l.pages[who].cells[c.Skill] = &c
			return err
		}})
	}
	return ask
}

// add folds an attempt that is being kept, after the earlier ones at its exercise.
func (l *ledger) add(a curriculum.Attempt, before []curriculum.Attempt) {
	p := l.pages[a.Learner]
	at := toMicros(a.At)
	if at < p.lastAt || at == p.lastAt && a.ID <= p.lastID {
		p.again = true
	} else {
		p.lastAt, p.lastID = at, a.ID
	}
	if !p.again && a.Judged() {
		l.fold(p.cells, before, a)
	}
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
	l.later(`UPDATE folded SET last_at = $2, last_id = $3, rules = $4 WHERE learner_id = $1`, learner, p.lastAt, p.lastID, int64(curriculum.FoldRules))
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

// RefoldCells computes anew the cells that were folded by earlier rules, one learner
// at a time, and returns of how many learners.
func (db *DB) RefoldCells(ctx context.Context, fold curriculum.FoldCells) (int, error) {
	learners, err := rows(ctx, db.reader(ctx), scanText, `SELECT learner_id FROM folded WHERE rules <> $1 ORDER BY learner_id`, int64(curriculum.FoldRules))
	if err != nil {
		return 0, err
	}
	for n, who := range learners {
		if err := db.update(ctx, func(q querier) error {
			l, err := openLedger(ctx, q, fold, []string{who})
			if err != nil {
				return err
			}
			return l.save(ctx)
		}); err != nil {
			return n, err
		}
	}
	return len(learners), nil
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
	learners, err := rows(ctx, db.reader(ctx), func(r scanner) (id string, err error) {
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
