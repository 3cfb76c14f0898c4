package worksheets

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// Sheet is what one learner or instructor gets: blocks in reading order, and what stands on every page.
type Sheet struct {
	Owner   string // whose sheet it is, for messages
	Title   string // of the file; the running title where it is empty
	Style   Style
	Running Running
	Body    []Block
}

// Running is what stands on every page.
type Running struct {
	Title     string
	Lines     []string // below the title: name, class, date
	Code      string   // printed as a QR code and in letters; none when empty
	Footer    string   // before "page n of m"
	Watermark string   // large and pale across the page
}

// fieldGap stands between two fields on one line of a sheet's head. Plain spaces would be one.
const fieldGap = "\u00a0\u00a0\u00a0\u00a0 "

// Page is a finished page.
type Page struct {
	Paper Paper
	Theme Theme
	Items []Item
}

// Document is finished pages with what a reader shows about them.
type Document struct {
	Title    string
	Language string // BCP 47 tag, such as "en"
	Pages    []Page
}

// ErrEmpty is returned for a sheet or document with nothing in it.
var ErrEmpty = errors.New("nothing to print")

// Document returns the sheet as a file of its own, with the errors of Compose.
func (s Sheet) Document() (Document, error) {
	pages, err := Compose(s)
	if err != nil {
		return Document{}, err
	}
	return Document{Title: cmp.Or(s.Title, s.Running.Title), Language: "en", Pages: pages}, nil
}

// Compose returns the pages of the sheet. Its errors are a *TextError for text that cannot be printed, a
// *FitError for a block that no page can hold, and ErrEmpty.
func Compose(s Sheet) ([]Page, error) {
	if err := s.Style.check(); err != nil {
		return nil, err
	}
	t := newSetter(s)
	area := Box{0, 0, s.Style.Paper.Width, s.Style.Paper.Height}.Inset(s.Style.Margin)
	header, headerHeight, err := t.header(s.Running, area)
	if err != nil {
		return nil, err
	}
	footer, footerHeight, err := t.footer(s.Running, area)
	if err != nil {
		return nil, err
	}
	room := Box{area.X, area.Y + headerHeight, area.W, area.H - headerHeight - footerHeight}
	t.room = room.H
	slabs, err := t.stack(s.Body, room.W)
	if err != nil {
		return nil, err
	}
	bodies, err := t.paginate(slabs, room)
	if err != nil {
		return nil, err
	}
	if len(bodies) == 0 {
		return nil, fmt.Errorf("%s: %w", s.Owner, ErrEmpty)
	}
	mark, err := t.watermark(s.Running.Watermark)
	if err != nil {
		return nil, err
	}
	pages := make([]Page, len(bodies))
	for i, body := range bodies {
		pages[i] = Page{Paper: s.Style.Paper, Theme: s.Style.Theme, Items: slices.Concat(mark, header, body, footer, []Item{t.pageNumber(area, footerHeight, i+1, len(bodies))})}
	}
	return pages, nil
}

func (s Style) check() error {
	if s.Paper.Width < 100 || s.Paper.Height < 100 || s.Size < 6 || s.Size > 40 || s.Leading < 1.17 || s.Leading > 4 || s.Margin < 5 || s.Margin > 40 {
		return fmt.Errorf("style out of range: paper %g by %g mm, margin %g mm, text %g points, leading %g",
			s.Paper.Width, s.Paper.Height, s.Margin, s.Size, s.Leading)
	}
	return nil
}

// paginate shares the slabs over pages of the room. A slab that keeps with the next one is never last on a page.
func (t setter) paginate(slabs []slab, room Box) ([][]Item, error) {
	var pages [][]Item
	var page []Item
	y := 0.0
	flush := func() {
		if len(page) > 0 {
			pages = append(pages, page)
			page, y = nil, 0
		}
	}
	put := func(s slab) {
		page = settle(page, s.items, room.X, room.Y+y)
		y += s.height
	}
	slabs = hoistBreaks(slabs)
	for i := 0; i < len(slabs); {
		if slabs[i].brk {
			flush()
			i++
			continue
		}
		j := i
		for slabs[j].keep && j+1 < len(slabs) {
			j++
		}
		needs := 0.0
		for k := i; k <= j; k++ {
			needs += slabs[k].before + slabs[k].height
		}
		apart := false // what follows would go to a page without what it belongs to
		for j+1 < len(slabs) && slabs[j+1].follow {
			more := slabs[j+1].before + slabs[j+1].height
			alone := needs - slabs[i].before + more // on a page of their own
			if h := slabs[i].head; h != nil {
				alone += h.height
			}
			if alone > room.H {
				apart = true
				break
			}
			needs += more
			j++
		}
		if k := flowing(slabs[i : j+1]); apart && k >= 0 {
			slabs = slices.Concat(slabs[:i+k], slabs[i+k].flow, slabs[i+k+1:])
			continue
		}
		if len(page) > 0 && y+needs > room.H {
			flush()
		}
		if len(page) == 0 {
			needs -= slabs[i].before
			if h := slabs[i].head; h != nil {
				needs += h.height
			}
			if k := flowing(slabs[i : j+1]); needs > room.H && k >= 0 {
				slabs = slices.Concat(slabs[:i+k], slabs[i+k].flow, slabs[i+k+1:])
				continue
			}
			if needs > room.H {
				return nil, &FitError{Owner: t.owner, What: slabs[i].what, Needs: needs, Room: room.H}
			}
			if h := slabs[i].head; h != nil {
				put(*h)
			}
		} else {
			y += slabs[i].before
		}
		put(slabs[i])
		for k := i + 1; k <= j; k++ {
			y += slabs[k].before
			put(slabs[k])
		}
		i = j + 1
	}
	flush()
	return pages, nil
}

