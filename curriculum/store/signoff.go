package store

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"halfnut/curriculum"
)

// AppendLine seals a line to the end of its workshop's chain. It is a conflict
// when the learner ref has lines after seen, which the caller has not looked at;
// a line about nobody has no ref. Settings with seen 0 or more are a conflict when
// the newest ones are others.
func (db *DB) AppendLine(ctx context.Context, l curriculum.Line, ref string, seen int64) (curriculum.Line, error) {
	err := db.update(ctx, func(q querier) (err error) {
		l, err = appendLine(ctx, q, l, ref, seen)
		return err
	})
	return l, err
}

// OpenSitting keeps a sitting with the line that says so.
func (db *DB) OpenSitting(ctx context.Context, s curriculum.Sitting, l curriculum.Line, seen int64) (curriculum.Line, error) {
	exercises, err := json.Marshal(s.Exercises)
	if err != nil {
		return l, err
	}
	err = db.update(ctx, func(q querier) (err error) {
		if l, err = appendLine(ctx, q, l, s.Learner, seen); err != nil {
			return err
		}
		_, err = q.ExecContext(ctx, `INSERT INTO sitting (id, workshop_id, kind, learner_id, lathe_id, operation, supervisor_id, exercises, opened_at, closes_at)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
			s.ID, s.Workshop, s.Kind, s.Learner, s.Lathe, s.Operation, s.Supervisor, string(exercises), toMicros(s.Opened), toMicros(s.Closes))
		return err
	})
	return l, err
}

// HandInSitting keeps the answers of a sitting with the line that says what
// became of them; one that is handed in already is a conflict.
func (db *DB) HandInSitting(ctx context.Context, s curriculum.Sitting, l curriculum.Line, seen int64) (curriculum.Line, error) {
	answers, err := json.Marshal(s.Answers)
	if err != nil {
		return l, err
	}
	verdicts, err := json.Marshal(s.Verdicts)
	if err != nil {
		return l, err
	}
	err = db.update(ctx, func(q querier) (err error) {
		if l, err = appendLine(ctx, q, l, s.Learner, seen); err != nil {
			return err
		}
		res, err := q.ExecContext(ctx, `UPDATE sitting SET handed_in_at = $1, answers = $2, verdicts = $3 WHERE id = $4 AND handed_in_at = 0`,
			toMicros(s.HandedIn), string(answers), string(verdicts), s.ID)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return firstError(err, curriculum.ErrConflict)
		}
		return nil
	})
	return l, err
}

// settingsKind is the kind of the lines that set a workshop's rules.
const settingsKind = "settings"

func appendLine(ctx context.Context, q querier, l curriculum.Line, ref string, seen int64) (curriculum.Line, error) {
	// Taking the head's row first makes appends wait for each other, also those of
	// other copies of the service on the same database.
	if _, err := q.ExecContext(ctx, `INSERT INTO signoff_head (workshop_id, seq, digest) VALUES ($1, 0, '')
		ON CONFLICT (workshop_id) DO UPDATE SET seq = signoff_head.seq`, l.Workshop); err != nil {
		return l, err
	}
	head, err := one(ctx, q, scanHead, `SELECT workshop_id, seq, digest FROM signoff_head WHERE workshop_id = $1`, l.Workshop)
	if err != nil {
		return l, err
	}
	if ref != "" {
		last, err := one(ctx, q, scanInt, `SELECT COALESCE(MAX(l.seq), 0) FROM signoff_line l JOIN signoff_name n ON n.token = l.subject WHERE n.ref_id = $1 AND l.workshop_id = $2`, ref, l.Workshop)
		if err != nil {
			return l, err
		}
		if last > seen {
			return l, curriculum.ErrConflict
		}
	}
	if l.Kind == settingsKind && seen >= 0 {
		last, err := one(ctx, q, scanInt, `SELECT COALESCE(MAX(seq), 0) FROM signoff_line WHERE workshop_id = $1 AND lathe_id = '' AND kind = $2`, l.Workshop, settingsKind)
		if err != nil {
			return l, err
		}
		if last != seen {
			return l, curriculum.ErrChanged
		}
	}
	if l, err = l.Sealed(head); err != nil {
		return l, err
	}
	if _, err := q.ExecContext(ctx, `INSERT INTO signoff_line (workshop_id, seq, at, kind, subject, by_token, lathe_id, operation, body, prev, digest)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
		l.Workshop, l.Seq, toMicros(l.At), l.Kind, l.Subject, l.By, l.Lathe, l.Operation, string(l.Body), l.Prev, l.Digest); err != nil {
		return l, err
	}
	if _, err = q.ExecContext(ctx, `UPDATE signoff_head SET seq = $1, digest = $2 WHERE workshop_id = $3`, l.Seq, l.Digest, l.Workshop); err != nil {
		return l, err
	}
	return l, logLine(ctx, q, l)
}

const lineColumns = `l.workshop_id, l.seq, l.at, l.kind, l.subject, l.by_token, l.lathe_id, l.operation, l.body, l.prev, l.digest`

// SettingsLine returns the newest line that sets a workshop's rules, or
// ErrNotFound.
func (db *DB) SettingsLine(ctx context.Context, workshop string) (curriculum.Line, error) {
	return one(ctx, db.reader(ctx), scanLine,
		`SELECT `+lineColumns+` FROM signoff_line l WHERE l.workshop_id = $1 AND l.lathe_id = '' AND l.kind = $2 ORDER BY l.seq DESC LIMIT 1`, workshop, settingsKind)
}

// LinesOf returns the lines about a learner, in the order they were added.
func (db *DB) LinesOf(ctx context.Context, workshop, learner string) ([]curriculum.Line, error) {
	return rows(ctx, db.reader(ctx), scanLine, `SELECT `+lineColumns+` FROM signoff_line l JOIN signoff_name n ON n.token = l.subject
		WHERE n.ref_id = $1 AND l.workshop_id = $2 ORDER BY l.seq`, learner, workshop)
}

// LinesAt returns the lines about a lathe, in the order they were added.
func (db *DB) LinesAt(ctx context.Context, workshop, lathe string) ([]curriculum.Line, error) {
	return rows(ctx, db.reader(ctx), scanLine,
		`SELECT `+lineColumns+` FROM signoff_line l WHERE l.workshop_id = $1 AND l.lathe_id = $2 ORDER BY l.seq`, workshop, lathe)
}

// Chain returns a workshop's whole chain and its recorded end, as they stood at
// one moment.
func (db *DB) Chain(ctx context.Context, workshop string) ([]curriculum.Line, curriculum.ChainHead, error) {
	head := curriculum.ChainHead{Workshop: workshop}
	lines, err := rows(ctx, db.reader(ctx), func(r scanner) (l curriculum.Line, err error) {
		var at int64
		var body string
		err = r.Scan(&l.Workshop, &l.Seq, &at, &l.Kind, &l.Subject, &l.By, &l.Lathe, &l.Operation, &body, &l.Prev, &l.Digest, &head.Seq, &head.Digest)
		l.At, l.Body = fromMicros(at), json.RawMessage(body)
		return l, err
	}, `SELECT COALESCE(l.workshop_id, ''), COALESCE(l.seq, 0), COALESCE(l.at, 0), COALESCE(l.kind, ''), COALESCE(l.subject, ''), COALESCE(l.by_token, ''),
			COALESCE(l.lathe_id, ''), COALESCE(l.operation, ''), COALESCE(l.body, ''), COALESCE(l.prev, ''), COALESCE(l.digest, ''), COALESCE(h.seq, 0), COALESCE(h.digest, '')
		FROM workshop w LEFT JOIN signoff_head h ON h.workshop_id = w.id LEFT JOIN signoff_line l ON l.workshop_id = w.id
		WHERE w.id = $1 ORDER BY l.seq`, workshop)
	if len(lines) == 1 && lines[0].Seq == 0 { // the row of a chain without lines
		lines = nil
	}
	return lines, head, err
}

// EndOfChain returns the recorded end of a workshop's chain; Seq is 0 where
// there is no line.
func (db *DB) EndOfChain(ctx context.Context, workshop string) (curriculum.ChainHead, error) {
	h, err := one(ctx, db.reader(ctx), scanHead, `SELECT workshop_id, seq, digest FROM signoff_head WHERE workshop_id = $1`, workshop)
	if errors.Is(err, curriculum.ErrNotFound) {
		return curriculum.ChainHead{Workshop: workshop}, nil
	}
	return h, err
}

const signOffNameColumns = `token, workshop_id, ref_id, name, salt, created_at`

// KeepSignOffName returns the token's row of a person under the name given; n is
// kept where there is none yet.
func (db *DB) KeepSignOffName(ctx context.Context, n curriculum.SignOffName) (curriculum.SignOffName, error) {
	const find = `SELECT ` + signOffNameColumns + ` FROM signoff_name WHERE ref_id = $1 AND name = $2 AND workshop_id = $3`
	kept, err := one(ctx, db.reader(ctx), scanSignOffName, find, n.Ref, n.Name, n.Workshop)
	if !errors.Is(err, curriculum.ErrNotFound) {
		return kept, err
	}
	err = db.update(ctx, func(q querier) error {
		if _, err := q.ExecContext(ctx, `INSERT INTO signoff_name (token, workshop_id, ref_id, name, salt, created_at) VALUES ($1, $2, $3, $4, $5, $6)
			ON CONFLICT (ref_id, name) DO NOTHING`, n.Token, n.Workshop, n.Ref, n.Name, n.Salt, toMicros(n.Created)); err != nil {
			return err
		}
		kept, err = one(ctx, q, scanSignOffName, find, n.Ref, n.Name, n.Workshop)
		return err
	})
	return kept, err
}

// SignOffNames returns the names behind a workshop's tokens, oldest first, with
// what each person or learner is called today.
func (db *DB) SignOffNames(ctx context.Context, workshop string) ([]curriculum.SignOffName, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (n curriculum.SignOffName, err error) {
		var at int64
		err = r.Scan(&n.Token, &n.Workshop, &n.Ref, &n.Name, &n.Salt, &at, &n.Today)
		n.Created = fromMicros(at)
		return n, err
	}, `SELECT n.token, n.workshop_id, n.ref_id, n.name, n.salt, n.created_at, COALESCE(l.name, p.name, n.name)
		FROM signoff_name n LEFT JOIN learner l ON l.id = n.ref_id LEFT JOIN person p ON p.id = n.ref_id
		WHERE n.workshop_id = $1 ORDER BY n.created_at, n.token`, workshop)
}

// ForgetSignOffName removes what leads from the chain to a learner or person,
// and a learner's card and sittings. The chain stays as it is.
func (db *DB) ForgetSignOffName(ctx context.Context, workshop, ref, by string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		if _, err := forget(ctx, q, ref, func(t personal) bool { return t.signOff }); err != nil {
			return err
		}
		return logEvent(ctx, q, workshop, now, by, "sign-off names erased", "")
	})
}

