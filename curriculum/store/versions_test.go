package store_test

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
)

// contents reads every table as its rows' columns.
func contents(t *testing.T, pool *sql.DB, tables []string) map[string][]map[string]string {
	t.Helper()
	out := map[string][]map[string]string{}
	for _, table := range tables {
		rs, err := pool.QueryContext(t.Context(), `SELECT * FROM `+table)
		require.NoError(t, err)
		columns, err := rs.Columns()
		require.NoError(t, err)
		for rs.Next() {
			values := make([]sql.NullString, len(columns))
			into := make([]any, len(columns))
			for i := range values {
				into[i] = &values[i]
			}
			require.NoError(t, rs.Scan(into...))
			row := map[string]string{}
			for i, c := range columns {
				row[c] = values[i].String
			}
			out[table] = append(out[table], row)
		}
		require.NoError(t, rs.Err())
		require.NoError(t, rs.Close())
	}
	return out
}

// bringUp takes an empty database through the versions, and puts the rows in that
// each of them made room for.
func bringUp(t *testing.T, pool *sql.DB, where string, versions []int64) {
	t.Helper()
	for _, v := range versions {
		require.NoError(t, store.MigrateTo(t.Context(), pool, where, v))
		rows, err := os.ReadFile(fmt.Sprintf("testdata/versions/%04d.sql", v))
		require.NoError(t, err, "every migration needs a file of rows, if only an empty one")
		_, err = pool.ExecContext(t.Context(), spelled(where, rows))
		require.NoError(t, err)
	}
}

// TestEveryEarlierVersionComesUp makes a database of each earlier version, with
// rows in every table it has, and opens it: all that was in it is still there,
// the records can be read, and the marks are right.
//
// testdata/versions/NNNN.sql holds the rows that version NNNN made room for.
func TestEveryEarlierVersionComesUp(t *testing.T) {
	t.Parallel()
	newest, err := store.NewestVersion()
	require.NoError(t, err)
	all, err := store.Versions()
	require.NoError(t, err)
	for engine, address := range engines {
		for n, version := range all {
			t.Run(fmt.Sprintf("%s from %d", engine, version), func(t *testing.T) {
				t.Parallel()
				where := address(t)
				old := rawPool(t, where)
				bringUp(t, old, where, all[:n+1])
				seen, err := store.OpenExisting(t.Context(), where)
				require.NoError(t, err)
				tables, err := store.Tables(t.Context(), seen)
				require.NoError(t, err)
				require.NoError(t, seen.Close())
				before := contents(t, old, tables)
				for _, table := range tables {
					assert.NotEmpty(t, before[table], "testdata/versions has no row for table %s", table)
				}
				require.NoError(t, old.Close())

				db, err := store.Open(t.Context(), where)
				require.NoError(t, err)
				defer func() { require.NoError(t, db.Close()) }()
				v, err := db.Version(t.Context())
				require.NoError(t, err)
				assert.Equal(t, newest, v)
				after := contents(t, rawPool(t, where), tables)
				for table, rows := range before {
					kept := map[string]bool{}
					for _, row := range after[table] {
						kept[oldColumns(t, row, rows[0])] = true
					}
					for _, row := range rows {
						assert.True(t, kept[oldColumns(t, row, rows[0])], "%s: %v is not there any more", table, row)
					}
				}
				variant, err := db.Variant(t.Context(), "V7KQ2")
				require.NoError(t, err)
				assert.Equal(t, "Zoë", variant.Name)
				assert.Equal(t, "lead-1", variant.Exercises[0].ID)
				// Cells came with version 2; from the attempts they can be had at any time.
				_, err = db.CompareCells(t.Context(), mastery.Fold, true, func(store.Difference) error { return nil })
				require.NoError(t, err)
				marks, err := db.Marks(t.Context(), "t1")
				require.NoError(t, err)
				rebuilt, err := db.RebuildMarks(t.Context(), "t1")
				require.NoError(t, err)
				require.Len(t, marks, 1)
				assert.Equal(t, rebuilt, marks)
			})
		}
	}
}

// spelled writes rows as the engine of an address reads them: bytes are the one
// value that both do not spell alike.
func spelled(where string, rows []byte) string {
	if store.IsPostgres(where) {
		return strings.ReplaceAll(string(rows), " x'", ` '\x`)
	}
	return string(rows)
}

// oldColumns is a row as text, with only the columns that an older row had.
func oldColumns(t *testing.T, row, old map[string]string) string {
	t.Helper()
	cut := map[string]string{}
	for c := range old {
		cut[c] = row[c]
	}
	b, err := json.Marshal(cut)
	require.NoError(t, err)
	return string(b)
}

// TestSchemasMatchColumnByColumn compares what the two engines made of the
// migrations: tables, columns in order with type, nullness and default, keys
// and indexes.
func TestSchemasMatchColumnByColumn(t *testing.T) {
	t.Parallel()
	made := map[string][]string{}
	for engine, address := range engines {
		where := address(t)
		db, err := store.Open(t.Context(), where)
		require.NoError(t, err)
		tables, err := store.Tables(t.Context(), db)
		require.NoError(t, err)
		require.NoError(t, db.Close())
		pool := rawPool(t, where)
		for _, table := range tables {
			columns, indexes := sqliteColumns, sqliteIndexes
			if engine == "postgres" {
				columns, indexes = postgresColumns, postgresIndexes
			}
			for _, c := range lines(t, pool, columns, table) {
				made[engine] = append(made[engine], table+": "+strings.TrimSpace(c))
			}
			keys := lines(t, pool, indexes, table)
			slices.Sort(keys)
			for _, k := range keys {
				made[engine] = append(made[engine], table+" index "+k)
			}
		}
	}
	require.Greater(t, len(made["sqlite"]), 80)
	assert.Equal(t, made["sqlite"], made["postgres"])
}

const (
	sqliteColumns = `SELECT name || ' ' || lower(type) || CASE WHEN "notnull" OR pk THEN ' not null' ELSE '' END || COALESCE(' ' || dflt_value, '')
		FROM pragma_table_info($1) ORDER BY cid`
	postgresColumns = `SELECT column_name || ' ' || CASE data_type WHEN 'bigint' THEN 'integer' WHEN 'bytea' THEN 'blob' ELSE data_type END
		|| CASE is_nullable WHEN 'NO' THEN ' not null' ELSE '' END || COALESCE(' ' || replace(column_default, '::text', ''), '')
		FROM information_schema.columns WHERE table_schema = 'public' AND table_name = $1 ORDER BY ordinal_position`
	sqliteIndexes = `SELECT (SELECT group_concat(name, ',') FROM (SELECT name FROM pragma_index_info(i.name) ORDER BY seqno)) || CASE WHEN "unique" THEN ' unique' ELSE '' END
		FROM pragma_index_list($1) i`
	postgresIndexes = `SELECT (SELECT string_agg(a.attname, ',' ORDER BY k.n) FROM unnest(x.indkey) WITH ORDINALITY k(col, n) JOIN pg_attribute a ON a.attrelid = x.indrelid AND a.attnum = k.col)
		|| CASE WHEN x.indisunique THEN ' unique' ELSE '' END
		FROM pg_index x WHERE x.indrelid = CAST($1 AS regclass)`
)

func lines(t *testing.T, pool *sql.DB, query, table string) (out []string) {
	t.Helper()
	rs, err := pool.QueryContext(context.Background(), query, table)
	require.NoError(t, err)
	defer func() { _ = rs.Close() }()
	for rs.Next() {
		var s string
		require.NoError(t, rs.Scan(&s))
		out = append(out, s)
	}
	require.NoError(t, rs.Err())
	return out
}
