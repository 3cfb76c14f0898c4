package threadmath_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/threadmath"
)

// answerKeys are the keys of the solve contract's answer with what stands under
// them. A list is written with a star for any of its entries; every length is
// also an object of in, mm and exact, which TestLengthsAreWhole checks.
var answerKeys = []string{
	"pitch", "lead", "turns_per_inch",
	"depth", "depth_rule", "pitch_diameter", "minor_diameter",
	"lead_angle_deg/major", "lead_angle_deg/pitch", "lead_angle_deg/minor",
	"starts/*/start", "starts/*/offset", "starts/*/angle_deg",
	"pick_up/rule", "pick_up/dials/*/lines", "pick_up/dials/*/starts/*/start", "pick_up/dials/*/starts/*/lines",
	"half_nut/paths", "half_nut/close_anywhere", "half_nut/all_starts", "half_nut/reaches/*/start", "half_nut/reaches/*/leadscrew_threads",
	"thread_dials/*/teeth", "thread_dials/*/graduations", "thread_dials/*/lines/*/line", "thread_dials/*/lines/*/catches",
	"thread_dials/*/lines/*/start", "thread_dials/*/lines/*/starts",
	"carriage_shift/usable", "carriage_shift/shifts/*/start", "carriage_shift/shifts/*/distance", "carriage_shift/shifts/*/clears",
	"compound_slide/fits_travel", "compound_slide/reserve", "compound_slide/moves/*/move", "compound_slide/moves/*/start",
	"compound_slide/moves/*/distance", "compound_slide/moves/*/turns", "compound_slide/moves/*/divisions",
	"compound_slide/moves/*/reading", "compound_slide/moves/*/error",
	"angled_slide/slide_per_pitch", "angled_slide/cross_slide_withdrawal", "angled_slide/fits_travel",
	"holders/*/kind", "holders/*/stations", "holders/*/error_deg", "holders/*/usable", "holders/*/stations_of_starts",
	"holders/*/spacing_error", "holders/*/pitch_diameter_cost",
	"stud_gear/usable", "stud_gear/teeth_per_start", "stud_gear/starts_in_order", "stud_gear/spindle_turns",
	"leadscrew_gear/usable", "leadscrew_gear/teeth_per_start", "leadscrew_gear/starts_in_order",
	"gear_trains/*/drivers", "gear_trains/*/driven", "gear_trains/*/lead", "gear_trains/*/error_ppm",
	"gearbox/setting", "gearbox/usable",
	"infeed/*/fed_by", "infeed/*/infeed_angle_deg", "infeed/*/methods", "infeed/*/slide_travel", "infeed/*/spring_passes",
	"infeed/*/passes/*/pass", "infeed/*/passes/*/depth", "infeed/*/passes/*/slide", "infeed/*/passes/*/step",
	"infeed/*/passes/*/collar/turns", "infeed/*/passes/*/collar/divisions", "infeed/*/passes/*/collar/reading",
	"tool/leading_grind_deg", "tool/trailing_grind_deg",
	"run_out/carriage_mm_per_s", "run_out/usable_width", "run_out/overrun", "run_out/greatest_rpm", "run_out/next_lower_rpm", "run_out/why",
	"wires/best", "wires/used", "wires/over", "wires/lead_term", "wires/over_max", "wires/over_min", "wires/pitch_diameter_of",
	"limits/class", "limits/source",
	"limits/major_diameter/max", "limits/major_diameter/min", "limits/pitch_diameter/max", "limits/pitch_diameter/min",
	"limits/minor_diameter/max", "limits/minor_diameter/min",
	"job_time/minutes", "job_time/set_up", "job_time/cutting", "job_time/handling", "job_time/indexing", "job_time/measuring",
	"use/efficiency", "use/torque_raise", "use/torque_lower", "use/self_locking",
	"methods/*/method", "methods/*/usable", "methods/*/why", "methods/*/spacing_error", "methods/*/pitch_diameter_cost",
	"cautions/*/id", "cautions/*/text",
}

// furtherJobs reach what the demo jobs have no occasion for.
var furtherJobs = []string{
	// A dial whose lines vary: its full turn is 160 mm, 13 leads and a start.
	`{"thread": {"pitch": "4 mm", "starts": 3}, "lathe": {"leadscrew": "8 mm", "thread_dials": [{"teeth": 20, "graduations": 4}]}}`,
	// A reading over wires.
	`{"thread": {"designation": "M24xPh6P2-6g"}, "cut": {"over_wires": "23.5 mm"}}`,
	// An internal class, whose minor diameter has both limits.
	`{"thread": {"designation": "M24xPh6P2-6H"}}`,
}

// document is an answer as JSON.
func document(t *testing.T, request []byte) map[string]any {
	t.Helper()
	q, err := threadmath.ParseRequest(request)
	require.NoError(t, err)
	a, err := threadmath.Solve(q)
	require.NoError(t, err)
	data, err := json.Marshal(a)
	require.NoError(t, err)
	var out map[string]any
	require.NoError(t, json.Unmarshal(data, &out))
	return out
}