// SignOffCard returns the code of a learner's card; code is kept where there is
// none yet.
func (db *DB) SignOffCard(ctx context.Context, workshop, learner, code string, now time.Time) (string, error) {
	err := db.update(ctx, func(q querier) (err error) {
		if _, err = q.ExecContext(ctx, `INSERT INTO signoff_card (learner_id, workshop_id, code, created_at) VALUES ($1, $2, $3, $4) ON CONFLICT (learner_id) DO NOTHING`,
			learner, workshop, code, toMicros(now)); err != nil {
			return err
		}
		code, err = one(ctx, q, scanText, `SELECT code FROM signoff_card WHERE learner_id = $1`, learner)
		return err
	})
	return code, err
}

// SignOffCardLearner returns the id of the learner whose card has the code.
func (db *DB) SignOffCardLearner(ctx context.Context, workshop, code string) (string, error) {
	return one(ctx, db.reader(ctx), scanText, `SELECT learner_id FROM signoff_card WHERE workshop_id = $1 AND code = $2`, workshop, code)
}

// WorkshopLearners returns every learner of a workshop, oldest first, without
// seats.
func (db *DB) WorkshopLearners(ctx context.Context, workshop string) ([]curriculum.Learner, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (l curriculum.Learner, err error) {
		var at int64
		err = r.Scan(&l.ID, &l.Workshop, &l.Name, &l.Units, &l.Version, &at)
		l.Created = fromMicros(at)
		return l, err
	}, `SELECT id, workshop_id, name, units, version, created_at FROM learner WHERE workshop_id = $1 ORDER BY created_at, id`, workshop)
}

