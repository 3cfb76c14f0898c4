package main

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"strings"
	"time"

	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// maxProof bounds the draws of one skill.
const maxProof = 10_000_000

// proveSkills draws count exercises of each skill, checks every one, and writes
// a line a skill as soon as it is known.
func proveSkills(ctx context.Context, w io.Writer, skills []string, lathes []threadmath.Lathe, count int, first uint64) error {
	if count > maxProof {
		return fmt.Errorf("--prove %d: 1 to %d", count, maxProof)
	}
	names := make([]string, len(lathes))
	for i, l := range lathes {
		names[i] = l.Name
	}
	if _, err := fmt.Fprintf(w, "%d draws of each skill from seed %d, in mm and in, on %s\n%s, %s %s/%s\n\n%-18s %9s %10s %10s %10s %12s %10s\n",
		count, first, strings.Join(names, ", "), time.Now().UTC().Format(time.DateOnly), runtime.Version(), runtime.GOOS, runtime.GOARCH,
		"skill", "draws", "violations", "impossible", "most tries", "least margin", "a second"); err != nil {
		return err
	}
	var missed []string
	for _, skill := range skills {
		start := time.Now()
		p, err := generate.Prove(ctx, skill, lathes, count, first)
		if err != nil {
			return err
		}
		margin := "no numbers"
		if p.LeastMargin > 0 {
			margin = fmt.Sprintf("%.2f bands", p.LeastMargin)
		}
		if _, err := fmt.Fprintf(w, "%-18s %9d %10d %10d %10d %12s %10.0f\n", skill, p.Draws, p.Violations, p.Impossible, p.MostTries, margin,
			float64(p.Draws)/time.Since(start).Seconds()); err != nil {
			return err
		}
		if !p.OK() {
			missed = append(missed, fmt.Sprintf("%s: %v", skill, p.First))
		}
	}
	if len(missed) > 0 {
		return fmt.Errorf("%w: %s", errMissed, strings.Join(missed, "; "))
	}
	return nil
}
