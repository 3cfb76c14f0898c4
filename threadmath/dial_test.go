package threadmath

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// solved solves a request written as JSON.
func solved(t testing.TB, text string) Answer {
	t.Helper()
	q, err := ParseRequest([]byte(text))
	require.NoError(t, err)
	a, err := Solve(q)
	require.NoError(t, err)
	return a
}

func leadAndDial(pitch string, starts int, leadscrew string, screwStarts, teeth, lines int) string {
	return fmt.Sprintf(`{"thread": {"pitch": %q, "starts": %d}, "lathe": {"leadscrew": %q, "leadscrew_starts": %d, "thread_dials": [{"teeth": %d, "graduations": %d}]}}`,
		pitch, starts, leadscrew, screwStarts, teeth, lines)
}

// watchDial lets the dial turn through every turn of a full cycle, one division
// after another, and notes what closing on each line catches. It returns the
// starts of every line, 0 among them where it misses; nil where the half-nut
// does not close.
func watchDial(pitch, closing *big.Rat, starts, teeth, lines int) [][]int {
	n := naive{new(big.Rat).Quo(closing, new(big.Rat).Mul(pitch, big.NewRat(int64(starts), 1))), starts}
	out := make([][]int, lines)
	turns := n.part.Denom().Int64()
	for turn := int64(0); turn < turns; turn++ {
		for m := range out {
			if m*teeth%lines != 0 {
				continue
			}
			s := n.lands(turn*int64(teeth) + int64(m*teeth/lines))
			if !slices.Contains(out[m], s) {
				out[m] = append(out[m], s)
			}
		}
	}
	for _, s := range out {
		slices.Sort(s)
	}
	return out
}

// TestDialByWatching compares every line of many dials with watching the dial
// over all its turns, leadscrews of two starts and mixed units among them.
func TestDialByWatching(t *testing.T) {
	t.Parallel()
	inch := big.NewRat(127, 5)
	cases := []struct {
		pitch       string
		mm          *big.Rat
		screw       string
		screwMM     *big.Rat
		screwStarts int
	}{
		{"2 mm", big.NewRat(2, 1), "6 mm", big.NewRat(6, 1), 1},
		{"3/2 mm", big.NewRat(3, 2), "6 mm", big.NewRat(6, 1), 1},
		{"1 mm", big.NewRat(1, 1), "8 tpi", new(big.Rat).Quo(inch, big.NewRat(8, 1)), 1},
		{"12 tpi", new(big.Rat).Quo(inch, big.NewRat(12, 1)), "8 tpi", new(big.Rat).Quo(inch, big.NewRat(8, 1)), 1},
		{"23/2 tpi", new(big.Rat).Quo(inch, big.NewRat(23, 2)), "4 tpi", new(big.Rat).Quo(inch, big.NewRat(4, 1)), 1},
		{"10 tpi", new(big.Rat).Quo(inch, big.NewRat(10, 1)), "6 mm", big.NewRat(6, 1), 1},
		{"5/4 mm", big.NewRat(5, 4), "10 mm", big.NewRat(10, 1), 2},
		{"7 tpi", new(big.Rat).Quo(inch, big.NewRat(7, 1)), "4 tpi", new(big.Rat).Quo(inch, big.NewRat(4, 1)), 2},
	}
	seen := map[string]int{}
	for _, c := range cases {
		closing := new(big.Rat).Quo(c.screwMM, big.NewRat(int64(c.screwStarts), 1))
		for starts := 1; starts <= 6; starts++ {
			for _, d := range [][2]int{{16, 4}, {14, 7}, {20, 4}, {28, 8}, {32, 16}, {40, 8}, {15, 5}, {24, 10}} {
				a := solved(t, leadAndDial(c.pitch, starts, c.screw, c.screwStarts, d[0], d[1]))
				require.Len(t, a.ThreadDials, 1)
				want := watchDial(c.mm, closing, starts, d[0], d[1])
				always := []int{}
				for m, l := range a.ThreadDials[0].Lines {
					name := fmt.Sprintf("%s × %d on %s, dial %v, line %d", c.pitch, starts, c.screw, d, m)
					seen[l.Catches]++
					assert.Equal(t, m, l.Line)
					switch {
					case want[m] == nil:
						assert.Equal(t, CatchesNoClose, l.Catches, name)
					case want[m][0] == 0:
						assert.Equal(t, CatchesOff, l.Catches, name)
					case len(want[m]) == 1:
						assert.Equal(t, CatchesStart, l.Catches, name)
						assert.Equal(t, want[m][0], l.Start, name)
						if l.Start == 1 {
							always = append(always, m)
						}
					default:
						assert.Equal(t, CatchesVaries, l.Catches, name)
						assert.Equal(t, want[m], l.Starts, name)
					}
				}
				switch a.PickUp.Rule {
				case PickUpLines:
					assert.Equal(t, always, a.PickUp.Dials[0].Lines)
				case PickUpKeepClosed:
					assert.Empty(t, always)
				case PickUpAnywhere:
					assert.Len(t, always, len(slices.DeleteFunc(want, func(s []int) bool { return s == nil })))
				}
				checkBetween(t, a, naive{new(big.Rat).Quo(closing, new(big.Rat).Mul(c.mm, big.NewRat(int64(starts), 1))), starts})
			}
		}
	}
	for _, c := range []string{CatchesStart, CatchesVaries, CatchesOff, CatchesNoClose} {
		assert.Greater(t, seen[c], 20, c)
	}
}

