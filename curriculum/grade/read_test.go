package grade

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// blank is a part with a printed unit.
func blank(kind, unit string) curriculum.Part {
	return curriculum.Part{ID: "x", Kind: kind, Unit: unit}
}

func number1(t *testing.T, text string) threadmath.Ratio {
	t.Helper()
	r, err := threadmath.ParseRatio(text)
	require.NoError(t, err)
	return r
}

func TestReadNumbers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		unit, text, want string // want: the exact number of the printed unit
	}{
		// Decimals, point and comma.
		{"in", "1.25", "5/4"},
		{"in", ".047", "47/1000"},
		{"in", "0,047", "47/1000"},
		{"mm", "2,31", "231/100"},
		{"mm", "0,250", "1/4"},         // a group of three never follows a 0
		{"mm", "1234,567", "1234.567"}, // nor four digits
		{"mm", "1,234.5", "1234.5"},
		{"mm", "1.234,5", "1234.5"},
		{"mm", "1,234,567", "1234567"},
		{"mm", "1 250", "1250"}, // SI groups, NIST SP 811 10.5.3
		{"mm", "0.047 244 1", "0.0472441"},
		{"mm", "5.", "5"},
		{"mm", "2.5e-3", "1/400"},
		{"mm", "  2 mm ", "2"},
		{"mm", "2\u00a0mm", "2"},
		{"mm", "1\u2009250\u202fmm", "1250"},
		{"mm", "\ufeff2\u200bmm", "2"},
		{"mm", "２．５mm", "5/2"},
		{"mm", "P = 2 mm", "2"},
		{"mm", "about 2", "2"},
		{"mm", "= 2 mm.", "2"},
		// Signs: hyphen, true minus, dash.
		{"mm", "-2", "-2"},
		{"mm", "−2", "-2"},
		{"mm", "–2 mm", "-2"},
		{"mm", "+2", "2"},
		{"mm", "- 2", "-2"},
		// Fractions, mixed, glyphs.
		{"in", "3/64", "3/64"},
		{"in", "1 3/64", "67/64"},
		{"in", "1-3/64", "67/64"},
		{"in", `1-3/64"`, "67/64"},
		{"in", "1‑3/64", "67/64"}, // no-break hyphen
		{"in", "1+3/64", "67/64"},
		{"in", "-1 3/64", "-67/64"},
		{"in", "½", "1/2"},
		{"in", "1½", "3/2"},
		{"in", "1 ½ in", "3/2"},
		{"in", "1-½", "3/2"},
		{"in", "-¼", "-1/4"},
		{"in", "⅓", "1/3"},
		{"in", "2⅞ inch", "23/8"},
		{"in", "1³⁄₆₄", "67/64"},
		{"in", "³⁄₆₄ in", "3/64"},
		{"tpi", "11-1/2", "23/2"},
		// Units: other than printed, exactly converted.
		{"in", "91 thou", "91/1000"},
		{"in", "0.0909in", "909/10000"},
		{"in", `3/64"`, "3/64"},
		{"in", "3/64 in.", "3/64"},
		{"in", "25.4 mm", "1"},
		{"in", "2.54 cm", "1"},
		{"mm", "1 in", "127/5"},
		{"mm", "1″", "127/5"},
		{"mm", "1''", "127/5"},
		{"mm", "47 thou", "5969/5000"},
		{"mm", "250 µm", "1/4"},
		{"mm", "250 μm", "1/4"},
		{"mm", "250um", "1/4"},
		{"mm", "6 mm/rev", "6"},
		{"tpi", "13 TPI", "13"},
		{"tpi", "10 threads per inch", "10"},
		{"tpi", "10 per inch", "10"},
		{"tpi", "3 1/3 /in", "10/3"},
		{"tpi", "10 t.p.i.", "10"},
		{"turns/in", "10/3", "10/3"},
		{"rpm", "60 rpm", "60"},
		{"rpm", "60 rev/min", "60"},
		{"rpm", "60 rev / min", "60"},
		{"rpm", "60 min⁻¹", "60"},
		{"rpm", "120 1/min", "120"},
		{"rpm", "1.5 rev/s", "90"},
		{"mm/s", "3.5 mm/s", "7/2"},
		{"mm/s", "600 mm/min", "10"},
		{"mm/s", "1 in/s", "127/5"},
		{"mm/s", "60 in/min", "127/5"},
		{"mm/s", "0.6 m/min", "10"},
		{"min", "21.5 min", "43/2"},
		{"min", "90 s", "3/2"},
		{"min", "1.5 h", "90"},
		// Angles.
		{"deg", "51.43°", "5143/100"},
		{"deg", "51 deg", "51"},
		{"deg", "51º", "51"},
		{"deg", "51°25'43\"", "185143/3600"},
		{"deg", "51° 25′ 43″", "185143/3600"},
		{"deg", "51 degrees 25 minutes 43 seconds", "185143/3600"},
		{"deg", "51°25.5'", "6171/120"},
		{"deg", "−3°30'", "-7/2"},
		{"deg", "30'", "1/2"},
		{"deg", "1/3 turn", "120"},
		{"deg", "120", "120"},
		// Counts and ratios.
		{"", "3", "3"},
		{"", "three", "3"},
		{"starts", "3 starts", "3"},
		{"starts", "3-start", "3"},
		{"", "two starts", "2"},
		{"teeth", "32 teeth", "32"},
		{"", "40:30", "4/3"},
		{"", "4/3", "4/3"},
		{"", "4 to 3", "4/3"},
		{"", "1.5:2", "3/4"},
		{"", "40/50 x 20/100", "4/25"},
		{"", "40/50 × 20/100", "4/25"},
		{"", "40/50*20/100", "4/25"},
		{"", "(40 x 30)/(80 x 60)", "1/4"},
		{"", "(40x30):(80)", "15"},
		{"", "12.5 %", "1/8"},
		{"clicks", "7 clicks", "7"},
	} {
		t.Run(c.unit+" "+c.text, func(t *testing.T) {
			t.Parallel()
			r, err := Read(blank(curriculum.KindLength, c.unit), c.text)
			require.NoError(t, err)
			want := number1(t, c.want)
			assert.True(t, r.Number.Equal(want), "Read(%q) = %s, want %s", c.text, r.Number, want)
			again, err := Read(blank(curriculum.KindLength, c.unit), r.String())
			require.NoError(t, err, "what parses prints back: %q", r.String())
			assert.True(t, again.Number.Equal(want), "%q prints as %q", c.text, r.String())
			assert.Equal(t, r.Unit, again.Unit)
		})
	}
}

