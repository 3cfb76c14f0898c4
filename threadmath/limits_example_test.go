package threadmath_test

import (
	"fmt"

	"halfnut/threadmath"
)

// The limits of a three-start thread in class 6g, from the tables of ISO 965-1.
func ExampleSolve_limits() {
	starts := threadmath.Count(3)
	a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{
		Form: "iso-metric", Diameter: "30 mm", Pitch: "2 mm", Starts: &starts, Class: "6g",
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	l := a.Limits
	fmt.Printf("major %.3f to %.3f mm\n", l.MajorDiameter.Max.MM(), l.MajorDiameter.Min.MM())
	fmt.Printf("pitch %.3f to %.3f mm\n", l.PitchDiameter.Max.MM(), l.PitchDiameter.Min.MM())
	fmt.Println(l.MultiStart)
	// Output:
	// major 29.962 to 29.682 mm
	// pitch 28.663 to 28.493 mm
	// the classes are made for single-start threads: these are the limits of the single-start thread of the same pitch
}
