package threadmath

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// requireDomain fails unless err is a DomainError about quantity, and returns it.
func requireDomain(t require.TestingT, err error, quantity string) *DomainError {
	var d *DomainError
	require.True(t, errors.As(err, &d), "want a DomainError, got %v", err)
	require.Equal(t, quantity, d.Quantity, "%v", err)
	require.NotContains(t, d.Error(), "\n")
	return d
}

// lengths draws exact lengths of either unit system.
func lengths() *rapid.Generator[Length] {
	return rapid.Custom(func(t *rapid.T) Length {
		r := frac(rapid.Int64Range(-100_000, 100_000).Draw(t, "num"), rapid.Int64Range(1, 1000).Draw(t, "den"))
		return LengthIn(r, rapid.SampledFrom([]System{Metric, Inch}).Draw(t, "system"))
	})
}

// 1 in = 25.4 mm exactly: international yard and pound agreement, 1959.
func TestInchIsExactly254(t *testing.T) {
	t.Parallel()
	assert.True(t, Inches(Int(1)).Equal(Millimetres(frac(254, 10))))
	assert.Equal(t, "127/5 mm", Inches(Int(1)).Exact(Metric))
	assert.Equal(t, "5/127 in", Millimetres(Int(1)).Exact(Inch))
	assert.Equal(t, 25.4, Inches(Int(1)).MM())
}

func TestLengthArithmetic(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := lengths().Draw(t, "a"), lengths().Draw(t, "b")
		n := rapid.IntRange(1, 40).Draw(t, "n")
		require.True(t, a.Add(b).Sub(b).Equal(a))
		require.True(t, a.Times(n).Div(n).Equal(a))
		require.True(t, a.Neg().Neg().Equal(a))
		require.Equal(t, a.Cmp(b), -b.Cmp(a))
		for _, s := range []System{Metric, Inch} {
			require.True(t, LengthIn(a.In(s), s).Equal(a), "there and back in %s", s)
		}
		if b.Sign() > 0 {
			require.True(t, b.Mul(a.Quo(b)).Equal(a))
			rest := a.Mod(b)
			require.True(t, rest.Sign() >= 0 && rest.Cmp(b) < 0)
		}
	})
}

func TestDimensionJSON(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		d    Dimension
		want string
	}{
		{ExactDimension(Millimetres(Int(6)), Metric), `{"in":0.236220472,"mm":6,"exact":"6 mm"}`}, // the contract's own example
		{ExactDimension(Inches(frac(3, 10)), Inch), `{"in":0.3,"mm":7.62,"exact":"3/10 in"}`},
		{ExactDimension(Inches(frac(1, 12)), Inch), `{"in":0.0833333333,"mm":2.11666667,"exact":"1/12 in"}`},
		{ExactDimension(Length{}, Metric), `{"in":0,"mm":0,"exact":"0 mm"}`},
		{ApproxDimension(1.2268690), `{"in":0.0483019291,"mm":1.226869}`},
		{ApproxDimension(math.Copysign(0, -1)), `{"in":0,"mm":0}`},
		{ApproxDimension(123456789.87), `{"in":4860503.54,"mm":123456790}`},
	} {
		got, err := json.Marshal(c.d)
		require.NoError(t, err)
		assert.Equal(t, c.want, string(got))
	}
}

func TestDimensionRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		l := lengths().Draw(t, "l")
		d := ExactDimension(l, rapid.SampledFrom([]System{Metric, Inch}).Draw(t, "system"))
		data, err := json.Marshal(d)
		require.NoError(t, err)
		var back Dimension
		require.NoError(t, json.Unmarshal(data, &back))
		exact, known := back.Exact()
		require.True(t, known && exact.Equal(l), "exact survives: %s", data)
		again, err := json.Marshal(back)
		require.NoError(t, err)
		require.Equal(t, string(data), string(again))

		f := rapid.Float64Range(-1e6, 1e6).Draw(t, "mm")
		data, err = json.Marshal(ApproxDimension(f))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(data, &back))
		require.InDelta(t, f, back.MM(), math.Abs(f)*5.01e-9+1e-300)
	})
}

func TestDimensionRefusesWhatIsNoLength(t *testing.T) {
	t.Parallel()
	for _, f := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := json.Marshal(ApproxDimension(f))
		assert.Error(t, err)
	}
	for _, bad := range []string{`{}`, `{"exact":"6"}`, `{"exact":"six mm"}`, `{"mm":"6"}`, `7`} {
		assert.Error(t, json.Unmarshal([]byte(bad), new(Dimension)), bad)
	}
	var d Dimension
	require.NoError(t, json.Unmarshal([]byte(`{"in":2}`), &d))
	assert.Equal(t, 50.8, d.MM())
}

func ExampleDimension() {
	half, _ := Frac(1, 12)
	data, _ := json.Marshal(ExactDimension(Inches(half), Inch))
	fmt.Println(string(data))
	// Output: {"in":0.0833333333,"mm":2.11666667,"exact":"1/12 in"}
}
