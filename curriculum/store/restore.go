package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"time"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"halfnut/curriculum"
)

// Restore puts a backup in the place of the database at address. The backup is
// checked first. What is there already is replaced only if overwrite is said,
// and whole or not at all; an SQLite file that was there is kept beside it, and
// its new name is returned.
func Restore(ctx context.Context, from, address string, overwrite bool, now time.Time) (kept string, err error) {
	if _, err := os.Stat(from); err != nil {
		return "", fmt.Errorf("%w: there is no file %s", curriculum.ErrNotFound, from)
	}
	if IsPostgres(address) {
		err = restoreDump(ctx, from, address, overwrite)
	} else {
		kept, err = restoreFile(ctx, from, address, overwrite, now)
	}
	return kept, err
}

func restoreFile(ctx context.Context, from, path string, overwrite bool, now time.Time) (kept string, err error) {
	if err := verifyFile(ctx, from); err != nil {
		return "", err
	}
	if path, err = filepath.Abs(path); err != nil {
		return "", err
	}
	release, err := holdFile(ctx, path)
	if err != nil {
		return "", err
	}
	defer release()
	_, statErr := os.Stat(path)
	there := statErr == nil
	if there {
		if !overwrite {
			return "", fmt.Errorf("%w: %s is there already; --overwrite replaces it and keeps the old file beside it", curriculum.ErrConflict, path)
		}
		if err := closeLog(ctx, path); err != nil {
			return "", err
		}
	}
	temp, err := os.CreateTemp(filepath.Dir(path), ".halfnut-restore-*")
	if err != nil {
		return "", err
	}
	defer func() { _ = os.Remove(temp.Name()) }()
	if err := copyInto(temp, from); err != nil {
		return "", err
	}
	if err := verifyFile(ctx, temp.Name()); err != nil {
		return "", err
	}
	if there {
		kept = path + ".replaced-" + now.UTC().Format("20060102T150405Z")
		// A log that closeLog could not take in (the old file is damaged) goes with
		// its file: a new file must never meet an old log.
		for _, suffix := range []string{"", "-wal", "-shm"} {
			if err := os.Rename(path+suffix, kept+suffix); err != nil && !errors.Is(err, os.ErrNotExist) {
				return "", err
			}
		}
	}
	_, err = settle(temp.Name(), path)
	return kept, err
}

// closeLog takes the old file's log into the file, which only the one process
// that has it open can do: a running service makes it fail.
func closeLog(ctx context.Context, path string) error {
	old, err := sql.Open("sqlite", fileAddress(path, url.Values{"_pragma": {"busy_timeout(500)"}}))
	if err != nil {
		return err
	}
	defer func() { _ = old.Close() }()
	_, err = old.ExecContext(ctx, `PRAGMA journal_mode = DELETE`)
	var lite *sqlite.Error
	if errors.As(err, &lite) && lite.Code()&0xff == sqlite3.SQLITE_BUSY {
		return fmt.Errorf("%w: %s is in use; stop the service first", curriculum.ErrConflict, filepath.Base(path))
	}
	return nil // a damaged file is what a backup is restored for
}

func copyInto(to *os.File, from string) error {
	f, err := os.Open(from)
	if err != nil {
		return errors.Join(err, to.Close())
	}
	defer func() { _ = f.Close() }()
	_, err = io.Copy(to, f)
	return errors.Join(err, to.Close())
}

// restoreDump sends a dump's statements to psql in one transaction. Its end is
// sent only after pg_restore has succeeded: cut off earlier, nothing changes.
func restoreDump(ctx context.Context, from, address string, overwrite bool) error {
	if err := verifyDump(ctx, from); err != nil {
		return err
	}
	db, err := OpenExisting(ctx, address)
	if err != nil {
		return err
	}
	tables, err := db.tables(ctx)
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	if len(tables) > 0 && !overwrite {
		return fmt.Errorf("%w: the database holds %d tables already; --overwrite replaces everything in its schemas public and river", curriculum.ErrConflict, len(tables))
	}
	bare, environment, err := withoutPassword(address)
	if err != nil {
		return err
	}
	reader, writer := io.Pipe()
	sent := make(chan error, 1)
	go func() {
		err := sendDump(ctx, writer, from)
		// Without COMMIT psql ends, and the server takes everything back.
		_ = writer.CloseWithError(err)
		sent <- err
	}()
	err = tool(ctx, environment, reader, nil, "psql", "--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1", "--dbname="+bare, "--file=-")
	_ = reader.CloseWithError(errors.New("psql has ended"))
	if unsent := <-sent; err == nil {
		err = unsent
	}
	return err
}

func sendDump(ctx context.Context, to io.Writer, from string) error {
	if _, err := io.WriteString(to, "BEGIN;\nSET client_min_messages = warning;\nDROP SCHEMA IF EXISTS river CASCADE;\nDROP SCHEMA public CASCADE;\nCREATE SCHEMA public AUTHORIZATION pg_database_owner;\n"); err != nil {
		return err
	}
	if err := tool(ctx, nil, nil, to, "pg_restore", "--no-owner", "--no-privileges", "--file=-", from); err != nil {
		return err
	}
	_, err := io.WriteString(to, "\nCOMMIT;\n")
	return err
}
