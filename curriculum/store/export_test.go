package store

import (
	"context"
	"fmt"
	"slices"
)

// TablesOutsideExport lists tables that an export neither writes nor leaves out
// by name, and names that are no tables.
func TablesOutsideExport(ctx context.Context, db *DB) ([]string, error) {
	have, err := db.tables(ctx)
	if err != nil {
		return nil, err
	}
	named := map[string]bool{}
	for _, t := range exportedTables {
		named[t.table] = true
	}
	for t := range notExported {
		named[t] = true
	}
	var odd []string
	for t := range have {
		if !named[t] {
			odd = append(odd, t)
		}
	}
	for t := range named {
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
	limit := int64(1 << 30)
	if more > 0 {
		pages, err := one(ctx, db.write, scanInt, `PRAGMA page_count`)
		if err != nil {
			return err
		}
		limit = pages + more
	}
	// It belongs to the connection, and there is one that writes.
	_, err := db.write.ExecContext(ctx, fmt.Sprintf(`PRAGMA max_page_count = %d`, limit))
	return err
}
