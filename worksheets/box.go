package worksheets

import (
	"slices"
	"sync/atomic"
)

// Boxed is a frame with a title, such as a caution. It stays on one page when a page can hold it; a longer one goes
// on over the page with its title repeated.
type Boxed struct {
	Title string
	Body  []Block
}

const boxPad = 3.0

func (b Boxed) lay(t setter, width float64) ([]slab, error) {
	body := b.Body
	if b.Title != "" {
		body = append([]Block{boxTitle(b.Title)}, body...)
	}
	slabs, err := t.stack(body, width-2*boxPad)
	if err != nil {
		return nil, err
	}
	p := pileSlabs(slabs)
	if p.height+2*boxPad > t.room {
		return b.flow(t, slabs, width)
	}
	frame := Rect{Box: Box{0, 0, width, p.height + 2*boxPad}, Stroke: Edge, Class: "box"}
	return []slab{{
		items:  appendMoved(at(frame), p.items, boxPad, boxPad),
		height: frame.Box.H, before: t.style.gap(), keep: p.keep, what: "box " + b.Title,
	}}, nil
}

func boxTitle(title string) Paragraph { return Paragraph{Spans: []Span{{title, Bold}}} }

// flow lays a box that no page can hold: each slab carries its piece of the sides, and a page that begins in the box
// repeats the top with the title.
func (b Boxed) flow(t setter, slabs []slab, width float64) ([]slab, error) {
	again, err := t.pile([]Block{boxTitle(b.Title + " (continued)")}, width-2*boxPad)
	if err != nil {
		return nil, err
	}
	edge := func(x0, y0, x1, y1 float64) placed {
		return placed{item: Line{A: Point{x0, y0}, B: Point{x1, y1}, Stroke: Edge, Class: "box-side"}}
	}
	framed := func(s slab, top float64) slab {
		items := appendMoved(nil, s.items, boxPad, top)
		s.height += top
		s.items = append(items, edge(0, 0, 0, s.height), edge(width, 0, width, s.height))
		s.before, s.flow = 0, nil // its pieces would have no sides
		return s
	}
	head := framed(again, boxPad)
	head.items = append(head.items, edge(0, 0, width, 0))
	slabs = slices.DeleteFunc(slabs, func(s slab) bool { return s.brk })
	var out []slab
	for i, s := range slabs {
		top := s.before
		if i == 0 {
			top = boxPad
		}
		last := i == len(slabs)-1
		if last {
			s.height += boxPad
		}
		s = framed(s, top)
		s.head = &head
		if i == 0 {
			s.head, s.before = nil, t.style.gap()
			s.items = append(s.items, edge(0, 0, width, 0))
			s.keep = s.keep || b.Title != ""
		}
		if last {
			s.items = append(s.items, edge(0, s.height, width, s.height))
		}
		out = append(out, s)
	}
	return out, nil
}

// Keep holds its blocks together on one page. Name says in messages what they are, such as "exercise 3".
type Keep struct {
	Name string
	Body []Block
	// OrFlow lets a body that no page can hold, with the headings above it, go on over the page; without it, it is a
	// *FitError.
	OrFlow bool
}

func (k Keep) lay(t setter, width float64) ([]slab, error) {
	slabs, err := t.stack(k.Body, width)
	if err != nil || len(slabs) == 0 {
		return nil, err
	}
	p := pileSlabs(slabs)
	if k.OrFlow {
		p.flow = slices.DeleteFunc(slabs, func(s slab) bool { return s.brk })
	}
	p.before = t.style.gap() * 1.4
	p.what = k.Name
	if len(p.items) == 0 {
		return nil, nil
	}
	return []slab{p}, nil
}

// shared is a block that the sheets of a pack have alike, such as their lathe. What it was laid to is kept for the next
// sheet.
type shared struct {
	Block
	last *atomic.Pointer[laid]
}

type laid struct {
	style       Style
	width, room float64
	slabs       []slab
}

func share(b Block) shared { return shared{b, new(atomic.Pointer[laid])} }

func (s shared) lay(t setter, width float64) ([]slab, error) {
	if l := s.last.Load(); l != nil && l.style == t.style && l.width == width && l.room == t.room {
		return l.slabs, nil
	}
	slabs, err := s.Block.lay(t, width)
	if err == nil {
		s.last.Store(&laid{t.style, width, t.room, slabs})
	}
	return slabs, err
}
