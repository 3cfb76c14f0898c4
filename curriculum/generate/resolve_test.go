package generate_test

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// The indexing skills and those of the change gears solved again by trying: grooves are scratched on a line
// along the work, tick by tick, and then the half-nut is closed, the slide moved
// and the work turned one step after the other until something comes round. What
// they cost the fit is tried with a nut (resolve_ways_test.go), wheels are turned
// (resolve_gears_test.go). Nothing of threadmath is asked, and no formula of the models: texts are read
// here, and lengths are whole ticks of a grid fine enough for all of them.

// resolvedDraws are made of each skill.
const resolvedDraws = 10_000

// resolvers answer each part again, by skill and model. The answer is a number in
// the part's unit, a list, or the id of a choice.
var resolvers = map[string]map[string]func(t *testing.T, e curriculum.Exercise, part int) any{
	"axial-offset":     {"behind": walkBehind, "with-travel": walkWithTravel},
	"index-angle":      {"step": turnTheWork},
	"station-index":    {"stations": walkStations, "which-holder": tryHolders},
	"pick-up":          {"paths": dropHalfNut, "other-system": dropHalfNut},
	"gear-tooth-index": {"teeth": countTeeth, "which-wheel": tryWheels, "tooth-worth": letOneMoreBy},
	"thread-dial":      {"repeat": closeUntilRepeat, "same-start": watchDial, "next-start": watchDial},
	"spacing-cost":     {"pitch-diameter": cutDownUntilItGoesOn},
	"choose-method":    {"spacing-allowed": tryWays, "fit-allowed": tryWays},
	"gear-ratio":       {"for-a-thread": turnUntilBothMeet, "lead-of-a-pair": turnTheTrain},
	"gear-train":       {"lead-of-a-train": turnTheTrain, "last-wheel": tryLastWheels, "which-set": trySets},
}

func TestSkillsSolvedAgain(t *testing.T) {
	t.Parallel()
	for skill, models := range resolvers {
		t.Run(skill, func(t *testing.T) {
			t.Parallel()
			met := map[string]int{}
			eachResolved(t, skill, resolvedDraws, func(e curriculum.Exercise, where string) {
				resolve := models[e.Model]
				require.NotNil(t, resolve, "model %s is solved here as well", e.Model)
				met[e.Model]++
				for j, p := range e.Parts {
					want := resolve(t, e, j)
					require.True(t, agrees(t, p, *p.Answer, want), "%s, part %s: tried %v, key %v", where, p.ID, want, p.Answer)
				}
			})
			for m := range models {
				require.Positive(t, met[m], "model %s was drawn", m)
			}
		})
	}
}

// TestKnownMistakesAreNotSolvedAgain plants every wrong rule of a draw as its
// answer: trying agrees with none of them, so that a model which took a mistake
// for its rule would be caught.
func TestKnownMistakesAreNotSolvedAgain(t *testing.T) {
	t.Parallel()
	for skill, models := range resolvers {
		t.Run(skill, func(t *testing.T) {
			t.Parallel()
			planted := 0
			eachResolved(t, skill, resolvedDraws/20, func(e curriculum.Exercise, where string) {
				vars := e.Givens.Numbers()
				for j, p := range e.Parts {
					want := models[e.Model](t, e, j)
					_, err := p.Run(vars)
					require.NoError(t, err, where)
					for _, w := range p.Wrong {
						v := w.Answer
						if v == nil {
							f, err := formula.MustParse(w.Rule).Eval(vars)
							require.NoError(t, err, where)
							v = curriculum.NumberValue(f.Float64())
						}
						planted++
						require.False(t, agrees(t, p, *v, want), "%s, part %s: %s is taken for right", where, p.ID, w.ID)
					}
				}
			})
			require.Positive(t, planted)
		})
	}
}

// eachResolved draws so many exercises of a skill in turn on every lathe and in
// every unit system that serve it, a twentieth of them under the race detector.
func eachResolved(t *testing.T, skill string, draws int, check func(e curriculum.Exercise, where string)) {
	t.Helper()
	type bench struct {
		lathe  string
		drawer *generate.Drawer
		units  threadmath.System
	}
	var benches []bench
	for _, l := range lathes(t) {
		drawer, err := generate.NewDrawer(l)
		require.NoError(t, err)
		for _, units := range systems {
			if drawer.Serves(skill, units) == nil {
				benches = append(benches, bench{l.Name, drawer, units})
			}
		}
	}
	require.NotEmpty(t, benches)
	if raced {
		draws /= 20
	}
	for i := range draws {
		b := benches[i%len(benches)]
		e, err := b.drawer.Draw(skill, uint64(i), generate.Options{Units: b.units})
		require.NoError(t, err)
		check(e, fmt.Sprintf("%s seed %d on %s in %s: %s", skill, i, b.lathe, b.units, e.Prompt))
	}
}

