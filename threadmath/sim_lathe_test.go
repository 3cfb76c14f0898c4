package threadmath_test

import (
	"fmt"
	"math/big"
	"slices"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/threadmath"
	"halfnut/threadmath/lathesim"
)

// measure is a length as a job writes it: num/den mm, or of an inch.
type measure struct {
	num, den int64
	inch     bool
}

func mm(num, den int64) measure   { return measure{num, den, false} }
func inch(num, den int64) measure { return measure{num, den, true} }

func (m measure) String() string {
	unit := "mm"
	if m.inch {
		unit = "in"
	}
	return fmt.Sprintf("%d/%d %s", m.num, m.den, unit)
}

func (m measure) rat() *big.Rat {
	r := big.NewRat(m.num, m.den)
	if m.inch {
		r.Mul(r, big.NewRat(127, 5))
	}
	return r
}

// simJob is a thread and a lathe, told to the solver and to the simulation. What stands under "build" only the
// simulation hears of: no answer may depend on it.
type simJob struct {
	pitch    measure
	starts   int
	left     bool
	internal bool
	length   measure

	leadscrew       measure
	leadscrewStarts int
	dials           []threadmath.ThreadDial
	holders         []threadmath.Holder
	studTeeth       int
	rhoNum, rhoDen  int64
	leadscrewTeeth  int
	compound        threadmath.Slide
	infeedDeg       float64

	build struct{ leftLeadscrew, toolBehind bool }
}

func (j simJob) String() string {
	return fmt.Sprintf("%d starts of %s, left %v, internal %v, on a leadscrew of %s with %d starts; stud %d·%d/%d, leadscrew gear %d",
		j.starts, j.pitch, j.left, j.internal, j.leadscrew, j.leadscrewStarts, j.studTeeth, j.rhoNum, j.rhoDen, j.leadscrewTeeth)
}

func count(n int) *threadmath.Count {
	c := threadmath.Count(n)
	return &c
}

func (j simJob) request() threadmath.Request {
	r := threadmath.Request{
		Thread: threadmath.Thread{Pitch: j.pitch.String(), Starts: count(j.starts), Length: j.length.String()},
		Lathe: &threadmath.Lathe{
			Leadscrew: j.leadscrew.String(), LeadscrewStarts: count(j.leadscrewStarts),
			ThreadDials: j.dials, Holders: j.holders, CompoundSlide: &j.compound,
			StudGear: &threadmath.StudGear{
				Teeth:               threadmath.Count(j.studTeeth),
				TurnsPerSpindleTurn: threadmath.Fraction(fmt.Sprintf("%d/%d", j.rhoNum, j.rhoDen)),
			},
			LeadscrewGear: &threadmath.LeadscrewGear{Teeth: threadmath.Count(j.leadscrewTeeth)},
		},
		Cut: &threadmath.Cut{InfeedAngleDeg: &j.infeedDeg},
	}
	if j.left {
		r.Thread.Hand = "left"
	}
	if j.internal {
		r.Thread.Side = "internal"
	}
	return r
}

func (j simJob) lead() *big.Rat { return ratTimes(j.pitch.rat(), int64(j.starts), 1) }

func (j simJob) config() lathesim.Config {
	c := lathesim.Config{
		Lead: j.lead(), LeftHand: j.left,
		Leadscrew: j.leadscrew.rat(), LeadscrewStarts: j.leadscrewStarts, LeadscrewLeftHand: j.build.leftLeadscrew,
		StudTeeth: j.studTeeth, StudPerSpindle: big.NewRat(j.rhoNum, j.rhoDen), LeadscrewTeeth: j.leadscrewTeeth,
	}
	if j.build.toolBehind {
		c.ToolAngle = big.NewRat(1, 2)
	}
	return c
}

// setUp returns the job's lathe after it cut start 1, standing where that cut began with the half-nut open, a good lead
// before the work.
func (j simJob) setUp(t require.TestingT, change func(*lathesim.Config)) (lathesim.Lathe, *lathesim.Work) {
	cfg := j.config()
	if change != nil {
		change(&cfg)
	}
	l, err := lathesim.New(cfg)
	require.NoError(t, err)
	near, far := ratTimes(cfg.Lead, 8, 5), ratTimes(cfg.Lead, 19, 5)
	w := &lathesim.Work{From: near, To: far}
	if j.left {
		w = &lathesim.Work{From: new(big.Rat).Neg(far), To: new(big.Rat).Neg(near)}
	}
	require.NoError(t, l.CutFirst(w, j.starts, j.pitch.rat()))
	return l, w
}

// cut closes the half-nut and returns the start that the tool follows, 0 for a false groove.
func cut(t require.TestingT, l lathesim.Lathe, w *lathesim.Work) int {
	require.NoError(t, l.CloseHalfNut())
	path, err := l.Cut(w)
	require.NoError(t, err)
	return w.Start(path)
}

func ratTimes(a *big.Rat, num, den int64) *big.Rat {
	return new(big.Rat).Mul(a, big.NewRat(num, den))
}

// ratOf returns an exact number of an answer.
func ratOf(t require.TestingT, r threadmath.Ratio) *big.Rat {
	out, ok := new(big.Rat).SetString(r.String())
	require.True(t, ok, r.String())
	return out
}

