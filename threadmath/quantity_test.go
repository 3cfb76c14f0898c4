package threadmath

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestParseRatio(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Ratio{
		"3": Int(3), "0": {}, "007": Int(7), ".5": frac(1, 2), "5.": Int(5), "0.047": frac(47, 1000),
		"-2": Int(-2), "+2": Int(2), "-1/2": frac(-1, 2), "3/64": frac(3, 64), "1 3/64": frac(67, 64),
		"-1 1/2": frac(-3, 2), "10/3": frac(10, 3), "1e-3": frac(1, 1000), "1E3": Int(1000), "2.5e+1": Int(25),
		" 6 ": Int(6), "6/4": frac(3, 2),
	} {
		got, err := ParseRatio(text)
		require.NoError(t, err, text)
		assert.True(t, got.Equal(want), "%q: got %s, want %s", text, got, want)
	}
}

// hostile lists texts that a number reader must refuse, some because
// math/big.Rat.SetString would take them.
var hostile = []string{
	"", " ", ".", "-", "+", "e5", "1e", "1e+", "--1", "+-1", "1-", "0x10", "0b11", "0o7", "1_000", "1e1_0",
	"1e1000000", "1e401", "1e-401", "1/0", "0/0", "1/-2", "-1/-2", "1/2/3", "1//2", "/2", "1/", "1 /2", "1 2", "1 64/3", "1 3/3",
	"1.5/2", "1/2e3", "1 1.5/2", "NaN", "nan", "Inf", "-inf", "infinity", "٣", "３", "½", "1\u00a03/64", "1,5", "1,000",
	"1\x00", "\xff", strings.Repeat("9", 41), "0." + strings.Repeat("0", 40), "p1", "0x1p-2", "1e5e5", "1e0.5",
}

func TestParseRefusesHostileTexts(t *testing.T) {
	t.Parallel()
	for _, text := range hostile {
		_, err := ParseRatio(text)
		requireDomain(t, err, "number")
		for _, unit := range []string{" mm", " in", "", " furlong", "\""} {
			if unit == "" || text != "" {
				_, _, err = ParseLength(text + unit)
				requireDomain(t, err, "length")
			}
		}
		_, _, err = ParsePitch(text + " tpi")
		requireDomain(t, err, "pitch")
	}
	for _, text := range []string{"0 tpi", "-10 tpi", "tpi", "10 tpi mm", "10 /in"} {
		_, _, err := ParsePitch(text)
		requireDomain(t, err, "pitch")
	}
}

// Work is bounded by the length of the text: a megabyte of digits, the largest
// exponent and the longest number all cost next to nothing.
func TestParseIsBounded(t *testing.T) { // not parallel: it counts allocations
	long := strings.Repeat("9", 1<<20)
	start := time.Now()
	for _, text := range []string{long, "1/" + long, long + " mm", "1e" + long, "2 " + long, strings.Repeat(" ", 1<<20)} {
		_, err := ParseRatio(text)
		require.Error(t, err)
		_, _, err = ParseLength(text)
		require.Error(t, err)
		require.Less(t, len(err.Error()), 400)
	}
	r, err := ParseRatio("1e400")
	require.NoError(t, err)
	require.Len(t, r.Num(), 401)
	require.Less(t, time.Since(start), 2*time.Second)

	allocations := testing.AllocsPerRun(10, func() { _, _ = ParseRatio("9." + strings.Repeat("9", 33) + "e-399") })
	require.Less(t, allocations, 60.0)
}

