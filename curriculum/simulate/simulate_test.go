package simulate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/simulate"
)

// A smaller class than `halfnut simulate` runs; its figures stand in
// testdata/curriculum/simulation.txt.
func TestSimulatedClass(t *testing.T) {
	t.Parallel()
	c := simulate.Default()
	c.Learners, c.Runs = 60, 30
	r, err := simulate.Run(c)
	require.NoError(t, err)
	assert.Less(t, r.WronglyShare(), 0.005)
	assert.Greater(t, r.Passed, 500)
	assert.InDelta(t, r.Ready, r.Forecast, 0.15, "60 learners have a standard error of 0.06")
	assert.Positive(t, r.Skill, "better than one chance for everybody")
	n := 0
	for _, b := range r.Bins {
		n += b.Learners
	}
	assert.Equal(t, c.Learners, n)
	c.Learners, c.Runs = 5, 5
	first, err := simulate.Run(c)
	require.NoError(t, err)
	again, err := simulate.Run(c)
	require.NoError(t, err)
	assert.Equal(t, first, again)
	_, err = simulate.Run(simulate.Config{})
	require.ErrorIs(t, err, curriculum.ErrInvalid)
}
