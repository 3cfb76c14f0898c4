package worksheets

import (
	"encoding/binary"
	"errors"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// outlinePoint is a point of a TrueType contour in font units, y up.
type outlinePoint struct {
	x, y int
	on   bool
}

// maxima are the limits that the maxp table states.
type maxima struct{ points, contours int }

// outlineOf returns the closed contours of the segments. A point half-way between two control points is
// implied by TrueType and left out, which also keeps it from being rounded.
func outlineOf(segs sfnt.Segments) ([][]outlinePoint, error) {
	type exact struct {
		p  fixed.Point26_6
		on bool
	}
	var contours [][]exact
	for _, s := range segs {
		if s.Op == sfnt.SegmentOpMoveTo {
			contours = append(contours, []exact{{s.Args[0], true}})
			continue
		}
		if len(contours) == 0 {
			return nil, errors.New("outline does not begin with a move")
		}
		c := &contours[len(contours)-1]
		switch s.Op {
		case sfnt.SegmentOpLineTo:
			*c = append(*c, exact{s.Args[0], true})
		case sfnt.SegmentOpQuadTo:
			*c = append(*c, exact{s.Args[0], false}, exact{s.Args[1], true})
		default:
			return nil, errors.New("outline has cubic curves")
		}
	}
	out := make([][]outlinePoint, 0, len(contours))
	for _, c := range contours {
		if n := len(c); n > 1 && c[0].p == c[n-1].p && c[n-1].on {
			c = c[:n-1] // the closing point repeats the first
		}
		var pts []outlinePoint
		for i, e := range c {
			before, after := c[(i+len(c)-1)%len(c)], c[(i+1)%len(c)]
			implied := e.on && !before.on && !after.on &&
				e.p.X == (before.p.X+after.p.X)/2 && e.p.Y == (before.p.Y+after.p.Y)/2
			if !implied {
				pts = append(pts, outlinePoint{e.p.X.Round(), -e.p.Y.Round(), e.on})
			}
		}
		out = append(out, pts)
	}
	return out, nil
}

// encodeGlyph returns the contours as a simple glyph padded to four bytes, and its left side bearing.
// A glyph without contours, such as the space, has no bytes.
func encodeGlyph(contours [][]outlinePoint, limits *maxima) (body []byte, left int) {
	if len(contours) == 0 {
		return nil, 0
	}
	var all []outlinePoint
	var ends []int
	for _, c := range contours {
		all = append(all, c...)
		ends = append(ends, len(all)-1)
	}
	limits.points, limits.contours = max(limits.points, len(all)), max(limits.contours, len(contours))
	xMin, yMin, xMax, yMax := all[0].x, all[0].y, all[0].x, all[0].y
	for _, p := range all {
		xMin, yMin, xMax, yMax = min(xMin, p.x), min(yMin, p.y), max(xMax, p.x), max(yMax, p.y)
	}
	put := func(v int) { body = binary.BigEndian.AppendUint16(body, uint16(v)) }
	put(len(contours))
	for _, v := range []int{xMin, yMin, xMax, yMax} {
		put(v)
	}
	for _, e := range ends {
		put(e)
	}
	put(0) // no instructions

	// Flag bits: 1 on the curve; 2 and 4 one-byte x and y; 16 and 32 their sign, or "same as before".
	flags := make([]byte, len(all))
	var xs, ys []byte
	prev := outlinePoint{}
	for i, p := range all {
		if p.on {
			flags[i] |= 1
		}
		xs = appendDelta(xs, &flags[i], p.x-prev.x, 2, 16)
		ys = appendDelta(ys, &flags[i], p.y-prev.y, 4, 32)
		prev = p
	}
	body = append(append(append(body, flags...), xs...), ys...)
	for len(body)%4 != 0 {
		body = append(body, 0)
	}
	return body, xMin
}

func appendDelta(out []byte, flag *byte, d int, short, same byte) []byte {
	switch {
	case d == 0:
		*flag |= same
		return out
	case d > -256 && d < 256:
		*flag |= short
		if d > 0 {
			*flag |= same
			return append(out, byte(d))
		}
		return append(out, byte(-d))
	default:
		return binary.BigEndian.AppendUint16(out, uint16(d))
	}
}

func encodeMaxp(glyphs int, m maxima) []byte {
	out := make([]byte, 32)
	binary.BigEndian.PutUint32(out, 0x00010000)
	binary.BigEndian.PutUint16(out[4:], uint16(glyphs))
	binary.BigEndian.PutUint16(out[6:], uint16(m.points))
	binary.BigEndian.PutUint16(out[8:], uint16(m.contours))
	binary.BigEndian.PutUint16(out[14:], 1) // zones
	return out
}
