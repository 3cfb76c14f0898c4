package store

import (
	"context"
	"database/sql"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/migrations"
)

// OpenExisting opens a database as it is, for reading: nothing is made, migrated
// or changed. It may stand beside a running service.
func OpenExisting(ctx context.Context, address string) (*DB, error) {
	if IsPostgres(address) {
		pool, err := connectPostgres(ctx, address)
		if err != nil {
			return nil, err
		}
		return &DB{engine: enginePostgres, read: pool, write: pool, address: address}, nil
	}
	abs, err := filepath.Abs(address)
	if err != nil {
		return nil, fmt.Errorf("open: %w", err)
	}
	if _, err := os.Stat(abs); err != nil {
		return nil, fmt.Errorf("open: %w: there is no file %s", curriculum.ErrNotFound, address)
	}
	read, err := sql.Open("sqlite", fileAddress(abs, url.Values{"_pragma": {"query_only(1)", "busy_timeout(10000)", "foreign_keys(1)"}}))
	if err != nil {
		return nil, fmt.Errorf("open: %w", err)
	}
	read.SetMaxOpenConns(4)
	if err := connect(ctx, read); err != nil {
		_ = read.Close()
		return nil, fmt.Errorf("open %s: %w", filepath.Base(abs), err)
	}
	return &DB{engine: engineSQLite, read: read, write: read, path: abs}, nil
}

func fileAddress(path string, settings url.Values) string {
	settings.Set("_dqs", "0") // a misspelt column is an error, not a text
	file := url.URL{Scheme: "file", Path: path, RawQuery: settings.Encode()}
	return file.String()
}

// NewestVersion is the version that the migrations of this program lead to.
func NewestVersion() (int64, error) {
	all, err := versions()
	if err != nil || len(all) == 0 {
		return 0, err
	}
	return all[len(all)-1], nil
}

// versions lists the versions that a database goes through, in order.
func versions() ([]int64, error) {
	files, err := fs.Glob(migrations.Files, "sqlite/*.sql")
	if err != nil {
		return nil, err
	}
	var out []int64
	for _, f := range files {
		number, _, _ := strings.Cut(filepath.Base(f), "_")
		v, err := strconv.ParseInt(number, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("migration %s: %w", f, err)
		}
		out = append(out, v)
	}
	slices.Sort(out)
	return out, nil
}

// Version returns the version of the database, 0 where nothing is kept yet.
func (db *DB) Version(ctx context.Context) (int64, error) {
	tables, err := db.tables(ctx)
	if err != nil {
		return 0, err
	}
	if !tables[versionTable] {
		return 0, nil
	}
	return one(ctx, db.reader(ctx), scanInt, `SELECT COALESCE(MAX(version_id), 0) FROM `+versionTable)
}

// versionTable is where goose keeps what has been applied.
const versionTable = "goose_db_version"

// tables returns the names of the database's tables.
func (db *DB) tables(ctx context.Context) (map[string]bool, error) {
	query := `SELECT table_name FROM information_schema.tables WHERE table_schema = 'public' AND table_type = 'BASE TABLE'`
	if db.engine == engineSQLite {
		query = `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'`
	}
	names, err := rows(ctx, db.reader(ctx), scanText, query)
	out := map[string]bool{}
	for _, n := range names {
		out[n] = true
	}
	return out, err
}
