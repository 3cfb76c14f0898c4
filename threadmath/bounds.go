package threadmath

import "strconv"

// What bounds a way from start to start that the arithmetic alone would allow:
// Method.Bound.
const (
	BoundKeepClosed    = "keep-closed"     // pick_up keeps the half-nut closed
	BoundClosingRPM    = "closing-rpm"     // the leadscrew turns too fast for the half-nut to be closed
	BoundGreatestCount = "greatest-count"  // more threads or teeth than a person counts
	BoundTravel        = "carriage-travel" // the carriage is shifted further than it may go
)

// ClosingStart is the greatest speed of the leadscrew, rev/min, at which a hand closes
// the half-nut on one place, where the lathe's record says nothing; common practice, no
// source.
const ClosingStart = 150.0

// The bounds where the request gives none; common practice, no source.
const (
	countThreadsStart = 12   // leadscrew threads that are counted as they come up
	countTeethStart   = 120  // teeth of a wheel that are counted one by one
	shiftStart        = 300  // mm of a measured shift of the carriage
	baseErrorStart    = 0.25 // degrees to which the compound's base is set by its graduations
	classlessBand     = 0.05 // of the pitch, in place of a pitch-diameter tolerance
)

// bounded turns a usable candidate into one that is not, and says why.
func (c candidate) bounded(bound, why string) candidate {
	c.Usable, c.Bound, c.Why = false, bound, why
	c.SpacingError, c.PitchDiameterCost = nil, nil
	return c
}

// leadscrewRPM is how fast the leadscrew turns while the thread is cut; ok is false
// where speed or leadscrew are not known.
func (j *job) leadscrewRPM() (rpm float64, ok bool) {
	if j.cut.rpm == nil || j.lathe.leadscrew == nil {
		return 0, false
	}
	return *j.cut.rpm * j.lead.Quo(*j.lathe.leadscrew).Float64(), true
}

// closingRPM is the greatest speed of the leadscrew at which its half-nut is closed.
func (j *job) closingRPM() float64 {
	if j.lathe.closingRPM != nil {
		return *j.lathe.closingRPM
	}
	return ClosingStart
}

// closedRunning bounds a way that closes the half-nut on a place while the leadscrew
// turns: pick_up must allow it, and the screw must not turn too fast to hit it.
func (j *job) closedRunning(c candidate, a *Answer) candidate {
	if !c.Usable || j.starts == 1 {
		return c
	}
	if a.PickUp != nil && a.PickUp.Rule == PickUpKeepClosed {
		return c.bounded(BoundKeepClosed, "between passes nothing brings the half-nut back to the same start, so it stays closed for this lead")
	}
	if rpm, ok := j.leadscrewRPM(); ok && rpm > j.closingRPM() {
		return c.bounded(BoundClosingRPM, "the leadscrew turns "+formatFloat(round(rpm))+" times a minute, too fast to close the half-nut on one place: up to "+formatFloat(j.closingRPM()))
	}
	return c
}

func round(f float64) float64 { return float64(int64(f + 0.5)) }

// counting bounds a way by what a person counts.
func (j *job) counting(c candidate, count Ratio, most int, what string) candidate {
	if j.cut.greatestCount != nil {
		most = *j.cut.greatestCount
	}
	if c.Usable && j.starts > 1 && count.Cmp(Int(int64(most))) > 0 {
		return c.bounded(BoundGreatestCount, count.String()+" "+what+" to count, more than "+strconv.Itoa(most))
	}
	return c
}

// shifted bounds a measured shift of the carriage.
func (j *job) shifted(c candidate, longest Length, a *Answer) candidate {
	if !c.Usable || j.starts == 1 {
		return c
	}
	if a.PickUp != nil && a.PickUp.Rule == PickUpKeepClosed {
		return c.bounded(BoundKeepClosed, "between passes nothing brings the half-nut back to the same start, so it stays closed for this lead")
	}
	most := Millimetres(Int(shiftStart))
	if j.lathe.carriageTravel != nil {
		most = *j.lathe.carriageTravel
	}
	if longest.Cmp(most) > 0 {
		return c.bounded(BoundTravel, "a shift of "+longest.Exact(j.system)+" is more than the carriage may go: "+most.Exact(j.system))
	}
	return c
}

// effort is what a way costs besides its error: minutes from one start to the next,
// and how many things can be got wrong on the way (common practice, no source).
type effort struct {
	minutes float64
	slips   int
}

var efforts = map[string]effort{
	ByThreadDial:       {0.2, 1}, // the line
	ByCompoundParallel: {0.5, 2}, // the reading, the backlash
	ByHalfNut:          {0.5, 3}, // the line, the count, the moment
	ByCompoundAngled:   {1, 4},   // two readings, two backlashes
	ByChuckJaws:        {1.5, 1}, // the station
	ByDrivePlateSlots:  {1.5, 1},
	ByFaceplateSlots:   {1.5, 1},
	ByCarriageShift:    {2, 3}, // the measure, its beginning, the closing
	ByIndexHoles:       {3, 3}, // the hole, the mesh, the slack
	ByStudGear:         {4, 4}, // the marks, the count, the mesh, the slack
	ByLeadscrewGear:    {4, 4},
}
