package threadmath_test

import (
	"fmt"

	"halfnut/threadmath"
)

func ExampleSolve_pickUp() {
	starts := threadmath.Count(2)
	a, err := threadmath.Solve(threadmath.Request{
		Thread: threadmath.Thread{Pitch: "12 tpi", Starts: &starts},
		Lathe: &threadmath.Lathe{
			Leadscrew:   "8 tpi",
			ThreadDials: []threadmath.ThreadDial{{Teeth: 16, Graduations: 8}},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(a.PickUp.Rule, a.PickUp.Dials[0].Lines)
	fmt.Println(a.PickUp.Why)
	// Output:
	// lines [0 2 4 6]
	// only one leadscrew thread in 4 finds the groove again: close on the lines listed, counted from the one the start was cut on
}

func ExampleSolve_threadDial() {
	starts := threadmath.Count(3)
	a, err := threadmath.Solve(threadmath.Request{
		Thread: threadmath.Thread{Pitch: "2 mm", Starts: &starts},
		Lathe: &threadmath.Lathe{
			Leadscrew:   "4 mm",
			ThreadDials: []threadmath.ThreadDial{{Teeth: 20, Graduations: 4}, {Teeth: 21, Graduations: 7}},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range a.ThreadDials {
		l := d.Lines[1]
		fmt.Println(d.Teeth, "teeth, line 1:", l.Catches, l.Start, l.Starts)
		for _, b := range d.Between {
			fmt.Println("start", b.Start, "is", b.LeadscrewThreads, "leadscrew threads past line", b.PastLine)
		}
	}
	// Output:
	// 20 teeth, line 1: varies 0 [1 2 3]
	// 21 teeth, line 1: start 1 []
	// start 2 is 2 leadscrew threads past line 0
	// start 3 is 1 leadscrew threads past line 0
}

func ExampleRescue() {
	starts := threadmath.Count(3)
	d, err := threadmath.Rescue(
		threadmath.Request{
			Thread: threadmath.Thread{Form: "iso-metric", Diameter: "30 mm", Pitch: "2 mm", Starts: &starts, Class: "6g"},
			Lathe:  &threadmath.Lathe{CompoundSlide: &threadmath.Slide{Graduation: "0.02 mm", Backlash: "0.1 mm"}},
		},
		threadmath.Measurement{Spacings: []string{"2.08 mm", "2 mm", "1.92 mm"}},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Causes[0].Cause+":", d.Causes[0].Why)
	fmt.Println(d.Save+":", d.How[0])
	// Output:
	// backlash: all other starts lie 0.08 mm too far against the travel: the slide's lost motion was not taken up with the travel before its moves
	// yes: the starts are 0.08 mm out of step: cut every start until the pitch diameter is 0.1386 mm smaller than its maximum-metal limit, of a tolerance of 0.17 mm
}

func ExamplePitchDiameterCost() {
	f, err := threadmath.FormOf("american-national")
	if err != nil {
		fmt.Println(err)
		return
	}
	// 12 per inch, two starts, set at 0.084 in where 1/12 in is right.
	cost, _ := threadmath.PitchDiameterCost(f, 0.084-1.0/12)
	fmt.Printf("%.4f in\n", cost)
	// Output:
	// 0.0012 in
}
