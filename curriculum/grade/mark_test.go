package grade

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

// honest answers a hand-made exercise as a careful learner does: each step
// rounded to one digit more than asked (four significant digits in another
// unit), each part to the digits asked and carried on so.
func honest(t testing.TB, ex curriculum.Exercise, rng *rand.Rand) map[string]string {
	t.Helper()
	vars := ex.Givens.Numbers()
	answers := map[string]string{}
	for _, p := range ex.Parts {
		for i, s := range p.Steps {
			v, err := formula.MustParse(s.Rule).Eval(vars)
			require.NoError(t, err)
			decimals := p.Decimals + 1 + rng.IntN(2)
			switch {
			case i == len(p.Steps)-1:
				decimals = p.Decimals
			case s.Unit != p.Unit:
				decimals = max(0, 3-int(math.Floor(math.Log10(math.Abs(v.Float64())))))
			}
			text := strconv.FormatFloat(v.Float64(), 'f', decimals, 64)
			kept, _, ok := formula.ReadNumber(text)
			require.True(t, ok)
			vars[s.Name] = kept
			if i == len(p.Steps)-1 {
				answers[p.ID], vars[p.ID] = text, kept
			}
		}
	}
	return answers
}

// TestHonestPathsOfHandmadeExercises: of 10,000 rounded honest ways through each
// exercise fewer than one in a thousand is refused.
func TestHonestPathsOfHandmadeExercises(t *testing.T) {
	t.Parallel()
	for _, ex := range []curriculum.Exercise{leadAndOffset(t), depths(t)} {
		rng := rand.New(rand.NewPCG(1, 2))
		refused := 0
		const paths = 10_000
		for range paths {
			for _, v := range Mark(ex, honest(t, ex, rng), Test) {
				if v.Outcome != curriculum.Right {
					refused++
				}
			}
		}
		assert.Less(t, refused, paths/1000, ex.ID)
	}
}

// TestTheUnitWrittenNeverChangesTheVerdict writes the same lengths, right and
// wrong, in the units that they have an exact number in.
func TestTheUnitWrittenNeverChangesTheVerdict(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	for _, ex := range []curriculum.Exercise{leadAndOffset(t), depths(t)} {
		p := &ex.Parts[0]
		printed := printedUnit(p.Unit)
		values := []float64{p.Accept.Low, p.Accept.High, p.Accept.Low * 2, p.Accept.Low / 2, 25.4 * p.Accept.High, p.Accept.High / 25.4, -p.Accept.Low}
		for _, w := range p.Wrong {
			v, err := formula.MustParse(w.Rule).Eval(ex.Givens.Numbers())
			require.NoError(t, err)
			values = append(values, v.Float64())
		}
		for range 200 {
			values = append(values, p.Accept.Low+4*rng.Float64()*(p.Accept.High-p.Accept.Low))
		}
		for _, value := range values {
			r, err := threadmath.ParseRatio(strconv.FormatFloat(value, 'g', 6, 64))
			require.NoError(t, err)
			same := Mark(ex, map[string]string{p.ID: formatNumber(r) + " " + p.Unit}, Test)[0]
			for _, u := range units {
				if u.dim != length || u.symbol == printed.symbol {
					continue
				}
				text := formatNumber(r.Mul(printed.factor).Quo(u.factor)) + " " + u.symbol
				v := Mark(ex, map[string]string{p.ID: text}, Test)[0]
				if coarse := same.Outcome == curriculum.Rounding || v.Outcome == curriculum.Rounding; coarse && same.Outcome != v.Outcome {
					// Digits cut off too early are seen only in the unit that is printed.
					assert.NotEqual(t, curriculum.Right, same.Outcome)
					continue
				}
				assert.Equal(t, [2]string{string(same.Outcome), same.WrongRule}, [2]string{string(v.Outcome), v.WrongRule}, "%s is %s %s", text, formatNumber(r), p.Unit)
			}
		}
	}
}

// FuzzMark holds whatever is written to: a verdict for every part, marks within
// what there is, evidence that JSON can hold.
func FuzzMark(f *testing.F) {
	f.Add("0.2727", "0.1818", "240", "1/11")
	f.Add("6.927 mm", "1e12", "-120", "0")
	f.Add("11 tpi", "0", "360", "1e-300")
	exercises := []curriculum.Exercise{leadAndOffset(f), depths(f), choosing(f)}
	f.Fuzz(func(t *testing.T, a, b, c, step string) {
		for _, ex := range exercises {
			answers := map[string]string{}
			for i, p := range ex.Parts {
				answers[p.ID] = []string{a, b, c}[i%3]
				for _, s := range p.Steps {
					answers[p.ID+"."+s.Name] = step
				}
			}
			for _, mode := range []Mode{Practice, Test} {
				verdicts := Mark(ex, answers, mode)
				require.Len(t, verdicts, len(ex.Parts))
				for _, v := range verdicts {
					require.True(t, v.Marks >= 0 && v.Marks <= v.OutOf, "%d of %d", v.Marks, v.OutOf)
					require.NotEmpty(t, v.Reason)
					require.NotEmpty(t, v.Outcome)
				}
				_, err := json.Marshal(verdicts)
				require.NoError(t, err)
			}
		}
	})
}

// BenchmarkMark marks four linked parts where nothing is right at once: every
// explanation is tried, from the givens and from the learner's own values. One
// operation is one grading of a whole exercise.
func BenchmarkMark(b *testing.B) {
	ex := depths(b)
	answers := map[string]string{"h": "1.732", "dial": "3.40", "compound": "1.77", "compound.k": "0.87", "speed": "61"}
	b.ReportAllocs()
	for b.Loop() {
		if v := Mark(ex, answers, Practice); len(v) != len(ex.Parts) {
			b.Fatal("no verdicts")
		}
	}
}

// BenchmarkRun reads, marks and writes JSON lines, as the command does.
func BenchmarkRun(b *testing.B) {
	ex, err := json.Marshal(depths(b))
	require.NoError(b, err)
	line, err := json.Marshal(Answers{ID: depths(b).ID, Answers: map[string]string{"h": "1.732", "dial": "3.40", "compound": "1.77", "speed": "61"}})
	require.NoError(b, err)
	answers := strings.Repeat(string(line)+"\n", b.N)
	b.ResetTimer()
	require.NoError(b, Run(strings.NewReader(string(ex)), strings.NewReader(answers), discard{}))
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }
