package generate_test

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// fewAnswers are the skills of which the common inch lathe has too few answers for
// neighbours to differ in 95 of 100 exercises.
var fewAnswers = map[string]string{
	"station-index mm": "four jaws or slots, shared by two starts, are all that its holders leave to ask",
	"station-index in": "four jaws or slots, shared by two starts, are all that its holders leave to ask",
}

// TestNeighboursCannotCopy: in 25 sets of 12 of each skill on the commonest inch
// lathe (leadscrew 8 tpi, one thread dial of 32 teeth and 8 lines) the answers of
// neighbours differ in at least 95 of 100 exercises, at the same declared difficulty.
func TestNeighboursCannotCopy(t *testing.T) {
	t.Parallel()
	lathe := lathes(t)[0]
	require.Equal(t, "8 tpi", lathe.Leadscrew)
	sets := 25
	if raced {
		sets = 2
	}
	for _, skill := range generate.Skills() {
		for _, units := range systems {
			if generate.Serves(skill, lathe, units) != nil {
				continue
			}
			t.Run(skill+" "+units.String(), func(t *testing.T) {
				t.Parallel()
				alike, pairs := 0, 0
				for seed := range uint64(sets) {
					set, err := generate.Set(generate.SetSpec{Skills: []string{skill}, Lathe: lathe, Variants: 12, Count: 1, Seed: seed, Units: units})
					require.NoError(t, err)
					spread, err := generate.SpreadOf(set)
					require.NoError(t, err)
					require.Len(t, spread, 1)
					assert.Equal(t, 12, spread[0].Exercises)
					alike, pairs = alike+spread[0].Alike, pairs+spread[0].Neighbours
					for _, es := range set {
						assert.Equal(t, set[0][0].Model, es[0].Model)
						assert.Equal(t, declared(set[0][0].Difficulty), declared(es[0].Difficulty))
					}
				}
				if raced {
					return
				}
				if why := fewAnswers[skill+" "+units.String()]; why != "" {
					t.Log(why)
					assert.Greater(t, alike*20, pairs, "no more among the few")
					return
				}
				assert.LessOrEqual(t, alike*20, pairs, "%d of %d neighbours have the same answers", alike, pairs)
			})
		}
	}
}

// declared is the difficulty that the exercises at one position share.
func declared(difficulty map[string]string) map[string]string {
	out := maps.Clone(difficulty)
	delete(out, "starts")
	return out
}

// TestSetOfASmallLathe: a set that one draw of the difficulty would leave alike is
// settled anew (a leadscrew of 1/4 in has one thread of six starts only).
func TestSetOfASmallLathe(t *testing.T) {
	t.Parallel()
	lathe := threadmath.Lathe{Name: "Small", Leadscrew: "1/4 in"}
	for seed := range uint64(20) {
		set, err := generate.Set(generate.SetSpec{Skills: []string{"lead"}, Lathe: lathe, Variants: 6, Count: 2, Seed: seed, Units: threadmath.Inch})
		require.NoError(t, err)
		spread, err := generate.SpreadOf(set)
		require.NoError(t, err)
		assert.Zero(t, spread[0].Alike, "seed %d", seed)
		assert.Greater(t, spread[0].Different, 6, "seed %d", seed)
	}
}

// TestNeighboursWithHolders: where the holders leave more to ask neighbours differ.
func TestNeighboursWithHolders(t *testing.T) {
	t.Parallel()
	alike, pairs := 0, 0
	for seed := range uint64(25) {
		set, err := generate.Set(generate.SetSpec{Skills: []string{"station-index"}, Lathe: lathes(t)[1], Variants: 12, Count: 1, Seed: seed})
		require.NoError(t, err)
		spread, err := generate.SpreadOf(set)
		require.NoError(t, err)
		alike, pairs = alike+spread[0].Alike, pairs+spread[0].Neighbours
	}
	assert.LessOrEqual(t, alike*20, pairs, "%d of %d neighbours have the same answers", alike, pairs)
}
