package generate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
)

// What the lathe can ask of a skill can be drawn, says what it is evidence of, and
// is more than choosing.
func TestEveryExerciseSaysWhatItIsEvidenceOf(t *testing.T) {
	t.Parallel()
	for _, l := range lathes(t) {
		d, err := generate.NewDrawer(l)
		require.NoError(t, err)
		for _, units := range systems {
			for _, skill := range generate.Skills() {
				if d.Serves(skill, units) != nil || skill == "whole-job" { // which is evidence of its steps' skills only
					continue
				}
				r, err := d.Range(skill, units)
				require.NoError(t, err)
				assert.Positive(t, r.Keys, "%s on %s in %s", skill, l.Name, units)
				for _, m := range r.Models {
					e, err := d.Draw(skill, 1, generate.Options{Units: units, Model: m})
					require.NoError(t, err, "%s, %s on %s in %s", skill, m, l.Name, units)
					require.NotNil(t, e.Basis)
					assert.Equal(t, &r, e.Basis.Range)
					assert.NotEmpty(t, e.Basis.Keys[skill])
					assert.Nil(t, e.Public().Basis, "it follows from the answers")
					again := e
					again.Basis = nil
					assert.Equal(t, e.Basis.Keys, again.BasisOf().Keys, "issued before exercises said so")
				}
			}
		}
	}
}

// The key is what decides, not how the question looks: of the exercises with one
// key all have the same answers, and with another key another.
func TestKeysFollowTheAnswers(t *testing.T) {
	t.Parallel()
	d, err := generate.NewDrawer(lathes(t)[0])
	require.NoError(t, err)
	answers, keys := map[string]string{}, map[string]bool{}
	faces := map[string]bool{}
	for seed := range uint64(200) {
		e, err := d.Draw("station-index", seed, generate.Options{Units: systems[1], Model: "stations"})
		require.NoError(t, err)
		text := ""
		for _, p := range e.Parts {
			text += p.Answer.String() + "; "
		}
		key := e.Basis.Keys["station-index"]
		if before, ok := answers[key]; ok {
			require.Equal(t, before, text)
		}
		answers[key] = text
		keys[key], faces[e.Numbers()] = true, true
	}
	assert.Greater(t, len(faces), 10*len(keys), "%d faces, %d keys", len(faces), len(keys))
}

// An inch leadscrew cuts a metric thread with the half-nut closed, whatever the
// thread: that choice is measured to be the usual one.
func TestTheUsualChoiceIsMeasured(t *testing.T) {
	t.Parallel()
	d, err := generate.NewDrawer(lathes(t)[0])
	require.NoError(t, err)
	shares, err := d.Shares("pick-up", "other-system", systems[0])
	require.NoError(t, err)
	require.Len(t, shares, 1)
	assert.True(t, shares[0].Usual(), "%+v", shares)
	e, err := d.Draw("pick-up", 1, generate.Options{Units: systems[0], Model: "other-system"})
	require.NoError(t, err)
	assert.Contains(t, e.Basis.Usual, shares[0].Part)
	shares, err = d.Shares("pick-up", "paths", systems[1])
	require.NoError(t, err)
	require.Len(t, shares, 1)
	assert.False(t, shares[0].Usual(), "%+v", shares)
	shares, err = d.Shares("lead", "", systems[1])
	require.NoError(t, err)
	assert.Empty(t, shares, "nothing is chosen")
	_, err = d.Shares("pick-up", "nothing", systems[1])
	require.ErrorIs(t, err, curriculum.ErrNotFound)
}
