package lathesim_test

import (
	"fmt"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath/lathesim"
)

// mm and in return lengths in mm.
func mm(num, den int64) *big.Rat { return big.NewRat(num, den) }
func in(num, den int64) *big.Rat { return new(big.Rat).Mul(big.NewRat(num, den), big.NewRat(127, 5)) }

func times(a *big.Rat, num, den int64) *big.Rat { return new(big.Rat).Mul(a, big.NewRat(num, den)) }

// setUp returns a lathe that has cut start 1 on a work of more than three turns and stands where that cut began.
func setUp(t *testing.T, cfg lathesim.Config, starts int) (lathesim.Lathe, *lathesim.Work) {
	t.Helper()
	l, err := lathesim.New(cfg)
	require.NoError(t, err)
	w := &lathesim.Work{From: times(cfg.Lead, 8, 5), To: times(cfg.Lead, 24, 5)}
	if cfg.LeftHand {
		w.From, w.To = new(big.Rat).Neg(w.To), new(big.Rat).Neg(w.From)
	}
	require.NoError(t, l.CutFirst(w, starts, times(cfg.Lead, 1, int64(starts))))
	require.Len(t, w.Grooves, starts)
	return l, w
}

// cut closes the half-nut, if it is open, and returns the start that the tool follows.
func cut(t *testing.T, l lathesim.Lathe, w *lathesim.Work) int {
	t.Helper()
	require.NoError(t, l.CloseHalfNut())
	path, err := l.Cut(w)
	require.NoError(t, err)
	return w.Start(path)
}

// machines returns lathes of every build that decides a direction: hand of thread and leadscrew, tool in front or
// behind (an internal thread is cut the same way, the tool against the other wall).
func machines(cfg lathesim.Config) map[string]lathesim.Config {
	all := map[string]lathesim.Config{}
	for _, left := range []bool{false, true} {
		for _, leftScrew := range []bool{false, true} {
			for _, behind := range []int64{0, 1} {
				c := cfg
				c.LeftHand, c.LeadscrewLeftHand, c.ToolAngle = left, leftScrew, big.NewRat(behind, 2)
				all[fmt.Sprintf("left=%v leadscrew-left=%v tool-behind=%v", left, leftScrew, behind == 1)] = c
			}
		}
	}
	return all
}

func eachMachine(t *testing.T, cfg lathesim.Config, check func(t *testing.T, cfg lathesim.Config)) {
	t.Helper()
	for name, c := range machines(cfg) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			check(t, c)
		})
	}
}

func TestReclosingWithNothingMovedFollowsTheSameGroove(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: mm(7, 1), Leadscrew: in(1, 8)}, func(t *testing.T, cfg lathesim.Config) {
		l, w := setUp(t, cfg, 1)
		assert.Equal(t, 1, cut(t, l, w))
	})
}

func TestReversingWithClosedHalfNutKeepsTheGroove(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: mm(7, 1), Leadscrew: in(1, 8)}, func(t *testing.T, cfg lathesim.Config) {
		l, w := setUp(t, cfg, 3)
		require.NoError(t, l.CloseHalfNut())
		for _, turns := range []*big.Rat{big.NewRat(-1, 3), big.NewRat(37, 11), big.NewRat(-29, 7)} {
			l.TurnSpindle(turns)
		}
		l.TurnSpindle(big.NewRat(-5, 1))
		assert.Equal(t, 1, cut(t, l, w))
	})
}

func TestHalfNutClosesOnlyInAThread(t *testing.T) {
	t.Parallel()
	l, _ := setUp(t, lathesim.Config{Lead: mm(3, 1), Leadscrew: mm(6, 1), LeadscrewStarts: 2}, 1)
	require.NoError(t, l.MoveCarriage(mm(1, 1)))
	assert.ErrorIs(t, l.CloseHalfNut(), lathesim.ErrThreadsClash)
	require.NoError(t, l.MoveCarriage(mm(2, 1)), "threads of the two-start leadscrew stand 3 mm apart")
	require.NoError(t, l.CloseHalfNut())
	assert.ErrorIs(t, l.MoveCarriage(mm(1, 1)), lathesim.ErrHalfNutClosed)
	assert.ErrorIs(t, l.RunToThread(), lathesim.ErrHalfNutClosed)
}

