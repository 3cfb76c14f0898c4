package threadmath

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestParseDesignation reads the contract's designations and what shops make of
// them. Sizes without a pitch take that of the published series.
func TestParseDesignation(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text, form, diameter, pitch string
		starts                      int
		left                        bool
		class, side                 string
		// written is what String makes of it.
		written string
	}{
		{"M24", "iso-metric", "24 mm", "3 mm", 1, false, "", "", "M24"},
		{"M20", "iso-metric", "20 mm", "5/2 mm", 1, false, "", "", "M20"},
		{"M24x3", "iso-metric", "24 mm", "3 mm", 1, false, "", "", "M24"},
		{"M24x1.5", "iso-metric", "24 mm", "3/2 mm", 1, false, "", "", "M24x1.5"},
		{" m 24 × 1.5 ", "iso-metric", "24 mm", "3/2 mm", 1, false, "", "", "M24x1.5"},
		{"M24xPh6P2", "iso-metric", "24 mm", "2 mm", 3, false, "", "", "M24xPh6P2"},
		{"M24x6-P2", "iso-metric", "24 mm", "2 mm", 3, false, "", "", "M24xPh6P2"},
		{"M24xPh6P2-6g", "iso-metric", "24 mm", "2 mm", 3, false, "6g", "external", "M24xPh6P2-6g"},
		{"M24xPh6P2-6H-LH", "iso-metric", "24 mm", "2 mm", 3, true, "6H", "internal", "M24xPh6P2-6H-LH"},
		{"M20-LH", "iso-metric", "20 mm", "5/2 mm", 1, true, "", "", "M20-LH"},
		{"M10x1-4g6g", "iso-metric", "10 mm", "1 mm", 1, false, "4g6g", "external", "M10x1-4g6g"},
		{"Tr 40x7", "trapezoidal", "40 mm", "7 mm", 1, false, "", "", "Tr 40x7"},
		{"Tr40x7-7e", "trapezoidal", "40 mm", "7 mm", 1, false, "7e", "external", "Tr 40x7-7e"},
		{"Tr 40x14 P7", "trapezoidal", "40 mm", "7 mm", 2, false, "", "", "Tr 40x14(P7)"},
		{"Tr 60x18(P9)LH", "trapezoidal", "60 mm", "9 mm", 2, true, "", "", "Tr 60x18(P9)LH"},
		{"Tr 40 x 14 (P7) LH-7H", "trapezoidal", "40 mm", "7 mm", 2, true, "7H", "internal", "Tr 40x14(P7)LH-7H"},
		{"S 48x8", "buttress-metric", "48 mm", "8 mm", 1, false, "", "", "S 48x8"},
		{"S48x16P8", "buttress-metric", "48 mm", "8 mm", 2, false, "", "", "S 48x16(P8)"},
		{"Rd 40x1/6", "knuckle", "40 mm", "127/30 mm", 1, false, "", "", "Rd 40x1/6"},
		{"Rd 40x1/3 P1/6", "knuckle", "40 mm", "127/30 mm", 2, false, "", "", "Rd 40x1/3(P1/6)"},
		{"Rd 40x5", "knuckle", "40 mm", "5 mm", 1, false, "", "", "Rd 40x5"},
		{"5/8-10 ACME", "acme", "5/8 in", "1/10 in", 1, false, "", "", "5/8-10 ACME"},
		{"5/8-10 ACME-2G", "acme", "5/8 in", "1/10 in", 1, false, "2G", "", "5/8-10 ACME-2G"},
		{"5/8-10 Acme 2 starts", "acme", "5/8 in", "1/10 in", 2, false, "", "", "5/8-10 ACME 2 START"},
		{"1-1/8-5 ACME", "acme", "9/8 in", "1/5 in", 1, false, "", "", "1-1/8-5 ACME"},
		{"1 1/8 ACME", "acme", "9/8 in", "1/5 in", 1, false, "", "", "1-1/8-5 ACME"},
		{"1/2-10 STUB ACME", "stub-acme", "1/2 in", "1/10 in", 1, false, "", "", "1/2-10 STUB ACME"},
		{"1/4-20 UNC", "unified", "1/4 in", "1/20 in", 1, false, "", "", "1/4-20 UNC"},
		{"1/4-20 UNC-2A", "unified", "1/4 in", "1/20 in", 1, false, "2A", "external", "1/4-20 UNC-2A"},
		{"1/4-20 UNC-2B-LH", "unified", "1/4 in", "1/20 in", 1, true, "2B", "internal", "1/4-20 UNC-2B-LH"},
		{".25-20 unc", "unified", "1/4 in", "1/20 in", 1, false, "", "", "1/4-20 UNC"},
		{"1/4 UNC", "unified", "1/4 in", "1/20 in", 1, false, "", "", "1/4-20 UNC"},
		{"10 UNF", "unified", "19/100 in", "1/32 in", 1, false, "", "", "10-32 UNF"},
		{"1-64", "unified", "73/1000 in", "1/64 in", 1, false, "", "", "1-64 UNC"},
		{"2-56", "unified", "43/500 in", "1/56 in", 1, false, "", "", "2-56 UNC"},
		{"0-80", "unified", "3/50 in", "1/80 in", 1, false, "", "", "0-80 UNF"},
		{"1-8", "unified", "1 in", "1/8 in", 1, false, "", "", "1-8 UNC"},
		{"10-32 UNF", "unified", "19/100 in", "1/32 in", 1, false, "", "", "10-32 UNF"},
		{"#10-30 UNS", "unified", "19/100 in", "1/30 in", 1, false, "", "", "0.19-30 UNS"},
		{"2-4.5 UNC", "unified", "2 in", "2/9 in", 1, false, "", "", "2-4.5 UNC"},
		{"2-4 1/2 UNC", "unified", "2 in", "2/9 in", 1, false, "", "", "2-4.5 UNC"},
		{"1-20", "unified", "1 in", "1/20 in", 1, false, "", "", "1-20 UNEF"},
		{"2.0-56 UNS", "unified", "2 in", "1/56 in", 1, false, "", "", "2.0-56 UNS"},
		{"1-10 UN 3 START", "unified", "1 in", "1/10 in", 3, false, "", "", "1-10 UN 3 START"},
		{"1-10 3 START", "unified", "1 in", "1/10 in", 3, false, "", "", "1-10 UN 3 START"},
		{"1-10 UN 3 START-2A-LH", "unified", "1 in", "1/10 in", 3, true, "2A", "external", "1-10 UN-2A 3 START-LH"},
		{"1-14 NF", "american-national", "1 in", "1/14 in", 1, false, "", "", "1-14 NF"},
		{"2.5-8 BUTT", "buttress-inch", "5/2 in", "1/8 in", 1, false, "", "", "2-1/2-8 BUTT"},
		{"1/2-12 BSW", "whitworth", "1/2 in", "1/12 in", 1, false, "", "", "1/2-12 BSW"},
		{"1/2 BSF", "whitworth", "1/2 in", "1/16 in", 1, false, "", "", "1/2-16 BSF"},
	}
	for _, tt := range tests {
		d, err := ParseDesignation(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.form, d.Form, tt.text)
		system := Metric
		if strings.HasSuffix(tt.diameter, "in") {
			system = Inch
		}
		assert.Equal(t, tt.diameter, d.Diameter.Exact(system), tt.text)
		assert.Equal(t, tt.pitch, d.Pitch.Exact(system), tt.text)
		assert.Equal(t, tt.starts, d.Starts, tt.text)
		assert.Equal(t, tt.left, d.Left, tt.text)
		assert.Equal(t, tt.class, d.Class, tt.text)
		assert.Equal(t, tt.side, d.Side, tt.text)
		assert.Equal(t, tt.written, d.String(), tt.text)
	}
}