func TestParseLength(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Length{
		"5/64 in": Inches(frac(5, 64)), "0.047 in": Inches(frac(47, 1000)), "1 3/64 in": Inches(frac(67, 64)),
		"47 thou": Inches(frac(47, 1000)), "2 mm": Millimetres(Int(2)), "2mm": Millimetres(Int(2)), "2. mm": Millimetres(Int(2)),
		`1/2"`: Inches(frac(1, 2)), "1/2 in.": Inches(frac(1, 2)), "3 inches": Inches(Int(3)), "1e-1 mm": Millimetres(frac(1, 10)),
		"20 µm": Millimetres(frac(1, 50)), "20 μm": Millimetres(frac(1, 50)), "1 cm": Millimetres(Int(10)), "-1 mm": Millimetres(Int(-1)),
		"0.02 MM": Millimetres(frac(1, 50)),
	} {
		got, _, err := ParseLength(text)
		require.NoError(t, err, text)
		assert.True(t, got.Equal(want), "%q: %s", text, got.Exact(Metric))
	}
	for _, text := range []string{"2", "mm", "2 m m", "2 kg", "2 mm 3", "2 tpi", "1 in 2 mm", "2 mm/in"} {
		_, _, err := ParseLength(text)
		requireDomain(t, err, "length")
	}
}

func TestParsePitch(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]Length{
		"10 tpi": Inches(frac(1, 10)), "4.5 TPI": Inches(frac(2, 9)), "10/3 tpi": Inches(frac(3, 10)), "3 1/3 tpi": Inches(frac(3, 10)),
		"2 mm": Millimetres(Int(2)), "1/8 in": Inches(frac(1, 8)),
	} {
		got, _, err := ParsePitch(text)
		require.NoError(t, err, text)
		assert.True(t, got.Equal(want), "%q: %s", text, got.Exact(Inch))
	}
	_, s, err := ParsePitch("8 tpi")
	require.NoError(t, err)
	assert.Equal(t, Inch, s)
}

// What is written reads back the same, in either unit.
func TestQuantityRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := ratios().Draw(t, "x").r
		if len(x.String()) <= maxNumberLength {
			back, err := ParseRatio(x.String())
			require.NoError(t, err)
			require.True(t, back.Equal(x))
		}
		l := lengths().Draw(t, "l")
		for _, s := range []System{Metric, Inch} {
			back, system, err := ParseLength(l.Exact(s))
			require.NoError(t, err)
			require.Equal(t, s, system)
			require.True(t, back.Equal(l))
			if l.Sign() > 0 {
				back, _, err = ParsePitch(Inches(Int(1)).Quo(l).String() + " tpi")
				require.NoError(t, err)
				require.True(t, back.Equal(l))
			}
		}
	})
}

// FuzzQuantity holds: nothing panics, and what parses prints back the same.
func FuzzQuantity(f *testing.F) {
	for _, s := range append([]string{"5/64 in", "1 3/64 in", "47 thou", "10 tpi", "1e-400 mm", "2 mm"}, hostile...) {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if r, err := ParseRatio(text); err == nil {
			if s := r.String(); len(s) <= maxNumberLength {
				back, err := ParseRatio(s)
				require.NoError(t, err)
				require.True(t, back.Equal(r))
			}
		} else {
			requireDomain(t, err, "number")
		}
		l, s, err := ParsePitch(text)
		if err != nil {
			requireDomain(t, err, "pitch")
			return
		}
		if exact := l.Exact(s); len(exact) <= maxNumberLength {
			back, _, err := ParsePitch(exact)
			require.NoError(t, err)
			require.True(t, back.Equal(l))
		}
	})
}

func ExampleParseLength() {
	for _, text := range []string{"1 3/64 in", "47 thou", "2 mm", "2"} {
		l, _, err := ParseLength(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(l.Exact(Inch), "=", l.Exact(Metric))
	}
	// Output:
	// 67/64 in = 8509/320 mm
	// 47/1000 in = 5969/5000 mm
	// 10/127 in = 2 mm
	// length: "2": no unit (allowed: a number with its unit, such as "2 mm", "5/64 in" or "47 thou")
}

func ExampleParsePitch() {
	pitch, _, _ := ParsePitch("10 tpi")
	fmt.Println(pitch.Exact(Inch))
	// Output: 1/10 in
}