func TestEveryClosingCutsTrueOnAThreadThatDividesTheLeadscrew(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: in(1, 16), Leadscrew: in(1, 8)}, func(t *testing.T, cfg lathesim.Config) {
		l, w := setUp(t, cfg, 1)
		closings, err := l.HalfNutCycle(w)
		require.NoError(t, err)
		require.NotEmpty(t, closings)
		for _, c := range closings {
			assert.True(t, c.Closes)
			assert.Equal(t, 1, c.Start)
		}
	})
}

// With a lead of two leadscrew threads every other closing is half a lead off: the second start of a double thread.
func TestClosingsAlternateOnALeadOfTwoLeadscrewThreads(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: in(1, 4), Leadscrew: in(1, 8)}, func(t *testing.T, cfg lathesim.Config) {
		l, w := setUp(t, cfg, 2)
		closings, err := l.HalfNutCycle(w)
		require.NoError(t, err)
		require.Len(t, closings, 2)
		assert.Equal(t, []int{1, 2}, []int{closings[0].Start, closings[1].Start})

		l, w = setUp(t, cfg, 1)
		closings, err = l.HalfNutCycle(w)
		require.NoError(t, err)
		require.Len(t, closings, 2)
		assert.Equal(t, []int{1, 0}, []int{closings[0].Start, closings[1].Start}, "a single thread is spoilt half a lead off")
	})
}

func TestDialTurnsWithLeadscrewAndCarriageAndStandsWhileTheHalfNutIsClosed(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: mm(3, 1), Leadscrew: mm(6, 1), LeadscrewStarts: 2, Dial: lathesim.Dial{Teeth: 14, Lines: 7}},
		func(t *testing.T, cfg lathesim.Config) {
			l, w := setUp(t, cfg, 1)
			require.NoError(t, l.CloseHalfNut())
			before := l.DialTurns()
			_, err := l.Cut(w)
			require.NoError(t, err)
			assert.Zero(t, before.Cmp(l.DialTurns()), "half-nut closed")

			l.OpenHalfNut()
			require.NoError(t, l.MoveCarriage(mm(42, 1))) // fourteen threads of 3 mm
			assert.Zero(t, new(big.Rat).Sub(before, l.DialTurns()).Cmp(big.NewRat(1, 1)), "carriage moved by hand")

			l.TurnSpindle(big.NewRat(7, 1)) // 21 mm of leadscrew thread go by
			assert.Zero(t, new(big.Rat).Abs(new(big.Rat).Sub(before, l.DialTurns())).Cmp(
				new(big.Rat).Sub(big.NewRat(1, 1), times(l.Travel(), 1, 2))), "leadscrew turned")
		})
}

// A line that catches does so wherever the carriage was brought by hand.
func TestDialLineCatchesFromAnyPlaceOfTheCarriage(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: in(1, 5), Leadscrew: in(1, 6), Dial: lathesim.Dial{Teeth: 24, Lines: 8}},
		func(t *testing.T, cfg lathesim.Config) {
			l, w := setUp(t, cfg, 1)
			for _, back := range []*big.Rat{mm(1, 3), mm(23, 7), mm(100, 1)} {
				require.NoError(t, l.MoveCarriage(new(big.Rat).Neg(new(big.Rat).Mul(back, l.Travel()))))
				for {
					require.NoError(t, l.RunToLine())
					if line, ok := l.Line(); ok && line == 0 {
						break
					}
				}
				assert.Equal(t, 1, cut(t, l, w), "carriage %s mm further back", back.RatString())
			}
		})
}

func TestBackwardDialShowsItsNumbersTheOtherWayRound(t *testing.T) {
	t.Parallel()
	for _, left := range []bool{false, true} {
		for _, backward := range []bool{false, true} {
			l, w := setUp(t, lathesim.Config{Lead: in(1, 5), LeftHand: left, Leadscrew: in(1, 8), Dial: lathesim.Dial{Teeth: 16, Lines: 4, Backward: backward}}, 1)
			closings, err := l.DialCycle(w)
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(closings), 4)
			var printed []int
			for _, c := range closings[:4] {
				printed = append(printed, c.Line)
			}
			want := []int{0, 1, 2, 3}
			if left != backward {
				want = []int{0, 3, 2, 1}
			}
			assert.Equal(t, want, printed, "left-hand %v, backward %v", left, backward)
		}
	}
}

