package worksheets

import (
	"fmt"
	"strconv"
	"strings"
)

// SignOffCard is a learner's card to carry, with the sign-offs in force on the
// day it is printed. All texts are ready for print; it knows no rules.
type SignOffCard struct {
	Workshop, Name string
	// Code finds the learner again; Address is where the QR code leads, a page that
	// only instructors and stewards can open.
	Code, Address string
	Date          string
	// Head is the end of the workshop's sign-off record on that day; a copy on paper
	// is what a cut-off end is found with.
	Head    string
	Entries []SignOffEntry
	Style   Style
}

// SignOffEntry is one sign-off in force.
type SignOffEntry struct {
	Operation, Lathe, Until, Restriction, Signer string
}

// The card is as large as a bank card: ID-1 of ISO/IEC 7810, 85.60 mm by 53.98 mm.
const (
	cardWidth, cardHeight = 85.6, 53.98
	cardPad               = 4.0
	cardQR                = 21.0
	cardEntries           = 4 // sign-offs that the card has room for
)

const cardNote = "Look it up: only the record says what holds today. Never alone at the lathe."

// Sheet returns the card to cut out, and below it what it stands for.
func (c SignOffCard) Sheet() (Sheet, error) {
	front, err := c.front()
	if err != nil {
		return Sheet{}, err
	}
	body := []Block{
		Para("Cut along the broken line."),
		Figure{Drawing: front},
		Heading{Text: "In force on " + c.Date, Level: 2},
	}
	if len(c.Entries) == 0 {
		body = append(body, Para("Nothing. This card opens no lathe."))
	} else {
		rows := make([][]string, len(c.Entries))
		for i, e := range c.Entries {
			rows[i] = []string{e.Operation, e.Lathe, e.Until, orDash(e.Restriction), orDash(e.Signer)}
		}
		body = append(body, Table{Columns: []Column{{Title: "Operation", Bold: true}, {Title: "Lathe", Min: 22}, {Title: "Until"}, {Title: "Only"}, {Title: "Signed by"}}, Rows: rows})
	}
	body = append(body,
		Boxed{Title: "⚠ What this card is not", Body: []Block{List{Entries: []string{
			"No proof by itself: a sign-off can lapse, be restricted or be taken back at any time. The record decides, and local rules and the shop's qualified supervisor decide over it.",
			"No permission to work alone: a second person is in the workshop, and every start begins with the dress check.",
			"Good for the lathes and operations named, and for no other machine.",
		}}}},
	)
	if c.Head != "" {
		body = append(body, Paragraph{Spans: Plain("End of the sign-off record when this was printed: " + spaced(c.Head)), Scale: 0.8})
	}
	return Sheet{
		Owner: c.Name, Style: c.Style, Body: body,
		Running: Running{Title: "Sign-off card", Lines: []string{"Name: " + c.Name, c.Workshop, "Printed: " + c.Date}, Footer: safetyFooter},
	}, nil
}

// front draws the card in its real size.
func (c SignOffCard) front() (Group, error) {
	right := cardWidth - cardPad
	code := QR{At: Point{right - cardQR, cardPad + 3}, Side: cardQR, Text: c.Address, Class: "code"}
	if _, err := code.modules(); err != nil {
		return Group{}, err
	}
	g := Group{Title: "Sign-off card", Desc: "Card of " + c.Name + " with a code that leads to the record", Scale: 1, Items: []Item{
		Rect{Box: Box{0, 0, cardWidth, cardHeight}, Stroke: Stroke{Width: Thin, Tone: Muted, Dash: Dashed}, Class: "cut"},
	}}
	beside := code.Bounds().X - 2*cardPad
	y := cardPad + 2.5
	text := func(s string, face Face, size, width float64, class string) {
		g.Items = append(g.Items, Text{At: Point{cardPad, y}, Text: fitted(face, s, size, width), Face: face, Size: size, Class: class})
	}
	text(c.Workshop, Regular, 7, beside, "workshop")
	y += 5.5
	text(c.Name, Bold, nameSize(c.Name, beside), beside, "name")
	y += 4.5
	text("may use, with a second person in the workshop:", Regular, 6.5, beside, "text")
	y += 1
	shown := min(len(c.Entries), cardEntries)
	for i, e := range c.Entries[:shown] {
		width := right - cardPad
		if y < code.Bounds().Y+code.Bounds().H+4 { // beside the code and its letters
			width = beside
		}
		y += 3.3
		text(e.Operation+", "+e.Lathe, Bold, 7, width, "entry"+strconv.Itoa(i))
		y += 2.8
		line := "until " + e.Until
		if e.Restriction != "" {
			line += ", only: " + e.Restriction
		}
		text(line, Regular, 6.5, width, "until"+strconv.Itoa(i))
	}
	switch more := len(c.Entries) - shown; {
	case len(c.Entries) == 0:
		y += 4
		text("nothing at present", Bold, 8, beside, "entry0")
	case more > 0:
		y += 3
		text(fmt.Sprintf("and %d more: look them up", more), Regular, 6.5, right-cardPad, "more")
	}
	g.Items = append(g.Items, code, Text{At: Point{code.At.X + cardQR/2, code.Bounds().Y + code.Bounds().H + 1.5}, Text: CodeText(c.Code), Face: Bold, Size: 8, Anchor: Middle, Class: "letters"})
	y = cardHeight - cardPad - 2.5
	text("Printed "+c.Date+".", Regular, 6, right-cardPad, "date")
	y = cardHeight - cardPad
	text(cardNote, Regular, 6, right-cardPad, "note")
	return g, nil
}

