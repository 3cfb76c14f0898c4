package threadmath

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// permuted finds every train the slow way: all ordered choices of two and four
// different wheels from the box, judged by the rules as the handbook words them
// and by exact rationals. It returns the trains by ratio.
func permuted(wheels []int, target Ratio, limits *bracket) map[string][]train {
	out := map[string][]train{}
	keep := func(t train) {
		if slices.Contains([]int{t.B, t.D}, t.A) && !t.Simple() || !t.Simple() && (t.C == t.B || t.C == t.D) {
			return // a wheel that drives and is driven cancels
		}
		num, den := int64(t.A), int64(t.B)
		if !t.Simple() {
			num, den = num*int64(t.C), den*int64(t.D)
			if t.A+t.B < t.C+15 || t.C+t.D < t.B+15 {
				return
			}
			if limits != nil && (t.teeth() < limits.least || limits.greatest > 0 && t.teeth() > limits.greatest) {
				return
			}
		}
		ratio := frac(num, den)
		if ratio.Quo(target).Sub(Int(1)).Abs().Cmp(frac(1, 100)) <= 0 {
			out[ratio.String()] = append(out[ratio.String()], t)
		}
	}
	n := len(wheels)
	for i := range n {
		for k := range n {
			if k == i {
				continue
			}
			keep(train{TrainWheels: TrainWheels{A: wheels[i], B: wheels[k]}})
			for l := range n {
				if l == i || l == k {
					continue
				}
				for m := range n {
					if m == i || m == k || m == l {
						continue
					}
					keep(train{TrainWheels: TrainWheels{wheels[i], wheels[k], wheels[l], wheels[m]}})
				}
			}
		}
	}
	return out
}

// compareTrains checks a search against all permutations: nothing listed that they
// do not allow, and no ratio nearer than the last listed one left out.
func compareTrains(t require.TestingT, wheels []int, target Ratio, limits *bracket) {
	all := permuted(wheels, target, limits)
	found := searchTrains(wheels, target, limits)
	listed := map[string]bool{}
	last := Ratio{}
	for _, f := range found {
		ratio := frac(f.drivers, f.driven)
		miss := ratio.Quo(target).Sub(Int(1)).Abs()
		require.GreaterOrEqual(t, miss.Cmp(last), 0, "best first")
		last = miss
		require.Equal(t, miss.Sign() == 0, f.exact)
		require.True(t, slices.ContainsFunc(all[ratio.String()], func(o train) bool {
			return o.TrainWheels == f.TrainWheels
		}), "%v is no train of these wheels", f)
		if !f.exact {
			require.False(t, listed[ratio.String()], "%s listed twice", ratio)
		}
		listed[ratio.String()] = true
	}
	for text := range all {
		r, err := ParseRatio(text)
		require.NoError(t, err)
		miss := r.Quo(target).Sub(Int(1)).Abs()
		if len(found) < trainsListed || miss.Cmp(last) < 0 {
			require.True(t, listed[text], "%s is left out", text)
		}
	}
}

// compareExact checks the exact trains, in every order that stands, against all
// permutations, and that the search for the best lists none that is not one of them
// and does not miss them all.
func compareExact(t require.TestingT, wheels []int, target Ratio, limits *bracket) {
	gears := newChangeGears(wheels, limits)
	got := append(gears.Pairs(target), gears.Compounds(target)...)
	var want []TrainWheels
	for _, w := range permuted(wheels, target, limits)[target.String()] {
		if !slices.Contains(want, w.TrainWheels) {
			want = append(want, w.TrainWheels)
		}
	}
	require.ElementsMatch(t, want, got)
	for _, w := range got {
		require.True(t, gears.Stands(w), w)
		require.True(t, w.Ratio().Equal(target), w)
	}
	found := searchTrains(wheels, target, limits)
	var near []TrainWheels
	for _, f := range found {
		require.Equal(t, f.exact, slices.Contains(got, f.TrainWheels), f)
		if !f.exact && !f.Simple() {
			near = append(near, f.TrainWheels)
		}
	}
	require.Equal(t, near, gears.Near(target))
	require.Equal(t, len(got) > 0, len(found) > 0 && found[0].exact)
}

