package generate_test

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

var update = flag.Bool("update", false, "rewrite the regression file: lines of new models and new versions")

// regressionFile pins what seeds give. It begins with lathes of its own, so that
// a change to the demo workshop pins nothing anew; every other line is an
// exercise.
const regressionFile = "../../testdata/curriculum/regression.jsonl"

// pinnedSeeds are drawn of every model on every lathe and in every unit system
// that serves it.
var pinnedSeeds = []uint64{1, 1<<52 + 12345}

// pinned is one line of the regression file: what the exercise is drawn from,
// its digest, and enough of it to see at a glance what changed.
type pinned struct {
	generate.Model
	Lathe  string   `json:"lathe"`
	Units  string   `json:"units"`
	Seed   uint64   `json:"seed"`
	ID     string   `json:"id"`
	Digest string   `json:"digest"`
	Prompt string   `json:"prompt"`
	Parts  []string `json:"parts"`
}

func (p pinned) key() string { return fmt.Sprint(p.Model, p.Lathe, p.Units, p.Seed) }

func (p pinned) String() string {
	return fmt.Sprintf("%s, model %s version %d, seed %d on %s in %s", p.Skill, p.Name, p.Version, p.Seed, p.Lathe, p.Units)
}

// pin draws an exercise and writes down what of it is for ever: all that is
// asked and all that it is marked by. Sentences that explain (steps, feedback,
// cautions) may be mended without a new version.
func pin(m generate.Model, l threadmath.Lathe, units threadmath.System, seed uint64) (pinned, error) {
	e, err := generate.Draw(m.Skill, l, seed, generate.Options{Units: units, Model: m.Name})
	if err != nil {
		return pinned{}, err
	}
	out := pinned{Model: m, Lathe: l.Name, Units: units.String(), Seed: seed, ID: e.ID, Prompt: e.Prompt}
	for _, p := range e.Parts {
		text := p.ID + ": " + p.Answer.String()
		if p.Unit != "" {
			text += " (" + p.Unit + ")"
		}
		if p.Accept != nil {
			text += fmt.Sprintf(" %s…%s", short(p.Accept.Low), short(p.Accept.High))
		}
		out.Parts = append(out.Parts, text)
	}
	e.Cautions = nil
	e.Basis = nil // what it is evidence of follows from the answers
	for i := range e.Parts {
		p := &e.Parts[i]
		p.Steps, p.Wrong = append([]curriculum.Step{}, p.Steps...), append([]curriculum.WrongRule{}, p.Wrong...)
		for j := range p.Steps {
			p.Steps[j].Say = ""
		}
		for j := range p.Wrong {
			p.Wrong[j].Feedback = ""
		}
	}
	text, err := json.Marshal(e)
	if err != nil {
		return pinned{}, err
	}
	sum := sha256.Sum256(text)
	out.Digest = hex.EncodeToString(sum[:8])
	return out, nil
}

func short(f float64) string { return strconv.FormatFloat(f, 'g', 6, 64) }

// readRegression returns the file's lathes and lines.
func readRegression(t *testing.T) (lathes []threadmath.Lathe, lines []pinned) {
	t.Helper()
	data, err := os.ReadFile(regressionFile)
	require.NoError(t, err)
	scanner := bufio.NewScanner(bytes.NewReader(data))
	scanner.Buffer(nil, 1<<20)
	for scanner.Scan() {
		var profile struct {
			Profile json.RawMessage `json:"profile"`
		}
		require.NoError(t, json.Unmarshal(scanner.Bytes(), &profile))
		if profile.Profile != nil {
			l, err := threadmath.ParseLathe(profile.Profile)
			require.NoError(t, err)
			lathes = append(lathes, l)
			continue
		}
		var p pinned
		require.NoError(t, json.Unmarshal(scanner.Bytes(), &p))
		lines = append(lines, p)
	}
	require.NoError(t, scanner.Err())
	require.NotEmpty(t, lathes)
	return lathes, lines
}

func writeRegression(t *testing.T, lathes []threadmath.Lathe, lines []pinned) {
	t.Helper()
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	for _, l := range lathes {
		require.NoError(t, e.Encode(map[string]any{"profile": l}))
	}
	for _, p := range lines {
		require.NoError(t, e.Encode(p))
	}
	require.NoError(t, os.WriteFile(regressionFile, out.Bytes(), 0o600))
}

// TestSameSeedSameExercise: skill, model, version, lathe, units and seed give the
// same exercise for ever. What the file holds of a model's present version must
// come out again; a model that is to change gets a new version, and -update then
// drops the lines of the old one.
func TestSameSeedSameExercise(t *testing.T) {
	t.Parallel()
	lathes, old := readRegression(t)
	kept := map[string]pinned{}
	for _, p := range old {
		kept[p.key()] = p
	}
	var now []pinned
	for _, skill := range generate.Skills() {
		models, err := generate.Models(skill)
		require.NoError(t, err)
		for _, m := range models {
			for _, l := range lathes {
				for _, units := range systems {
					for _, seed := range pinnedSeeds {
						p, err := pin(m, l, units, seed)
						var unserved *generate.UnservedError
						if errors.As(err, &unserved) {
							continue
						}
						require.NoError(t, err)
						now = append(now, p)
						if before, ok := kept[p.key()]; ok {
							delete(kept, p.key())
							if assert.Equal(t, before, p, "%s gives another exercise than it did: raise the version of the model and run the test with -update", p) || !*update {
								continue
							}
							t.FailNow() // nothing is written over an exercise of this version
						}
						assert.True(t, *update, "%s is not in the regression file: run the test with -update", p)
					}
				}
			}
		}
	}
	versions := map[string]int{}
	for _, p := range now {
		versions[p.Skill+"/"+p.Name] = p.Version
	}
	for _, p := range kept {
		version, known := versions[p.Skill+"/"+p.Name]
		if known && version == p.Version {
			require.Fail(t, "an exercise is gone", "%s cannot be drawn any more: raise the version of the model", p)
		}
		assert.True(t, *update, "%s is of a version that is no more: run the test with -update to drop it", p)
	}
	if *update && !t.Failed() {
		writeRegression(t, lathes, now)
	}
}
