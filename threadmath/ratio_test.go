package threadmath

import (
	"encoding/json"
	"fmt"
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// int64s draws numbers at every scale, the edges of int64 among them.
func int64s() *rapid.Generator[int64] {
	return rapid.OneOf(
		rapid.Int64Range(-60, 60),
		rapid.Int64Range(-1<<32, 1<<32),
		rapid.Int64(),
		rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64, math.MaxInt64 - 1, -1 << 62, 1 << 62}),
	)
}

// ratios draws narrow and wide ratios together with the same number in math/big.
func ratios() *rapid.Generator[pair] {
	return rapid.Custom(func(t *rapid.T) pair {
		p := pair{Int(0), new(big.Rat)}
		n, d := int64s().Draw(t, "num"), int64s().Filter(func(d int64) bool { return d != 0 }).Draw(t, "den")
		r, err := Frac(n, d)
		if err != nil {
			t.Fatal(err)
		}
		p.r, p.b = r, big.NewRat(1, 1).SetFrac(big.NewInt(n), big.NewInt(d))
		if rapid.IntRange(0, 4).Draw(t, "widen") == 0 {
			k := new(big.Rat).SetFrac(new(big.Int).Exp(big.NewInt(7), big.NewInt(30), nil), new(big.Int).Exp(big.NewInt(3), big.NewInt(45), nil))
			p.r, p.b = p.r.Mul(fromBig(k)), new(big.Rat).Mul(p.b, k)
		}
		return p
	})
}

type pair struct {
	r Ratio
	b *big.Rat
}

// requireSame fails unless r is b in the one representation it may have.
func requireSame(t require.TestingT, b *big.Rat, r Ratio) {
	require.Equal(t, b.RatString(), r.String())
	fits := b.Num().IsInt64() && b.Denom().IsInt64() && b.Num().Int64() != math.MinInt64
	require.Equal(t, fits, r.wide == nil, "two words exactly when it fits")
}

// The outside check is math/big of the standard library.
func TestRatioEqualsMathBig(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x, y := ratios().Draw(t, "x"), ratios().Draw(t, "y")
		requireSame(t, x.b, x.r)
		requireSame(t, new(big.Rat).Add(x.b, y.b), x.r.Add(y.r))
		requireSame(t, new(big.Rat).Sub(x.b, y.b), x.r.Sub(y.r))
		requireSame(t, new(big.Rat).Mul(x.b, y.b), x.r.Mul(y.r))
		requireSame(t, new(big.Rat).Neg(x.b), x.r.Neg())
		requireSame(t, new(big.Rat).Abs(x.b), x.r.Abs())
		require.Equal(t, x.b.Cmp(y.b), x.r.Cmp(y.r))
		require.Equal(t, x.b.Cmp(y.b) == 0, x.r.Equal(y.r))
		require.Equal(t, x.b.Sign(), x.r.Sign())
		require.Equal(t, x.b.IsInt(), x.r.IsInt())
		require.Equal(t, x.b.Num().String(), x.r.Num())
		require.Equal(t, x.b.Denom().String(), x.r.Den())
		f, _ := x.b.Float64()
		require.Equal(t, f, x.r.Float64())
		if y.r.Sign() != 0 {
			requireSame(t, new(big.Rat).Quo(x.b, y.b), x.r.Quo(y.r))
		}
	})
}

func TestRatioFloorRoundMod(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := ratios().Draw(t, "x").r
		f := x.Floor()
		require.True(t, f.IsInt())
		require.True(t, f.Cmp(x) <= 0 && x.Cmp(f.Add(Int(1))) < 0, "floor %s of %s", f, x)

		n := x.Round()
		require.True(t, n.IsInt())
		miss := x.Sub(n).Abs().Cmp(frac(1, 2))
		require.LessOrEqual(t, miss, 0)
		if miss == 0 {
			require.Positive(t, n.Abs().Cmp(x.Abs()), "halves go away from zero")
		}

		m := ratios().Filter(func(p pair) bool { return p.r.Sign() > 0 }).Draw(t, "m").r
		rest := x.Mod(m)
		require.True(t, rest.Sign() >= 0 && rest.Cmp(m) < 0)
		require.True(t, x.Sub(rest).Quo(m).IsInt())
	})
}