func TestReadReciprocal(t *testing.T) {
	t.Parallel()
	r, err := Read(blank(curriculum.KindLength, "in"), "10 tpi")
	require.NoError(t, err)
	assert.True(t, r.Reciprocal)
	assert.Equal(t, "1/10", r.Number.String())
	r, err = Read(blank(curriculum.KindLength, "mm"), "10 tpi")
	require.NoError(t, err)
	assert.Equal(t, "127/50", r.Number.String())
	r, err = Read(blank(curriculum.KindCount, "tpi"), "2.54 mm")
	require.NoError(t, err)
	assert.True(t, r.Reciprocal)
	assert.Equal(t, "10", r.Number.String())
}

func TestReadAsksBack(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ unit, text, says string }{
		{"mm", "1,250", "1.250 or 1250"},
		{"mm", "12,345 mm", "12.345 or 12345"},
		{"in", "1 - 3/64", "1 plus 3/64, or 1 minus 3/64"},
		{"in", "1−3/64", "minus"},
		{"mm", "1-1/3", "minus"}, // no rule is divided into thirds
		{"in", "1-65/64", "minus"},
		{"mm", "30 - 2", "which single number"},
		{"mm", "--2", "which single number"},
		{"", "0x10", "pair"}, // wheels multiplied, not a number in another base
		{"", "40 x 20 / 50 x 100", "pair"},
		{"mm", "51 deg", "asks for a length in mm"},
		{"deg", "51 mm", "asks for an angle"},
		{"rpm", "51 mm/s", "spindle speed"},
	} {
		_, err := Read(blank(curriculum.KindLength, c.unit), c.text)
		var unclear *Unclear
		if assert.ErrorAs(t, err, &unclear, c.text) {
			assert.Contains(t, unclear.Question, c.says)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"", "   ", "mm", "two and a half bits", "5 kg", "1/0", "1/2/3", "12 34", "1,23,4", "1.2.3", "1 64/3", "1_000", "0b11 mm", "NaN", "Inf", "∞",
		"1e401", "1e-401", "0.001e-400", "1e1000000", "1e", "1.2e3.4", strings.Repeat("9", 41), "1." + strings.Repeat("3", 31), "1234567890123/7",
		"51°61'", "51.5°20'", "1234567°1'", "\xff\xfe", strings.Repeat("1 ", 101), "2 mm 3", "0 tpi",
	} {
		_, err := Read(blank(curriculum.KindLength, "mm"), text)
		if strings.Contains(text, "°1'") || strings.HasPrefix(text, "51") {
			_, err = Read(blank(curriculum.KindAngle, "deg"), text)
		}
		var bad *ReadError
		assert.ErrorAs(t, err, &bad, "%q", text)
	}
}