func TestParseDesignationRefuses(t *testing.T) {
	t.Parallel()
	for text, reason := range map[string]string{
		"":                            "not readable",
		"24x1.5":                      "not readable",
		"M":                           "not readable",
		"M1/2x1":                      "the diameter is not readable",
		"M24x":                        "the number after x is not readable",
		"M24xPh6":                     "a lead without its pitch",
		"M24xPh6P4":                   "not a whole number of pitches",
		"M24xPh2P6":                   "not a whole number of pitches",
		"M24P2":                       "a pitch without a lead",
		"M24x6-P2-P3":                 "the pitch is given twice",
		"M24x1.5-6G/6h":               "one thread has one class",
		"M24x1.5-7q":                  "is no class of a iso-metric thread",
		"M24x1.5-6g-6h":               "not readable after the class 6g",
		"M24x1.5-LH-LH":               "LH is given twice",
		"M21":                         "no coarse pitch is listed",
		"M0x1":                        "the diameter is not readable",
		"M24x999999999":               "no size that a lathe meets",
		"M24xPh250P2":                 "not a whole number of pitches from 1 to 24",
		"Tr 40":                       "the pitch is missing",
		"Tr 60x18(P9":                 "the bracket is not closed",
		"Tr 60x18(P4)LH":              "not a whole number of pitches",
		"S 48x8-7e":                   "no tolerance classes are held",
		"1/4-28 UNC":                  "UNC has 20 per inch at this size",
		"0.6-20 UNC":                  "UNC has no such size",
		"1/2-13 BSW":                  "BSW has 12 per inch at this size",
		"#10-24 UNF":                  "UNF has 32 per inch at this size",
		"#13-20 UNC":                  "# is for the screw numbers 0 to 12",
		"#1-64 BSW":                   "# is for the screw numbers",
		"0-70":                        "no screw of number 0",
		"10-40 UNS":                   "a screw number or an inch?",
		"1/4 UN":                      "threads per inch are missing",
		"1/4":                         "threads per inch are missing",
		"1-1/8":                       "threads per inch are missing",
		"1/2-1/3 ACME":                "less than one thread per inch",
		"1/4-20 UNC UNF":              "two series: UNC and UNF",
		"1/4-20 UNC-2C":               "is no class of a unified thread",
		"1-10 UN 0 START":             "starts are 1 to 24",
		"1-10 UN 25 START":            "starts are 1 to 24",
		"1-2-3-4 UNC":                 "not readable",
		"1e9-20 UNC":                  "not readable",
		strings.Repeat("M", 61):       "longer than 60 bytes",
		"M" + strings.Repeat("9", 50): "the diameter is not readable",
	} {
		_, err := ParseDesignation(text)
		var d *DomainError
		require.ErrorAs(t, err, &d, text)
		assert.Contains(t, d.Reason, reason, text)
		assert.Equal(t, "designation", d.Quantity)
		assert.Equal(t, text, d.Value)
	}
}

