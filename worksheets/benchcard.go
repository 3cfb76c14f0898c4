package worksheets

import (
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// BenchCard returns the card that lies beside the lathe, to be ticked off as the work goes on: the data of the card in
// the order of the work, and nothing else. learner is empty for a card with a line for the name.
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
	ofJob, always := cardCautions(c)
	if len(ofJob) > 0 {
		s.Body = append(s.Body, Boxed{Title: "⚠ This job", Body: []Block{List{Entries: ofJob}}})
	}
	s.Body = append(s.Body, leansBlocks(c.Leans)...)
	runOut, err := runOutBlock(c, style)
	if err != nil {
		return Sheet{}, err
	}
	s.Body = append(s.Body,
		Heading{Text: "The job", Level: 2}, Table{Columns: []Column{{Title: "What"}, {Title: "Value"}}, Rows: jobRows(c)},
		Keep{Name: "the set-up", OrFlow: true, Body: []Block{Heading{Text: "Before the first cut", Level: 2}, ticks(c.SetUp)}},
		runOut,
		proofBlock(c),
	)
	starts, err := startsBlock(c, style)
	if err != nil {
		return Sheet{}, err
	}
	s.Body = append(s.Body, starts)
	s.Body = append(s.Body, passBlocks(c)...)
	s.Body = append(s.Body, stopBlock(c),
		Keep{Name: "measuring", OrFlow: true, Body: append([]Block{Heading{Text: "Measure, spindle stopped", Level: 2}, limitTable(c)}, smallList(c.Notes)...)})
	if len(always) > 0 {
		s.Body = append(s.Body, Boxed{Title: "⚠ Always", Body: []Block{List{Entries: always}}})
	}
	return s, nil
}

