// Package obey does what a bench card says, and nothing else, on a simulated lathe
// and piece of work (threadmath/lathesim): it reads the card as data and no formula of
// threadmath. What comes out is measured. Here lives the reader of the card; what a
// lathe and a piece of metal do lives in lathesim, how a card is made in shop.
//
// Words: follow is to do what stands on the card; a worker is who does it, with the
// time that a hand takes and what the holders are out; the report is what was
// measured of the work.
package obey

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
	"halfnut/threadmath/lathesim"
)

// Worker is who obeys, and how far the lathe is from what its record says.
type Worker struct {
	// Blank is the diameter that was turned or bored, mm, and Touch how much too deep
	// (mm) the tool stood when it was taken to touch.
	Blank, Touch float64
	// Reaction and Coast give, for a pass, the seconds and turns that were taken.
	Reaction, Coast func() float64
	// Station is how far a station lies from its place, turns, counted from 1.
	Station func(k int) float64
	// Base is how far off the compound's base is set, degrees.
	Base float64
	// Again is how many turns of the dial are let by before the half-nut is closed.
	Again func() int
	// CountsThreads and CountsTeeth are the most that this person counts in one go.
	CountsThreads int64
	CountsTeeth   int
	// Before is how far before the work a pass begins, as a part of the lead beyond the
	// one that the card asks for.
	Before func() float64
	// Goes tries the go gauge, or the mate, on the grooves.
	Goes func([]lathesim.Groove) bool
	// What the lathe's record says of its collars and of the stud gear, turns of it for
	// a turn of the spindle.
	CrossReadsDiameter, CompoundReadsDiameter bool
	StudTurns                                 float64
}

// Report is what was measured of the work.
type Report struct {
	Lead float64
	// Grooves are in the order of the starts' numbers, places in mm along the work.
	Grooves []lathesim.Groove
	// Spacing is the largest less the smallest deviation of a start from its place.
	Spacing float64
	// Chip is the heaviest chip, Planned the heaviest that the card plans, mm².
	Chip, Planned float64
	// End is how far the nose came at most, Least how far at least in the last pass of
	// a start.
	End, Least float64
	// OverWires is the last reading; 0 where a gauge was tried.
	OverWires float64
}

// follower follows one card.
type follower struct {
	card  curriculum.BenchCard
	m     *lathesim.Machine
	piece *lathesim.Piece
	plan  *lathesim.Piece
	who   Worker

	preset   float64 // of the infeed collar at touch, mm as it shows
	perShown float64 // mm of the slide for a mm that the collar shows
	noted    float64 // threads at the first closing of start 1
	own      map[int]float64
	cut      map[int]bool    // starts that have been cut
	last     int             // row of the start that was set up last; -1 before the first
	at       map[int]float64 // where the last pass of a start went
	opens    bool
	report   Report
}

// Follow cuts the card's thread and measures it. The error is what broke on the way.
func Follow(card curriculum.BenchCard, m *lathesim.Machine, wall, behind float64, who Worker) (Report, error) {
	f := &follower{card: card, m: m, who: who, own: map[int]float64{}, cut: map[int]bool{}, at: map[int]float64{}, last: -1, opens: card.RunOut.Hand == curriculum.HandOpens}
	m.Wall, m.Behind = wall, behind
	rad := math.Pi / 180
	angle := card.Infeed.AngleDeg
	if card.Infeed.FedBy != threadmath.FedByCompound {
		angle = 90 // parallel to the axis where it goes from start to start
	} else {
		angle += who.Base
	}
	m.Sin, m.Cos = math.Sin(angle*rad), math.Cos(angle*rad)
	half := card.Tool.IncludedDeg / 2
	nose := lathesim.Nose{Flat: card.Tool.Flat.MM, Leading: half * rad, Trailing: half * rad}
	if l, t := card.Tool.LeadingFlankDeg, card.Tool.TrailingFlankDeg; l != nil && t != nil {
		nose.Leading, nose.Trailing = *l*rad, *t*rad
	}
	internal := card.Thread.Side == "internal"
	f.piece = &lathesim.Piece{Radius: who.Blank / 2, Internal: internal, Lead: m.Lead(), Tool: nose}
	f.plan = &lathesim.Piece{Radius: card.Blank.Touch.MM / 2, Internal: internal, Lead: m.Lead(), Tool: nose}
	f.perShown = 1
	if card.Infeed.Reads == "diameter" {
		f.perShown = 0.5
	}
	lacks := card.Blank.Touch.MM - who.Blank
	if internal {
		lacks = -lacks
	}
	f.preset = math.Round(lacks*card.Blank.TouchPerMM/card.Infeed.Division.MM) * card.Infeed.Division.MM
	if err := f.planned(); err != nil {
		return f.report, err
	}
	if err := f.work(); err != nil {
		return f.report, err
	}
	return f.report, f.judge()
}

