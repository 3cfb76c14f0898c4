package grade

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
)

// The sources of the published numbers below.
const (
	jones      = "F. D. Jones, Turning and Boring, 1914 (printing 1919), ch. IV"
	tm1420     = "US War Department TM 1-420, Lathes, 29 Nov 1940, p. 81"
	metalwork  = "Applied Science for Metal Workers, Parts of a Screw Thread"
	iso2904    = "ISO 2904 designation, as quoted in a public table of Tr threads"
	aerospace  = "Bauelemente der Luftfahrzeuge, lecture notes on screw joints, 2025"
	khurmi     = "Khurmi & Gupta, A Textbook of Machine Design, ch. 17"
	college    = "Thread Calculations, college machining handout, worked example 3/4-10"
	reference  = "workshop threading reference, Depth @ 29 deg for US Standard threads"
	rose       = "J. Rose, Modern Machine-Shop Practice, 1887-88"
	knight     = "C. Knight, The Mechanician, Selection of Simple-Gear Wheels"
	tradebooks = "change-gear examples of 19th-century trade books; exact arithmetic"
	nist811    = "NIST SP 811 (2008), B.7"
	nist1137   = "NIST LC 1137, Metric Style Guide"
)

// TestPublishedNumbers takes worked numbers of published sources through the
// whole path: givens, exercise and answer text as JSON lines, verdict. A row's
// formula is this package's ground, its answer the source's; half is the
// tolerance of the source's last printed digit, 0 where it is exact. Numbers
// that a wrong rule of the skill gives are refused on the same exercise.
func TestPublishedNumbers(t *testing.T) {
	t.Parallel()
	type values = map[string]string
	for i, c := range []struct {
		source, id string
		givens     values
		kind, unit string
		rule       string
		half       float64
		right      []string
		wrong      []string
	}{
		{jones, "D0001", values{"L": "1/2 in"}, curriculum.KindRatio, "per inch", "1/L", 0, []string{"2", "2 threads/in", "2 per inch"}, []string{"4", "1/2"}},
		{jones, "D0002", values{"L": "1/2 in", "n": "2"}, curriculum.KindLength, "in", "L/n", 0, []string{"1/4 in", ".25", `¼"`, "6.35 mm", "250 thou"}, []string{"1/2", "1"}},
		{tm1420, "D0003", values{"T": "4 tpi", "n": "2"}, curriculum.KindLength, "in", "1/(T*n)", 0, []string{"1/8 in", "0.125", "⅛", "0,125"}, []string{"1/4", "8"}},
		{tm1420, "D0004", values{"P": "1/8 in", "n": "2"}, curriculum.KindLength, "in", "n*P", 0, []string{"0.25 in", "¼"}, []string{"1/8", "1/16", "2 1/8"}},
		{metalwork, "D0005", values{"n": "3"}, curriculum.KindRatio, "", "n", 0, []string{"3", "3:1", "3 to 1", "three"}, []string{"1/3", "1:3"}},
		{iso2904, "D0006", values{"L": "18 mm", "P": "9 mm"}, curriculum.KindCount, "starts", "L/P", 0.001, []string{"2", "two starts", "2-start"}, []string{"9", "1/2"}},
		{aerospace, "D0007", values{"L": "10 mm", "P": "5 mm"}, curriculum.KindCount, "starts", "L/P", 0.001, []string{"2 starts"}, []string{"5"}},
		{khurmi, "D0009", values{"n": "2", "P": "20 mm"}, curriculum.KindLength, "mm", "n*P", 0, []string{"40 mm", "4 cm", "40"}, []string{"20", "10", "22"}},
		{khurmi, "D0010", values{"n": "2", "P": "5 mm"}, curriculum.KindLength, "mm", "n*P", 0, []string{"10 mm"}, []string{"5", "2.5", "7"}},
		{khurmi, "D0011", values{"n": "2", "P": "6 mm"}, curriculum.KindLength, "mm", "n*P", 0, []string{"12 mm", "12,0"}, []string{"6", "3", "8"}},
		{jones, "D0012", values{"n": "2"}, curriculum.KindAngle, "°", "360/n", 0.5, []string{"180", "180°"}, []string{"360", "90"}},
		{jones, "D0013", values{"n": "4"}, curriculum.KindAngle, "°", "360/n", 0.5, []string{"90°", "90°0'0\"", "¼ turn", "90 degrees"}, []string{"120", "45"}},
		{jones, "D0014", values{"Z": "96", "n": "3"}, curriculum.KindCount, "teeth", "Z/n", 0.001, []string{"32", "32 teeth"}, []string{"48", "33"}},
		{jones, "D0015", values{"Z": "96", "n": "4"}, curriculum.KindCount, "teeth", "Z/n", 0.001, []string{"24"}, []string{"32", "4"}},
		{jones, "D0017", values{"L": "1 in", "n": "2"}, curriculum.KindLength, "in", "L/n", 0.0005, []string{`1/2"`, "0.5"}, []string{"1", "2"}},
		{jones, "D0018", values{"L": "1 in", "n": "2", "l": "5 in"}, curriculum.KindLength, "in", "L/n + ceil((l - L/n)/L)*L", 0.0005, []string{"5-1/2 in", "5 ½", "5.5"}, []string{"5", "6"}},
		{jones, "D0020", values{"N": "1 1/2", "n": "4"}, curriculum.KindLength, "in", "1/N/n + 2/N", 0.002, []string{"1-1/2", "1.499"}, []string{"1.333", "0.167"}},
		{jones, "D0022", values{"T": "24", "p": "1/6 in"}, curriculum.KindLength, "in", "T*p", 0, []string{"4", "4 in", "101.6 mm"}, []string{"144", "6"}},
		{jones, "D0023", values{"T": "24", "p": "1/6 in", "M": "8"}, curriculum.KindLength, "in", "T*p/M", 0, []string{"½ in"}, []string{"4", "3"}},
		{jones, "D0026", values{"L": "2/23 in", "p": "1/6 in"}, curriculum.KindLength, "in", "lcm(L, p)", 0, []string{"2 in"}, []string{"1", "1/2"}},
		{jones, "D0038", values{"N": "9 tpi", "C": "6 tpi"}, curriculum.KindRatio, "", "C/N", 0, []string{"24/36", "24:36", "2/3"}, []string{"36/24", "3/2"}},
		{jones, "D0039", values{"N": "24 tpi", "C": "6 tpi"}, curriculum.KindRatio, "", "C/N", 0, []string{"(40x30)/(80x60)", "40/80 x 30/60"}, []string{"4"}},
		{jones, "D0040", values{"N": "1 3/4", "C": "8 tpi"}, curriculum.KindRatio, "", "C/N", 0, []string{"(72x64)/(36x28)", "72/36 × 64/28", "32/7"}, []string{"7/32", "14"}},
		{jones, "D0041", values{"L": "3 mm", "C": "6 tpi"}, curriculum.KindRatio, "", "L*C*5/127", 0, []string{"90/127", "90:127"}, []string{"18/25", "127/90"}},
		{rose, "D0045", values{"C": "4 tpi"}, curriculum.KindRatio, "per inch", "C*66/48*36/18", 0, []string{"11", "11 threads per inch"}, []string{"4", "16/11"}},
		{rose, "D0046", values{"a": "66", "b": "48"}, curriculum.KindRatio, "", "a/b", 0, []string{"66/48", "1.375", "11/8"}, []string{"8/11"}},
		{rose, "D0047", values{"N": "18 tpi", "C": "6 tpi", "Z": "18"}, curriculum.KindCount, "teeth", "Z*N/C", 0.001, []string{"54 teeth"}, []string{"6"}},
		{rose, "D0050", values{"N": "13 tpi", "C": "6 tpi", "Z": "18"}, curriculum.KindCount, "teeth", "Z*N/C", 0.001, []string{"39"}, []string{"8"}},
		{rose, "D0051", values{"N": "17 tpi", "C": "5 tpi", "Z": "15"}, curriculum.KindCount, "teeth", "Z*N/C", 0.001, []string{"51"}, []string{"17"}},
		{rose, "D0053", values{"N": "17 tpi", "C": "3 tpi", "Z": "12"}, curriculum.KindCount, "teeth", "Z*N/C", 0.001, []string{"68"}, []string{"2"}},
		{knight, "D0055", values{"N": "1 1/2 tpi", "C": "2 tpi", "Z": "40"}, curriculum.KindCount, "teeth", "Z*N/C", 0.001, []string{"30"}, []string{"53"}},
		{knight, "D0056", values{"N": "2.3 tpi", "C": "1.8 tpi", "Z": "20"}, curriculum.KindRatio, "teeth", "Z*N/C", 0.0002, []string{"25.5556", "25 5/9", "25 5555/10000"}, []string{"26", "15.652"}},
		{tradebooks, "5 from 2", values{"N": "5 tpi", "C": "2 tpi"}, curriculum.KindRatio, "", "N/C", 0, []string{"2.5", "100/40", "2 1/2"}, []string{"40/100"}},
		{tradebooks, "25 from 4", values{"N": "25 tpi", "C": "4 tpi"}, curriculum.KindRatio, "", "C/N", 0, []string{"40/50 x 20/100"}, []string{"40/50", "25/4"}},
		{tradebooks, "22 from 2", values{"N": "22 tpi", "C": "2 tpi"}, curriculum.KindRatio, "", "C/N", 0, []string{"20/55 x 25/100", "1/11"}, []string{"11"}},
		{tradebooks, "19 from 4", values{"N": "19 tpi", "C": "4 tpi"}, curriculum.KindRatio, "", "C/N", 0, []string{"40/95 x 50/100", "20/95"}, []string{"19/4"}},
		{aerospace, "D0097", values{"L": "1.25 mm", "d": "7.188 mm"}, curriculum.KindAngle, "°", "atan(L/(pi*d))", 0.006, []string{"3.17°", "3°10'"}, []string{"9.87", "2.85"}},
		{aerospace, "D0101", values{"N": "24 tpi"}, curriculum.KindLength, "mm", "25.4/N", 0.001, []string{"1.058 mm", "0.04167 in", "1,0583"}, []string{"0.945", "0.0417"}},
		{college, "D0068", values{"P": "0.1 in", "A": "30"}, curriculum.KindLength, "in", "0.649519*P/cos(A)", 0.0001, []string{"0.075", "75 thou", "1.905 mm"}, []string{"0.0562", "0.1299", "0.065"}},
		{college, "D0083", values{"d": "3/4 in", "N": "10 tpi"}, curriculum.KindLength, "in", "d - 0.649519/N", 0.0001, []string{"0.685", "0.6850 in"}, []string{"0.75", "0.6201"}},
		{college, "D0085", values{"N": "10 tpi"}, curriculum.KindLength, "in", "0.57735/N", 0.0001, []string{"0.0577", "57.7 thou"}, []string{"0.05", "0.1"}},
		{reference, "D0069", values{"N": "4 tpi", "A": "29"}, curriculum.KindLength, "in", "0.6495/N/cos(A)", 0.0002, []string{"0.1856", "185.6 thou"}, []string{"0.142", "0.335"}},
		{reference, "D0072", values{"N": "9 tpi", "A": "29"}, curriculum.KindLength, "in", "0.6495/N/cos(A)", 0.0002, []string{"0.0825"}, []string{"0.0631", "0.1489"}},
		{reference, "D0074", values{"N": "12 tpi", "A": "29"}, curriculum.KindLength, "in", "0.6495/N/cos(A)", 0.0002, []string{"0.062"}, []string{"0.0473", "0.1116"}},
		{reference, "D0080", values{"N": "40 tpi", "A": "29"}, curriculum.KindLength, "in", "0.6495/N/cos(A)", 0.0002, []string{"0.0186"}, []string{"0.0142", "0.0335"}},
		{jones, "D0400", values{"N": "10 tpi"}, curriculum.KindLength, "in", "1/N/2 + 0.010", 0.0005, []string{"0.060", "60 thou"}, []string{"0.05", "0.11"}},
		// A closed band takes a tie either way, so rounding to even and away from zero
		// are both right.
		{nist811, "B.7.1, 3 digits", values{"x": "6.9749515"}, curriculum.KindLength, "mm", "x", 0.005, []string{"6.97"}, []string{"6.96", "6.98"}},
		{nist811, "B.7.1, 2 digits", values{"x": "6.9749515"}, curriculum.KindLength, "mm", "x", 0.05, []string{"7.0"}, []string{"6.9"}},
		{nist811, "B.7.1, 5 digits", values{"x": "6.9749515"}, curriculum.KindLength, "mm", "x", 0.00005, []string{"6.9750", "6.974 950"}, []string{"6.9749"}},
		{nist811, "B.7.1, 7 digits", values{"x": "6.9749515"}, curriculum.KindLength, "mm", "x", 0.0000005, []string{"6.974 952"}, []string{"6.974 950"}},
		{nist811, "B.7.1, 7 digits, even", values{"x": "6.9749505"}, curriculum.KindLength, "mm", "x", 0.0000005, []string{"6.974 950"}, []string{"6.974 949"}},
		{nist811, "B.7.2, 36 ft to 0.1 m", values{"x": "36"}, curriculum.KindLength, "mm", "304.8*x", 50, []string{"11.0 m", "36 ft", "10.9728 m"}, []string{"10.9 m", "11.1 m"}},
		{nist1137, "36 in to 1 cm", values{"x": "36"}, curriculum.KindLength, "mm", "25.4*x", 5, []string{"91 cm"}, []string{"92 cm", "90 cm"}},
		{nist1137, "40.1 in to 0.1 cm", values{"x": "40.1"}, curriculum.KindLength, "mm", "25.4*x", 0.5, []string{"101.9 cm", "1019 mm"}, []string{"101.8 cm", "102 cm"}},
	} {
		t.Run(c.source+" "+c.id, func(t *testing.T) {
			t.Parallel()
			ex := exercise(t, "published", c.givens, []curriculum.Part{{ID: "x", Kind: c.kind, Unit: c.unit, Decimals: 15, Marks: 1, Steps: []curriculum.Step{{Name: "x", Rule: c.rule}}}}, nil)
			ex.ID = fmt.Sprint("published-", i)
			center := ex.Parts[0].Accept.Low + (ex.Parts[0].Accept.High-ex.Parts[0].Accept.Low)/2
			ex.Parts[0].Accept = &curriculum.Band{Low: center - c.half, High: center + c.half}
			for _, text := range c.right {
				assert.Equal(t, curriculum.Right, throughFiles(t, ex, text).Outcome, text)
			}
			for _, text := range c.wrong {
				v := throughFiles(t, ex, text)
				assert.True(t, v.Outcome.Judged() && v.Outcome != curriculum.Right, "%s: %s", text, v.Outcome)
			}
		})
	}
}

