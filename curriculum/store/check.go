package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"

	"halfnut/curriculum"
)

// Report is what Check found.
type Report struct {
	Engine          string
	Version, Newest int64
	// Rows counts what was read, table by table.
	Rows []TableRows
	// Sets and Marks count what was compared with a rebuild from the attempts.
	Sets, Marks, Learners int
	// Lines counts the lines of the sign-off chains that were followed.
	Lines int
	// Behind says that the version is older than this program's, so that only
	// what every version has was checked.
	Behind bool
	Faults []string
}

// TableRows is how many rows a table has.
type TableRows struct {
	Table string
	Rows  int64
}

// Check reads the whole database and changes nothing: the engine's own check of
// its structure and references, the version, every row of every table, every
// document, and the marks and, by fold, the cells against a rebuild from the
// attempts, and the chain of sign-offs. Faults are listed in the report; the
// error is of a check that could not be made.
func (db *DB) Check(ctx context.Context, fold curriculum.FoldCells) (Report, error) {
	r := Report{Engine: string(db.engine)}
	var err error
	if r.Newest, err = NewestVersion(); err != nil {
		return r, err
	}
	if r.Version, err = db.Version(ctx); err != nil {
		return r, err
	}
	if r.Faults, err = db.integrity(ctx); err != nil {
		return r, err
	}
	switch {
	case r.Version == 0:
		r.Faults = append(r.Faults, "no records of halfnut are kept here")
		return r, nil
	case r.Version > r.Newest:
		r.Faults = append(r.Faults, fmt.Sprintf("version %d is newer than this program, which knows up to %d", r.Version, r.Newest))
	case r.Version < r.Newest:
		r.Behind = true
	}
	tables, err := db.tables(ctx)
	if err != nil {
		return r, err
	}
	var names []string
	for t := range tables {
		names = append(names, t)
	}
	slices.Sort(names)
	for _, t := range names {
		n, err := db.readThrough(ctx, t)
		if err != nil {
			r.Faults = append(r.Faults, fmt.Sprintf("table %s cannot be read after row %d: %v", t, n, err))
		}
		r.Rows = append(r.Rows, TableRows{Table: t, Rows: n})
	}
	if r.Version != r.Newest {
		return r, nil
	}
	if err := db.checkMarks(ctx, &r); err != nil {
		return r, err
	}
	if err := db.checkCells(ctx, fold, &r); err != nil {
		return r, err
	}
	return r, db.checkChains(ctx, &r)
}

// integrity asks the engine for faults of its structure. PostgreSQL has no such
// check without an extension: reading every row stands for it, and its data
// checksums where they are on.
func (db *DB) integrity(ctx context.Context) ([]string, error) {
	if db.engine == enginePostgres {
		return nil, nil
	}
	said, err := rows(ctx, db.reader(ctx), scanText, `PRAGMA integrity_check`)
	if err != nil {
		return nil, err
	}
	var faults []string
	for _, s := range said {
		if s != "ok" {
			faults = append(faults, s)
		}
	}
	broken, err := rows(ctx, db.reader(ctx), func(r scanner) (s string, err error) {
		var table, parent string
		var row, key sql.NullInt64
		err = r.Scan(&table, &row, &parent, &key)
		return fmt.Sprintf("row %d of %s refers to nothing in %s", row.Int64, table, parent), err
	}, `PRAGMA foreign_key_check`)
	return append(faults, broken...), err
}

// readThrough reads every value of a table and returns how many rows it had.
func (db *DB) readThrough(ctx context.Context, table string) (n int64, err error) {
	rs, err := db.read.QueryContext(ctx, `SELECT * FROM "`+table+`"`) // the name comes from the schema
	if err != nil {
		return 0, norm(err)
	}
	defer func() { _ = rs.Close() }()
	columns, err := rs.Columns()
	if err != nil {
		return 0, norm(err)
	}
	into := make([]any, len(columns))
	for i := range into {
		into[i] = new(sql.RawBytes)
	}
	for rs.Next() {
		if err := rs.Scan(into...); err != nil {
			return n, norm(err)
		}
		n++
	}
	return n, norm(rs.Err())
}

// checkMarks compares the marks kept with the answers with a rebuild from them.
func (db *DB) checkMarks(ctx context.Context, r *Report) error {
	sets, err := rows(ctx, db.reader(ctx), scanText, `SELECT id FROM class_set ORDER BY id`)
	if err != nil {
		return err
	}
	for _, set := range sets {
		var kept, rebuilt []curriculum.Mark
		var err error
		// A service at work changes both between the two readings: what differs is
		// read again before it is called a fault.
		for range 3 {
			if kept, err = db.Marks(ctx, set); err != nil {
				break
			}
			if rebuilt, err = db.RebuildMarks(ctx, set); err != nil || slices.Equal(kept, rebuilt) {
				break
			}
		}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			r.Faults = append(r.Faults, fmt.Sprintf("set %s: %v", set, err))
		case !slices.Equal(kept, rebuilt):
			r.Faults = append(r.Faults, fmt.Sprintf("set %s: the marks differ from what its attempts say", set))
		}
		if _, err := db.Variants(ctx, set); err != nil { // every exercise can still be read
			r.Faults = append(r.Faults, fmt.Sprintf("set %s: %v", set, err))
		}
		r.Sets++
		r.Marks += len(kept)
	}
	return nil
}

// checkCells compares the cells kept with the answers with a rebuild from them.
func (db *DB) checkCells(ctx context.Context, fold curriculum.FoldCells, r *Report) error {
	learners, err := rows(ctx, db.reader(ctx), scanText, `SELECT id FROM learner ORDER BY id`)
	if err != nil {
		return err
	}
	for _, who := range learners {
		var differ []Difference
		var err error
		for range 3 { // as in checkMarks
			if differ, err = compareCells(ctx, db.read, fold, who); err != nil || len(differ) == 0 {
				break
			}
		}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			r.Faults = append(r.Faults, fmt.Sprintf("learner %s: %v", who, err))
		case len(differ) > 0:
			r.Faults = append(r.Faults, fmt.Sprintf("learner %s: %d cells differ from what the attempts say; halfnut recompute mends them", who, len(differ)))
		}
		r.Learners++
	}
	return nil
}

// checkChains follows each workshop's chain of sign-offs from its first line.
func (db *DB) checkChains(ctx context.Context, r *Report) error {
	workshops, err := db.Workshops(ctx)
	if err != nil {
		return err
	}
	for _, w := range workshops {
		lines, head, err := db.Chain(ctx, w.ID)
		if err != nil {
			return err
		}
		for _, f := range curriculum.CheckChain(lines, head) {
			r.Faults = append(r.Faults, fmt.Sprintf("sign-offs of workshop %s: %v", w.ID, f))
		}
		r.Lines += len(lines)
	}
	return nil
}