// flowing returns the place of the first slab that can be laid in pieces, or -1.
func flowing(slabs []slab) int {
	return slices.IndexFunc(slabs, func(s slab) bool { return s.flow != nil })
}

// hoistBreaks moves a page break that follows a heading to above the heading.
func hoistBreaks(slabs []slab) []slab {
	if !slices.ContainsFunc(slabs, func(s slab) bool { return s.brk }) {
		return slabs
	}
	var out []slab
	for _, s := range slabs {
		at := len(out)
		for s.brk && at > 0 && out[at-1].keep {
			at--
		}
		out = slices.Insert(out, at, s)
	}
	return out
}

// header returns the top of every page and its height.
func (t setter) header(r Running, area Box) ([]Item, float64, error) {
	small := t.style.Size * 0.8
	width := area.W
	var items []Item
	height := 0.0
	if r.Code != "" {
		code := QR{At: Point{area.X + area.W - codeSide, area.Y}, Side: codeSide, Text: r.Code, Class: "code"}
		modules, err := code.modules()
		if err != nil {
			return nil, 0, fmt.Errorf("%s: %w", t.owner, err)
		}
		text, err := t.prepare(r.Code)
		if err != nil {
			return nil, 0, err
		}
		quiet := quietZone * codeSide / float64(modules.Size)
		label := Text{At: Point{area.X + area.W, area.Y + codeSide + quiet + Regular.Ascent(small)}, Text: text, Size: small, Anchor: End, Class: "code-text"}
		items = append(items, code, label)
		height = codeSide + quiet + t.style.lineHeight(small)
		width -= max(codeSide, label.Width()) + quiet + 2
	}
	y := 0.0
	lines := []Span{{r.Title, Bold}}
	for _, l := range r.Lines {
		lines = append(lines, Span{Text: l})
	}
	var texts []Item
	for i, l := range lines {
		if l.Text == "" {
			continue
		}
		size := t.style.Size
		if i == 0 {
			size *= 1.3
		}
		part, h, err := t.paragraph([]Span{l}, size, width, Left, Ink, "header")
		if err != nil {
			return nil, 0, err
		}
		texts = settle(texts, part, area.X, area.Y+y)
		y += h + 1
	}
	items = append(texts, items...) // the title is read before the code
	height = max(height, y)
	if height == 0 {
		return nil, 0, nil
	}
	items = append(items, Line{A: Point{area.X, area.Y + height + 1}, B: Point{area.X + area.W, area.Y + height + 1}, Stroke: Fine, Class: "header-rule"})
	return items, height + 4, nil
}

// footer returns the foot of every page but its number, and its height.
func (t setter) footer(r Running, area Box) ([]Item, float64, error) {
	size := t.footerSize()
	numberWidth := t.style.width(Regular, "page 999 of 999", size)
	texts, h, err := t.paragraph(Plain(r.Footer), size, area.W-numberWidth-4, Left, Ink, "footer")
	if err != nil {
		return nil, 0, err
	}
	h = max(h, t.style.lineHeight(size))
	top := area.Y + area.H - h
	items := []Item{Line{A: Point{area.X, top - 1}, B: Point{area.X + area.W, top - 1}, Stroke: Fine, Class: "footer-rule"}}
	return settle(items, texts, area.X, top), h + footerGap, nil
}

// footerGap is the room between the body and the foot.
const footerGap = 4.0

func (t setter) footerSize() float64 { return t.style.Size * 0.75 }

// pageNumber returns the number of page n of m, on the first line of a foot of the height.
func (t setter) pageNumber(area Box, height float64, n, m int) Item {
	size := t.footerSize()
	top := area.Y + area.H - (height - footerGap)
	return Text{At: Point{area.X + area.W, top + t.baseline(size)}, Text: fmt.Sprintf("page %d of %d", n, m), Size: size, Tracking: t.style.Tracking * size, Anchor: End, Class: "page-number"}
}

// watermark returns the pale text across the page.
func (t setter) watermark(text string) ([]Item, error) {
	if text == "" {
		return nil, nil
	}
	text, err := t.prepare(text)
	if err != nil {
		return nil, err
	}
	p := t.style.Paper
	size := min(90, 90*p.Width*0.9/Bold.Width(text, 90, 0))
	return []Item{Text{At: Point{p.Width/2 + 10, p.Height/2 + 10}, Text: text, Face: Bold, Size: size, Anchor: Middle, Rotate: 50, Tone: Ghost, Class: "watermark"}}, nil
}
