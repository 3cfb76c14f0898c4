package worksheets

import (
	"fmt"
	"strings"
)

// TrainSpec is a train of change gears from the stud to the leadscrew.
type TrainSpec struct {
	// Drivers and Driven are the tooth counts, one of each for a simple train with an idler and two of each for a
	// compound one: Drivers[0] on the stud meshes with Driven[0], which is keyed to Drivers[1], which meshes with
	// Driven[1] on the leadscrew. 0 stands for a wheel that is asked: it is drawn with a middling count.
	Drivers, Driven []int
	Width           float64 // mm of paper, 80 to 250
	Height          float64 // mm of paper for the wheels, 40 to 250
	Text            float64 // points; 0 is 9
}

// askedTeeth is the size in which a wheel that is asked for is drawn; its circle is dashed.
const askedTeeth = 60

// TrainView returns the wheels as their pitch circles, to scale by their teeth, with counts and places beside them; a
// wheel that is asked for is dashed. Group.Scale is millimetres of paper per millimetre of a train of
// module 1, so the diameter of a pitch circle over the scale is the tooth count.
//
// Classes: "pitch:driver:1", "pitch:driven:1" and so on for the pitch circles, "idler", "wheel" for the labels.
func TrainView(s TrainSpec) (Group, error) {
	n := len(s.Drivers)
	if err := firstError(
		inRange("drivers", float64(n), 1, 2),
		inRange("driven wheels", float64(len(s.Driven)), float64(n), float64(n)),
		inRange("width", s.Width, 80, 250),
		inRange("height", s.Height, 40, 250),
	); err != nil {
		return Group{}, fmt.Errorf("gear train: %w", err)
	}
	for _, t := range append(append([]int{}, s.Drivers...), s.Driven...) {
		if t != 0 && (t < 10 || t > 400) {
			return Group{}, fmt.Errorf("gear train: a wheel of %d teeth is not between 10 and 400", t)
		}
	}
	size := textSize(s.Text)
	row := size * 1.3 / pointsPerMM
	g := Group{Class: "gear-train", Title: "Train of change gears"}
	wheels := s.wheels()
	box := wheels[0].box()
	words := 0.0
	for _, w := range wheels {
		box = box.union(w.box())
		for _, l := range w.words {
			words = max(words, Regular.Width(l, size, 0))
		}
	}
	scale, ok := fitScale(box.W, box.H, s.Width-words-10, s.Height)
	if !ok {
		return Group{}, fmt.Errorf("gear train: %w", &FitError{Owner: "drawing", What: "the wheels with their names", Needs: box.W*scales[len(scales)-1] + words + 10, Room: s.Width})
	}
	g.Scale = scale
	textX := (box.X+box.W)*scale + 8
	rows := 0
	for _, w := range wheels {
		rows += len(w.words)
	}
	y := max(box.Y*scale, (box.Y+box.H/2)*scale-float64(rows+len(wheels)-1)*row/2) + row
	var said []string
	for _, w := range wheels {
		c := Point{w.at.X * scale, w.at.Y * scale}
		r := w.teeth / 2 * scale
		pitch := Stroke{Width: 0.35, Tone: Ink}
		if w.asked {
			pitch.Dash = Dashed
		}
		g.add(Circle{Centre: c, Radius: r, Stroke: pitch, Class: w.class}, Circle{Centre: c, Radius: 1, Stroke: Fine, Class: "stud"})
		cross := min(r*0.3, 5)
		g.add(Line{A: Point{c.X - cross, c.Y}, B: Point{c.X + cross, c.Y}, Stroke: Fine, Class: "centre-line"}, Line{A: Point{c.X, c.Y - cross}, B: Point{c.X, c.Y + cross}, Stroke: Fine, Class: "centre-line"})
		// The leader ends on the circle, on the side of the names.
		end := Point{textX - 1.5, y - Regular.CapHeight(size)/2}
		on := c.Polar(r, degreesOf(c, end))
		g.add(Line{A: end, B: on, Stroke: Fine, Class: "leader"}, arrowhead(on, degreesOf(end, on)))
		for i, l := range w.words {
			face := Regular
			if i == 0 {
				face = Bold
			}
			g.add(Text{At: Point{textX, y}, Text: l, Face: face, Size: size, Class: "wheel"})
			y += row
		}
		y += row
		said = append(said, strings.Join(w.words, " "))
	}
	g.Desc = "From the stud to the leadscrew: " + strings.Join(said, "; ") + "."
	b := g.Bounds()
	g.add(noteLines(Point{b.X, b.Y + b.H + 1}, max(b.W, 60), size*0.9, "pitch circles, to scale by their teeth")...)
	g, err := withinWidth(g, "the wheels with their names", s.Width)
	if err != nil {
		return Group{}, fmt.Errorf("gear train: %w", err)
	}
	return g, nil
}

// wheel is one wheel of a train at module 1, in millimetres.
type wheel struct {
	class string
	at    Point
	teeth float64
	asked bool
	words []string
}

func (w wheel) box() Box {
	r := w.teeth / 2
	return Box{w.at.X - r, w.at.Y - r, 2 * r, 2 * r}
}

// wheels places the wheels: every meshing pair at the distance of its pitch circles, in a zigzag downwards.
func (s TrainSpec) wheels() []wheel {
	teeth := func(n int) (float64, bool, string) {
		if n == 0 {
			return askedTeeth, true, "? teeth"
		}
		return float64(n), false, counted2(n, "tooth", "teeth")
	}
	add := func(out []wheel, class, role, place string, n int, from int, degrees float64) []wheel {
		t, asked, count := teeth(n)
		w := wheel{class: class, teeth: t, asked: asked, words: []string{role + ", " + count, place}}
		switch {
		case from >= 0 && degrees == 0: // on the same stud
			w.at = out[from].at
		case from >= 0:
			w.at = out[from].at.Polar((out[from].teeth+t)/2, degrees)
		}
		return append(out, w)
	}
	var out []wheel
	if len(s.Drivers) == 1 {
		out = add(out, "pitch:driver:1", "driver", "on the stud", s.Drivers[0], -1, 0)
		out = add(out, "idler", "idler", "any that reaches", 40, 0, -50)
		out[1].words = []string{"idler", "any that reaches"}
		return add(out, "pitch:driven:1", "driven", "on the leadscrew", s.Driven[0], 1, -130)
	}
	out = add(out, "pitch:driver:1", "first driver", "on the stud", s.Drivers[0], -1, 0)
	out = add(out, "pitch:driven:1", "first driven", "on the middle stud", s.Driven[0], 0, -50)
	out = add(out, "pitch:driver:2", "second driver", "keyed to the first driven", s.Drivers[1], 1, 0)
	return add(out, "pitch:driven:2", "second driven", "on the leadscrew", s.Driven[1], 2, -130)
}

// counted2 returns "1 tooth", "2 teeth" and the like.
func counted2(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
