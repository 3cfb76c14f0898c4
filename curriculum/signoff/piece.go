package signoff

import (
	"errors"
	"fmt"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Measure is one measured size of a test piece. All are lengths with their unit;
// U is the expanded uncertainty (k = 2) of the measured value, of the instrument
// and the way it was used.
type Measure struct {
	What     string `json:"what"`
	Low      string `json:"low"`
	High     string `json:"high"`
	Measured string `json:"measured"`
	U        string `json:"u"`
	// Result is set by Judge.
	Result string `json:"result"`
}

// The results of a measurement.
const (
	Inside  = "inside"  // inside the limits by U or more
	Outside = "outside" // outside the limits by more than U
	Unsure  = "unsure"  // neither: measure again, with a finer instrument
)

// Judge compares a measured size with its limits with a guard band of U: it is
// accepted between Low + U and High − U, rejected beyond Low − U and High + U,
// and in between nothing is decided. With U = 2 standard uncertainties a size
// that is accepted lies outside its limit with a probability of at most 2.3 %
// (ISO 14253-1 decision rule; JCGM 106:2012, 8.3, guarded acceptance with w = U).
// The comparison is exact. Either limit may be left out, not both.
//
// An instrument whose U takes up the whole tolerance can accept nothing; that is
// an error, so that nobody measures in vain.
func (m Measure) Judge(path string) (Measure, error) {
	var wrong []error
	length := func(name, text string, optional bool) *threadmath.Length {
		if text == "" && optional {
			return nil
		}
		l, _, err := threadmath.ParseLength(text)
		var domain *threadmath.DomainError
		if err != nil {
			f := &curriculum.FieldError{Path: path + "/" + name, Value: text, Reason: err.Error()}
			if errors.As(err, &domain) {
				f.Reason, f.Allowed = domain.Reason, domain.Range
			}
			wrong = append(wrong, f)
			return nil
		}
		return &l
	}
	low, high := length("low", m.Low, true), length("high", m.High, true)
	size, u := length("measured", m.Measured, false), length("u", m.U, false)
	if len(wrong) > 0 {
		return m, joined(wrong)
	}
	fault := func(name, value, reason, allowed string) (Measure, error) {
		return m, &curriculum.FieldError{Path: path + "/" + name, Value: value, Reason: reason, Allowed: allowed}
	}
	switch {
	case low == nil && high == nil:
		return fault("low", "", "a size without a limit proves nothing", "a low limit, a high limit or both")
	case u.Sign() <= 0:
		return fault("u", m.U, "every instrument has an uncertainty", "more than 0")
	case low != nil && high != nil && low.Cmp(*high) >= 0:
		return fault("low", m.Low, "is not below the high limit", "less than "+m.High)
	case low != nil && high != nil && u.Times(2).Cmp(high.Sub(*low)) > 0:
		return fault("u", m.U, "this instrument is too coarse for these limits: nothing could be accepted", "half the distance of the limits or less")
	}
	m.Result = Inside
	at := func(bad, worse bool) {
		switch {
		case worse:
			m.Result = Outside
		case bad && m.Result == Inside:
			m.Result = Unsure
		}
	}
	if low != nil {
		at(size.Cmp(low.Add(*u)) < 0, size.Cmp(low.Sub(*u)) < 0)
	}
	if high != nil {
		at(size.Cmp(high.Sub(*u)) > 0, size.Cmp(high.Add(*u)) > 0)
	}
	return m, nil
}

// The sizes that a test piece must have, by operation: a thread's lead over five
// turns, which shows pitch taken for lead and a wrong train; the spacing of each
// start from the one before; its pitch diameter. Three diameters for turning, as
// in the turning task of a US state's technical education (Virginia CTE).
const (
	LeadOverFive  = "lead over 5 turns"
	PitchDiameter = "pitch diameter"
)

// SpacingOf names the spacing of a start from the one before it.
func SpacingOf(start int) string {
	return fmt.Sprintf("start %d from start %d", start, start-1)
}

// Diameter names one of the diameters of a turned piece.
func Diameter(n int) string { return "diameter " + strconv.Itoa(n) }

// SizesFor lists what must be measured on a test piece.
func SizesFor(operation string, starts int) []string {
	if operation == Turning {
		return []string{Diameter(1), Diameter(2), Diameter(3)}
	}
	out := []string{LeadOverFive}
	for k := 2; k <= starts; k++ {
		out = append(out, SpacingOf(k))
	}
	return append(out, PitchDiameter)
}

// Accept judges every size of a test piece. All sizes that the operation asks
// for must be there; the piece is accepted when all are inside.
func Accept(operation string, starts int, measures []Measure) ([]Measure, bool, error) {
	var wrong []error
	out := make([]Measure, len(measures))
	accepted := true
	have := map[string]bool{}
	for i, m := range measures {
		path := "/measures/" + strconv.Itoa(i)
		judged, err := m.Judge(path)
		if err != nil {
			wrong = append(wrong, err)
		}
		if have[m.What] {
			wrong = append(wrong, &curriculum.FieldError{Path: path + "/what", Value: m.What, Reason: "stands there twice"})
		}
		have[m.What] = true
		out[i] = judged
		accepted = accepted && judged.Result == Inside
	}
	for _, what := range SizesFor(operation, starts) {
		if !have[what] {
			wrong = append(wrong, &curriculum.FieldError{Path: "/measures", Value: what, Reason: "is not measured"})
		}
	}
	return out, accepted, joined(wrong)
}
