package main

import (
	"context"
	"encoding/hex"
	"flag"
	"fmt"
	"io"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/store"
)

func auditCommand() command {
	var d databaseFlags
	var kept string
	return command{
		name: "audit", environment: databaseFlagNames, args: databaseArgs + " [--kept SEQ:DIGEST]",
		summary: "follow the sign-off record line by line",
		help: "Recomputes the digest of every line of every workshop's sign-off record and names what\n" +
			"was changed, removed, put in, moved or cut off, and every name that is not the one its\n" +
			"token was made for. Prints where each record ends: keep that line on paper, it stands\n" +
			"on every printed card and sheet. --kept compares with one kept earlier (digests may be\n" +
			"typed with gaps). Exit status 1 if anything is at fault. Without a kept end it cannot\n" +
			"find that everything from some line on was written anew, or that lines were cut off\n" +
			"together with the recorded end; and never that a line was not written, or was false.",
		example: "halfnut serve --demo\nhalfnut audit --data halfnut.db",
		flags: func(f *flag.FlagSet) action {
			d.declare(f)
			f.StringVar(&kept, "kept", "", "`SEQ:DIGEST` the end of a record, kept earlier")
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				head, err := parseHead(kept)
				if err != nil {
					return err
				}
				return d.onDatabase(ctx, func(db *store.DB) error { return audit(ctx, c.out, db, head) })
			}
		},
	}
}

// parseHead reads the end of a chain as it is printed; empty is none.
func parseHead(text string) (*curriculum.ChainHead, error) {
	if text == "" {
		return nil, nil
	}
	number, digest, _ := strings.Cut(strings.ToLower(strings.Join(strings.Fields(text), "")), ":")
	seq, err := strconv.ParseInt(number, 10, 64)
	raw, hexErr := hex.DecodeString(digest)
	if err != nil || seq < 1 || hexErr != nil || len(raw) != 32 {
		return nil, fmt.Errorf("--kept: %q is not the number of a line, a colon and 64 hexadecimal digits", text)
	}
	return &curriculum.ChainHead{Seq: seq, Digest: digest}, nil
}

// audit reports every workshop's record; faults make it errMissed. A kept end
// must be that of one of them.
func audit(ctx context.Context, out io.Writer, db *store.DB, kept *curriculum.ChainHead) error {
	service := practice.New(db, practice.Options{})
	workshops, err := service.Workshops(ctx)
	if err != nil {
		return err
	}
	var b strings.Builder
	faults, matched := 0, kept == nil
	for _, w := range workshops {
		a, err := service.AuditSignOffs(ctx, w)
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%s: %d lines", w.Name, a.Lines)
		if a.Head.Seq > 0 {
			fmt.Fprintf(&b, ", the record ends with %s", a.Head)
		}
		b.WriteString("\n")
		for _, f := range a.Faults {
			fmt.Fprintf(&b, "  %s\n", f)
		}
		faults += len(a.Faults)
		if kept != nil {
			with, err := service.AuditSignOffs(ctx, w, *kept)
			if err != nil {
				return err
			}
			matched = matched || len(with.Faults) == len(a.Faults) && with.Head.Seq >= kept.Seq
		}
	}
	if !matched {
		faults++
		fmt.Fprintf(&b, "no record holds line %d as it was when that end was kept: lines were cut off or written anew\n", kept.Seq)
	}
	if faults == 0 {
		b.WriteString("nothing at fault\n")
	}
	if _, err := io.WriteString(out, b.String()); err != nil {
		return err
	}
	if faults > 0 {
		return errMissed
	}
	return nil
}
