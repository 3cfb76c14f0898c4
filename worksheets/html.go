package worksheets

import (
	"fmt"
	"io"
	"strings"
)

// HTML writes the sheet as an HTML article for readers who cannot use the print: headings in order, tables with
// headers, drawings as SVG followed by a text that says what they show. It has no style attributes, no ids and
// no script; the page around it gives the styles. Room to write and page breaks are left out.
//
// Its errors are a *TextError and the writer's own.
func HTML(w io.Writer, s Sheet) error {
	h := &htmlWriter{owner: s.Owner, theme: s.Style.Theme, level: 1}
	h.raw(`<article class="sheet">`)
	if s.Running.Watermark != "" {
		h.element("p", "watermark", s.Running.Watermark)
	}
	h.raw("<header>")
	if s.Running.Title != "" {
		h.element("h1", "", s.Running.Title)
	}
	for _, l := range s.Running.Lines {
		h.element("p", "", l)
	}
	if s.Running.Code != "" {
		h.element("p", "code", "Code: "+s.Running.Code)
	}
	h.raw("</header>")
	if err := h.blocks(s.Body); err != nil {
		return err
	}
	if s.Running.Footer != "" {
		h.raw("<footer>")
		h.element("p", "", s.Running.Footer)
		h.raw("</footer>")
	}
	h.raw("</article>\n")
	if h.err != nil {
		return h.err
	}
	_, err := io.WriteString(w, h.b.String())
	return err
}

// htmlWriter collects the article; the first text that cannot be shown is its error.
type htmlWriter struct {
	b     strings.Builder
	owner string
	theme Theme
	level int // of the last heading
	err   error
}

func (h *htmlWriter) raw(s string) { h.b.WriteString(s) }

// text writes s escaped. What cannot be printed is refused here too, so that sheet and page never differ.
func (h *htmlWriter) text(s string) {
	if err := CheckText(h.owner, s); err != nil && h.err == nil {
		h.err = err
	}
	h.raw(xmlEscape.Replace(s))
}

func (h *htmlWriter) element(name, class, text string) {
	h.raw("<" + name)
	if class != "" {
		h.raw(` class="` + class + `"`)
	}
	h.raw(">")
	h.text(text)
	h.raw("</" + name + ">")
}

func (h *htmlWriter) spans(spans []Span) {
	for _, s := range spans {
		if s.Face == Bold {
			h.element("strong", "", s.Text)
		} else {
			h.text(s.Text)
		}
	}
}

func (h *htmlWriter) blocks(blocks []Block) error {
	for _, b := range blocks {
		if err := b.html(h); err != nil {
			return err
		}
	}
	return nil
}

// html writes a heading one level below the sheet's title; it never skips a level on the way down.
func (hd Heading) html(h *htmlWriter) error {
	h.level = min(max(hd.Level, 1)+1, h.level+1, 6)
	h.element(fmt.Sprintf("h%d", h.level), "", hd.Text)
	return nil
}

func (p Paragraph) html(h *htmlWriter) error {
	h.raw("<p>")
	h.spans(p.Spans)
	h.raw("</p>")
	return nil
}

func (l List) html(h *htmlWriter) error {
	name := "ul"
	if l.Numbered {
		name = "ol"
	}
	h.raw("<" + name + ">")
	for _, e := range l.Entries {
		h.element("li", "", e)
	}
	h.raw("</" + name + ">")
	return nil
}

func (tb Table) html(h *htmlWriter) error {
	h.raw(`<div class="wide" tabindex="0"><table>`) // a narrow window scrolls the table alone
	if tb.Caption != "" {
		h.element("caption", "", tb.Caption)
	}
	align := func(i int) string {
		return [...]string{Left: "", Centred: ` class="centred"`, Right: ` class="right"`}[tb.Columns[i].Align]
	}
	titled := false
	for _, c := range tb.Columns {
		titled = titled || c.Title != ""
	}
	if titled {
		h.raw("<thead><tr>")
		for i, c := range tb.Columns {
			if c.Title == "" { // nothing to be read out as a header
				h.raw("<td></td>")
				continue
			}
			h.raw(`<th scope="col"` + align(i) + ">")
			h.text(c.Title)
			h.raw("</th>")
		}
		h.raw("</tr></thead>")
	}
	h.raw("<tbody>")
	for _, row := range tb.Rows {
		h.raw("<tr>")
		for i, c := range tb.Columns {
			open, end := "<td"+align(i)+">", "</td>"
			if i == 0 && c.Bold {
				open, end = `<th scope="row"`+align(i)+">", "</th>"
			}
			h.raw(open)
			if i < len(row) {
				h.text(row[i])
			}
			h.raw(end)
		}
		h.raw("</tr>")
	}
	h.raw("</tbody></table></div>")
	return nil
}

func (f Figure) html(h *htmlWriter) error {
	h.raw(`<figure class="drawing">`)
	if err := SVG(&h.b, f.Drawing, h.theme); err != nil {
		return err
	}
	h.raw("<figcaption>")
	h.text(f.Caption)
	if f.Drawing.Desc != "" {
		h.raw(" ")
		h.element("span", "description", f.Drawing.Desc)
	}
	h.raw("</figcaption></figure>")
	return nil
}

func (c Columns) html(h *htmlWriter) error {
	h.raw(`<div class="columns">`)
	for _, part := range c.Parts {
		h.raw("<div>")
		if err := h.blocks(part); err != nil {
			return err
		}
		h.raw("</div>")
	}
	h.raw("</div>")
	return nil
}

func (b Boxed) html(h *htmlWriter) error {
	h.raw(`<aside class="box">`)
	if b.Title != "" {
		h.raw("<p>")
		h.element("strong", "", b.Title)
		h.raw("</p>")
	}
	if err := h.blocks(b.Body); err != nil {
		return err
	}
	h.raw("</aside>")
	return nil
}

func (k Keep) html(h *htmlWriter) error {
	if len(k.Body) == 0 {
		return nil
	}
	h.raw("<section>")
	if err := h.blocks(k.Body); err != nil {
		return err
	}
	h.raw("</section>")
	return nil
}

func (a AnswerLine) html(h *htmlWriter) error {
	h.raw(`<p class="answer">`)
	h.text(a.Label)
	h.raw(` <span class="blank">________</span> `)
	h.text(a.Unit)
	if a.Marks > 0 {
		h.raw(" ")
		h.element("strong", "", "["+counted(a.Marks, "mark")+"]")
	}
	h.raw("</p>")
	return nil
}

func (WorkSpace) html(*htmlWriter) error { return nil }

func (Rule) html(h *htmlWriter) error {
	h.raw("<hr>")
	return nil
}

func (PageBreak) html(*htmlWriter) error { return nil }
