package formula_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

func frac(t require.TestingT, a, b int64) formula.Value {
	r, err := threadmath.Frac(a, b)
	require.NoError(t, err)
	return formula.Exact(r)
}

func TestEval(t *testing.T) {
	t.Parallel()
	vars := map[string]formula.Value{
		"n": formula.Int(3), "P": frac(t, 5, 2), "L": frac(t, 15, 2), "A": frac(t, 59, 2), "x": formula.Approx(2),
	}
	exact := map[string]string{
		"n*P":                     "15/2",
		"L/n":                     "5/2",
		"L - n*P":                 "0",
		"-n^2":                    "-9",
		"(-n)^2":                  "9",
		"2 - 3 - 4":               "-5",
		"12/3/2":                  "2",
		"0.1 + 0.2":               "3/10",
		"lcm(6, 4)":               "12",
		"lcm(1/4, 1/6)":           "1/2",
		"gcd(1/4, 1/6)":           "1/12",
		"mod(-1/4, 1/3)":          "1/12",
		"floor(-7/2)":             "-4",
		"ceil(-7/2)":              "-3",
		"round(7/2)":              "4",
		"max(1/3, 0.33, n)":       "3",
		"min(1/3, 0.33, n)":       "33/100",
		"abs(P - L)":              "5",
		"n^0":                     "1",
		"(n - 1) * 360 / n":       "240",
		"  1 +  2*( 3 )":          "7",
		"25.4 * 5 / 127":          "1",
		"40*20 / (50*100) * 1 /4": "1/25", // 25 per inch from a screw of 4 per inch by 40/50 × 20/100
	}
	for text, want := range exact {
		f, err := formula.Parse(text)
		require.NoError(t, err, text)
		v, err := f.Eval(vars)
		require.NoError(t, err, text)
		r, ok := v.Ratio()
		require.True(t, ok, text)
		assert.Equal(t, want, r.String(), text)
	}
	approx := map[string]float64{
		"sqrt(2)": math.Sqrt2, "pi*2": 2 * math.Pi, "sin(30)": 0.5, "cos(60)": 0.5, "tan(45)": 1, "atan(1)": 45,
		"n*x": 6, "x^3": 8, "floor(sqrt(9))": 3, "ceil(3*tan(45))": 3, "round(2*x/3)": 1, "mod(-x, 3)": 1,
		"abs(-x)": 2, "max(x, n)": 3,
		// The compound travels 0.0928 in for 8 per inch at 29° (published_checks, infeed).
		"0.6495 / 8 / cos(29)": 0.09283,
	}
	for text, want := range approx {
		v, err := formula.MustParse(text).Eval(vars)
		require.NoError(t, err, text)
		assert.InDelta(t, want, v.Float64(), 1e-5, text)
	}
	_, isExact := must(t, "sqrt(4)", nil).Ratio()
	assert.False(t, isExact, "a root is approximate even where it comes out whole")
}

func must(t require.TestingT, text string, vars map[string]formula.Value) formula.Value {
	f, err := formula.Parse(text)
	require.NoError(t, err, text)
	v, err := f.Eval(vars)
	require.NoError(t, err, text)
	return v
}

