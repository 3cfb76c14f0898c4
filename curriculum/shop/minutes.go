package shop

import (
	"math"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Times are the shop's measured times, in the units of curriculum.LoggedTime;
// nil is not measured.
type Times struct {
	SetUpMin, HandlingS, IndexMin, MeasureMin *float64
}

// leastLogs is the number of logged times from which on their median replaces a
// start value: one stop-watch slip must not move a whole plan.
const leastLogs = 3

// Medians returns the medians of the logged times: of the lathe itself where it
// has three of a part, else of all lathes, else nil, so that the start value
// stands.
func Medians(logs []curriculum.LoggedTime, lathe string) Times {
	part := func(of func(curriculum.LoggedTime) *float64) *float64 {
		var own, all []float64
		for _, l := range logs {
			if v := of(l); v != nil {
				all = append(all, *v)
				if l.Lathe == lathe {
					own = append(own, *v)
				}
			}
		}
		if len(own) < leastLogs {
			own = all
		}
		if len(own) < leastLogs {
			return nil
		}
		m := median(own)
		return &m
	}
	return Times{
		SetUpMin:   part(func(l curriculum.LoggedTime) *float64 { return l.SetUpMin }),
		HandlingS:  part(func(l curriculum.LoggedTime) *float64 { return l.HandlingS }),
		IndexMin:   part(func(l curriculum.LoggedTime) *float64 { return l.IndexMin }),
		MeasureMin: part(func(l curriculum.LoggedTime) *float64 { return l.MeasureMin }),
	}
}

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}

// Minutes returns the whole minutes that a job takes, rounded up: the solve
// answer's job time, with measured times in place of the start values where the
// request does not bring its own, times the learner's factor (1.5 to 2 for a
// first job is common practice, no source). It is a FieldError where the request
// does not say enough.
func Minutes(r threadmath.Request, t Times, factor float64) (int, error) {
	cut := threadmath.Cut{}
	if r.Cut != nil {
		cut = *r.Cut
	}
	for _, v := range []struct{ to, from **float64 }{
		{&cut.SetUpMin, &t.SetUpMin}, {&cut.HandlingS, &t.HandlingS}, {&cut.IndexMin, &t.IndexMin}, {&cut.MeasureMin, &t.MeasureMin},
	} {
		if *v.to == nil {
			*v.to = *v.from
		}
	}
	r.Cut = &cut
	a, err := threadmath.Solve(r)
	if err != nil {
		return 0, err
	}
	if a.JobTime == nil {
		return 0, &curriculum.FieldError{Path: "/request", Reason: "job minutes need form, threaded length, first cut and spindle speed"}
	}
	return int(math.Ceil(a.JobTime.Minutes*max(factor, 1) - 1e-9)), nil
}
