package threadmath

import (
	"math"
	"strings"
)

// Speed is the spindle speed that the material asks for. Threading runs well
// under turning speed, and the run-out may ask for less still: the lower of
// the two counts.
type Speed struct {
	Material string `json:"material,omitempty"`
	// TurningMPerMin is the range of surface speeds for turning.
	TurningMPerMin *SpeedRange `json:"turning_m_per_min,omitempty"`
	// ThreadingMPerMin is the range for threading.
	ThreadingMPerMin SpeedRange `json:"threading_m_per_min"`
	// ThreadingRPM is the same as spindle speed at the major diameter.
	ThreadingRPM *SpeedRange `json:"threading_rpm,omitempty"`
	// NextLowerRPM is the lathe's greatest speed not above that range's high end.
	NextLowerRPM *float64 `json:"next_lower_rpm,omitempty"`
	Source       string   `json:"source"`
}

// SpeedRange is a range of speeds.
type SpeedRange struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

func (r SpeedRange) times(k float64) SpeedRange { return SpeedRange{r.Low * k, r.High * k} }

const (
	metresPerFoot = 0.3048 // exact
	// threadingShare of turning speed: Jones cuts a thread at 30 ft/min on a job
	// turned at 130 (Turning and Boring, 1914, ch. V-VI); a quarter is common
	// practice, no source.
	threadingShare = 0.25
)

const (
	jones1914      = "turning speed: Jones, Turning and Boring (1914), ch. II, carbon or early high-speed steel tools"
	commonPractice = "turning speed: common practice, no source"
)

// materials holds turning speeds in ft/min.
var materials = []struct {
	names   []string
	turning SpeedRange
	source  string
}{
	{[]string{"machine steel", "mild steel", "steel"}, SpeedRange{45, 65}, jones1914},
	{[]string{"tool steel"}, SpeedRange{25, 35}, jones1914},
	{[]string{"brass"}, SpeedRange{150, 200}, jones1914},
	{[]string{"cast iron"}, SpeedRange{45, 60}, commonPractice},
	{[]string{"bronze"}, SpeedRange{60, 100}, commonPractice},
	{[]string{"stainless steel"}, SpeedRange{40, 60}, commonPractice},
	{[]string{"aluminium", "aluminum"}, SpeedRange{200, 300}, commonPractice},
	{[]string{"plastic"}, SpeedRange{150, 250}, commonPractice},
}

// SpindleRPM returns N = V/(π·d) in rev/min for a surface speed in m/min and a
// diameter in mm. Both must be above 0 and finite, otherwise a DomainError.
// Float, error below 1e-15 of the value. Source: Jones, Turning and Boring
// (1914), ch. II, "Rules for Calculating Cutting Speeds".
func SpindleRPM(metresPerMinute, diameterMM float64) (float64, error) {
	for _, v := range []struct {
		name  string
		value float64
	}{{"surface speed", metresPerMinute}, {"diameter", diameterMM}} {
		if !(v.value > 0) || math.IsInf(v.value, 1) {
			return 0, &DomainError{Quantity: v.name, Value: formatFloat(v.value), Range: "more than 0"}
		}
	}
	rpm := 1000 / math.Pi * (metresPerMinute / diameterMM)
	if math.IsInf(rpm, 1) {
		return 0, &DomainError{Quantity: "diameter", Value: formatFloat(diameterMM), Reason: "too small for that speed"}
	}
	return rpm, nil
}

// speed returns the spindle speed for the job's material, or for the surface
// speed that the request gives instead; nil where neither is known here.
func (j *job) speed() *Speed {
	s := &Speed{Material: j.cut.material}
	if v := j.cut.cuttingSpeed; v != nil {
		s.ThreadingMPerMin = SpeedRange{*v, *v}
		s.Source = "as given"
	} else {
		turning, source, ok := turningSpeed(j.cut.material)
		if !ok {
			return nil
		}
		t := turning.times(metresPerFoot)
		s.TurningMPerMin, s.ThreadingMPerMin = &t, t.times(threadingShare)
		s.Source = source + "; threading at a quarter of it: common practice, no source"
	}
	if j.diameter == nil {
		return s
	}
	d := j.diameter.MM()
	if j.form != nil {
		d = j.majorDiameter.mm
	}
	low, err1 := SpindleRPM(s.ThreadingMPerMin.Low, d)
	high, err2 := SpindleRPM(s.ThreadingMPerMin.High, d)
	if err1 == nil && err2 == nil {
		s.ThreadingRPM = &SpeedRange{low, high}
		s.NextLowerRPM = j.nextLower(high)
	}
	return s
}

// turningSpeed returns the range in ft/min for a material's name.
func turningSpeed(material string) (r SpeedRange, source string, ok bool) {
	name := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(material), "-", " "))
	for _, m := range materials {
		for _, n := range m.names {
			if n == name {
				return m.turning, m.source, true
			}
		}
	}
	return SpeedRange{}, "", false
}
