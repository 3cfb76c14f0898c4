package threadmath

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// flanksOf reads the angles of the steepest falling and rising edges, degrees
// from the normal to the axis.
func flanksOf(points []ProfilePoint) (down, up float64) {
	down, up = 90, 90
	for i := 1; i < len(points); i++ {
		dx, dy := points[i].X-points[i-1].X, points[i].Y-points[i-1].Y
		if dx*dx+dy*dy < 1e-6 {
			continue
		}
		switch angle := math.Atan2(dx, math.Abs(dy)) * 180 / math.Pi; {
		case dy > 0:
			down = min(down, angle)
		case dy < 0:
			up = min(up, angle)
		}
	}
	return down, up
}

// widthAt is the width of the groove at a depth, read off the polygon.
func widthAt(points []ProfilePoint, y float64) float64 {
	var left, right float64
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if a.Y <= y && b.Y > y {
			left = a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)
		}
		if a.Y > y && b.Y <= y {
			right = a.X + (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)
		}
	}
	return right - left
}

// TestProfile reads lengths and angles back out of the polygon of every form:
// it spans one pitch and the answer's depth, never goes back, has the form's
// flank angles, and is half groove and half ridge on the pitch line.
func TestProfile(t *testing.T) {
	t.Parallel()
	pitch := Millimetres(Int(8))
	for _, f := range Forms() {
		for _, internal := range []bool{false, true} {
			name := fmt.Sprint(f.Slug, " internal ", internal)
			points, err := Profile(f.Slug, pitch, internal)
			require.NoError(t, err, name)
			side := "external"
			if internal {
				side = "internal"
			}
			a := mustSolve(t, Request{Thread: Thread{Form: f.Slug, Side: side, Diameter: "60 mm", Pitch: "8 mm"}})
			first, last, deepest := points[0], points[len(points)-1], 0.0
			assert.Equal(t, ProfilePoint{0, 0}, first, name)
			assert.Equal(t, ProfilePoint{8, 0}, last, name)
			for i, p := range points {
				deepest = max(deepest, p.Y)
				assert.GreaterOrEqual(t, p.Y, 0.0, name)
				if i > 0 {
					assert.GreaterOrEqual(t, p.X, points[i-1].X, name)
				}
			}
			assert.InDelta(t, a.Depth.MM(), deepest, 1e-4, name) // DIN 513's 0.86777 is rounded
			down, up := flanksOf(points)
			assert.InDelta(t, f.LoadFlankDeg, down, 1e-6, name)
			assert.InDelta(t, f.ClearanceFlankDeg, up, 1e-6, name)
			line := math.Abs(a.MajorDiameter.MM()-a.PitchDiameter.MM()) / 2
			if internal {
				line = math.Abs(a.PitchDiameter.MM()-a.MinorDiameter.MM()) / 2
			}
			if f.Slug != "square" { // whose pitch line is its root
				assert.InDelta(t, 4, widthAt(points, line), 1e-9, name)
			}
		}
	}
}

// TestProfileRadii: the circles that touch both flanks and the crest or root
// line have the radii that the standards print. ISO 68-1, BS 84; DIN 513, ASME
// B1.9 and DIN 405 from memory, which the geometry confirms to every digit.
func TestProfileRadii(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		form, side  string
		crest, root float64 // radius over P, 0: none
		tolerance   float64
	}{
		{"iso-metric", "external", 0, 0.144338, 5e-7},
		{"iso-metric", "internal", 0, 0, 0},
		{"unified", "external", 0, 0.144338, 5e-7},
		{"whitworth", "external", 0.137329, 0.137329, 5e-7},
		{"whitworth", "internal", 0.137329, 0.137329, 5e-7},
		{"buttress-metric", "external", 0, 0.12427, 5e-6},
		{"buttress-metric", "internal", 0, 0, 0},
		{"buttress-inch", "external", 0, 0.0714, 5e-5},
		{"knuckle", "external", 0.238507, 0.238507, 5e-7},
		{"knuckle", "internal", 0.255967, 0.221047, 5e-7},
		{"acme", "external", 0, 0, 0},
	} {
		a := mustSolve(t, Request{Thread: Thread{Form: tt.form, Side: tt.side, Diameter: "60 mm", Pitch: "1 mm"}})
		for edge, want := range map[*Edge]float64{a.Crest: tt.crest, a.Root: tt.root} {
			if want == 0 {
				assert.Nil(t, edge.Radius, "%s %s", tt.form, tt.side)
				continue
			}
			assert.InDelta(t, want, edge.Radius.MM(), tt.tolerance, "%s %s", tt.form, tt.side)
			assert.Nil(t, edge.Flat)
		}
		if tt.root > 0 {
			assert.Equal(t, a.Root.Radius, a.Tool.NoseRadius)
		}
	}
}