// exactMM returns a length of an answer in mm, which must be exact.
func exactMM(t require.TestingT, d threadmath.Dimension) *big.Rat {
	l, ok := d.Exact()
	require.True(t, ok, "not exact")
	return ratOf(t, l.In(threadmath.Metric))
}

// What a school meets, and a little beyond.
var (
	simPitches = []measure{
		mm(1, 2), mm(3, 4), mm(1, 1), mm(5, 4), mm(3, 2), mm(7, 4), mm(2, 1), mm(5, 2), mm(3, 1), mm(7, 2), mm(4, 1), mm(5, 1), mm(6, 1), mm(7, 1),
		inch(1, 4), inch(1, 5), inch(1, 6), inch(1, 8), inch(1, 9), inch(1, 10), inch(1, 11), inch(2, 23), inch(1, 12), inch(1, 13), inch(1, 16),
		inch(1, 20), inch(1, 24), inch(1, 32), inch(3, 16),
	}
	simLeadscrews = []measure{mm(2, 1), mm(3, 1), mm(4, 1), mm(5, 1), mm(6, 1), mm(12, 1), inch(1, 4), inch(1, 5), inch(1, 6), inch(1, 8), inch(1, 10), inch(1, 2)}
	simDialTeeth  = []int{12, 13, 14, 15, 16, 18, 20, 21, 22, 24, 28, 30, 32, 40, 48}
	simDialLines  = []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 14, 16}
)

var holderKinds = []string{"chuck-jaws", "faceplate-slots", "drive-plate-slots", "index-holes"}

// anyJob draws a job.
func anyJob(t *rapid.T) simJob {
	j := simJob{
		pitch:           rapid.SampledFrom(simPitches).Draw(t, "pitch"),
		starts:          rapid.IntRange(1, 6).Draw(t, "starts"),
		left:            rapid.Bool().Draw(t, "left"),
		internal:        rapid.Bool().Draw(t, "internal"),
		leadscrew:       rapid.SampledFrom(simLeadscrews).Draw(t, "leadscrew"),
		leadscrewStarts: rapid.SampledFrom([]int{1, 1, 2, 2, 3}).Draw(t, "leadscrew starts"),
		studTeeth:       rapid.IntRange(15, 130).Draw(t, "stud teeth"),
		rhoNum:          rapid.Int64Range(1, 4).Draw(t, "rho numerator"),
		rhoDen:          rapid.Int64Range(1, 4).Draw(t, "rho denominator"),
		leadscrewTeeth:  rapid.IntRange(15, 80).Draw(t, "leadscrew teeth"),
		infeedDeg:       rapid.SampledFrom([]float64{14.5, 15, 27.5, 29, 29.5, 30}).Draw(t, "infeed angle"),
	}
	if rapid.IntRange(0, 2).Draw(t, "pitch goes with the leadscrew") > 0 {
		// A simple part of the distance between leadscrew threads: then the dial has something to say.
		j.pitch = j.leadscrew
		j.pitch.num *= rapid.Int64Range(1, 6).Draw(t, "pitch numerator")
		j.pitch.den *= int64(j.leadscrewStarts) * rapid.Int64Range(1, 8).Draw(t, "pitch denominator")
	}
	j.length = measure{rapid.Int64Range(1, 60).Draw(t, "length"), 1, false}
	for range rapid.IntRange(1, 3).Draw(t, "dials") {
		lines := rapid.SampledFrom(simDialLines).Draw(t, "dial lines")
		teeth := rapid.SampledFrom(simDialTeeth).Draw(t, "dial teeth")
		if rapid.Bool().Draw(t, "whole threads from line to line") {
			teeth = lines * rapid.IntRange(1, 5).Draw(t, "threads from line to line")
		}
		j.dials = append(j.dials, threadmath.ThreadDial{
			Teeth: threadmath.Count(teeth), Graduations: threadmath.Count(lines),
			Runs: rapid.SampledFrom([]string{"", "up", "down"}).Draw(t, "dial runs"),
		})
	}
	for range 2 {
		h := threadmath.Holder{
			Kind:     rapid.SampledFrom(holderKinds).Draw(t, "holder"),
			Stations: threadmath.Count(rapid.IntRange(1, 12).Draw(t, "stations")),
		}
		if rapid.Bool().Draw(t, "error known") {
			e := rapid.Float64Range(0, 2).Draw(t, "station error")
			h.ErrorDeg = &e
		}
		j.holders = append(j.holders, h)
	}
	j.compound = rapid.SampledFrom([]threadmath.Slide{
		{Graduation: "0.02 mm", PerTurn: "2 mm", Travel: "70 mm"},
		{Graduation: "0.05 mm", PerTurn: "3 mm", Travel: "90 mm", Reads: "diameter"},
		{Graduation: "0.001 in", PerTurn: "0.1 in", Travel: "3 in", Reads: "radius"},
		{Graduation: "0.002 in", PerTurn: "0.25 in", Travel: "2 in", Reads: "diameter"},
	}).Draw(t, "compound slide")
	j.build.leftLeadscrew = rapid.Bool().Draw(t, "left-hand leadscrew")
	j.build.toolBehind = rapid.Bool().Draw(t, "tool behind")
	return j
}

// tb is what a check needs of *testing.T and *rapid.T.
type tb interface {
	require.TestingT
	Helper()
}

// distinct returns how many different texts there are.
func distinct(texts []string) int {
	slices.Sort(texts)
	return len(slices.Compact(texts))
}