// Sitting returns a sitting with its exercises as issued.
func (db *DB) Sitting(ctx context.Context, id string) (curriculum.Sitting, error) {
	return one(ctx, db.reader(ctx), func(r scanner) (s curriculum.Sitting, err error) {
		var exercises, answers, verdicts string
		var opened, closes, in int64
		if err = r.Scan(&s.ID, &s.Workshop, &s.Kind, &s.Learner, &s.Lathe, &s.Operation, &s.Supervisor, &exercises, &opened, &closes, &in, &answers, &verdicts); err != nil {
			return s, err
		}
		s.Opened, s.Closes = fromMicros(opened), fromMicros(closes)
		if in != 0 {
			s.HandedIn = fromMicros(in)
		}
		return s, errors.Join(json.Unmarshal([]byte(exercises), &s.Exercises), json.Unmarshal([]byte(answers), &s.Answers), json.Unmarshal([]byte(verdicts), &s.Verdicts))
	}, `SELECT id, workshop_id, kind, learner_id, lathe_id, operation, supervisor_id, exercises, opened_at, closes_at, handed_in_at, answers, verdicts FROM sitting WHERE id = $1`, id)
}

// OpenSittings returns a learner's sittings that can still be handed in, newest
// first, without exercises.
func (db *DB) OpenSittings(ctx context.Context, learner string, now time.Time) ([]curriculum.Sitting, error) {
	return rows(ctx, db.reader(ctx), func(r scanner) (s curriculum.Sitting, err error) {
		var opened, closes int64
		err = r.Scan(&s.ID, &s.Workshop, &s.Kind, &s.Learner, &s.Lathe, &s.Operation, &s.Supervisor, &opened, &closes)
		s.Opened, s.Closes = fromMicros(opened), fromMicros(closes)
		return s, err
	}, `SELECT id, workshop_id, kind, learner_id, lathe_id, operation, supervisor_id, opened_at, closes_at FROM sitting
		WHERE learner_id = $1 AND handed_in_at = 0 AND closes_at >= $2 ORDER BY opened_at DESC, id`, learner, toMicros(now))
}

func scanLine(r scanner) (l curriculum.Line, err error) {
	var at int64
	var body string
	err = r.Scan(&l.Workshop, &l.Seq, &at, &l.Kind, &l.Subject, &l.By, &l.Lathe, &l.Operation, &body, &l.Prev, &l.Digest)
	l.At, l.Body = fromMicros(at), json.RawMessage(body)
	return l, err
}

func scanHead(r scanner) (h curriculum.ChainHead, err error) {
	err = r.Scan(&h.Workshop, &h.Seq, &h.Digest)
	return h, err
}

func scanSignOffName(r scanner) (n curriculum.SignOffName, err error) {
	var at int64
	err = r.Scan(&n.Token, &n.Workshop, &n.Ref, &n.Name, &n.Salt, &at)
	n.Created = fromMicros(at)
	return n, err
}

func scanText(r scanner) (s string, err error) {
	err = r.Scan(&s)
	return s, err
}

func scanInt(r scanner) (n int64, err error) {
	err = r.Scan(&n)
	return n, err
}