// bears is the deepest cut, mm, that a threading tool takes in one pass before it breaks
// (common practice, no source), with what a collar's rounding adds.
const bears = 0.5 + 0.03

// planned is the heaviest chip that the card plans on one start of its own blank. A
// reading that repeats the one before, and a cut that no tool bears, are errors.
func (f *follower) planned() error {
	cos := 1.0
	if f.card.Infeed.FedBy == threadmath.FedByCompound {
		cos = math.Cos(f.card.Infeed.AngleDeg * math.Pi / 180)
	}
	deep := func(p curriculum.CardPass) float64 {
		return (p.Readings[0].Reading.MM - f.card.Passes[0].Readings[0].Reading.MM) * f.perShown * cos
	}
	before := 0.0
	for _, p := range f.card.Passes[1:] {
		step := deep(p) - before
		before = deep(p)
		switch {
		case step > bears:
			return fmt.Errorf("pass %s cuts %.3f mm deep: the tool breaks", p.Name, step)
		case step <= 0 && !p.Spring:
			return fmt.Errorf("pass %s repeats the reading before it", p.Name)
		}
		f.report.Planned = max(f.report.Planned, f.plan.Cut(1, f.plan.Lead/2, deep(p)))
	}
	if s := f.card.Measure.GreatestStep; s != nil {
		full := deep(f.card.Passes[len(f.card.Passes)-1])
		f.report.Planned = max(f.report.Planned, f.plan.Cut(1, f.plan.Lead/2, full+s.Reading.MM*f.perShown*cos))
	}
	return nil
}

// work brings every start to the stop, measures, and finishes every start.
func (f *follower) work() error {
	passes := f.card.Passes
	stop := f.card.Measure.AfterPass
	for i := range f.card.Starts {
		if err := f.start(i, passes[1:stop+1]); err != nil {
			return fmt.Errorf("start %d: %w", f.card.Starts[i].Start, err)
		}
	}
	if f.card.Measure.By == curriculum.MeasureOverWires {
		return f.finishByWires()
	}
	return f.finishByGauge()
}

func (f *follower) start(row int, passes []curriculum.CardPass) error {
	if err := f.goTo(row); err != nil {
		return err
	}
	for _, p := range passes {
		if err := f.pass(row, p.Readings[row].Reading.MM); err != nil {
			return fmt.Errorf("pass %s: %w", p.Name, err)
		}
	}
	return nil
}

// pass sets the infeed collar and cuts once.
func (f *follower) pass(row int, reading float64) error {
	s := f.card.Starts[row]
	if err := f.set(s, reading); err != nil {
		return err
	}
	if err := f.close(s); err != nil {
		return err
	}
	hand := lathesim.Hand{Reaction: f.who.Reaction()}
	if !f.opens {
		hand.Coast = f.who.Coast()
	}
	cut, err := f.m.Pass(f.piece, s.Start, -f.who.Touch, s.CarriageAt.MM, f.card.Gear.RPM, f.opens, hand)
	if err != nil {
		return err
	}
	f.cut[s.Start], f.at[s.Start] = true, cut.At
	end := cut.End
	f.report.Chip, f.report.End, f.report.Least = max(f.report.Chip, cut.Chip), max(f.report.End, end), end
	if end < f.card.Thread.Length.MM-short {
		return fmt.Errorf("the nose came to %.3f mm of %.3f", end, f.card.Thread.Length.MM)
	}
	if f.opens {
		return nil
	}
	return f.m.Back(-f.card.Thread.Lead.MM, f.card.Gear.RPM/60*f.who.Reaction()+f.who.Coast())
}

// short is what a pass may lack of the full thread, mm: a card is rounded, and so is a
// collar.
const short = 0.02

// set brings the feeding slide to a reading and the other one where the start wants it.
func (f *follower) set(s curriculum.CardStart, reading float64) error {
	way := max(reading-f.preset, 0) * f.perShown // readings below the one at touch are left out
	if f.card.Infeed.FedBy != threadmath.FedByCompound {
		f.m.SetCross(way)
		return nil
	}
	back := 0.0
	if s.CrossSlide != nil {
		back = f.shown(*s.CrossSlide)
	}
	f.m.SetCross(-back)
	return f.m.SetCompound(way)
}

// shown is the way of the cross-slide for a setting of its collar.
func (f *follower) shown(s curriculum.CardSetting) float64 {
	if s.Measured || !f.who.CrossReadsDiameter {
		return s.Reading.MM
	}
	return s.Reading.MM / 2
}

