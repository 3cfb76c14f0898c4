package threadmath

import "math"

// reserve is the travel kept beyond the moves: one pitch, and the lost motion of
// the slide where that is known, so that it can be taken up with the travel.
func (j *job) reserve(s *slide) Length {
	r := j.pitch
	if s != nil && s.backlash != nil {
		r = r.Add(*s.backlash)
	}
	return r
}

// parallelSlide moves a slide set parallel to the axis with the tool's travel,
// i·P measured from zero each time, which lands on start n+1−i.
func (j *job) parallelSlide() *ParallelSlide {
	s := j.lathe.compound
	if s == nil {
		return nil
	}
	reserve := j.reserve(s)
	needs := j.pitch.Times(j.starts - 1).Add(reserve)
	out := &ParallelSlide{
		Usable: true, Needs: j.dim(needs), Reserve: j.dim(reserve),
		PerDegree: ApproxDimension(j.pitch.MM() * math.Sin(math.Pi/180)),
		Moves:     make([]Move, j.starts),
	}
	if s.backlash != nil {
		out.Backlash = j.dimp(*s.backlash)
	}
	if s.travel != nil {
		fits := s.travel.Cmp(needs) >= 0
		out.FitsTravel, out.Usable = &fits, fits
		if !fits {
			out.Why = "the slide travels " + s.travel.Exact(j.system) + ", the moves and the reserve need " + needs.Exact(j.system)
		}
	}
	var low, high Length
	for i := range out.Moves {
		m := &out.Moves[i]
		distance := j.pitch.Times(i)
		m.Move, m.Start, m.Distance = i, againstTravel(i, j.starts), j.dim(distance)
		if s.graduation == nil {
			continue
		}
		moved := s.set(m, distance.Quo(s.perDivision()), j.system)
		left := moved.Sub(distance)
		m.Error = j.dimp(left)
		if left.Cmp(low) < 0 {
			low = left
		}
		if left.Cmp(high) > 0 {
			high = left
		}
	}
	if s.graduation != nil {
		out.SpacingError = j.dimp(high.Sub(low))
		out.PitchDiameterCost = j.pitchDiameterCost(out.SpacingError)
	}
	return out
}

// perDivision is how far the slide moves for one division of its collar.
func (s *slide) perDivision() Length {
	if s.readsDiameter {
		return s.graduation.Div(2)
	}
	return *s.graduation
}

// set writes the nearest collar setting into the move, halves away from zero,
// and returns how far the slide has then moved.
func (s *slide) set(m *Move, divisions Ratio, system System) Length {
	whole := divisions.Round()
	moved := s.perDivision().Mul(whole)
	reading := ExactDimension(moved, system)
	m.Reading = &reading
	if s.readsDiameter {
		shown := ExactDimension(s.graduation.Mul(whole), system)
		m.CollarShows = &shown
	}
	left := whole
	if s.perTurn != nil {
		perTurn := s.perTurn.Quo(*s.graduation)
		turns := Whole{whole.Quo(perTurn).Floor()}
		left = whole.Sub(turns.Mul(perTurn))
		m.Turns = &turns
	}
	m.Divisions = &Whole{left}
	return moved
}

// leastIndexAngleDeg is the least angle of an angled slide that is computed
// with: below it the slide hardly moves along the axis.
const leastIndexAngleDeg = 0.01

