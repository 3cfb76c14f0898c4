package store

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"time"
)

// TablesOutsideExport lists tables that an export neither writes nor leaves out
// by name, and names that are no tables.
func TablesOutsideExport(ctx context.Context, db *DB) ([]string, error) {
	names := slices.Collect(maps.Keys(notExported))
	for _, t := range exportedTables {
		names = append(names, t.table)
	}
	return db.unlike(ctx, names)
}

// TablesOutsideRecord is the same for a learner's record.
func TablesOutsideRecord(ctx context.Context, db *DB) ([]string, error) {
	names := slices.Collect(maps.Keys(notPersonal))
	for _, t := range personalTables {
		names = append(names, t.table)
	}
	return db.unlike(ctx, names)
}

// unlike lists in what names and tables differ.
func (db *DB) unlike(ctx context.Context, names []string) ([]string, error) {
	have, err := db.tables(ctx)
	if err != nil {
		return nil, err
	}
	var odd []string
	for t := range have {
		if !slices.Contains(names, t) {
			odd = append(odd, t)
		}
	}
	for _, t := range names {
		if !have[t] {
			odd = append(odd, t+" (not there)")
		}
	}
	slices.Sort(odd)
	return odd, nil
}

// LimitPages makes the disk of an SQLite database full at the given number of
// pages beyond those it has; 0 takes the limit away.
func LimitPages(ctx context.Context, db *DB, more int64) error {
	return db.update(ctx, func(q querier) error { // the limit belongs to the connection that writes
		limit := int64(1 << 30)
		if more > 0 {
			pages, err := one(ctx, q, scanInt, `PRAGMA page_count`)
			if err != nil {
				return err
			}
			limit = pages + more
		}
		_, err := one(ctx, q, scanInt, fmt.Sprintf(`PRAGMA max_page_count = %d`, limit))
		return err
	})
}

// Versions lists the versions that a database goes through.
var Versions = versions

// MigrateTo brings an empty database to an earlier version.
func MigrateTo(ctx context.Context, pool *sql.DB, address string, version int64) error {
	db := &DB{engine: engineSQLite, read: pool, write: pool}
	if IsPostgres(address) {
		db.engine = enginePostgres
	}
	p, err := db.provider()
	if err != nil {
		return err
	}
	_, err = p.UpTo(ctx, version)
	return err
}

// Tables returns the names of the tables that hold records.
func Tables(ctx context.Context, db *DB) ([]string, error) {
	have, err := db.tables(ctx)
	delete(have, versionTable)
	return slices.Sorted(maps.Keys(have)), err
}

// ForgetWork removes what has been kept long enough at a time.
func ForgetWork(ctx context.Context, db *DB, now time.Time) error { return db.forgetWork(ctx, now) }

// Update runs act as one transaction of the store. do waits for its statement,
// later leaves its own to the next question or to the end.
func Update(ctx context.Context, db *DB, act func(do, later func(query string) error) error) error {
	return db.update(ctx, func(q querier) error {
		return act(func(query string) error {
			_, err := q.ExecContext(ctx, query)
			return err
		}, func(query string) error { return sendAll(ctx, q, []statement{{query, nil}}) })
	})
}

// RescueWork gives back what runs and has not been heard of since a time.
func RescueWork(ctx context.Context, db *DB, silent time.Time) error {
	return db.rescueWork(ctx, silent)
}

// Rewind makes attempts and cells what a version before 20 left: attempts do not say
// what they are evidence by, and cells are of earlier rules.
func Rewind(ctx context.Context, db *DB) error {
	return db.update(ctx, func(q querier) error {
		for _, query := range []string{`UPDATE attempt SET basis = ''`, `UPDATE folded SET rules = 1`} {
			if _, err := q.ExecContext(ctx, query); err != nil {
				return err
			}
		}
		return nil
	})
}
