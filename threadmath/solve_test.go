package threadmath

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// scaledJob is a job whose lengths are rationals of a unit, so that it can be
// written in mm, in inches and at another scale.
type scaledJob struct {
	form, hand, side, class string
	starts, screwStarts     int
	pitch, diameter, length Ratio
	leadscrew, groove       Ratio
	graduation, travel      Ratio
	first, least            Ratio
	teeth, lines            int
	rpm, angle              float64
}

func drawScaled(t *rapid.T, forms ...string) scaledJob {
	between := func(name string, low, high, per int) Ratio {
		return frac(int64(rapid.IntRange(low, high).Draw(t, name)), int64(per))
	}
	d := scaledJob{
		form:   rapid.SampledFrom(forms).Draw(t, "form"),
		hand:   rapid.SampledFrom([]string{"right", "left"}).Draw(t, "hand"),
		side:   rapid.SampledFrom([]string{"external", "internal"}).Draw(t, "side"),
		starts: rapid.IntRange(1, 6).Draw(t, "starts"), screwStarts: rapid.IntRange(1, 2).Draw(t, "leadscrew starts"),
		pitch: between("pitch", 4, 24, 4), diameter: between("diameter", 30, 80, 1), length: between("length", 10, 90, 1),
		leadscrew: between("leadscrew", 2, 12, 1), groove: between("groove", 1, 20, 1),
		graduation: between("graduation", 1, 5, 100), travel: between("travel", 10, 100, 1),
		teeth: rapid.IntRange(12, 40).Draw(t, "teeth"), lines: rapid.SampledFrom([]int{2, 4, 8}).Draw(t, "lines"),
		rpm: rapid.Float64Range(20, 300).Draw(t, "rpm"), angle: 3,
	}
	if rapid.Bool().Draw(t, "inch leadscrew") {
		d.leadscrew = frac(127, 40)
	}
	d.first = d.pitch.Quo(Int(8))
	d.least = d.first.Quo(Int(10))
	if d.form == "square" {
		d.angle = 0
	}
	return d
}

// request writes the job with every length k mm times its number, in the unit.
func (d scaledJob) request(k Ratio, s System) Request {
	l := func(r Ratio) string { return Millimetres(r.Mul(k)).Exact(s) }
	return Request{
		Thread: Thread{
			Form: d.form, Hand: d.hand, Side: d.side, Class: d.class, Starts: ref(Count(d.starts)),
			Pitch: l(d.pitch), Diameter: l(d.diameter), Length: l(d.length),
		},
		Lathe: &Lathe{
			Leadscrew: l(d.leadscrew), LeadscrewStarts: ref(Count(d.screwStarts)),
			ThreadDials:   []ThreadDial{{Teeth: Count(d.teeth), Graduations: Count(d.lines)}},
			CompoundSlide: &Slide{Graduation: l(d.graduation), Travel: l(d.travel)},
			CrossSlide:    &Slide{Graduation: l(d.graduation), Reads: "diameter"},
			Holders:       []Holder{{Kind: "chuck-jaws", Stations: 4, ErrorDeg: ref(0.1)}, {Kind: "faceplate-slots", Stations: 6}},
			StudGear:      &StudGear{Teeth: 60}, LeadscrewGear: &LeadscrewGear{Teeth: 60},
			ChangeGears: []Count{20, 30, 40, 50, 60, 80, 100, 127}, SpindleSpeeds: []float64{40, 80, 160},
		},
		Cut: &Cut{
			InfeedAngleDeg: &d.angle, FirstCut: l(d.first), LeastCut: l(d.least), Groove: l(d.groove), ReliefDeg: ref(8.0),
			SpindleRPM: &d.rpm, CoastTurns: ref(1.5), Friction: ref(0.1), LoadN: ref(1000.0),
		},
	}
}

func tree(t require.TestingT, q Request) any {
	a, err := Solve(q)
	require.NoError(t, err)
	data, err := json.Marshal(a)
	require.NoError(t, err)
	var out any
	require.NoError(t, json.Unmarshal(data, &out))
	return out
}

// same compares two answers: lengths by the factor, all other numbers and truth
// values as they are. Texts are compared where the function says so.
func same(t require.TestingT, path string, a, b any, factor float64, texts func(path string) bool) {
	switch x := a.(type) {
	case map[string]any:
		y, ok := b.(map[string]any)
		require.True(t, ok, path)
		for k := range y {
			require.Contains(t, x, k, path)
		}
		_, isLength := x["mm"]
		for k, v := range x {
			if k == "exact" {
				continue // in the request's unit
			}
			if isLength {
				require.InDelta(t, v.(float64)*factor, y[k], 1e-7*max(1, factor)*max(1, math.Abs(v.(float64))), path)
				continue
			}
			same(t, path+"/"+k, v, y[k], factor, texts)
		}
	case []any:
		y, ok := b.([]any)
		require.True(t, ok, path)
		require.Len(t, y, len(x), path)
		for i := range x {
			same(t, path, x[i], y[i], factor, texts)
		}
	case float64:
		require.InDelta(t, x, b, 1e-7*max(1, math.Abs(x)), path)
	case string:
		if texts(path) {
			require.Equal(t, a, b, path)
		}
	default:
		require.Equal(t, a, b, path)
	}
}