// throughFiles marks one answer as the command line does.
func throughFiles(t *testing.T, ex curriculum.Exercise, text string) curriculum.Verdict {
	t.Helper()
	var out strings.Builder
	answers := jsonLines(t, Answers{ID: ex.ID, Answers: map[string]string{ex.Parts[0].ID: text}})
	require.NoError(t, Run(strings.NewReader(jsonLines(t, ex)), strings.NewReader(answers), &out))
	var m Marked
	require.NoError(t, json.Unmarshal([]byte(out.String()), &m))
	return m.Verdict
}

// Jones and the college handout: 11 1/2 threads per inch on a leadscrew of 6
// may be caught on lines 1 and 3 (D0025, D0037).
func TestPublishedLines(t *testing.T) {
	t.Parallel()
	ex := exercise(t, "thread-dial", nil, []curriculum.Part{{ID: "lines", Kind: curriculum.KindList, Answer: &curriculum.Value{List: []int{1, 3}}}}, nil)
	for _, text := range []string{"1 and 3", "#1 or #3", "1,3", "lines 3 and 1"} {
		assert.Equal(t, curriculum.Right, throughFiles(t, ex, text).Outcome, text)
	}
	for _, text := range []string{"1", "1 2 3 4", "2 and 4", "none"} {
		assert.Equal(t, curriculum.Unknown, throughFiles(t, ex, text).Outcome, text)
	}
}

// The classroom's double thread of 12 per inch (common practice, no source): a
// depth of about 0.054 in; the second start half the lead away, exactly
// 1/12 in, which a shop reads as 0.083 or 0.084 in. Asked to a thousandth, 0.083
// is right and 0.084 is rounded the wrong way.
func TestClassroomDoubleThread(t *testing.T) {
	t.Parallel()
	ex := exercise(t, "axial-offset", map[string]string{"N": "12 tpi", "n": "2"}, []curriculum.Part{
		{ID: "h", Kind: curriculum.KindLength, Unit: "in", Decimals: 3, Skill: "depth-60", Steps: []curriculum.Step{{Name: "depth", Rule: "0.6495/N"}}},
		{ID: "s", Kind: curriculum.KindLength, Unit: "in", Decimals: 3, Steps: []curriculum.Step{{Name: "offset", Rule: "1/N"}}},
	}, nil)
	v := Mark(ex, map[string]string{"h": "0.054", "s": "0.083"}, Test)
	assert.Equal(t, curriculum.Right, v[0].Outcome)
	assert.Equal(t, curriculum.Right, v[1].Outcome)
	assert.Equal(t, curriculum.Rounding, Mark(ex, map[string]string{"s": "0.084"}, Practice)[1].Outcome)
}
