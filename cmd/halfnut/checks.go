package main

import (
	"context"
	"flag"

	"halfnut/threadmath/checks"
)

func checksCommand() command {
	return command{
		name: "checks", summary: "check the mathematics against published values",
		help: "Computes every published value that this program carries (handbooks, standards'\n" +
			"tables, worked examples) and compares. Prints the count for each source; exit\n" +
			"status 1 if a value that was read in its source misses.",
		example: "halfnut checks",
		flags: func(*flag.FlagSet) action {
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(0, args, "nothing"); err != nil {
					return err
				}
				report, err := checks.Run()
				if err != nil {
					return err
				}
				if err := report.WriteText(c.out); err != nil {
					return err
				}
				if !report.OK() {
					return errMissed
				}
				return nil
			}
		},
	}
}
