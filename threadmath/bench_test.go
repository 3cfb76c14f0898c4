package threadmath

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

// fullJob is a job that makes every part of the answer known but gear trains.
const fullJob = `{
	"thread": {"form": "iso-metric", "side": "external", "hand": "right", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm", "class": "6g"},
	"lathe": {"leadscrew": "6 mm", "thread_dials": [{"teeth": 20, "graduations": 4}],
		"compound_slide": {"graduation": "0.02 mm", "per_turn": "2 mm", "travel": "70 mm", "reads": "radius"},
		"cross_slide": {"graduation": "0.02 mm", "per_turn": "4 mm", "reads": "diameter"},
		"holders": [{"kind": "chuck-jaws", "stations": 3}, {"kind": "faceplate-slots", "stations": 6, "error_deg": 0.5}],
		"stud_gear": {"teeth": 45, "turns_per_spindle_turn": "1"}, "leadscrew_gear": {"teeth": 60},
		"gearbox": ["3 mm", "4 mm", "6 mm"], "spindle_speeds": [40, 70, 120, 210]},
	"cut": {"infeed_angle_deg": 29.5, "first_cut": "0.25 mm", "least_cut": "0.03 mm", "spring_passes": 2, "tool_flat": "0.25 mm", "relief_deg": 8, "spindle_rpm": 70,
		"groove": "8 mm", "tool_width": "3 mm", "reaction_s": 0.7, "coast_turns": 1.5, "wire": "1.155 mm", "material": "brass"}
}`

func fullRequest(t testing.TB) Request {
	t.Helper()
	q, err := ParseRequest([]byte(fullJob))
	require.NoError(t, err)
	return q
}

// BenchmarkSolve is a full solve without gear trains: under 200 µs, and no more
// than eight times BenchmarkEncode.
func BenchmarkSolve(b *testing.B) {
	q := fullRequest(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(q); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkEncode writes the same answer as JSON.
func BenchmarkEncode(b *testing.B) {
	a, err := Solve(fullRequest(b))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := json.Marshal(a); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkIndex is the indexing part alone.
func BenchmarkIndex(b *testing.B) {
	j, err := newJob(fullRequest(b))
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		var a Answer
		j.index(&a)
	}
}
