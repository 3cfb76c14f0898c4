package store

import (
	"context"
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
