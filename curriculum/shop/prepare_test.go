package shop_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum/shop"
	"halfnut/threadmath"
)

func TestPrepare(t *testing.T) {
	t.Parallel()
	unknown := job(t, "metric-on-an-inch-lathe")
	unknown.Cut.ReactionS = nil
	p := shop.Prepare([]shop.NamedJob{
		{Name: "A", Request: job(t, "three-start-m30"), Method: threadmath.ChuckJaws},
		{Name: "B", Request: job(t, "three-start-m30")},
		{Name: "C", Request: unknown},
	})
	of := map[string]int{}
	for _, g := range p.Groups {
		require.Len(t, g.Items, 1, g.Title)
		of[g.Title] = g.Items[0].Count
	}
	assert.Equal(t, map[string]int{"Blanks": 2, "Tools": 2, "Gauges, or trial pieces": 2, "Dogs and centres": 1, "Wires": 6}, of)
	assert.Equal(t, "turned to 29.682 mm to 29.962 mm, thread 45.000 mm long, brass", p.Groups[0].Items[0].What)
	assert.Equal(t, []string{"A", "B"}, p.Groups[0].Items[0].For)
	require.Len(t, p.Without, 1)
	assert.Contains(t, p.Without[0].Is, "unknown time is no permission")
}
