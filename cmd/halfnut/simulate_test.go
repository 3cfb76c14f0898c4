package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSimulate(t *testing.T) {
	t.Parallel()
	out, errs, code := halfnut(t, "", "simulate", "--learners", "8", "--weeks", "4")
	require.Equal(t, exitOK, code, errs)
	assert.Contains(t, out, "8 learners, 4 weeks")
	assert.Contains(t, out, "of them wrongly")
	again, _, _ := halfnut(t, "", "simulate", "--learners", "8", "--weeks", "4")
	assert.Equal(t, out, again)
	_, errs, code = halfnut(t, "", "simulate", "--learners", "0")
	assert.Equal(t, exitRefused, code)
	assert.Contains(t, errs, "learners")
}
