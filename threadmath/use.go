package threadmath

import "math"

// Use is what the screw does in service.
type Use struct {
	// Efficiency of raising the load, 0 to 1; collar friction not counted.
	Efficiency float64 `json:"efficiency"`
	// TorqueRaise and TorqueLower are in N·m; a negative TorqueLower is what holds
	// back a load that would run the screw by itself.
	TorqueRaise *float64 `json:"torque_raise,omitempty"`
	TorqueLower *float64 `json:"torque_lower,omitempty"`
	// SelfLocking says that the load cannot turn the screw.
	SelfLocking bool `json:"self_locking"`
	// NutAdvance is the travel per turn, the lead.
	NutAdvance Dimension `json:"nut_advance"`
	Why        string    `json:"why,omitempty"`
}

// screw is a loaded screw: lead and mean diameter in mm, flank angle in the
// axial section in radians, coefficient of friction of the thread.
type screw struct{ lead, diameter, flank, friction float64 }

// effectiveFriction is μ′ = μ/cos α_n with tan α_n = tan α·cos φ: the flank
// stands at α_n in the section square to the thread, and presses with 1/cos α_n
// of the load.
func (s screw) effectiveFriction() float64 {
	cosLead := 1 / math.Hypot(1, s.tanLead())
	return s.friction * math.Hypot(1, math.Tan(s.flank)*cosLead)
}

func (s screw) tanLead() float64 { return s.lead / (math.Pi * s.diameter) }

// raise returns the tangential force per axial force, tan(φ + ρ′); ok is false
// where friction jams the screw (φ + ρ′ ≥ 90°).
func (s screw) raise() (ratio float64, ok bool) {
	mu, t := s.effectiveFriction(), s.tanLead()
	if d := 1 - mu*t; d > 1e-12 {
		return (mu + t) / d, true
	}
	return 0, false
}

// lower returns tan(ρ′ − φ), negative where the load runs the screw.
func (s screw) lower() float64 {
	mu, t := s.effectiveFriction(), s.tanLead()
	return (mu - t) / (1 + mu*t)
}

// efficiency returns tan φ/tan(φ + ρ′), 0 where the screw jams.
func (s screw) efficiency() float64 {
	r, ok := s.raise()
	if !ok {
		return 0
	}
	return s.tanLead() / r
}

// use returns what the screw does in service; nil without a coefficient of
// friction, form and diameter; torques need the load.
//
//	raising  T = F·d2/2·tan(φ + ρ′)    lowering T = F·d2/2·tan(ρ′ − φ)
//	efficiency = tan φ/tan(φ + ρ′)     self-locking when tan ρ′ > tan φ
//
// with tan ρ′ = μ/cos α_n, α_n the loaded flank in the normal section and φ the
// lead angle at the pitch diameter d2. Collar friction is not part of it.
// Source: Khurmi & Gupta, A Textbook of Machine Design, ch. 17, whose square
// threads it reproduces; the book takes the flank in the axial section, which
// asks up to (1/cos α)/(1/cos α_n) more friction. Load in N, lengths in mm,
// torque in N·m; floats, error below 1e-12 of the value.
func (j *job) use() *Use {
	k := &j.cut
	if k.friction == nil || j.form == nil || j.diameter == nil {
		return nil
	}
	s := screw{
		lead: j.lead.MM(), diameter: j.pitchDiameter.mm,
		flank: j.form.LoadFlankDeg * math.Pi / 180, friction: *k.friction,
	}
	u := &Use{
		Efficiency: s.efficiency(), SelfLocking: s.effectiveFriction() > s.tanLead(),
		NutAdvance: j.dim(j.lead),
	}
	raise, ok := s.raise()
	if !ok {
		u.Why = "friction jams the screw: no torque raises the load"
	}
	if k.loadN != nil {
		arm := *k.loadN * s.diameter / 2000
		lower := arm * s.lower()
		u.TorqueLower = &lower
		if ok {
			up := arm * raise
			u.TorqueRaise = &up
		}
	}
	return u
}
