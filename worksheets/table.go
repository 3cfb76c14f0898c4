package worksheets

import (
	"slices"
	"strings"
)

// Table is a table whose header repeats on each page and whose rows are as high as their content. Rows are never
// split. Columns share the width by their content.
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
		h, err := tb.row(t, titles, widths, size, true)
		if err != nil {
			return nil, err
		}
		head = &h
		first := h
		first.keep = true
		if len(out) == 0 {
			first.before = t.style.gap()
		}
		out = append(out, first)
	}
	for i, cells := range tb.Rows {
		s, err := tb.row(t, cells, widths, size, false)
		if err != nil {
			return nil, err
		}
		s.head = head
		if i == 0 && len(out) == 0 {
			s.before = t.style.gap()
		}
		s.keep = i == len(tb.Rows)-2 && len(tb.Rows) > 2 // no last row alone on a page
		out = append(out, s)
	}
	return out, nil
}

// row lays one row; cells all get the height of the tallest.
func (tb Table) row(t setter, cells []string, widths []float64, size float64, header bool) (slab, error) {
	s := slab{what: "table row " + strings.Join(cells, " | ")}
	if !header {
		s.height = tb.RowMin
	}
	texts := make([][]placed, len(widths))
	heights := make([]float64, len(widths))
	s.height = max(s.height, t.style.lineHeight(size)+2*cellPadY)
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
		items, h, err := t.paragraph([]Span{{text, face}}, size, w-2*cellPadX, tb.Columns[i].Align, Ink, "cell-text")
		if err != nil {
			return slab{}, err
		}
		texts[i], heights[i] = items, h
		s.height = max(s.height, h+2*cellPadY)
	}
	x := 0.0
	for i, w := range widths {
		frame := Rect{Box: Box{x, 0, w, s.height}, Stroke: Stroke{Width: Faint, Tone: Ink}, Class: "cell"}
		if header {
			frame.Fill, frame.Class = Shade, "head"
		}
		s.items = append(s.items, placed{item: frame})
		s.items = appendMoved(s.items, texts[i], x+cellPadX, (s.height-heights[i])/2)
		x += w
	}
	return s, nil
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
