package threadmath_test

import (
	"fmt"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
	"halfnut/threadmath/lathesim"
)

// checkHalfNut closes the half-nut at every leadscrew thread and returns the starts that were reached.
func checkHalfNut(t tb, j simJob, a threadmath.Answer) []int {
	t.Helper()
	l, w := j.setUp(t, nil)
	closings, err := l.HalfNutCycle(w)
	require.NoError(t, err)

	type reach struct {
		start   int
		threads string
	}
	var paths []string
	first := make([]reach, j.starts)
	anywhere := true
	for _, c := range closings {
		require.True(t, c.Closes)
		paths = append(paths, c.Path.Crossings[0].RatString())
		anywhere = anywhere && c.Start == 1
		if c.Start > 0 && first[c.Start-1].start == 0 {
			first[c.Start-1] = reach{c.Start, c.Threads.RatString()}
		}
	}
	want := slices.DeleteFunc(first, func(r reach) bool { return r.start == 0 })

	require.NotNil(t, a.HalfNut, j)
	var got []reach
	for _, r := range a.HalfNut.Reaches {
		got = append(got, reach{r.Start, ratOf(t, r.LeadscrewThreads.Ratio).RatString()})
	}
	assert.Equal(t, want, got, "half-nut reaches: %v", j)
	assert.Equal(t, fmt.Sprint(distinct(paths)), a.HalfNut.Paths.String(), "paths: %v", j)
	assert.Equal(t, anywhere, a.HalfNut.CloseAnywhere, "close anywhere: %v", j)
	assert.Equal(t, len(want) == j.starts, a.HalfNut.AllStarts, "all starts: %v", j)

	require.NotNil(t, a.PickUp, j)
	assert.Equal(t, anywhere, a.PickUp.Rule == threadmath.PickUpAnywhere, "pick-up: %v", j)
	var reached []int
	for _, r := range want {
		reached = append(reached, r.start)
	}
	return reached
}

// checkDials closes the half-nut at every line of every dial over all of its turns and reports whether the lines of one
// dial serve every start.
func checkDials(t tb, j simJob, a threadmath.Answer, reached []int) (serves bool) {
	t.Helper()
	require.Len(t, a.ThreadDials, len(j.dials), j)
	var pickUp []threadmath.PickUpDial
	usable := false
	for i, d := range j.dials {
		got := a.ThreadDials[i]
		require.Len(t, got.Lines, int(d.Graduations))
		lines, between := dialOnLathe(t, j, d, reached)
		for m, want := range lines {
			assert.Equal(t, want, got.Lines[m], "line %d of a dial of %d teeth, %d lines, running %q: %v", m, d.Teeth, d.Graduations, d.Runs, j)
		}
		checkBetween(t, j, d, between, got.Between)

		p := threadmath.PickUpDial{Teeth: int(d.Teeth), Graduations: int(d.Graduations), Lines: []int{}, Starts: []threadmath.StartLine{}}
		for start := 1; start <= j.starts; start++ {
			var catching []int
			for _, l := range lines {
				if l.Catches == threadmath.CatchesStart && l.Start == start {
					catching = append(catching, l.Line)
				}
			}
			if catching != nil {
				p.Starts = append(p.Starts, threadmath.StartLine{Start: start, Lines: catching})
			}
			if start == 1 && catching != nil {
				p.Lines, usable = catching, true
			}
		}
		pickUp = append(pickUp, p)
		serves = serves || len(p.Starts) == j.starts
	}
	switch {
	case a.PickUp.Rule == threadmath.PickUpAnywhere: // checkHalfNut
	case usable:
		assert.Equal(t, threadmath.PickUpLines, a.PickUp.Rule, j)
		assert.Equal(t, pickUp, a.PickUp.Dials, j)
	default:
		assert.Equal(t, threadmath.PickUpKeepClosed, a.PickUp.Rule, j)
	}
	return serves
}

// between is a closing so many leadscrew threads past a line.
type between struct{ line, threads int }

