package worksheets

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Pack is a class set to be printed.
type Pack struct {
	Workshop, Class string
	Set             curriculum.ClassSet
	Variants        []curriculum.Variant
	Style           Style
	// Date is printed on the sheets; empty leaves a line to write it on.
	Date string
	// DoubleSided begins every learner's sheet on a front side.
	DoubleSided bool
	// Tell, where it is given, hears after each learner's sheet; its error ends the
	// printing.
	Tell func() error
	// Solution returns the worked lines of each part of an exercise, for the key.
	Solution func(curriculum.Exercise) ([]curriculum.Lines, error)
	// Looks returns what the known mistakes make of an exercise's parts, for the key.
	Looks func(curriculum.Exercise) ([]curriculum.WrongLook, error)
}

const safetyFooter = "For teaching. The machine's manual, local rules and the shop's qualified supervisor come first."

// CodeText writes a sheet's code for people: "7KQ2-M9XR".
func CodeText(code string) string {
	if len(code) == 8 {
		return code[:4] + "-" + code[4:]
	}
	return code
}

// Sheets returns the worksheets of all variants, in the order given. They hold no answer.
func (p Pack) Sheets() ([]Sheet, error) {
	if len(p.Variants) == 0 {
		return nil, fmt.Errorf("the class has no sheet: %w", ErrEmpty)
	}
	out := make([]Sheet, len(p.Variants))
	lathe, boxes := share(p.latheBlock()), map[string]Block{}
	for i, v := range p.Variants {
		texts := cautionsOf(v.Exercises)
		key := strings.Join(texts, "\n")
		if boxes[key] == nil {
			boxes[key] = share(cautionBox(texts))
		}
		var err error
		if out[i], err = p.worksheet(v, lathe, boxes[key]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Document returns the worksheets of all variants as one file, each beginning on a page of its own.
func (p Pack) Document() (Document, error) {
	sheets, err := p.Sheets()
	if err != nil {
		return Document{}, err
	}
	doc := Document{Title: p.Set.Spec.Title, Language: "en"}
	for _, s := range sheets {
		pages, err := Compose(s)
		if err != nil {
			return Document{}, err
		}
		if p.DoubleSided && len(pages)%2 == 1 {
			pages = append(pages, backSide(p.Style))
		}
		doc.Pages = append(doc.Pages, pages...)
		if p.Tell == nil {
			continue
		}
		if err := p.Tell(); err != nil {
			return Document{}, err
		}
	}
	return doc, nil
}

// Worksheet returns one variant's sheet.
func (p Pack) Worksheet(v curriculum.Variant) (Sheet, error) {
	return p.worksheet(v, p.latheBlock(), cautionBox(cautionsOf(v.Exercises)))
}

func (p Pack) worksheet(v curriculum.Variant, lathe, cautions Block) (Sheet, error) {
	date := p.Date
	if date == "" {
		date = "______________"
	}
	s := Sheet{
		Owner: v.Name, Style: p.Style,
		Running: Running{
			Title: p.Set.Spec.Title,
			Lines: []string{"Name: " + v.Name, "Class: " + p.Class + ", seat " + strconv.Itoa(v.Seat), "Date: " + date},
			Code:  CodeText(v.Code), Footer: safetyFooter,
		},
		Body: []Block{lathe, cautions},
	}
	for i, e := range v.Exercises {
		block, err := exerciseBlock(i+1, e, p.Style)
		if err != nil {
			return Sheet{}, err
		}
		s.Body = append(s.Body, block)
	}
	return s, nil
}

// latheBlock shows the lathe; it holds nothing where nothing of the lathe is known.
func (p Pack) latheBlock() Block {
	k := Keep{Name: "the lathe", OrFlow: true}
	if rows := latheRows(p.Set.Profile); len(rows) > 0 {
		k.Body = []Block{Heading{Text: p.Set.LatheName, Level: 2}, Table{Columns: []Column{{Title: "Part"}, {Title: "What it is"}}, Rows: rows}}
	}
	return k
}

// cautionsOf gathers the cautions of the exercises, each once.
func cautionsOf(es []curriculum.Exercise) []string {
	var texts []string
	seen := map[string]bool{}
	for _, e := range es {
		for _, c := range e.Cautions {
			if !seen[c.ID] {
				seen[c.ID] = true
				texts = append(texts, c.Text)
			}
		}
	}
	return texts
}

// cautionBox shows the cautions; it holds nothing where there are none.
func cautionBox(texts []string) Block {
	if len(texts) == 0 {
		return Keep{Name: "cautions"}
	}
	return Boxed{Title: "⚠ At the lathe", Body: []Block{List{Entries: texts}}}
}

// mostBeside is the most parts that stand beside a drawing.
const mostBeside = 4

func exerciseBlock(number int, e curriculum.Exercise, style Style) (Block, error) {
	name := fmt.Sprintf("Exercise %d", number)
	body := []Block{Heading{Text: name, Level: 3}}
	text := []Block{Para(e.Prompt)}
	steps := 0
	for _, part := range e.Parts {
		label := part.Ask
		if len(e.Parts) > 1 {
			label = "(" + part.ID + ") " + label
		}
		text = append(text, answerBlocks(label, part)...)
		steps += max(1, part.Marks)
	}
	width := style.Paper.Width - 2*style.Margin
	// Large lettering needs a larger drawing, and leaves no room beside it; a whole
	// job, which may need two pages, has it between its parts.
	beside := style.Size < 15 && len(e.Parts) <= mostBeside
	if beside {
		width = (width - columnGap) * 2 / 5
	} else {
		width = min(width, 110)
	}
	g, ok, err := ExerciseDrawing(e, width, style.Size*0.8)
	if err != nil {
		return nil, err
	}
	switch {
	case ok && beside:
		body = append(body, Columns{Weights: []float64{3, 2}, Parts: [][]Block{text, {Figure{Drawing: g, Caption: DrawingNote(e)}}}})
	case ok:
		body = append(append(append(body, text[0]), Figure{Drawing: g, Caption: DrawingNote(e)}), text[1:]...)
	default:
		body = append(body, text...)
	}
	// An exercise stays on one page unless the largest print makes it longer than one.
	return Keep{Name: strings.ToLower(name), OrFlow: true, Body: append(body, WorkSpace{Steps: min(max(steps, 2), 4)})}, nil
}

// answerBlocks are the question of a part with the blank, or the boxes to tick.
func answerBlocks(label string, p curriculum.Part) []Block {
	if len(p.Choices) == 0 {
		return []Block{AnswerLine{Label: label, Unit: p.Unit, Marks: p.Marks}}
	}
	entries := make([]string, len(p.Choices))
	written := "" // what stands at the line, where the answer is not ticked
	for i, c := range p.Choices {
		switch p.Kind {
		case curriculum.KindOrder:
			entries[i], written = letterOf(i)+"  "+c.Text, "The letters, first to last:"
		case curriculum.KindList:
			entries[i], written = c.ID+"  "+c.Text, "The numbers:"
		default:
			entries[i] = "☐ " + letterOf(i) + "  " + c.Text
		}
	}
	if written != "" {
		blocks := []Block{Para(label)}
		for _, e := range entries {
			blocks = append(blocks, Para(e))
		}
		return append(blocks, AnswerLine{Label: written, Marks: p.Marks})
	}
	blocks := []Block{Para(label + " [" + strconv.Itoa(p.Marks) + "]")}
	for _, e := range entries {
		blocks = append(blocks, Para(e))
	}
	return blocks
}

// letterOf is what the choice at a place is named by on paper.
func letterOf(i int) string { return string(rune('A' + i)) }

// latheRows describe the lathe as far as a learner needs it.
func latheRows(l threadmath.Lathe) [][]string {
	var rows [][]string
	for _, e := range curriculum.EntriesOf(l) {
		switch {
		case !forLearners(e):
		case len(rows) > 0 && strings.HasPrefix(e.Entry, "holder-") && rows[len(rows)-1][0] == e.Part:
			rows[len(rows)-1][1] += ", " + e.Is
		default:
			rows = append(rows, []string{e.Part, e.Is})
		}
	}
	return rows
}

// forLearners reports whether an entry is among those that exercises start from;
// what the gears are is often asked.
func forLearners(e curriculum.LatheEntry) bool {
	return slices.ContainsFunc([]string{"leadscrew", "thread-dial-", "compound-slide", "cross-slide", "holder-"}, func(kind string) bool {
		return e.Entry == kind || strings.HasSuffix(kind, "-") && strings.HasPrefix(e.Entry, kind)
	})
}

// answerText writes a part's right answer in its unit, rounded as asked.
func answerText(p curriculum.Part) string {
	v := p.Answer
	if v == nil {
		return ""
	}
	switch {
	case v.Length != nil:
		system := threadmath.Metric
		if p.Unit == curriculum.UnitInch {
			system = threadmath.Inch
		}
		return strconv.FormatFloat(v.Length.Value(system), 'f', p.Decimals, 64) + " " + p.Unit
	case v.Number != nil:
		text := strconv.FormatFloat(p.Written(*v.Number), 'f', p.Decimals, 64)
		if p.Unit == curriculum.UnitDegrees {
			return text + p.Unit
		}
		return strings.TrimSpace(text + " " + p.Unit)
	case v.Order != nil:
		letters := make([]string, 0, len(v.Order))
		for _, id := range v.Order {
			letters = append(letters, letterOf(slices.IndexFunc(p.Choices, func(c curriculum.Choice) bool { return c.ID == id })))
		}
		return strings.Join(letters, ", ")
	case p.Kind == curriculum.KindChoice:
		for i, c := range p.Choices {
			if c.ID == v.Text {
				return letterOf(i) + ": " + c.Text
			}
		}
	}
	return strings.TrimSpace(v.String() + " " + p.Unit)
}

func bandText(p curriculum.Part) string {
	if p.Accept == nil || p.Kind == curriculum.KindCount {
		return "exactly"
	}
	f := func(x float64) string { return strconv.FormatFloat(x, 'f', p.Decimals+1, 64) }
	return f(p.Accept.Low) + " to " + f(p.Accept.High)
}
