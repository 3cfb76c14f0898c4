package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"halfnut/curriculum"
)

// Backup writes a consistent copy of the database to a new file while others go
// on reading and writing: SQLite by VACUUM INTO, PostgreSQL by pg_dump in its
// custom format. The copy is checked and then given its name, so a file of that
// name is always whole. It returns the size in bytes.
func (db *DB) Backup(ctx context.Context, to string) (int64, error) {
	if _, err := os.Stat(to); err == nil {
		return 0, fmt.Errorf("%w: %s is there already", curriculum.ErrConflict, to)
	}
	// Beside its place, so that the last step is a rename; readable by the owner
	// alone, as it holds everybody's records.
	temp, err := os.CreateTemp(filepath.Dir(to), ".halfnut-backup-*")
	if err != nil {
		return 0, err
	}
	defer func() { _ = os.Remove(temp.Name()) }() // gone already when all went well
	if err := temp.Close(); err != nil {
		return 0, err
	}
	if db.engine == engineSQLite {
		err = db.vacuumInto(ctx, temp.Name())
	} else {
		err = db.dump(ctx, temp.Name())
	}
	if err != nil {
		return 0, err
	}
	return settle(temp.Name(), to)
}

// vacuumInto copies one snapshot of the file. Copying step by step would begin
// again at every write, and a copy of the file alone lacks what is still in its
// log.
func (db *DB) vacuumInto(ctx context.Context, to string) error {
	from, err := sql.Open("sqlite", fileAddress(db.path, url.Values{"_pragma": {"busy_timeout(10000)"}}))
	if err != nil {
		return err
	}
	defer func() { _ = from.Close() }()
	if _, err := from.ExecContext(ctx, `VACUUM INTO $1`, to); err != nil {
		return norm(err)
	}
	return verifyFile(ctx, to)
}

// dump runs pg_dump. The password goes by the environment: arguments can be read
// by everybody on the machine.
func (db *DB) dump(ctx context.Context, to string) error {
	address, environment, err := withoutPassword(db.address)
	if err != nil {
		return err
	}
	if err := tool(ctx, environment, nil, nil, "pg_dump", "--format=custom", "--no-owner", "--file="+to, "--dbname="+address); err != nil {
		return err
	}
	return verifyDump(ctx, to)
}

// verifyFile checks a file of SQLite's throughout.
func verifyFile(ctx context.Context, path string) error {
	copied, err := OpenExisting(ctx, path)
	if err != nil {
		return err
	}
	defer func() { _ = copied.Close() }()
	faults, err := copied.integrity(ctx)
	if err == nil && len(faults) > 0 {
		err = fmt.Errorf("%w: %s: %s", errDamaged, filepath.Base(path), strings.Join(faults, "; "))
	}
	if err != nil {
		return err
	}
	tables, err := copied.tables(ctx)
	if err == nil && !tables["workshop"] {
		err = fmt.Errorf("%s holds no workshop's records", filepath.Base(path))
	}
	return err
}

var errDamaged = errors.New("damaged")

// verifyDump reads a dump's table of contents and looks for ours in it.
func verifyDump(ctx context.Context, path string) error {
	var list strings.Builder
	if err := tool(ctx, nil, nil, &list, "pg_restore", "--list", path); err != nil {
		return err
	}
	if !strings.Contains(list.String(), "TABLE DATA public workshop ") {
		return fmt.Errorf("%s holds no workshop's records", filepath.Base(path))
	}
	return nil
}

// settle makes a finished file durable and gives it its name.
func settle(temp, to string) (int64, error) {
	f, err := os.OpenFile(temp, os.O_RDWR, 0)
	if err != nil {
		return 0, err
	}
	info, err := f.Stat()
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return 0, err
	}
	if err := os.Rename(temp, to); err != nil {
		return 0, err
	}
	return info.Size(), syncFolder(filepath.Dir(to))
}

// syncFolder makes a rename durable. Systems on which a folder cannot be opened
// or synced keep their own order of renames.
func syncFolder(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return nil
	}
	_ = d.Sync()
	return d.Close()
}

// withoutPassword splits an address into what may be an argument and the
// environment that carries the password.
func withoutPassword(address string) (string, []string, error) {
	u, err := url.Parse(address)
	if err != nil {
		return "", nil, errors.New("the postgres:// address cannot be read")
	}
	query := u.Query()
	password := query.Get("password")
	if p, ok := u.User.Password(); ok {
		password = p
		u.User = url.User(u.User.Username())
	}
	query.Del("password")
	u.RawQuery = query.Encode()
	if password == "" {
		return u.String(), nil, nil
	}
	return u.String(), []string{"PGPASSWORD=" + password}, nil
}

// tool runs one of PostgreSQL's own programs.
func tool(ctx context.Context, environment []string, in io.Reader, out io.Writer, name string, args ...string) error {
	path, err := exec.LookPath(name)
	if err != nil {
		return fmt.Errorf("%s is not installed here; it comes with PostgreSQL's client programs and must be no older than the server", name)
	}
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.Env = append(os.Environ(), environment...)
	cmd.Stdin, cmd.Stdout = in, out
	var said strings.Builder
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		if text := strings.TrimSpace(said.String()); text != "" {
			return fmt.Errorf("%s: %s", name, text)
		}
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}
