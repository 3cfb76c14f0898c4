package threadmath

// carriageShift lists the measured shifts of the carriage: half-nut open,
// spindle stopped, back against the travel by j·P + i·L, which the half-nut can
// close on when it is a whole number of leadscrew threads. The shortest is the
// k·p′ of the half-nut's own arithmetic, and they repeat every b·p′.
func (j *job) carriageShift(n *nut) *CarriageShift {
	switch {
	case n == nil:
		return nil
	case !n.has:
		return &CarriageShift{Why: "the lathe has no half-nut", Shifts: []Shift{}}
	}
	out := &CarriageShift{Usable: n.all(), Shifts: make([]Shift, 0, n.reached())}
	if !out.Usable {
		out.Why = j.unreached(n)
	}
	period := n.closing.Mul(n.paths().Ratio)
	for i := range j.starts {
		k, ok := n.to(i)
		if !ok {
			continue
		}
		distance := n.closing.Mul(k)
		s := Shift{Start: i + 1, Distance: j.dim(distance)}
		if j.length != nil {
			if short := j.length.Sub(distance); short.Sign() > 0 {
				rounds := short.Quo(period).Neg().Floor().Neg() // upwards
				distance = distance.Add(period.Mul(rounds))
			}
			s.Clears = j.dimp(distance)
		}
		out.Shifts = append(out.Shifts, s)
	}
	return out
}