func TestRatioGCD(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		// Small parts: Euclid's steps on rationals of 200 bits are slow, not different.
		draw := func(label string) Ratio {
			return frac(rapid.Int64Range(-5000, 5000).Draw(t, label), rapid.Int64Range(1, 500).Draw(t, label+" den"))
		}
		a, b, k := draw("a"), draw("b"), frac(rapid.Int64Range(1, 90).Draw(t, "k"), rapid.Int64Range(1, 90).Draw(t, "k den"))
		g := RatioGCD(a, b)
		if a.Sign() == 0 && b.Sign() == 0 {
			require.Zero(t, g.Sign())
			return
		}
		require.Positive(t, g.Sign())
		require.True(t, a.Quo(g).IsInt() && b.Quo(g).IsInt())
		na, _ := a.Quo(g).Int64()
		nb, _ := b.Quo(g).Int64()
		require.Equal(t, int64(1), gcd(abs64(na), abs64(nb)), "nothing greater divides both")
		require.True(t, RatioGCD(a.Mul(k), b.Mul(k)).Equal(g.Mul(k)), "scales")
		require.True(t, RatioGCD(b, a).Equal(g))
	})
}

func TestFracRefusesZeroDenominator(t *testing.T) {
	t.Parallel()
	_, err := Frac(1, 0)
	requireDomain(t, err, "denominator")
}

func TestRatioDecimal(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		r        Ratio
		decimals int
		text     string
		exact    bool
	}{
		{frac(1, 12), 3, "0.083", false}, // a shop reads 1/12 in as 0.083 in
		{frac(1, 12), 4, "0.0833", false},
		{frac(5, 64), 6, "0.078125", true},
		{frac(5, 64), 5, "0.07813", false}, // halves away from zero
		{frac(-1, 8), 2, "-0.13", false},
		{Int(6), 0, "6", true},
		{Int(6), 2, "6.00", true},
	} {
		text, exact := c.r.Decimal(c.decimals)
		assert.Equal(t, c.text, text)
		assert.Equal(t, c.exact, exact, c.text)
	}
}

func TestRatioJSON(t *testing.T) {
	t.Parallel()
	for want, r := range map[string]Ratio{
		`0`:                  {},
		`3`:                  Int(3),
		`-4`:                 Int(-4),
		`"10/3"`:             frac(10, 3),
		`"-1/2"`:             frac(-1, 2),
		`9007199254740991`:   Int(1<<53 - 1),
		`"9007199254740992"`: Int(1 << 53),
	} {
		got, err := json.Marshal(r)
		require.NoError(t, err)
		assert.Equal(t, want, string(got))
		var back Ratio
		require.NoError(t, json.Unmarshal(got, &back))
		assert.True(t, back.Equal(r), want)
	}
	got, err := json.Marshal(RatioText{Int(4)})
	require.NoError(t, err)
	assert.Equal(t, `"4"`, string(got), "turns per inch are text, whole or not")
	var back RatioText
	require.NoError(t, json.Unmarshal(got, &back))
	assert.True(t, back.Equal(Int(4)))
	for _, bad := range []string{`"1/0"`, `{}`, `true`, `"x"`, `""`, `1e999`} {
		assert.Error(t, json.Unmarshal([]byte(bad), new(Ratio)), bad)
	}
}

func TestRatioZeroValue(t *testing.T) {
	t.Parallel()
	var z Ratio
	assert.Equal(t, "0", z.String())
	assert.Equal(t, "1", z.Den())
	assert.True(t, z.Add(Int(2)).Equal(Int(2)))
	assert.Zero(t, z.Float64())
}

func ExampleRatio() {
	// Three starts of 2 mm on a leadscrew of 1/4 in: how many leadscrew turns
	// make one turn of the work?
	leadscrew, lead := Inches(frac(1, 4)), Millimetres(Int(6))
	fmt.Println(lead.Quo(leadscrew))
	// Output: 120/127
}
