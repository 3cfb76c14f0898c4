package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// halfnut runs the command as main does.
func halfnut(t *testing.T, in string, args ...string) (out, errs string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(t.Context(), args, console{strings.NewReader(in), &o, &e})
	return o.String(), e.String(), code
}

const jobs = "../../testdata/workshop/jobs/"

func TestSolve(t *testing.T) {
	t.Parallel()
	out, errs, code := halfnut(t, "", "solve", jobs+"two-start-twelve-per-inch.json")
	require.Equal(t, exitOK, code, errs)
	var a threadmath.Answer
	require.NoError(t, json.Unmarshal([]byte(out), &a))
	// Common practice, no source: 12 grooves per inch with two starts are geared
	// for 6 turns per inch, about 0.054 in deep; the second start lies half the
	// lead away, exactly 1/12 in.
	assert.Equal(t, "6", a.TurnsPerInch.String())
	assert.InDelta(t, 0.054, a.Depth.Value(threadmath.Inch), 0.0005)
	exact, ok := a.Starts[1].Offset.Exact()
	require.True(t, ok)
	assert.Equal(t, "1/12 in", exact.Exact(threadmath.Inch))

	data, err := os.ReadFile(jobs + "two-start-twelve-per-inch.json")
	require.NoError(t, err)
	piped, _, code := halfnut(t, string(data), "solve", "-")
	require.Equal(t, exitOK, code)
	assert.Equal(t, out, piped)
}

// TestRefusals: one line on standard error, nothing on standard output, status 2.
func TestRefusals(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		in   string
		args []string
		says string
	}{
		"no such command":    {"", []string{"fly"}, `"fly"`},
		"no file":            {"", []string{"solve"}, "one FILE"},
		"missing file":       {"", []string{"solve", "nowhere.json"}, "nowhere.json"},
		"not JSON":           {"{", []string{"solve", "-"}, "JSON"},
		"unknown field":      {`{"thread": {"pitch": "2 mm", "colour": "red"}}`, []string{"solve", "-"}, "/thread/colour"},
		"deep field":         {`{"thread": {"pitch": "2 mm"}, "lathe": {"thread_dials": [{"teeth": "x", "graduations": 4}]}}`, []string{"solve", "-"}, "/lathe/thread_dials/0/teeth"},
		"zero pitch":         {`{"thread": {"pitch": "0 mm"}}`, []string{"solve", "-"}, "/thread/pitch"},
		"huge number":        {`{"thread": {"pitch": "1e1000000 mm"}}`, []string{"solve", "-"}, "exponent"},
		"contradiction":      {`{"thread": {"pitch": "2 mm", "lead": "5 mm"}}`, []string{"solve", "-"}, "/thread/lead"},
		"no core":            {`{"thread": {"form": "square", "pitch": "10 mm", "diameter": "8 mm"}}`, []string{"solve", "-"}, "core"},
		"over the flank":     {`{"thread": {"form": "acme", "pitch": "5 tpi"}, "cut": {"infeed_angle_deg": 29}}`, []string{"solve", "-"}, "/cut/infeed_angle_deg"},
		"line break in text": {"{\"thread\": {\"form\": \"a\\nb\", \"pitch\": \"2 mm\"}}", []string{"solve", "-"}, "/thread/form"},
		"unknown flag":       {"", []string{"exercises", "--flavour", "x"}, "flavour"},
		"no skills":          {"", []string{"exercises"}, "--skills"},
		"unknown skill":      {"", []string{"exercises", "--skills", "flying"}, "flying"},
		"bad units":          {"", []string{"exercises", "--skills", "lead", "--units", "cm"}, "mm or in"},
		"bad count":          {"", []string{"exercises", "--skills", "lead", "--count", "0"}, "--count"},
		"bad seed":           {"", []string{"exercises", "--skills", "lead", "--seed", "9007199254740992"}, "--seed"},
		"unserved lathe":     {"", []string{"exercises", "--skills", "thread-dial", "--lathe", "../../testdata/workshop/lathes/lathe-3.json"}, "no thread dial: thread-dial cannot be set on Lathe 3"},
		"two inputs":         {"", []string{"grade", "-", "-"}, "standard input"},
		"no out":             {"", []string{"worksheet", "--skills", "lead"}, "--out"},
		"no such folder":     {"", []string{"worksheet", "--skills", "lead", "--out", "no/such/folder.pdf"}, "no/such"},
		"bad database":       {"", []string{"serve", "--address", "127.0.0.1:0", "--database", "mysql://x"}, "postgres://"},
		"no texts":           {"", []string{"serve", "--address", "127.0.0.1:0", "--texts", "testdata"}, "--texts: there is no PO file"},
		"bad address":        {"", []string{"serve", "--address", "nonsense"}, "nonsense"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			out, errs, code := halfnut(t, c.in, c.args...)
			assert.Equal(t, exitRefused, code)
			assert.Empty(t, out)
			assert.Equal(t, 1, strings.Count(errs, "\n"), errs)
			assert.True(t, strings.HasSuffix(errs, "\n"))
			assert.Contains(t, errs, c.says)
		})
	}
}

