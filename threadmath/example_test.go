package threadmath_test

import (
	"fmt"

	"halfnut/threadmath"
)

// solved is Solve for examples, whose requests are sound.
func solved(document string) threadmath.Answer {
	q, err := threadmath.ParseRequest([]byte(document))
	if err != nil {
		panic(err)
	}
	a, err := threadmath.Solve(q)
	if err != nil {
		panic(err)
	}
	return a
}

// exact writes a length that is known exactly.
func exact(d threadmath.Dimension, s threadmath.System) string {
	l, _ := d.Exact()
	return l.Exact(s)
}

// Terms: pitch, starts, lead and where each start lies.
func Example_terms() {
	a := solved(`{"thread": {"designation": "M24xPh6P2"}}`)
	fmt.Println("pitch", exact(a.Pitch, threadmath.Metric)+", lead", exact(a.Lead, threadmath.Metric)+", turns per inch", a.TurnsPerInch)
	for _, s := range a.Starts {
		fmt.Printf("start %d: %s against the travel, or %g° forward\n", s.Start, exact(s.Offset, threadmath.Metric), s.AngleDeg)
	}
	fmt.Printf("lead angle %.2f° at the pitch diameter\n", a.LeadAngleDeg.Pitch)
	// Output:
	// pitch 2 mm, lead 6 mm, turns per inch 127/30
	// start 1: 0 mm against the travel, or 0° forward
	// start 2: 2 mm against the travel, or 120° forward
	// start 3: 4 mm against the travel, or 240° forward
	// lead angle 4.81° at the pitch diameter
}

// Forms: the depth and its rule, diameters, crest and root.
func Example_forms() {
	a := solved(`{"thread": {"designation": "Tr 40x14 P7"}}`)
	fmt.Println(a.DepthRule)
	fmt.Println("depth", exact(*a.Depth, threadmath.Metric)+", d2", exact(*a.PitchDiameter, threadmath.Metric)+", d3", exact(*a.MinorDiameter, threadmath.Metric))
	fmt.Println(a.Crest.Rule)
	// Output:
	// trapezoidal: P/2 + a_c (0.15, 0.25, 0.5 or 1 mm by pitch)
	// depth 4 mm, d2 73/2 mm, d3 32 mm
	// ISO metric trapezoidal, 30°: flat 0.366025 P
}

// Between passes: a metric lead on an inch leadscrew keeps the half-nut closed.
func Example_betweenPasses() {
	a := solved(`{"thread": {"pitch": "2 mm", "starts": 3}, "lathe": {"leadscrew": "8 tpi"}}`)
	fmt.Println(a.PickUp.Rule, *a.HalfNut.Paths)
	a = solved(`{"thread": {"pitch": "2 mm", "starts": 3}, "lathe": {"leadscrew": "6 mm"}}`)
	fmt.Println(a.PickUp.Rule, *a.HalfNut.Paths)
	// Output:
	// keep-closed 240
	// anywhere 1
}

// From one start to the next: every method of this lathe, best first.
func Example_fromStartToStart() {
	a := solved(`{
		"thread": {"designation": "M30xPh6P2-6g"},
		"lathe": {"leadscrew": "6 mm", "train_opens": false,
			"compound_slide": {"graduation": "0.02 mm", "travel": "60 mm"},
			"holders": [{"kind": "chuck-jaws", "stations": 3, "error_deg": 0.5}, {"kind": "faceplate-slots", "stations": 4}]}}`)
	for _, m := range a.Methods {
		if m.Usable {
			fmt.Printf("%s: %.4f mm of the pitch diameter\n", m.Method, m.PitchDiameterCost.MM())
		}
	}
	// Output:
	// compound-parallel: 0.0000 mm of the pitch diameter
	// chuck-jaws: 0.0144 mm of the pitch diameter
}

