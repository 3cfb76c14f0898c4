package lathesim_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath/lathesim"
)

// The machine against what was printed about such machines. The ids are those of the project's collection of published
// values; the sources:
//
//	Jones: F. D. Jones, Turning and Boring, Industrial Press, 1st ed. 1914 (printing 1919), ch. IV
//	TM 1-420: US War Department TM 1-420, Lathes (Air Corps), 29 Nov 1940
//	Thread Calculations: college machining handout, Amarillo College

// D0012, D0013 (Jones, "Setting Tool When Cutting Multiple Threads" and "Cutting Multiple Threads"): the work turns half
// a revolution between the starts of a double thread, a quarter for a quadruple one.
func TestPublishedWorkRotation(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		id      string
		starts  int
		degrees int64
	}{{"D0012", 2, 180}, {"D0013", 4, 90}} {
		l, w := setUp(t, lathesim.Config{Lead: in(1, 2), Leadscrew: in(1, 6)}, row.starts)
		degrees := int64(0)
		for start := 1; start != 2; start = cut(t, l, w) {
			degrees++
			l.ClampWork(big.NewRat(degrees, 360))
		}
		assert.Equal(t, row.degrees, degrees, row.id)
	}
}

// D0014, D0015 (Jones, "Cutting Multiple Threads", the 96-tooth stud gear turning with the spindle): 32 teeth between the
// starts of a triple thread, 24 of a quadruple one.
func TestPublishedStudGearTeeth(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		id            string
		starts, teeth int
	}{{"D0014", 3, 32}, {"D0015", 4, 24}} {
		l, w := setUp(t, lathesim.Config{Lead: in(1, 2), Leadscrew: in(1, 6), StudTeeth: 96}, row.starts)
		require.NoError(t, l.CloseHalfNut())
		teeth := 0
		for start := 1; start != 2; start = cut(t, l, w) {
			teeth++
			require.NoError(t, l.OpenTrain(lathesim.StudMesh))
			require.NoError(t, l.TurnStudGear(1))
			require.NoError(t, l.CloseTrain())
		}
		assert.Equal(t, row.teeth, teeth, row.id)
	}
}

// D0016 (TM 1-420, p. 81, para b(2)): the compound rest, parallel to the ways, advances one pitch between starts.
func TestPublishedCompoundAdvance(t *testing.T) {
	t.Parallel()
	for starts := 2; starts <= 6; starts++ {
		l, w := setUp(t, lathesim.Config{Lead: in(1, 2), Leadscrew: in(1, 6)}, starts)
		twelfths := int64(0)
		for start := 1; start != starts; start = cut(t, l, w) {
			twelfths++
			l.WindSlide(in(1, 2*12*int64(starts))) // a twelfth of the pitch
		}
		assert.EqualValues(t, 12, twelfths, "D0016, %d starts", starts)
	}
}

// carriageShifts moves the carriage back one leadscrew thread at a time and returns how far it stands back at each
// place, up to limit, where the tool follows the start.
func carriageShifts(t *testing.T, l lathesim.Lathe, w *lathesim.Work, thread, limit *big.Rat, start int) []*big.Rat {
	t.Helper()
	var found []*big.Rat
	back := new(big.Rat)
	for back.Cmp(limit) < 0 {
		back = new(big.Rat).Add(back, thread)
		require.NoError(t, l.MoveCarriage(new(big.Rat).Neg(thread)))
		if cut(t, l, w) == start {
			found = append(found, back)
		}
	}
	return found
}

// D0017, D0018, D0020 (Jones, "Setting Tool When Cutting Multiple Threads"): a double thread of 1 in lead is shifted 1/2 in,
// or 5 1/2 in to clear a thread 5 in long; a quadruple one of 1 1/2 single threads per inch by its pitch and two leads,
// 1 1/2 in.
func TestPublishedCarriageShift(t *testing.T) {
	t.Parallel()
	l, w := setUp(t, lathesim.Config{Lead: in(1, 1), Leadscrew: in(1, 6)}, 2)
	shifts := carriageShifts(t, l, w, in(1, 6), in(6, 1), 2)
	require.NotEmpty(t, shifts)
	assert.Zero(t, shifts[0].Cmp(in(1, 2)), "D0017")
	for _, s := range shifts {
		if s.Cmp(in(5, 1)) >= 0 {
			assert.Zero(t, s.Cmp(in(11, 2)), "D0018")
			break
		}
	}

	l, w = setUp(t, lathesim.Config{Lead: in(2, 3), Leadscrew: in(1, 6)}, 4)
	shifts = carriageShifts(t, l, w, in(1, 6), in(2, 1), 2)
	require.Len(t, shifts, 3)
	assert.Zero(t, shifts[0].Cmp(in(1, 6)))
	assert.Zero(t, shifts[2].Cmp(in(3, 2)), "D0020: the pitch and two leads")
}

