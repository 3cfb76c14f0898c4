package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

func benchCardCommand() command {
	var out, method, paper, learner string
	var large, contrast, asJSON bool
	return command{
		name: "bench-card", args: "FILE|- --o CARD.pdf | --json [flags]",
		summary: "print the card for one job on one lathe",
		help: "Reads a thread job as halfnut solve does and writes the card that lies beside the lathe:\n" +
			"what to turn, to set and to measure, where to act at the end of every pass, the collar's\n" +
			"reading for every start and pass, where to stop and measure, limits and cautions. A job\n" +
			"that is not known to end in its room, whose lead the lathe cannot cut exactly, or that\n" +
			"leaves something open gets no card: every reason is said with what would mend it, and\n" +
			"the exit status is 2. --json writes the same card as data, to --o or standard output.",
		example: "halfnut bench-card testdata/workshop/jobs/three-start-m30.json --o card.pdf",
		flags: func(f *flag.FlagSet) action {
			f.StringVar(&out, "o", "", "`FILE` where the card goes")
			f.BoolVar(&asJSON, "json", false, "write the card as JSON, not as PDF")
			f.StringVar(&method, "method", "", "`METHOD` from start to start, such as chuck-jaws; else the best that serves")
			f.StringVar(&learner, "learner", "", "`NAME` printed on the card; else a line for it")
			f.StringVar(&paper, "paper", "a4", "`a4|letter` the paper")
			f.BoolVar(&large, "large-print", false, "large print")
			f.BoolVar(&contrast, "high-contrast", false, "black on white, bolder lines")
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(1, args, "one FILE, or - for standard input"); err != nil {
					return err
				}
				if out == "" && !asJSON {
					return fmt.Errorf("--o: name the file for the card, or --json")
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
				if asJSON {
					return writeCard(c, out, card)
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

// writeCard writes the card as data, to a file where one is named.
func writeCard(c console, out string, card curriculum.BenchCard) error {
	data, err := json.MarshalIndent(card, "", "  ")
	if err != nil {
		return err
	}
	data = append(data, '\n')
	if out != "" {
		return os.WriteFile(out, data, 0o644)
	}
	_, err = c.out.Write(data)
	return err
}