// TestProfileFlats are the flats of the standards: American National P/8
// (NBS H28), ISO crest P/8 and internal crest P/4 (ISO 68-1), Acme 0.3707 P,
// stub 0.4224 P (ASME B1.5, B1.8), trapezoidal 0.36603 P (ISO 2901).
func TestProfileFlats(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		form, side  string
		crest, root float64
	}{
		{"american-national", "external", 0.125, 0.125},
		{"iso-metric", "external", 0.125, 0},
		{"iso-metric", "internal", 0.25, 0.125},
		{"acme", "external", 0.3707, 0.3707 - 0.5173*0.254/8},
		{"stub-acme", "external", 0.4224, 0.4224 - 0.5173*0.254/8},
		{"trapezoidal", "external", 0.36603, 0.36603 - 0.5359*0.5/8},
		{"trapezoidal", "internal", 0.36603, 0.36603 - 0.5359*0.5/8},
		{"square", "external", 0.5, 0.5},
		{"buttress-metric", "internal", 0.26384, 0.26384},
		{"buttress-inch", "external", 0.16316, 0},
	} {
		a := mustSolve(t, Request{Thread: Thread{Form: tt.form, Side: tt.side, Diameter: "60 mm", Pitch: "8 mm"}})
		assert.InDelta(t, tt.crest, a.Crest.Flat.MM()/8, 5e-5, "%s %s", tt.form, tt.side)
		assert.NotEmpty(t, a.Crest.Rule)
		assert.NotEmpty(t, a.Root.Rule)
		if tt.root > 0 {
			assert.InDelta(t, tt.root, a.Root.Flat.MM()/8, 5e-5, "%s %s", tt.form, tt.side)
		}
	}
	sharp := mustSolve(t, Request{Thread: Thread{Form: "sharp-v", Diameter: "60 mm", Pitch: "8 mm"}})
	assert.Equal(t, &Edge{Rule: "sharp V, 60°: a point"}, sharp.Crest)
	assert.Equal(t, &Edge{Rule: "sharp V: a point"}, sharp.Root)
}

func TestProfileRefuses(t *testing.T) {
	t.Parallel()
	_, err := Profile("star", Millimetres(Int(1)), false)
	assert.ErrorContains(t, err, "star")
	for _, p := range []Length{{}, Millimetres(Int(-1)), Millimetres(Int(1_000_000))} {
		_, err = Profile("acme", p, false)
		assert.ErrorContains(t, err, "pitch")
	}
	// The clearance of a form is a fixed length: at a very fine pitch its flanks
	// meet before they are that deep.
	_, err = Profile("trapezoidal", Millimetres(frac(1, 5)), false)
	assert.ErrorContains(t, err, "the flanks meet above the root")
	_, err = Solve(Request{Thread: Thread{Form: "trapezoidal", Diameter: "10 mm", Pitch: "0.2 mm"}})
	var d *DomainError
	require.ErrorAs(t, err, &d)
	assert.Equal(t, "/thread/pitch", d.Quantity)
}

// ExampleProfile is one pitch of an Acme thread of 5 per inch, in thousandths.
func ExampleProfile() {
	points, err := Profile("acme", Inches(frac(1, 5)), false)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range points {
		fmt.Printf("%.1f %.1f\n", p.X/0.0254, p.Y/0.0254)
	}
	// Output:
	// 0.0 0.0
	// 37.1 0.0
	// 65.5 110.0
	// 134.5 110.0
	// 162.9 0.0
	// 200.0 0.0
}
