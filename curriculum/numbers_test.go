package curriculum_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/formula"
	"halfnut/threadmath"
)

func TestPartRun(t *testing.T) {
	t.Parallel()
	g := curriculum.Givens{Values: map[string]string{"P": "2 mm", "n": "3", "A": "29.5°", "thread": "Tr 40x14 P7", "gears": "20, 30"}}
	vars := g.Numbers()
	require.Len(t, vars, 3)
	lead := curriculum.Part{ID: "lead", Unit: "mm", Steps: []curriculum.Step{{Name: "L", Rule: "n*P"}}}
	h := curriculum.Part{ID: "h", Unit: "mm", Steps: []curriculum.Step{{Name: "note"}, {Name: "k", Rule: "0.6134*P"}, {Name: "c", Rule: "k/cos(A)"}}}
	_, err := lead.Run(vars)
	require.NoError(t, err)
	values, err := h.Run(vars)
	require.NoError(t, err)
	require.Len(t, values, 2)
	assert.InDelta(t, 1.2268/0.870356, vars["h"].Float64(), 1e-5)
	assert.Equal(t, "6", vars["lead"].String())

	vars["lead"] = formula.Int(2) // a learner's own value stands in for ours
	_, err = curriculum.Part{ID: "tpi", Steps: []curriculum.Step{{Name: "t", Rule: "25.4/lead"}}}.Run(vars)
	require.NoError(t, err)
	assert.Equal(t, "12.7", vars["tpi"].String())

	_, err = curriculum.Part{ID: "x", Steps: []curriculum.Step{{Name: "x", Rule: "1/(n-3)"}}}.Run(vars)
	assert.ErrorIs(t, err, formula.ErrUndefined)
}

func TestPartNumber(t *testing.T) {
	t.Parallel()
	length, system, err := threadmath.ParseLength("1/12 in")
	require.NoError(t, err)
	inch := curriculum.Part{Unit: curriculum.UnitInch}
	v, ok := inch.Number(*curriculum.LengthValue(threadmath.ExactDimension(length, system)))
	require.True(t, ok)
	r, exact := v.Ratio()
	assert.True(t, exact)
	assert.Equal(t, "1/12", r.String())
	v, ok = curriculum.Part{Kind: curriculum.KindRatio}.Number(*curriculum.TextValue("10/3"))
	assert.True(t, ok)
	assert.Equal(t, "10/3", v.String())
	_, ok = curriculum.Part{Kind: curriculum.KindChoice}.Number(*curriculum.TextValue("4"))
	assert.False(t, ok)
}
