package generate

import (
	"fmt"
	"math"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var runOutModels = []*model{{skill: "run-out", name: "ceiling", version: 2, weight: 1, draw: runOutCeiling}}

// runOutCeiling asks for the greatest speed at which the half-nut is open before
// the groove ends. It is a safety part: nothing follows through.
func runOutCeiling(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	grooves, tools := []string{"6 mm", "8 mm", "10 mm", "12 mm"}, []string{"2 mm", "3 mm", "4 mm", "5 mm"}
	if d.units == threadmath.Inch {
		grooves, tools = []string{"0.25 in", "0.375 in", "0.5 in"}, []string{"0.1 in", "0.125 in", "0.15 in"}
	}
	groove, tool := oneOf(d, grooves), oneOf(d, tools)
	reaction := 0.7
	// A leadscrew of the lead itself lets the half-nut be opened anywhere, which is
	// the case that this speed is asked for.
	lathe := &threadmath.Lathe{Leadscrew: lengthText(s.length.Times(n), d.units)}
	request := threadmath.Request{Thread: s.request(n), Lathe: lathe, Cut: &threadmath.Cut{Groove: groove, ToolWidth: tool, ReactionS: &reaction}}
	it := d.item(fmt.Sprintf("%s thread with %s runs out into a groove of %s. The tool is %s wide, and it takes 0.7 s to open the half-nut. Half the groove counts at most, and no more than the tool leaves free.",
		capital(article(startWords[n])), s.words(), groove, tool))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("G", "groove", groove)
	it.given("T", "tool width", tool)
	it.given("t", "time to open the half-nut, s", "0.7")
	it.solve(request)
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindSpeed, Ask: "What is the greatest spindle speed?", Unit: curriculum.UnitRevPerMin, Decimals: 0, Marks: 3, At: "/run_out/greatest_rpm", Safety: true, RoundDown: true,
		Steps: append(s.steps(),
			curriculum.Step{Name: "L", Say: "The carriage runs one lead in a turn.", Rule: "n*P", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "w", Say: "The usable width: half the groove, or what the tool leaves free if that is less.", Rule: "min(G/2, G-T)", Unit: d.units.String(), Method: true},
			curriculum.Step{Name: "S", Say: "That width must last for the time it takes; a minute has 60 seconds. Round down: it is a ceiling.", Rule: "60*w/(L*t)", Unit: curriculum.UnitRevPerMin}),
		Wrong: mistakes("run-out", "pitch-for-lead", "per-second", "whole-groove"),
	})
	return it, nil
}

var passModels = []*model{{skill: "pass-schedule", name: "sharp-tool", version: 1, weight: 1, draw: passSchedule}}

func passSchedule(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	scale := math.Pow10(d.askedLength())
	h := strconv.FormatFloat(math.Round(s.length.In(d.units).Float64()*17*math.Sqrt(3)/48*scale)/scale, 'f', d.askedLength(), 64) + " " + d.units.String()
	passes := d.between(6, 14)
	k := d.between(2, passes-1)
	it := d.item(fmt.Sprintf("%s thread with %s is cut %s deep in %d passes of equal chip with a sharp tool.", capital(article(startWords[n])), s.words(), h, passes))
	it.given("h", "depth", h)
	it.given("N", "passes", itoa(passes))
	it.given("k", "the pass asked for", itoa(k))
	it.ex.Drawing = "passes"
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: fmt.Sprintf("How deep is the groove after pass %d?", k), Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2,
		Steps: []curriculum.Step{
			{Name: "q", Say: "Area grows with the square of the depth: take the root of the share of passes.", Rule: "sqrt(k/N)", Method: true},
			{Name: "x", Say: "That share of the whole depth.", Rule: "h*q", Unit: d.units.String()},
		},
		Wrong: mistakes("pass-schedule", "equal-steps", "squared", "no-root"),
	})
	return it, nil
}

var jobTimeModels = []*model{{skill: "job-time", name: "cutting", version: 1, weight: 1, draw: jobMinutes}}

