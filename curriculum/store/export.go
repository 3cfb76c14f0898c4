package store

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"time"

	"halfnut/curriculum"
)

// exported is one table of an export.
type exported struct {
	table string
	// where chooses a workshop's rows ($1 its id); order is by keys.
	where, order string
	// hidden columns are secrets and stay here; documents are JSON texts, written
	// as what they hold.
	hidden, documents []string
}

// ofClass, ofSet and ofVariant choose by what a row hangs on.
const (
	ofClass   = `class_id IN (SELECT id FROM class WHERE workshop_id = $1)`
	ofVariant = `variant_code IN (SELECT v.code FROM variant v JOIN class_set s ON s.id = v.set_id JOIN class c ON c.id = s.class_id WHERE c.workshop_id = $1)`
)

// exportedTables are written in this order, so that what a row refers to stands
// before it. Every table is here or in notExported; a test holds that.
var exportedTables = []exported{
	{table: "workshop", where: `id = $1`, order: `id`},
	{table: "person", where: `workshop_id = $1`, order: `created_at, id`},
	{table: "lathe", where: `workshop_id = $1`, order: `created_at, id`, documents: []string{"profile"}},
	{table: "class", where: `workshop_id = $1`, order: `created_at, id`},
	{table: "learner", where: `workshop_id = $1`, order: `created_at, id`, hidden: []string{"pin_hash"}},
	{table: "enrolment", where: ofClass, order: `class_id, seat`},
	{table: "course", where: ofClass, order: `class_id`, documents: []string{"spec"}},
	{table: "class_set", where: ofClass, order: `created_at, id`, documents: []string{"spec", "profile"}},
	{table: "variant", where: `set_id IN (SELECT s.id FROM class_set s JOIN class c ON c.id = s.class_id WHERE c.workshop_id = $1)`, order: `set_id, seat`},
	{table: "exercise", where: ofVariant, order: `variant_code, position`, documents: []string{"body"}},
	{table: "attempt", where: ofVariant, order: `created_at, id`, documents: []string{"answers", "verdicts", "basis"}},
	{table: "overrule", where: `workshop_id = $1`, order: `created_at, id`, documents: []string{"body"}},
	{table: "remark", where: `overrule_id IN (SELECT id FROM overrule WHERE workshop_id = $1)`, order: `attempt_id, number`, documents: []string{"verdicts"}},
	{table: "hint", where: ofVariant, order: `variant_code, position, part, rung`},
	// A line of the chain is kept as text: its digest is of the bytes.
	{table: "signoff_line", where: `workshop_id = $1`, order: `seq`},
	{table: "signoff_head", where: `workshop_id = $1`, order: `workshop_id`},
	{table: "signoff_name", where: `workshop_id = $1`, order: `created_at, token`, hidden: []string{"salt"}},
	{table: "signoff_card", where: `workshop_id = $1`, order: `created_at, learner_id`},
	{table: "sitting", where: `workshop_id = $1`, order: `opened_at, id`, documents: []string{"exercises", "answers", "verdicts"}},
	{table: "shop_job", where: ofClass, order: `class_id, learner_id`, documents: []string{"body"}},
	{table: "shop_session", where: ofClass, order: `begins_at, id`, documents: []string{"spec", "plan"}},
	{table: "logged_time", where: `lathe_id IN (SELECT id FROM lathe WHERE workshop_id = $1)`, order: `created_at, id`, documents: []string{"body"}},
	{table: "lathe_check", where: `lathe_id IN (SELECT id FROM lathe WHERE workshop_id = $1)`, order: `created_at, id`, documents: []string{"body"}},
	{table: "api_token", where: `workshop_id = $1`, order: `created_at, id`, hidden: []string{"token_hash"}},
	{table: "identity", where: `person_id IN (SELECT id FROM person WHERE workshop_id = $1)`, order: `issuer, subject`},
	{table: "event", where: `workshop_id = $1`, order: `at, id`},
}

