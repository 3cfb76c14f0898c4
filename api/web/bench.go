package web

import (
	"errors"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// benchData is a job as it was typed, and its answer.
type benchData struct {
	Form jobForm
	// Job is nil until a thread is described, and when it cannot be solved.
	Job *benchJob
	// Address says the whole job again: a page to keep and pass on.
	Address string
	// Units can be chosen for this page alone.
	Units []option
}

// benchJob is a solved job with its drawings.
type benchJob struct {
	threadmath.Answer
	// System is the one the pitch was typed in: it stands first.
	System   threadmath.System
	Profile  template.HTML
	Unrolled template.HTML
	Dials    []template.HTML
	Ends     []template.HTML // of the holders, in their order; empty where one does not serve
	Stairs   []template.HTML // of the infeed plans, in their order
	Collars  []template.HTML // of the compound's moves
	Angles   []template.HTML // of the compound, in the order of the infeed plans
	Train    template.HTML   // the best gear train
	Flanks   template.HTML   // of the tool
	RunOff   template.HTML   // the carriage's travel against the groove
	OverWire template.HTML
	Slip     *slipView
	// Card is what the bench card says, by the best way that serves; NoCard says why
	// there is none. Neither without a lathe.
	Card   *curriculum.BenchCard
	NoCard []curriculum.CardReason
}

// bench shows the answer of a typed-in job. The whole job stands in the address,
// so that it can be kept and passed on.
func (w *Pages) bench(c *gin.Context) error { return w.showBench(c, "layout.html") }

// benchAnswer is the same without the form: what the page's script puts in place
// while somebody types.
func (w *Pages) benchAnswer(c *gin.Context) error { return w.showBench(c, "answer") }

// benchFit is the section on a start out of place alone, while it is moved.
func (w *Pages) benchFit(c *gin.Context) error { return w.showBench(c, "fit") }

func (w *Pages) showBench(c *gin.Context, part string) error {
	q := c.Request.URL.Query()
	d := benchData{Form: benchForm, Address: (&url.URL{Path: "/bench", RawQuery: c.Request.URL.RawQuery}).String(), Units: w.benchUnits(c)}
	v := view{Title: w.t(c, "Bench"), Form: q, Where: benchForm.where, Data: d}
	if q.Get("pitch") == "" && q.Get("lead") == "" && q.Get("designation") == "" {
		w.showPart(c, http.StatusOK, "bench.html", part, v)
		return nil
	}
	draw := reader.draw
	if part == "fit" {
		draw = reader.drawFit
	}
	job, where, err := w.reader(c).solveBench(q, draw)
	v.Where = where
	if err != nil {
		return w.againPart(c, err, "bench.html", part, v, q)
	}
	d.Job = job
	v.Data = d
	w.showPart(c, http.StatusOK, "bench.html", part, v)
	return nil
}

// solveBench solves the job of a form and draws what is shown of it.
func (who reader) solveBench(q url.Values, draw func(reader, *benchJob, threadmath.Request, url.Values) error) (*benchJob, inputs, error) {
	r, where, err := benchRequest(q)
	if err != nil {
		return nil, where, err
	}
	a, err := threadmath.Solve(r)
	if err != nil {
		return nil, where, err
	}
	job := &benchJob{Answer: a, System: a.Pitch.System()}
	return job, where, draw(who, job, r, q)
}

// draw makes every drawing of a job.
func (who reader) draw(job *benchJob, r threadmath.Request, q url.Values) error {
	a := job.Answer
	job.Unrolled = who.unrolled(a, r)
	if form, _, known := profileOf(a, r); known {
		job.Profile = who.profileDrawing(form, a, r)
		job.OverWire = who.wiresDrawing(form, a, r)
	}
	for _, d := range a.ThreadDials {
		job.Dials = append(job.Dials, dialDrawing(d))
	}
	for _, h := range a.Holders {
		job.Ends = append(job.Ends, who.endDrawing(h, a))
	}
	for _, p := range a.Infeed {
		job.Stairs = append(job.Stairs, who.stairsDrawing(p, job.System))
		job.Angles = append(job.Angles, who.compoundDrawing(p, r))
	}
	if len(a.GearTrains) > 0 {
		best := a.GearTrains[0]
		job.Train = svgOf(worksheets.TrainView(worksheets.TrainSpec{Drivers: best.Drivers, Driven: best.Driven, Width: 150, Height: 70}))
	}
	job.Flanks, job.RunOff = who.flanksDrawing(a, r), who.runOutDrawing(a, r)
	if a.CompoundSlide != nil && r.Lathe != nil {
		job.Collars = who.collarDrawings(a.CompoundSlide.Moves, r.Lathe.CompoundSlide)
	}
	job.Card, job.NoCard = who.card(r)
	return who.drawFit(job, r, q)
}

// card makes the job's bench card, or says why it has none.
func (who reader) card(r threadmath.Request) (*curriculum.BenchCard, []curriculum.CardReason) {
	if r.Lathe == nil {
		return nil, nil
	}
	card, err := shop.BenchCard(r, "", who.units)
	var refused *curriculum.RefusedCard
	switch {
	case errors.As(err, &refused):
		return nil, refused.Reasons
	case err != nil: // the job was solved: there is no other error
		return nil, nil
	}
	return &card, nil
}

// drawFit draws a start out of place, which a slider moves.
func (who reader) drawFit(job *benchJob, r threadmath.Request, q url.Values) error {
	form, pitch, known := profileOf(job.Answer, r)
	if !known || len(job.Starts) < 2 {
		return nil
	}
	var err error
	job.Slip, err = who.slipOf(q.Get("slip"), form, pitch, job.Answer, r)
	return err
}

// benchRequest makes a solve request of the form's fields; a field left empty is
// not known. The inputs it returns find the field of a pointer into the request.
func benchRequest(q url.Values) (threadmath.Request, inputs, error) {
	doc, from, err := benchForm.document(q)
	where := benchForm.whereFrom(from)
	if err != nil {
		return threadmath.Request{}, where, err
	}
	r, err := threadmath.ParseRequest(doc)
	return r, where, err
}

// unrolled is the thread unrolled over one turn.
func (who reader) unrolled(a threadmath.Answer, r threadmath.Request) template.HTML {
	system := a.Pitch.System()
	diameter := max(a.Lead.MM()*0.45, 1)
	if a.PitchDiameter != nil {
		diameter = a.PitchDiameter.MM()
	}
	spec := worksheets.DevelopedSpec{
		Starts: len(a.Starts), Pitch: a.Pitch.MM(), Diameter: diameter, LeftHand: r.Thread.Hand == "left",
		Width: 150, Height: 90, PitchLabel: "P = " + who.short(a.Pitch, system), LeadLabel: "L = " + who.short(a.Lead, system),
	}
	if a.LeadAngleDeg != nil {
		spec.AngleLabel = who.figure(a.LeadAngleDeg.Pitch, 2) + "°"
	}
	return svgOf(worksheets.Developed(spec))
}

// profileOf returns the form of the thread over one pitch; false where the
// request does not tell the form.
func profileOf(a threadmath.Answer, r threadmath.Request) (form []worksheets.Point, pitch float64, known bool) {
	name := formName(r)
	p, exact := a.Pitch.Exact()
	if name == "" || !exact {
		return nil, 0, false
	}
	points, err := threadmath.Profile(name, p, r.Thread.Side == "internal")
	if err != nil {
		return nil, 0, false
	}
	for _, x := range points {
		form = append(form, worksheets.Point(x))
	}
	return form, a.Pitch.MM(), true
}

func (who reader) profileDrawing(form []worksheets.Point, a threadmath.Answer, r threadmath.Request) template.HTML {
	system := a.Pitch.System()
	spec := worksheets.ProfileSpec{Form: form, Internal: r.Thread.Side == "internal", Turns: 3, Width: 150, Height: 80, PitchLabel: "P = " + who.short(a.Pitch, system)}
	if a.Depth != nil {
		spec.DepthLabel = "h = " + who.short(*a.Depth, system)
	}
	if a.Tool != nil && a.Tool.IncludedDeg > 0 {
		spec.AngleLabel = who.local(strconv.FormatFloat(a.Tool.IncludedDeg, 'g', 4, 64)) + "°"
	}
	return svgOf(worksheets.ProfileView(spec))
}

// dialDrawing marks what each line of a dial catches.
func dialDrawing(d threadmath.DialAnswer) template.HTML {
	marks := map[string]worksheets.DialMark{
		threadmath.CatchesStart: worksheets.DialCatches, threadmath.CatchesVaries: worksheets.DialVaries,
		threadmath.CatchesOff: worksheets.DialOff, threadmath.CatchesNoClose: worksheets.DialNoClose,
	}
	spec := worksheets.DialFaceSpec{Width: 80, CounterClockwise: d.Runs == threadmath.DialRunsDown}
	for _, l := range d.Lines {
		spec.Lines = append(spec.Lines, worksheets.DialLine{Number: strconv.Itoa(l.Line), Mark: marks[l.Catches], Start: max(l.Start, 1)})
	}
	return svgOf(worksheets.DialFace(spec))
}

// endDrawing shows the stations of a holder with their starts; nothing where it
// does not serve.
func (who reader) endDrawing(h threadmath.HolderAnswer, a threadmath.Answer) template.HTML {
	const mostDrawn = 60 // stations that can still be told apart
	if !h.Usable || h.Stations > mostDrawn {
		return ""
	}
	return svgOf(worksheets.EndView(worksheets.EndViewSpec{
		Starts: len(a.Starts), Stations: h.Stations, Use: h.StationsOfStarts, AgainstRotation: h.Kind == "index-holes", Width: 80,
		AngleLabel: who.angleLabel(a),
	}))
}

func (who reader) angleLabel(a threadmath.Answer) string {
	if len(a.Starts) < 2 {
		return ""
	}
	return who.figure(a.Starts[1].AngleDeg, -1) + "°"
}

// stairsDrawing shows the passes of a plan as stairs into the metal.
func (who reader) stairsDrawing(p threadmath.InfeedPlan, s threadmath.System) template.HTML {
	if len(p.Passes) == 0 {
		return ""
	}
	spec := worksheets.StaircaseSpec{Width: 150, Height: 60, DepthLabel: "h = " + who.short(p.Passes[len(p.Passes)-1].Depth, s)}
	for _, x := range p.Passes {
		spec.Depths = append(spec.Depths, x.Depth.Value(s))
	}
	for range p.SpringPasses {
		spec.Depths = append(spec.Depths, spec.Depths[len(p.Passes)-1])
	}
	return svgOf(worksheets.PassStaircase(spec))
}

// collarDrawings shows the compound's collar at each move; nothing where the
// collar's divisions are not known.
func (who reader) collarDrawings(moves []threadmath.Move, s *threadmath.Slide) []template.HTML {
	if s == nil {
		return nil
	}
	division, system, err := threadmath.ParseLength(s.Graduation)
	if err != nil || division.Sign() <= 0 {
		return nil
	}
	turn, _, err := threadmath.ParseLength(s.PerTurn)
	if err != nil {
		return nil
	}
	around := int(math.Round(turn.Quo(division).Float64()))
	var out []template.HTML
	for _, m := range moves {
		if m.Turns == nil || m.Divisions == nil {
			return nil
		}
		out = append(out, svgOf(worksheets.CollarView(worksheets.CollarSpec{
			Divisions: around, Reading: m.Turns.Float64()*float64(around) + m.Divisions.Float64(), Width: 90,
			Label: who.T("start %s, %s a division", m.Start, division.Exact(system)),
		})))
	}
	return out
}

// compoundDrawing shows the compound from above, at a plan's angle; nothing for
// a plunge of the cross-slide.
func (who reader) compoundDrawing(p threadmath.InfeedPlan, r threadmath.Request) template.HTML {
	if p.InfeedAngleDeg == 0 {
		return ""
	}
	degrees := func(f float64) string { return who.figure(f, -1) + "°" }
	return svgOf(worksheets.CompoundView(worksheets.CompoundSpec{
		AngleDeg: p.InfeedAngleDeg, LeftHand: r.Thread.Hand == "left", Internal: r.Thread.Side == "internal", Width: 110,
		AngleLabel: degrees(p.InfeedAngleDeg), AxisLabel: degrees(p.AngleFromAxisDeg),
	}))
}

// flanksDrawing shows the tool's flanks against the lead angle.
func (who reader) flanksDrawing(a threadmath.Answer, r threadmath.Request) template.HTML {
	if a.Tool == nil || a.Tool.LeadingGrindDeg == nil || a.Tool.TrailingGrindDeg == nil || a.LeadAngleDeg == nil || r.Cut == nil || r.Cut.ReliefDeg == nil {
		return ""
	}
	degrees := func(f float64) string { return who.figure(f, 2) + "°" }
	return svgOf(worksheets.FlankView(worksheets.FlankSpec{
		LeadMinorDeg: a.LeadAngleDeg.Minor, LeadMajorDeg: a.LeadAngleDeg.Major, ReliefDeg: *r.Cut.ReliefDeg, LeftHand: r.Thread.Hand == "left", Width: 130,
		LeadingLabel: degrees(*a.Tool.LeadingGrindDeg), TrailingLabel: degrees(*a.Tool.TrailingGrindDeg), ReliefLabel: degrees(*r.Cut.ReliefDeg),
	}))
}

// runOutDrawing shows how far the carriage runs on against the groove.
func (who reader) runOutDrawing(a threadmath.Answer, r threadmath.Request) template.HTML {
	if a.RunOut == nil || a.RunOut.ToolWidth == nil || a.Depth == nil || r.Cut == nil {
		return ""
	}
	groove, system, err := threadmath.ParseLength(r.Cut.Groove)
	if err != nil {
		return ""
	}
	s := worksheets.RunOutSpec{
		Groove: groove.MM(), ToolWidth: a.RunOut.ToolWidth.MM(), Depth: a.Depth.MM(), Pitch: a.Pitch.MM(), Width: 130,
		LeftHand: r.Thread.Hand == "left", Internal: r.Thread.Side == "internal",
		GrooveLabel: who.short(threadmath.ExactDimension(groove, system), system), ToolLabel: who.short(*a.RunOut.ToolWidth, system),
	}
	if a.RunOut.Overrun != nil {
		s.Overrun, s.OverrunLabel = a.RunOut.Overrun.MM(), who.short(*a.RunOut.Overrun, system)
	}
	return svgOf(worksheets.RunOutView(s))
}

// wiresDrawing shows the wires in the groove.
func (who reader) wiresDrawing(form []worksheets.Point, a threadmath.Answer, r threadmath.Request) template.HTML {
	w := a.Wires
	f, err := threadmath.FormOf(formName(r))
	if w == nil || w.Used == nil || w.Over == nil || a.MajorDiameter == nil || a.PitchDiameter == nil || err != nil || !f.Symmetrical() {
		return ""
	}
	system := a.Pitch.System()
	return svgOf(worksheets.WiresView(worksheets.WiresSpec{
		Form: form, FlankDeg: f.LoadFlankDeg, MajorDiameter: a.MajorDiameter.MM(), PitchDiameter: a.PitchDiameter.MM(), Wire: w.Used.MM(), Starts: len(a.Starts),
		Width: 130, Height: 90, OverLabel: "M = " + who.short(*w.Over, system), WireLabel: "w = " + who.short(*w.Used, system), PitchLabel: who.short(a.Pitch, system),
	}))
}

// formName is the form of the thread, given or of its designation.
func formName(r threadmath.Request) string {
	if d, err := threadmath.ParseDesignation(r.Thread.Designation); err == nil {
		return d.Form
	}
	return r.Thread.Form
}

// slipView shows what it does to the fit when start 2 is cut out of place.
type slipView struct {
	// Hundredths of the pitch that start 2 is out of place by, -25 to 25.
	Hundredths int
	By         threadmath.Dimension
	// Cost is what it takes from the pitch diameter; nil where the form has no
	// inclined flanks and the axial play takes it.
	Cost *threadmath.Dimension
	// Left is what remains of the least clearance of the class and Over what
	// passes it; both nil without a class that has one.
	Left, Over *threadmath.Dimension
	Drawing    template.HTML
}

// mostSlip is a quarter of the pitch: beyond it start 2 eats the ridge away.
const mostSlip = 25

func (who reader) slipOf(text string, form []worksheets.Point, pitch float64, a threadmath.Answer, r threadmath.Request) (*slipView, error) {
	s := &slipView{}
	if text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < -mostSlip || n > mostSlip {
			return nil, wrong("/slip", text, "not a part of the pitch", "whole hundredths from -25 to 25")
		}
		s.Hundredths = n
	}
	by := pitch * float64(s.Hundredths) / 100
	s.By = threadmath.ApproxDimension(math.Abs(by))
	if f, err := threadmath.FormOf(formName(r)); err == nil {
		if cost, ok := threadmath.PitchDiameterCost(f, math.Abs(by)); ok {
			c := threadmath.ApproxDimension(cost)
			s.Cost = &c
			if a.Measuring != nil && a.Measuring.LeastClearance != nil {
				rest := a.Measuring.LeastClearance.MM() - cost
				amount := threadmath.ApproxDimension(math.Abs(rest))
				if rest >= 0 {
					s.Left = &amount
				} else {
					s.Over = &amount
				}
			}
		}
	}
	spec := worksheets.SlipSpec{Form: form, Starts: len(a.Starts), Slip: by, Internal: r.Thread.Side == "internal", Width: 150, Height: 70}
	if by != 0 {
		spec.SlipLabel = who.short(s.By, a.Pitch.System())
	}
	s.Drawing = svgOf(worksheets.SlipView(spec))
	return s, nil
}

// svgOf is a drawing as an SVG element; nothing when it cannot be drawn, for the
// numbers stand beside it.
func svgOf(g worksheets.Group, err error) template.HTML {
	if err != nil {
		return ""
	}
	return svg(g)
}