// nameSize is the largest of a few sizes at which the name fits.
func nameSize(name string, width float64) float64 {
	for _, size := range []float64{13, 11, 9.5} {
		if Bold.Width(name, size, 0) <= width {
			return size
		}
	}
	return 8
}

// fitted cuts a text to a width, with three dots where something is left out.
func fitted(f Face, s string, size, width float64) string {
	if f.Width(s, size, 0) <= width {
		return s
	}
	r := []rune(s)
	for len(r) > 0 && f.Width(string(r)+"...", size, 0) > width {
		r = r[:len(r)-1]
	}
	return string(r) + "..."
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}

// spaced puts gaps into the digest of a head, so that it breaks and can be
// compared by eye; who types it back may leave them out.
func spaced(s string) string {
	seq, digest, _ := strings.Cut(s, ":")
	var b strings.Builder
	b.WriteString(seq + ":")
	for i, r := range digest {
		if i%8 == 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// SignOffSheet is the paper form of one sign-off: what is there so far, the
// checklist for two demonstrations, the sizes of the test piece, and room for
// signatures.
type SignOffSheet struct {
	Workshop, Name, Lathe, Operation, Date string
	Status                                 string
	// Steps are name, done and what is there.
	Steps []SignOffStep
	// Checklist are the items; Unless says when one may be struck out.
	Checklist []SignOffItem
	Version   int
	// Sizes are what is measured, with limits where they are known.
	Sizes []SignOffSize
	Head  string
	Style Style
}

// SignOffStep is one step of a sign-off.
type SignOffStep struct {
	Name string
	Done bool
	What string
}

// SignOffItem is one line of a checklist.
type SignOffItem struct{ Text, Unless string }

// SignOffSize is one size of a test piece.
type SignOffSize struct{ What, Low, High string }

// Sheet returns the form.
func (s SignOffSheet) Sheet() Sheet {
	steps := make([][]string, len(s.Steps))
	for i, step := range s.Steps {
		mark := "☐"
		if step.Done {
			mark = "✓"
		}
		steps[i] = []string{mark, step.Name, step.What}
	}
	items := make([][]string, len(s.Checklist))
	for i, it := range s.Checklist {
		text := it.Text
		if it.Unless != "" {
			text += " (may be struck out: " + it.Unless + ")"
		}
		items[i] = []string{strconv.Itoa(i + 1), text, "☐", "☐"}
	}
	sizes := make([][]string, len(s.Sizes))
	for i, size := range s.Sizes {
		sizes[i] = []string{size.What, size.Low, size.High, "", ""}
	}
	body := []Block{
		Heading{Text: "So far: " + s.Status, Level: 2},
		Table{Columns: []Column{{}, {Title: "Step", Bold: true}, {Title: "What is there"}}, Rows: steps},
		Heading{Text: "Demonstrations, on two different days", Level: 2},
		Para("Every line counts: one that is not done fails the demonstration. Checklist version " + strconv.Itoa(s.Version) + "."),
		Table{Columns: []Column{{}, {Title: "Seen by the witness"}, {Title: "1st", Align: Centred, Min: 11}, {Title: "2nd", Align: Centred, Min: 11}}, Rows: items},
		Table{
			Columns: []Column{{Title: "Seen"}, {Title: "Job", Min: 55}, {Title: "Date", Min: 30}, {Title: "Witness, signature", Min: 55}},
			Rows:    [][]string{{"1st"}, {"2nd"}}, RowMin: s.Style.WriteHeight,
		},
		Keep{Name: "the test piece", OrFlow: true, Body: []Block{
			Heading{Text: "Test piece", Level: 2},
			Para("U is the uncertainty of the measured value (k = 2). Accepted between the low limit + U and the high limit − U; beyond a limit by more than U, not accepted; in between, measure again with a finer instrument."),
			Table{Columns: []Column{{Title: "Size", Bold: true}, {Title: "Low"}, {Title: "High"}, {Title: "Measured", Min: 28}, {Title: "U", Min: 20}}, Rows: sizes, RowMin: s.Style.WriteHeight},
		}},
		Keep{Name: "the decision", OrFlow: true, Body: []Block{
			Heading{Text: "Decision", Level: 2},
			Table{
				Columns: []Column{{Bold: true}, {Min: 110}}, RowMin: s.Style.WriteHeight,
				Rows: [][]string{{"Signed off, or why not"}, {"Only (restriction)"}, {"Instructor, date, signature"}, {"Learner, date, signature"}},
			},
		}},
		Boxed{Title: "⚠ At the lathe", Body: []Block{List{Entries: []string{
			"A sign-off is for this operation on this lathe, with a second person in the workshop, dressed for it at every start.",
			"The machine's manual, local rules and the shop's qualified supervisor come first.",
		}}}},
	}
	if s.Head != "" {
		body = append(body, Paragraph{Spans: Plain("End of the sign-off record when this was printed: " + spaced(s.Head)), Scale: 0.8})
	}
	return Sheet{
		Owner: s.Name, Title: "Sign-off sheet", Style: s.Style, Body: body,
		Running: Running{Title: s.Operation + " on " + s.Lathe, Lines: []string{"Name: " + s.Name, s.Workshop, "Printed: " + s.Date}, Footer: safetyFooter},
	}
}
