package worksheets

import (
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// BenchCard returns the card that lies beside the lathe, to be ticked off as the work goes on. learner is empty for a
// card with a line for the name.
func BenchCard(c curriculum.BenchCard, learner string, style Style) (Sheet, error) {
	if style.Size < 15 { // a card is read at arm's length from a stand, and should be few pages
		style.Size, style.Leading = 10, 1.25
	}
	if learner == "" {
		learner = "______________________"
	}
	lathe := c.Lathe
	if lathe == "" {
		lathe = "______________"
	}
	s := Sheet{
		Owner: "bench card of " + learner, Style: style,
		Running: Running{
			Title:  c.Title,
			Lines:  []string{"Name: " + learner + fieldGap + "Lathe: " + lathe, "Date: ____________" + fieldGap + "Instructor: ____________________"},
			Footer: safetyFooter,
		},
	}
	var first []string
	for _, x := range c.Cautions {
		if !x.Always {
			first = append(first, x.Text)
		}
	}
	if len(first) > 0 {
		s.Body = append(s.Body, Boxed{Title: "⚠ This job", Body: []Block{List{Entries: first}}})
	}
	s.Body = append(s.Body, leansBlocks(c.Leans)...)
	s.Body = append(s.Body,
		Heading{Text: "The job", Level: 2}, Table{Columns: []Column{{Title: "What"}, {Title: "Value"}}, Rows: cardRows(c.Facts)},
		Heading{Text: "Run-out", Level: 2}, Table{Columns: []Column{{Title: "What"}, {Title: "Value"}}, Rows: cardRows(c.RunOut)},
		Keep{Name: "the set-up", OrFlow: true, Body: []Block{Heading{Text: "Before the first cut", Level: 2}, ticks(c.SetUp)}},
		proofBlock(c),
	)
	starts, err := startsBlock(c, style)
	if err != nil {
		return Sheet{}, err
	}
	s.Body = append(s.Body, starts)
	s.Body = append(s.Body, passBlocks(c)...)
	s.Body = append(s.Body, Keep{Name: "measuring", OrFlow: true, Body: append([]Block{Heading{Text: "Measure, spindle stopped", Level: 2}, limitTable(c)}, smallList(c.Notes)...)})
	var always []string
	for _, x := range c.Cautions {
		if x.Always {
			always = append(always, x.Text)
		}
	}
	if len(always) > 0 {
		s.Body = append(s.Body, Boxed{Title: "⚠ Always", Body: []Block{List{Entries: always}}})
	}
	return s, nil
}

// leansBlocks say which entries of the lathe's record the card comes from, and which of them nobody has proved.
func leansBlocks(proofs []curriculum.LatheProof) []Block {
	var proved, open []string
	for _, p := range proofs {
		text := p.Part + ", " + p.Is + ": " + p.Words()
		if p.Proved {
			proved = append(proved, text)
		} else {
			open = append(open, text)
		}
	}
	var out []Block
	if len(open) > 0 {
		out = append(out, Boxed{Title: "⚠ Unproved at this lathe", Body: []Block{
			Para("This card leans on entries of the lathe's record that nobody has proved there. Treat every number as wrong until the scratch-pass proof below agrees, and record a check of the entry."),
			List{Entries: open},
		}})
	}
	if len(proved) > 0 {
		out = append(out, Para("Proved at this lathe: "+strings.Join(proved, "; ")+"."))
	}
	return out
}

func cardRows(rows []curriculum.CardRow) [][]string {
	out := make([][]string, len(rows))
	for i, r := range rows {
		out[i] = []string{r.What, r.Is}
	}
	return out
}

// ticks is a table of boxes to tick, as lists have marks of their own.
func ticks(texts []string) Block {
	rows := make([][]string, len(texts))
	for i, t := range texts {
		rows[i] = []string{"☐", t}
	}
	return Table{Columns: []Column{{Title: "Done"}, {Title: "What"}}, Rows: rows}
}

func proofBlock(c curriculum.BenchCard) Block {
	rows := [][]string{{"Lead over " + counted(c.Proof.Turns, "turn"), c.Proof.Lead, "", "", "☐"}}
	if c.Proof.Spacing != "" {
		rows = append(rows, []string{"From one start's scratch to the next, each gap", c.Proof.Spacing, "", "", "☐"})
	}
	text := "Before metal is lost: touch on, make one light scratch on start 1"
	if c.Proof.Spacing != "" {
		text += ", go to each other start as below and scratch it too"
	}
	text += ". Stop the spindle and measure along the axis. They agree when the difference is no more than one division of the instrument; if not, stop and find out why."
	return Keep{Name: "the scratch pass", OrFlow: true, Body: []Block{
		Heading{Text: "Scratch-pass proof", Level: 2}, Para(text),
		Table{
			Columns: []Column{{Title: "What"}, {Title: "Predicted", Bold: true, Align: Right, Min: 25}, {Title: "Measured", Min: 26}, {Title: "Instrument, its division", Min: 32}, {Title: "Agrees"}},
			Rows:    rows, RowMin: 8,
		},
	}}
}

func startsBlock(c curriculum.BenchCard, style Style) (Block, error) {
	title := "From start to start"
	if c.Method == "" {
		title = "The start"
	}
	rows := make([][]string, len(c.Starts))
	for i, s := range c.Starts {
		rows[i] = []string{strconv.Itoa(s.Start), s.Dial, s.How}
	}
	table := Table{Columns: []Column{{Title: "Start"}, {Title: "Set", Bold: true, Min: 24}, {Title: "How"}}, Rows: rows}
	body := []Block{Heading{Text: title, Level: 2}, Para(c.Between), table}
	text := style.Size * 0.8
	var g Group
	var err error
	note := ""
	switch {
	case c.Dial != nil:
		g, err = dialMarked(*c.Dial, 70, text)
		note = "The dial; line 0 is the one start 1 was cut on."
	case c.Holder != nil && c.Holder.Stations <= 60 && len(c.Starts) <= 12:
		g, err = EndView(EndViewSpec{
			Starts: len(c.Starts), Stations: c.Holder.Stations, Use: c.Holder.StationsOfStarts,
			AgainstRotation: c.Holder.Kind == threadmath.IndexHoles, Width: 75, Text: text,
		})
		note = "Seen from the tailstock, counted " + c.Holder.Counted + "."
	default:
		return Keep{Name: "the starts", OrFlow: true, Body: body}, nil
	}
	if err != nil {
		return nil, err
	}
	return Keep{Name: "the starts", OrFlow: true, Body: append(body, Figure{Drawing: g, Caption: note})}, nil
}

// dialMarked is a dial with what each line catches.
func dialMarked(d threadmath.DialAnswer, width, text float64) (Group, error) {
	marks := map[string]DialMark{
		threadmath.CatchesStart: DialCatches, threadmath.CatchesVaries: DialVaries,
		threadmath.CatchesOff: DialOff, threadmath.CatchesNoClose: DialNoClose,
	}
	spec := DialFaceSpec{Width: width, Text: text, CounterClockwise: d.Runs == threadmath.DialRunsDown}
	for _, l := range d.Lines {
		spec.Lines = append(spec.Lines, DialLine{Number: strconv.Itoa(l.Line), Mark: marks[l.Catches], Start: max(l.Start, 1)})
	}
	return DialFace(spec)
}

// startsAcross is how many starts have their boxes beside one another; more go into a table of their own.
const startsAcross = 6

// passBlocks are the passes with a box for each start. Winding the infeed back before a start has a box of its own.
func passBlocks(c curriculum.BenchCard) []Block {
	var out []Block
	for from := 0; from < len(c.Starts); from += startsAcross {
		part := c.Starts[from:min(from+startsAcross, len(c.Starts))]
		columns := []Column{{Title: "Pass"}, {Title: "Dial from zero", Min: 30}, {Title: "Collar, reads " + c.Reads, Align: Right, Bold: true, Min: 24}, {Title: "Depth", Align: Right, Min: 23}}
		back := []string{"0", "infeed wound back", "0", ""}
		for _, s := range part {
			columns = append(columns, Column{Title: "Start " + strconv.Itoa(s.Start)})
			back = append(back, "☐")
		}
		rows := [][]string{back}
		for _, p := range c.Passes {
			row := []string{p.Name, p.Dial, p.Reading, p.Depth}
			for range part {
				row = append(row, "☐")
			}
			rows = append(rows, row)
		}
		title := "Passes, fed by the " + c.FedBy
		if from > 0 {
			title += ", further starts"
		}
		out = append(out, Heading{Text: title, Level: 2}, Table{
			Columns: columns, Rows: rows,
			Caption: "Down one column to the end, then the next start. Row 0 first on every start: wind the infeed back to its starting reading, for a full-depth cut on uncut metal breaks the tool or throws the work.",
		})
	}
	return out
}

func limitTable(c curriculum.BenchCard) Block {
	rows := make([][]string, len(c.Limits))
	for i, l := range c.Limits {
		rows[i] = []string{l.What, l.Most, l.Least, "", "☐"}
	}
	return Table{
		Columns: []Column{{Title: "What"}, {Title: "Most", Align: Right}, {Title: "Least", Align: Right}, {Title: "Measured", Min: 28}, {Title: "Inside"}},
		Rows:    rows, RowMin: 8,
	}
}

func smallList(texts []string) []Block {
	out := make([]Block, len(texts))
	for i, t := range texts {
		out[i] = Paragraph{Scale: 0.85, Spans: Plain(t)}
	}
	return out
}
