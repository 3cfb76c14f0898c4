package store

import (
	"context"
	"time"

	"halfnut/curriculum"
)

// CreateSession keeps a session or a one-time link under the hash of its secret;
// by is who made it. The log tells of links and of people, not of every learner
// who joins.
func (db *DB) CreateSession(ctx context.Context, hash string, s curriculum.Session, by string) error {
	return db.update(ctx, func(q querier) error {
		if err := insertSession(ctx, q, hash, s); err != nil {
			return err
		}
		switch s.Kind {
		case curriculum.SessionLink:
			return logEvent(ctx, q, s.Workshop, s.Created, by, "link made", s.Subject)
		case curriculum.SessionPerson:
			return logEvent(ctx, q, s.Workshop, s.Created, by, "signed in by passphrase", s.Subject)
		}
		return nil
	})
}

func insertSession(ctx context.Context, q querier, hash string, s curriculum.Session) error {
	_, err := q.ExecContext(ctx, `INSERT INTO session (token_hash, kind, subject_id, workshop_id, created_at, expires_at) VALUES ($1, $2, $3, $4, $5, $6)`,
		hash, s.Kind, s.Subject, s.Workshop, toMicros(s.Created), toMicros(s.Expires))
	return err
}

const sessionColumns = `kind, subject_id, workshop_id, created_at, expires_at`

// Session returns the session with the hash if it has not expired.
func (db *DB) Session(ctx context.Context, hash string, now time.Time) (curriculum.Session, error) {
	return one(ctx, db.reader(ctx), scanSession,
		`SELECT `+sessionColumns+` FROM session WHERE token_hash = $1 AND expires_at > $2 AND kind <> 'link'`, hash, toMicros(now))
}

// UseLink turns a one-time link into a session; a second use finds nothing.
func (db *DB) UseLink(ctx context.Context, link, hash string, now, expires time.Time) (curriculum.Session, error) {
	var s curriculum.Session
	err := db.update(ctx, func(q querier) error {
		var err error
		s, err = one(ctx, q, scanSession,
			`DELETE FROM session WHERE token_hash = $1 AND expires_at > $2 AND kind = 'link' RETURNING `+sessionColumns, link, toMicros(now))
		if err != nil {
			return err
		}
		s.Kind, s.Created, s.Expires = curriculum.SessionPerson, now, expires
		if err := insertSession(ctx, q, hash, s); err != nil {
			return err
		}
		return logEvent(ctx, q, s.Workshop, now, s.Subject, "signed in by link", s.Subject)
	})
	return s, err
}

// EndSession forgets a session, and all that have expired.
func (db *DB) EndSession(ctx context.Context, hash string, now time.Time) error {
	return db.update(ctx, func(q querier) error {
		_, err := q.ExecContext(ctx, `DELETE FROM session WHERE token_hash = $1 OR expires_at <= $2`, hash, toMicros(now))
		return err
	})
}

func scanSession(r scanner) (s curriculum.Session, err error) {
	var created, expires int64
	err = r.Scan(&s.Kind, &s.Subject, &s.Workshop, &created, &expires)
	s.Created, s.Expires = fromMicros(created), fromMicros(expires)
	return s, err
}
