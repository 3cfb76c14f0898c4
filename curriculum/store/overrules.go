package store

import (
	"context"
	"encoding/json"
	"fmt"

	"halfnut/curriculum"
)

// Attempt returns one attempt as it counts now.
func (db *DB) Attempt(ctx context.Context, id string) (curriculum.Attempt, error) {
	return one(ctx, db.reader(ctx), scanAttempt, `SELECT `+attemptColumns+attemptTables+`WHERE a.id = $1`, id)
}

// Overrules returns the overrules of a workshop, oldest first.
func (db *DB) Overrules(ctx context.Context, workshop string) ([]curriculum.Overrule, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (o curriculum.Overrule, err error) {
		var body string
		if err = r.Scan(&body); err != nil {
			return o, err
		}
		return o, json.Unmarshal([]byte(body), &o)
	}, `SELECT body FROM overrule WHERE workshop_id = $1 ORDER BY created_at, id`, workshop)
}

// AddOverrule keeps an overrule and marks every answer that it covers anew, with
// the marks and cells that follow, all or nothing. It returns what it touched,
// in the order of the attempts.
func (db *DB) AddOverrule(ctx context.Context, o curriculum.Overrule, fold curriculum.FoldCells) ([]curriculum.Remark, error) {
	body, err := json.Marshal(o)
	if err != nil {
		return nil, err
	}
	var touched []curriculum.Remark
	err = db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO overrule (id, workshop_id, attempt_id, body, decided_by, created_at) VALUES ($1, $2, $3, $4, $5, $6)`,
			o.ID, o.Workshop, o.Attempt, string(body), o.By, toMicros(o.At)); err != nil {
			return err
		}
		as, err := rows(ctx, q, scanAttempt, `SELECT `+attemptColumns+attemptTables+
			`JOIN learner l ON l.id = a.learner_id
			WHERE e.skill = $1 AND e.model = $2 AND e.model_version = $3 AND l.workshop_id = $4 ORDER BY a.created_at, a.id`,
			o.Skill, o.Model, int64(o.ModelVersion), o.Workshop)
		if err != nil {
			return err
		}
		var learners []string
		var changed []curriculum.Attempt
		touched = nil
		for _, before := range as {
			after, yes := o.Apply(before)
			if !yes {
				continue
			}
			changed = append(changed, after)
			learners = append(learners, after.Learner)
			touched = append(touched, curriculum.Remark{
				Attempt: after.ID, Learner: after.Learner, Variant: after.Variant, Position: after.Position, Before: before.Marks, After: after.Marks,
			})
		}
		cells, err := openLedger(ctx, q, fold, learners)
		if err != nil {
			return err
		}
		for i, a := range changed {
			if err := remark(ctx, q, o, a); err != nil {
				return err
			}
			if touched[i].Name, err = nameOf(ctx, q, a.Learner); err != nil {
				return err
			}
			cells.pages[a.Learner].again = true
		}
		if err := cells.save(ctx); err != nil {
			return err
		}
		return logEvent(ctx, q, o.Workshop, o.At, o.By, fmt.Sprintf("verdict overruled, %d answers marked anew", len(touched)), o.ID)
	})
	return touched, err
}

// remark keeps what an overrule made of an attempt, and counts the mark of its
// exercise again.
func remark(ctx context.Context, q querier, o curriculum.Overrule, a curriculum.Attempt) error {
	verdicts, err := json.Marshal(a.Verdicts)
	if err != nil {
		return err
	}
	if _, err := q.ExecContext(ctx, `INSERT INTO remark (attempt_id, number, overrule_id, verdicts, marks)
		SELECT $1, COALESCE(MAX(number), 0) + 1, $2, $3, $4 FROM remark WHERE attempt_id = $1`, a.ID, o.ID, string(verdicts), int64(a.Marks)); err != nil {
		return err
	}
	tries, err := rows(ctx, q, scanAttempt, `SELECT `+attemptColumns+attemptTables+
		`WHERE a.variant_code = $1 AND a.position = $2 ORDER BY a.created_at, a.id`, a.Variant, int64(a.Position))
	if err != nil {
		return err
	}
	var t tally
	for _, try := range tries {
		t.count(try)
	}
	_, err = q.ExecContext(ctx, `UPDATE mark SET first_marks = $3, best_marks = $4, last_outcome = $5 WHERE variant_code = $1 AND position = $2`,
		a.Variant, int64(a.Position), int64(t.First), int64(t.Best), t.Last)
	return err
}

func nameOf(ctx context.Context, q querier, learner string) (string, error) {
	return one(ctx, q, func(r scanner) (name string, err error) {
		err = r.Scan(&name)
		return name, err
	}, `SELECT name FROM learner WHERE id = $1`, learner)
}

// Answered returns every attempt of a workshop as it counts now, with what it
// was an attempt at; of one class only where class is not empty.
func (db *DB) Answered(ctx context.Context, workshop, class string) ([]curriculum.Answered, error) {
	const columns = `SELECT a.id, a.variant_code, a.position, a.learner_id, a.source, COALESCE(r.verdicts, a.verdicts), COALESCE(r.marks, a.marks),
		a.out_of, a.try, a.created_at, e.skill, e.model, e.model_version, e.body `
	return rows(ctx, db.reader(ctx), func(r scanner) (a curriculum.Answered, err error) {
		var verdicts, body string
		var at int64
		if err = r.Scan(&a.ID, &a.Variant, &a.Position, &a.Learner, &a.Source, &verdicts, &a.Marks, &a.OutOf, &a.Try, &at, &a.Skill, &a.Model, &a.ModelVersion, &body); err != nil {
			return a, err
		}
		a.At = fromMicros(at)
		var e struct {
			Difficulty map[string]string `json:"difficulty"`
		}
		if err = json.Unmarshal([]byte(body), &e); err != nil {
			return a, err
		}
		a.Difficulty = e.Difficulty
		return a, json.Unmarshal([]byte(verdicts), &a.Verdicts)
	}, columns+attemptTables+`JOIN variant v ON v.code = a.variant_code JOIN class_set s ON s.id = v.set_id JOIN class c ON c.id = s.class_id
		WHERE c.workshop_id = $1 AND ($2 = '' OR c.id = $2) ORDER BY a.created_at, a.id`, workshop, class)
}