func cardCautions(c curriculum.BenchCard) (ofJob, always []string) {
	for _, x := range c.Cautions {
		if x.Always {
			always = append(always, x.Text)
		} else {
			ofJob = append(ofJob, x.Text)
		}
	}
	return ofJob, always
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

// cardRows are rows of a table of two columns.
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

// jobRows describe thread, blank, tool and infeed.
func jobRows(c curriculum.BenchCard) [][]string {
	t, b, g, f := c.Thread, c.Blank, c.Tool, c.Infeed
	rows := [][]string{
		{"Thread", t.Side + ", " + t.Hand + "-hand, " + counted(t.Starts, "start") + ", length " + t.Length.Text},
		{"Pitch, lead", t.Pitch.Text + ", lead " + t.Lead.Text + " (" + t.TurnsPerInch + " turns per inch)"},
		{"Single depth of the form", t.Depth.Text + ": " + t.DepthRule},
		{"Begins, travels", "at the " + t.BeginsAt + "; the carriage goes " + t.Travel},
		{upperFirst(b.Turn), b.Min.Text + " to " + b.Max.Text + ", chamfer " + degreesText(b.ChamferDeg) + " to " + b.ChamferTo.Text},
	}
	tool := degreesText(g.IncludedDeg) + " included, flat " + g.Flat.Text
	if l, r := g.LeadingFlankDeg, g.TrailingFlankDeg; l != nil && r != nil && *l != *r {
		tool += ", leading flank " + degreesText(*l) + ", trailing " + degreesText(*r)
	}
	if g.Radius != nil {
		tool += " or radius " + g.Radius.Text
	}
	if g.LeadingGrindDeg != nil && g.TrailingGrindDeg != nil {
		tool += "; side clearance " + tenth(*g.LeadingGrindDeg) + "° below the leading edge (" + g.Leading + "), " + tenth(*g.TrailingGrindDeg) + "° below the trailing one"
	}
	feed := "cross-slide, straight in"
	if f.FedBy == threadmath.FedByCompound {
		feed = "compound at " + degreesText(f.AngleDeg) + " from the cross-slide (" + degreesText(f.FromAxisDeg) + " from the axis), " + f.Swing
	}
	return append(rows, []string{"Tool", tool}, []string{"Infeed", feed + "; feed " + f.Feed}, []string{"Withdraw", f.Withdraw})
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func degreesText(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) + "°" }

func tenth(f float64) string {
	return strings.Replace(strconv.FormatFloat(f, 'f', 1, 64), "-", "−", 1)
}

// runOutBlock is what is done at the end of every pass, with its drawing.
func runOutBlock(c curriculum.BenchCard, style Style) (Block, error) {
	o := c.RunOut
	end := "Half-nut opened at the end of every pass"
	if o.Hand == curriculum.HandStops {
		end = "Half-nut closed from first to last: the spindle is stopped, the tool withdrawn, the spindle reversed"
	}
	rows := [][]string{
		{"Act at", o.ActAt.Text}, {"Still by", o.StillBy.Text}, {"The room ends at", o.Limit.Text},
		{"At the end", end}, {"Speed", number(c.Gear.RPM) + " rev/min, no faster"},
	}
	g, err := RunOutWay(RunOutWaySpec{
		Thread: c.Thread.Length.MM, ActAt: o.ActAt.MM, StillBy: o.StillBy.MM, Limit: o.Limit.MM, LeftHand: c.Thread.Hand == "left",
		Width: 150, Text: style.Size * 0.8,
		ThreadLabel: c.Thread.Length.Text, ActLabel: "act at " + o.ActAt.Text, StillLabel: "still by " + o.StillBy.Text, LimitLabel: "room ends at " + o.Limit.Text,
		Begin: c.Thread.BeginsAt, End: c.Thread.EndsAt,
	})
	if err != nil {
		return nil, err
	}
	return Keep{Name: "the run-out", OrFlow: true, Body: []Block{
		Heading{Text: "The end of every pass", Level: 2}, Para(o.Sketch),
		Figure{Drawing: g, Caption: "Places of the tool's nose, from the " + c.Thread.BeginsAt + ". The headstock is on the left. Not to scale."},
		Table{Columns: []Column{{Title: "What"}, {Title: "Value", Bold: true}}, Rows: rows},
	}}, nil
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', 6, 64) }

func proofBlock(c curriculum.BenchCard) Block {
	rows := [][]string{{"Lead over " + counted(c.Proof.Turns, "turn"), c.Proof.Lead.Text, "", "", "☐"}}
	text := "Before metal is lost: touch on, make one light scratch on start 1"
	agree := ". Stop the spindle and measure along the axis. They agree when the difference is no more than one division of the instrument"
	if s := c.Proof.Spacing; s != nil {
		rows = append(rows, []string{"From one start's scratch to the next, each gap", s.Text, "", "", "☐"})
		text += ", go to each other start as below and scratch it too"
		if e := c.Proof.SpacingError; e != nil && e.MM > 0 {
			agree += ", or for the gaps no more than " + e.Text + " besides, which this way from start to start leaves"
		}
	}
	return Keep{Name: "the scratch pass", OrFlow: true, Body: []Block{
		Heading{Text: "Scratch-pass proof", Level: 2}, Para(text + agree + "; if not, stop and find out why."),
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
		rows[i] = []string{strconv.Itoa(s.Start), s.Dial, s.How, s.CarriageAt.Text}
	}
	table := Table{Columns: []Column{{Title: "Start"}, {Title: "Set", Bold: true, Min: 24}, {Title: "How"}, {Title: "Carriage acts at", Align: Right, Min: 22}}, Rows: rows}
	body := []Block{Heading{Text: title, Level: 2}, Para(c.Between.Text), table}
	text := style.Size * 0.8
	var g Group
	var err error
	note := ""
	switch {
	case c.Dial != nil:
		g, err = dialMarked(*c.Dial, 70, text)
		note = "The dial for this " + c.Thread.Hand + "-hand thread; line 0 is the one start 1 was cut on."
	case c.Holder != nil && c.Holder.Stations <= 60 && len(c.Starts) <= 12:
		spec := EndViewSpec{
			Starts: len(c.Starts), Stations: c.Holder.Stations, Use: c.Holder.StationsOfStarts,
			AgainstRotation: c.Holder.Kind == threadmath.IndexHoles, Dog: c.Holder.Kind != threadmath.IndexHoles, Width: 75, Text: text,
		}
		g, err = EndView(spec)
		note = "Seen from the tailstock, counted " + c.Holder.Counted + "; the arrow is the rotation."
		if spec.Dog {
			note += " The dog's tail goes from place to place; the centre stays where it is, and the work is never turned in a grip."
		}
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

// startsAcross is how many starts stand beside one another, sameAcross how many where one reading serves all and each
// start has only its box; more go into a table of their own.
const startsAcross, sameAcross = 3, 6

// passBlocks are the passes, with a box for each start, and a reading for each where they differ. Winding the infeed
// back before a start is row 0.
func passBlocks(c curriculum.BenchCard) []Block {
	var out []Block
	across, same := startsAcross, sameReadings(c)
	if same {
		across = sameAcross
	}
	for from := 0; from < len(c.Starts); from += across {
		to := min(from+across, len(c.Starts))
		columns := []Column{{Title: "Pass"}}
		if same {
			columns = append(columns, Column{Title: "Dial from zero", Min: 30}, Column{Title: "Collar, reads " + c.Infeed.Reads, Align: Right, Bold: true, Min: 24})
		}
		columns = append(columns, Column{Title: "Depth", Align: Right, Min: 20})
		for _, s := range c.Starts[from:to] {
			title := "Start " + strconv.Itoa(s.Start)
			if !same {
				columns = append(columns, Column{Title: title + ", collar", Bold: true, Min: 34})
				title = "Cut"
			}
			columns = append(columns, Column{Title: title})
		}
		rows := make([][]string, len(c.Passes))
		for i, p := range c.Passes {
			row := []string{p.Name}
			if i == 0 {
				row[0] = "0"
			}
			if same {
				row = append(row, p.Readings[0].Text, p.Readings[0].Reading.Text)
			}
			row = append(row, p.Depth.Text)
			for _, r := range p.Readings[from:to] {
				if !same {
					row = append(row, r.Text+" ("+r.Reading.Text+")")
				}
				row = append(row, "☐")
			}
			if p.Pass == c.Measure.AfterPass {
				row[0] += " STOP"
			}
			rows[i] = row
		}
		title := "Passes, fed by the " + c.Infeed.FedBy
		if from > 0 {
			title += ", further starts"
		}
		out = append(out, Heading{Text: title, Level: 2}, Table{
			Columns: columns, Rows: rows,
			Caption: "Down one column to STOP, then the next start; below STOP only when all starts stand there and have been measured. Row 0 first on every start: wind the infeed back to the reading at which it touched, for a full-depth cut on uncut metal breaks the tool or throws the work.",
		})
	}
	return out
}

// sameReadings reports whether one column of readings serves every start.
func sameReadings(c curriculum.BenchCard) bool {
	for _, p := range c.Passes {
		for _, r := range p.Readings {
			if r != p.Readings[0] {
				return false
			}
		}
	}
	return true
}

// stopBlock is the stop at which all starts stand equally deep, with room for what is measured there.
func stopBlock(c curriculum.BenchCard) Block {
	m := c.Measure
	rows := [][]string{}
	if m.By == curriculum.MeasureOverWires {
		rows = append(rows, []string{"Over " + strconv.Itoa(m.Wires) + " wires of " + m.Wire.Text, "about " + m.Expected.Text, ""},
			[]string{"Take away", m.Aim.Text, ""},
			[]string{"Times " + strconv.FormatFloat(m.CollarPerMM, 'f', 3, 64) + ": to go on the collar", "", ""},
			[]string{"Most for one pass", m.GreatestStep.Text + " (" + m.GreatestStep.Reading.Text + ")", ""},
			[]string{"Finished between", m.Min.Text + " and " + m.Max.Text, ""})
	} else {
		rows = append(rows, []string{"Go gauge or mate, at STOP", "does not go on", ""}, []string{"Then for every start, and try again", m.GreatestStep.Text + " (" + m.GreatestStep.Reading.Text + ") at a time", ""})
	}
	return Keep{Name: "the stop", OrFlow: true, Body: []Block{
		Heading{Text: "STOP after pass " + strconv.Itoa(m.AfterPass) + " of every start", Level: 2}, Para(m.Rule),
		Table{Columns: []Column{{Title: "What"}, {Title: "Expected", Bold: true}, {Title: "Read", Min: 30}}, Rows: rows, RowMin: 8},
	}}
}

func limitTable(c curriculum.BenchCard) Block {
	rows := make([][]string, len(c.Measure.Limits))
	for i, l := range c.Measure.Limits {
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
