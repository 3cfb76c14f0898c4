package threadmath

import (
	"math"
	"sort"
	"strconv"
)

// The indexing methods, in the order in which they stand where nothing else
// decides.
const (
	ByThreadDial       = "thread-dial"
	ByHalfNut          = "half-nut"
	ByCarriageShift    = "carriage-shift"
	ByCompoundParallel = "compound-parallel"
	ByCompoundAngled   = "compound-angled"
	ByChuckJaws        = ChuckJaws
	ByFaceplateSlots   = FaceplateSlots
	ByDrivePlateSlots  = DrivePlateSlots
	ByIndexHoles       = IndexHoles
	ByStudGear         = "stud-gear"
	ByLeadscrewGear    = "leadscrew-gear"
)

// index answers every way of picking up a groove again and of getting from one
// start to the next.
func (j *job) index(a *Answer) {
	n := j.nut()
	a.HalfNut = j.halfNut(n)
	a.ThreadDials = j.threadDials(n)
	a.PickUp = j.pickUp(n, a.ThreadDials)
	a.CarriageShift = j.carriageShift(n)
	a.CompoundSlide = j.parallelSlide()
	a.AngledSlide = j.angledSlide()
	a.Holders = j.holders()
	a.Gearbox, a.GearTrains = j.gearbox(), j.gearTrains()
	train := j.trainOf(a)
	a.StudGear = j.studGear(train)
	a.LeadscrewGear = j.leadscrewGear(train)
	a.Methods = j.methods(n, a)
}

// PitchDiameterCost returns how much of the pitch diameter an axial spacing
// error between starts uses up, in the unit of the error:
//
//	2·e/(tan α1 + tan α2)
//
// 1.732 e at 60°, 3.867 e at 29°, 3.732 e at 30°. It is defined for e ≥ 0; a
// form without inclined flanks takes the error from axial play instead, and ok
// is false. Float64, relative error below 1e-14. Source: geometry of two
// straight flanks, the drunken-thread or pitch-error equivalent of the gauge
// makers' handbooks (from memory); the tests check it against flanks moved numerically.
func PitchDiameterCost(f Form, spacing float64) (cost float64, ok bool) {
	t := math.Tan(f.LoadFlankDeg*math.Pi/180) + math.Tan(f.ClearanceFlankDeg*math.Pi/180)
	if t == 0 {
		return 0, false
	}
	return 2 * spacing / t, true
}

// pitchDiameterCost is PitchDiameterCost of the job's form; nil where form or
// error is not known. No error costs exactly nothing.
func (j *job) pitchDiameterCost(spacing *Dimension) *Dimension {
	if j.form == nil || spacing == nil {
		return nil
	}
	cost, ok := PitchDiameterCost(*j.form, spacing.MM())
	switch {
	case !ok:
		return nil
	case cost == 0:
		return j.dimp(Length{})
	}
	return approx(cost)
}

// axialCost is the pitch-diameter cost of an axial error of e mm.
func (j *job) axialCost(e float64) *Dimension { return j.pitchDiameterCost(approx(e)) }

// candidate is a method with what ranks it.
type candidate struct {
	Method
	known      bool // the request says enough to judge it
	opensTrain bool
}

// exact makes a usable method that lands on every start exactly.
func (j *job) exact(name, why string) candidate {
	zero := j.dimp(Length{})
	return candidate{known: true, Method: Method{Method: name, Usable: true, Why: why, SpacingError: zero, PitchDiameterCost: j.pitchDiameterCost(zero)}}
}

func useless(name, why string) candidate {
	return candidate{known: true, Method: Method{Method: name, Why: why}}
}

func unsaid(name, what string) candidate {
	return candidate{Method: Method{Method: name, Why: "not judged: the request does not give " + what}}
}

// methods ranks every indexing method. Usable ones come first: within the bounds of
// the lathe and of who works at it, see bounds.go. Then those that are exact enough,
// with a cost of at most a quarter of the pitch-diameter tolerance (a twentieth of
// the pitch without a class); of these the one that is soonest done, then the one
// with the fewest things to get wrong, then the least cost. Unknown errors stand
// after known ones. It is nil where the request gives no method at all.
func (j *job) methods(n *nut, a *Answer) []Method {
	list := []candidate{
		j.dialMethod(n, a), j.halfNutMethod(n, a), j.shiftMethod(n, a), j.parallelMethod(a), j.angledMethod(a),
		j.holderMethod(ByChuckJaws, a), j.holderMethod(ByFaceplateSlots, a), j.holderMethod(ByDrivePlateSlots, a), j.holderMethod(ByIndexHoles, a),
		j.gearMethod(ByStudGear, a.StudGear, "the stud gear"), j.gearMethod(ByLeadscrewGear, a.LeadscrewGear, "leadscrew and leadscrew gear"),
	}
	known := false
	for i := range list {
		known = known || list[i].known
		j.explainCost(&list[i])
	}
	if !known {
		return nil
	}
	sort.SliceStable(list, func(x, y int) bool { return j.better(list[x], list[y]) })
	out := make([]Method, len(list))
	for i, c := range list {
		out[i] = c.Method
	}
	return out
}

