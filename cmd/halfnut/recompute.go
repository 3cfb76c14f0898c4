package main

import (
	"context"
	"errors"
	"flag"
	"fmt"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/store"
)

// recomputeFlags say which database, and whether to mend it.
type recomputeFlags struct {
	databaseFlags
	write bool
}

func recomputeCommand() command {
	var r recomputeFlags
	return command{
		name: "recompute", environment: databaseFlagNames, args: "[--write] [--data FILE | --database postgres://…]",
		summary: "compare everybody's mastery with the record of attempts",
		help: "Works out from the attempts alone where every learner stands with every skill, and\n" +
			"prints what is kept differently, one line for each. With --write the computed state\n" +
			"takes its place. The exit status is 1 when something differed and was left so. It may\n" +
			"run beside the service.",
		example: "halfnut recompute --data halfnut.db",
		flags: func(f *flag.FlagSet) action {
			r.declare(f)
			f.BoolVar(&r.write, "write", false, "keep the computed state where it differs")
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				return r.recompute(ctx, c)
			}
		},
	}
}

func (r *recomputeFlags) recompute(ctx context.Context, c console) (err error) {
	where, err := r.address()
	if err != nil {
		return err
	}
	db, err := store.Open(ctx, where)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	differences := 0
	learners, err := db.CompareCells(ctx, mastery.Fold, r.write, func(d store.Difference) error {
		differences++
		_, err := fmt.Fprintf(c.out, "%s %s: kept %s, computed %s\n", d.Learner, d.Skill, stateText(d.Kept), stateText(d.Computed))
		return err
	})
	if err != nil {
		return err
	}
	done := "left as they are"
	if r.write {
		done = "mended"
	}
	if _, err := fmt.Fprintf(c.out, "%d learners, %d differences %s\n", learners, differences, done); err != nil {
		return err
	}
	if differences > 0 && !r.write {
		return errMissed
	}
	return nil
}

func stateText(c *curriculum.Cell) string {
	if c == nil {
		return "nothing"
	}
	return fmt.Sprintf("%.4f (%d of %d right)", c.Known, c.Rights, c.Chances)
}
