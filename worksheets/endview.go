package worksheets

import (
	"fmt"
	"math"
	"strings"
)

// EndViewSpec is a plate or chuck with stations, seen from the tailstock.
type EndViewSpec struct {
	Starts   int   // 1 to 12
	Stations int   // jaws, slots or holes, evenly spaced; at least 1, at most 60
	Use      []int // the station for start 1, start 2 and so on, counted from 1
	// AgainstRotation numbers the stations against the direction of rotation, as spindle index holes reach their pin.
	AgainstRotation bool
	Clockwise       bool    // the work turns clockwise; most lathes turn it counter-clockwise as seen from the tailstock (common practice, no source)
	Width           float64 // mm of paper with the labels
	Text            float64 // points; 0 is 9
	// Dog draws the dog with its tail at the station of start 1, and the centre that stays in the spindle.
	Dog        bool
	AngleLabel string // of the angle from the station of start 1 to that of start 2; none when empty
}

// EndView returns the end view with numbered stations, station 1 at the top, and the order to use them in: a used
// station is a filled disc with its start beside it, an unused one an open circle.
//
// Classes: "station:1" and so on for the discs, "use:1" and so on for the labels of the starts, "angle:index".
func EndView(s EndViewSpec) (Group, error) {
	if err := firstError(
		inRange("number of starts", float64(s.Starts), 1, 12),
		inRange("number of stations", float64(s.Stations), 1, 60),
		inRange("width", s.Width, 50, 250),
	); err != nil {
		return Group{}, fmt.Errorf("end view: %w", err)
	}
	if len(s.Use) != s.Starts {
		return Group{}, fmt.Errorf("end view: %d stations in use for %s", len(s.Use), counted(s.Starts, "start"))
	}
	startOf := map[int]int{}
	for i, k := range s.Use {
		if k < 1 || k > s.Stations {
			return Group{}, fmt.Errorf("end view: there is no station %d of %d", k, s.Stations)
		}
		if startOf[k] != 0 {
			return Group{}, fmt.Errorf("end view: station %d is used twice", k)
		}
		startOf[k] = i + 1
	}
	size := textSize(s.Text)
	turn := 1.0 // counter-clockwise
	if s.Clockwise {
		turn = -1
	}
	count := turn
	if s.AgainstRotation {
		count = -turn
	}
	angle := func(k int) float64 { return 90 + count*float64(k-1)*360/float64(s.Stations) }
	centre := Point{}
	used := Text{Text: fmt.Sprintf("start %d", s.Starts), Face: Bold, Size: size}.Width()
	r := s.Width/2 - used - 3 - 2.6*size/drawingText - Regular.CapHeight(size)/2
	if r < 10 {
		return Group{}, fmt.Errorf("end view: %w", &FitError{Owner: "drawing", What: "the end view with its labels", Needs: s.Width + 20 - 2*r, Room: s.Width})
	}
	disc := min(2.6*size/drawingText, r*0.8*math.Pi/float64(s.Stations))

	var order []string
	for i, k := range s.Use {
		order = append(order, fmt.Sprintf("start %d at station %d", i+1, k))
	}
	g := Group{
		Class: "end-view",
		Title: fmt.Sprintf("End view with %s", counted(s.Stations, "station")),
		Desc:  fmt.Sprintf("Seen from the tailstock, station 1 at the top, %s. Order of use: %s.", s.counting(), strings.Join(order, ", ")),
	}
	g.add(
		Circle{Centre: centre, Radius: r + disc + 1.5, Stroke: Edge, Class: "plate"},
		Circle{Centre: centre, Radius: r * 0.36, Stroke: Edge, Fill: Shade, Class: "work"},
		Line{A: Point{-r - disc - 4, 0}, B: Point{r + disc + 4, 0}, Stroke: Centre, Class: "centre-line"},
		Line{A: Point{0, -r - disc - 4}, B: Point{0, r + disc + 4}, Stroke: Centre, Class: "centre-line"},
	)
	numberSize := size
	if s.Stations > 20 {
		numberSize = size * 0.7
	}
	every := 1 // with many stations only some numbers fit
	for float64(every)*r*2*math.Pi/float64(s.Stations) < 2.2*numberSize/pointsPerMM {
		every++
	}
	for k := 1; k <= s.Stations; k++ {
		p := centre.Polar(r, angle(k))
		start := startOf[k]
		c := Circle{Centre: p, Radius: disc, Stroke: Fine, Fill: White, Class: fmt.Sprintf("station:%d", k)}
		tone := Ink
		if start > 0 {
			c.Fill, tone = Ink, White
		}
		g.add(c)
		if start > 0 || (k-1)%every == 0 {
			t := Text{At: Point{p.X, p.Y + Regular.CapHeight(numberSize)/2}, Text: fmt.Sprint(k), Size: numberSize, Anchor: Middle, Tone: tone, Class: "number"}
			if t.Width() <= 2*disc {
				g.add(t)
			}
		}
		if start > 0 {
			t := Text{Text: fmt.Sprintf("start %d", start), Face: Bold, Size: size, Anchor: Middle, Class: fmt.Sprintf("use:%d", start)}
			at := centre.Polar(r+disc+3, angle(k))
			switch {
			case at.X > r*0.2:
				t.Anchor = Start
			case at.X < -r*0.2:
				t.Anchor = End
			}
			at = centre.Polar(r+disc+3+Regular.CapHeight(size)/2, angle(k))
			t.At = Point{at.X, at.Y + Regular.CapHeight(size)/2}
			g.add(label(t)...)
		}
	}
	if s.AngleLabel != "" && s.Starts > 1 {
		from, to := angle(s.Use[0]), angle(s.Use[1])
		g.add(Line{A: centre, B: centre.Polar(r-disc, from), Stroke: Fine}, Line{A: centre, B: centre.Polar(r-disc, to), Stroke: Fine})
		g.add(angleDimension("angle:index", s.AngleLabel, centre, r*0.46, from, to, size))
	}
	if s.Dog {
		to := angle(s.Use[0])
		g.add(
			Circle{Centre: centre, Radius: r * 0.46, Stroke: Edge, Class: "dog"},
			Line{A: centre.Polar(r*0.46, to-8), B: centre.Polar(r-disc, to-4), Stroke: Edge, Class: "dog:tail"},
			Line{A: centre.Polar(r*0.46, to+8), B: centre.Polar(r-disc, to+4), Stroke: Edge, Class: "dog:tail"},
			Circle{Centre: centre, Radius: r * 0.08, Stroke: Edge, Fill: White, Class: "spindle-centre"},
		)
		g.Desc += " A dog holds the work and its tail lies at the station; the centre in the middle stays where it is."
	}
	// The rotation, below the middle where no label of an angle lies.
	a := Arc{Centre: centre, Radius: r * 0.26, From: 215, To: 325, Stroke: Edge, Class: "rotation"}
	if s.Clockwise {
		a.From, a.To = a.To, a.From
	}
	lean := math.Asin(min(1, arrowLength/2/a.Radius)) * 180 / math.Pi // the head follows its chord of the arc
	g.add(a, arrowhead(centre.Polar(a.Radius, a.To), a.To+turn*(90-lean)))
	for i, note := range []string{"seen from the tailstock", "stations counted " + s.counting()} {
		g.add(Text{At: Point{0, r + disc + 7 + size/pointsPerMM*(2+1.2*float64(i))}, Text: note, Size: size * 0.9, Anchor: Middle, Class: "note"})
	}
	return g, nil
}

func (s EndViewSpec) counting() string {
	if s.AgainstRotation {
		return "against the rotation"
	}
	return "in the direction of rotation"
}
