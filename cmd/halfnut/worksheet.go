package main

import (
	"context"
	"flag"
	"fmt"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/practice"
	"halfnut/worksheets"
)

// maxSheets keeps one file below the size at which writing it slows down.
const maxSheets = 300

func worksheetCommand() command {
	var d drawFlags
	var sheets int
	var out, key, packed, title, paper string
	var large, contrast, wide, double bool
	return command{
		name: "worksheet", args: "--skills A,B --out FILE.pdf [--key-out KEY.pdf] [flags]",
		summary: "print worksheets and their key without a server",
		help: "Writes one PDF of worksheets, each with its own numbers, and with --key-out a second\n" +
			"one with answers and worked steps for the instructor. The same flags write the same\n" +
			"bytes.",
		example: "halfnut worksheet --skills lead,axial-offset,thread-dial --lathe testdata/workshop/lathes/lathe-2.json --sheets 3 --count 4 --out sheets.pdf --key-out key.pdf",
		flags: func(f *flag.FlagSet) action {
			d.declare(f, 6)
			f.IntVar(&sheets, "sheets", 1, "`N` how many different sheets")
			f.StringVar(&out, "out", "", "`FILE` where the worksheets go")
			f.StringVar(&key, "key-out", "", "`FILE` where the key goes; without it no key is written")
			f.StringVar(&packed, "pack", "", "`FILE` a ZIP archive with cover, sheets in files of 30, key and marking grid")
			f.BoolVar(&double, "double-sided", false, "begin every sheet on a front side")
			f.StringVar(&title, "title", "Multi-start threads", "`TEXT` the title on every page")
			f.StringVar(&paper, "paper", "a4", "`a4|letter` the paper")
			f.BoolVar(&large, "large-print", false, "large print")
			f.BoolVar(&contrast, "high-contrast", false, "black on white, bolder lines")
			f.BoolVar(&wide, "wide-spacing", false, "more space between letters, words and lines")
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				if out == "" && packed == "" {
					return fmt.Errorf("--out: name the file for the worksheets, or --pack for everything")
				}
				if sheets < 1 || sheets > maxSheets {
					return fmt.Errorf("--sheets %d: 1 to %d", sheets, maxSheets)
				}
				if d.count > practice.MaxCount {
					return fmt.Errorf("--count %d: 1 to %d on a sheet", d.count, practice.MaxCount)
				}
				size, err := worksheets.PaperNamed(paper)
				if err != nil {
					return fmt.Errorf("--paper: %w", err)
				}
				skills, lathes, units, err := d.read(c)
				if err != nil {
					return err
				}
				lathe := lathes[0]
				for _, l := range lathes { // the first that serves every skill
					ok := true
					for _, s := range skills {
						ok = ok && generate.Serves(s, l, units) == nil
					}
					if ok {
						lathe = l
						break
					}
				}
				drawn, err := generate.Set(generate.SetSpec{Skills: skills, Lathe: lathe, Variants: sheets, Count: d.count, Seed: d.seed, Units: units})
				if err != nil {
					return err
				}
				pack := worksheets.Pack{
					Class: "______________", DoubleSided: double, Solution: practice.Solutions, Looks: practice.Looks,
					Set:   curriculum.ClassSet{LatheName: lathe.Name, Profile: lathe, Spec: curriculum.SetSpec{Title: title, Skills: skills, Count: d.count}},
					Style: worksheets.NewStyle(size, worksheets.Options{LargePrint: large, HighContrast: contrast, WideSpacing: wide}),
				}
				for i, es := range drawn {
					pack.Variants = append(pack.Variants, curriculum.Variant{Code: fmt.Sprintf("S%d-%d", d.seed, i+1), Name: "______________________", Seat: i + 1, Exercises: es})
				}
				return writePack(pack, out, key, packed)
			}
		},
	}
}

// writePack writes the sheets, the key and the archive, each where it is asked for.
func writePack(pack worksheets.Pack, out, key, packed string) error {
	keyFile := func() (worksheets.Document, error) {
		s, err := pack.Key()
		if err != nil {
			return worksheets.Document{}, err
		}
		return s.Document()
	}
	for _, f := range []struct {
		path  string
		build func() (worksheets.Document, error)
	}{{out, pack.Document}, {key, keyFile}} {
		if f.path == "" {
			continue
		}
		doc, err := f.build()
		if err != nil {
			return err
		}
		if err := worksheets.WriteFile(f.path, doc); err != nil {
			return err
		}
	}
	if packed == "" {
		return nil
	}
	files, err := pack.Files()
	if err != nil {
		return err
	}
	return worksheets.WriteZipFile(packed, files)
}