// angledSlide uses the compound at its infeed angle θ from the cross-slide: a
// move s shifts the tool s·sin θ along and s·cos θ in, so that a pitch needs
// s = P/sin θ and the cross-slide withdrawn by P/tan θ.
func (j *job) angledSlide() *AngledSlide {
	if j.cut.angleDeg == nil || j.lathe.compound == nil {
		return nil
	}
	s, deg := j.lathe.compound, *j.cut.angleDeg
	out := &AngledSlide{InfeedAngleDeg: deg, Moves: []Move{}}
	if deg < leastIndexAngleDeg {
		out.Why = "at this angle the slide does not move along the axis"
		return out
	}
	theta := deg * math.Pi / 180
	perPitch := j.pitch.MM() / math.Sin(theta)
	withdrawal := j.pitch.MM() / math.Tan(theta)
	out.Usable = true
	out.SlidePerPitch, out.CrossSlideWithdrawal = approx(perPitch), approx(withdrawal)
	reserve := j.reserve(s).MM() / math.Sin(theta)
	out.Reserve = approx(reserve)
	needs := float64(j.starts-1)*perPitch + reserve
	if j.prop != nil {
		infeed := j.depthOfCut.mm / math.Cos(theta)
		out.Infeed = approx(infeed)
		needs += infeed
	}
	out.Needs = approx(needs)
	if s.travel != nil {
		fits := s.travel.MM() >= needs
		out.FitsTravel, out.Usable = &fits, fits
		if !fits {
			out.Why = "the slide travels " + s.travel.Exact(j.system) + ", moves, infeed and reserve need " + j.short(needs)
		}
	}
	// Set low the angle costs more than set high: sin(θ−1°)/sin θ.
	const degree = math.Pi / 180
	out.SpacingPerDegree = approx(j.pitch.MM() * (1 - math.Cos(degree) + math.Sin(degree)/math.Tan(theta)))
	out.Moves = make([]Move, j.starts)
	var low, high float64 // of the collar's own errors, along the slide
	for i := range out.Moves {
		m := &out.Moves[i]
		distance := float64(i) * perPitch
		m.Move, m.Start, m.Distance = i, againstTravel(i, j.starts), ApproxDimension(distance)
		m.Withdrawal = approx(float64(i) * withdrawal)
		if s.graduation == nil {
			continue
		}
		// A whole number of divisions below 2⁵³ is exact as a float64.
		divisions := math.Round(distance / s.perDivision().MM())
		if divisions > 1<<53 {
			continue
		}
		moved := s.set(m, Int(int64(divisions)), j.system)
		left := moved.MM() - distance
		m.Error = approx(left)
		low, high = min(low, left), max(high, left)
	}
	switch {
	case j.starts == 1:
		out.SpacingError = j.dimp(Length{})
	case s.graduation != nil:
		base := baseErrorStart
		if s.baseErrorDeg != nil {
			base = *s.baseErrorDeg
		}
		// The furthest move takes (n−1) times the error of a step. The infeed goes
		// along the same slide, but alike for every start.
		delta := base * degree
		step := j.pitch.MM() * (1 - math.Cos(delta) + math.Sin(delta)/math.Tan(theta))
		out.SpacingError = approx((high-low)*math.Sin(theta+delta) + float64(j.starts-1)*step)
	}
	if out.SpacingError == nil {
		return out
	}
	out.PitchDiameterCost = j.pitchDiameterCost(out.SpacingError)
	if radial := j.angledRadial(theta); radial > 0 && out.PitchDiameterCost != nil {
		out.PitchDiameterCost = approx(out.PitchDiameterCost.MM() + 2*radial)
	}
	return out
}

// angledRadial is how much deeper one start may come than another, in mm: the compound
// and the cross-slide that takes its infeed back are each set to a division, and an
// angle set δ wrong moves the tool (n−1)·P·δ in or out.
func (j *job) angledRadial(theta float64) float64 {
	if j.starts == 1 {
		return 0
	}
	s, cross := j.lathe.compound, j.lathe.cross
	base := baseErrorStart
	if s.baseErrorDeg != nil {
		base = *s.baseErrorDeg
	}
	out := float64(j.starts-1) * j.pitch.MM() * base * math.Pi / 180
	out += s.perDivision().MM() / 2 * math.Cos(theta)
	if cross != nil && cross.graduation != nil {
		out += cross.perDivision().MM() / 2
	}
	return out
}
