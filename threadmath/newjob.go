package threadmath

import (
	"errors"
	"sort"
	"strconv"
	"strings"
)

// Bounds of what a request may name, wide enough for any lathe and low enough
// that every answer stays short.
const (
	maxStarts      = 24
	maxTeeth       = 1000
	maxGraduations = 200
	maxStations    = 400
	maxListed      = 64
)

// newJob reads and checks a request.
func newJob(q Request) (*job, error) {
	r := &reader{}
	j := &job{}
	j.readThread(r, q.Thread)
	if q.Lathe != nil {
		j.readLathe(r, *q.Lathe)
	}
	if q.Cut != nil {
		j.readCut(r, *q.Cut)
	}
	if r.err != nil {
		return nil, r.err
	}
	if err := j.prepare(); err != nil {
		return nil, err
	}
	if err := j.settleLimits(); err != nil {
		return nil, err
	}
	if err := j.prepareCut(); err != nil {
		return nil, err
	}
	return j, nil
}

func (j *job) readThread(r *reader, t Thread) {
	var named *Designation
	if t.Designation != "" {
		named = r.designation(&t)
	}
	if t.Form != "" {
		f, err := FormOf(t.Form)
		if err != nil {
			r.fail("/thread/form", t.Form, "", err.(*DomainError).Range)
		}
		j.form = &f
	}
	j.internal = r.choice("/thread/side", t.Side, "external", "internal") == "internal"
	j.left = r.choice("/thread/hand", t.Hand, "right", "left") == "left"
	if t.LeadingFlank != "" {
		load := r.choice("/thread/leading_flank", t.LeadingFlank, "load", "clearance") == "load"
		j.leadingLoad = &load
		if j.form == nil || j.form.Symmetrical() {
			r.fail("/thread/leading_flank", t.LeadingFlank, "only buttress threads have two flanks", "left out")
		}
	}
	j.diameter = r.length("/thread/diameter", t.Diameter)
	j.length = r.length("/thread/length", t.Length)
	j.class = strings.TrimSpace(t.Class)
	if named == nil {
		j.readPitch(r, t)
		return
	}
	j.takeSizes(r, t, *named)
}

// designation reads the designation and gives the fields that are words what it
// says; one that is given as well must agree.
func (r *reader) designation(t *Thread) *Designation {
	d, err := ParseDesignation(t.Designation)
	var domain *DomainError
	if errors.As(err, &domain) {
		r.fail("/thread/designation", t.Designation, domain.Reason, domain.Range)
		return nil
	}
	hand := ""
	if d.Left {
		hand = "left"
	}
	for _, f := range []struct {
		path  string
		field *string
		says  string
	}{
		{"/thread/form", &t.Form, d.Form}, {"/thread/side", &t.Side, d.Side}, {"/thread/hand", &t.Hand, hand}, {"/thread/class", &t.Class, d.Class},
	} {
		switch given := strings.TrimSpace(*f.field); {
		case f.says == "":
		case given == "":
			*f.field = f.says
		case given != f.says:
			r.fail(f.path, *f.field, disagrees(t), f.says+", or left out")
		}
	}
	return &d
}

// Spelled returns the thread with form, side, hand and class as its designation
// says them, where it has one, and with side and hand as they are taken where
// nothing says them: external, right. A designation that cannot be read, or that
// disagrees with a field, gives a DomainError.
func (t Thread) Spelled() (Thread, error) {
	r := &reader{}
	if t.Designation != "" {
		r.designation(&t)
	}
	if r.err != nil {
		return Thread{}, r.err
	}
	if t.Side == "" {
		t.Side = "external"
	}
	if t.Hand == "" {
		t.Hand = "right"
	}
	return t, nil
}

func disagrees(t *Thread) string {
	return "the designation " + quoteShort(t.Designation) + " disagrees"
}

// takeSizes takes diameter, pitch and starts of a designation; what is given as
// well must agree.
func (j *job) takeSizes(r *reader, t Thread, d Designation) {
	j.system = d.system()
	lead := r.pitch("/thread/lead", t.Lead)
	pitch := r.pitch("/thread/pitch", t.Pitch)
	if lead != nil || pitch != nil {
		j.system = r.system
	}
	for _, f := range []struct {
		path, given string
		read        *Length
		says        Length
	}{
		{"/thread/diameter", t.Diameter, j.diameter, d.Diameter}, {"/thread/pitch", t.Pitch, pitch, d.Pitch}, {"/thread/lead", t.Lead, lead, d.Lead()},
	} {
		if f.read != nil && !f.read.Equal(f.says) {
			r.fail(f.path, f.given, disagrees(&t), f.says.Exact(j.system)+", or left out")
		}
	}
	if t.Starts != nil && int(*t.Starts) != d.Starts {
		r.fail("/thread/starts", strconv.Itoa(int(*t.Starts)), disagrees(&t), strconv.Itoa(d.Starts)+", or left out")
	}
	j.series, j.diameter = d.Series, &d.Diameter
	j.pitch, j.lead, j.starts = d.Pitch, d.Lead(), d.Starts
}

