package threadmath

import (
	"encoding/json"
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const rescueJob = `{"thread": {"form": "iso-metric", "diameter": "30 mm", "pitch": "2 mm", "starts": 3, "length": "45 mm", "class": "6g"},
	"lathe": {"leadscrew": "5 mm", "compound_slide": {"graduation": "0.02 mm", "backlash": "0.3 mm"}, "holders": [{"kind": "faceplate-slots", "stations": 6, "error_deg": 3}]}}`

// rescued lays grooves out by their positions in one or more leads of the given
// length and measures them.
func rescued(t *testing.T, request string, m Measurement) Diagnosis {
	t.Helper()
	q, err := ParseRequest([]byte(request))
	require.NoError(t, err)
	d, err := Rescue(q, m)
	require.NoError(t, err)
	_, err = json.Marshal(d)
	require.NoError(t, err)
	require.NotEmpty(t, d.How)
	return d
}

// between returns the spacings of grooves at the positions, back to the first
// after the lead.
func between(lead float64, at ...float64) (out []string) {
	for i := range at {
		next := lead
		if i+1 < len(at) {
			next = at[i+1]
		}
		out = append(out, fmt.Sprintf("%.4f mm", next-at[i]))
	}
	return out
}

func causes(d Diagnosis) (out []string) {
	for _, c := range d.Causes {
		out = append(out, c.Cause)
	}
	return out
}

func TestRescue(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name   string
		m      Measurement
		first  string
		save   string
		says   string
		absent string
	}{
		{"as wanted", Measurement{Spacings: between(6, 0, 2.01, 3.99)}, CauseAsWanted, SaveYes, "", CauseUnknown},
		{"set to the pitch, all starts", Measurement{Spacings: between(2, 0, 0.667, 1.333)}, CausePitchForLead, SaveNo, "3 starts of pitch", ""},
		{"set to the pitch, one start", Measurement{Spacings: []string{"2 mm"}}, CausePitchForLead, SaveNo, "single-start", ""},
		{"set to the pitch, by the lead", Measurement{Spacings: []string{"2 mm", "2 mm", "2 mm"}, Lead: "2 mm"}, CausePitchForLead, SaveNo, "", ""},
		{"set to the pitch, a scratch", Measurement{Spacings: []string{"2 mm"}, Depth: "0.05 mm"}, CausePitchForLead, SaveYes, "turned down to 29.9 mm", ""},
		{"set to the pitch, too deep to skim", Measurement{Spacings: []string{"2 mm"}, Depth: "0.5 mm"}, CausePitchForLead, SaveNo, "beyond the limit", ""},
		{"another lead", Measurement{Spacings: between(5, 0, 1.667, 3.333)}, CauseWrongLead, SaveNo, "", CausePitchForLead},
		{"start 3 never cut", Measurement{Spacings: between(6, 0, 2)}, CauseMissingStart, SaveYes, "cut start 3", CauseUnknown},
		// p′ = 5, L = 6: closings lie 1 mm apart; the second start was cut at 1 mm,
		// which is 5 leadscrew threads on (25 = 4·6 + 1).
		{"false path", Measurement{Spacings: between(6, 0, 1, 2, 4)}, CauseWrongLine, SaveNo, "crest", CauseBacklash},
		{"lost motion not taken up", Measurement{Spacings: between(6, 0, 2.2, 4.2)}, CauseBacklash, SaveNo, "more than the tolerance", CauseWrongLine},
		{"moved against the travel", Measurement{Spacings: between(6, 0, 1.8, 3.8)}, CauseBacklash, SaveNo, "", ""},
		{"slots out", Measurement{Spacings: between(6, 0, 2.05, 3.98)}, CauseIndexError, SaveYes, "smaller", CauseUnknown},
		{"by nothing known", Measurement{Spacings: between(6, 0, 2.3, 3.8)}, CauseUnknown, SaveNo, "", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d := rescued(t, rescueJob, c.m)
			assert.Equal(t, c.first, d.Causes[0].Cause, "%+v", d.Causes)
			assert.Equal(t, c.save, d.Save, "%v", d.How)
			assert.Contains(t, fmt.Sprint(d.How), c.says)
			assert.NotContains(t, causes(d), c.absent)
		})
	}
}

// A near train shows over many leads only: 100 leads of 6.003 mm.
func TestRescueDrift(t *testing.T) {
	t.Parallel()
	m := Measurement{Uncertainty: "0.01 mm"}
	for range 300 {
		m.Spacings = append(m.Spacings, "2.001 mm")
	}
	d := rescued(t, rescueJob, m)
	assert.Equal(t, []string{CauseDrift}, causes(d))
	assert.Contains(t, d.Causes[0].Why, "500 millionths")
	assert.InDelta(t, 6.003, d.LeadAsCut.MM(), 1e-9)
	// 45 mm of thread are 0.0225 mm out, 0.039 mm of pitch diameter: within 6g.
	assert.Equal(t, SaveYes, d.Save)
	long := m
	long.Spacings = nil
	for range 450 { // 150 leads, 1 % out: more than a lead in all
		long.Spacings = append(long.Spacings, "2.02 mm")
	}
	assert.Equal(t, []string{CauseDrift}, causes(rescued(t, rescueJob, long)))
	m.Spacings = m.Spacings[:3]
	assert.Equal(t, []string{CauseAsWanted}, causes(rescued(t, rescueJob, m)), "one lead does not show it")
}

// A two-start thread of 12 per inch whose second start was set at 0.084 in:
// 1/1500 in out, 0.00115 in of pitch diameter.
func TestRescueTwelvePerInch(t *testing.T) {
	t.Parallel()
	d := rescued(t, `{"thread": {"form": "american-national", "pitch": "12 tpi", "starts": 2}}`, Measurement{Spacings: []string{"0.084 in", "0.082666667 in"}, Uncertainty: "0.0002 in"})
	assert.InDelta(t, 1.0/1500, d.SpacingError.Value(Inch), 1e-8)
	assert.InDelta(t, 1.7320508/1500, d.PitchDiameterCost.Value(Inch), 1e-7)
	assert.Equal(t, SaveDepends, d.Save, "no class is given")
}

func TestRescueRefuses(t *testing.T) {
	t.Parallel()
	q, err := ParseRequest([]byte(rescueJob))
	require.NoError(t, err)
	for path, m := range map[string]Measurement{
		"/spacings":    {},
		"/spacings/1":  {Spacings: []string{"2 mm", "two"}},
		"/spacings/0":  {Spacings: []string{""}},
		"/lead":        {Spacings: []string{"2 mm"}, Lead: "-1 mm"},
		"/uncertainty": {Spacings: []string{"2 mm"}, Uncertainty: "1 mm"},
		"/depth":       {Spacings: []string{"2 mm"}, Depth: "1e-300 mm"},
	} {
		_, err := Rescue(q, m)
		var d *DomainError
		require.True(t, errors.As(err, &d), path)
		assert.Equal(t, path, d.Quantity)
	}
}

// Whatever is measured, the diagnosis is whole and finite.
func TestRescueHostile(t *testing.T) {
	t.Parallel()
	sizes := []string{"0.00001 mm", "0.3 mm", "2 mm", "6 mm", "100000 mm", "1/3 in"}
	for _, a := range sizes {
		for _, b := range sizes {
			for _, lead := range append(sizes, "") {
				d := rescued(t, rescueJob, Measurement{Spacings: []string{a, b}, Lead: lead})
				assert.NotEmpty(t, d.Causes)
				assert.NotEmpty(t, d.Save)
			}
		}
	}
}
