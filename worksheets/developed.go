package worksheets

import (
	"fmt"
	"math"
	"strings"
)

// leastDiameter is the smallest surface in mm that Developed unrolls.
const leastDiameter = 0.5

// DevelopedSpec is a thread to be shown with its surface unrolled over one turn.
type DevelopedSpec struct {
	Starts   int     // 1 to 12
	Pitch    float64 // mm, axial distance from one groove to the next
	Diameter float64 // mm, of the surface that is unrolled
	LeftHand bool
	Width    float64 // mm of paper for the drawing with its dimensions
	Height   float64 // mm
	Text     float64 // points; 0 is 9

	// Labels of the dimensions, as the sheet wants them; an empty one is left out.
	PitchLabel, LeadLabel, AngleLabel, TurnLabel string
	OffsetLabels                                 []string // for starts 2, 3 and so on
}

// Developed returns the developed view of the thread: the circumference from left to right, the axis upwards with
// the headstock at the top, both at one scale, so that each groove stands at its true lead angle
// atan(n*P/(pi*d)). Start j+1 lies j*P behind start 1 against the tool's travel, which is upwards for a
// right-hand thread and downwards for a left-hand one.
//
// The description tells what the labels tell and no number besides: on an exercise the rest is asked.
//
// Classes: "helix:1" and so on for the grooves, "dim:pitch", "dim:lead", "dim:offset:2" and so on,
// "dim:circumference", "angle:lead".
func Developed(s DevelopedSpec) (Group, error) {
	if err := firstError(
		inRange("number of starts", float64(s.Starts), 1, 12),
		inRange("pitch", s.Pitch, 0.05, 200),
		inRange("diameter", s.Diameter, leastDiameter, 1000),
		inRange("width", s.Width, 40, 400),
		inRange("height", s.Height, 20, 400),
	); err != nil {
		return Group{}, fmt.Errorf("developed view: %w", err)
	}
	size := textSize(s.Text)
	row := size * 1.25 / pointsPerMM
	lead := float64(s.Starts) * s.Pitch
	turn := math.Pi * s.Diameter
	column := size * 1.6 / pointsPerMM // from one upright dimension to the next
	_, _, clear := numberColumns(size)
	left, right, above := 3.0, clear+0.6, 2*row
	for _, l := range []string{s.PitchLabel, s.LeadLabel} {
		if l != "" {
			left += column + 0.5
		}
	}
	for _, l := range s.OffsetLabels[:min(len(s.OffsetLabels), s.Starts-1)] {
		if l != "" {
			right = max(right, clear+4.6-column) + column
		}
	}
	below := row // the scale
	if s.TurnLabel != "" {
		below += row + 1
	}
	scale, ok := fitScale(turn, 2*lead, s.Width-left-right, s.Height-above-below)
	if !ok {
		return Group{}, fmt.Errorf("developed view: %w", &FitError{Owner: "drawing", What: "one turn of the thread", Needs: turn * scales[len(scales)-1], Room: s.Width - left - right})
	}
	hand, word := 1.0, "right-hand"
	if s.LeftHand {
		hand, word = -1, "left-hand"
	}
	at := func(around, axial float64) Point { return Point{around * scale, -axial * scale} }
	angle := math.Atan(lead/turn) * 180 / math.Pi
	g := Group{
		Class: "developed", Scale: scale,
		Title: fmt.Sprintf("Developed view of a %s thread with %s", word, counted(s.Starts, "start")),
		Desc: fmt.Sprintf("The surface unrolled over one turn, with %s.", counted(s.Starts, "groove")) +
			told("Pitch", s.PitchLabel) + told("Lead", s.LeadLabel) + told("Lead angle", s.AngleLabel) + told("Circumference", s.TurnLabel),
	}
	for j, l := range s.OffsetLabels {
		if j+1 < s.Starts {
			g.Desc += told(fmt.Sprintf("Start %d behind start 1", j+2), l)
		}
	}
	frame := Rect{Box: Box{0, -lead * scale, turn * scale, 2 * lead * scale}, Stroke: Fine, Class: "surface"}
	g.add(frame)

	// The grooves: line k passes axial height k*P at the left edge and rises or falls by the lead over the turn.
	for k := -2 * s.Starts; k <= 2*s.Starts; k++ {
		y0, y1 := float64(k)*s.Pitch, float64(k)*s.Pitch+hand*lead
		a, b, some := clipRise(turn, y0, y1, -lead, lead)
		if !some {
			continue
		}
		start := mod(-k*int(hand), s.Starts) // behind start 1 is down for right-hand, up for left-hand
		stroke := Stroke{Width: 0.35, Tone: Ink}
		if start == 0 {
			stroke.Width = 0.7
		}
		g.add(Line{A: at(a.X, a.Y), B: at(b.X, b.Y), Stroke: stroke, Class: fmt.Sprintf("helix:%d", start+1)})
	}
	g.add(s.numbers(at, turn, lead, hand, size)...)

	// Left: pitch and lead. Right: offsets. Below: the circumference.
	x := -3.0
	if s.PitchLabel != "" {
		from, to := at(0, 0), at(0, -hand*s.Pitch)
		if s.Starts == 1 {
			to = at(0, hand*s.Pitch)
		}
		g.add(dimension("dim:pitch", s.PitchLabel, Point{x, from.Y}, Point{x, to.Y}, from, to, size))
		x -= column
	}
	if s.LeadLabel != "" {
		from, to := at(0, 0), at(0, hand*lead)
		g.add(dimension("dim:lead", s.LeadLabel, Point{x - 1, from.Y}, Point{x - 1, to.Y}, from, to, size))
	}
	x = turn*scale + clear + 2.6
	for j := 1; j < s.Starts && j <= len(s.OffsetLabels); j++ {
		if s.OffsetLabels[j-1] == "" {
			continue
		}
		from, to := at(turn, 0).moved(clear, 0), at(turn, -hand*float64(j)*s.Pitch).moved(clear, 0) // clear of the numbers
		g.add(dimension(fmt.Sprintf("dim:offset:%d", j+1), s.OffsetLabels[j-1], Point{x, from.Y}, Point{x, to.Y}, from, to, size))
		x += column
	}
	foot := lead*scale + row + 1
	if s.TurnLabel != "" {
		g.add(dimension("dim:circumference", s.TurnLabel, Point{0, foot}, Point{turn * scale, foot}, at(0, -lead), at(turn, -lead), size))
		foot += row
	}
	if s.AngleLabel != "" {
		r := 0.5 * turn * scale
		g.add(Line{A: at(0, 0), B: Point{r + 4, 0}, Stroke: Fine, Class: "base"})
		g.add(angleDimension("angle:lead", s.AngleLabel, at(0, 0), r, 0, hand*angle, size))
	}
	travel := []string{"↑ tool travel,", "towards the headstock"}
	if s.LeftHand {
		travel = []string{"↓ tool travel,", "away from the headstock"}
	}
	if one := strings.Join(travel, " "); Regular.Width(one, size, 0) <= turn*scale {
		travel = []string{one}
	}
	for i, t := range travel {
		g.add(Text{At: Point{0, -lead*scale - 1.5 - row*float64(len(travel)-1-i)}, Text: t, Size: size, Class: "travel"})
	}
	g.add(Text{At: Point{0, foot}, Text: scaleText(scale), Size: size, Tone: Muted, Class: "scale"}) // clear of labels that hang down on the left
	return g, nil
}

