package threadmath

// GearboxAnswer names the setting that cuts the lead exactly.
type GearboxAnswer struct {
	Usable  bool   `json:"usable"`
	Setting string `json:"setting,omitempty"`
	Why     string `json:"why,omitempty"`
}

// gearbox returns the setting of the gearbox whose lead is exactly the job's,
// as the request writes it; nil where the settings are not known. Exact: the
// leads are compared as rationals, so 8 per inch never passes for 3.175 mm by
// rounding but does where both are exactly 1/8 in.
//
// A gearbox is set to the lead. The setting for the pitch is the commonest slip
// with several starts, so Why names it where the box has it.
func (j *job) gearbox() *GearboxAnswer {
	settings := j.lathe.gearbox
	if settings == nil {
		return nil
	}
	var below, above, pitch *gearboxSetting
	for i := range settings {
		s := &settings[i]
		switch c := s.lead.Cmp(j.lead); {
		case c == 0:
			return &GearboxAnswer{Usable: true, Setting: s.text}
		case c < 0 && (below == nil || s.lead.Cmp(below.lead) > 0):
			below = s
		case c > 0 && (above == nil || s.lead.Cmp(above.lead) < 0):
			above = s
		}
		if s.lead.Equal(j.pitch) {
			pitch = s
		}
	}
	why := "no setting cuts a lead of " + j.lead.Exact(j.system) + " exactly"
	switch {
	case below != nil && above != nil:
		why += "; the nearest are " + below.text + " and " + above.text
	case below != nil:
		why += "; the longest is " + below.text
	case above != nil:
		why += "; the shortest is " + above.text
	}
	if pitch != nil {
		why += "; " + pitch.text + " is the pitch, and a gearbox is set to the lead"
	}
	return &GearboxAnswer{Why: why}
}
