package store

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"
	"time"

	"halfnut/curriculum"
)

// logEvent notes who did what, in the transaction that does it.
func logEvent(ctx context.Context, q querier, workshop string, at time.Time, who, what, about string) error {
	_, err := q.ExecContext(ctx, `INSERT INTO event (id, workshop_id, at, who, what, about) VALUES ($1, $2, $3, $4, $5, $6)`,
		NewID(), workshop, toMicros(at), who, what, about)
	return err
}

// logLine notes that a person made an entry in the record of sign-offs. It names
// the lathe and nobody whom the entry is about: an event with a learner's id and
// the entry's time would lead from the chain to a learner whose name was erased
// beside it.
func logLine(ctx context.Context, q querier, l curriculum.Line) error {
	_, err := q.ExecContext(ctx, `INSERT INTO event (id, workshop_id, at, who, what, about)
		SELECT CAST($1 AS TEXT), CAST($2 AS TEXT), CAST($3 AS BIGINT), p.id, CAST($4 AS TEXT), CAST($5 AS TEXT) FROM signoff_name n JOIN person p ON p.id = n.ref_id WHERE n.token = $6`,
		NewID(), l.Workshop, toMicros(l.At), "sign-off: "+l.Kind, l.Lathe, l.By)
	return err
}

// eventNames looks up, for the events of one page, who did them and what they are
// about, each by its primary key.
const eventNames = `SELECT e.id, e.workshop_id, e.at, e.who, e.what, e.about, COALESCE(wp.name, wl.name, ''),
	CASE WHEN c.id IS NOT NULL THEN 'class' WHEN l.id IS NOT NULL THEN 'learner' WHEN m.id IS NOT NULL THEN 'lathe' WHEN p.id IS NOT NULL THEN 'person'
		WHEN s.id IS NOT NULL THEN 'set' WHEN h.id IS NOT NULL THEN 'shop-session' WHEN t.id IS NOT NULL THEN 'token' WHEN k.id IS NOT NULL THEN 'work'
		WHEN o.id IS NOT NULL THEN 'overrule' WHEN w.id IS NOT NULL THEN 'workshop' ELSE '' END,
	COALESCE(c.name, l.name, m.name, p.name, t.name, k.title, w.name, ''), COALESCE(s.spec, h.spec, '')
	FROM (%) e
	LEFT JOIN person wp ON wp.id = e.who LEFT JOIN learner wl ON wl.id = e.who
	LEFT JOIN class c ON c.id = e.about LEFT JOIN learner l ON l.id = e.about LEFT JOIN lathe m ON m.id = e.about LEFT JOIN person p ON p.id = e.about
	LEFT JOIN class_set s ON s.id = e.about LEFT JOIN shop_session h ON h.id = e.about LEFT JOIN api_token t ON t.id = e.about LEFT JOIN work k ON k.id = e.about
	LEFT JOIN overrule o ON o.id = e.about LEFT JOIN workshop w ON w.id = e.about
	ORDER BY e.at DESC, e.id DESC`

// Events returns events of a workshop, newest first. After an event that there is
// not it is ErrNotFound.
func (db *DB) Events(ctx context.Context, ask curriculum.EventQuery) ([]curriculum.Event, error) {
	args := []any{ask.Workshop}
	where := []string{"workshop_id = $1"}
	and := func(condition string, values ...any) {
		for _, v := range values {
			args = append(args, v)
			condition = strings.Replace(condition, "?", "$"+strconv.Itoa(len(args)), 1)
		}
		where = append(where, condition)
	}
	if ask.Who != "" {
		and("who = ?", ask.Who)
	}
	if ask.About != "" {
		and("about = ?", ask.About)
	}
	if !ask.Since.IsZero() {
		and("at >= ?", toMicros(ask.Since))
	}
	if !ask.Until.IsZero() {
		and("at < ?", toMicros(ask.Until))
	}
	if ask.After != "" {
		// Events are never changed, so that this need not be of the same moment.
		at, err := one(ctx, db.reader(ctx), scanInt, `SELECT at FROM event WHERE id = $1 AND workshop_id = $2`, ask.After, ask.Workshop)
		if err != nil {
			return nil, err
		}
		and("(at, id) < (?, ?)", at, ask.After)
	}
	args = append(args, int64(ask.Most))
	page := `SELECT id, workshop_id, at, who, what, about FROM event WHERE ` + strings.Join(where, " AND ") + ` ORDER BY at DESC, id DESC LIMIT $` + strconv.Itoa(len(args))
	return rows(ctx, db.reader(ctx), scanEvent, strings.Replace(eventNames, "%", page, 1), args...)
}

func scanEvent(r scanner) (e curriculum.Event, err error) {
	var at int64
	var spec string
	if err = r.Scan(&e.ID, &e.Workshop, &at, &e.Who, &e.What, &e.About, &e.WhoName, &e.AboutKind, &e.AboutName, &spec); err != nil {
		return e, err
	}
	e.At = fromMicros(at)
	if spec == "" {
		return e, nil
	}
	// A class set or a shop session has its name in what was asked of it.
	var titled struct {
		Title string `json:"title"`
	}
	err = json.Unmarshal([]byte(spec), &titled)
	e.AboutName = titled.Title
	return e, err
}
