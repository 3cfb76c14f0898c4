package generate_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// inchLathe has an inch leadscrew, a wheel of 127 teeth and a stud that turns
// twice as fast as the spindle.
func inchLathe(t *testing.T, gears string) threadmath.Lathe {
	t.Helper()
	l, err := threadmath.ParseLathe([]byte(`{"name": "Lathe X", "leadscrew": "4 tpi", "train_opens": true,
		"stud_gear": {"teeth": 24, "turns_per_spindle_turn": "2"}, "change_gears": [` + gears + `]}`))
	require.NoError(t, err)
	return l
}

func gearLathes(t *testing.T) []threadmath.Lathe {
	return append(lathes(t)[1:], inchLathe(t, "20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 100, 127"))
}

func TestGearsUnserved(t *testing.T) {
	t.Parallel()
	assert.EqualError(t, generate.Serves("gear-ratio", lathes(t)[0], threadmath.Inch), "no change gears: gear-ratio cannot be set on Lathe 1")
	assert.EqualError(t, generate.Serves("gear-tooth-index", lathes(t)[0], threadmath.Inch), "the gear train cannot be opened: gear-tooth-index cannot be set on Lathe 1")
	for _, l := range []threadmath.Lathe{inchLathe(t, "20, 25, 30, 40, 50, 60, 80"), lathes(t)[2]} {
		for _, units := range systems {
			_, err := generate.Draw("gear-train", l, 1, generate.Options{Units: units, Model: "last-wheel"})
			if same := strings.Contains(l.Leadscrew, "mm") == (units == threadmath.Metric); same {
				assert.NoError(t, err)
				continue
			}
			assert.ErrorContains(t, err, "no wheel of 127 teeth, so no lead in "+units.String()+" is exact")
		}
	}
}

// eachGear draws exercises of a skill's model wherever it is served.
func eachGear(t *testing.T, skill, model string, check func(l threadmath.Lathe, units threadmath.System, e curriculum.Exercise)) {
	t.Helper()
	drawn := 0
	for _, l := range gearLathes(t) {
		drawer, err := generate.NewDrawer(l)
		require.NoError(t, err)
		for _, units := range systems {
			for seed := range uint64(300) {
				e, err := drawer.Draw(skill, seed, generate.Options{Units: units, Model: model})
				if err != nil {
					require.NotContains(t, err.Error(), "no draw in")
					break
				}
				drawn++
				check(l, units, e)
			}
		}
	}
	require.Greater(t, drawn, 900)
}

func rat(t *testing.T, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	require.True(t, ok, text)
	return r
}

// mm reads the leadscrews of the lathes above and the pitches of the exercises
// without threadmath's parser, in millimetres.
func mm(t *testing.T, text string) *big.Rat {
	t.Helper()
	number, unit, _ := strings.Cut(text, " ")
	r := rat(t, number)
	inch := big.NewRat(254, 10)
	switch unit {
	case "mm":
		return r
	case "in":
		return r.Mul(r, inch)
	case "tpi":
		return r.Quo(inch, r)
	}
	t.Fatalf("%q is no length", text)
	return nil
}

// leadOf returns what a train moves the carriage in one turn of the spindle.
func leadOf(t *testing.T, l threadmath.Lathe, wheels string) *big.Rat {
	t.Helper()
	lead := mm(t, l.Leadscrew)
	lead.Mul(lead, rat(t, string(l.StudGear.TurnsPerSpindleTurn)))
	for pair := range strings.SplitSeq(wheels, " × ") {
		lead.Mul(lead, rat(t, pair))
	}
	return lead
}

func wanted(t *testing.T, e curriculum.Exercise) *big.Rat {
	t.Helper()
	pitch := e.Givens.Values["P"]
	if pitch == "" {
		pitch = e.Givens.Values["N"]
	}
	return new(big.Rat).Mul(mm(t, pitch), rat(t, e.Givens.Values["n"]))
}

// TestOneSetCutsTheLead counts with big rationals alone that of the sets offered
// exactly one cuts the lead, and that every one can be taken from the drawer.
func TestOneSetCutsTheLead(t *testing.T) {
	t.Parallel()
	met := map[string]bool{}
	eachGear(t, "gear-train", "which-set", func(l threadmath.Lathe, _ threadmath.System, e curriculum.Exercise) {
		for _, w := range e.Parts[0].Wrong {
			met[w.ID] = true
			for _, c := range e.Parts[0].Choices {
				if c.ID == w.Answer.Text {
					assert.Equal(t, w.ID, slipOf(t, l, e, c.Text), "%s: %s", e.ID, c.Text)
				}
			}
		}
		for _, c := range e.Parts[0].Choices {
			right := leadOf(t, l, c.Text).Cmp(wanted(t, e)) == 0
			assert.Equal(t, e.Parts[0].Answer.Text == c.ID, right, "%s: %s", e.ID, c.Text)
			left := append([]threadmath.Count{}, l.ChangeGears...)
			for w := range strings.FieldsFuncSeq(c.Text, func(r rune) bool { return r < '0' || r > '9' }) {
				at := -1
				for i, have := range left {
					if fmt.Sprint(have) == w {
						at = i
					}
				}
				if assert.GreaterOrEqual(t, at, 0, "%s: %s takes a wheel that is not there", e.ID, c.Text) {
					left = append(left[:at], left[at+1:]...)
				}
			}
		}
	})
	for _, w := range []string{"set-for-pitch", "set-stud-left-out", "set-inverted", "set-near", "set-one-pair"} {
		assert.True(t, met[w], "%s is never offered", w)
	}
}