func TestReadSelections(t *testing.T) {
	t.Parallel()
	choices := []curriculum.Choice{{ID: "anywhere", Text: "Close it anywhere."}, {ID: "lines", Text: "On certain lines"}, {ID: "keep-closed", Text: "Keep it closed"}}
	lines := []curriculum.Choice{{ID: "1"}, {ID: "2"}, {ID: "3"}, {ID: "4"}}
	for _, c := range []struct {
		kind    string
		choices []curriculum.Choice
		text    string
		want    string // String of the reading, or "?" asked back, "!" unreadable
	}{
		{curriculum.KindList, nil, "1 and 3", "1 and 3"},
		{curriculum.KindList, nil, "1,3", "1 and 3"},
		{curriculum.KindList, nil, "1 3", "1 and 3"},
		{curriculum.KindList, nil, "lines 1, 3", "1 and 3"},
		{curriculum.KindList, nil, "#1 or #3", "1 and 3"},
		{curriculum.KindList, nil, "3; 1; 3.", "1 and 3"},
		{curriculum.KindList, nil, "1 & 3 & 5", "1 and 3 and 5"},
		{curriculum.KindList, nil, "none", "none"},
		{curriculum.KindList, lines, "any", "1 and 2 and 3 and 4"},
		{curriculum.KindList, nil, "all", "?"},
		{curriculum.KindList, nil, "1-3", "?"},
		{curriculum.KindList, nil, "1.3", "?"},
		{curriculum.KindList, nil, "one", "!"},
		{curriculum.KindList, nil, "12345", "!"},
		{curriculum.KindChoice, choices, "keep-closed", "keep-closed"},
		{curriculum.KindChoice, choices, "Keep it CLOSED.", "keep-closed"},
		{curriculum.KindChoice, choices, "c", "keep-closed"},
		{curriculum.KindChoice, choices, "(C)", "keep-closed"},
		{curriculum.KindChoice, choices, "c) keep it closed", "keep-closed"},
		{curriculum.KindChoice, choices, "a: close it anywhere", "anywhere"},
		{curriculum.KindChoice, choices, "a) keep it closed", "?"},
		{curriculum.KindChoice, choices, "a or b", "?"},
		{curriculum.KindChoice, choices, "d", "!"},
		{curriculum.KindChoice, choices, "closed", "!"},
		{curriculum.KindOrder, choices, "c a b", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "c, a, b", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "C > A > B", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "cab", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "c-a-b", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "c → a then b", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "keep-closed anywhere lines", "keep-closed, anywhere, lines"},
		{curriculum.KindOrder, choices, "c, a", "!"},
		{curriculum.KindOrder, choices, "c, a, a", "!"},
	} {
		p := curriculum.Part{ID: "x", Kind: c.kind, Choices: c.choices}
		r, err := Read(p, c.text)
		got := r.String()
		var unclear *Unclear
		var bad *ReadError
		switch {
		case errors.As(err, &unclear):
			got = "?"
		case errors.As(err, &bad):
			got = "!"
		}
		assert.Equal(t, c.want, got, "%s %q: %v", c.kind, c.text, err)
		if err == nil {
			again, err := Read(p, got)
			require.NoError(t, err)
			r.Sequence, again.Sequence = nil, nil // a list that has no order is written sorted
			assert.Equal(t, r, again)
		}
	}
}

func TestUnitNamesAreKnownOnce(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, u := range units {
		assert.Positive(t, u.factor.Sign(), u.symbol)
		for _, n := range u.names {
			key := string(u.dim) + " " + n
			assert.False(t, seen[key], "%s twice", key)
			seen[key] = true
			c, err := clean(n)
			require.NoError(t, err)
			assert.Equal(t, n, c, "names stand in the form that clean gives")
		}
		got, ok := unitOf(u.symbol, u.dim)
		assert.True(t, ok && got.symbol == u.symbol, "%s names itself", u.symbol)
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"1 3/64", "1,250", "51°25'43\"", "91 thou", "40/50 x 20/100", "1 and 3", "c a b", "−2.5e-3 mm", "1³⁄₆₄\u00a0in", "10 tpi", "1.234.567", "3 to 2", "0.000000000001/3", "12 1/min"} {
		f.Add(s)
	}
	choices := []curriculum.Choice{{ID: "1", Text: "one"}, {ID: "2", Text: "two turns"}, {ID: "c", Text: "three"}}
	parts := []curriculum.Part{
		blank(curriculum.KindLength, "mm"), blank(curriculum.KindLength, "in"), blank(curriculum.KindAngle, "deg"), blank(curriculum.KindSpeed, "rpm"),
		blank(curriculum.KindSpeed, "mm/s"), blank(curriculum.KindCount, "starts"), blank(curriculum.KindRatio, ""), blank(curriculum.KindCount, "tpi"), blank(curriculum.KindCount, "min"),
		{Kind: curriculum.KindList, Choices: choices}, {Kind: curriculum.KindChoice, Choices: choices}, {Kind: curriculum.KindOrder, Choices: choices},
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, p := range parts {
			r, err := Read(p, text)
			if err != nil {
				var unclear *Unclear
				var bad *ReadError
				require.True(t, errors.As(err, &unclear) || errors.As(err, &bad), "%v", err)
				continue
			}
			again, err := Read(p, r.String())
			require.NoError(t, err, "%s %q printed as %q", p.Unit, text, r.String())
			require.True(t, r.Number.Equal(again.Number), "%q printed as %q", text, r.String())
			require.Equal(t, r.String(), again.String())
		}
	})
}