// checkBetween closes the given number of threads past the line on several
// turns of the dial, and tries that no closing sooner after any usable line
// would have caught the start.
func checkBetween(t *testing.T, a Answer, n naive) {
	t.Helper()
	d := a.ThreadDials[0]
	for _, b := range d.Between {
		for _, l := range d.Lines {
			if l.Catches != CatchesStart {
				continue
			}
			at := int64(l.Line * d.Teeth / d.Graduations)
			for past := int64(0); past < b.LeadscrewThreads; past++ {
				require.NotEqual(t, b.Start, n.lands(at+past), "dial %d/%d: sooner", d.Teeth, d.Graduations)
			}
		}
		at := int64(b.PastLine * d.Teeth / d.Graduations)
		for turn := range int64(5) {
			require.Equal(t, b.Start, n.lands(turn*int64(d.Teeth)+at+b.LeadscrewThreads))
		}
		require.True(t, b.Lines.Equal(frac(b.LeadscrewThreads*int64(d.Graduations), int64(d.Teeth))))
	}
}

// Published rows of the thread dial. The lines and shift intervals are the
// sources' own; ids are those of the project's list of published checks.
func TestPublishedDials(t *testing.T) {
	t.Parallel()
	const jones = "Jones, Turning and Boring, Industrial Press 1914, ch. IV"
	lines := func(a Answer, every int) (out []int) {
		for _, l := range a.ThreadDials[0].Lines {
			if l.Catches == CatchesStart && l.Line%every == 0 {
				out = append(out, l.Line)
			}
		}
		return out
	}
	// D0022, D0023 (Jones, Principle of the Thread Indicator): 24 teeth on 6 per
	// inch travel 4 in a turn, 1/2 in a line of 8. A lead of 4 in is therefore
	// caught on line 0 alone, one of 1/2 in on every line, 1/3 in on line 0 only.
	assert.Equal(t, []int{0}, lines(solved(t, leadAndDial("4 in", 1, "6 tpi", 1, 24, 8)), 1), "D0022 "+jones)
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5, 6, 7}, lines(solved(t, leadAndDial("1/2 in", 1, "6 tpi", 1, 24, 8)), 1), "D0023 "+jones)
	// D0024 (Jones): odd threads repeat every inch on this dial (numbered lines).
	// Exactly, 9 per inch on 6 repeats every 1/3 in, 2 leadscrew threads.
	nine := solved(t, leadAndDial("9 tpi", 1, "6 tpi", 1, 24, 8))
	assert.Equal(t, []int{0, 2, 4, 6}, lines(nine, 1), "D0024 "+jones)
	assert.Equal(t, "2", nine.HalfNut.Paths.String(), "D0024: the true minimum is 1/3 in")
	// D0025, D0026 (Jones) and D0037 (Amarillo College, Thread Calculations): at
	// 11-1/2 per inch the first and third of four lines, every 2 in.
	half := leadAndDial("2/23 in", 1, "6 tpi", 1, 24, 4)
	assert.Equal(t, []int{0, 2}, lines(solved(t, half), 1), "D0025 "+jones)
	assert.Equal(t, "12", solved(t, half).HalfNut.Paths.String(), "D0026: 12 leadscrew threads are 2 in. "+jones)
	assert.Equal(t, []int{0, 2}, lines(solved(t, leadAndDial("2/23 in", 1, "8 tpi", 1, 32, 4)), 1), "D0037 Amarillo College handout")
	// D0027, D0028 (Jones, Chasing Dial): even threads on any of 8 lines, odd
	// ones (7, 9, 11) on the 4 numbered lines only.
	for _, tpi := range []string{"8", "10", "14"} {
		assert.Len(t, lines(solved(t, leadAndDial(tpi+" tpi", 1, "6 tpi", 1, 24, 8)), 1), 8, "D0027 %s", jones)
	}
	for _, tpi := range []string{"7", "9", "11"} {
		assert.Equal(t, []int{0, 2, 4, 6}, lines(solved(t, leadAndDial(tpi+" tpi", 1, "6 tpi", 1, 24, 8)), 1), "D0028 %s", jones)
	}
}