func TestEvalFails(t *testing.T) {
	t.Parallel()
	vars := map[string]formula.Value{"z": {}, "big": formula.Approx(1e300), "nan": formula.Approx(math.NaN())}
	for text, want := range map[string]error{
		"1/z": formula.ErrUndefined, "sqrt(z - 1)": formula.ErrUndefined, "tan(90)": formula.ErrUndefined,
		"lcm(z, 2)": formula.ErrUndefined, "gcd(sqrt(4), 2)": formula.ErrUndefined, "mod(2, z)": formula.ErrUndefined,
		"big*big": formula.ErrOverflow, "big^2": formula.ErrOverflow,
		"(1000000000000000000000000000000^12)": formula.ErrOverflow, "atan(1000000000000000000000000000000^12)": formula.ErrOverflow,
		"big/1000000000000000000000000000000^12": formula.ErrOverflow, "nan": formula.ErrOverflow, "unknown": formula.ErrNoValue,
	} {
		_, err := formula.MustParse(text).Eval(vars)
		assert.ErrorIs(t, err, want, text)
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for text, column := range map[string]int{
		"": 1, "1 +": 4, "(1": 3, "1)": 2, "2 3": 3, "x^y": 3, "x^13": 5, "x^-1": 3, "foo(1)": 1, "mod(1)": 1, "1..2": 1,
		"a $ b": 3, "((x^12)^12)": 12, strings.Repeat("(", 60) + "1": 41, strings.Repeat("1+", 300) + "1": 401,
		"--1": 2, "0x10": 2, "1e5": 2,
	} {
		_, err := formula.Parse(text)
		var syntax *formula.SyntaxError
		require.ErrorAs(t, err, &syntax, text)
		assert.Equal(t, column, syntax.Column, "%s: %v", text, err)
	}
}

func TestText(t *testing.T) {
	t.Parallel()
	vars := map[string]formula.Value{"n": formula.Int(3), "P": formula.Int(2), "A": frac(t, 59, 2), "h": formula.Approx(1.226869), "third": frac(t, -1, 3), "k": formula.Int(2)}
	for text, want := range map[string][2]string{
		"n*P":             {"n × P", "3 × 2"},
		"h/cos(A)":        {"h / cos(A)", "1.22687 / cos(29.5°)"},
		"(k-1)*360/n":     {"(k − 1) × 360 / n", "(2 − 1) × 360 / 3"},
		"a-(b-c)":         {"a − (b − c)", "a − (b − c)"},
		"a/(b*c)":         {"a / (b × c)", "a / (b × c)"},
		"n*third":         {"n × third", "3 × (−1/3)"},
		"third^2":         {"third²", "(−1/3)²"},
		"-n*P":            {"(−n) × P", "(−3) × 2"},
		"sqrt(n)*pi":      {"√(n) × π", "√(3) × π"},
		"abs(n-P)":        {"|n − P|", "|3 − 2|"},
		"lcm(n, P)":       {"lcm(n, P)", "lcm(3, 2)"},
		"0.6495*P + 0.01": {"0.6495 × P + 0.01", "0.6495 × 2 + 0.01"},
	} {
		f := formula.MustParse(text)
		assert.Equal(t, want[0], f.Text(), text)
		assert.Equal(t, want[1], f.Substitute(vars), text)
	}
	assert.Equal(t, []string{"n", "P", "k"}, formula.MustParse("n*P + n*k").Names())
}

func TestReadNumber(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][2]string{
		"2 mm": {"2", "mm"}, "1 3/64 in": {"67/64", "in"}, "10 tpi": {"10", "tpi"}, "29.5°": {"59/2", "°"}, "70 rev/min": {"70", "rev/min"}, "3": {"3", ""},
	} {
		v, unit, ok := formula.ReadNumber(text)
		require.True(t, ok, text)
		r, exact := v.Ratio()
		require.True(t, exact, text)
		assert.Equal(t, want, [2]string{r.String(), unit}, text)
	}
	for _, text := range []string{"", "Tr 40x14 P7", "20, 30, 40", "mm"} {
		_, _, ok := formula.ReadNumber(text)
		assert.False(t, ok, text)
	}
}

// A formula drawn at random evaluates exactly as the tree it was drawn from.
func TestEvalAgreesWithTree(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text, want, ok := tree(t, 4)
		f, err := formula.Parse(text)
		require.NoError(t, err)
		v, err := f.Eval(nil)
		if !ok {
			require.ErrorIs(t, err, formula.ErrUndefined)
			return
		}
		require.NoError(t, err)
		r, exact := v.Ratio()
		require.True(t, exact)
		require.True(t, want.Equal(r), "%s: got %s, want %s", text, r, want)
	})
}

func tree(t *rapid.T, depth int) (string, threadmath.Ratio, bool) {
	if depth == 0 || rapid.Bool().Draw(t, "leaf") {
		n := rapid.Int64Range(0, 40).Draw(t, "n")
		return threadmath.Int(n).String(), threadmath.Int(n), true
	}
	a, x, ok1 := tree(t, depth-1)
	b, y, ok2 := tree(t, depth-1)
	ok := ok1 && ok2
	op := rapid.SampledFrom([]string{"+", "-", "*", "/"}).Draw(t, "op")
	text := "(" + a + ")" + op + "(" + b + ")"
	switch {
	case !ok || op == "/" && y.Sign() == 0:
		return text, threadmath.Ratio{}, false
	case op == "+":
		return text, x.Add(y), true
	case op == "-":
		return text, x.Sub(y), true
	case op == "*":
		return text, x.Mul(y), true
	}
	return text, x.Quo(y), true
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"n*P", "h/cos(29.5)", "(k-1)*360/n", "lcm(L, p)", "x^2", "-", "sqrt(-1)", "1/0", "é*θ", "max(1,2,3)"} {
		f.Add(text)
	}
	vars := map[string]formula.Value{"n": formula.Int(3), "P": formula.Approx(1.5), "x": formula.Approx(1e200)}
	f.Fuzz(func(t *testing.T, text string) {
		parsed, err := formula.Parse(text)
		if err != nil {
			return
		}
		v, err := parsed.Eval(vars)
		if err == nil && (math.IsNaN(v.Float64()) || math.IsInf(v.Float64(), 0)) {
			t.Fatalf("Eval(%q) = %v", text, v.Float64())
		}
		_, _ = parsed.Text(), parsed.Substitute(vars)
	})
}

func BenchmarkEval(b *testing.B) {
	vars := map[string]formula.Value{"h": formula.Int(1), "A": formula.Int(29)}
	for b.Loop() {
		f, _ := formula.Parse("h/cos(A)")
		_, _ = f.Eval(vars)
	}
}