// agrees reports whether the value of a part is what trying found: a number to
// eleven digits, a list or a choice as it is.
func agrees(t *testing.T, p curriculum.Part, v curriculum.Value, want any) bool {
	t.Helper()
	switch want := want.(type) {
	case *big.Rat:
		got, ok := p.Number(v)
		require.True(t, ok, v)
		f, _ := want.Float64()
		return math.Abs(got.Float64()-f) <= 1e-11*math.Abs(f)
	case float64: // found by trying, in many small steps
		got, ok := p.Number(v)
		require.True(t, ok, v)
		return math.Abs(got.Float64()-want) <= 1e-9*math.Max(1, math.Abs(want))
	case []int:
		return slices.Equal(want, v.List)
	}
	return want == v.Text
}

// number reads "2.4", "3/7" or "2 1/4".
func number(t *testing.T, text string) *big.Rat {
	t.Helper()
	sum := new(big.Rat)
	for _, field := range strings.Fields(text) {
		r, ok := new(big.Rat).SetString(field)
		require.True(t, ok, text)
		sum.Add(sum, r)
	}
	return sum
}

// millimetres reads a length or the spacing of threads per inch.
func millimetres(t *testing.T, text string) *big.Rat {
	t.Helper()
	inch := big.NewRat(254, 10)
	if v, ok := strings.CutSuffix(text, " mm"); ok {
		return number(t, v)
	}
	if v, ok := strings.CutSuffix(text, " tpi"); ok {
		return inch.Quo(inch, number(t, v))
	}
	v, ok := strings.CutSuffix(text, " in")
	require.True(t, ok, text)
	return inch.Mul(inch, number(t, v))
}

// scratched is a thread as it shows on one line along the work, in ticks.
type scratched struct {
	starts, lead int
	screw        int      // from one thread of the leadscrew to the next
	tick         *big.Rat // mm
	// start is which start crosses the line at each tick of a lead, counted against
	// the travel from start 1; 0 is between the grooves.
	start []int
}

// scratch turns the work through a lead once for each start, the work having been
// turned on by an n-th of a turn between, and marks where the tool crosses the
// line.
func scratch(t *testing.T, e curriculum.Exercise) scratched {
	t.Helper()
	r := e.Givens.Solve
	s := scratched{starts: int(*r.Thread.Starts)}
	n := big.NewRat(int64(s.starts), 1)
	var lead *big.Rat
	if r.Thread.Lead != "" {
		lead = millimetres(t, r.Thread.Lead)
	} else {
		lead = new(big.Rat).Mul(n, millimetres(t, r.Thread.Pitch))
	}
	screw := new(big.Rat)
	if r.Lathe != nil && r.Lathe.Leadscrew != "" {
		screw = millimetres(t, r.Lathe.Leadscrew)
		if r.Lathe.LeadscrewStarts != nil {
			screw.Quo(screw, big.NewRat(int64(*r.Lathe.LeadscrewStarts), 1))
		}
	}
	// The product of the denominators is fine enough, and n ticks more for the starts.
	fine := new(big.Int).Mul(lead.Denom(), screw.Denom())
	fine.Mul(fine, n.Num())
	s.tick = new(big.Rat).SetFrac(big.NewInt(1), fine)
	ticks := func(length *big.Rat) int {
		q := new(big.Rat).Quo(length, s.tick)
		require.True(t, q.IsInt())
		return int(q.Num().Int64())
	}
	s.lead, s.screw = ticks(lead), ticks(screw)
	s.start = make([]int, s.lead)
	for turned := range s.starts {
		for x := range s.lead { // with the travel
			// The spindle has turned x of lead, and turned of starts by the index.
			if (x*s.starts+turned*s.lead)%(s.lead*s.starts) == 0 {
				s.start[s.against(x)] = -1
			}
		}
	}
	met := 0
	for i, v := range s.start {
		if v != 0 {
			met++
			s.start[i] = met
		}
	}
	require.Equal(t, s.starts, met)
	return s
}