func TestEveryCommandHasHelp(t *testing.T) {
	t.Parallel()
	list, _, code := halfnut(t, "", "help")
	require.Equal(t, exitOK, code)
	for _, cmd := range commands() {
		assert.Contains(t, list, cmd.name)
		assert.Contains(t, list, cmd.summary)
		for _, args := range [][]string{{"help", cmd.name}, {cmd.name, "--help"}} {
			out, _, code := halfnut(t, "", args...)
			assert.Equal(t, exitOK, code)
			assert.Contains(t, out, "Example:\n  ")
			assert.Contains(t, out, cmd.example[:strings.IndexAny(cmd.example+"\n", "\n")])
		}
	}
}

// TestExamplesRun runs each help example that is a single halfnut command.
func TestExamplesRun(t *testing.T) {
	t.Chdir("../..")
	out := t.TempDir()
	for _, cmd := range commands() {
		if strings.Contains(cmd.example, "\n") || cmd.name == "serve" {
			continue // pipes are run by TestExercisesAndGrade; serve and records by tests of their own
		}
		args := strings.Fields(cmd.example)[1:]
		for i, a := range args {
			if strings.HasSuffix(a, ".pdf") {
				args[i] = filepath.Join(out, a)
			}
		}
		var o, e bytes.Buffer
		code := run(context.Background(), args, console{strings.NewReader(""), &o, &e})
		assert.Equal(t, exitOK, code, "%s: %s", cmd.example, e.String())
	}
	for _, name := range []string{"sheets.pdf", "key.pdf"} {
		data, err := os.ReadFile(filepath.Join(out, name))
		require.NoError(t, err)
		assert.True(t, bytes.HasPrefix(data, []byte("%PDF-")))
	}
}

func TestExercisesAndGrade(t *testing.T) {
	t.Parallel()
	args := []string{"exercises", "--skills", "lead,thread-dial", "--count", "6", "--seed", "7", "--units", "in"}
	key, errs, code := halfnut(t, "", append(args, "--key")...)
	require.Equal(t, exitOK, code, errs)
	again, _, _ := halfnut(t, "", append(args, "--key")...)
	assert.Equal(t, key, again, "the same seed draws the same exercises")
	plain, _, code := halfnut(t, "", args...)
	require.Equal(t, exitOK, code)
	for _, secret := range []string{`"answer"`, `"accept"`, `"steps"`, `"seed"`, `"margin"`} {
		assert.Contains(t, key, secret)
		assert.NotContains(t, plain, secret)
	}
	file := filepath.Join(t.TempDir(), "key.jsonl")
	require.NoError(t, os.WriteFile(file, []byte(key), 0o600))
	var first curriculum.Exercise
	require.NoError(t, json.Unmarshal([]byte(key[:strings.Index(key, "\n")]), &first))
	exact, ok := first.Parts[0].Answer.Length.Exact()
	require.True(t, ok)
	answers := `{"id": "` + first.ID + `", "answers": {"a": "` + exact.Exact(threadmath.Inch) + `"}}` + "\n"
	out, errs, code := halfnut(t, answers, "grade", file, "-")
	require.Equal(t, exitOK, code, errs)
	assert.Contains(t, out, `"outcome":"right"`)
	wrong, _, _ := halfnut(t, strings.Replace(answers, exact.Exact(threadmath.Inch), "77 in", 1), "grade", file, "-")
	assert.NotContains(t, wrong, `"outcome":"right"`)
	assert.Contains(t, wrong, `"reason"`)
}

func TestWorksheetsRepeat(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write := func(name string) []byte {
		out := filepath.Join(dir, name)
		_, errs, code := halfnut(t, "", "worksheet", "--skills", "lead,axial-offset", "--sheets", "2", "--seed", "3", "--out", out)
		require.Equal(t, exitOK, code, errs)
		data, err := os.ReadFile(out)
		require.NoError(t, err)
		return data
	}
	assert.Equal(t, write("a.pdf"), write("b.pdf"), "the same flags write the same bytes")
}

func TestChecksCommand(t *testing.T) {
	t.Parallel()
	out, errs, code := halfnut(t, "", "checks")
	require.Equal(t, exitOK, code, errs)
	assert.Contains(t, out, "Jones")
}
