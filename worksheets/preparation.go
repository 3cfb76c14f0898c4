package worksheets

import (
	"strconv"
	"strings"

	"halfnut/curriculum"
)

// Preparation returns the list of what a class needs, with boxes to tick.
func Preparation(class string, p curriculum.Preparation, style Style) Sheet {
	title := "Preparation: " + class
	s := Sheet{Owner: title, Style: style, Running: Running{Title: title, Lines: []string{"Date: ____________"}, Footer: safetyFooter}}
	for _, g := range p.Groups {
		rows := make([][]string, len(g.Items))
		for i, it := range g.Items {
			rows[i] = []string{"☐", strconv.Itoa(it.Count), it.What, strings.Join(it.For, ", ")}
		}
		s.Body = append(s.Body, Heading{Text: g.Title, Level: 2},
			Table{Columns: []Column{{Title: "There"}, {Title: "Count", Align: Right}, {Title: "What"}, {Title: "For"}}, Rows: rows})
	}
	if len(p.Without) > 0 {
		s.Body = append(s.Body, Heading{Text: "No bench card, so nothing is listed", Level: 2},
			Table{Columns: []Column{{Title: "Name"}, {Title: "Why"}}, Rows: cardRows(p.Without)})
	}
	if len(s.Body) == 0 {
		s.Body = append(s.Body, Para("No learner of this class has a job yet."))
	}
	return s
}
