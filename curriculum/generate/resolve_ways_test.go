package generate_test

import (
	"fmt"
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

// The ways from one start to the next tried one after the other, as the words of
// the choices describe them: which starts each of them meets, and how unevenly. A
// nut with true starts then tells what the unevenness costs.

// tryWays returns the choices that serve, joined; a question has one.
func tryWays(t *testing.T, e curriculum.Exercise, part int) any {
	if part > 0 {
		return exchangeLimit(t, e, part)
	}
	var serving []string
	for _, c := range e.Parts[part].Choices {
		if failing(t, e, c.Text) == "" {
			serving = append(serving, c.ID)
		}
	}
	return strings.Join(serving, ",")
}

// exchangeLimit cuts down a nut's screw for two starts as uneven as the limit; where
// the limit is of the pitch diameter, it looks for the unevenness that takes as much.
func exchangeLimit(t *testing.T, e curriculum.Exercise, part int) any {
	limit, _ := millimetres(t, e.Givens.Values["e"]).Float64()
	worth := usedUp([]float64{0, limit}, 60)
	if e.Model == "fit-allowed" {
		worth = limit * limit / worth // what is used up grows with the unevenness alone
	}
	out := new(big.Rat).SetFloat64(worth)
	if e.Parts[part].Unit == curriculum.UnitInch {
		out.Quo(out, big.NewRat(254, 10))
	}
	return out
}

// TestWaysFailForTheReasonNamed: what is said to the learner who takes a way that
// does not serve is what was met when it was tried.
func TestWaysFailForTheReasonNamed(t *testing.T) {
	t.Parallel()
	eachResolved(t, "choose-method", resolvedDraws/5, func(e curriculum.Exercise, where string) {
		p := e.Parts[0]
		for _, w := range p.Wrong {
			for _, c := range p.Choices {
				if c.ID == w.Answer.Text {
					require.Equal(t, failing(t, e, c.Text), w.ID, "%s: %s", where, c.Text)
				}
			}
		}
	})
}

// failing tries a way and returns the catalogue's name of what speaks against it;
// "" where it serves.
func failing(t *testing.T, e curriculum.Exercise, words string) string {
	t.Helper()
	uneven, against := tryWay(t, e, words)
	switch {
	case against != "":
		return against
	case len(uneven) == 0:
		return "error-unknown"
	}
	most, _ := millimetres(t, e.Givens.Values["e"]).Float64()
	within := 0
	for _, u := range uneven {
		used, _ := u.Float64()
		if e.Model == "fit-allowed" {
			require.Regexp(t, "ISO metric|American National", e.Prompt)
			used = usedUp([]float64{0, used}, 60) // both forms are 60° ones
		}
		require.False(t, used < most*1.2 && used > most/1.2, "%s: %s is off by %v mm, too near to %v mm for a question", e.Prompt, words, used, most)
		if used <= most {
			within++
		}
	}
	switch within {
	case 0:
		return "too-uneven"
	case len(uneven):
		return ""
	}
	require.Fail(t, "half a division decides", "%s: %s", e.Prompt, words)
	return ""
}

var (
	teethOf    = regexp.MustCompile(`of (\d+) teeth(?:, (\S+) turns? to one of the spindle)?`)
	stationsOf = regexp.MustCompile(`(\d+) (jaws|slots|index holes)`)
	trueWithin = regexp.MustCompile(`within (\S+)°`)
	slideOf    = regexp.MustCompile(`divisions of ([^,]+?)(?:, travel (.+))?$`)
)

// tryWay returns how unevenly a way spaces the starts, in mm, if that is known:
// all that it may come to, however half a division is set. Against is what keeps
// it from meeting every start.
func tryWay(t *testing.T, e curriculum.Exercise, words string) (uneven []*big.Rat, against string) {
	t.Helper()
	exact := []*big.Rat{new(big.Rat)}
	r := e.Givens.Solve
	n := int(*r.Thread.Starts)
	pitch := millimetres(t, r.Thread.Pitch)
	shut := strings.Contains(e.Prompt, "train cannot be opened")
	require.Equal(t, r.Lathe.TrainOpens != nil && !*r.Lathe.TrainOpens, shut, e.Prompt)
	has := func(begin string) bool { return strings.HasPrefix(words, begin) }
	switch {
	case has("the lines of the thread dial"):
		s := scratch(t, e)
		for _, d := range r.Lathe.ThreadDials {
			met := map[int]bool{}
			for _, start := range s.dial(d) {
				if start > 0 {
					met[start] = true
				}
			}
			if len(met) == n {
				return exact, ""
			}
		}
		return nil, "false-path"
	case has("the half-nut"), has("the carriage"):
		// Closed later, or the carriage moved back: whole leadscrew threads either way.
		s := scratch(t, e)
		met := map[int]bool{1: true}
		for at := s.screw % s.lead; at != 0; at = (at + s.screw) % s.lead {
			if s.start[at] > 0 {
				met[s.start[at]] = true
			}
		}
		if len(met) < n {
			return nil, "false-path"
		}
		return exact, ""
	case has("the compound slide"):
		m := slideOf.FindStringSubmatch(words)
		require.NotNil(t, m, words)
		if m[2] != "" && !hasRoom(t, pitch, n, millimetres(t, m[2]), e) {
			return nil, "too-little-travel"
		}
		return turnTheCollar(pitch, millimetres(t, m[1]), n), ""
	case has("the teeth of the first gear"):
		require.True(t, shut, "%s: a gear that nobody has counted", e.Prompt)
		return nil, "train-shut"
	case has("the stud gear"), has("the leadscrew gear"):
		m := teethOf.FindStringSubmatch(words)
		require.NotNil(t, m, words)
		teeth, err := strconv.Atoi(m[1])
		require.NoError(t, err)
		meets := false
		if has("the stud gear") {
			ratio := "1"
			if m[2] != "" {
				ratio = m[2]
			}
			meets = studMeets(number(t, ratio), teeth, n)
		} else {
			meets = leadscrewMeets(millimetres(t, r.Lathe.Leadscrew), pitch, teeth, n)
		}
		switch {
		case shut:
			return nil, "train-shut"
		case !meets:
			return nil, "teeth-not-whole"
		}
		return exact, ""
	}
	m := stationsOf.FindStringSubmatch(words)
	require.NotNil(t, m, words)
	stations, err := strconv.Atoi(m[1])
	require.NoError(t, err)
	switch {
	case m[2] == "index holes" && shut:
		return nil, "train-shut"
	case smallestStep(stations, n) == 0:
		return nil, "does-not-divide"
	}
	within := trueWithin.FindStringSubmatch(words)
	if within == nil {
		require.Contains(t, words, "never measured")
		return nil, ""
	}
	return []*big.Rat{turnedWrong(t, new(big.Rat).Mul(pitch, big.NewRat(int64(n), 1)), within[1])}, ""
}

// hasRoom reports whether a slide makes its n − 1 moves and keeps a pitch and its
// backlash in reserve. Between the bare moves and those with the reserve nobody
// could say who is not told of it.
func hasRoom(t *testing.T, pitch *big.Rat, n int, travel *big.Rat, e curriculum.Exercise) bool {
	t.Helper()
	moves := new(big.Rat)
	for range n - 1 {
		moves.Add(moves, pitch)
	}
	reserved := new(big.Rat).Add(moves, pitch)
	if b := e.Givens.Solve.Lathe.CompoundSlide.Backlash; b != "" {
		reserved.Add(reserved, millimetres(t, b))
	}
	room := travel.Cmp(reserved) >= 0
	require.Equal(t, travel.Cmp(moves) >= 0, room, "%s: only the reserve decides about the slide", e.Prompt)
	return room
}

// turnTheCollar turns a collar on, division by division, to the reading nearest to
// each start, and returns how unevenly the starts then lie: for every way of
// setting those that are half-way between two divisions, on or back.
func turnTheCollar(pitch, division *big.Rat, n int) []*big.Rat {
	// Lengths as whole numbers of twice the product of the denominators.
	fine := new(big.Int).Mul(pitch.Denom(), division.Denom())
	fine.Mul(fine, big.NewInt(2))
	ticks := func(r *big.Rat) int64 { return new(big.Rat).Mul(r, new(big.Rat).SetInt(fine)).Num().Int64() }
	p, g := ticks(pitch), ticks(division)
	type ends struct{ low, high int64 }
	ways := []ends{{}}
	var wanted, at int64
	for range n - 1 {
		wanted += p
		for at+g-wanted < wanted-at { // the next division is nearer
			at += g
		}
		nearest := []int64{at - wanted}
		if at+g-wanted == wanted-at {
			nearest = append(nearest, at+g-wanted)
		}
		var more []ends
		for _, w := range ways {
			for _, off := range nearest {
				more = append(more, ends{min(w.low, off), max(w.high, off)})
			}
		}
		ways = more
	}
	var out []*big.Rat
	for _, w := range ways {
		out = append(out, new(big.Rat).SetFrac(big.NewInt(w.high-w.low), fine))
	}
	return out
}

// studMeets lets the teeth of the wheel on the stud by, one after the other, until
// the spindle stands an n-th of a turn on, whole turns left out.
func studMeets(ratio *big.Rat, teeth, n int) bool {
	// In a turn of the spindle ratio × teeth pass: a tooth is so many parts of a
	// turn of that many.
	parts, turn := int(ratio.Denom().Int64()), int(ratio.Num().Int64())*teeth
	for at := parts % turn; at != 0; at = (at + parts) % turn {
		if at*n == turn {
			return true
		}
	}
	return false
}

// leadscrewMeets turns the leadscrew's wheel tooth by tooth while the spindle
// stands, until the carriage has gone a pitch with the travel, whole leads left
// out.
func leadscrewMeets(screw, pitch *big.Rat, teeth, n int) bool {
	perTooth := new(big.Rat).Quo(screw, big.NewRat(int64(teeth), 1))
	fine := new(big.Rat).SetInt(new(big.Int).Mul(perTooth.Denom(), pitch.Denom()))
	tooth := new(big.Rat).Mul(perTooth, fine).Num().Int64()
	p := new(big.Rat).Mul(pitch, fine).Num().Int64()
	lead := p * int64(n)
	for at := tooth % lead; at != 0; at = (at + tooth) % lead {
		if at == p {
			return true
		}
	}
	return false
}

// turnedWrong is how far a groove lies out of place when the work stands wrong by
// the angle: the share of the lead that the carriage goes in that part of a turn,
// a thousandth of a degree after the other.
func turnedWrong(t *testing.T, lead *big.Rat, degrees string) *big.Rat {
	t.Helper()
	step := new(big.Rat).Quo(lead, big.NewRat(360_000, 1))
	left, out := number(t, degrees), new(big.Rat)
	for left.Sign() > 0 {
		left.Sub(left, big.NewRat(1, 1000))
		out.Add(out, step)
	}
	require.Zero(t, left.Sign(), degrees)
	return out
}

var anglePattern = regexp.MustCompile(`(\S+)°`)

// cutDownUntilItGoesOn reads the form and the starts from the words alone.
func cutDownUntilItGoesOn(t *testing.T, e curriculum.Exercise, part int) any {
	m := anglePattern.FindStringSubmatch(e.Prompt)
	require.NotNil(t, m, e.Prompt)
	included, err := strconv.ParseFloat(m[1], 64)
	require.NoError(t, err)
	starts := 0
	for i, words := range []string{"two", "three", "four", "five", "six"} {
		if strings.Contains(e.Prompt, words+"-start") {
			starts = i + 2
		}
	}
	require.Positive(t, starts, e.Prompt)
	worst, _ := millimetres(t, e.Givens.Values["e"]).Float64()
	off := make([]float64, starts)
	for i := range off { // the others lie between the two that are furthest apart
		off[i] = worst * float64(i) / float64(starts-1)
	}
	used := new(big.Rat).SetFloat64(usedUp(off, included))
	if e.Parts[part].Unit == curriculum.UnitInch {
		used.Quo(used, big.NewRat(254, 10))
	}
	return used
}

// nuts are those tried already: few spacing errors are asked about, again and again.
var nuts sync.Map

// usedUp cuts the ridges of a screw down until a nut with true starts goes on, and
// returns what that took from the pitch diameter, in the unit of off: how far each
// start lies out of place along the axis. The flanks stand at half the included
// angle, in degrees, to a plane square to the axis.
func usedUp(off []float64, included float64) float64 {
	tried := fmt.Sprint(off, included)
	if v, ok := nuts.Load(tried); ok {
		return v.(float64)
	}
	worst := 0.0
	for _, o := range off {
		worst = max(worst, math.Abs(o))
	}
	if worst == 0 {
		return 0
	}
	sin, cos := math.Sincos(included / 2 * math.Pi / 180)
	// fouls is how deep, square to the flank, a nut pushed along by so much stands
	// in the ridges of a screw whose diameter is cut down; below 0 it is free. A
	// flank and the one that it bears on are parallel, so one point of it tells.
	fouls := func(cut, pushed float64) float64 {
		deepest := math.Inf(-1)
		for _, o := range off {
			// Where the flanks met the nut's at the pitch line they now lie below it
			// by half of what the diameter lost.
			x, y := o-pushed, -cut/2
			deepest = max(deepest, x*cos+y*sin, -x*cos+y*sin)
		}
		return deepest
	}
	goesOn := func(cut float64) bool {
		// The nut is pushed along to where it fouls the ridges least: fouling is
		// convex, so that thirds of the way close in on that place.
		low, high := -2*worst, 2*worst
		for range 120 {
			a, b := low+(high-low)/3, high-(high-low)/3
			if fouls(cut, a) <= fouls(cut, b) {
				high = b
			} else {
				low = a
			}
		}
		return fouls(cut, low) <= worst*1e-14 // what rounding leaves
	}
	low, high := 0.0, worst
	for !goesOn(high) {
		high *= 2
	}
	for range 60 {
		if middle := (low + high) / 2; goesOn(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	nuts.Store(tried, high)
	return high
}
