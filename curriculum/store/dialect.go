package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io"
	"net"

	"github.com/jackc/pgx/v5/pgconn"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"halfnut/curriculum"
)

// norm turns a driver's error into one of curriculum's sentinels, keeping the
// cause for the log.
func norm(err error) error {
	if err == nil {
		return nil
	}
	for _, known := range []error{
		curriculum.ErrNotFound, curriculum.ErrConflict, curriculum.ErrInvalid, curriculum.ErrUnavailable, curriculum.ErrTaken,
		context.Canceled, context.DeadlineExceeded,
	} {
		if errors.Is(err, known) {
			return err
		}
	}
	if errors.Is(err, sql.ErrNoRows) {
		return curriculum.ErrNotFound
	}
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		switch {
		case pg.Code == "23505":
			return fmt.Errorf("%w: already there (%s)", curriculum.ErrConflict, pg.ConstraintName)
		case pg.Code == "23503" || pg.Code == "23514" || pg.Code == "23502":
			return fmt.Errorf("%w: %s", curriculum.ErrInvalid, pg.ConstraintName)
		case pg.Code == "40001" || pg.Code == "40P01":
			return fmt.Errorf("%w: changed meanwhile", curriculum.ErrConflict)
		case pg.Code[:2] == "53" || pg.Code[:2] == "57" || pg.Code[:2] == "08":
			return fmt.Errorf("%w: %w", curriculum.ErrUnavailable, err)
		}
		return err
	}
	var lite *sqlite.Error
	if errors.As(err, &lite) {
		switch lite.Code() {
		case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY:
			return fmt.Errorf("%w: already there", curriculum.ErrConflict)
		case sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY, sqlite3.SQLITE_CONSTRAINT_CHECK, sqlite3.SQLITE_CONSTRAINT_NOTNULL:
			return fmt.Errorf("%w: %w", curriculum.ErrInvalid, err)
		}
		switch lite.Code() & 0xff {
		case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN:
			return fmt.Errorf("%w: %w", curriculum.ErrUnavailable, err)
		}
		return err
	}
	if lost(err) {
		return fmt.Errorf("%w: %w", curriculum.ErrUnavailable, err)
	}
	return err
}

// lost tells a connection that broke, or was never made, from an error that the
// database itself gave. Whether a write that was under way has been kept is not
// known then; sent again under its id it counts once.
func lost(err error) bool {
	var network net.Error
	var connect *pgconn.ConnectError
	if errors.As(err, &network) || errors.As(err, &connect) || pgconn.SafeToRetry(err) {
		return true
	}
	for _, end := range []error{driver.ErrBadConn, sql.ErrConnDone, sql.ErrTxDone, io.EOF, io.ErrUnexpectedEOF, net.ErrClosed} {
		if errors.Is(err, end) {
			return true
		}
	}
	return false
}
