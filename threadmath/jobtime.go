package threadmath

import "strconv"

// JobTime is an estimate of the minutes a job takes.
type JobTime struct {
	Minutes   float64 `json:"minutes"`
	SetUp     float64 `json:"set_up"`
	Cutting   float64 `json:"cutting"`
	Handling  float64 `json:"handling"`
	Indexing  float64 `json:"indexing"`
	Measuring float64 `json:"measuring"`
	Basis     string  `json:"basis"`
}

// Start values of the parts of a job: common practice, no source, to be replaced
// by the shop's logged medians.
const (
	setUpStart    = 15.0 // minutes
	handlingStart = 12.0 // seconds a pass
	indexStart    = 2.5  // minutes a change of start
	measureStart  = 2.5  // minutes a start
)

// timing is what the minutes of a job are made of.
type timing struct {
	starts, passes        int // passes of one start, spring passes included
	lengthMM, leadMM, rpm float64
	setUp, index, measure float64 // minutes
	handlingS             float64
}

// minutes returns
//
//	T = setup + n·(passes·(60·(l + L)/(L·N) + handling)/60 + measure) + (n − 1)·index
//
// with l the threaded length, run up by one lead L before it, N in rev/min and
// the handling in seconds.
func (t timing) minutes() JobTime {
	n, passes := float64(t.starts), float64(t.passes)
	out := JobTime{
		SetUp:     t.setUp,
		Cutting:   n * passes * (t.lengthMM + t.leadMM) / (t.leadMM * t.rpm),
		Handling:  n * passes * t.handlingS / 60,
		Indexing:  (n - 1) * t.index,
		Measuring: n * t.measure,
	}
	out.Minutes = out.SetUp + out.Cutting + out.Handling + out.Indexing + out.Measuring
	return out
}

// jobTime returns the estimate for the job; nil without threaded length, speed
// and first cut, which the number of passes follows from.
func (j *job) jobTime() *JobTime {
	k := &j.cut
	if j.length == nil || k.rpm == nil || j.depths == nil {
		return nil
	}
	t := timing{
		starts: j.starts, passes: len(j.depths),
		lengthMM: j.length.MM(), leadMM: j.lead.MM(), rpm: *k.rpm,
		setUp: setUpStart, index: indexStart, measure: measureStart, handlingS: handlingStart,
	}
	if k.springPasses != nil {
		t.passes += *k.springPasses
	}
	given := 0
	for _, v := range []struct {
		to   *float64
		from *float64
	}{{&t.setUp, k.setUpMin}, {&t.handlingS, k.handlingS}, {&t.index, k.indexMin}, {&t.measure, k.measureMin}} {
		if v.from != nil {
			*v.to = *v.from
			given++
		}
	}
	out := t.minutes()
	out.Basis = strconv.Itoa(t.passes) + " passes a start; "
	switch given {
	case 0:
		out.Basis += "set-up 15 min, 12 s a pass, 2.5 min to index, 2.5 min to measure are start values without a source"
	case 4:
		out.Basis += "times as given"
	default:
		out.Basis += "times as given, the others start values without a source"
	}
	return &out
}
