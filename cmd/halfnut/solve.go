package main

import (
	"context"
	"encoding/json"
	"flag"

	"halfnut/threadmath"
)

func solveCommand() command {
	return command{
		name: "solve", args: "FILE|-", summary: "work out everything about one thread on one lathe",
		help: "Reads a thread job as JSON (a thread, and what is known of the lathe and the cut) and\n" +
			"writes all that must be known to cut it: pitch, lead and depth, where each start\n" +
			"lies, what the thread dial catches, which ways of indexing serve and what their\n" +
			"errors cost, passes and collar readings, tool, run-out, measurement, cautions.\n" +
			"\"-\" reads standard input.",
		example: "halfnut solve testdata/workshop/jobs/three-start-m30.json",
		flags: func(*flag.FlagSet) action {
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(1, args, "one FILE, or - for standard input"); err != nil {
					return err
				}
				data, err := readInput(c, args[0])
				if err != nil {
					return err
				}
				request, err := threadmath.ParseRequest(data)
				if err != nil {
					return err
				}
				answer, err := threadmath.Solve(request)
				if err != nil {
					return err
				}
				e := json.NewEncoder(c.out)
				e.SetEscapeHTML(false)
				e.SetIndent("", "  ")
				return e.Encode(answer)
			}
		},
	}
}