// A metric lead on an inch screw: 40 teeth on 8 per inch are 127 mm a turn and
// serve a 1 mm lead (arithmetic; common practice keeps the half-nut closed).
func TestDialOf127(t *testing.T) {
	t.Parallel()
	a := solved(t, leadAndDial("1 mm", 1, "8 tpi", 1, 40, 8))
	assert.Equal(t, PickUpLines, a.PickUp.Rule)
	assert.Equal(t, []int{0}, a.PickUp.Dials[0].Lines)
	a = solved(t, leadAndDial("1 mm", 1, "8 tpi", 1, 32, 8))
	assert.Equal(t, PickUpKeepClosed, a.PickUp.Rule)
}

// Two starts of 12 per inch on 8 per inch with the common dial of 16 teeth and 8
// lines of 1/4 in: worked by hand. The lead is 1/6 in; lines lie 1/4 in apart, a
// lead and a half: odd lines catch start 2.
func TestTwoStartsOnTheDial(t *testing.T) {
	t.Parallel()
	a := solved(t, leadAndDial("12 tpi", 2, "8 tpi", 1, 16, 8))
	for m, l := range a.ThreadDials[0].Lines {
		assert.Equal(t, DialLine{Line: m, Catches: CatchesStart, Start: m%2 + 1}, l)
	}
	// With lines 1/2 in apart every line is start 1 and start 2 is half-way.
	a = solved(t, leadAndDial("12 tpi", 2, "8 tpi", 1, 16, 4))
	require.Len(t, a.ThreadDials[0].Between, 1)
	assert.Equal(t, BetweenLines{Start: 2, PastLine: 0, LeadscrewThreads: 2, Lines: frac(1, 2)}, a.ThreadDials[0].Between[0])
	assert.Equal(t, []int{0, 1, 2, 3}, a.PickUp.Dials[0].Lines)
}

