package web

import (
	"net/http/httptest"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// reading is somebody whose browser speaks so.
func reading(languages string, units curriculum.Units) reader {
	r := httptest.NewRequest("GET", "/", nil)
	r.Header.Set("Accept-Language", languages)
	return readerOf(r, units)
}

// TestReaders: a number and a day as each language writes them. The marks and
// orders are those of the Unicode CLDR, read through the library.
func TestReaders(t *testing.T) {
	t.Parallel()
	day := time.Date(2026, 3, 4, 18, 30, 0, 0, time.UTC)
	for languages, want := range map[string][2]string{
		"":                         {"1234.500", "Wed, 4 Mar 2026"},
		"en-GB,en;q=0.8":           {"1234.500", "Wed, 4 Mar 2026"},
		"en-US":                    {"1234.500", "Wed, Mar 4, 2026"},
		"de-DE,de;q=0.9,en;q=0.8":  {"1234,500", "Mi., 04.03.2026"},
		"de-CH":                    {"1234.500", "Mi., 04.03.2026"},
		"fr":                       {"1234,500", "mer., 4 mars 2026"},
		"cs":                       {"1234,500", "st, 4. 3. 2026"},
		"ja":                       {"1234.500", "水, 2026/03/04"},
		"tlh, de;q=0.5":            {"1234,500", "Mi., 04.03.2026"},
		"not a language at all %%": {"1234.500", "Wed, 4 Mar 2026"},
	} {
		r := reading(languages, curriculum.UnitsOfJob)
		assert.Equal(t, want, [2]string{r.Number(3, 1234.5), r.day(day)}, languages)
	}
}

// TestClocks: a time of day as each language writes it. The first hour after midnight
// is twelve where the clock has twelve hours.
func TestClocks(t *testing.T) {
	t.Parallel()
	for languages, want := range map[string][4]string{
		"en-GB": {"00:05", "09:30", "12:00", "18:30"},
		"en-US": {"12:05 am", "9:30 am", "12:00 pm", "6:30 pm"},
		"de":    {"00:05", "09:30", "12:00", "18:30"},
		"fi":    {"0.05", "9.30", "12.00", "18.30"},
		"ko":    {"AM 12:05", "AM 9:30", "PM 12:00", "PM 6:30"},
	} {
		r := reading(languages, curriculum.UnitsOfJob)
		at := func(hour, minute int) string { return r.Clock(time.Date(2026, 3, 4, hour, minute, 0, 0, time.UTC)) }
		assert.Equal(t, want, [4]string{at(0, 5), at(9, 30), at(12, 0), at(18, 30)}, languages)
	}
	assert.Equal(t, "Wed, Mar 4, 2026, 12:05 am UTC", reading("en-US", curriculum.UnitsOfJob).Moment(time.Date(2026, 3, 4, 0, 5, 0, 0, time.UTC)))
}

// TestUnitsOfReaders: each choice of units, and what is known exactly as a
// fraction.
func TestUnitsOfReaders(t *testing.T) {
	t.Parallel()
	lead, system, err := threadmath.ParsePitch("6 tpi")
	assert.NoError(t, err)
	d := threadmath.ExactDimension(lead, system)
	slip := threadmath.ApproxDimension(0.0127)
	for units, want := range map[curriculum.Units][4]string{
		curriculum.UnitsOfJob: {"1/6 in = 0.1667 in (4.233 mm)", "0.00050 in (0.0127 mm)", "1/6 in", "6 tpi"},
		curriculum.UnitsInch:  {"1/6 in = 0.1667 in", "0.00050 in", "1/6 in", "6 tpi"},
		curriculum.UnitsMM:    {"127/30 mm = 4.233 mm", "0.0127 mm", "127/30 mm", "6 tpi (4.233 mm)"},
		curriculum.UnitsBoth:  {"1/6 in = 0.1667 in (4.233 mm)", "0.00050 in (0.0127 mm)", "1/6 in", "6 tpi (4.233 mm)"},
	} {
		r := reading("en", units)
		assert.Equal(t, want, [4]string{r.Size(d, system), r.Small(slip, system), r.short(d, system), r.Typed("6 tpi")}, string(units))
	}
	assert.Equal(t, "1/6 in = 0,1667 in (4,233 mm)", reading("de", curriculum.UnitsBoth).Size(d, system))
	assert.Equal(t, "as it comes", reading("de", curriculum.UnitsBoth).Typed("as it comes"), "what is no length stays")
}