// D0019, D0021 (Jones, the same section): for shifts of 5 1/2 in and 1 1/2 in the leadscrew's threads per inch must be a
// multiple of 2.
func TestPublishedCarriageShiftNeedsAnEvenLeadscrew(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		id          string
		lead, shift *big.Rat
		starts      int
	}{{"D0019", in(1, 1), in(11, 2), 2}, {"D0021", in(2, 3), in(3, 2), 4}} {
		for perInch := int64(1); perInch <= 12; perInch++ {
			l, w := setUp(t, lathesim.Config{Lead: row.lead, Leadscrew: in(1, perInch)}, row.starts)
			require.NoError(t, l.MoveCarriage(new(big.Rat).Neg(row.shift)))
			if perInch%2 != 0 {
				assert.ErrorIs(t, l.CloseHalfNut(), lathesim.ErrThreadsClash, "%s, %d per inch", row.id, perInch)
			} else {
				assert.Equal(t, 2, cut(t, l, w), "%s, %d per inch", row.id, perInch)
			}
		}
	}
}

// D0022, D0023 (Jones, "Principle of the Thread Indicator"): a wheel of 24 teeth on a leadscrew of 6 threads per inch
// makes a turn in 4 in of carriage travel; of eight lines one comes up every 1/2 in.
func TestPublishedDialTravel(t *testing.T) {
	t.Parallel()
	l, _ := setUp(t, lathesim.Config{Lead: in(1, 9), Leadscrew: in(1, 6), Dial: lathesim.Dial{Teeth: 24, Lines: 8}}, 1)
	before := l.DialTurns()
	require.NoError(t, l.MoveCarriage(in(4, 1)))
	assert.Zero(t, new(big.Rat).Sub(before, l.DialTurns()).Cmp(big.NewRat(1, 1)), "D0022")
	for _, line := range []int{7, 6, 5, 4, 3, 2, 1, 0} {
		require.NoError(t, l.MoveCarriage(in(1, 2)))
		at, ok := l.Line()
		require.True(t, ok)
		assert.Equal(t, line, at, "D0023")
	}
}

// usableLines returns the dial lines on which every closing of the cycle follows start 1.
func usableLines(t *testing.T, l lathesim.Lathe, w *lathesim.Work, lines int) []int {
	t.Helper()
	closings, err := l.DialCycle(w)
	require.NoError(t, err)
	good := make([]bool, lines)
	for i := range good {
		good[i] = true
	}
	for _, c := range closings {
		good[c.Line] = good[c.Line] && c.Start == 1
	}
	var usable []int
	for i, ok := range good {
		if ok {
			usable = append(usable, i)
		}
	}
	return usable
}

// The dial of these rows turns once in 4 in and has eight lines, every second one numbered. The test counts all lines
// from 0; the printed numbers 1, 2, 3, 4 are its lines 0, 2, 4, 6.
//
// D0024 to D0026 (Jones, "Principle of the Thread Indicator"), D0027 and D0028 (Jones, "Indicator or Chasing Dial for
// Catching Threads"), D0037 (Thread Calculations, p. 1-2, which does not give its leadscrew): even threads per inch on
// any line, odd ones on the numbered lines (1 in apart), 11 1/2 on numbers 1 and 3 (2 in apart).
func TestPublishedDialLines(t *testing.T) {
	t.Parallel()
	any8, numbered, oneAndThree := []int{0, 1, 2, 3, 4, 5, 6, 7}, []int{0, 2, 4, 6}, []int{0, 4}
	for _, row := range []struct {
		id   string
		lead *big.Rat
		want []int
	}{
		{"D0024", in(1, 9), numbered},
		{"D0025, D0026, D0037", in(2, 23), oneAndThree},
		{"D0027", in(1, 8), any8}, {"D0027", in(1, 10), any8}, {"D0027", in(1, 14), any8}, {"D0027", in(1, 20), any8},
		{"D0028", in(1, 7), numbered}, {"D0028", in(1, 9), numbered}, {"D0028", in(1, 11), numbered},
	} {
		for _, screw := range []struct {
			perInch int64
			teeth   int
		}{{6, 24}, {8, 32}, {4, 16}} {
			for _, left := range []bool{false, true} {
				l, w := setUp(t, lathesim.Config{
					Lead: row.lead, LeftHand: left, Leadscrew: in(1, screw.perInch), Dial: lathesim.Dial{Teeth: screw.teeth, Lines: 8},
				}, 1)
				assert.Equal(t, row.want, usableLines(t, l, w, 8), "%s, leadscrew %d per inch", row.id, screw.perInch)
			}
		}
	}
}

// D0024, D0026: on a leadscrew of 6 per inch the closings themselves repeat every 1/3 in for 9 per inch, which no line of
// that dial can show, and every 2 in for 11 1/2.
func TestPublishedShortestRepeat(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		lead    *big.Rat
		threads int
	}{{in(1, 9), 2}, {in(2, 23), 12}} {
		l, w := setUp(t, lathesim.Config{Lead: row.lead, Leadscrew: in(1, 6)}, 1)
		closings, err := l.HalfNutCycle(w)
		require.NoError(t, err)
		require.Len(t, closings, row.threads)
		for _, c := range closings[1:] {
			assert.Zero(t, c.Start)
		}
	}
}
