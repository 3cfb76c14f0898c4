package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

func TestTheDemoWorkshopReads(t *testing.T) {
	t.Parallel()
	w, err := workshop.Demo()
	require.NoError(t, err)
	assert.Len(t, w.Learners, 12)
	require.Len(t, w.Lathes, 3)
	for i, name := range []string{"Lathe 1", "Lathe 2", "Lathe 3"} {
		assert.Equal(t, name, w.Lathes[i].Name)
	}
	jobs, err := workshop.Jobs()
	require.NoError(t, err)
	require.NotEmpty(t, jobs)
	for name, data := range jobs {
		r, err := threadmath.ParseRequest(data)
		require.NoError(t, err, name)
		_, err = threadmath.Solve(r)
		require.NoError(t, err, name)
	}
}
