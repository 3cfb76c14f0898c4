package worksheets

import (
	"slices"
	"strings"
)

// Table is a table whose header repeats on each page and whose rows are as high as their content. A row is split
// only where no page can hold it with what must stand above it. Columns share the width by their content.
type Table struct {
	Columns []Column
	Rows    [][]string // a row shorter than the header leaves its last cells empty
	RowMin  float64    // least height of a row in millimetres, for cells to write in
	Caption string     // stays above the header
}

// Column is a column of a table.
type Column struct {
	Title string
	Align Align
	Min   float64 // least width in millimetres
	Bold  bool
}

// unbroken keeps a number with its unit, where the column is one of numbers.
func (c Column) unbroken(cell string) string {
	if c.Align != Right || strings.Count(cell, " ") != 1 {
		return cell
	}
	return strings.Replace(cell, " ", "\u00a0", 1)
}

const (
	cellPadX = 1.8
	cellPadY = 1.0
)

func (tb Table) lay(t setter, width float64) ([]slab, error) {
	if len(tb.Columns) == 0 {
		return nil, nil
	}
	size := t.style.Size * 0.92
	widths := tb.widths(t, size, width)
	var out []slab
	if tb.Caption != "" {
		items, h, err := t.paragraph([]Span{{tb.Caption, Bold}}, size, width, Left, Ink, "caption")
		if err != nil {
			return nil, err
		}
		out = append(out, slab{items: items, height: h + 1, before: t.style.gap(), keep: true, what: "caption " + tb.Caption})
	}
	titles := make([]string, len(tb.Columns))
	for i, c := range tb.Columns {
		titles[i] = c.Title
	}
	var head *slab
	if strings.Join(titles, "") != "" {
		rows, err := tb.row(t, titles, widths, size, true, t.room)
		if err != nil {
			return nil, err
		}
		head = &rows[0]
		first := rows[0]
		first.keep = true
		if len(out) == 0 {
			first.before = t.style.gap()
		}
		out = append(out, first)
	}
	room := t.room
	if head != nil {
		room -= head.height
	}
	for i, cells := range tb.Rows {
		pieces, err := tb.row(t, cells, widths, size, false, room)
		if err != nil {
			return nil, err
		}
		for j, s := range pieces {
			s.head = head
			for k := range s.flow {
				s.flow[k].head = head
			}
			s.follow = j == 0 && i > 1 && i == len(tb.Rows)-1 // no last row alone on a page
			if len(out) == 0 {
				s.before = t.style.gap()
			}
			out = append(out, s)
		}
	}
	return out, nil
}

// row lays one row; cells all get the height of the tallest. A row that is higher than the room, which no page could
// hold, is laid in several pieces.
func (tb Table) row(t setter, cells []string, widths []float64, size float64, header bool, room float64) ([]slab, error) {
	lines := make([][]textLine, len(widths))
	most := 1
	for i, w := range widths {
		if i >= len(cells) {
			continue
		}
		face := Regular
		if header || tb.Columns[i].Bold {
			face = Bold
		}
		text := cells[i]
		if !header {
			text = tb.Columns[i].unbroken(text)
		}
		var err error
		if lines[i], err = t.wrap([]Span{{text, face}}, size, w-2*cellPadX); err != nil {
			return nil, err
		}
		most = max(most, len(lines[i]))
	}
	h := t.style.lineHeight(size)
	what := "table row " + strings.Join(cells, " | ")
	piece := func(from, to int) slab {
		s := slab{what: what, height: float64(to-from)*h + 2*cellPadY}
		if !header {
			s.height = max(s.height, tb.RowMin)
		}
		x := 0.0
		for i, w := range widths {
			frame := Rect{Box: Box{x, 0, w, s.height}, Stroke: Stroke{Width: Faint, Tone: Ink}, Class: "cell"}
			if header {
				frame.Fill, frame.Class = Shade, "head"
			}
			s.items = append(s.items, placed{item: frame})
			some := lines[i][min(from, len(lines[i])):min(to, len(lines[i]))]
			y := (s.height - float64(len(some))*h) / 2
			for j, l := range some {
				s.items = t.items(s.items, l, size, x+cellPadX, y+float64(j)*h+t.baseline(size), w-2*cellPadX, tb.Columns[i].Align, Ink, "cell-text")
			}
			x += w
		}
		return s
	}
	whole := piece(0, most)
	fit := int((room - 2*cellPadY) / h)
	if header || fit < 1 || whole.height <= room/2 {
		return []slab{whole}, nil
	}
	var out []slab
	for from := 0; from < most; from += fit {
		to := min(most, from+fit)
		s := piece(from, to)
		// What fits a page may be too high for one that begins with a heading.
		if half := (from + to) / 2; half > from {
			s.flow = []slab{piece(from, half), piece(half, to)}
		}
		out = append(out, s)
	}
	return out, nil
}

// widths shares the width: every column gets its longest word, and what is left goes by how much more its longest
// cell wants. Where all cells have their width, columns grow in proportion, so that one to tick stays narrow.
func (tb Table) widths(t setter, size, width float64) []float64 {
	n := len(tb.Columns)
	least, wish := make([]float64, n), make([]float64, n)
	consider := func(i int, text string, face Face) {
		wish[i] = max(wish[i], t.style.width(face, text, size)+float64(strings.Count(text, " "))*t.style.WordSpace*size/pointsPerMM)
		for w := range strings.SplitSeq(text, " ") { // as wrap splits: a no-break space does not
			least[i] = max(least[i], t.style.width(face, w, size))
		}
	}
	for i, c := range tb.Columns {
		consider(i, c.Title, Bold)
	}
	for _, row := range tb.Rows {
		for i, cell := range row {
			if i < n {
				face := Regular
				if tb.Columns[i].Bold {
					face = Bold
				}
				consider(i, tb.Columns[i].unbroken(cell), face)
			}
		}
	}
	sumLeast, sumWish := 0.0, 0.0
	for i, c := range tb.Columns {
		const spare = 0.02 // so that a cell of exactly its width does not wrap by rounding
		least[i] = max(least[i]+2*cellPadX+spare, c.Min)
		wish[i] = max(wish[i]+2*cellPadX+spare, least[i])
		sumLeast += least[i]
		sumWish += wish[i]
	}
	out := make([]float64, n)
	most := narrowed(least, width)
	for i := range out {
		switch {
		case sumLeast >= width:
			out[i] = min(least[i], most)
		case sumWish >= width:
			out[i] = least[i] + (width-sumLeast)*(wish[i]-least[i])/(sumWish-sumLeast)
		default:
			out[i] = wish[i] * width / sumWish
		}
	}
	return out
}

// narrowed returns the width that no column may have more of, so that those of the longest words come down and the
// others keep what they need.
func narrowed(least []float64, width float64) float64 {
	sorted := slices.Sorted(slices.Values(least))
	left := width
	for i, w := range sorted {
		share := left / float64(len(sorted)-i)
		if w > share {
			return share
		}
		left -= w
	}
	return width
}
