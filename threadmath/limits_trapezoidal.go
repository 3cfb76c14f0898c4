package threadmath

// trapezoidalClass reads a class of ISO 2903: the grade and position of the
// pitch diameter; crest and root diameters always have positions h and H.
func trapezoidalClass(text string, internal bool) (limiter, bool) {
	grade, position, rest, ok := gradeAndPosition(text)
	if !ok || rest != "" || grade < 7 || grade > 9 {
		return nil, false
	}
	if internal && position != "H" || !internal && position != "e" && position != "c" {
		return nil, false
	}
	return func(j *job) Limits { return j.trapezoidalLimits(grade, position) }, true
}

// trapezoidalLimits returns the limits of an ISO metric trapezoidal thread in
// µm, from the tables of ISO 2903 on the basic diameters of ISO 2904:
// Td (grade 4) and TD1 (grade 4) by pitch, Td2 and TD2 by pitch and diameter,
// Td3 = 1.25·Td2 + |es|. Threads of several starts have a wider pitch diameter
// tolerance.
func (j *job) trapezoidalLimits(grade int, position string) Limits {
	out := Limits{Source: "ISO 2903, on the basic diameters of ISO 2904"}
	none := func(why string) Limits {
		out.Why = why
		return out
	}
	pitch, ok := micrometres(j.pitch)
	row, known := trapezoidalPitches[pitch]
	if !ok || !known {
		return none("pitch " + j.pitch.Exact(Metric) + " is not in the tables of ISO 2903, so there are no figures")
	}
	var widths trapezoidalPitchDiameter
	known = false
	if j.diameter.Cmp(um(5600)) > 0 {
		for _, step := range trapezoidalSteps {
			if j.diameter.Cmp(um(step.upTo)) <= 0 {
				widths, known = step.pitches[pitch]
				break
			}
		}
	}
	if !known {
		return none("the tables of ISO 2903 have no pitch " + j.pitch.Exact(Metric) + " at the diameter " + j.diameter.Exact(Metric) + ", so there are no figures")
	}
	if position != "e" || grade != 7 || pitch > 4000 {
		// Published limits were read for 7e up to P 4 only.
		out.Source += " (held from memory of the standard, confirm)"
	}
	if j.internal {
		width := j.severalStarts(widths.internal[grade-7], &out)
		out.MajorDiameter = &LimitOfSize{Min: j.dimp(j.majorDiameter.exact)}
		out.PitchDiameter = j.from(j.pitchDiameter.exact, um(width))
		out.MinorDiameter = j.from(j.minorDiameter.exact, um(row.td1))
		return out
	}
	es := row.e
	if position == "c" {
		es = row.c
	}
	single := widths.external[grade-7]
	// Td3 in quarter µm; halves go up except at P 1.5, whose printed 279 and 352
	// (279.5 and 352.5 by the formula) go down.
	quarters := 5*single + 4*es
	root := (quarters + 2) / 4
	if pitch == 1500 {
		root = (quarters + 1) / 4
	}
	out.MajorDiameter = j.from(*j.diameter, um(row.td))
	out.PitchDiameter = j.from(j.pitchDiameter.exact.Sub(um(es)), um(j.severalStarts(single, &out)))
	out.MinorDiameter = j.from(j.minorDiameter.exact, um(root))
	return out
}

// severalStarts widens a pitch diameter tolerance for the job's starts and says
// so. The factors are from memory of ISO 2903 clause 10.
func (j *job) severalStarts(width int, out *Limits) int {
	if j.starts == 1 {
		return width
	}
	factors := []int{112, 125, 140, 160} // hundredths, for 2, 3, 4, 5 and more starts
	texts := []string{"1.12", "1.25", "1.4", "1.6"}
	i := min(j.starts-2, len(factors)-1)
	out.MultiStart = "the pitch diameter tolerance of the single-start thread is multiplied by " + texts[i] +
		" for the starts; all other limits are those of the single-start thread (factors from memory of ISO 2903 clause 10: confirm before use)"
	return (width*factors[i] + 50) / 100
}

// trapezoidalPitch is a row of ISO 2903's tables by pitch, µm: |es| of c and e,
// Td and TD1 of grade 4.
type trapezoidalPitch struct{ c, e, td, td1 int }

// The tables of ISO 2903, written from memory of the standard; the 7e values of
// the smaller sizes were seen in a published table (the package's tests), the
// rest is checked against the steps between grades and the formulas of
// ISO 965-1 that the standard builds on.
var trapezoidalPitches = map[int]trapezoidalPitch{
	1500:  {140, 67, 150, 190},
	2000:  {150, 71, 180, 236},
	3000:  {170, 85, 236, 315},
	4000:  {190, 95, 300, 375},
	5000:  {212, 106, 335, 450},
	6000:  {236, 118, 375, 500},
	7000:  {250, 125, 425, 560},
	8000:  {265, 132, 450, 630},
	9000:  {280, 140, 500, 670},
	10000: {300, 150, 530, 710},
	12000: {335, 160, 600, 800},
	14000: {355, 180, 670, 900},
	16000: {375, 190, 710, 1000},
	18000: {400, 200, 800, 1120},
	20000: {425, 212, 850, 1180},
	22000: {450, 224, 900, 1250},
	24000: {475, 236, 950, 1320},
	28000: {500, 250, 1060, 1500},
	32000: {530, 265, 1120, 1600},
	36000: {560, 280, 1250, 1800},
	40000: {600, 300, 1320, 1900},
	44000: {630, 315, 1400, 2000},
}