// close brings the tool before the work and closes the half-nut as the card says.
func (f *follower) close(s curriculum.CardStart) error {
	along, _ := f.m.Tool()
	if f.m.Closed() {
		if -along > f.m.Behind { // a slide that went back took the tool along: bring it up, tool clear
			return f.m.Bring(-f.card.Thread.Lead.MM)
		}
		return nil
	}
	to := -f.card.Thread.Lead.MM * (1 + f.who.Before())
	if !math.IsInf(f.m.Behind, 1) {
		to = -f.card.Thread.Lead.MM
	}
	if err := f.m.MoveCarriage(f.m.Carriage() + to - along); err != nil {
		return err
	}
	b, again := f.card.Between, f.who.Again()
	line := func(ls []int) int { return ls[again%len(ls)] }
	first := len(f.cut) == 0
	switch {
	case first:
		if err := f.m.CloseAnywhere(); err != nil {
			return err
		}
		f.noted = f.m.Note()
		f.own[s.Start] = f.noted
		return nil
	case len(s.Lines) > 0:
		return f.m.CloseOnLine(f.noted, line(s.Lines), 0, again, f.card.Gear.RPM)
	case s.PastLine != nil:
		return f.m.CloseOnLine(f.noted, *s.PastLine, s.Threads, again, f.card.Gear.RPM)
	case b.OwnLine:
		return f.m.CloseOnLine(f.own[s.Start], line(b.Lines), 0, again, f.card.Gear.RPM)
	case len(b.Lines) > 0:
		return f.m.CloseOnLine(f.noted, line(b.Lines), 0, again, f.card.Gear.RPM)
	case b.HalfNut == threadmath.HalfNutKeptClosed:
		return fmt.Errorf("the half-nut was opened, and the card keeps it closed")
	}
	return f.m.CloseAnywhere()
}

// goTo comes to a start, as its row says.
func (f *follower) goTo(row int) error {
	s := f.card.Starts[row]
	began := f.last >= 0
	prior := f.last
	f.last = row
	switch {
	case s.Threads > f.who.CountsThreads:
		return fmt.Errorf("%d threads to count: nobody keeps count", s.Threads)
	case s.Teeth > f.who.CountsTeeth:
		return fmt.Errorf("%d teeth to count: nobody keeps count", s.Teeth)
	}
	switch {
	case s.Compound != nil && f.card.Infeed.FedBy != threadmath.FedByCompound:
		if s.Compound.Reading.MM < 1e-9 {
			// backlash taken up with the travel: back past zero first
			if err := f.m.SetCompound(-f.m.Lost); err != nil {
				return err
			}
		}
		return f.m.SetCompound(s.Compound.Reading.MM * f.compoundShown())
	case s.Shift != nil && !f.cut[s.Start]:
		// after a pass of start 1: the tool is clear, the spindle stands, the nut closed
		one := f.card.Starts[0]
		if err := f.close(one); err != nil {
			return err
		}
		f.m.OpenHalfNut()
		if err := f.m.MoveCarriage(f.m.Carriage() - s.Shift.MM); err != nil {
			return err
		}
		if err := f.m.CloseHalfNut(); err != nil {
			return err
		}
		f.own[s.Start] = f.m.Note()
		f.m.OpenHalfNut()
		return nil
	case s.Station > 0:
		turn := float64(s.Station-1) / float64(f.card.Holder.Stations)
		f.m.TurnWork(turn + f.who.Station(s.Station))
	case s.WheelTeeth > 0 && began && s.Teeth > 0:
		if err := f.close(f.card.Starts[max(prior, 0)]); err != nil {
			return err
		}
		if s.SpindleTurns == "" {
			f.m.TurnLeadscrew(float64(s.Teeth) / float64(s.WheelTeeth))
			if f.opens {
				return nil
			}
			return f.m.Back(-f.card.Thread.Lead.MM, 0)
		}
		turns, err := fraction(s.SpindleTurns)
		if err != nil {
			return err
		}
		by := turns * f.who.StudTurns * float64(s.WheelTeeth)
		if math.Abs(by-float64(s.Teeth)) > 1e-9 {
			return fmt.Errorf("%v teeth of %d go by, the card counts %d", by, s.WheelTeeth, s.Teeth)
		}
		f.m.TurnSpindle(turns)
	}
	return nil
}

func (f *follower) compoundShown() float64 {
	if f.who.CompoundReadsDiameter {
		return 0.5
	}
	return 1
}

