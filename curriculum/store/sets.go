package store

import (
	"context"
	"encoding/json"

	"halfnut/curriculum"
)

// CreateSet keeps a class set with all its variants and their exercises whole,
// or nothing of it.
func (db *DB) CreateSet(ctx context.Context, s curriculum.ClassSet, variants []curriculum.Variant, workshop, by string) error {
	return db.update(ctx, func(q querier) error { return createSet(ctx, q, s, variants, workshop, by) })
}

func createSet(ctx context.Context, q querier, s curriculum.ClassSet, variants []curriculum.Variant, workshop, by string) error {
	spec, err := json.Marshal(s.Spec)
	if err != nil {
		return err
	}
	profile, err := json.Marshal(s.Profile)
	if err != nil {
		return err
	}
	if _, err := q.ExecContext(ctx, `INSERT INTO class_set (id, class_id, spec, lathe_name, profile, seed, created_at) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
		s.ID, s.Class, string(spec), s.LatheName, string(profile), int64(s.Seed), toMicros(s.Created)); err != nil {
		return err
	}
	for _, v := range variants {
		if err := insertVariant(ctx, q, v); err != nil {
			return err
		}
	}
	return logEvent(ctx, q, workshop, s.Created, by, "class set built", s.ID)
}

// insertVariant waits for the variant itself, which so carries off the exercises of
// the one before: no more than those of one sheet are ever on their way.
func insertVariant(ctx context.Context, q querier, v curriculum.Variant) error {
	if _, err := q.ExecContext(ctx, `INSERT INTO variant (code, set_id, learner_id, seat, created_at) VALUES ($1, $2, $3, $4, $5)`,
		v.Code, v.Set, v.Learner, int64(v.Seat), toMicros(v.Created)); err != nil {
		return err
	}
	exercises := make([]statement, len(v.Exercises))
	for i, e := range v.Exercises {
		body, err := json.Marshal(e)
		if err != nil {
			return err
		}
		exercises[i] = statement{`INSERT INTO exercise (variant_code, position, skill, model, model_version, body) VALUES ($1, $2, $3, $4, $5, $6)`,
			[]any{v.Code, int64(i + 1), e.Skill, e.Model, int64(e.ModelVersion), string(body)}}
	}
	return sendAll(ctx, q, exercises)
}

const setColumns = `id, class_id, spec, lathe_name, profile, seed, created_at, withdrawn_at, withdrawn_by, withdrawn_reason`

// Set returns a class set.
func (db *DB) Set(ctx context.Context, id string) (curriculum.ClassSet, error) {
	return one(ctx, db.reader(ctx), scanSet, `SELECT `+setColumns+` FROM class_set WHERE id = $1`, id)
}

// Sets returns the sets of a class, oldest first.
func (db *DB) Sets(ctx context.Context, class string) ([]curriculum.ClassSet, error) {
	return rows(ctx, db.reader(ctx), scanSet,
		`SELECT `+setColumns+` FROM class_set WHERE class_id = $1 ORDER BY created_at, id`, class)
}

func scanSet(r scanner) (s curriculum.ClassSet, err error) {
	var spec, profile string
	var seed, at int64
	var out ended
	if err = r.Scan(append([]any{&s.ID, &s.Class, &spec, &s.LatheName, &profile, &seed, &at}, out.into()...)...); err != nil {
		return s, err
	}
	s.Seed, s.Created, s.Withdrawn = uint64(seed), fromMicros(at), out.ending()
	if err = json.Unmarshal([]byte(spec), &s.Spec); err != nil {
		return s, err
	}
	return s, json.Unmarshal([]byte(profile), &s.Profile)
}

const (
	variantColumns = `v.code, v.set_id, v.learner_id, l.name, v.seat, v.created_at, s.withdrawn_at, s.withdrawn_by, s.withdrawn_reason`
	variantTables  = ` FROM variant v JOIN learner l ON l.id = v.learner_id JOIN class_set s ON s.id = v.set_id `
)

// Variants returns the variants of a set in seat order, with their exercises as
// issued.
func (db *DB) Variants(ctx context.Context, set string) ([]curriculum.Variant, error) {
	vs, err := rows(ctx, db.reader(ctx), scanVariant,
		`SELECT `+variantColumns+variantTables+`WHERE v.set_id = $1 ORDER BY v.seat, v.code`, set)
	if err != nil {
		return nil, err
	}
	issued, err := rows(ctx, db.reader(ctx), scanIssued,
		`SELECT e.variant_code, e.body FROM exercise e JOIN variant v ON v.code = e.variant_code WHERE v.set_id = $1 ORDER BY e.variant_code, e.position`, set)
	if err != nil {
		return nil, err
	}
	of := map[string][]curriculum.Exercise{}
	for _, i := range issued {
		of[i.code] = append(of[i.code], i.exercise)
	}
	for i := range vs {
		vs[i].Exercises = of[vs[i].Code]
	}
	return vs, nil
}

// Seats returns up to most variants of a set whose seat is above after, in the
// order of seats and without their exercises.
func (db *DB) Seats(ctx context.Context, set string, after, most int) ([]curriculum.Variant, error) {
	return rows(ctx, db.reader(ctx), scanVariant, `SELECT `+variantColumns+variantTables+`
		WHERE v.set_id = $1 AND v.seat > $2 ORDER BY v.seat, v.code LIMIT $3`, set, int64(after), int64(most))
}

// Variant returns one variant with its exercises as issued.
func (db *DB) Variant(ctx context.Context, code string) (curriculum.Variant, error) {
	v, err := one(ctx, db.reader(ctx), scanVariant,
		`SELECT `+variantColumns+variantTables+`WHERE v.code = $1`, code)
	if err != nil {
		return v, err
	}
	issued, err := rows(ctx, db.reader(ctx), scanIssued,
		`SELECT variant_code, body FROM exercise WHERE variant_code = $1 ORDER BY position`, code)
	for _, i := range issued {
		v.Exercises = append(v.Exercises, i.exercise)
	}
	return v, err
}

// VariantAt returns a variant without its exercises, and the one at a position as
// issued. ErrNotFound may mean either.
func (db *DB) VariantAt(ctx context.Context, code string, position int) (curriculum.Variant, curriculum.Exercise, error) {
	type placed struct {
		v curriculum.Variant
		e curriculum.Exercise
	}
	p, err := one(ctx, db.reader(ctx), func(r scanner) (p placed, err error) {
		var body string
		if p.v, err = scanVariantAnd(r, &body); err != nil {
			return p, err
		}
		return p, json.Unmarshal([]byte(body), &p.e)
	}, `SELECT `+variantColumns+`, e.body`+variantTables+`JOIN exercise e ON e.variant_code = v.code WHERE v.code = $1 AND e.position = $2`, code, int64(position))
	return p.v, p.e, err
}

// VariantsOf returns a learner's variants, newest first, without exercises.
func (db *DB) VariantsOf(ctx context.Context, learner string) ([]curriculum.Variant, error) {
	return rows(ctx, db.reader(ctx), scanVariant,
		`SELECT `+variantColumns+variantTables+`WHERE v.learner_id = $1 ORDER BY v.created_at DESC, v.code`, learner)
}

func scanVariant(r scanner) (curriculum.Variant, error) { return scanVariantAnd(r) }

// scanVariantAnd reads a variant and what was asked for with it.
func scanVariantAnd(r scanner, more ...any) (v curriculum.Variant, err error) {
	var at int64
	var out ended
	err = r.Scan(append(append([]any{&v.Code, &v.Set, &v.Learner, &v.Name, &v.Seat, &at}, out.into()...), more...)...)
	v.Created, v.Withdrawn = fromMicros(at), out.ending()
	return v, err
}

type issued struct {
	code     string
	exercise curriculum.Exercise
}

func scanIssued(r scanner) (i issued, err error) {
	var body string
	if err = r.Scan(&i.code, &body); err != nil {
		return i, err
	}
	return i, json.Unmarshal([]byte(body), &i.exercise)
}