// dialOnLathe returns what every line catches, and for every start that the half-nut reaches but no line always catches the
// fewest threads past a line that does always catch one start, with all the lines they can be counted from.
func dialOnLathe(t tb, j simJob, d threadmath.ThreadDial, reached []int) ([]threadmath.DialLine, map[int][]between) {
	t.Helper()
	l, w := j.setUp(t, func(c *lathesim.Config) {
		c.Dial = lathesim.Dial{Teeth: int(d.Teeth), Lines: int(d.Graduations), Backward: d.Runs == threadmath.DialRunsDown}
	})
	// Where the request does not say how the numbers run, the lines are numbered as they come up.
	number := func(c lathesim.Closing) int {
		if d.Runs != "" || c.Line < 0 {
			return c.Line
		}
		if j.left { // the dial turns the other way
			return (int(d.Graduations) - c.Line) % int(d.Graduations)
		}
		return c.Line
	}

	closings, err := l.DialCycle(w)
	require.NoError(t, err)
	caught := make([][]int, d.Graduations)
	closes := make([]bool, d.Graduations)
	for _, c := range closings {
		require.GreaterOrEqual(t, c.Line, 0)
		if d.Runs == "" {
			require.Equal(t, c.Nth%int(d.Graduations), number(c))
		}
		caught[number(c)] = append(caught[number(c)], c.Start)
		closes[number(c)] = c.Closes
	}
	lines := make([]threadmath.DialLine, d.Graduations)
	caughtByLine := map[int]bool{}
	for m := range lines {
		lines[m].Line = m
		starts := slices.Compact(slices.Sorted(slices.Values(caught[m])))
		require.NotEmpty(t, starts, "every line comes up")
		switch {
		case !closes[m]:
			lines[m].Catches = threadmath.CatchesNoClose
		case starts[0] == 0:
			lines[m].Catches = threadmath.CatchesOff
		case len(starts) > 1:
			lines[m].Catches, lines[m].Starts = threadmath.CatchesVaries, starts
		default:
			lines[m].Catches, lines[m].Start = threadmath.CatchesStart, starts[0]
			caughtByLine[starts[0]] = true
		}
	}
	if len(caughtByLine) == 0 {
		return lines, nil
	}

	closings, err = l.HalfNutCycle(w) // thread by thread
	require.NoError(t, err)
	found := map[int][]between{}
	for _, start := range reached {
		if caughtByLine[start] {
			continue
		}
		for threads := 1; threads < len(closings) && found[start] == nil; threads++ {
			for m, line := range lines {
				if line.Catches != threadmath.CatchesStart {
					continue
				}
				always := true
				for i, c := range closings {
					if number(c) == m {
						always = always && closings[(i+threads)%len(closings)].Start == start
					}
				}
				if always {
					found[start] = append(found[start], between{m, threads})
				}
			}
		}
	}
	return lines, found
}

func checkBetween(t tb, j simJob, d threadmath.ThreadDial, want map[int][]between, got []threadmath.BetweenLines) {
	t.Helper()
	var starts []int
	for _, b := range got {
		starts = append(starts, b.Start)
		assert.Contains(t, want[b.Start], between{b.PastLine, int(b.LeadscrewThreads)}, "start %d between the lines: %v", b.Start, j)
		lines := big.NewRat(b.LeadscrewThreads*int64(d.Graduations), int64(d.Teeth))
		assert.Zero(t, lines.Cmp(ratOf(t, b.Lines)), "threads in divisions of the dial: %v", j)
	}
	assert.Len(t, starts, len(want), "starts between the lines: %v", j)
	assert.True(t, slices.IsSorted(starts), j)
}

// TestHalfNutAndDialsOverAGrid walks through hands, starts, threads and leadscrews of both systems, each with some of the
// dials in turn, at every thread and every line over full cycles. Where thread and leadscrew are of different systems the
// cycles are long, and dials of few lines serve.
func TestHalfNutAndDialsOverAGrid(t *testing.T) {
	t.Parallel()
	dials := []threadmath.ThreadDial{
		{Teeth: 16, Graduations: 8}, {Teeth: 24, Graduations: 8, Runs: "up"}, {Teeth: 32, Graduations: 16, Runs: "down"},
		{Teeth: 14, Graduations: 4, Runs: "up"}, {Teeth: 15, Graduations: 5, Runs: "down"}, {Teeth: 20, Graduations: 12}, {Teeth: 21, Graduations: 3},
		{Teeth: 40, Graduations: 6, Runs: "down"},
	}
	few := []threadmath.ThreadDial{{Teeth: 127, Graduations: 1}, {Teeth: 14, Graduations: 4}, {Teeth: 20, Graduations: 2}}
	next := 0
	for _, row := range []struct {
		pitch, leadscrew measure
		dials            []threadmath.ThreadDial
	}{
		{mm(2, 1), mm(6, 1), dials}, {mm(7, 4), mm(6, 1), dials}, {inch(1, 12), inch(1, 8), dials}, {inch(2, 23), inch(1, 8), dials},
		{mm(2, 1), inch(1, 8), few}, {inch(1, 12), mm(6, 1), few},
	} {
		for starts := 1; starts <= 6; starts++ {
			for screwStarts := 1; screwStarts <= 2; screwStarts++ {
				for _, left := range []bool{false, true} {
					j := simJob{
						pitch: row.pitch, starts: starts, left: left, internal: starts%2 == 0, length: mm(20, 1),
						leadscrew: row.leadscrew, leadscrewStarts: screwStarts,
						dials:     []threadmath.ThreadDial{row.dials[next%len(row.dials)], row.dials[(next+3)%len(row.dials)]},
						studTeeth: 40, rhoNum: 1, rhoDen: 1, leadscrewTeeth: 60, infeedDeg: 29,
					}
					if len(row.dials) == len(few) {
						j.dials = j.dials[:1]
					}
					next += 5 // no divisor of the number of dials
					a, err := threadmath.Solve(j.request())
					require.NoError(t, err, j)
					checkDials(t, j, a, checkHalfNut(t, j, a))
				}
			}
		}
	}
}
