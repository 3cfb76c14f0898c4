package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
)

const databaseArgs = "[--data FILE | --database postgres://…]"

// onDatabase opens the database that the flags name, as it is.
func (d *databaseFlags) onDatabase(ctx context.Context, act func(*store.DB) error) error {
	address, err := d.address()
	if err != nil {
		return err
	}
	db, err := store.OpenExisting(ctx, address)
	if err != nil {
		return err
	}
	return errors.Join(act(db), db.Close())
}

func backupCommand() command {
	var d databaseFlags
	return command{
		name: "backup", environment: databaseFlagNames, args: databaseArgs + " FILE",
		summary: "copy the records to a file while the service runs",
		help: "Writes a consistent copy of everything to FILE, which must not be there yet, checks it\n" +
			"and only then gives it its name. An SQLite database becomes another one; of PostgreSQL\n" +
			"pg_dump makes an archive in its custom format, which pg_restore reads too. FILE holds\n" +
			"everybody's records: keep it where only you can read it, and a copy on another machine.",
		example: "halfnut serve --demo\nhalfnut backup monday.db",
		flags: func(f *flag.FlagSet) action {
			d.declare(f)
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(1, args, "one FILE to write"); err != nil {
					return err
				}
				return d.onDatabase(ctx, func(db *store.DB) error {
					begun := time.Now()
					size, err := db.Backup(ctx, args[0])
					if err != nil {
						return err
					}
					took := max(time.Since(begun).Seconds(), 0.001)
					_, err = fmt.Fprintf(c.out, "%s: %.1f MB in %.1f s, checked\n", args[0], float64(size)/1e6, took)
					return err
				})
			}
		},
	}
}

func restoreCommand() command {
	var d databaseFlags
	var overwrite bool
	return command{
		name: "restore", environment: databaseFlagNames, args: databaseArgs + " [--overwrite] FILE",
		summary: "put a backup in the place of the records",
		help: "Checks FILE, which halfnut backup made, and puts it where --data or --database says; then\n" +
			"checks the records there as halfnut check does. Stop the service first. Records that are\n" +
			"there already are replaced only with --overwrite, whole or not at all; an SQLite file is\n" +
			"kept beside under another name.",
		example: "halfnut restore --data halfnut.db monday.db\nhalfnut serve",
		flags: func(f *flag.FlagSet) action {
			d.declare(f)
			f.BoolVar(&overwrite, "overwrite", false, "replace records that are there already")
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(1, args, "one FILE to read"); err != nil {
					return err
				}
				address, err := d.address()
				if err != nil {
					return err
				}
				kept, err := store.Restore(ctx, args[0], address, overwrite, time.Now())
				if err != nil {
					return err
				}
				if kept != "" {
					if _, err := fmt.Fprintf(c.out, "the old records are kept as %s\n", kept); err != nil {
						return err
					}
				}
				return d.onDatabase(ctx, func(db *store.DB) error { return check(ctx, c.out, db) })
			}
		},
	}
}

func checkCommand() command {
	var d databaseFlags
	return command{
		name: "check", environment: databaseFlagNames, args: databaseArgs,
		summary: "check the records through and through",
		help: "Reads everything and changes nothing; the service may run. Checks the structure and the\n" +
			"references, the version, every row and document, marks and cells against a rebuild\n" +
			"from the answers, and the chain of sign-offs. Exit status 1 if anything is at fault.",
		example: "halfnut serve --demo\nhalfnut check --data halfnut.db",
		flags: func(f *flag.FlagSet) action {
			d.declare(f)
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				return d.onDatabase(ctx, func(db *store.DB) error { return check(ctx, c.out, db) })
			}
		},
	}
}

// check reports what is found in a database; faults make it errMissed.
func check(ctx context.Context, out io.Writer, db *store.DB) error {
	r, err := db.Check(ctx, mastery.Fold)
	if err != nil {
		return err
	}
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	line := func(name, format string, args ...any) {
		_, _ = fmt.Fprintf(w, "%s\t%s\n", name, fmt.Sprintf(format, args...))
	}
	line("engine", "%s", r.Engine)
	behind := ""
	if r.Behind {
		behind = "; halfnut serve brings it up"
	}
	line("version", "%d of %d%s", r.Version, r.Newest, behind)
	var rows int64
	for _, t := range r.Rows {
		rows += t.Rows
	}
	line("read", "%d rows of %d tables", rows, len(r.Rows))
	if !r.Behind {
		line("marks", "%d of %d sets compared with a rebuild", r.Marks, r.Sets)
		line("cells", "of %d learners compared with a rebuild", r.Learners)
		line("sign-offs", "%d lines, each holding the digest of the one before", r.Lines)
	}
	for _, f := range r.Faults {
		line("FAULT", "%s", f)
	}
	if len(r.Faults) == 0 {
		line("faults", "none")
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if _, err := io.WriteString(out, b.String()); err != nil {
		return err
	}
	if len(r.Faults) > 0 {
		return errMissed
	}
	return nil
}

func exportCommand() command {
	var d databaseFlags
	var workshop, out string
	return command{
		name: "export", environment: databaseFlagNames, args: databaseArgs + " [--workshop NAME] [--out FILE]",
		summary: "write a workshop's records as JSON lines",
		help: "Writes everything that is kept of one workshop, all of one moment: a first line with\n" +
			"\"format\", \"workshop\", \"version\" and \"at\", then a line {\"table\": …, \"row\": {…}} for each row,\n" +
			"what a row refers to before it. Times are microseconds since 1970, UTC. PINs, sessions\n" +
			"and what is computed from other rows are left out. It holds answers and keys: for\n" +
			"instructors only.",
		example: "halfnut serve --demo\nhalfnut export --out records.jsonl",
		flags: func(f *flag.FlagSet) action {
			d.declare(f)
			f.StringVar(&workshop, "workshop", "", "`NAME` or id of the workshop, where there are several")
			f.StringVar(&out, "out", "", "`FILE` to write; without it standard output")
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				return d.onDatabase(ctx, func(db *store.DB) error {
					id, err := workshopNamed(ctx, db, workshop)
					if err != nil {
						return err
					}
					if out == "" {
						return db.Export(ctx, id, c.out, time.Now())
					}
					// Private from the start, and never over a file that is there.
					file, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
					if err != nil {
						return err
					}
					return errors.Join(db.Export(ctx, id, file, time.Now()), file.Sync(), file.Close())
				})
			}
		},
	}
}

// workshopNamed finds a workshop by name or id; the only one needs neither.
func workshopNamed(ctx context.Context, db *store.DB, name string) (string, error) {
	all, err := db.Workshops(ctx)
	if err != nil {
		return "", err
	}
	var names, found []string
	for _, w := range all {
		names = append(names, w.Name)
		if w.ID == name || w.Name == name || (name == "" && len(all) == 1) {
			found = append(found, w.ID)
		}
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return "", fmt.Errorf("%w: --workshop %q: %d workshops have this name; give an id", curriculum.ErrConflict, name, len(found))
	}
	return "", fmt.Errorf("%w: --workshop %q: one of %s", curriculum.ErrNotFound, name, strings.Join(names, ", "))
}