func fraction(text string) (float64, error) {
	top, bottom, ok := strings.Cut(text, "/")
	a, err := strconv.ParseFloat(top, 64)
	if err != nil || !ok {
		return a, err
	}
	b, err := strconv.ParseFloat(bottom, 64)
	return a / b, err
}

// mostTries bounds how often somebody measures and cuts again.
const mostTries = 12

// finishByWires measures over wires, works out what is to go, feeds it on every start
// and measures again.
func (f *follower) finishByWires() error {
	m := f.card.Measure
	at := make([]float64, len(f.card.Starts))
	for i := range at {
		at[i] = f.card.Passes[m.AfterPass].Readings[i].Reading.MM
	}
	division, most := f.card.Infeed.Division.MM, m.GreatestStep.Reading.MM
	for range mostTries {
		over := f.overWires()
		f.report.OverWires = over
		if over <= m.Max.MM && over <= m.Aim.MM+2*division {
			break
		}
		togo := math.Round((over-m.Aim.MM)*m.CollarPerMM/division) * division
		if togo <= 0 {
			break
		}
		for left := togo; left > division/2; {
			step := min(left, most)
			left -= step
			for i := range at {
				at[i] += step
			}
			if err := f.all(at); err != nil {
				return err
			}
		}
	}
	for range m.SpringPasses {
		if err := f.all(at); err != nil {
			return err
		}
	}
	f.report.OverWires = f.overWires()
	return nil
}

// all cuts every start once at its reading.
func (f *follower) all(at []float64) error {
	for i := range f.card.Starts {
		if err := f.goTo(i); err != nil {
			return err
		}
		if err := f.pass(i, at[i]); err != nil {
			return fmt.Errorf("finishing start %d: %w", f.card.Starts[i].Start, err)
		}
	}
	return nil
}

// overWires is what a micrometer reads over the card's wires: wires on straight flanks
// at the mean pitch diameter of the grooves, lying at the lead angle; the first term of
// the general formula (NBS Handbook H28).
func (f *follower) overWires() float64 {
	m, half := f.card.Measure, f.card.Tool.IncludedDeg/2*math.Pi/180
	mean, grooves := 0.0, f.grooves()
	for _, g := range grooves {
		mean += g.PitchDiameter / float64(len(grooves))
	}
	w := m.Wire.MM
	lead := f.m.Lead() / (math.Pi * mean)
	pitch := f.m.Lead() / float64(f.card.Thread.Starts)
	return mean - pitch/2/math.Tan(half) + w*(1+1/math.Sin(half)) + w/2*lead*lead*math.Cos(half)/math.Tan(half)
}

// finishByGauge feeds every start on by the card's step from the stop, until the gauge,
// or the mate, goes on.
func (f *follower) finishByGauge() error {
	m := f.card.Measure
	at := make([]float64, len(f.card.Starts))
	for i := range at {
		at[i] = f.card.Passes[m.AfterPass].Readings[i].Reading.MM
	}
	if f.who.Goes(f.grooves()) {
		return fmt.Errorf("the gauge goes on at the stop already")
	}
	for range mostTries * 4 {
		for i := range at {
			at[i] += m.GreatestStep.Reading.MM
		}
		if err := f.all(at); err != nil {
			return err
		}
		if f.who.Goes(f.grooves()) {
			for range m.SpringPasses {
				if err := f.all(at); err != nil {
					return err
				}
			}
			return nil
		}
	}
	return fmt.Errorf("the gauge does not go on after %d tries", mostTries*4)
}

// grooves measures the grooves in the order of the starts' numbers.
func (f *follower) grooves() []lathesim.Groove {
	var out []lathesim.Groove
	for k := range f.card.Thread.Starts {
		if g, ok := f.piece.Measure(k+1, f.card.Thread.Starts); ok {
			out = append(out, g)
		}
	}
	return out
}

// judge measures the finished work: every start by the place where it was cut.
func (f *follower) judge() error {
	lead, n := f.m.Lead(), f.card.Thread.Starts
	f.report.Lead = lead
	f.report.Grooves = f.grooves()
	if len(f.report.Grooves) != n {
		return fmt.Errorf("%d grooves of %d", len(f.report.Grooves), n)
	}
	pitch := lead / float64(n)
	near := func(at, to float64) float64 { return at - math.Round((at-to)/lead)*lead }
	low, high := 0.0, 0.0
	for k := range n {
		// Start k+1 lies k pitches behind start 1, against the travel.
		want := f.at[1] - float64(k)*pitch
		off := near(f.at[k+1], want) - want
		if math.Abs(off) > pitch/4 {
			return fmt.Errorf("start %d lies %.4f mm from its place", k+1, off)
		}
		low, high = min(low, off), max(high, off)
	}
	f.report.Spacing = high - low
	return nil
}
