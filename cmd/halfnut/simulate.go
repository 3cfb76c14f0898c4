package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"halfnut/curriculum/generate"
	"halfnut/curriculum/simulate"
	"halfnut/testdata/workshop"
)

func simulateCommand() command {
	s := simulate.Default()
	rounds := 0
	return command{
		name: "simulate", args: "[--learners N] [--weeks N] [--seed N] | --strangers N",
		summary: "a simulated class: who passes wrongly, whether forecasts hold",
		help: "Lets invented learners, of whom everything is known, practise by the program's own\n" +
			"plans, and compares the gates and the forecasts with what is true. Everybody differs in\n" +
			"how fast they learn and how often they slip or guess. The same numbers give the same\n" +
			"result. With --strangers it lets people who do not hold a skill look as if, by exercises\n" +
			"that are really drawn for the demo's lathes, and counts for whom a gate opens.",
		example: "halfnut simulate --learners 60",
		flags: func(f *flag.FlagSet) action {
			f.IntVar(&s.Learners, "learners", s.Learners, "`N` learners")
			f.IntVar(&s.Weeks, "weeks", s.Weeks, "`N` weeks until the day at the lathe")
			f.IntVar(&s.Every, "every", s.Every, "`N` days from sitting to sitting")
			f.IntVar(&s.Size, "size", s.Size, "`N` exercises of a sitting")
			f.IntVar(&rounds, "strangers", 0, "`N` rounds of strangers at every skill of every lathe of the demo")
			f.Uint64Var(&s.Seed, "seed", s.Seed, "`N` another class")
			return func(_ context.Context, c console, args []string) error {
				if err := exactly(0, args, "flags only"); err != nil {
					return err
				}
				if s.Learners > 100_000 || s.Weeks > 60 || s.Size > 40 {
					return fmt.Errorf("at most 100000 learners, 60 weeks and 40 exercises")
				}
				if rounds > 0 {
					return tryStrangers(c.out, rounds, s.Seed)
				}
				r, err := simulate.Run(s)
				if err != nil {
					return err
				}
				return writeSimulation(c.out, r)
			}
		},
	}
}

func writeSimulation(w io.Writer, r simulate.Result) error {
	var b strings.Builder
	c := r.Config
	fmt.Fprintf(&b, "%d learners, %d weeks, %d exercises every %d days, seed %d\n", c.Learners, c.Weeks, c.Size, c.Every, c.Seed)
	fmt.Fprintf(&b, "skills: %s, with all they build on\n\n", strings.Join(c.Skills, ", "))
	fmt.Fprintf(&b, "answers (first tries)               %d\n", r.Answers)
	fmt.Fprintf(&b, "skills through the machine's gate   %d, after %.1f first tries on average\n", r.Passed, r.Tries)
	fmt.Fprintf(&b, "of them wrongly                     %d (%.2f %%)\n\n", r.Wrongly, 100*r.WronglyShare())
	fmt.Fprintf(&b, "ready on the day at the lathe       %.1f %%\n", 100*r.Ready)
	fmt.Fprintf(&b, "forecast half-way                   %.1f %%\n", 100*r.Forecast)
	fmt.Fprintf(&b, "mean squared error                  %.3f; %.0f %% less than with one chance for everybody\n\n", r.Brier, 100*r.Skill)
	b.WriteString("forecast      learners   mean forecast   ready\n")
	for _, bin := range r.Bins {
		fmt.Fprintf(&b, "%3.0f to %3.0f %%   %8d   %11.1f %%   %3.1f %%\n", 100*bin.From, 100*bin.To, bin.Learners, 100*bin.Forecast, 100*bin.Ready)
	}
	fmt.Fprintf(&b, "mean distance between the two: %.1f %%\n", 100*r.Off)
	_, err := io.WriteString(w, b.String())
	return err
}

// tryStrangers counts for whom a gate opens who does not hold the skill.
func tryStrangers(w io.Writer, rounds int, seed uint64) error {
	lathes, err := workshop.Lathes()
	if err != nil {
		return err
	}
	skills := slices.DeleteFunc(generate.Skills(), func(s string) bool { return s == "whole-job" }) // evidence of its steps only
	tried, err := simulate.TryStrangers(simulate.StrangerConfig{Lathes: lathes, Skills: skills, Rounds: rounds, Tries: 24, PerDay: 3, Seed: seed})
	if err != nil {
		return err
	}
	var b strings.Builder
	b.WriteString("who                          runs   passed   upper end of 95 %   by\n")
	for _, t := range tried {
		by := map[string]int{}
		for _, s := range t.By {
			by[s]++
		}
		fmt.Fprintf(&b, "%-26s %6d   %6d   %15.2f %%   ", t.Name, t.Runs, t.Passed, 100*t.Upper())
		for i, s := range slices.Sorted(maps.Keys(by)) {
			if i > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "%s %d", s, by[s])
		}
		b.WriteString("\n")
	}
	_, err = io.WriteString(w, b.String())
	return err
}