// Infeed: passes of equal chip area along the flank, as the collar reads them.
func Example_infeed() {
	a := solved(`{
		"thread": {"designation": "5/8-10 ACME"},
		"lathe": {"compound_slide": {"graduation": "0.001 in", "per_turn": "0.1 in"}},
		"cut": {"first_cut": "0.015 in"}}`)
	plan := a.Infeed[0]
	fmt.Println(plan.FedBy, plan.InfeedAngleDeg, plan.Swing)
	for _, p := range plan.Passes {
		fmt.Printf("%d: %.4f in deep, collar %d\n", p.Pass, p.Depth.Value(threadmath.Inch), p.Collar.Divisions)
	}
	// Output:
	// compound 14.5 handle towards the tailstock
	// 1: 0.0134 in deep, collar 14
	// 2: 0.0248 in deep, collar 26
	// 3: 0.0348 in deep, collar 36
	// 4: 0.0439 in deep, collar 45
	// 5: 0.0522 in deep, collar 54
	// 6: 0.0600 in deep, collar 62
}

// Measuring: wires for two starts, and the limits over them.
func Example_measuring() {
	a := solved(`{"thread": {"designation": "M24xPh4P2-6g"}}`)
	w := a.Wires
	fmt.Printf("best %.4f mm, over %d wires %.4f to %.4f mm\n", w.Best.MM(), w.Count, w.OverMin.MM(), w.OverMax.MM())
	// Output:
	// best 1.1547 mm, over 2 wires 24.2278 to 24.3978 mm
}

// Where sources disagree exact arithmetic decides: an old rule shifts the
// carriage 0.4 in only on leadscrews of a multiple of 10 per inch; a multiple of
// 5 will do, and others need a longer shift.
func Example_disagreement() {
	for _, leadscrew := range []string{"10 tpi", "5 tpi", "6 tpi"} {
		a := solved(`{"thread": {"pitch": "2/5 in", "starts": 2}, "lathe": {"leadscrew": "` + leadscrew + `"}}`)
		fmt.Println(leadscrew, exact(a.CarriageShift.Shifts[1].Distance, threadmath.Inch))
	}
	// Output:
	// 10 tpi 2/5 in
	// 5 tpi 2/5 in
	// 6 tpi 2 in
}

// Cautions that belong with the numbers.
func Example_cautions() {
	a := solved(`{"thread": {"pitch": "2 mm", "starts": 3}}`)
	for _, c := range a.Cautions {
		if !c.Always {
			fmt.Println(c.ID)
		}
	}
	// Output:
	// infeed-back
	// settings-stay
	// feather-edges
}

// A lathe that cannot do the job is an answer; a request that makes no sense is
// an error with the field, the value and what is allowed.
func ExampleDomainError() {
	_, err := threadmath.ParseDesignation("1/4-28 UNC")
	fmt.Println(err.(*threadmath.DomainError).Reason)
	q, err := threadmath.ParseRequest([]byte(`{"thread": {"pitch": "2 mm", "lead": "5 mm"}}`))
	if err == nil {
		_, err = threadmath.Solve(q)
	}
	fmt.Println(err)
	// Output:
	// UNC has 20 per inch at this size
	// /thread/lead: "5 mm": lead is not a whole number of pitches (allowed: 1 to 24 times 2 mm)
}

// Designations read in any of their writings come out in one.
func ExampleParseDesignation() {
	for _, text := range []string{"M24x6-P2", "Tr 40x14 P7", "1-1/8-5 ACME-2G", "1-64", "1-8", "M20"} {
		d, err := threadmath.ParseDesignation(text)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %s, %d start\n", d, d.Form, d.Starts)
	}
	// Output:
	// M24xPh6P2: iso-metric, 3 start
	// Tr 40x14(P7): trapezoidal, 2 start
	// 1-1/8-5 ACME-2G: acme, 1 start
	// 1-64 UNC: unified, 1 start
	// 1-8 UNC: unified, 1 start
	// M20: iso-metric, 1 start
}

// The published pitches of a diameter, for whoever draws exercises.
func ExampleAllSeries() {
	for _, s := range threadmath.AllSeries() {
		if s.Name != "Tr" {
			continue
		}
		for _, size := range s.Sizes {
			if size.Diameter.Equal(threadmath.Millimetres(threadmath.Int(40))) {
				fmt.Println(s.Source, size.Pitch.Exact(threadmath.Metric))
			}
		}
	}
	// Output:
	// ISO 2904 3 mm
	// ISO 2904 7 mm
	// ISO 2904 10 mm
}
