package worksheets

import (
	"fmt"
	"slices"
	"strconv"
)

// marksAcross is how many parts have their cells beside one another in a marking grid.
const marksAcross = 9

// MarkingGrid returns the grid of learner and part to write marks in. It holds no answer.
func (p Pack) MarkingGrid() (Sheet, error) {
	if len(p.Variants) == 0 {
		return Sheet{}, ErrEmpty
	}
	style, _ := p.dense()
	across := marksAcross
	if style.Size >= 15 || style.Tracking > 0 {
		across = 3
	}
	date := p.Date
	if date == "" {
		date = "______________"
	}
	s := Sheet{
		Owner: "the marking grid", Style: style,
		Running: Running{
			Title:  "Marks: " + p.Set.Spec.Title,
			Lines:  []string{"Class: " + p.Class + ", " + p.Set.LatheName, "Date: " + date + "    Marked by: ____________________"},
			Footer: "For instructors. Below each part: its marks.",
		},
	}
	parts := p.gridParts()
	outOf := 0
	for _, e := range p.Variants[0].Exercises {
		for _, part := range e.Parts {
			outOf += part.Marks
		}
	}
	done := 0
	for chunk := range slices.Chunk(parts, across) {
		done += len(chunk)
		tb := Table{Columns: []Column{{Title: "Seat"}, {Title: "Name", Min: 34}, {Title: "Sheet"}}, RowMin: 7}
		for _, g := range chunk {
			title := g.label()
			if g.marks >= 0 {
				title += fmt.Sprintf(" /%d", g.marks)
			}
			tb.Columns = append(tb.Columns, Column{Title: title, Min: 8, Align: Centred})
		}
		last := done == len(parts)
		if last {
			tb.Columns = append(tb.Columns, Column{Title: fmt.Sprintf("Sum /%d", outOf), Min: 12, Align: Centred})
		}
		for _, v := range p.Variants {
			tb.Rows = append(tb.Rows, []string{strconv.Itoa(v.Seat), v.Name, CodeText(v.Code)})
		}
		s.Body = append(s.Body, tb)
	}
	return s, nil
}