// demoAnswers solves the jobs of the demo workshop.
func demoAnswers(t *testing.T) []map[string]any {
	t.Helper()
	files, err := filepath.Glob("../testdata/workshop/jobs/*.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var out []map[string]any
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		out = append(out, document(t, data))
	}
	return out
}

// holds reports whether something other than null stands at the path.
func holds(v any, path []string) bool {
	if len(path) == 0 {
		return v != nil
	}
	switch node := v.(type) {
	case map[string]any:
		return holds(node[path[0]], path[1:])
	case []any:
		return path[0] == "*" && slices.ContainsFunc(node, func(e any) bool { return holds(e, path[1:]) })
	}
	return false
}

// TestContractAnswer walks the contract's answer: every key stands in some
// answer, and every top-level one in that of a demo job.
func TestContractAnswer(t *testing.T) {
	t.Parallel()
	demo := demoAnswers(t)
	all := demo
	for _, job := range furtherJobs {
		all = append(all, document(t, []byte(job)))
	}
	for _, key := range answerKeys {
		path := strings.Split(key, "/")
		in := func(a map[string]any) bool { return holds(a, path) }
		assert.True(t, slices.ContainsFunc(all, in), "no answer holds %s", key)
		top := path[0]
		assert.True(t, slices.ContainsFunc(demo, func(a map[string]any) bool { return a[top] != nil }), "no demo job's answer holds %s", top)
	}
	assert.False(t, holds(demo[0], []string{"starts", "*", "no_such_key"}), "the walk must be able to fail")
}

// TestLengthsAreWhole: whatever looks like a length in an answer has both
// units, and its exact text, where it stands, is that length.
func TestLengthsAreWhole(t *testing.T) {
	t.Parallel()
	found := 0
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch node := v.(type) {
		case map[string]any:
			mm, isLength := node["mm"].(float64)
			if !isLength {
				for k, e := range node {
					walk(path+"/"+k, e)
				}
				return
			}
			found++
			in, ok := node["in"].(float64)
			assert.True(t, ok, path)
			assert.InDelta(t, mm, in*25.4, 1e-7*max(1, mm), path)
			if exact, ok := node["exact"].(string); ok {
				l, _, err := threadmath.ParseLength(exact)
				require.NoError(t, err, path)
				assert.InDelta(t, l.MM(), mm, 1e-8*max(1, mm), path)
			}
		case []any:
			for _, e := range node {
				walk(path, e)
			}
		}
	}
	for _, a := range demoAnswers(t) {
		walk("", a)
		for _, key := range []string{"pitch", "lead"} {
			assert.True(t, holds(a, []string{key, "exact"}), key)
		}
	}
	assert.Greater(t, found, 100)
}

// contractRequest is the contract's own request.
const contractRequest = `{
  "thread": {"form": "iso-metric", "side": "external", "hand": "right", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm", "class": "6g"},
  "lathe": {
    "leadscrew": "6 mm", "leadscrew_starts": 1, "half_nut": true,
    "thread_dials": [{"teeth": 20, "graduations": 4}],
    "compound_slide": {"graduation": "0.02 mm", "per_turn": "2 mm", "travel": "70 mm", "reads": "radius"},
    "cross_slide": {"graduation": "0.02 mm", "per_turn": "4 mm", "reads": "diameter"},
    "holders": [{"kind": "chuck-jaws", "stations": 3}, {"kind": "faceplate-slots", "stations": 6, "error_deg": 0.5}],
    "stud_gear": {"teeth": 45, "turns_per_spindle_turn": "1"}, "leadscrew_gear": {"teeth": 60},
    "change_gears": [20, 30, 40, 45, 50, 60, 80, 100, 127], "gearbox": ["3 mm", "4 mm", "6 mm"], "spindle_speeds": [40, 70, 120, 210]
  },
  "cut": {"infeed_angle_deg": 29.5, "first_cut": "0.25 mm", "least_cut": "0.03 mm", "spring_passes": 2, "tool_flat": "0.25 mm", "relief_deg": 8, "spindle_rpm": 70,
          "groove": "8 mm", "tool_width": "3 mm", "reaction_s": 0.7, "coast_turns": 1.5, "wire": "1.155 mm", "material": "brass"}
}`

// TestContractRequest: the contract's request answers every part that it makes
// known, with the figures that the contract states for it.
func TestContractRequest(t *testing.T) {
	t.Parallel()
	a := document(t, []byte(contractRequest))
	for _, key := range answerKeys {
		if top, _, _ := strings.Cut(key, "/"); top != "use" { // which needs load and friction
			assert.NotNil(t, a[top], top)
		}
	}
	assert.Equal(t, map[string]any{"in": 0.236220472, "mm": 6.0, "exact": "6 mm"}, a["lead"])
	assert.Equal(t, "127/30", a["turns_per_inch"])
	assert.Equal(t, "M30xPh6P2-6g", a["designation"])
}