// trapezoidalPitchDiameter holds Td2 and TD2 of grades 7, 8 and 9, µm.
type trapezoidalPitchDiameter struct{ external, internal [3]int }

type trapezoidalStep struct {
	upTo    int // µm
	pitches map[int]trapezoidalPitchDiameter
}

var trapezoidalSteps = []trapezoidalStep{
	{11_200, map[int]trapezoidalPitchDiameter{
		1500: {[3]int{170, 212, 265}, [3]int{224, 280, 355}},
		2000: {[3]int{190, 236, 300}, [3]int{250, 315, 400}},
		3000: {[3]int{212, 265, 335}, [3]int{280, 355, 450}},
	}},
	{22_400, map[int]trapezoidalPitchDiameter{
		2000: {[3]int{200, 250, 315}, [3]int{265, 335, 425}},
		3000: {[3]int{224, 280, 355}, [3]int{300, 375, 475}},
		4000: {[3]int{265, 335, 425}, [3]int{355, 450, 560}},
		5000: {[3]int{280, 355, 450}, [3]int{375, 475, 600}},
		8000: {[3]int{355, 450, 560}, [3]int{475, 600, 750}},
	}},
	{45_000, map[int]trapezoidalPitchDiameter{
		3000:  {[3]int{250, 315, 400}, [3]int{335, 425, 530}},
		5000:  {[3]int{300, 375, 475}, [3]int{400, 500, 630}},
		6000:  {[3]int{335, 425, 530}, [3]int{450, 560, 710}},
		7000:  {[3]int{355, 450, 560}, [3]int{475, 600, 750}},
		8000:  {[3]int{375, 475, 600}, [3]int{500, 630, 800}},
		10000: {[3]int{400, 500, 630}, [3]int{530, 670, 850}},
		12000: {[3]int{425, 530, 670}, [3]int{560, 710, 900}},
	}},
	{90_000, map[int]trapezoidalPitchDiameter{
		3000:  {[3]int{265, 335, 425}, [3]int{355, 450, 560}},
		4000:  {[3]int{300, 375, 475}, [3]int{400, 500, 630}},
		8000:  {[3]int{400, 500, 630}, [3]int{530, 670, 850}},
		9000:  {[3]int{425, 530, 670}, [3]int{560, 710, 900}},
		10000: {[3]int{425, 530, 670}, [3]int{560, 710, 900}},
		12000: {[3]int{475, 600, 750}, [3]int{630, 800, 1000}},
		14000: {[3]int{500, 630, 800}, [3]int{670, 850, 1060}},
		16000: {[3]int{530, 670, 850}, [3]int{710, 900, 1120}},
		18000: {[3]int{560, 710, 900}, [3]int{750, 950, 1180}},
	}},
	{180_000, map[int]trapezoidalPitchDiameter{
		4000:  {[3]int{315, 400, 500}, [3]int{425, 530, 670}},
		6000:  {[3]int{375, 475, 600}, [3]int{500, 630, 800}},
		8000:  {[3]int{425, 530, 670}, [3]int{560, 710, 900}},
		12000: {[3]int{500, 630, 800}, [3]int{670, 850, 1060}},
		14000: {[3]int{530, 670, 850}, [3]int{710, 900, 1120}},
		16000: {[3]int{560, 710, 900}, [3]int{750, 950, 1180}},
		18000: {[3]int{600, 750, 950}, [3]int{800, 1000, 1250}},
		20000: {[3]int{600, 750, 950}, [3]int{800, 1000, 1250}},
		22000: {[3]int{630, 800, 1000}, [3]int{850, 1060, 1320}},
		24000: {[3]int{670, 850, 1060}, [3]int{900, 1120, 1400}},
		28000: {[3]int{710, 900, 1120}, [3]int{950, 1180, 1500}},
	}},
	{355_000, map[int]trapezoidalPitchDiameter{
		8000:  {[3]int{450, 560, 710}, [3]int{600, 750, 950}},
		12000: {[3]int{530, 670, 850}, [3]int{710, 900, 1120}},
		18000: {[3]int{630, 800, 1000}, [3]int{850, 1060, 1320}},
		20000: {[3]int{670, 850, 1060}, [3]int{900, 1120, 1400}},
		22000: {[3]int{670, 850, 1060}, [3]int{900, 1120, 1400}},
		24000: {[3]int{710, 900, 1120}, [3]int{950, 1180, 1500}},
		32000: {[3]int{800, 1000, 1250}, [3]int{1060, 1320, 1700}},
		36000: {[3]int{850, 1060, 1320}, [3]int{1120, 1400, 1800}},
		40000: {[3]int{850, 1060, 1320}, [3]int{1120, 1400, 1800}},
		44000: {[3]int{900, 1120, 1400}, [3]int{1180, 1500, 1900}},
	}},
}
