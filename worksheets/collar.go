package worksheets

import (
	"fmt"
	"math"
)

// CollarSpec is the graduated collar of a slide at a reading.
type CollarSpec struct {
	Divisions  int     // on the whole collar, 10 to 1000
	LabelEvery int     // divisions from one number to the next; 0 is 10, or 5 up to 50 divisions
	Reading    float64 // divisions from the zero of the collar, 0 or more; whole turns are shown apart
	// RightToLeft says that the numbers grow to the left as one looks at the collar.
	RightToLeft bool
	Blank       bool    // leaves the reading out: the learner reads or marks it
	Width       float64 // mm of paper
	Text        float64 // points; 0 is 9
	Label       string  // what is dialled, such as "compound, 0.05 mm a division"
}

// CollarView returns the part of the collar around the reading, rolled flat, with the fixed index line below it.
//
// Classes: "tick:0" and so on for the divisions in view, "index" for the index line, "turns" and "reading" for the
// text. Group.Scale is millimetres of paper per division.
func CollarView(s CollarSpec) (Group, error) {
	if err := firstError(
		inRange("divisions of the collar", float64(s.Divisions), 10, 1000),
		inRange("reading", s.Reading, 0, 100*float64(s.Divisions)),
		inRange("width", s.Width, 40, 250),
		inRange("divisions from number to number", float64(s.LabelEvery), 0, float64(s.Divisions)),
	); err != nil {
		return Group{}, fmt.Errorf("collar: %w", err)
	}
	every := s.LabelEvery
	if every == 0 {
		every = 10
		if s.Divisions <= 50 {
			every = 5
		}
	}
	size := textSize(s.Text)
	const spacing = 3.0 // paper per division
	turns := int(s.Reading) / s.Divisions
	on := s.Reading - float64(turns*s.Divisions)
	way := 1.0
	if s.RightToLeft {
		way = -1
	}
	half := s.Width / 2
	height := 13.0 * size / drawingText
	g := Group{Class: "collar", Scale: spacing, Title: "Collar of a slide", Desc: fmt.Sprintf("A collar with %d divisions, numbers growing to the %s.", s.Divisions, map[bool]string{false: "right", true: "left"}[s.RightToLeft])}
	if !s.Blank {
		g.Title = "Collar of a slide at its reading"
		g.Desc += fmt.Sprintf(" Set to %s and %s divisions.", counted(turns, "whole turn"), plain(on))
	}
	g.add(Rect{Box: Box{-half, 0, s.Width, height}, Stroke: Edge, Class: "rim"})
	reach := int(math.Floor((half - 1) / spacing))
	near := int(math.Floor(on))
	for d := -reach; d <= reach; d++ {
		k := near + d
		x := way * (float64(k) - on) * spacing
		if math.Abs(x) > half-1 {
			continue
		}
		k = mod(k, s.Divisions)
		length := height * 0.28
		switch {
		case k%every == 0:
			length = height * 0.5
		case every%2 == 0 && k%(every/2) == 0:
			length = height * 0.38
		}
		g.add(Line{A: Point{x, height}, B: Point{x, height - length}, Stroke: Fine, Class: fmt.Sprintf("tick:%d", k)})
		t := Text{At: Point{x, height - length - 0.8}, Text: fmt.Sprint(k), Size: size, Anchor: Middle, Class: "number"}
		if k%every == 0 && math.Abs(x)+t.Width()/2 < half-0.5 {
			g.add(t)
		}
	}
	g.add(Line{A: Point{0, height}, B: Point{0, height + 8}, Stroke: Stroke{Width: 0.7, Tone: Ink}, Class: "index"})
	y := height + 4 + Regular.CapHeight(size)/2
	g.add(Text{At: Point{-2, y}, Text: "index", Size: size, Anchor: End, Tone: Muted, Class: "note"})
	below := height + 8
	for _, t := range []Text{
		{Text: counted(turns, "turn") + " + " + plain(on) + " divisions", Face: Bold, Class: "reading"},
		{Text: s.Label, Class: "note"},
	} {
		if t.Text == "" || t.Class == "reading" && s.Blank {
			continue
		}
		below += size * 1.3 / pointsPerMM
		t.At, t.Size, t.Anchor = Point{0, below}, size, Middle
		if w := t.Width(); w > s.Width {
			return Group{}, fmt.Errorf("collar: %w", &FitError{Owner: "drawing", What: "its text", Needs: w, Room: s.Width})
		}
		g.add(t)
	}
	return g, nil
}
