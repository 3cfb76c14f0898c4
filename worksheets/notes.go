package worksheets

import "strings"

// noteLines returns the notes below a drawing from the top left corner at p, each wrapped at its words to the width
// and set flush left. A single word wider than the width stays whole; the drawing's own check of its bounds finds it.
func noteLines(p Point, width, size float64, notes ...string) []Item {
	var out []Item
	y := p.Y + Regular.Ascent(size)
	put := func(s string) {
		out = append(out, Text{At: Point{p.X, y}, Text: s, Size: size, Class: "note"})
		y += size * 1.3 / pointsPerMM
	}
	for _, note := range notes {
		line := ""
		for w := range strings.FieldsSeq(note) {
			longer := strings.TrimSpace(line + " " + w)
			if line != "" && Regular.Width(longer, size, 0) > width {
				put(line)
				longer = w
			}
			line = longer
		}
		if line != "" {
			put(line)
		}
	}
	return out
}

// withinWidth returns the drawing, or a FitError when it came out wider than its paper.
func withinWidth(g Group, what string, width float64) (Group, error) {
	if b := g.Bounds(); b.W > width+0.01 {
		return Group{}, &FitError{Owner: "drawing", What: what, Needs: b.W, Room: width}
	}
	return g, nil
}

// mirrored returns x turned over for a left-hand thread, whose tool travels to the right on the page.
func mirrored(x float64, left bool) float64 {
	if left {
		return -x
	}
	return x
}

// leftTurned returns an angle on the page turned over likewise.
func leftTurned(degrees float64, left bool) float64 {
	if left {
		return 180 - degrees
	}
	return degrees
}