// readPitch settles pitch, lead and starts from any two of them.
func (j *job) readPitch(r *reader, t Thread) {
	lead := r.pitch("/thread/lead", t.Lead)
	system := r.system
	pitch := r.pitch("/thread/pitch", t.Pitch)
	if pitch != nil {
		system = r.system
	}
	j.system = system
	starts := 0
	if t.Starts != nil {
		starts = r.count("/thread/starts", *t.Starts, 1, maxStarts)
	}
	if r.err != nil {
		return
	}
	switch {
	case pitch == nil && lead == nil:
		r.fail("/thread/pitch", "", "neither pitch nor lead is given", "pitch, or lead and starts, or a designation")
		return
	case pitch == nil && starts == 0:
		r.fail("/thread/starts", "", "a lead alone does not say how many starts", "1 to "+strconv.Itoa(maxStarts)+", or the pitch")
		return
	case pitch == nil:
		p := lead.Div(starts)
		pitch = &p
	case lead == nil:
		starts = max(starts, 1)
		l := pitch.Times(starts)
		lead = &l
	default:
		n, whole := lead.Quo(*pitch).Int64()
		if !whole || n < 1 || n > maxStarts {
			r.fail("/thread/lead", t.Lead, "lead is not a whole number of pitches", "1 to "+strconv.Itoa(maxStarts)+" times "+pitch.Exact(system))
			return
		}
		if starts != 0 && int64(starts) != n {
			r.fail("/thread/starts", strconv.Itoa(starts), "lead and pitch disagree with it", strconv.FormatInt(n, 10))
			return
		}
		starts = int(n)
	}
	j.pitch, j.lead, j.starts = *pitch, *lead, starts
}

// Check returns the DomainError that Solve would give for the lathe, with a
// pointer that starts at the profile ("/holders/0/stations"), or nil.
func (l Lathe) Check() error {
	r := &reader{}
	new(job).readLathe(r, l)
	var d *DomainError
	if errors.As(r.err, &d) {
		d.Quantity = strings.TrimPrefix(d.Quantity, "/lathe")
	}
	return r.err
}

func (j *job) readLathe(r *reader, l Lathe) {
	m := &j.lathe
	m.leadscrew = r.pitch("/lathe/leadscrew", l.Leadscrew)
	m.leadscrewStarts = 1
	if l.LeadscrewStarts != nil {
		m.leadscrewStarts = r.count("/lathe/leadscrew_starts", *l.LeadscrewStarts, 1, maxStarts)
	}
	m.halfNut = l.HalfNut
	if m.halfNut == nil && m.leadscrew != nil {
		yes := true
		m.halfNut = &yes
	}
	if r.list("/lathe/thread_dials", len(l.ThreadDials)) && l.ThreadDials != nil {
		m.dials = []dial{}
		for i, d := range l.ThreadDials {
			path := "/lathe/thread_dials/" + strconv.Itoa(i)
			m.dials = append(m.dials, dial{
				teeth:       r.count(path+"/teeth", d.Teeth, 1, maxTeeth),
				graduations: r.count(path+"/graduations", d.Graduations, 1, maxGraduations),
				runs:        r.dialRuns(path+"/runs", d.Runs),
			})
		}
	}
	m.compound = r.slide("/lathe/compound_slide", l.CompoundSlide)
	m.cross = r.slide("/lathe/cross_slide", l.CrossSlide)
	if r.list("/lathe/holders", len(l.Holders)) && l.Holders != nil {
		m.holders = []holder{}
		for i, h := range l.Holders {
			path := "/lathe/holders/" + strconv.Itoa(i)
			m.holders = append(m.holders, holder{
				kind:     r.choice(path+"/kind", h.Kind, "", "chuck-jaws", "faceplate-slots", "drive-plate-slots", "index-holes"),
				stations: r.count(path+"/stations", h.Stations, 1, maxStations),
				errorDeg: r.number(path+"/error_deg", h.ErrorDeg, 0, 180),
			})
		}
	}
	if g := l.StudGear; g != nil {
		turns := Int(1)
		if g.TurnsPerSpindleTurn != "" {
			t, err := ParseRatio(string(g.TurnsPerSpindleTurn))
			if err != nil || t.Sign() <= 0 || t.Cmp(Int(1000)) > 0 || t.Cmp(frac(1, 1000)) < 0 {
				r.fail("/lathe/stud_gear/turns_per_spindle_turn", string(g.TurnsPerSpindleTurn), "", "a ratio from 1/1000 to 1000")
			}
			turns = t
		}
		m.stud = &studGear{teeth: r.count("/lathe/stud_gear/teeth", g.Teeth, 1, maxTeeth), turns: turns}
	}
	if g := l.LeadscrewGear; g != nil {
		m.leadscrewTeeth = r.count("/lathe/leadscrew_gear/teeth", g.Teeth, 1, maxTeeth)
	}
	m.trainOpens = l.TrainOpens
	m.carriageTravel = r.length("/lathe/carriage_travel", l.CarriageTravel)
	m.closingRPM = r.number("/lathe/closing_rpm", l.ClosingRPM, 0.1, 10_000)
	if r.list("/lathe/change_gears", len(l.ChangeGears)) && l.ChangeGears != nil {
		m.changeGears = []int{}
		for i, c := range l.ChangeGears {
			m.changeGears = append(m.changeGears, r.count("/lathe/change_gears/"+strconv.Itoa(i), c, 1, maxTeeth))
		}
	}
	if b := l.Bracket; b != nil {
		m.bracket = &bracket{}
		if n := r.optionalCount("/lathe/bracket/least_teeth", b.LeastTeeth, 0, 4*maxTeeth); n != nil {
			m.bracket.least = *n
		}
		if n := r.optionalCount("/lathe/bracket/greatest_teeth", b.GreatestTeeth, max(1, m.bracket.least), 4*maxTeeth); n != nil {
			m.bracket.greatest = *n
		}
	}
	if r.list("/lathe/gearbox", len(l.Gearbox)) && l.Gearbox != nil {
		m.gearbox = []gearboxSetting{}
		for i, text := range l.Gearbox {
			path := "/lathe/gearbox/" + strconv.Itoa(i)
			if lead := r.pitch(path, text); lead != nil {
				m.gearbox = append(m.gearbox, gearboxSetting{text: text, lead: *lead})
			} else {
				r.fail(path, text, "no lead", "a lead with its unit")
			}
		}
	}
	if r.list("/lathe/spindle_speeds", len(l.SpindleSpeeds)) && l.SpindleSpeeds != nil {
		m.speeds = []float64{}
		for i, s := range l.SpindleSpeeds {
			r.number("/lathe/spindle_speeds/"+strconv.Itoa(i), &s, 0.1, 100_000)
			m.speeds = append(m.speeds, s)
		}
		sort.Float64s(m.speeds)
	}
}