// Turned forward, letting threads come up and moving back against the travel go to the next start; moving with the
// travel goes to the last.
func TestDirections(t *testing.T) {
	t.Parallel()
	const starts = 3
	cfg := lathesim.Config{
		Lead: mm(6, 1), Leadscrew: mm(6, 1), LeadscrewStarts: 3,
		StudTeeth: 45, LeadscrewTeeth: 60, IndexHoles: 12,
	}
	eachMachine(t, cfg, func(t *testing.T, cfg lathesim.Config) {
		set, w := setUp(t, cfg, starts)
		back := times(set.Travel(), -2, 1) // one pitch against the travel

		for i := range 2 * starts {
			n := int64(i)
			next, last := 1+i%starts, 1+(2*starts-i)%starts

			l := set
			l.ClampWork(big.NewRat(n, starts))
			assert.Equal(t, next, cut(t, l, w), "work turned forward")

			l = set
			for range i {
				require.NoError(t, l.RunToThread())
			}
			assert.Equal(t, next, cut(t, l, w), "leadscrew threads let by")

			l = set
			require.NoError(t, l.MoveCarriage(times(back, n, 1)))
			assert.Equal(t, next, cut(t, l, w), "carriage moved back")

			l = set
			require.NoError(t, l.OpenTrain(lathesim.SpindleMesh))
			for range i * 4 {
				require.NoError(t, l.TurnToNextHole())
			}
			require.NoError(t, l.CloseTrain())
			assert.Equal(t, next, cut(t, l, w), "index holes brought to the pin")

			l = set
			require.NoError(t, l.CloseHalfNut())
			require.NoError(t, l.OpenTrain(lathesim.StudMesh))
			require.NoError(t, l.TurnStudGear(15*i))
			require.NoError(t, l.CloseTrain())
			assert.Equal(t, next, cut(t, l, w), "stud gear teeth let by")

			l = set
			l.WindSlide(times(back, -n, 1))
			assert.Equal(t, last, cut(t, l, w), "slide moved with the travel")

			l = set
			require.NoError(t, l.CloseHalfNut())
			require.NoError(t, l.OpenTrain(lathesim.LeadscrewMesh))
			require.NoError(t, l.TurnLeadscrewGear(20*i))
			require.NoError(t, l.CloseTrain())
			assert.Equal(t, last, cut(t, l, w), "leadscrew gear turned in its driving direction")
		}
	})
}

func TestWheelsMeshToothByTooth(t *testing.T) {
	t.Parallel()
	l, w := setUp(t, lathesim.Config{Lead: mm(4, 1), Leadscrew: mm(6, 1), StudTeeth: 45, StudPerSpindle: big.NewRat(2, 3)}, 2)
	assert.ErrorIs(t, l.CloseTrain(), lathesim.ErrTrainClosed)
	assert.ErrorIs(t, l.TurnStudGear(1), lathesim.ErrTrainClosed)
	require.NoError(t, l.OpenTrain(lathesim.StudMesh))
	assert.ErrorIs(t, l.OpenTrain(lathesim.StudMesh), lathesim.ErrTrainOpen)
	assert.ErrorIs(t, l.RunToThread(), lathesim.ErrNotDriven)
	l.TurnSpindle(big.NewRat(1, 7))
	assert.ErrorIs(t, l.CloseTrain(), lathesim.ErrTeethClash)
	l.TurnSpindle(big.NewRat(5, 14)) // half a turn since: fifteen teeth of 45 at two thirds
	require.NoError(t, l.CloseTrain())
	assert.Equal(t, 2, cut(t, l, w))
}