// notExported are tables that an export leaves out, with the reason.
var notExported = map[string]string{
	"mark":          "computed from the attempts",
	"keyed_request": "answers kept for a day, for requests sent again",
	"cell":          "computed from the attempts",
	"folded":        "says how far the cells are computed",
	"session":       "secrets of who is signed in",
	"passphrase":    "hashes of secrets",
	versionTable:    "the version stands in the first line",
	"work":          "what is being made or was made lately; what came of it stands in the other tables",
	"work_file":     "files that are kept for a day",
}

// ExportFormat names the form of an export; it changes when a reader would have
// to.
const ExportFormat = "halfnut-export-1"

// Export writes a workshop's records as JSON lines, all of one moment: first
// {"format", "workshop", "version", "at"}, then {"table", "row"} for each row,
// the columns in the order of the schema. Times are Unix microseconds. PINs,
// sessions and what is computed from other rows are left out.
func (db *DB) Export(ctx context.Context, workshop string, w io.Writer, now time.Time) error {
	if _, err := db.Workshop(ctx, workshop); err != nil {
		return err
	}
	version, err := db.Version(ctx)
	if err != nil {
		return err
	}
	if newest, err := NewestVersion(); err != nil || version != newest {
		return firstError(err, fmt.Errorf("%w: the database is of version %d, this program exports version %d; start halfnut serve once to bring it up", curriculum.ErrUnavailable, version, newest))
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if err := e.Encode(map[string]any{"format": ExportFormat, "workshop": workshop, "version": version, "at": toMicros(now)}); err != nil {
		return err
	}
	return db.snapshot(ctx, func(q querier) error {
		for _, t := range exportedTables {
			if err := t.write(ctx, q, workshop, e); err != nil {
				return fmt.Errorf("export %s: %w", t.table, err)
			}
		}
		return nil
	})
}

// snapshot reads in one transaction that sees one moment.
func (db *DB) snapshot(ctx context.Context, read func(q querier) error) error {
	options := &sql.TxOptions{ReadOnly: true}
	if db.engine == enginePostgres {
		options.Isolation = sql.LevelRepeatableRead // SQLite's reads are so by themselves
	}
	tx, err := db.read.BeginTx(ctx, options)
	if err != nil {
		return norm(err)
	}
	defer func() { _ = tx.Rollback() }()
	return norm(read(tx))
}

// line is one row of an export.
type line struct {
	Table string    `json:"table"`
	Row   recordRow `json:"row"`
}

// recordRow is a row as a JSON object in the order of its columns.
type recordRow struct {
	columns []string
	values  []any
}

// MarshalJSON writes the columns in the schema's order, which a map would lose.
func (r recordRow) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, c := range r.columns {
		if i > 0 {
			b.WriteByte(',')
		}
		key, err := json.Marshal(c)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(r.values[i])
		if err != nil {
			return nil, fmt.Errorf("column %s: %w", c, err)
		}
		b.Write(key)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// write streams a table: no table is held in memory whole.
func (t exported) write(ctx context.Context, q querier, workshop string, e *json.Encoder) error {
	return t.each(ctx, q, workshop, func(r recordRow) error { return e.Encode(line{Table: t.table, Row: r}) })
}

// each passes on the rows that belong to whose id is given.
func (t exported) each(ctx context.Context, q querier, id string, pass func(recordRow) error) error {
	rs, err := q.QueryContext(ctx, `SELECT * FROM `+t.table+` WHERE `+t.where+` ORDER BY `+t.order, id)
	if err != nil {
		return err
	}
	defer func() { _ = rs.Close() }()
	columns, err := rs.Columns()
	if err != nil {
		return err
	}
	for rs.Next() {
		values, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range values {
			into[i] = &values[i]
		}
		if err := rs.Scan(into...); err != nil {
			return err
		}
		if err := pass(t.shown(columns, values)); err != nil {
			return err
		}
	}
	return rs.Err()
}

func (t exported) shown(columns []string, values []any) recordRow {
	var r recordRow
	for i, c := range columns {
		v := values[i]
		if slices.Contains(t.hidden, c) {
			continue
		}
		if text, ok := v.(string); ok && slices.Contains(t.documents, c) && json.Valid([]byte(text)) {
			v = json.RawMessage(text)
		}
		r.columns, r.values = append(r.columns, c), append(r.values, v)
	}
	return r
}