// slipOf names the one mistake that leads to a set that does not cut the lead, by
// what it cuts.
func slipOf(t *testing.T, l threadmath.Lathe, e curriculum.Exercise, wheels string) string {
	t.Helper()
	cut, want := leadOf(t, l, wheels), wanted(t, e)
	turns, n := rat(t, string(l.StudGear.TurnsPerSpindleTurn)), rat(t, e.Givens.Values["n"])
	off := new(big.Rat).Quo(cut, want) // 1 were right
	var slips []string
	if new(big.Rat).Mul(off, n).Cmp(big.NewRat(1, 1)) == 0 {
		slips = append(slips, "set-for-pitch")
	}
	if off.Cmp(turns) == 0 {
		slips = append(slips, "set-stud-left-out")
	}
	ratio := new(big.Rat).Quo(want, mm(t, l.Leadscrew))
	ratio.Quo(ratio, turns)
	if new(big.Rat).Mul(new(big.Rat).Mul(off, ratio), ratio).Cmp(big.NewRat(1, 1)) == 0 {
		slips = append(slips, "set-inverted")
	}
	if off.Sub(off, big.NewRat(1, 1)).Abs(off).Cmp(big.NewRat(1, 100)) <= 0 {
		slips = append(slips, "set-near")
	}
	for pair := range strings.SplitSeq(wheels, " × ") {
		if rat(t, pair).Cmp(ratio) == 0 && len(slips) == 0 {
			slips = append(slips, "set-one-pair")
		}
	}
	require.Len(t, slips, 1, "%s: %s shows %v", e.Prompt, wheels, slips)
	return slips[0]
}

// TestLastWheelCutsTheLead: with the wheel that is asked for the train cuts the
// lead, counted with big rationals and by threadmath's own search for trains.
func TestLastWheelCutsTheLead(t *testing.T) {
	t.Parallel()
	eachGear(t, "gear-train", "last-wheel", func(l threadmath.Lathe, _ threadmath.System, e curriculum.Exercise) {
		v := e.Givens.Values
		train := fmt.Sprintf("%s/%s × %s/%v", v["A"], v["B"], v["C"], *e.Parts[0].Answer.Number)
		assert.Zero(t, leadOf(t, l, train).Cmp(wanted(t, e)), "%s: %s", e.ID, train)
		pitch := v["P"]
		if pitch == "" {
			pitch = v["N"]
		}
		starts, lathe := threadmath.Count(0), l
		_, err := fmt.Sscan(v["n"], &starts)
		require.NoError(t, err)
		lathe.ChangeGears = nil
		for _, w := range []string{v["A"], v["B"], v["C"], fmt.Sprint(*e.Parts[0].Answer.Number)} {
			var n int
			_, err := fmt.Sscan(w, &n)
			require.NoError(t, err)
			lathe.ChangeGears = append(lathe.ChangeGears, threadmath.Count(n))
		}
		a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Pitch: pitch, Starts: &starts}, Lathe: &lathe})
		require.NoError(t, err)
		require.NotEmpty(t, a.GearTrains, e.ID)
		assert.Zero(t, a.GearTrains[0].ErrorPPM, e.ID)
	})
}

// TestTeethComeRound passes tooth after tooth until the starts are through: the
// last step ends one turn of the spindle on, and none falls between two teeth.
func TestTeethComeRound(t *testing.T) {
	t.Parallel()
	eachGear(t, "gear-tooth-index", "teeth", func(l threadmath.Lathe, _ threadmath.System, e curriculum.Exercise) {
		n := rat(t, e.Givens.Values["n"])
		teeth := big.NewRat(int64(*e.Parts[0].Answer.Number), 1)
		perTurn := new(big.Rat).Mul(rat(t, e.Givens.Values["Z"]), rat(t, string(l.StudGear.TurnsPerSpindleTurn)))
		assert.Zero(t, new(big.Rat).Mul(teeth, n).Cmp(perTurn), e.Prompt)
	})
	eachGear(t, "gear-tooth-index", "which-wheel", func(l threadmath.Lathe, _ threadmath.System, e curriculum.Exercise) {
		for _, c := range e.Parts[0].Choices {
			number, _, _ := strings.Cut(c.Text, " ")
			step := new(big.Rat).Mul(rat(t, number), rat(t, string(l.StudGear.TurnsPerSpindleTurn)))
			step.Quo(step, rat(t, e.Givens.Values["n"]))
			assert.Equal(t, e.Parts[0].Answer.Text == c.ID, step.IsInt(), "%s: %s", e.Prompt, c.Text)
		}
	})
}