// better reports whether a ranks before b.
func (j *job) better(a, b candidate) bool {
	ga, gb := j.grade(a), j.grade(b)
	switch {
	case ga != gb:
		return ga < gb
	case !a.Usable:
		return false
	}
	ea, eb := efforts[a.Method.Method], efforts[b.Method.Method]
	switch {
	case ea.minutes != eb.minutes:
		return ea.minutes < eb.minutes
	case ea.slips != eb.slips:
		return ea.slips < eb.slips
	case a.SpacingError == nil || b.SpacingError == nil:
		return false
	}
	// Within one job the cost grows with the spacing error.
	return a.SpacingError.MM() < b.SpacingError.MM()
}

// grade sorts the candidates before effort and cost do.
func (j *job) grade(c candidate) int {
	switch {
	case !c.Usable:
		return 3
	case c.SpacingError == nil:
		return 2
	}
	tolerance, ok := j.pitchDiameterTolerance()
	if !ok {
		tolerance = j.pitch.MM() * classlessBand
	}
	// Flanks of 0° lose no pitch diameter: their axial play is taken for it.
	cost := c.SpacingError.MM()
	if c.PitchDiameterCost != nil {
		cost = c.PitchDiameterCost.MM()
	}
	if cost > tolerance/4 {
		return 1
	}
	return 0
}

// explainCost adds to a usable method's reason what its error does to the fit.
func (j *job) explainCost(c *candidate) {
	if !c.Usable || j.starts == 1 {
		return
	}
	switch {
	case c.SpacingError == nil:
		c.Why += "; its error is not known"
	case c.SpacingError.MM() == 0:
		c.Why += "; exact"
	case c.PitchDiameterCost == nil && j.form != nil:
		c.Why += "; its error is taken from axial play"
	case c.PitchDiameterCost == nil:
	default:
		if tolerance, ok := j.pitchDiameterTolerance(); ok && tolerance > 0 {
			share := c.PitchDiameterCost.MM() / tolerance
			percent := strconv.FormatFloat(100*share, 'f', 0, 64)
			if share < 0.01 {
				percent = "less than 1"
			}
			c.Why += "; its error uses " + percent + " % of the pitch-diameter tolerance"
			if share > 0.25 {
				c.Why += ", more than a quarter"
			}
		}
	}
	if c.opensTrain {
		c.Why += "; the gear train is opened"
	}
}

func (j *job) dialMethod(n *nut, a *Answer) candidate {
	const name = ByThreadDial
	switch {
	case n != nil && !n.has:
		return useless(name, "the lathe has no half-nut")
	case j.lathe.dials != nil && len(j.lathe.dials) == 0:
		return useless(name, "the lathe has no thread dial")
	case j.lathe.dials == nil || n == nil:
		return unsaid(name, "leadscrew and thread dial")
	}
	varies := false
	for _, d := range a.ThreadDials {
		line := make([]int, j.starts) // the first line of each start, plus one
		missing := j.starts
		for _, l := range d.Lines {
			varies = varies || l.Catches == CatchesVaries
			if l.Catches == CatchesStart && line[l.Start-1] == 0 {
				line[l.Start-1] = l.Line + 1
				missing--
			}
		}
		if missing > 0 {
			continue
		}
		why := "dial of " + strconv.Itoa(d.Teeth) + " teeth, " + strconv.Itoa(d.Graduations) + " lines: "
		for i, l := range line {
			if i > 0 {
				why += ", "
			}
			why += "start " + strconv.Itoa(i+1) + " on line " + strconv.Itoa(l-1)
		}
		return j.closedRunning(j.exact(name, why), a)
	}
	for _, d := range a.ThreadDials {
		if len(d.Between) == 0 {
			continue
		}
		why := "the dial of " + strconv.Itoa(d.Teeth) + " teeth has no line for every start, but the half-nut closes between them:"
		for k, x := range d.Between {
			if k > 0 {
				why += ","
			}
			why += " start " + strconv.Itoa(x.Start) + " lies " + strconv.FormatInt(x.LeadscrewThreads, 10) + " leadscrew threads past line " + strconv.Itoa(x.PastLine)
		}
		return useless(name, why)
	}
	if varies {
		return useless(name, "no dial has a line for every start that catches it on every turn; a line that varies is never used")
	}
	return useless(name, "no dial has a line for every start")
}

// unreached says why whole leadscrew threads do not reach every start.
func (j *job) unreached(n *nut) string {
	return "whole leadscrew threads reach " + strconv.Itoa(n.reached()) + " of " + strconv.Itoa(j.starts) + " starts"
}