func jobMinutes(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	lead := lengthText(s.length.Times(n), d.units)
	long := oneOf(d, []string{"30 mm", "40 mm", "50 mm", "60 mm"})
	if d.units == threadmath.Inch {
		long = oneOf(d, []string{"1 in", "3/2 in", "2 in", "5/2 in"})
	}
	passes, speed := d.between(8, 16), oneOf(d, []int{40, 50, 60, 70, 80})
	it := d.item(fmt.Sprintf("%s thread of %s lead is %s long. Every start takes %d passes at %d rev/min, each begun one lead before the work.",
		capital(article(startWords[n])), lead, long, passes, speed))
	it.given("n", "starts", itoa(n))
	it.given("L", "lead", lead)
	it.given("l", "length", long)
	it.given("N", "passes of one start", itoa(passes))
	it.given("S", "spindle speed", itoa(speed)+" rev/min")
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindSpeed, Ask: "How many minutes does the tool cut in all?", Unit: curriculum.UnitMinutes, Decimals: 1, Marks: 3,
		Steps: []curriculum.Step{
			{Name: "P", Say: "The pitch, for comparison only: the carriage moves by the lead.", Rule: "L/n", Unit: d.units.String()},
			{Name: "u", Say: "Turns in one pass: length and run-up divided by the lead.", Rule: "(l+L)/L", Method: true},
			{Name: "v", Say: "Turns in all: starts times passes times that.", Rule: "n*N*u", Method: true},
			{Name: "m", Say: "Divided by the turns in a minute.", Rule: "v/S", Unit: curriculum.UnitMinutes},
		},
		Wrong: mistakes("job-time", "one-start", "pitch-time", "one-pass", "speed-lost"),
	})
	return it, nil
}

var wiresModels = []*model{{skill: "over-wires", name: "best-wire", version: 1, weight: 1, draw: bestWire}}

func bestWire(d *draw) (*item, error) {
	n, s, f, err := d.external60()
	if err != nil {
		return nil, err
	}
	text, _, err := d.diameter(s, n)
	if err != nil {
		return nil, err
	}
	thread := f.request(s, n)
	thread.Diameter = text
	it := d.item(fmt.Sprintf("%s %s of %s outside diameter has %s.", capital(article(startWords[n])), f.words, text, s.words()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("d", "outside diameter", text)
	it.solve(threadmath.Request{Thread: thread})
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "Which wire touches the flanks at the pitch line?", Unit: d.units.String(), Decimals: d.askedLength() + 1, Marks: 2, At: "/wires/best",
		Steps: append(s.steps(), curriculum.Step{Name: "w", Say: "The pitch divided by twice the cosine of 30°: 0.5774 of it.", Rule: "P/sqrt(3)", Unit: d.units.String(), Method: true}),
		Wrong: mistakes("over-wires", "wire-of-lead", "half-pitch", "sine"),
	})
	return it, nil
}

var spacingModels = []*model{{skill: "spacing-cost", name: "pitch-diameter", version: 1, weight: 1, draw: spacingCost}}

func spacingCost(d *draw) (*item, error) {
	n, err := d.starts(few2)
	if err != nil {
		return nil, err
	}
	forms := []struct {
		words string
		flank float64
	}{{"60° thread", 30}, {"metric trapezoidal thread, 30°,", 15}, {"Acme thread, 29°,", 14.5}}
	names := even("60", "30", "29")
	v, err := d.radical("form", names)
	if err != nil {
		return nil, err
	}
	f := forms[map[string]int{"60": 0, "30": 1, "29": 2}[v]]
	errors, decimals := []string{"0.02 mm", "0.03 mm", "0.04 mm", "0.05 mm", "0.06 mm", "0.08 mm"}, 3
	if d.units == threadmath.Inch {
		errors, decimals = []string{"0.001 in", "0.0015 in", "0.002 in", "0.0025 in", "0.003 in"}, 5
	}
	e := oneOf(d, errors)
	flank := trimZeros(strconv.FormatFloat(f.flank, 'f', 1, 64)) + "°"
	it := d.item(fmt.Sprintf("The starts of %s %s lie unevenly: the largest spacing error is %s.", article(startWords[n]), f.words, e))
	it.given("e", "spacing error", e)
	it.given("A", "angle of one flank", flank)
	wrong := []string{"as-it-is", "times-tangent", "one-flank"}
	if f.flank != 30 { // the tangent of 60° is the one of 30° turned over
		wrong = append(wrong, "whole-angle")
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How much pitch diameter does that use up?", Unit: d.units.String(), Decimals: decimals, Marks: 2,
		Steps: []curriculum.Step{{Name: "c", Say: "Both flanks give way: the error divided by the tangent of one flank's angle.", Rule: "e/tan(A)", Unit: d.units.String(), Method: true}},
		Wrong: mistakes("spacing-cost", wrong...),
	})
	return it, nil
}