func TestDialDirection(t *testing.T) {
	t.Parallel()
	starts := func(hand, runs string) string {
		if runs != "" {
			runs = `, "runs": ` + strconv.Quote(runs)
		}
		a := solved(t, `{"thread": {"pitch": "2 mm", "starts": 3, "hand": "`+hand+`"}, "lathe": {"leadscrew": "2 mm", "thread_dials": [{"teeth": 3, "graduations": 3`+runs+`}]}}`)
		s := ""
		for _, l := range a.ThreadDials[0].Lines {
			s += strconv.Itoa(l.Start)
		}
		return s
	}
	// Counted as they come up, the hand makes no difference.
	assert.Equal(t, "123", starts("right", ""))
	assert.Equal(t, "123", starts("left", ""))
	// As numbered, the leadscrew of a left-hand thread runs the dial backwards.
	assert.Equal(t, "123", starts("right", DialRunsUp))
	assert.Equal(t, "132", starts("right", DialRunsDown))
	assert.Equal(t, "132", starts("left", DialRunsUp))
	assert.Equal(t, "123", starts("left", DialRunsDown))
}

func TestDialAbsentAndNone(t *testing.T) {
	t.Parallel()
	a := solved(t, `{"thread": {"pitch": "2 mm", "starts": 3}, "lathe": {"leadscrew": "4 mm", "thread_dials": []}}`)
	assert.NotNil(t, a.ThreadDials)
	assert.Empty(t, a.ThreadDials)
	assert.Equal(t, PickUpKeepClosed, a.PickUp.Rule)
	a = solved(t, `{"thread": {"pitch": "2 mm", "starts": 3}, "lathe": {"leadscrew": "4 mm"}}`)
	assert.Nil(t, a.ThreadDials)
	assert.Equal(t, PickUpKeepClosed, a.PickUp.Rule)
	a = solved(t, `{"thread": {"pitch": "2 mm", "starts": 3}}`)
	assert.Nil(t, a.PickUp)
	assert.Nil(t, a.HalfNut)
	assert.Nil(t, a.Methods)
	a = solved(t, `{"thread": {"pitch": "2 mm", "starts": 3}, "lathe": {"leadscrew": "6 mm", "half_nut": false, "thread_dials": [{"teeth": 20, "graduations": 4}]}}`)
	assert.Equal(t, PickUpKeepClosed, a.PickUp.Rule)
	for _, l := range a.ThreadDials[0].Lines {
		assert.Equal(t, CatchesNoClose, l.Catches)
	}
	assert.False(t, a.HalfNut.AllStarts)
	assert.False(t, a.CarriageShift.Usable)
}

// The work does not grow with the numbers: these two have about 10¹⁹ paths.
func TestHostileNumbers(t *testing.T) {
	t.Parallel()
	a := solved(t, `{"thread": {"lead": "1.000000001 mm", "starts": 7, "length": "50 mm"}, "lathe": {"leadscrew": "0.123456789 in", "thread_dials": [{"teeth": 1000, "graduations": 200}], "leadscrew_gear": {"teeth": 127}, "stud_gear": {"teeth": 997, "turns_per_spindle_turn": "0.3333333333333333333333333333333333337"}}}`)
	assert.Equal(t, PickUpKeepClosed, a.PickUp.Rule)
	paths, ok := new(big.Int).SetString(a.HalfNut.Paths.String(), 10)
	require.True(t, ok)
	assert.Greater(t, paths.BitLen(), 29)
	for _, r := range a.HalfNut.Reaches {
		// Checked by multiplying back, not by the way it was found.
		p := new(big.Rat).Mul(big.NewRat(123456789*127, 5*1e9), new(big.Rat).SetFrac(r.LeadscrewThreads.toBig().Num(), big.NewInt(1)))
		p.Sub(p, new(big.Rat).Mul(big.NewRat(1000000001, 7*1e9), big.NewRat(int64(r.Start-1), 1)))
		assert.True(t, p.Quo(p, big.NewRat(1000000001, 1e9)).IsInt())
	}
}