// TestStands judges any four wheels as the permutations do, whether they are on
// hand or not.
func TestStands(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sizes := rapid.SampledFrom([]int{20, 30, 35, 40, 45, 50, 60, 80, 127})
		wheels := rapid.SliceOfN(sizes, 0, 7).Draw(t, "wheels")
		w := TrainWheels{sizes.Draw(t, "a"), sizes.Draw(t, "b"), sizes.Draw(t, "c"), sizes.Draw(t, "d")}
		if rapid.Bool().Draw(t, "simple") {
			w.C, w.D = 0, 0
		}
		limits := &bracket{least: rapid.IntRange(0, 180).Draw(t, "least"), greatest: rapid.IntRange(180, 320).Draw(t, "greatest")}
		stands := slices.ContainsFunc(permuted(wheels, w.Ratio(), limits)[w.Ratio().String()], func(o train) bool { return o.TrainWheels == w })
		require.Equal(t, stands, newChangeGears(wheels, limits).Stands(w), "%v of %v", w, wheels)
	})
	assert.True(t, TrainWheels{A: 20}.Ratio().Equal(Int(0)), "nothing driven")
}

func TestGearTrainsAgainstPermutations(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		wheels := rapid.SliceOfN(rapid.SampledFrom([]int{20, 20, 24, 25, 30, 32, 36, 40, 45, 48, 50, 60, 64, 80, 100, 127}), 2, 9).Draw(t, "wheels")
		target := frac(int64(rapid.IntRange(1, 12).Draw(t, "n")), int64(rapid.IntRange(1, 12).Draw(t, "d")))
		if rapid.Bool().Draw(t, "metric on inch") {
			target = target.Quo(frac(127, 40))
		}
		var limits *bracket
		if rapid.Bool().Draw(t, "bracket") {
			limits = &bracket{least: rapid.IntRange(0, 180).Draw(t, "least"), greatest: rapid.IntRange(180, 320).Draw(t, "greatest")}
		}
		compareTrains(t, wheels, target, limits)
		compareExact(t, wheels, target, limits)
		if w := rapid.Permutation(wheels).Draw(t, "exact"); len(w) >= 4 { // a ratio that some wheels make
			compareExact(t, wheels, frac(int64(w[0]*w[2]), int64(w[1]*w[3])), limits)
		}
	})
}

func trainsOf(t testing.TB, q Request) []GearTrain {
	t.Helper()
	a, err := Solve(q)
	require.NoError(t, err)
	return a.GearTrains
}

// TestGearTrain127: 127 teeth make metric leads exact on an inch screw and 63 is
// a well-known near substitute (half of 126). Common practice, no source; the
// numbers are exact arithmetic.
func TestGearTrain127(t *testing.T) {
	t.Parallel()
	q := Request{
		Thread: Thread{Pitch: "2 mm", Length: "100 mm", Form: "iso-metric", Diameter: "20 mm"},
		Lathe:  &Lathe{Leadscrew: "8 tpi", ChangeGears: []Count{20, 40, 80, 100, 127}},
	}
	exact := trainsOf(t, q)
	require.NotEmpty(t, exact)
	assert.Equal(t, []int{80}, exact[0].Drivers)
	assert.Equal(t, []int{127}, exact[0].Driven)
	assert.Zero(t, exact[0].ErrorPPM)
	assert.Zero(t, exact[0].Drift.MM())
	l, ok := exact[0].Lead.Exact()
	require.True(t, ok)
	assert.Equal(t, "2 mm", l.Exact(Metric))

	// 40/63 in place of 80/127: 40/63·127/80 − 1 = 1/126 too long.
	q.Lathe.ChangeGears = []Count{40, 63}
	near := trainsOf(t, q)
	require.Len(t, near, 1)
	assert.InDelta(t, 1e6/126, near[0].ErrorPPM, 1e-6)
	assert.InDelta(t, 100.0/126, near[0].Drift.MM(), 1e-12)
	assert.InDelta(t, 100.0/126*math.Sqrt(3), near[0].PitchDiameterCost.MM(), 1e-9) // 2e/(2·tan 30°)
	assert.Contains(t, near[0].Note, "the factor 127")

	q.Lathe.ChangeGears = []Count{20, 100}
	assert.Empty(t, trainsOf(t, q))
	assert.NotNil(t, trainsOf(t, q), "none within 1 % is an answer")
	q.Lathe.ChangeGears = nil
	assert.Nil(t, trainsOf(t, q), "wheels not known")
}

// TestGearTrainFollowsTheLead: several starts are geared for the lead, and the
// stud's own ratio is counted.
func TestGearTrainFollowsTheLead(t *testing.T) {
	t.Parallel()
	three := Count(3)
	q := Request{
		Thread: Thread{Pitch: "2 mm", Starts: &three},
		Lathe:  &Lathe{Leadscrew: "6 mm", ChangeGears: []Count{30, 60, 60}, StudGear: &StudGear{Teeth: 30, TurnsPerSpindleTurn: "1/2"}},
	}
	best := trainsOf(t, q)[0]
	assert.Equal(t, []int{60}, best.Drivers) // 1/2 · 60/30 = 6/6
	assert.Equal(t, []int{30}, best.Driven)
	assert.Zero(t, best.ErrorPPM)

	q.Lathe.StudGear = nil
	best = trainsOf(t, q)[0]
	assert.Equal(t, []int{60}, best.Drivers) // 60/60, two on hand
	assert.Equal(t, []int{60}, best.Driven)
}

// TestGearTrainIdentity: ρ·Πdrivers/Πdriven = lead/p for every train listed.
func TestGearTrainIdentity(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rho := frac(int64(rapid.IntRange(1, 3).Draw(t, "rho n")), int64(rapid.IntRange(1, 3).Draw(t, "rho d")))
		starts := Count(rapid.IntRange(1, 6).Draw(t, "starts"))
		q := Request{
			Thread: Thread{Pitch: fmt.Sprint(rapid.IntRange(4, 20).Draw(t, "tpi")) + " tpi", Starts: &starts},
			Lathe: &Lathe{
				Leadscrew: "8 tpi", ChangeGears: []Count{20, 24, 28, 32, 36, 40, 44, 48, 52, 60, 64, 80},
				StudGear: &StudGear{Teeth: 40, TurnsPerSpindleTurn: Fraction(rho.String())},
			},
		}
		a, err := Solve(q)
		require.NoError(t, err)
		lead, _ := a.Lead.Exact()
		for _, g := range a.GearTrains {
			ratio := rho
			for i := range g.Drivers {
				ratio = ratio.Mul(frac(int64(g.Drivers[i]), int64(g.Driven[i])))
			}
			cut, ok := g.Lead.Exact()
			require.True(t, ok)
			require.True(t, Inches(frac(1, 8)).Mul(ratio).Equal(cut))
			require.InDelta(t, cut.Quo(lead).Sub(Int(1)).Float64()*1e6, g.ErrorPPM, 1e-6)
		}
	})
}

// ExampleSolve_gearTrain gears an inch lathe for a lead of 6 mm.
func ExampleSolve_gearTrain() {
	three := Count(3)
	a, err := Solve(Request{
		Thread: Thread{Pitch: "2 mm", Starts: &three},
		Lathe:  &Lathe{Leadscrew: "8 tpi", ChangeGears: []Count{40, 50, 60, 80, 120, 127}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	best := a.GearTrains[0]
	fmt.Println(best.Drivers, best.Driven, best.ErrorPPM)
	// Output: [120 80] [40 127] 0
}

// TestGearTrainsOfOneSize: wheels of nearly one size make every pair of pairs a
// near train, the most work a request can ask for; the list stays short and the
// memory bounded.
func TestGearTrainsOfOneSize(t *testing.T) {
	t.Parallel()
	wheels := make([]int, maxListed)
	for i := range wheels {
		wheels[i] = maxTeeth - i
	}
	for _, target := range []Ratio{Int(1), frac(127, 126)} {
		found := searchTrains(wheels, target, nil)
		require.Len(t, found, trainsListed)
		assert.LessOrEqual(t, cap(found), 1024)
		assert.True(t, slices.IsSortedFunc(found, func(x, y train) int { return cmp.Compare(x.miss, y.miss) }))
		for _, f := range found {
			assert.Equal(t, f.exact, int64(f.A)*int64(max(f.C, 1))*(target.den+1) == int64(f.B)*int64(max(f.D, 1))*target.num)
		}
	}
}

// BenchmarkGearTrains25 searches 25 wheels for four-wheel trains: under 20 ms.
func BenchmarkGearTrains25(b *testing.B) {
	wheels := []int{20, 24, 25, 28, 30, 32, 35, 36, 40, 44, 45, 48, 50, 52, 55, 56, 60, 65, 70, 72, 75, 80, 90, 100, 127}
	require.Len(b, wheels, 25)
	target := frac(6*40, 127)
	b.ReportAllocs()
	for b.Loop() {
		if len(searchTrains(wheels, target, nil)) == 0 {
			b.Fatal("no train")
		}
	}
}
