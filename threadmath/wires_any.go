package threadmath

import "math"

// BestWire returns the diameter in mm of the wire that touches the flanks at the
// pitch line of any groove with straight flanks of equal angle: w = P/(2·cos α),
// pitch in mm, α in degrees from the normal to the axis, 1 to 80. Other values
// give a DomainError. Float, error below 1e-15 of the value. Source: thread
// measuring wire formulas of NBS Handbook H28, as a gage maker's sheet gives them.
func BestWire(pitch, flankDeg float64) (float64, error) {
	v, err := anyVee(pitch, pitch, flankDeg)
	if err != nil {
		return 0, err
	}
	return v.best(), nil
}

// OverWires returns the measurement over wires in mm of any external thread with
// straight flanks of equal angle, the lead term included:
//
//	M = d2 − (P/2)·cot α + w·(1 + 1/sin α) + (w/2)·tan²φ·cos α·cot α
//
// with pitch diameter d2, pitch P, lead and wire w in mm, 0.00001 to 100000, and
// α in degrees, 1 to 80; φ is the lead angle at d2. It does not know the crest
// and the root, so whether the wire fits the groove is the caller's care; the
// answer's wires check it. How good the lead term is stands there too. Other
// values give a DomainError. Float, error below 1e-12 of the value.
func OverWires(pitchDiameter, pitch, lead, wire, flankDeg float64) (float64, error) {
	v, err := anyVee(pitch, lead, flankDeg)
	if err == nil {
		err = ordinaryLength("pitch diameter", pitchDiameter)
	}
	if err == nil {
		err = ordinaryLength("wire", wire)
	}
	if err != nil {
		return 0, err
	}
	return v.over(pitchDiameter, wire), nil
}

func anyVee(pitch, lead, flankDeg float64) (vee, error) {
	if err := ordinaryLength("pitch", pitch); err != nil {
		return vee{}, err
	}
	if err := ordinaryLength("lead", lead); err != nil {
		return vee{}, err
	}
	if !(flankDeg >= 1 && flankDeg <= 80) {
		return vee{}, &DomainError{Quantity: "flank angle", Value: formatFloat(flankDeg), Range: "1 to 80 degrees"}
	}
	return vee{pitch, lead, flankDeg * math.Pi / 180}, nil
}

// ordinaryLength refuses lengths in mm that no lathe meets.
func ordinaryLength(name string, mm float64) error {
	if !(mm >= shortest.MM() && mm <= longest.MM()) {
		return &DomainError{Quantity: name, Value: formatFloat(mm), Range: shortest.Exact(Metric) + " to " + longest.Exact(Metric)}
	}
	return nil
}