// words leaves out the texts that name lengths in the request's unit.
func words(path string) bool {
	for _, s := range []string{"/why", "/text", "/designation", "/rule", "note", "/turns_per_inch", "arrangement"} {
		if strings.HasSuffix(path, s) {
			return false
		}
	}
	return true
}

var allForms = []string{
	"sharp-v", "american-national", "iso-metric", "unified", "whitworth", "acme", "stub-acme", "trapezoidal", "square", "knuckle",
}

// TestUnitChangesNothing: the same job in mm and in inches has the same answer.
func TestUnitChangesNothing(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawScaled(t, allForms...)
		same(t, "", tree(t, d.request(Int(1), Metric)), tree(t, d.request(Int(1), Inch)), 1, words)
	})
}

// TestScaling: a job k times as large has lengths k times as large and the same
// angles, counts and stations, for the forms that have no fixed clearance. What
// depends on speed, force and time does not scale and is left out.
func TestScaling(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawScaled(t, "sharp-v", "american-national", "iso-metric", "unified", "whitworth", "square", "knuckle")
		k := frac(int64(rapid.IntRange(1, 30).Draw(t, "k")), 10)
		pruned := func(q Request) any {
			out := tree(t, q).(map[string]any)
			for _, key := range []string{"run_out", "job_time", "use", "cautions", "designation", "turns_per_inch"} {
				delete(out, key)
			}
			return out
		}
		same(t, "", pruned(d.request(Int(1), Metric)), pruned(d.request(k, Metric)), k.Float64(), func(path string) bool {
			return words(path) && !strings.HasSuffix(path, "/basis")
		})
	})
}

// TestHandSymmetry: a left-hand thread is the mirror image. Everything is the
// same but its name, the end it runs out at, the groove it begins in, which way the compound swings and
// what is warned of.
func TestHandSymmetry(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawScaled(t, allForms...)
		half := func(hand string) any {
			d.hand = hand
			out := tree(t, d.request(Int(1), Metric)).(map[string]any)
			delete(out, "cautions")
			delete(out, "designation")
			if r, ok := out["run_out"].(map[string]any); ok {
				delete(r, "starting_groove")
			}
			return out
		}
		same(t, "", half("right"), half("left"), 1, func(path string) bool {
			return path != "/run_out/end" && path != "/infeed/swing" && words(path)
		})
	})
}

// TestStartsPartitionTheLead: start 1 is offset 0, offsets rise by the pitch,
// the next one would be the lead, the angles share the turn; all exactly.
func TestStartsPartitionTheLead(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := drawScaled(t, allForms...)
		if rapid.Bool().Draw(t, "odd pitch") {
			d.pitch = frac(int64(rapid.IntRange(10, 40).Draw(t, "n")), int64(rapid.IntRange(7, 13).Draw(t, "d")))
			d.first = d.pitch.Quo(Int(8))
			d.least = d.first.Quo(Int(10))
		}
		a, err := Solve(d.request(Int(1), rapid.SampledFrom([]System{Metric, Inch}).Draw(t, "unit")))
		require.NoError(t, err)
		exact := func(x Dimension) Length {
			l, ok := x.Exact()
			require.True(t, ok, "exact parts stay exact")
			return l
		}
		p, lead := Millimetres(d.pitch), exact(a.Lead)
		require.True(t, exact(a.Pitch).Equal(p))
		require.True(t, lead.Equal(p.Times(d.starts)))
		require.True(t, a.TurnsPerInch.Mul(lead.In(Inch)).Equal(Int(1)))
		require.Len(t, a.Starts, d.starts)
		for i, s := range a.Starts {
			require.Equal(t, i+1, s.Start)
			require.True(t, exact(s.Offset).Equal(p.Times(i)))
			require.Negative(t, exact(s.Offset).Cmp(lead))
			require.InDelta(t, 360*float64(i)/float64(d.starts), s.AngleDeg, 1e-12)
		}
		for i, m := range a.CompoundSlide.Moves {
			require.True(t, exact(m.Distance).Equal(p.Times(i)))
			require.True(t, exact(*m.Error).Equal(exact(*m.Reading).Sub(exact(m.Distance))))
		}
		for _, s := range a.CarriageShift.Shifts {
			x := exact(s.Distance)
			require.True(t, x.Sub(p.Times(s.Start-1)).Quo(lead).IsInt(), "a shift lands on its start")
			require.True(t, x.Quo(Millimetres(d.leadscrew).Div(d.screwStarts)).IsInt(), "and the half-nut closes there")
		}
		for _, g := range a.GearTrains {
			exact(g.Lead)
		}
	})
}

