package threadmath_test

import (
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
)

// gnuUnits asks GNU units (Debian package units) for the value of each
// expression in a unit. Without the program the test is skipped, in CI it fails.
func gnuUnits(t *testing.T, unit string, expressions []string) []float64 {
	t.Helper()
	program, err := exec.LookPath("units")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("GNU units is not installed; CI must have it")
		}
		t.Skip("GNU units is not installed")
	}
	out := make([]float64, len(expressions))
	for i, e := range expressions {
		text, err := exec.Command(program, "-o", "%.17g", "-t", e, unit).CombinedOutput()
		require.NoError(t, err, "%s: %s", e, text)
		out[i], err = strconv.ParseFloat(strings.TrimSpace(string(text)), 64)
		require.NoError(t, err, "%s: %s", e, text)
	}
	return out
}

// TestLengthsAgainstUnits compares what ParsePitch reads with GNU units, which
// has its own tables and parser.
func TestLengthsAgainstUnits(t *testing.T) {
	t.Parallel()
	tests := []struct{ ours, theirs string }{
		{"2 mm", "2 mm"},
		{"1.5 cm", "1.5 cm"},
		{"0.25 m", "0.25 m"},
		{"38 µm", "38 micrometer"},
		{"5/64 in", "5|64 inch"},
		{"1 3/64 in", "(1+3|64) inch"},
		{"47 thou", "47 thou"},
		{".0625 in", "0.0625 inch"},
		{"10 tpi", "1/(10/inch)"},
		{"11.5 tpi", "1/(11.5/inch)"},
		{"4 1/2 tpi", "1/((4+1|2)/inch)"},
		{"127 tpi", "1/(127/inch)"},
	}
	expressions := make([]string, len(tests))
	for i, tt := range tests {
		expressions[i] = tt.theirs
	}
	for i, want := range gnuUnits(t, "mm", expressions) {
		l, _, err := threadmath.ParsePitch(tests[i].ours)
		require.NoError(t, err)
		assert.InEpsilon(t, want, l.MM(), 1e-15, tests[i].ours)
		assert.InEpsilon(t, want/25.4, l.In(threadmath.Inch).Float64(), 1e-15, tests[i].ours)
	}
}

// TestAnglesAgainstUnits compares lead angles and 60° depths with GNU units'
// arithmetic, in mm and inches mixed.
func TestAnglesAgainstUnits(t *testing.T) {
	t.Parallel()
	type job struct {
		diameter, pitch string
		starts          threadmath.Count
	}
	jobs := []job{{"30 mm", "2 mm", 3}, {"1 in", "1/8 in", 2}, {"24 mm", "1/8 in", 4}, {"3/4 in", "1.5 mm", 1}, {"60 mm", "9 mm", 6}}
	term := func(s string) string { // "1/8 in" as units reads it
		n, unit, _ := strings.Cut(s, " ")
		return "(" + strings.ReplaceAll(n, "/", "|") + " " + strings.ReplaceAll(unit, "in", "inch") + ")"
	}
	var angles, depths []string
	for _, j := range jobs {
		d, p := term(j.diameter), term(j.pitch)
		angles = append(angles, fmt.Sprintf("atan(%d * %s / (pi * (%s - 3|4 * sqrt(3) * 0.5 * %s)))", j.starts, p, d, p))
		depths = append(depths, fmt.Sprintf("17|24 * sqrt(3) * 0.5 * %s", p))
	}
	wantAngle, wantDepth := gnuUnits(t, "degree", angles), gnuUnits(t, "inch", depths)
	for i, j := range jobs {
		a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{
			Form: "iso-metric", Diameter: j.diameter, Pitch: j.pitch, Starts: &j.starts,
		}})
		require.NoError(t, err)
		assert.InEpsilon(t, wantAngle[i], a.LeadAngleDeg.Pitch, 1e-12, "%+v", j)
		assert.InEpsilon(t, wantDepth[i], a.Depth.Value(threadmath.Inch), 1e-12, "%+v", j)
	}
}
