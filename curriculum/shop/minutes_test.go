package shop_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
)

func job(t testing.TB, name string) threadmath.Request {
	t.Helper()
	data, err := os.ReadFile("../../testdata/workshop/jobs/" + name + ".json")
	require.NoError(t, err)
	r, err := threadmath.ParseRequest(data)
	require.NoError(t, err)
	return r
}

func of(v float64) *float64 { return &v }

// Three starts of 14 passes: 15 + 3·14·(45 + 6)/(6·40) + 3·14·12/60 + 3·2.5 + 2·2.5
// = 15 + 8.925 + 8.4 + 7.5 + 5 = 44.825 minutes with the start values.
func TestMinutes(t *testing.T) {
	t.Parallel()
	r := job(t, "three-start-m30")
	minutes := func(times shop.Times, factor float64) int {
		m, err := shop.Minutes(r, times, factor)
		require.NoError(t, err)
		return m
	}
	assert.Equal(t, 48, minutes(shop.Times{}, 1))
	assert.Equal(t, 71, minutes(shop.Times{}, 1.5), "70.4 for a first job")
	assert.Equal(t, 48, minutes(shop.Times{}, 0), "no factor is 1")
	assert.Equal(t, 64, minutes(shop.Times{HandlingS: of(20), SetUpMin: of(20), IndexMin: of(4), MeasureMin: of(3)}, 1), "20 + 10.2 + 16 + 9 + 8 = 63.2")
	r.Thread.Length = ""
	_, err := shop.Minutes(r, shop.Times{}, 1)
	assert.ErrorIs(t, err, curriculum.ErrInvalid)
}

func TestMedians(t *testing.T) {
	t.Parallel()
	var logs []curriculum.LoggedTime
	add := func(lathe string, handling float64) {
		logs = append(logs, curriculum.LoggedTime{Lathe: lathe, HandlingS: of(handling)})
	}
	add("a", 20)
	add("b", 30)
	assert.Nil(t, shop.Medians(logs, "a").HandlingS, "two times do not replace a start value")
	add("b", 40)
	assert.Equal(t, 30.0, *shop.Medians(logs, "a").HandlingS, "of the whole shop")
	add("a", 10)
	add("a", 16)
	assert.Equal(t, 16.0, *shop.Medians(logs, "a").HandlingS, "of the lathe itself")
	add("a", 14)
	assert.Equal(t, 15.0, *shop.Medians(logs, "a").HandlingS)
	assert.Nil(t, shop.Medians(logs, "a").IndexMin)
}