// numberColumns returns where the start numbers stand, in mm right of the edge: the inner and the outer column of
// staggered ones, and where the right of both is clear.
func numberColumns(size float64) (inner, outer, clear float64) {
	digit := Text{Text: "0", Face: Bold, Size: size}.Width()
	if digit <= 2.6 {
		return 1.6, 4.2, 6.4
	}
	inner = 0.8 + digit/2
	outer = inner + digit + 0.2
	return inner, outer, outer + digit/2 + 0.8
}

// numbers returns the start numbers at the right edge, staggered when grooves stand close.
func (s DevelopedSpec) numbers(at func(x, y float64) Point, turn, lead, hand, size float64) []Item {
	var out []Item
	inner, outer, _ := numberColumns(size)
	for j := range s.Starts {
		p := at(turn, -hand*float64(j)*s.Pitch)
		t := Text{At: Point{p.X + outer, p.Y + Regular.CapHeight(size)/2}, Text: fmt.Sprint(j + 1), Face: Bold, Size: size, Anchor: Middle, Class: fmt.Sprintf("start:%d", j+1)}
		if at(0, 0).Y-at(0, s.Pitch).Y < 1.1*size/pointsPerMM && j%2 == 1 {
			t.At.X = p.X + inner
		}
		out = append(out, t)
	}
	return out
}

// clipRise returns the part of the line from (0, y0) to (w, y1) that lies between lo and hi, and false when there is
// none worth drawing.
func clipRise(w, y0, y1, lo, hi float64) (a, b Point, some bool) {
	t0, t1 := 0.0, 1.0
	d := y1 - y0
	for _, edge := range []float64{lo, hi} {
		t := (edge - y0) / d
		outsideFirst := (edge == lo) == (d > 0) // whether the line enters at this edge
		if outsideFirst {
			t0 = max(t0, t)
		} else {
			t1 = min(t1, t)
		}
	}
	if t1-t0 < 1e-9 {
		return a, b, false
	}
	return Point{t0 * w, y0 + t0*d}, Point{t1 * w, y0 + t1*d}, true
}

func mod(a, n int) int { return ((a % n) + n) % n }

// counted returns "1 start", "2 starts" and the like.
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// told returns a sentence of a description, and nothing when there is no label.
func told(what, label string) string {
	if label == "" {
		return ""
	}
	return " " + what + ": " + label + "."
}
