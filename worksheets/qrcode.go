package worksheets

import (
	"fmt"
	"sync/atomic"

	"rsc.io/qr"
)

// Sizes of the codes on sheets: 18 mm reads reliably at 150 dpi, and the quiet zone is the four modules that
// ISO/IEC 18004 asks for.
const (
	codeSide  = 18.0
	quietZone = 4
)

// lastCode is the code made last. The pages of a sheet have the same, and are laid, checked and painted one after the
// other, so that it is made once for each of these.
var lastCode atomic.Pointer[madeCode]

type madeCode struct {
	text string
	code *qr.Code
}

// modules returns the code's matrix at error correction level Q. It must not be changed.
func (q QR) modules() (*qr.Code, error) {
	if last := lastCode.Load(); last != nil && last.text == q.Text {
		return last.code, nil
	}
	code, err := qr.Encode(q.Text, qr.Q)
	if err != nil {
		return nil, fmt.Errorf("code %q: %w", q.Text, err)
	}
	lastCode.Store(&madeCode{q.Text, code})
	return code, nil
}

// rects returns the dark parts of the code: each run of dark modules in a row is a rectangle, and equal runs of rows
// that follow each other are one.
func (q QR) rects() ([]Box, error) {
	code, err := q.modules()
	if err != nil {
		return nil, err
	}
	m := q.Side / float64(code.Size)
	var out []Box
	type last struct{ to, row, rect int } // where the last run ends that begins here, and its rectangle
	runs := make([]last, code.Size)
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for code.Black(x, y) {
				x++
			}
			if x == from {
				continue
			}
			run := &runs[from]
			if run.to != x || run.row != y-1 {
				run.rect = len(out)
				out = append(out, Box{q.At.X + float64(from)*m, q.At.Y + float64(y)*m, float64(x-from) * m, 0})
			}
			out[run.rect].H += m
			run.to, run.row = x, y
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
