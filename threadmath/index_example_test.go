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
