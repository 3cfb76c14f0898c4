package generate_test

import (
	"maps"
	"math"
	"math/big"
	"math/cmplx"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// The skills about settings answered again by moving slides and tools a little at a
// time: nothing of threadmath is asked, and no formula of the models.

func init() {
	maps.Copy(resolvers, map[string]map[string]func(t *testing.T, e curriculum.Exercise, part int) any{
		"angled-slide": {"per-pitch": slideAlong, "to-start": slideToStart, "set-wrong": slideSetWrong},
		"left-hand":    {"ends": followTheHelix, "swing": feedWithTheTravel, "parallel-slide": moveTheSlide, "dial-lines": watchLeftHandDial},
	})
}

// inPartUnit is a length given or counted in millimetres as a number of the part's unit.
func inPartUnit(mm float64, p curriculum.Part) float64 {
	if p.Unit == curriculum.UnitInch {
		return mm / 25.4
	}
	return mm
}

// mmOf reads a given length or the spacing of threads per inch as a float.
func mmOf(t *testing.T, text string) float64 {
	t.Helper()
	f, _ := millimetres(t, text).Float64()
	return f
}

// pitchOf is the pitch of the exercise in mm.
func pitchOf(t *testing.T, e curriculum.Exercise) float64 {
	t.Helper()
	if text, ok := e.Givens.Values["P"]; ok {
		return mmOf(t, text)
	}
	return mmOf(t, e.Givens.Values["N"])
}

// figure reads a given number, whatever its unit.
func figure(t *testing.T, e curriculum.Exercise, name string) float64 {
	t.Helper()
	text, _, _ := strings.Cut(strings.TrimSuffix(e.Givens.Values[name], "°"), " ")
	f, ok := new(big.Rat).SetString(text)
	require.True(t, ok, "%s: %s", name, e.Givens.Values[name])
	v, _ := f.Float64()
	return v
}

// moved is where the tool goes when a slide that stands at so many degrees from the
// cross-slide moves by a unit: in as the real part, along as the imaginary one. The
// direction is found by halving the right angle again and again.
func moved(deg float64) complex128 {
	low, high := complex(1, 0), complex(0, 1)
	from, to := 0.0, 90.0
	at := low
	for range 60 {
		at = low + high
		at /= complex(cmplx.Abs(at), 0)
		middle := (from + to) / 2
		if deg < middle {
			high, to = at, middle
		} else {
			low, from = at, middle
		}
	}
	return at
}

// slideFor is the way of a slide that moves the tool so far along the axis, found
// by trying.
func slideFor(deg, along float64) float64 {
	unit := imag(moved(deg))
	low, high := 0.0, along*1000
	for range 200 {
		middle := (low + high) / 2
		if unit*middle < along {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

func slideAlong(t *testing.T, e curriculum.Exercise, part int) any {
	deg := figure(t, e, "A")
	s := slideFor(deg, pitchOf(t, e))
	if part == 1 {
		s *= math.Abs(imag(moved(deg) * complex(0, 1))) // square to the axis
	}
	return inPartUnit(s, e.Parts[part])
}

// slideToStart moves on by one pitch after the other until the start is met.
func slideToStart(t *testing.T, e curriculum.Exercise, part int) any {
	n, k, deg := given(t, e, "n"), given(t, e, "k"), figure(t, e, "A")
	along := 0.0
	for start := 1; start != k; { // with the travel the starts come in falling order
		along += pitchOf(t, e)
		if start--; start == 0 {
			start = n
		}
	}
	s := slideFor(deg, along)
	in := cmplx.Abs(moved(deg)*complex(s, 0) - complex(0, along))
	switch part {
	case 0:
		return inPartUnit(s, e.Parts[part])
	case 1:
		return inPartUnit(in, e.Parts[part])
	}
	return inPartUnit(in+in, e.Parts[part])
}

// slideSetWrong cuts every start with the base where it really stands.
func slideSetWrong(t *testing.T, e curriculum.Exercise, part int) any {
	p := pitchOf(t, e)
	s := slideFor(figure(t, e, "A"), p)
	var at []float64
	for i := range given(t, e, "n") {
		at = append(at, float64(i)*s*imag(moved(figure(t, e, "B"))))
	}
	if part == 0 {
		return inPartUnit(at[1]-at[0], e.Parts[part])
	}
	least, most := 0.0, 0.0
	for i, x := range at {
		beside := x - float64(i)*p
		least, most = math.Min(least, beside), math.Max(most, beside)
	}
	return inPartUnit(most-least, e.Parts[part])
}

// towardsTailstock is how far the tool goes along the axis, counted from headstock
// to tailstock, while the spindle turns forward a little. Seen from the tailstock the
// work turns against the clock; a right-hand groove climbs to the tailstock when it is
// followed that way round.
func towardsTailstock(e curriculum.Exercise) float64 {
	climb := 1.0 // along the axis for an angle against the clock, right hand
	if strings.Contains(e.Prompt, "left-hand") {
		climb = -1
	}
	const turned = 0.01
	// The groove met at the tool has the angle 0 in the room: on the work that is
	// minus what the work has turned.
	return climb * -turned
}

func endAt(toTailstock bool) string {
	if toTailstock {
		return "tailstock"
	}
	return "headstock"
}

func followTheHelix(t *testing.T, e curriculum.Exercise, part int) any {
	to := towardsTailstock(e) > 0
	switch part {
	case 0:
		return endAt(to)
	case 1: // it comes from the other end
		return endAt(!to)
	}
	room := new(big.Rat)
	for _, name := range []string{"T", "s", "v"} {
		room.Add(room, millimetres(t, e.Givens.Values[name]))
	}
	mm, _ := room.Float64()
	return inPartUnit(mm, e.Parts[part])
}

// feedWithTheTravel tries both ways to swing the handle: pushed in, the tool moves
// away from it, and drawn out towards it.
func feedWithTheTravel(t *testing.T, e curriculum.Exercise, part int) any {
	if part == 1 {
		deg := figure(t, e, "A")
		square := moved(deg) * complex(0, 1)
		return math.Atan2(real(moved(deg)), -real(square)) * 180 / math.Pi
	}
	fed := -1.0 // away from the handle
	if strings.Contains(e.Prompt, "internal") {
		fed = 1
	}
	for _, handle := range []float64{-1, 1} { // towards the headstock, the tailstock
		if fed*handle*towardsTailstock(e) > 0 {
			return endAt(handle > 0)
		}
	}
	return ""
}

func moveTheSlide(t *testing.T, e curriculum.Exercise, part int) any {
	switch part {
	case 0:
		return endAt(towardsTailstock(e) > 0)
	case 1:
		return walkWithTravel(t, e, part)
	}
	s := scratch(t, e)
	left := given(t, e, "j")
	for x := 1; ; x++ {
		start := s.start[s.against(x)]
		if start == 0 {
			continue
		}
		if left--; left == 0 {
			return big.NewRat(int64(start), 1)
		}
	}
}

// watchLeftHandDial turns the dial of the reversed leadscrew line by line.
func watchLeftHandDial(t *testing.T, e curriculum.Exercise, _ int) any {
	s, d := scratch(t, e), e.Givens.Solve.Lathe.ThreadDials[0]
	step := -1 // numbers that rise for a right hand fall for a left one
	if d.Runs == threadmath.DialRunsDown {
		step = 1
	}
	var lines []int
	number := 0
	for _, start := range s.dial(d) {
		if start == given(t, e, "k") {
			lines = append(lines, number)
		}
		number = (number + step + int(d.Graduations)) % int(d.Graduations)
	}
	slices.Sort(lines)
	return lines
}

// TestSwingAgreesWithTheBench: the exercise swings the compound slide as the bench
// does.
func TestSwingAgreesWithTheBench(t *testing.T) {
	t.Parallel()
	drawer, err := generate.NewDrawer(lathes(t)[1])
	require.NoError(t, err)
	for seed := range uint64(200) {
		e, err := drawer.Draw("left-hand", seed, generate.Options{Model: "swing"})
		require.NoError(t, err)
		a, err := threadmath.Solve(*e.Givens.Solve)
		require.NoError(t, err)
		require.Equal(t, a.Infeed[0].Swing, "handle towards the "+e.Parts[0].Answer.Text, e.Prompt)
	}
}