func (j *job) halfNutMethod(n *nut, a *Answer) candidate {
	switch {
	case n == nil:
		return unsaid(ByHalfNut, "the leadscrew")
	case !n.has:
		return useless(ByHalfNut, "the lathe has no half-nut")
	case !a.HalfNut.AllStarts:
		return useless(ByHalfNut, j.unreached(n)+"; every other closing cuts a false path")
	}
	why := "close after"
	for i, r := range a.HalfNut.Reaches[1:] {
		if i > 0 {
			why += ","
		}
		why += " " + r.LeadscrewThreads.String()
	}
	why += " leadscrew threads, counted from a true closing of start 1, for the other starts in order"
	if j.starts == 1 {
		why = "one start: nothing to index"
	}
	c := j.exact(ByHalfNut, why)
	for _, r := range a.HalfNut.Reaches {
		c = j.counting(c, r.LeadscrewThreads.Ratio, countThreadsStart, "leadscrew threads")
	}
	return j.closedRunning(c, a)
}

func (j *job) shiftMethod(n *nut, a *Answer) candidate {
	switch {
	case n == nil:
		return unsaid(ByCarriageShift, "the leadscrew")
	case !a.CarriageShift.Usable:
		return useless(ByCarriageShift, a.CarriageShift.Why)
	}
	longest := Length{}
	for _, s := range a.CarriageShift.Shifts {
		d := s.Distance
		if s.Clears != nil {
			d = *s.Clears
		}
		if l, _ := d.Exact(); l.Cmp(longest) > 0 {
			longest = l
		}
	}
	return j.shifted(j.exact(ByCarriageShift, "shifts of up to "+longest.Exact(j.system)+" against the travel are whole leadscrew threads"), longest, a)
}

func (j *job) parallelMethod(a *Answer) candidate {
	s := a.CompoundSlide
	switch {
	case s == nil:
		return unsaid(ByCompoundParallel, "the compound slide")
	case !s.Usable:
		return useless(ByCompoundParallel, s.Why)
	}
	why := "set parallel to the axis and moved with the travel; it cannot be the infeed slide then: plunge with the cross-slide"
	if s.FitsTravel == nil {
		why += "; its travel is not known"
	}
	return candidate{known: true, Method: Method{Method: ByCompoundParallel, Usable: true, Why: why, SpacingError: s.SpacingError, PitchDiameterCost: s.PitchDiameterCost}}
}

func (j *job) angledMethod(a *Answer) candidate {
	s := a.AngledSlide
	switch {
	case s == nil:
		return unsaid(ByCompoundAngled, "compound slide and infeed angle")
	case !s.Usable:
		return useless(ByCompoundAngled, s.Why)
	}
	why := "move " + j.short(s.SlidePerPitch.MM()) + " a start with the travel, cross-slide withdrawn " + j.short(s.CrossSlideWithdrawal.MM()) +
		"; an angle set 1° wrong spoils each step by " + j.short(s.SpacingPerDegree.MM())
	if s.FitsTravel == nil {
		why += "; its travel is not known"
	}
	m := Method{Method: ByCompoundAngled, Usable: true, Why: why, SpacingError: s.SpacingError, PitchDiameterCost: s.PitchDiameterCost}
	return candidate{known: true, Method: m}
}

// holderMethod judges the best holder of the kind.
func (j *job) holderMethod(kind string, a *Answer) candidate {
	if j.lathe.holders == nil {
		return unsaid(kind, "holders")
	}
	best := useless(kind, "the lathe has none")
	found := false
	for _, h := range a.Holders {
		if h.Kind != kind {
			continue
		}
		c := useless(kind, h.Why)
		if h.Usable {
			why := strconv.Itoa(h.Stations) + " stations, every " + ordinal(h.Stations/j.starts) + " " + h.Counted
			c = candidate{known: true, Method: Method{Method: kind, Usable: true, Why: why, SpacingError: h.SpacingError, PitchDiameterCost: h.PitchDiameterCost}}
		}
		c.opensTrain = kind == IndexHoles
		if !found || j.better(c, best) {
			best, found = c, true
		}
	}
	return best
}

func (j *job) gearMethod(name string, g *GearIndex, what string) candidate {
	switch {
	case g == nil && j.trainShut():
		return useless(name, trainShut)
	case g == nil:
		return unsaid(name, what)
	case !g.Usable:
		return useless(name, g.Why)
	}
	why := g.TeethPerStart.String() + " teeth a start"
	if g.SpindleTurns != nil {
		why += ", the spindle turned forward " + g.SpindleTurns.String() + " turns"
	} else {
		why += ", turned in the driving direction with the spindle still"
	}
	if g.Wheel > 0 {
		why += ", counted on the wheel of " + strconv.Itoa(g.Wheel)
	}
	c := j.exact(name, why)
	c.opensTrain = true
	return j.counting(c, g.TeethPerStart.Ratio, countTeethStart, "teeth")
}

// ordinal writes 1st, 2nd, 3rd, 4th.
func ordinal(n int) string {
	suffix := "th"
	if n%100/10 != 1 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return strconv.Itoa(n) + suffix
}

// short writes mm in the job's unit with four digits.
func (j *job) short(mm float64) string {
	return strconv.FormatFloat(ApproxDimension(mm).Value(j.system), 'g', 4, 64) + " " + j.system.String()
}