// against is where x ticks with the travel lie, counted against it.
func (s scratched) against(x int) int { return ((-x)%s.lead + s.lead) % s.lead }

// length is ticks in the unit.
func (s scratched) length(ticks int, unit string) *big.Rat {
	mm := new(big.Rat).Mul(big.NewRat(int64(ticks), 1), s.tick)
	if unit == curriculum.UnitInch {
		return mm.Quo(mm, big.NewRat(254, 10))
	}
	return mm
}

func given(t *testing.T, e curriculum.Exercise, name string) int {
	t.Helper()
	n, err := strconv.Atoi(e.Givens.Values[name])
	require.NoError(t, err)
	return n
}

func walkBehind(t *testing.T, e curriculum.Exercise, part int) any {
	s, k := scratch(t, e), given(t, e, "k")
	x := 0
	for s.start[x] != k {
		x++
	}
	return s.length(x, e.Parts[part].Unit)
}

func walkWithTravel(t *testing.T, e curriculum.Exercise, part int) any {
	s, k := scratch(t, e), given(t, e, "k")
	x := 0
	for s.start[s.against(x)] != k {
		x++
	}
	return s.length(x, e.Parts[part].Unit)
}

// turnTheWork tries every tenth of a degree until one, taken again and again,
// cuts as many grooves as there are starts before it comes back to the first.
func turnTheWork(t *testing.T, e curriculum.Exercise, part int) any {
	const turn = 3600
	step := smallestStep(turn, given(t, e, "n"))
	if part == 0 {
		return big.NewRat(int64(step), 10)
	}
	angle := 0
	for start := 1; start < given(t, e, "k"); start++ {
		angle += step
	}
	return big.NewRat(int64(angle), 10)
}

// smallestStep is the least step around a ring that stops at n places and no
// more; 0 where none does.
func smallestStep(ring, n int) int {
	for step := 1; step <= ring; step++ {
		stops, at := 1, step
		for at%ring != 0 && stops <= n {
			stops++
			at += step
		}
		if stops == n {
			return step
		}
	}
	return 0
}

func walkStations(t *testing.T, e curriculum.Exercise, part int) any {
	stations, n := given(t, e, "J"), given(t, e, "n")
	step := smallestStep(stations, n)
	require.Positive(t, step)
	if part == 0 {
		return big.NewRat(int64(step), 1)
	}
	var used []int
	at := 1
	for range n {
		used = append(used, at)
		for range step { // the numbers begin again after the last
			if at++; at > stations {
				at = 1
			}
		}
	}
	return used
}

// tryHolders reads the stations from the words of the choices.
func tryHolders(t *testing.T, e curriculum.Exercise, part int) any {
	serving := ""
	step := 0
	for _, c := range e.Parts[0].Choices {
		stations := 0
		for _, word := range strings.Fields(c.Text) {
			if n, err := strconv.Atoi(word); err == nil {
				stations = n
			}
		}
		require.Positive(t, stations, c.Text)
		if n := smallestStep(stations, given(t, e, "n")); n > 0 {
			require.Empty(t, serving, "two holders serve: %s", e.Prompt)
			serving, step = c.ID, n
		}
	}
	if part > 0 {
		return big.NewRat(int64(step), 1)
	}
	return serving
}

// dropHalfNut closes the half-nut at one thread of the leadscrew after the other.
func dropHalfNut(t *testing.T, e curriculum.Exercise, part int) any {
	s := scratch(t, e)
	if e.Model == "other-system" && e.Parts[part].Kind != curriculum.KindChoice {
		return s.meet(e.Parts[part])
	}
	paths := map[int]bool{}
	for at := 0; !paths[at]; at = (at + s.screw) % s.lead {
		paths[at] = true
	}
	if e.Parts[part].Kind == curriculum.KindCount {
		return big.NewRat(int64(len(paths)), 1)
	}
	if len(paths) == 1 {
		return threadmath.PickUpAnywhere
	}
	for _, d := range e.Givens.Solve.Lathe.ThreadDials {
		if slices.Contains(s.dial(d), 1) {
			return threadmath.PickUpLines
		}
	}
	return threadmath.PickUpKeepClosed
}

// meet runs the carriage on by leadscrew threads until the thread stands as it did:
// the travel, or the turns of the work until then.
func (s scratched) meet(p curriculum.Part) any {
	travel, turns := s.screw, 0
	for travel%s.lead != 0 {
		travel += s.screw
	}
	for at := 0; at < travel; at += s.lead {
		turns++
	}
	if p.Kind == curriculum.KindCount {
		return big.NewRat(int64(turns), 1)
	}
	return s.length(travel, p.Unit)
}