// TestDesignationInRequest: the designation stands for form, diameter, pitch
// and starts; class, hand and side follow it, and a field given both ways must
// agree.
func TestDesignationInRequest(t *testing.T) {
	t.Parallel()
	a, err := Solve(Request{Thread: Thread{Designation: "M24xPh6P2-6H-LH"}})
	require.NoError(t, err)
	two := Count(3)
	b, err := Solve(Request{Thread: Thread{Form: "iso-metric", Side: "internal", Hand: "left", Diameter: "24 mm", Lead: "6 mm", Starts: &two, Class: "6H"}})
	require.NoError(t, err)
	assert.Equal(t, b, a)
	assert.Equal(t, "M24xPh6P2-6H-LH", a.Designation)

	// Said twice alike is fine; hand may be added where the name is silent.
	_, err = Solve(Request{Thread: Thread{Designation: "M24xPh6P2", Form: "iso-metric", Hand: "left", Diameter: "24 mm", Pitch: "2 mm", Lead: "6 mm", Starts: &two}})
	require.NoError(t, err)

	one := Count(1)
	for path, thread := range map[string]Thread{
		"/thread/designation": {Designation: "M24xPh6P4"},
		"/thread/form":        {Designation: "M24x1.5", Form: "unified"},
		"/thread/side":        {Designation: "M24x1.5-6H", Side: "external"},
		"/thread/hand":        {Designation: "M24x1.5-LH", Hand: "right"},
		"/thread/class":       {Designation: "M24x1.5-6g", Class: "6h"},
		"/thread/diameter":    {Designation: "M24x1.5", Diameter: "25 mm"},
		"/thread/pitch":       {Designation: "M24x1.5", Pitch: "2 mm"},
		"/thread/lead":        {Designation: "M24xPh6P2", Lead: "4 mm"},
		"/thread/starts":      {Designation: "M24xPh6P2", Starts: &one},
	} {
		_, err := Solve(Request{Thread: thread})
		var d *DomainError
		require.ErrorAs(t, err, &d, path)
		assert.Equal(t, path, d.Quantity)
	}
}

