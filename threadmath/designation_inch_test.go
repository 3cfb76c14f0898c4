package threadmath

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestInchDesignationsWrittenTogether: ASME B1.5 writes an Acme thread of several starts
// by pitch and lead, and drawings write the series on to the threads per inch.
func TestInchDesignationsWrittenTogether(t *testing.T) {
	t.Parallel()
	d, err := ParseDesignation("2.875-0.4P-0.8L-ACME-2G")
	require.NoError(t, err)
	assert.Equal(t, "acme", d.Form)
	assert.Equal(t, 2, d.Starts)
	assert.Equal(t, "2G", d.Class)
	assert.Equal(t, "2/5 in", d.Pitch.Exact(Inch))
	assert.Equal(t, "4/5 in", d.Lead().Exact(Inch))
	same, err := ParseDesignation(d.String())
	require.NoError(t, err)
	assert.Equal(t, d.Pitch, same.Pitch)
	assert.Equal(t, d.Starts, same.Starts)

	d, err = ParseDesignation("3/4-16UNF-2A")
	require.NoError(t, err)
	spaced, err := ParseDesignation("3/4-16 UNF-2A")
	require.NoError(t, err)
	assert.Equal(t, spaced, d)
	d, err = ParseDesignation("5/8-10ACME-LH")
	require.NoError(t, err)
	assert.True(t, d.Left)

	for _, bad := range []string{"2.875-0.4P-ACME-2G", "2.875-0.8L-ACME", "2.875-0.4P-0.9L-ACME", "2.875-10-0.4P-0.8L-ACME", "2.875-0.4P-0.8L-ACME 2 START", "1-0P-0L-ACME"} {
		_, err := ParseDesignation(bad)
		assert.Error(t, err, bad)
	}
}
