package worksheets

import (
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// Block is a part of a sheet in reading order: Heading, Paragraph, List, Table, Figure, Columns, Boxed, Keep,
// AnswerLine, WorkSpace, Rule or PageBreak.
type Block interface {
	lay(t setter, width float64) ([]slab, error)
	html(h *htmlWriter) error
}

// slab is a piece of a sheet that no page break goes through; its items lie from the top left corner at 0, 0.
type slab struct {
	items  []placed
	height float64
	before float64 // space above, dropped at the top of a page
	keep   bool    // stays on the page of the slab that follows
	head   *slab   // repeated above this slab when it begins a page: the header of its table
	what   string  // for messages
	brk    bool    // ends the page
	follow bool    // stays on the page of the slab before it, where a page can hold both
	flow   []slab  // what to lay instead when no page can hold this slab with those it stays with
}

// placed is an item with how far it has yet to be moved. Nested blocks add up offsets, and the item is copied once, when
// its page is known. Slabs share such lists, so that one is never changed in place.
type placed struct {
	item Item
	by   Point
}

// at returns items as they lie.
func at(items ...Item) []placed {
	out := make([]placed, len(items))
	for i, it := range items {
		out[i].item = it
	}
	return out
}

// appendMoved appends the items moved by dx and dy.
func appendMoved(to, items []placed, dx, dy float64) []placed {
	to = slices.Grow(to, len(items))
	for _, p := range items {
		to = append(to, placed{p.item, p.by.moved(dx, dy)})
	}
	return to
}

// settle appends the items where they lie in the end.
func settle(to []Item, items []placed, dx, dy float64) []Item {
	to = slices.Grow(to, len(items))
	for _, p := range items {
		to = append(to, p.item.moved(p.by.X+dx, p.by.Y+dy))
	}
	return to
}

// FitError says what does not fit and by how much, in millimetres.
type FitError struct {
	Owner string
	What  string
	Needs float64
	Room  float64
}

func (e *FitError) Error() string {
	return fmt.Sprintf("%s: %s needs %.1f mm, there are %.1f mm", e.Owner, e.What, e.Needs, e.Room)
}

// Heading is a title that stays with what follows. Level 1 is the largest, 3 the smallest.
type Heading struct {
	Text  string
	Level int
}

// size returns the size of the heading in points.
func (h Heading) size(s Style) float64 {
	switch {
	case h.Level <= 1:
		return s.Size * 1.5
	case h.Level == 2:
		return s.Size * 1.2
	default:
		return s.Size
	}
}

func (h Heading) lay(t setter, width float64) ([]slab, error) {
	items, height, err := t.paragraph([]Span{{h.Text, Bold}}, h.size(t.style), width, Left, Ink, "heading")
	if err != nil {
		return nil, err
	}
	return []slab{{items: items, height: height, before: t.style.gap() * 1.4, keep: true, what: "heading " + h.Text}}, nil
}

// Paragraph is running text. Its first two and last two lines stay together.
type Paragraph struct {
	Spans []Span
	Scale float64 // size as a multiple of the body size; 0 is 1
	Align Align
}

// Para returns a paragraph of regular text.
func Para(text string) Paragraph { return Paragraph{Spans: Plain(text)} }

func (p Paragraph) lay(t setter, width float64) ([]slab, error) {
	size := t.style.Size
	if p.Scale > 0 {
		size *= p.Scale
	}
	lines, err := t.wrap(p.Spans, size, width)
	if err != nil {
		return nil, err
	}
	h := t.style.lineHeight(size)
	out := make([]slab, len(lines))
	items := make([]placed, 0, len(lines)) // room for a run a line, as most have
	for i, l := range lines {
		before := len(items)
		items = t.items(items, l, size, 0, t.baseline(size), width, p.Align, Ink, "text")
		out[i] = slab{
			items:  items[before:len(items):len(items)],
			height: h,
			keep:   i < len(lines)-1 && (i == 0 || i == len(lines)-2),
			what:   "a line of text",
		}
	}
	if len(out) > 0 {
		out[0].before = t.style.gap()
	}
	return out, nil
}

// List is a list with bullets or numbers; each entry stays on one page.
type List struct {
	Entries  []string
	Numbered bool
}

func (l List) lay(t setter, width float64) ([]slab, error) {
	size := t.style.Size
	widest := fmt.Sprintf("%d. ", len(l.Entries))
	if !l.Numbered {
		widest = "• "
	}
	indent := t.style.width(Regular, widest, size) + 1
	var out []slab
	for i, e := range l.Entries {
		mark := "•"
		if l.Numbered {
			mark = fmt.Sprintf("%d.", i+1)
		}
		body, h, err := t.paragraph(Plain(e), size, width-indent, Left, Ink, "text")
		if err != nil {
			return nil, err
		}
		h = max(h, t.style.lineHeight(size))
		items := at(Text{At: Point{0, t.baseline(size)}, Text: mark, Size: size, Tracking: t.style.Tracking * size, Class: "mark"})
		s := slab{items: appendMoved(items, body, indent, 0), height: h, before: t.style.gap() * 0.5, what: "list entry"}
		if i == 0 {
			s.before = t.style.gap()
		}
		out = append(out, s)
	}
	return out, nil
}

// Figure is a drawing with a caption below, centred. It is never scaled, so a drawing to scale stays so.
type Figure struct {
	Drawing Group
	Caption string
}

func (f Figure) lay(t setter, width float64) ([]slab, error) {
	g, err := t.composed(f.Drawing)
	if err != nil {
		return nil, err
	}
	b := g.Bounds()
	if b.W > width+0.01 {
		return nil, &FitError{Owner: t.owner, What: "drawing " + g.Title, Needs: b.W, Room: width}
	}
	s := slab{items: []placed{{g, Point{(width-b.W)/2 - b.X, -b.Y}}}, height: b.H, before: t.style.gap(), what: "drawing " + g.Title}
	if f.Caption != "" {
		items, h, err := t.paragraph(Plain(f.Caption), t.style.Size*0.85, width, Centred, Ink, "caption")
		if err != nil {
			return nil, err
		}
		s.items = appendMoved(s.items, items, 0, s.height+1)
		s.height += h + 1
	}
	return []slab{s}, nil
}

// composed returns the drawing with its texts checked and their accents composed.
func (t setter) composed(g Group) (Group, error) {
	t.owner += ", drawing " + g.Title
	var err error
	same := true
	walk(g.Items, func(it Item) {
		if text, ok := it.(Text); ok && err == nil {
			var composed string
			composed, err = t.prepare(text.Text)
			same = same && composed == text.Text
		}
	})
	if err != nil || same {
		return g, err
	}
	g.Items = composedItems(g.Items)
	return g, nil
}

func composedItems(items []Item) []Item {
	out := slices.Clone(items)
	for i, it := range out {
		switch it := it.(type) {
		case Text:
			it.Text = norm.NFC.String(it.Text)
			out[i] = it
		case Group:
			it.Items = composedItems(it.Items)
			out[i] = it
		}
	}
	return out
}

// Columns are blocks side by side that stay on one page. Where no page can hold them with what stays with them, their
// parts are laid one below the other.
type Columns struct {
	Parts   [][]Block
	Weights []float64 // relative widths; nil makes them equal
}

const columnGap = 6.0

func (c Columns) lay(t setter, width float64) ([]slab, error) {
	if len(c.Parts) == 0 {
		return nil, nil
	}
	total := 0.0
	weight := func(i int) float64 {
		if i < len(c.Weights) && c.Weights[i] > 0 {
			return c.Weights[i]
		}
		return 1
	}
	for i := range c.Parts {
		total += weight(i)
	}
	free := width - columnGap*float64(len(c.Parts)-1)
	s := slab{before: t.style.gap(), what: "columns"}
	x := 0.0
	for i, part := range c.Parts {
		w := free * weight(i) / total
		p, err := t.pile(part, w)
		if err != nil {
			return nil, err
		}
		s.items = appendMoved(s.items, p.items, x, 0)
		s.height = max(s.height, p.height)
		s.keep = s.keep || p.keep
		x += w + columnGap
	}
	if s.height <= t.room/2 {
		return []slab{s}, nil // a page holds these, whatever stays with them
	}
	var err error
	s.flow, err = t.stack(slices.Concat(c.Parts...), width)
	s.flow = slices.DeleteFunc(s.flow, func(s slab) bool { return s.brk })
	return []slab{s}, err
}

// AnswerLine is a line to write one answer on, with its unit printed at the end and its marks in brackets.
type AnswerLine struct {
	Label string
	Unit  string
	Marks int
}

func (a AnswerLine) lay(t setter, width float64) ([]slab, error) {
	size := t.style.Size
	unit, err := t.prepare(a.Unit)
	if err != nil {
		return nil, err
	}
	marks := ""
	if a.Marks > 0 {
		marks = fmt.Sprintf("[%d]", a.Marks)
	}
	const blank, leastBlank = 45.0, 15.0 // millimetres to write on
	unitWidth := 0.0
	if unit != "" {
		unitWidth = t.style.width(Regular, unit, size) + 2
	}
	marksWidth := t.style.width(Bold, "[00]", size) + 3
	if rest := width - unitWidth - marksWidth; rest < leastBlank {
		return nil, &FitError{Owner: t.owner, What: "answer line " + a.Label, Needs: width - rest + leastBlank, Room: width}
	}
	room := width - blank - unitWidth - marksWidth
	labelText, err := t.prepare(a.Label)
	if err != nil {
		return nil, err
	}
	// A label that would wrap beside the line goes above it.
	stacked := room < 8 || t.style.width(Regular, labelText, size)+float64(strings.Count(labelText, " "))*t.style.WordSpace*size/pointsPerMM > room-3
	labelWidth := room - 3
	if stacked {
		labelWidth = width
	}
	label, h, err := t.paragraph(Plain(labelText), size, labelWidth, Left, Ink, "text")
	if err != nil {
		return nil, err
	}
	y := max(t.style.WriteHeight, h) - (t.style.lineHeight(size) - t.baseline(size))
	top := y - t.baseline(size) - (h - t.style.lineHeight(size)) // the label's last line sits on the answer line
	x := room
	if stacked {
		top, y, x = 0, h+t.style.WriteHeight-(t.style.lineHeight(size)-t.baseline(size)), 0
	}
	end := width - unitWidth - marksWidth
	items := appendMoved(make([]placed, 0, len(label)+3), label, 0, max(top, 0))
	items = append(items, placed{item: Line{A: Point{x, y + 0.6}, B: Point{end, y + 0.6}, Stroke: Fine, Class: "blank"}})
	if unit != "" {
		items = append(items, placed{item: Text{At: Point{end + 2, y}, Text: unit, Size: size, Tracking: t.style.Tracking * size, Class: "unit"}})
	}
	if marks != "" {
		items = append(items, placed{item: Text{At: Point{width, y}, Text: marks, Face: Bold, Size: size, Tracking: t.style.Tracking * size, Anchor: End, Class: "marks"}})
	}
	height := y + t.style.lineHeight(size) - t.baseline(size)
	return []slab{{items: items, height: height, before: t.style.gap() * 0.5, what: "answer line " + a.Label}}, nil
}

// WorkSpace is room to work in: as many dotted lines to write on as there are steps. It stays with the block before it
// where a page can hold both.
type WorkSpace struct {
	Steps int
}

func (w WorkSpace) lay(t setter, width float64) ([]slab, error) {
	if w.Steps <= 0 {
		return nil, nil
	}
	h := float64(w.Steps) * t.style.WriteHeight
	items := make([]placed, w.Steps)
	for i := range items {
		y := float64(i+1) * t.style.WriteHeight
		items[i].item = Line{A: Point{0, y}, B: Point{width, y}, Stroke: Stroke{Width: Thin, Tone: Muted, Dash: Dotted}, Class: "work"}
	}
	return []slab{{items: items, height: h + 0.5, before: t.style.gap() * 0.5, what: "working space", follow: true}}, nil
}

// Rule is a thin line across.
type Rule struct{}

func (Rule) lay(t setter, width float64) ([]slab, error) {
	return []slab{{
		items:  at(Line{A: Point{0, 0.5}, B: Point{width, 0.5}, Stroke: Fine, Class: "rule"}),
		height: 1, before: t.style.gap(), what: "rule",
	}}, nil
}

// PageBreak ends the page; it does nothing on an empty one.
type PageBreak struct{}

func (PageBreak) lay(setter, float64) ([]slab, error) { return []slab{{brk: true}}, nil }

// pile lays the blocks in one slab; page breaks among them are dropped.
func (t setter) pile(blocks []Block, width float64) (slab, error) {
	slabs, err := t.stack(blocks, width)
	if err != nil {
		return slab{}, err
	}
	return pileSlabs(slabs), nil
}

// pileSlabs joins the slabs.
func pileSlabs(slabs []slab) slab {
	n := 0
	for _, s := range slabs {
		n += len(s.items)
	}
	out := slab{items: make([]placed, 0, n)}
	for _, s := range slabs {
		if s.brk {
			continue
		}
		if out.height > 0 {
			out.height += s.before
		}
		out.items = appendMoved(out.items, s.items, 0, out.height)
		out.height += s.height
		out.keep = s.keep // a pile that ends with a heading stays with what follows, too
	}
	return out
}

// stack lays the blocks one below the other.
func (t setter) stack(blocks []Block, width float64) ([]slab, error) {
	out := make([]slab, 0, len(blocks))
	for _, b := range blocks {
		s, err := b.lay(t, width)
		if err != nil {
			return nil, err
		}
		for _, one := range s {
			if len(one.items) > 0 || one.brk { // a heading must not be kept with nothing
				out = append(out, one)
			}
		}
	}
	return out, nil
}