// TestDesignationSystem: exact texts follow the unit that the name is written in.
func TestDesignationSystem(t *testing.T) {
	t.Parallel()
	for text, exact := range map[string]string{
		"Tr 40x14 P7": "7 mm", "Rd 40x1/6": "1/6 in", "Rd 40x5": "5 mm", "5/8-10 ACME": "1/10 in",
	} {
		a, err := Solve(Request{Thread: Thread{Designation: text}})
		require.NoError(t, err, text)
		l, ok := a.Pitch.Exact()
		require.True(t, ok)
		assert.Equal(t, exact, l.Exact(a.Pitch.system), text)
	}
}

// TestDesignationWritten: every form that has a notation writes it from fields.
func TestDesignationWritten(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		form, diameter, pitch string
		starts                Count
		want                  string
	}{
		{"sharp-v", "1 in", "8 tpi", 1, ""},
		{"square", "1 in", "8 tpi", 1, ""},
		{"american-national", "1 in", "12 tpi", 2, "1-12 NF 2 START"},
		{"american-national", "1/4 in", "20 tpi", 1, "1/4-20 NC"},
		{"american-national", "1 in", "11 tpi", 1, "1-11 NS"},
		{"iso-metric", "30 mm", "2 mm", 3, "M30xPh6P2"},
		{"iso-metric", "1/3 in", "2 mm", 1, ""}, // no decimal of a millimetre
		{"unified", "1 in", "10 tpi", 3, "1-10 UN 3 START"},
		{"unified", "1 in", "16 tpi", 1, "1-16 UN"},
		{"unified", "2 in", "56 tpi", 1, "2.0-56 UNS"},
		{"unified", "0.19 in", "32 tpi", 1, "10-32 UNF"},
		{"unified", "1 in", "3/10 in", 1, "1-10/3 UNS"},
		{"unified", "6 in", "3/2 in", 1, ""}, // less than one thread per inch has no writing
		{"whitworth", "1/2 in", "12 tpi", 1, "1/2-12 BSW"},
		{"whitworth", "1/2 in", "20 tpi", 1, "1/2-20 WHIT"},
		{"acme", "1 1/4 in", "5 tpi", 4, "1-1/4-5 ACME 4 START"},
		{"stub-acme", "1/2 in", "10 tpi", 1, "1/2-10 STUB ACME"},
		{"buttress-inch", "2 1/2 in", "8 tpi", 1, "2-1/2-8 BUTT"},
		{"buttress-metric", "48 mm", "8 mm", 1, "S 48x8"},
		{"trapezoidal", "24 mm", "5 mm", 2, "Tr 24x10(P5)"},
		{"knuckle", "40 mm", "6 tpi", 6, "Rd 40x1/1(P1/6)"},
	} {
		a, err := Solve(Request{Thread: Thread{Form: tt.form, Diameter: tt.diameter, Pitch: tt.pitch, Starts: &tt.starts}})
		require.NoError(t, err, tt)
		assert.Equal(t, tt.want, a.Designation)
		if tt.want != "" {
			d, err := ParseDesignation(tt.want)
			require.NoError(t, err, tt.want)
			p, _, err := ParsePitch(tt.pitch)
			require.NoError(t, err)
			assert.True(t, p.Equal(d.Pitch), tt.want)
			assert.Equal(t, int(tt.starts), d.Starts, tt.want)
			assert.Equal(t, tt.form, d.Form, tt.want)
		}
	}
}

