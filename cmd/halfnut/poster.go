package main

import (
	"context"
	"flag"
	"fmt"

	"halfnut/curriculum"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

func posterCommand() command {
	return latheSheetCommand("poster",
		"print the tables to hang beside a lathe",
		"Writes the reference tables of one lathe: its leads and whether the half-nut may be opened,\n"+
			"what each dial line catches for 1 to 6 starts, offsets, index stations, depths and wires.\n"+
			"Checks made at the lathe are kept by a server; printed here, every entry is unproved.",
		worksheets.Poster)
}

func surveyCommand() command {
	return latheSheetCommand("survey",
		"print the sheet to survey a lathe on",
		"Writes the sheet that is filled in at the lathe. What its entry says stands beside each\n"+
			"line as unproved; a server records the checks.",
		func(l threadmath.Lathe, checks []curriculum.LatheCheck, style worksheets.Style) (worksheets.Sheet, error) {
			return worksheets.Survey(l, checks, style), nil
		})
}

// writeSheet writes a sheet as a file of its own.
func writeSheet(path string, s worksheets.Sheet) error {
	doc, err := s.Document()
	if err != nil {
		return err
	}
	return worksheets.WriteFile(path, doc)
}

// latheSheetCommand prints a sheet that needs nothing but a lathe.
func latheSheetCommand(name, summary, help string, build func(threadmath.Lathe, []curriculum.LatheCheck, worksheets.Style) (worksheets.Sheet, error)) command {
	var out, lathe, paper string
	var large, contrast bool
	return command{
		name: name, args: "--lathe FILE -o FILE.pdf [flags]", summary: summary, help: help,
		example: "halfnut " + name + " --lathe testdata/workshop/lathes/lathe-2.json -o " + name + ".pdf",
		flags: func(f *flag.FlagSet) action {
			f.StringVar(&lathe, "lathe", "", "`FILE` the lathe, as halfnut solve reads it; - for standard input")
			f.StringVar(&out, "o", "", "`FILE` where it goes")
			f.StringVar(&paper, "paper", "a4", "`a4|letter` the paper")
			f.BoolVar(&large, "large-print", false, "large print")
			f.BoolVar(&contrast, "high-contrast", false, "black on white, bolder lines")
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				if out == "" || lathe == "" {
					return fmt.Errorf("--lathe and -o: name the lathe's file and the file to write")
				}
				size, err := worksheets.PaperNamed(paper)
				if err != nil {
					return fmt.Errorf("--paper: %w", err)
				}
				data, err := readInput(c, lathe)
				if err != nil {
					return err
				}
				l, err := threadmath.ParseLathe(data)
				if err != nil {
					return err
				}
				sheet, err := build(l, nil, worksheets.NewStyle(size, worksheets.Options{LargePrint: large, HighContrast: contrast}))
				if err != nil {
					return err
				}
				return writeSheet(out, sheet)
			}
		},
	}
}
