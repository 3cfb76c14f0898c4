package main

import (
	"context"
	"flag"
	"fmt"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

func benchCardCommand() command {
	var out, method, paper, learner string
	var large, contrast bool
	return command{
		name: "bench-card", args: "FILE|- --o CARD.pdf [flags]",
		summary: "print the card for one job on one lathe",
		help: "Reads a thread job as halfnut solve does and writes the card that lies beside the lathe:\n" +
			"what to dial for every start and pass, with boxes to tick, run-out, scratch-pass proof,\n" +
			"limits and cautions. A job whose run-out margin fails, or is not known while no\n" +
			"cut.withdrawal_mark is given, or whose lead the lathe cannot cut exactly, gets no card:\n" +
			"every reason is said, with exit status 2.",
		example: "halfnut bench-card testdata/workshop/jobs/three-start-m30.json --o card.pdf",
		flags: func(f *flag.FlagSet) action {
			f.StringVar(&out, "o", "", "`FILE` where the card goes")
			f.StringVar(&method, "method", "", "`METHOD` from start to start, such as chuck-jaws; else the best that serves")
			f.StringVar(&learner, "learner", "", "`NAME` printed on the card; else a line for it")
			f.StringVar(&paper, "paper", "a4", "`a4|letter` the paper")
			f.BoolVar(&large, "large-print", false, "large print")
			f.BoolVar(&contrast, "high-contrast", false, "black on white, bolder lines")
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(1, args, "one FILE, or - for standard input"); err != nil {
					return err
				}
				if out == "" {
					return fmt.Errorf("--o: name the file for the card")
				}
				size, err := worksheets.PaperNamed(paper)
				if err != nil {
					return fmt.Errorf("--paper: %w", err)
				}
				data, err := readInput(c, args[0])
				if err != nil {
					return err
				}
				request, err := threadmath.ParseRequest(data)
				if err != nil {
					return err
				}
				card, err := shop.BenchCard(request, method, curriculum.UnitsOfJob)
				if err != nil {
					return err
				}
				sheet, err := worksheets.BenchCard(card, learner, worksheets.NewStyle(size, worksheets.Options{LargePrint: large, HighContrast: contrast}))
				if err != nil {
					return err
				}
				return writeSheet(out, sheet)
			}
		},
	}
}