// Moved with the travel the slide stands against its screw; moved back without taking up the slack it is pushed off
// in the first turn.
func TestBacklashSpoilsASlideMovedAgainstTheTravel(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: mm(6, 1), Leadscrew: mm(6, 1), Backlash: mm(3, 10)}, func(t *testing.T, cfg lathesim.Config) {
		set, w := setUp(t, cfg, 3)
		pitch := times(set.Travel(), 2, 1)

		l := set
		l.WindSlide(pitch)
		assert.Equal(t, 3, cut(t, l, w))

		l = set
		l.WindSlide(times(pitch, -1, 1))
		assert.Equal(t, 0, cut(t, l, w))

		l = set
		l.WindSlide(times(pitch, -3, 2))
		l.WindSlide(times(pitch, 1, 2))
		assert.Equal(t, 2, cut(t, l, w), "wound too far back, then with the travel")
	})
}

func TestSlideAtAnAngleFeedsInWhatTheCrossSlideMustGiveBack(t *testing.T) {
	t.Parallel()
	// 3-4-5 triangle: the angle from the cross-slide has sine 3/5 and cosine 4/5.
	eachMachine(t, lathesim.Config{Lead: mm(6, 1), Leadscrew: mm(6, 1), SlideSin: big.NewRat(3, 5), SlideCos: big.NewRat(4, 5)},
		func(t *testing.T, cfg lathesim.Config) {
			l, w := setUp(t, cfg, 2)
			l.WindSlide(times(l.Travel(), 5, 1))
			assert.Zero(t, l.Infeed().Cmp(mm(4, 1)))
			l.MoveCrossSlide(mm(-4, 1))
			assert.Zero(t, l.Infeed().Sign())
			assert.Equal(t, 2, cut(t, l, w))
		})
}

func TestNearestTellsHowFarAFalsePathLies(t *testing.T) {
	t.Parallel()
	eachMachine(t, lathesim.Config{Lead: mm(6, 1), Leadscrew: mm(6, 1)}, func(t *testing.T, cfg lathesim.Config) {
		l, w := setUp(t, cfg, 3)
		l.ClampWork(big.NewRat(121, 360)) // a jaw one degree late
		require.NoError(t, l.CloseHalfNut())
		path, err := l.Cut(w)
		require.NoError(t, err)
		assert.Zero(t, w.Start(path))
		start, beside := w.Nearest(path)
		assert.Equal(t, 2, start)
		assert.Zero(t, beside.Cmp(times(l.Travel(), -1, 60)), beside.RatString())
	})
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	for _, cfg := range []lathesim.Config{
		{}, {Lead: mm(1, 1)}, {Lead: mm(0, 1), Leadscrew: mm(1, 1)}, {Lead: mm(1, 1), Leadscrew: mm(-1, 1)},
		{Lead: mm(1, 1), Leadscrew: mm(1, 1), Dial: lathesim.Dial{Teeth: 16}},
		{Lead: mm(1, 1), Leadscrew: mm(1, 1), LeadscrewStarts: -1},
		{Lead: mm(1, 1), Leadscrew: mm(1, 1), Backlash: mm(-1, 1)},
	} {
		_, err := lathesim.New(cfg)
		assert.Error(t, err)
	}

	l, w := setUp(t, lathesim.Config{Lead: mm(3, 1), Leadscrew: mm(6, 1)}, 1)
	_, ok := l.Line()
	assert.False(t, ok, "no dial")
	_, err := l.Cut(w)
	assert.ErrorIs(t, err, lathesim.ErrHalfNutOpen)
	require.NoError(t, l.OpenTrain(lathesim.LeadscrewMesh))
	require.NoError(t, l.CloseHalfNut())
	_, err = l.Cut(w)
	assert.ErrorIs(t, err, lathesim.ErrTrainOpen)
	require.NoError(t, l.CloseTrain())
	_, err = l.Cut(w)
	require.NoError(t, err)
	_, err = l.Cut(w)
	assert.ErrorIs(t, err, lathesim.ErrPastWork)

	l, err = lathesim.New(lathesim.Config{Lead: mm(3, 1), Leadscrew: mm(6, 1)})
	require.NoError(t, err)
	assert.ErrorIs(t, l.CutFirst(&lathesim.Work{From: mm(5, 2), To: mm(7, 2)}, 1, mm(3, 1)), lathesim.ErrShortWork)
}
