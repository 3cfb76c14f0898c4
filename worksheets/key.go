package worksheets

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
)

// gridPart is a column of the grids: one part at one place of the set.
type gridPart struct {
	position int // from 0
	id       string
	marks    int // -1 where the variants differ
}

func (g gridPart) label() string { return strconv.Itoa(g.position+1) + g.id }

// gridParts are the parts of a set in order, over all variants.
func (p Pack) gridParts() []gridPart {
	var out []gridPart
	for _, v := range p.Variants {
		for i, e := range v.Exercises {
			for _, part := range e.Parts {
				at := slices.IndexFunc(out, func(g gridPart) bool { return g.position == i && g.id == part.ID })
				switch {
				case at < 0:
					out = append(out, gridPart{i, part.ID, part.Marks})
				case out[at].marks != part.Marks:
					out[at].marks = -1
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b gridPart) int {
		return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.id, b.id))
	})
	return out
}

// part returns the part of a variant that stands in a column, or nil.
func (g gridPart) part(v curriculum.Variant) *curriculum.Part {
	if g.position >= len(v.Exercises) {
		return nil
	}
	return v.Exercises[g.position].Part(g.id)
}

// dense is the style of a grid, small enough for a class to stand on few pages; large print stays large. columns is
// how many cells of numbers have room beside the name.
func (p Pack) dense() (style Style, columns int) {
	style, columns = p.Style, 3
	if style.Size < 15 {
		style.Size, style.Leading, columns = 9, 1.2, 5
	}
	if style.Tracking > 0 {
		columns = 3
	}
	return style, columns
}

