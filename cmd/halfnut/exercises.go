package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

// maxExercises bounds one run; a longer one is a second run with another seed.
const maxExercises = 1_000_000

// drawFlags are the flags that say which exercises to draw.
type drawFlags struct {
	skills, lathe, units string
	count                int
	seed                 uint64
}

func (d *drawFlags) declare(f *flag.FlagSet, count int) {
	f.StringVar(&d.skills, "skills", "", "`A,B` the skills, by the names that halfnut skills lists")
	f.StringVar(&d.lathe, "lathe", "", "`FILE` a lathe's profile as JSON; without it the lathes of the demo workshop serve in turn")
	f.IntVar(&d.count, "count", count, "`N` how many exercises")
	f.Uint64Var(&d.seed, "seed", 1, "`S` the same seed draws the same exercises")
	f.StringVar(&d.units, "units", "mm", "`mm|in` the units that answers are asked in")
}

// read checks the flags and returns skills, lathes and unit system.
func (d *drawFlags) read(c console) (skills []string, lathes []threadmath.Lathe, units threadmath.System, err error) {
	if units, err = d.system(); err != nil {
		return nil, nil, units, err
	}
	if d.count < 1 || d.count > maxExercises {
		return nil, nil, units, fmt.Errorf("--count %d: 1 to %d", d.count, maxExercises)
	}
	if d.seed >= 1<<53 {
		return nil, nil, units, fmt.Errorf("--seed %d: below 2^53", d.seed)
	}
	if strings.TrimSpace(d.skills) == "" {
		return nil, nil, units, fmt.Errorf("--skills: name at least one of %s", strings.Join(generate.Skills(), ", "))
	}
	for s := range strings.SplitSeq(d.skills, ",") {
		skills = append(skills, strings.TrimSpace(s))
	}
	if lathes, err = d.lathes(c); err != nil {
		return nil, nil, units, err
	}
	return skills, lathes, units, nil
}

func (d *drawFlags) system() (threadmath.System, error) {
	switch d.units {
	case "mm":
		return threadmath.Metric, nil
	case "in":
		return threadmath.Inch, nil
	}
	return threadmath.Metric, fmt.Errorf("--units %q: mm or in", d.units)
}

func (d *drawFlags) lathes(c console) ([]threadmath.Lathe, error) {
	if d.lathe == "" {
		return workshop.Lathes()
	}
	data, err := readInput(c, d.lathe)
	if err != nil {
		return nil, err
	}
	l, err := threadmath.ParseLathe(data)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", d.lathe, err)
	}
	if l.Name == "" {
		l.Name = "this lathe"
	}
	return []threadmath.Lathe{l}, nil
}

// serving returns the lathes that a skill can be set on; when none can, the
// error says why of each.
func serving(skill string, lathes []threadmath.Lathe, units threadmath.System) ([]threadmath.Lathe, error) {
	var out []threadmath.Lathe
	var why []string
	for _, l := range lathes {
		err := generate.Serves(skill, l, units)
		if err == nil {
			out = append(out, l)
			continue
		}
		why = append(why, err.Error())
	}
	if len(out) == 0 {
		return nil, errors.New(strings.Join(why, "; "))
	}
	return out, nil
}

func exercisesCommand() command {
	var d drawFlags
	var key bool
	var prove int
	return command{
		name: "exercises", args: "--skills A,B [--lathe FILE] [--count N] [--seed S] [--units mm|in] [--key] [--prove N]",
		summary: "draw exercises from a lathe's own numbers",
		help: "Writes one exercise a line as JSON, the skills in turn. Every draw can be solved on its\n" +
			"lathe, and is kept only if no known wrong rule comes near the right answer. With\n" +
			"--key each line holds answers, accept bands, worked steps and wrong rules: for\n" +
			"instructors only. --prove writes no exercises: it draws N of each skill, of all where\n" +
			"--skills is left out, in both unit systems, checks every one, and says how many broke a\n" +
			"promise; exit status 1 if one did.",
		example: "halfnut exercises --skills lead,axial-offset --count 5 --seed 7 --units mm --key",
		flags: func(f *flag.FlagSet) action {
			d.declare(f, 10)
			f.BoolVar(&key, "key", false, "with answers, for instructors")
			f.IntVar(&prove, "prove", 0, "`N` draw and check so many of each skill")
			return func(ctx context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				if prove != 0 && strings.TrimSpace(d.skills) == "" {
					d.skills = strings.Join(generate.Skills(), ",")
				}
				skills, lathes, units, err := d.read(c)
				switch {
				case err != nil:
					return err
				case prove < 0:
					return fmt.Errorf("--prove %d: 1 to %d", prove, maxProof)
				case prove > 0:
					return proveSkills(ctx, c.out, skills, lathes, prove, d.seed)
				}
				return drawLines(ctx, c.out, skills, lathes, units, d.count, d.seed, key)
			}
		},
	}
}

// drawLines writes exercises with the skills and, for each skill, its lathes in
// turn. It keeps one exercise at a time, however many are asked for.
func drawLines(ctx context.Context, w io.Writer, skills []string, lathes []threadmath.Lathe, units threadmath.System, count int, seed uint64, key bool) error {
	served := make([][]threadmath.Lathe, len(skills))
	for i, s := range skills {
		var err error
		if served[i], err = serving(s, lathes, units); err != nil {
			return err
		}
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	for i := range count {
		if err := ctx.Err(); err != nil {
			return err
		}
		at, round := i%len(skills), i/len(skills)
		lathe := served[at][round%len(served[at])]
		ex, err := generate.Draw(skills[at], lathe, (seed+uint64(i))%(1<<53), generate.Options{Units: units})
		if err != nil {
			return err
		}
		if !key {
			ex = ex.Public()
		}
		if err := e.Encode(ex); err != nil {
			return err
		}
	}
	return nil
}

func gradeCommand() command {
	return command{
		name: "grade", args: "EXERCISES ANSWERS", summary: "mark answers, with reasons",
		help: "EXERCISES is what halfnut exercises --key wrote. ANSWERS has one line of JSON for each\n" +
			"exercise answered: {\"id\": \"…\", \"answers\": {\"a\": \"2.31 mm\"}}. One of the two may be\n" +
			"\"-\", standard input. Writes a verdict a line: right, or what went wrong and why.",
		example: "halfnut exercises --skills lead --count 1 --seed 7 --key > lead.jsonl\n" +
			"echo '{\"id\": \"'$(sed 's/.*\"id\":\"\\([^\"]*\\)\".*/\\1/' lead.jsonl)'\", \"answers\": {\"a\": \"6 mm\"}}' | halfnut grade lead.jsonl -",
		flags: func(*flag.FlagSet) action {
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(2, args, "EXERCISES and ANSWERS"); err != nil {
					return err
				}
				if args[0] == "-" && args[1] == "-" {
					return fmt.Errorf("only one of the two can be standard input")
				}
				exercises, err := readInput(c, args[0])
				if err != nil {
					return err
				}
				answers, err := readInput(c, args[1])
				if err != nil {
					return err
				}
				return grade.Run(bytes.NewReader(exercises), bytes.NewReader(answers), c.out)
			}
		},
	}
}
