package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
)

func skillsCommand() command {
	var d drawFlags
	return command{
		name: "skills", args: "[SKILL] [--lathe FILE] [--units mm|in]", summary: "list the skills, or tell about one",
		help: "Lists what exercises can be drawn for; with a SKILL its purpose, rule, known mistakes and\n" +
			"a worked example. With --lathe it says how many different exercises each skill has on\n" +
			"that lathe, or why it has none: a class larger than the number gets some twice.",
		example: "halfnut skills lead\nhalfnut skills --lathe testdata/workshop/lathes/lathe-2.json --units mm",
		flags: func(f *flag.FlagSet) action {
			f.StringVar(&d.lathe, "lathe", "", "`FILE` a lathe's profile as JSON")
			f.StringVar(&d.units, "units", "mm", "`mm|in` the units that answers are asked in")
			return func(ctx context.Context, c console, args []string) error {
				if len(args) > 1 {
					return exactly(1, args, "one SKILL or none")
				}
				if len(args) == 1 {
					s, err := curriculum.SkillOf(args[0])
					if err != nil {
						return fmt.Errorf("%w; halfnut skills lists them", err)
					}
					return describeSkill(c.out, s)
				}
				if d.lathe != "" {
					return skillsOnLathe(ctx, c, d)
				}
				var b strings.Builder
				for _, slug := range generate.Skills() {
					s, err := curriculum.SkillOf(slug)
					if err != nil {
						return err
					}
					fmt.Fprintf(&b, "%-18s %s\n", s.Slug, s.Title)
				}
				_, err := io.WriteString(c.out, b.String())
				return err
			}
		},
	}
}

// enoughExercises is where the count of a skill's exercises stops: more than any
// class meets.
const enoughExercises = 1000

// skillsOnLathe writes a line a skill: how many exercises it has, or why none.
func skillsOnLathe(ctx context.Context, c console, d drawFlags) error {
	lathes, err := d.lathes(c)
	if err != nil {
		return err
	}
	units, err := d.system()
	if err != nil {
		return err
	}
	drawer, err := generate.NewDrawer(lathes[0])
	if err != nil {
		return err
	}
	for _, slug := range generate.Skills() {
		if err := ctx.Err(); err != nil {
			return err
		}
		pool, err := drawer.Pool(slug, generate.Options{Units: units}, enoughExercises)
		text := pool.String() + " exercises"
		var unserved *generate.UnservedError
		switch {
		case errors.As(err, &unserved):
			text = "none: " + unserved.Reason
		case err != nil:
			return err
		}
		if _, err := fmt.Fprintf(c.out, "%-18s %s\n", slug, text); err != nil {
			return err
		}
	}
	return nil
}

func describeSkill(w io.Writer, s curriculum.Skill) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s (%s)\n\n%s\n\nRule: %s\n", s.Title, s.Slug, s.Purpose, s.Rule)
	if len(s.Needs) > 0 {
		fmt.Fprintf(&b, "Needs: %s\n", strings.Join(s.Needs, ", "))
	}
	b.WriteString("\nKnown mistakes:\n")
	for _, r := range s.Wrong {
		fmt.Fprintf(&b, "  %-20s %s\n", r.Rule, r.Feedback)
	}
	fmt.Fprintf(&b, "\nExample: %s\n", s.Example.Prompt)
	for _, l := range s.Example.Lines {
		fmt.Fprintf(&b, "  %s\n", l)
	}
	fmt.Fprintf(&b, "  %s\n", s.Example.Answer)
	if s.Example.Source != "" {
		fmt.Fprintf(&b, "  (%s)\n", s.Example.Source)
	}
	_, err := io.WriteString(w, b.String())
	return err
}