// holdsRoundTrip checks that what is written reads back as the same thread.
func holdsRoundTrip(t require.TestingT, d Designation) {
	text := d.String()
	require.NotEmpty(t, text)
	if len(text) > maxDesignation {
		return // longer than it was read: decimals of a number that filled the limit
	}
	back, err := ParseDesignation(text)
	require.NoError(t, err, text)
	require.True(t, d.Diameter.Equal(back.Diameter) && d.Pitch.Equal(back.Pitch), text)
	require.Equal(t, text, back.String())
	d.Diameter, d.Pitch, back.Diameter, back.Pitch = Length{}, Length{}, Length{}, Length{}
	require.Equal(t, d, back, text)
}

func TestDesignationRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := Designation{
			Starts: rapid.IntRange(1, maxStarts).Draw(t, "starts"), Left: rapid.Bool().Draw(t, "left"),
		}
		if rapid.Bool().Draw(t, "metric") {
			d.Form = rapid.SampledFrom(metricForms).Draw(t, "form").form
			d.Diameter = Millimetres(frac(int64(rapid.IntRange(1, 30_000).Draw(t, "diameter")), 100))
			d.Pitch = Millimetres(frac(int64(rapid.IntRange(1, 4_000).Draw(t, "pitch")), 100))
			if d.Form == "knuckle" && rapid.Bool().Draw(t, "inch pitch") {
				d.Pitch = Inches(frac(1, int64(rapid.IntRange(1, 40).Draw(t, "per inch"))))
			}
		} else {
			s := rapid.SampledFrom(inchSeries).Draw(t, "series")
			d.Series, d.Form = s.name, s.form
			d.Diameter = Inches(frac(int64(rapid.IntRange(1, 1280).Draw(t, "diameter")), int64(rapid.SampledFrom([]int{64, 100, 7, 1}).Draw(t, "parts"))))
			d.Pitch = Inches(frac(int64(rapid.IntRange(1, 3).Draw(t, "n")), int64(rapid.IntRange(3, 80).Draw(t, "d"))))
			if s.listed != "" {
				size := rapid.SampledFrom(sizesOf(s.listed)).Draw(t, "size")
				d.Diameter, d.Pitch = size.Diameter, size.Pitch
			}
		}
		holdsRoundTrip(t, d)
	})
}

// TestPublishedSeriesRoundTrip: every size of every series is written and read
// back, under its series' name.
func TestPublishedSeriesRoundTrip(t *testing.T) {
	t.Parallel()
	for _, s := range AllSeries() {
		for _, size := range s.Sizes {
			d := Designation{Form: s.Form, Diameter: size.Diameter, Pitch: size.Pitch, Starts: 1}
			if formOfSeries(s.Name) != "" {
				d.Series = s.Name
			}
			holdsRoundTrip(t, d)
			if d.Series != "" {
				assert.Equal(t, s.Name, seriesOf(d), d.String())
			}
			if size.Screw != "" {
				assert.True(t, strings.HasPrefix(d.String(), size.Screw+"-"), d.String())
			}
		}
	}
}

func FuzzParseDesignation(f *testing.F) {
	for _, s := range []string{
		"M24xPh6P2-6g-LH", "M24x6-P2", "Tr 60x18(P9)LH", "5/8-10 ACME-2G", "1-1/8-5 ACME", "#10-30 UNS", "1-64", "1-10 UN 3 START",
		"Rd 40x1/3 P1/6", "S 48x8", "1/2 BSW", "2-4 1/2 UNC", "2.0-56", "M1e9", "×", "1/0-3",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := ParseDesignation(text)
		if err != nil {
			return
		}
		holdsRoundTrip(t, d)
	})
}

func BenchmarkParseDesignation(b *testing.B) {
	for b.Loop() {
		if _, err := ParseDesignation("Tr 60x18(P9)LH-7e"); err != nil {
			b.Fatal(err)
		}
	}
}