// noBreak keeps a number with its unit.
func noBreak(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

// Key returns the key for instructors only, watermarked: a grid of learner and part with answer, accept band and
// marks; what each known mistake makes of every variant's numbers, with the margin; and the worked steps, once for
// each kind of exercise.
func (p Pack) Key() (Sheet, error) {
	if len(p.Variants) == 0 {
		return Sheet{}, ErrEmpty
	}
	style, columns := p.dense()
	s := Sheet{
		Owner: "the key", Style: style,
		Running: Running{
			Title: "Key: " + p.Set.Spec.Title, Lines: []string{p.Workshop, "Class: " + p.Class + ", " + p.Set.LatheName},
			Footer: "Answers. For instructors only.", Watermark: "KEY",
		},
	}
	s.Body = append(s.Body, Heading{Text: "Answers", Level: 2}, Para("Each with what is accepted, and the marks of the part in brackets."))
	for parts := range slices.Chunk(p.gridParts(), columns) {
		s.Body = append(s.Body, p.answerGrid(parts))
	}
	looks, err := p.mistakeBlocks(columns)
	if err != nil {
		return Sheet{}, err
	}
	if len(looks) > 0 {
		s.Body = append(s.Body, Heading{Text: "What a known mistake looks like", Level: 2},
			Para("The margin is how far the nearest mistake lies from the answer, in accept bands."))
		s.Body = append(s.Body, looks...)
	}
	worked, err := p.workedBlocks()
	if err != nil {
		return Sheet{}, err
	}
	s.Body = append(append(s.Body, Heading{Text: "Worked steps, once for each kind of exercise", Level: 2}), worked...)
	return s, nil
}

func (p Pack) answerGrid(parts []gridPart) Block {
	tb := Table{Columns: []Column{{Title: "Seat"}, {Title: "Name"}}}
	for _, g := range parts {
		title := g.label()
		if g.marks >= 0 {
			title += noBreak(fmt.Sprintf(" [%d]", g.marks))
		}
		tb.Columns = append(tb.Columns, Column{Title: title})
	}
	for _, v := range p.Variants {
		row := []string{strconv.Itoa(v.Seat), v.Name}
		for _, g := range parts {
			cell := "–"
			if part := g.part(v); part != nil {
				cell = shortAnswer(*part)
				if part.Accept != nil && part.Kind != curriculum.KindCount {
					cell += " (" + bandText(*part) + ")"
				}
				if g.marks < 0 {
					cell += noBreak(fmt.Sprintf(" [%d]", part.Marks))
				}
			}
			row = append(row, cell)
		}
		tb.Rows = append(tb.Rows, row)
	}
	return tb
}

// shortAnswer is the answer as it stands on a sheet: of choices the letter alone.
func shortAnswer(p curriculum.Part) string {
	text := answerText(p)
	if p.Kind == curriculum.KindChoice {
		text, _, _ = strings.Cut(text, ":")
	}
	return text
}

// lookColumn is one mistake at one part of an exercise.
type lookColumn struct{ part, id string }

// mistakeBlocks are, for each exercise of the set, the numbers that each known mistake leads to, by learner. Mistakes
// in choosing and putting in order are the same for everybody and stand in words.
func (p Pack) mistakeBlocks(columns int) ([]Block, error) {
	if p.Looks == nil {
		return nil, nil
	}
	positions := 0
	for _, v := range p.Variants {
		positions = max(positions, len(v.Exercises))
	}
	var out []Block
	for i := range positions {
		var order []lookColumn
		shows := make([]map[lookColumn]string, len(p.Variants))
		var words [][]string
		for n, v := range p.Variants {
			shows[n] = map[lookColumn]string{}
			if i >= len(v.Exercises) {
				continue
			}
			looks, err := p.Looks(v.Exercises[i])
			if err != nil {
				return nil, fmt.Errorf("%s, exercise %d: %w", v.Name, i+1, err)
			}
			for _, l := range looks {
				if part := v.Exercises[i].Part(l.Part); part.Kind == curriculum.KindChoice || part.Kind == curriculum.KindOrder {
					row := []string{l.Part, l.Shows, l.Feedback}
					if part.Kind == curriculum.KindOrder { // one line for all the orders that have it
						row[1] = strings.ReplaceAll(l.ID, "-", " ")
					}
					if !slices.ContainsFunc(words, func(have []string) bool { return slices.Equal(have, row) }) {
						words = append(words, row)
					}
					continue
				}
				at := lookColumn{l.Part, l.ID}
				if !slices.Contains(order, at) {
					order = append(order, at)
				}
				shows[n][at] = cmp.Or(l.Shows, "–")
			}
		}
		if len(order)+len(words) == 0 {
			continue
		}
		out = append(out, Heading{Text: fmt.Sprintf("Exercise %d", i+1), Level: 3})
		slices.SortStableFunc(order, func(a, b lookColumn) int { return cmp.Compare(a.part, b.part) })
		for chunk := range slices.Chunk(order, columns) {
			out = append(out, p.mistakeTable(i, chunk, shows))
		}
		if len(words) > 0 {
			out = append(out, Table{Columns: []Column{{Title: "Part"}, {Title: "Mistake", Bold: true, Min: 40}, {Title: "What it says"}}, Rows: words})
		}
	}
	return out, nil
}

func (p Pack) mistakeTable(position int, columns []lookColumn, shows []map[lookColumn]string) Table {
	tb := Table{Columns: []Column{{Title: "Seat"}}}
	for _, c := range columns {
		tb.Columns = append(tb.Columns, Column{Title: c.part + ": " + strings.ReplaceAll(c.id, "-", " ")})
	}
	tb.Columns = append(tb.Columns, Column{Title: "Margin", Align: Right})
	for n, v := range p.Variants {
		row := []string{strconv.Itoa(v.Seat)}
		for _, c := range columns {
			row = append(row, cmp.Or(shows[n][c], "–"))
		}
		margin := "–"
		if position < len(v.Exercises) && v.Exercises[position].Margin > 0 {
			margin = strconv.FormatFloat(v.Exercises[position].Margin, 'f', 1, 64)
		}
		tb.Rows = append(tb.Rows, append(row, margin))
	}
	return tb
}

// workedBlocks are the worked steps of the first exercise of each model and difficulty in the set.
func (p Pack) workedBlocks() ([]Block, error) {
	var out []Block
	seen := map[string]bool{}
	for _, v := range p.Variants {
		for i, e := range v.Exercises {
			model := fmt.Sprint(e.Skill, " ", e.Model, " ", e.ModelVersion)
			for _, name := range slices.Sorted(maps.Keys(e.Difficulty)) {
				model += fmt.Sprint(" ", name, "=", e.Difficulty[name])
			}
			if seen[model] {
				continue
			}
			seen[model] = true
			block, err := p.workedBlock(fmt.Sprintf("Exercise %d, with the numbers of seat %d", i+1, v.Seat), e)
			if err != nil {
				return nil, err
			}
			out = append(out, block)
		}
	}
	return out, nil
}

func (p Pack) workedBlock(title string, e curriculum.Exercise) (Block, error) {
	body := []Block{Heading{Text: title, Level: 3}, Para(e.Prompt)}
	var parts []curriculum.Lines
	if p.Solution != nil {
		var err error
		if parts, err = p.Solution(e); err != nil {
			return nil, fmt.Errorf("exercise %s: %w", e.ID, err)
		}
	}
	for i, part := range e.Parts {
		body = append(body, Paragraph{Spans: []Span{{Text: "(" + part.ID + ") ", Face: Bold}, {Text: part.Ask + " "}, {Text: answerText(part), Face: Bold}}})
		if i < len(parts) && len(parts[i].Lines) > 0 {
			body = append(body, List{Entries: parts[i].Lines})
		}
	}
	return Keep{Name: "the steps of " + strings.ToLower(title), OrFlow: true, Body: body}, nil
}