// TestSolveIsPure: the same request always has the same answer, and is not
// changed by solving it.
func TestSolveIsPure(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := drawScaled(t, allForms...).request(Int(1), Metric)
		before, err := json.Marshal(q)
		require.NoError(t, err)
		require.Equal(t, tree(t, q), tree(t, q))
		after, err := json.Marshal(q)
		require.NoError(t, err)
		require.JSONEq(t, string(before), string(after))
	})
}

// FuzzSolve: whatever the document, there is an answer that JSON can write or an
// error on one line; nothing panics.
func FuzzSolve(f *testing.F) {
	f.Add(fullJob)
	f.Add(`{"thread": {"designation": "Tr 60x18(P9)LH-7e"}, "cut": {"wire": "4 mm", "over_wires": "60 mm"}}`)
	f.Add(`{"thread": {"lead": "1e-5 mm", "starts": 24, "diameter": "100000 mm", "form": "sharp-v"}, "lathe": {"leadscrew": "1e5 mm"}}`)
	f.Fuzz(func(t *testing.T, text string) {
		q, err := ParseRequest([]byte(text))
		if err == nil {
			var a Answer
			if a, err = Solve(q); err == nil {
				_, err := json.Marshal(a)
				require.NoError(t, err)
				return
			}
		}
		var d *DomainError
		require.ErrorAs(t, err, &d)
		require.NotContains(t, err.Error(), "\n")
	})
}

// TestSolveRefusesBadInput: zero, negative, huge, NaN-like, contradictory and
// mixed-up values are refused at their path, with the value and the range.
func TestSolveRefusesBadInput(t *testing.T) {
	t.Parallel()
	for document, path := range map[string]string{
		`{"thread": {}}`:                                                      "/thread/pitch",
		`{"thread": {"pitch": "0 mm"}}`:                                       "/thread/pitch",
		`{"thread": {"pitch": "-2 mm"}}`:                                      "/thread/pitch",
		`{"thread": {"pitch": "NaN mm"}}`:                                     "/thread/pitch",
		`{"thread": {"pitch": "1e400 mm"}}`:                                   "/thread/pitch",
		`{"thread": {"pitch": "2"}}`:                                          "/thread/pitch",
		`{"thread": {"pitch": "2 kg"}}`:                                       "/thread/pitch",
		`{"thread": {"pitch": "2 mm", "lead": "5 mm"}}`:                       "/thread/lead",
		`{"thread": {"pitch": "2 mm", "lead": "6 mm", "starts": 2}}`:          "/thread/starts",
		`{"thread": {"pitch": "2 mm", "starts": 0}}`:                          "/thread/starts",
		`{"thread": {"pitch": "2 mm", "starts": 1000}}`:                       "/thread/starts",
		`{"thread": {"lead": "6 mm"}}`:                                        "/thread/starts",
		`{"thread": {"pitch": "2 mm", "form": "star"}}`:                       "/thread/form",
		`{"thread": {"pitch": "2 mm", "diameter": "2 mm", "form": "square"}}`: "/thread/diameter",
		`{"thread": {"pitch": "2 mm"}, "lathe": {"holders": [{"kind": "chuck-jaws", "stations": 0}]}}`:      "/lathe/holders/0/stations",
		`{"thread": {"pitch": "2 mm"}, "lathe": {"holders": [{"kind": "glue", "stations": 3}]}}`:            "/lathe/holders/0/kind",
		`{"thread": {"pitch": "2 mm"}, "lathe": {"gearbox": ["4 mm", "0 tpi"]}}`:                            "/lathe/gearbox/1",
		`{"thread": {"pitch": "2 mm"}, "lathe": {"stud_gear": {"teeth": 40, "turns_per_spindle_turn": 0}}}`: "/lathe/stud_gear/turns_per_spindle_turn",
		`{"thread": {"pitch": "2 mm", "form": "iso-metric"}, "cut": {"infeed_angle_deg": 31}}`:              "/cut/infeed_angle_deg",
	} {
		q, err := ParseRequest([]byte(document))
		if err == nil {
			_, err = Solve(q)
		}
		var d *DomainError
		require.ErrorAs(t, err, &d, document)
		assert.Equal(t, path, d.Quantity, document)
		assert.NotEmpty(t, d.Range, document)
	}
	for _, f := range []float64{math.NaN(), math.Inf(1), -1} {
		_, err := Solve(Request{Thread: Thread{Pitch: "2 mm"}, Cut: &Cut{SpindleRPM: &f}})
		assert.ErrorContains(t, err, "/cut/spindle_rpm", fmt.Sprint(f))
	}
}
