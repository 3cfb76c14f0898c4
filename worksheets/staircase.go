package worksheets

import "fmt"

// StaircaseSpec is a plan of passes.
type StaircaseSpec struct {
	Depths   []float64 // depth after each pass from zero, mm or in, never going back; 1 to 100 passes
	Readings []string  // the collar's reading at each pass, as it is written on the tread; nil leaves them out
	Width    float64   // mm of paper
	Height   float64   // mm
	Text     float64   // points; 0 is 9

	DepthLabel string // of the whole depth; none when empty
	Untold     bool   // leaves the depths out of the description: the learner works them out
}

// PassStaircase returns the passes as stairs into the metal: one tread for each pass at its depth. Depths are to scale,
// Group.Scale millimetres of paper per unit; the treads are equally wide. A pass without infeed is a tread at
// the height of the one before.
//
// Classes: "surface", "tread:1" and so on, "dim:depth".
func PassStaircase(s StaircaseSpec) (Group, error) {
	n := len(s.Depths)
	if err := firstError(
		inRange("number of passes", float64(n), 1, 100),
		inRange("width", s.Width, 40, 300),
		inRange("height", s.Height, 25, 300),
	); err != nil {
		return Group{}, fmt.Errorf("passes: %w", err)
	}
	if s.Readings != nil && len(s.Readings) != n {
		return Group{}, fmt.Errorf("passes: %d readings for %d passes", len(s.Readings), n)
	}
	last := 0.0
	for i, d := range s.Depths {
		if err := inRange(fmt.Sprintf("depth after pass %d", i+1), d, last, 1e4); err != nil {
			return Group{}, fmt.Errorf("passes: %w", err)
		}
		last = d
	}
	if last < 1e-6 {
		return Group{}, fmt.Errorf("passes: the whole depth %v is too small", last)
	}
	size := textSize(s.Text)
	row := size * 1.25 / pointsPerMM
	left, right := 4.0, 3.0
	if s.DepthLabel != "" {
		right += row + 7
	}
	tread := (s.Width - left - right) / float64(n)
	widest := Regular.Width("100", size, 0)
	for _, r := range s.Readings {
		widest = max(widest, Regular.Width(r, size, 0))
	}
	turned := widest > tread-1 // readings stand upright in narrow treads
	below := 4.0               // metal below the last tread
	if s.Readings != nil {
		below = row + 2
		if turned {
			below = widest + 3
		}
	}
	if s.Height < 3*row+below+10 {
		return Group{}, fmt.Errorf("passes: %w", &FitError{Owner: "drawing", What: "the passes with their readings", Needs: 3*row + below + 10, Room: s.Height})
	}
	scale := (s.Height - 3*row - below) / last // a plan, not a part: any scale that fills the room
	every := 1
	for need := widest + 1.5; float64(every)*tread < min(need, row+0.4); {
		every++
	}
	g := Group{
		Class: "passes", Scale: scale,
		Title: fmt.Sprintf("Depth after each of %s", counted(n, "pass")),
		Desc:  "Depths after the passes:",
	}
	if n > 1 {
		g.Title = fmt.Sprintf("Depth after each of %d passes", n)
	}
	end := tread * float64(n)
	g.add(Line{A: Point{-left, 0}, B: Point{end + right, 0}, Stroke: Fine, Class: "surface"})
	metal := []Point{{0, last*scale + below}}
	stairs := []Point{{0, 0}}
	for i, d := range s.Depths {
		x := float64(i) * tread
		stairs = append(stairs, Point{x, d * scale}, Point{x + tread, d * scale})
		g.Desc += " " + plain(d)
	}
	g.Desc += "."
	if s.Untold {
		g.Desc = fmt.Sprintf("Stairs into the metal, one for each of %d passes. Whole depth: %s.", n, s.DepthLabel)
	}
	metal = append(metal, stairs...)
	metal = append(metal, Point{end, last*scale + below})
	g.add(Polygon{Points: metal, Fill: Shade, Class: "metal"}, Polyline{Points: stairs, Stroke: Edge, Class: "stairs"})

	numbers := 1
	for float64(numbers)*tread < Regular.Width("100", size, 0)+1 {
		numbers++
	}
	for i, d := range s.Depths {
		x, y := float64(i)*tread, d*scale
		g.add(Line{A: Point{x, y}, B: Point{x + tread, y}, Stroke: Edge, Class: fmt.Sprintf("tread:%d", i+1)})
		mid := x + tread/2
		if i%numbers == 0 {
			g.add(Text{At: Point{mid, -1.5}, Text: fmt.Sprint(i + 1), Size: size, Anchor: Middle, Class: "pass"})
		}
		if s.Readings == nil || i%every != 0 && i != n-1 {
			continue
		}
		t := Text{At: Point{mid, y + 0.6 + row*0.8}, Text: s.Readings[i], Size: size, Anchor: Middle, Class: "reading"}
		if turned {
			t.Rotate, t.Anchor = 90, End
			t.At = Point{mid + Regular.CapHeight(size)/2, y + 1}
		}
		if i == n-1 || n-1-i >= every { // the last reading is always there
			g.add(t)
		}
	}
	g.add(Text{At: Point{-left, -1.5 - row}, Text: "pass", Size: size, Tone: Muted, Class: "note"})
	if s.DepthLabel != "" {
		x := end + 3 + row
		g.add(dimension("dim:depth", s.DepthLabel, Point{x, last * scale}, Point{x, 0}, Point{end, last * scale}, Point{end, 0}, size))
	}
	return g, nil
}