// dial is the start that each line, counted as they come up, comes back to at
// every turn of the dial; 0 where it closes nowhere, off a groove, or on one
// start now and another then.
func (s scratched) dial(d threadmath.ThreadDial) []int {
	teeth, lines := int(d.Teeth), int(d.Graduations)
	out := make([]int, lines)
	for m := range out {
		if m*teeth%lines != 0 {
			continue
		}
		// While the carriage stands the leadscrew runs on, so that a later thread
		// takes it up: it lies that far against the travel.
		first := m * teeth / lines * s.screw % s.lead
		out[m] = s.start[first]
		for at := (first + teeth*s.screw) % s.lead; at != first; at = (at + teeth*s.screw) % s.lead {
			if s.start[at] != out[m] {
				out[m] = 0
			}
		}
	}
	return out
}

func closeUntilRepeat(t *testing.T, e curriculum.Exercise, part int) any {
	s := scratch(t, e)
	travel := s.screw
	for travel%s.lead != 0 {
		travel += s.screw
	}
	return s.length(travel, e.Parts[part].Unit)
}

func watchDial(t *testing.T, e curriculum.Exercise, _ int) any {
	s, start := scratch(t, e), 1
	if e.Model == "next-start" {
		start = given(t, e, "k")
	}
	dials := e.Givens.Solve.Lathe.ThreadDials
	require.Len(t, dials, 1, e.Prompt)
	var lines []int
	for line, at := range s.dial(dials[0]) {
		if at == start {
			lines = append(lines, line)
		}
	}
	return lines
}

// spindleTurn is the part of a turn by which the spindle goes on while so many
// teeth of the wheel on the stud pass, whole turns left out.
func spindleTurn(t *testing.T, e curriculum.Exercise, wheel, teeth int) *big.Rat {
	t.Helper()
	r := big.NewRat(1, 1)
	if text, ok := e.Givens.Values["r"]; ok {
		r = number(t, text)
	}
	turn := new(big.Rat).Quo(big.NewRat(int64(teeth), int64(wheel)), r)
	for one := big.NewRat(1, 1); turn.Cmp(one) >= 0; {
		turn.Sub(turn, one)
	}
	return turn
}

// teethToNext lets one tooth by after the other until the spindle stands at the
// next start, for as many turns of the stud as can matter; 0 where it never does.
func teethToNext(t *testing.T, e curriculum.Exercise, wheel int) int {
	n := given(t, e, "n")
	for teeth := 1; teeth <= wheel*n; teeth++ {
		if spindleTurn(t, e, wheel, teeth).Cmp(big.NewRat(1, int64(n))) == 0 {
			return teeth
		}
	}
	return 0
}

func countTeeth(t *testing.T, e curriculum.Exercise, part int) any {
	wheel := given(t, e, "Z")
	step := teethToNext(t, e, wheel)
	if part == 0 {
		return big.NewRat(int64(step), 1)
	}
	teeth := 0
	for start := 1; start < given(t, e, "k"); start++ {
		teeth += step
	}
	return big.NewRat(int64(teeth), 1)
}

// tryWheels also wants that one wheel only serves.
func tryWheels(t *testing.T, e curriculum.Exercise, part int) any {
	serving := ""
	for _, c := range e.Parts[part].Choices {
		wheel, err := strconv.Atoi(strings.Fields(c.Text)[0])
		require.NoError(t, err)
		if teethToNext(t, e, wheel) > 0 {
			require.Empty(t, serving, "two wheels serve, the second with %s: %s", c.Text, e.Prompt)
			serving = c.ID
		}
	}
	return serving
}

// letOneMoreBy is what the carriage would travel while one tooth passes.
func letOneMoreBy(t *testing.T, e curriculum.Exercise, part int) any {
	spacing, ok := e.Givens.Values["P"]
	if !ok {
		spacing = e.Givens.Values["N"]
	}
	lead := new(big.Rat)
	for range given(t, e, "n") {
		lead.Add(lead, millimetres(t, spacing))
	}
	if e.Parts[part].Unit == curriculum.UnitInch {
		lead.Quo(lead, big.NewRat(254, 10))
	}
	return lead.Mul(lead, spindleTurn(t, e, given(t, e, "Z"), 1))
}
