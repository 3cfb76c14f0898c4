package worksheets

import (
	"fmt"

	"rsc.io/qr"
)

// Sizes of the codes on sheets: 18 mm reads reliably at 150 dpi, and the quiet zone is the four modules that
// ISO/IEC 18004 asks for.
const (
	codeSide  = 18.0
	quietZone = 4
)

// modules returns the code's matrix at error correction level Q.
func (q QR) modules() (*qr.Code, error) {
	code, err := qr.Encode(q.Text, qr.Q)
	if err != nil {
		return nil, fmt.Errorf("code %q: %w", q.Text, err)
	}
	return code, nil
}

// rects returns the dark parts of the code, each run of dark modules in a row as one rectangle.
func (q QR) rects() ([]Box, error) {
	code, err := q.modules()
	if err != nil {
		return nil, err
	}
	m := q.Side / float64(code.Size)
	var out []Box
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for code.Black(x, y) {
				x++
			}
			if x > from {
				out = append(out, Box{q.At.X + float64(from)*m, q.At.Y + float64(y)*m, float64(x-from) * m, m})
			}
		}
	}
	return out, nil
}

// Bounds returns the box of the code with its quiet zone.
func (q QR) Bounds() Box {
	quiet := 0.0
	if code, err := q.modules(); err == nil {
		quiet = quietZone * q.Side / float64(code.Size)
	}
	return Box{q.At.X, q.At.Y, q.Side, q.Side}.Inset(-quiet)
}
