package threadmath

// iso965Zone is a tolerance grade and position.
type iso965Zone struct {
	grade    int
	position string
}

// iso965Class reads an ISO 965-1 class such as 6g, 4g6g, 6H or 5H6H: first the
// pitch diameter's zone, then the crest diameter's where it differs.
func iso965Class(text string, internal bool) (limiter, bool) {
	var zones [2]iso965Zone
	rest := text
	for i := range zones {
		if i == 1 && rest == "" {
			zones[1] = zones[0]
			break
		}
		var ok bool
		if zones[i].grade, zones[i].position, rest, ok = gradeAndPosition(rest); !ok {
			return nil, false
		}
	}
	pitch, crest := zones[0], zones[1]
	if rest != "" || !iso965Position(pitch.position, internal) || !iso965Position(crest.position, internal) {
		return nil, false
	}
	switch {
	case internal:
		if pitch.grade < 4 || pitch.grade > 8 || crest.grade < 4 || crest.grade > 8 {
			return nil, false
		}
	case pitch.grade < 3 || pitch.grade > 9 || crest.grade != 4 && crest.grade != 6 && crest.grade != 8:
		return nil, false
	case pitch.position == "az" || crest.position == "az":
		if text != "6az" {
			return nil, false
		}
	}
	return func(j *job) Limits { return j.iso965(pitch, crest) }, true
}

// iso965Seen reports whether published limits were read for the zone: grade 6,
// and 4 for pitch diameters, in g, h, G, H and az. Of the others the tables were
// written from memory and only checked against the standard's formulas.
func iso965Seen(z iso965Zone) bool {
	return (z.grade == 4 || z.grade == 6) && z.position != "e" && z.position != "f"
}

func iso965Position(p string, internal bool) bool {
	switch p {
	case "G", "H":
		return internal
	case "e", "f", "g", "h", "az":
		return !internal
	}
	return false
}

// iso965 returns the limits of an ISO metric thread, in whole µm:
// basic pitch and minor diameters (ISO 724) rounded to 0.001 mm, then the
// fundamental deviation and the tolerances of ISO 965-1's tables. No diameter
// limits the root of an external thread, nor the root of an internal one from
// above: the standard rounds or leaves them.
func (j *job) iso965(pitchZone, crestZone iso965Zone) Limits {
	out := Limits{Source: "ISO 965-1 tables 1 to 5, on the basic diameters of ISO 724"}
	none := func(why string) Limits {
		out.Why = why
		return out
	}
	pitch, ok := micrometres(j.pitch)
	row := iso965Pitches[pitch]
	if !ok || row.td1[0] == 0 {
		return none("pitch " + j.pitch.Exact(Metric) + " is not in the tables of ISO 965-1, so there are no figures")
	}
	widths, ok := iso965Widths(*j.diameter, pitch)
	if !ok {
		return none("the tables of ISO 965-1 have no pitch " + j.pitch.Exact(Metric) + " at the diameter " + j.diameter.Exact(Metric) + ", so there are no figures")
	}
	pitchShift, ok1 := row.deviation(pitchZone.position)
	crestShift, ok2 := row.deviation(crestZone.position)
	if pitchZone.position == "az" {
		out.Source = "ISO 965-4 (hot-dip galvanized: before coating), tolerances of ISO 965-1"
		if !iso965CoarseAZ(*j.diameter, pitch) {
			return none("ISO 965-4 gives 6az for coarse threads M10 to M64 only, so there are no figures")
		}
		pitchShift = 300 + pitch/50
		crestShift, ok1, ok2 = pitchShift, true, true
	}
	if !ok1 || !ok2 {
		return none("ISO 965-1 gives no such position for pitch " + j.pitch.Exact(Metric) + ", so there are no figures")
	}
	var pitchWidth, crestWidth int
	if j.internal {
		pitchWidth, crestWidth = widths.internal[pitchZone.grade-4], row.td1[crestZone.grade-4]
	} else {
		pitchWidth, crestWidth = widths.external[pitchZone.grade-3], row.td[crestZone.grade/2-2]
		pitchShift, crestShift = -pitchShift, -crestShift
	}
	if !iso965Seen(pitchZone) || !iso965Seen(crestZone) || crestZone.grade != 6 {
		out.Source += " (this grade or position is held from memory of the standard, confirm)"
	}
	if pitchWidth == 0 || crestWidth == 0 {
		return none("ISO 965-1 gives no such grade for pitch " + j.pitch.Exact(Metric) + " at this diameter, so there are no figures")
	}
	basicPitchDiameter := roundMicrometres(j.pitchDiameter.mm)
	out.PitchDiameter = j.from(basicPitchDiameter.Add(um(pitchShift)), um(pitchWidth))
	if j.internal {
		out.MajorDiameter = &LimitOfSize{Min: j.dimp(j.diameter.Add(um(crestShift)))}
		out.MinorDiameter = j.from(roundMicrometres(j.minorDiameter.mm).Add(um(crestShift)), um(crestWidth))
	} else {
		out.MajorDiameter = j.from(j.diameter.Add(um(crestShift)), um(crestWidth))
		out.Source += "; the minor diameter is limited by the root's contour (radius at least P/8), not by a size"
	}
	return out
}

// deviation returns the size of the fundamental deviation in µm; ok is false
// where the table has no entry.
func (r iso965Pitch) deviation(position string) (um int, ok bool) {
	switch position {
	case "h", "H":
		return 0, true
	case "g", "G":
		return r.g, true
	case "f":
		return r.f, r.f != 0
	case "e":
		return r.e, r.e != 0
	}
	return 0, false
}

// iso965Widths returns the pitch diameter tolerances of the diameter's step.
func iso965Widths(d Length, pitch int) (iso965PitchDiameter, bool) {
	if d.Cmp(um(990)) <= 0 {
		return iso965PitchDiameter{}, false
	}
	for _, step := range iso965Steps {
		if d.Cmp(um(step.upTo)) <= 0 {
			w, ok := step.pitches[pitch]
			return w, ok
		}
	}
	return iso965PitchDiameter{}, false
}

// iso965CoarseAZ reports whether ISO 965-4 has the size.
func iso965CoarseAZ(d Length, pitch int) bool {
	n, whole := d.In(Metric).Int64()
	return whole && pitch != 0 && iso965AZ[int(n)] == pitch
}

// iso965AZ is the pitch in µm of the coarse sizes M10 to M64 (ISO 262).
var iso965AZ = map[int]int{
	10: 1500, 12: 1750, 14: 2000, 16: 2000, 18: 2500, 20: 2500, 22: 2500, 24: 3000, 27: 3000, 30: 3500,
	33: 3500, 36: 4000, 39: 4000, 42: 4500, 45: 4500, 48: 5000, 52: 5000, 56: 5500, 60: 5500, 64: 6000,
}