func (j *job) readCut(r *reader, c Cut) {
	k := &j.cut
	k.angleDeg = r.number("/cut/infeed_angle_deg", c.InfeedAngleDeg, 0, 60)
	k.firstCut = r.length("/cut/first_cut", c.FirstCut)
	k.leastCut = r.length("/cut/least_cut", c.LeastCut)
	k.toolFlat = r.length("/cut/tool_flat", c.ToolFlat)
	k.finishingPasses = r.optionalCount("/cut/finishing_passes", c.FinishingPasses, 0, 50)
	k.springPasses = r.optionalCount("/cut/spring_passes", c.SpringPasses, 0, 50)
	k.reliefDeg = r.number("/cut/relief_deg", c.ReliefDeg, 0, 45)
	k.rpm = r.number("/cut/spindle_rpm", c.SpindleRPM, 0.1, 100_000)
	k.reactionS = r.number("/cut/reaction_s", c.ReactionS, 0.05, 60)
	k.coastTurns = r.number("/cut/coast_turns", c.CoastTurns, 0, 1000)
	k.groove = r.length("/cut/groove", c.Groove)
	k.mark = r.length("/cut/withdrawal_mark", c.WithdrawalMark)
	if k.mark != nil && j.length != nil && k.mark.Cmp(*j.length) < 0 {
		r.fail("/cut/withdrawal_mark", c.WithdrawalMark, "the tool would be withdrawn before the end of the thread", "at least the threaded length, "+j.length.Exact(j.system))
	}
	k.toolWidth = r.length("/cut/tool_width", c.ToolWidth)
	k.room = r.length("/cut/room", c.Room)
	k.startingGroove = r.length("/cut/starting_groove", c.StartingGroove)
	k.measuredBlank = r.length("/cut/measured_blank", c.MeasuredBlank)
	k.wire = r.length("/cut/wire", c.Wire)
	k.overWires = r.length("/cut/over_wires", c.OverWires)
	k.loadN = r.number("/cut/load_n", c.LoadN, 0, 1e9)
	k.greatestCount = r.optionalCount("/cut/greatest_count", c.GreatestCount, 1, 10_000)
	k.friction = r.number("/cut/friction", c.Friction, 0, 10)
	k.material, k.blind = c.Material, c.Blind
	k.cuttingSpeed = r.number("/cut/cutting_speed_m_per_min", c.CuttingSpeedMPerMin, 0.1, 1000)
	k.setUpMin = r.number("/cut/set_up_min", c.SetUpMin, 0, 10_000)
	k.handlingS = r.number("/cut/handling_s", c.HandlingS, 0, 10_000)
	k.indexMin = r.number("/cut/index_min", c.IndexMin, 0, 10_000)
	k.measureMin = r.number("/cut/measure_min", c.MeasureMin, 0, 10_000)
}
