package worksheets

import (
	"fmt"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// posterStarts is how many starts the tables of a poster go to.
const posterStarts = 6

// posterForms are the forms whose depths and wires are tabled, with usual pitches in millimetres (sizes of the kind
// ISO 261 and ISO 2904 list).
var posterForms = []struct {
	slug    string
	pitches []string
}{
	{"iso-metric", []string{"1 mm", "1.25 mm", "1.5 mm", "1.75 mm", "2 mm", "2.5 mm", "3 mm", "3.5 mm", "4 mm"}},
	{"trapezoidal", []string{"2 mm", "3 mm", "4 mm", "5 mm", "6 mm", "8 mm"}},
}

const unproved = "Computed from the lathe's entry, which is unproved until somebody has measured a light scratch at this lathe for the lead and dial in use and written it on the survey sheet. Only the paper keeps that."

// Poster returns the tables to hang beside a lathe: its leads and whether the half-nut may be opened, what the lines
// of its dials catch for 1 to 6 starts, offsets and index stations, depths, infeed and wires.
func Poster(l threadmath.Lathe, style Style) (Document, error) {
	s, err := posterSheet(l, style)
	if err != nil {
		return Document{}, err
	}
	pages, err := Compose(s)
	if err != nil {
		return Document{}, err
	}
	return Document{Title: s.Running.Title, Language: "en", Pages: pages}, nil
}

func posterSheet(l threadmath.Lathe, style Style) (Sheet, error) {
	s := Sheet{
		Owner: "the poster of " + l.Name, Style: style,
		Running: Running{Title: "Reference: " + l.Name, Footer: safetyFooter},
	}
	if rows := latheRows(l); len(rows) > 0 {
		s.Body = append(s.Body, Table{Columns: []Column{{Title: "Part"}, {Title: "What it is"}}, Rows: rows})
	}
	s.Body = append(s.Body, Boxed{Title: "⚠ Unproved", Body: []Block{Para(unproved)}})
	if len(l.Gearbox) > 0 && l.Leadscrew != "" {
		blocks, err := leadBlocks(l)
		if err != nil {
			return Sheet{}, err
		}
		s.Body = append(s.Body, blocks...)
	} else {
		s.Body = append(s.Body, Para("The entry names no gearbox settings or no leadscrew: without them nothing can be said of leads and half-nut."))
	}
	blocks, err := stationBlocks(l)
	if err != nil {
		return Sheet{}, err
	}
	s.Body = append(s.Body, blocks...)
	blocks, err = depthBlocks(l)
	if err != nil {
		return Sheet{}, err
	}
	s.Body = append(s.Body, blocks...)
	return s, nil
}

// ofLead solves a thread of so many starts whose lead is what the gearbox is set to.
func ofLead(l threadmath.Lathe, setting string, starts int) (threadmath.Answer, error) {
	lead, system, err := threadmath.ParsePitch(setting)
	if err != nil {
		return threadmath.Answer{}, err
	}
	n := threadmath.Count(starts)
	return threadmath.Solve(threadmath.Request{Lathe: &l, Thread: threadmath.Thread{Lead: lead.Exact(system), Starts: &n}})
}

// leadBlocks are the leads with the half-nut's rule, the dial tables and the offsets.
func leadBlocks(l threadmath.Lathe) ([]Block, error) {
	var leads, offsets [][]string
	dials := make([][][]string, len(l.ThreadDials))
	for _, setting := range l.Gearbox {
		offset := []string{setting}
		cells := make([][]string, len(dials))
		for starts := 1; starts <= posterStarts; starts++ {
			a, err := ofLead(l, setting, starts)
			if err != nil {
				return nil, fmt.Errorf("lead %s, %d starts: %w", setting, starts, err)
			}
			if starts == 1 {
				leads = append(leads, []string{setting, halfNutWords(a)})
			} else {
				offset = append(offset, lengthText(a.Pitch))
			}
			for i := range cells {
				cell := "–"
				if i < len(a.ThreadDials) {
					cell = dialCell(a.ThreadDials[i], starts)
				}
				cells[i] = append(cells[i], cell)
			}
		}
		offsets = append(offsets, offset)
		for i := range dials {
			dials[i] = append(dials[i], append([]string{setting}, cells[i]...))
		}
	}
	blocks := []Block{
		Heading{Text: "Leads, and the half-nut between passes on one start", Level: 2},
		Table{Columns: []Column{{Title: "Lead", Bold: true, Min: 25}, {Title: "Half-nut"}}, Rows: leads},
	}
	for i, d := range l.ThreadDials {
		columns := []Column{{Title: "Lead", Bold: true}}
		for n := 1; n <= posterStarts; n++ {
			columns = append(columns, Column{Title: counted(n, "start")})
		}
		blocks = append(blocks,
			Heading{Text: fmt.Sprintf("Dial, gear of %d teeth, %d lines", d.Teeth, d.Graduations), Level: 2},
			Para("Start: lines that always catch it, when start 1 was cut on line 0. A dash: no line of this dial serves every start; go from start to start another way."),
			Table{Columns: columns, Rows: dials[i]})
	}
	columns := []Column{{Title: "Lead", Bold: true}}
	for n := 2; n <= posterStarts; n++ {
		columns = append(columns, Column{Title: counted(n, "start"), Align: Right})
	}
	return append(blocks, Heading{Text: "Offset from one start to the next: lead divided by starts", Level: 2}, Table{Columns: columns, Rows: offsets}), nil
}

func halfNutWords(a threadmath.Answer) string {
	if a.PickUp == nil {
		return "not known"
	}
	switch a.PickUp.Rule {
	case threadmath.PickUpAnywhere:
		return "may be closed anywhere"
	case threadmath.PickUpLines:
		var dials []string
		for _, d := range a.PickUp.Dials {
			if len(d.Lines) > 0 {
				dials = append(dials, fmt.Sprintf("gear of %d: lines %s", d.Teeth, numberList(d.Lines)))
			}
		}
		return "by the dial only; " + strings.Join(dials, "; ")
	default:
		return "stays closed: withdraw the tool, then reverse"
	}
}

func numberList(ns []int) string {
	texts := make([]string, len(ns))
	for i, n := range ns {
		texts[i] = strconv.Itoa(n)
	}
	return strings.Join(texts, ", ")
}

// dialCell lists for every start the lines that always catch it; a dash where a start has none.
func dialCell(d threadmath.DialAnswer, starts int) string {
	lines := make([][]int, starts)
	for _, l := range d.Lines {
		if l.Catches == threadmath.CatchesStart && l.Start >= 1 && l.Start <= starts {
			lines[l.Start-1] = append(lines[l.Start-1], l.Line)
		}
	}
	cells := make([]string, starts)
	for i, ls := range lines {
		if len(ls) == 0 {
			return "–"
		}
		cells[i] = fmt.Sprintf("%d: %s", i+1, strings.ReplaceAll(numberList(ls), ", ", ","))
	}
	return strings.Join(cells, "; ")
}

// lengthText writes a length in its own system.
func lengthText(d threadmath.Dimension) string {
	decimals := 3
	if d.System() == threadmath.Inch {
		decimals = 4
	}
	return strconv.FormatFloat(d.Value(d.System()), 'f', decimals, 64) + " " + d.System().String()
}

// stationBlocks are the stations of the lathe's holders for each number of starts.
func stationBlocks(l threadmath.Lathe) ([]Block, error) {
	if len(l.Holders) == 0 {
		return nil, nil
	}
	rows := make([][]string, len(l.Holders))
	for i, h := range l.Holders {
		rows[i] = []string{strconv.Itoa(int(h.Stations)) + " " + strings.ReplaceAll(h.Kind, "-", " ")}
	}
	columns := []Column{{Title: "Turned by", Bold: true}}
	for n := 2; n <= posterStarts; n++ {
		count := threadmath.Count(n)
		a, err := threadmath.Solve(threadmath.Request{Lathe: &l, Thread: threadmath.Thread{Pitch: "1 mm", Starts: &count}})
		if err != nil {
			return nil, err
		}
		columns = append(columns, Column{Title: fmt.Sprintf("%d starts, %.1f°", n, 360/float64(n))})
		for i := range rows {
			cell := "–"
			if i < len(a.Holders) && a.Holders[i].Usable {
				cell = numberList(a.Holders[i].StationsOfStarts)
				if c := a.Holders[i].Counted; c != "" && !strings.Contains(rows[i][0], c) {
					rows[i][0] += ", counted " + c
				}
			}
			rows[i] = append(rows[i], cell)
		}
	}
	return []Block{
		Heading{Text: "Index stations, in the order of the starts", Level: 2},
		Para("A dash: the starts do not divide the stations."),
		Table{Columns: columns, Rows: rows},
	}, nil
}

// depthBlocks are depth, infeed by the cross-slide's collar and best wire by form and pitch.
func depthBlocks(l threadmath.Lathe) ([]Block, error) {
	reads := crossSlideReads(l)
	var out []Block
	for _, f := range posterForms {
		form, err := threadmath.FormOf(f.slug)
		if err != nil {
			return nil, err
		}
		var rows [][]string
		for _, pitch := range f.pitches {
			a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Form: f.slug, Pitch: pitch}})
			if err != nil {
				return nil, err
			}
			if a.Depth == nil {
				continue
			}
			wire, err := threadmath.BestWire(a.Pitch.MM(), form.LoadFlankDeg)
			if err != nil {
				return nil, err
			}
			infeed := a.Depth.MM()
			if reads == "diameter" {
				infeed *= 2
			}
			rows = append(rows, []string{pitch, millimetres(a.Depth.MM()), millimetres(infeed), millimetres(wire)})
		}
		out = append(out, Heading{Text: "Depth, infeed and wire: " + form.Title, Level: 2},
			Table{Columns: []Column{{Title: "Pitch", Bold: true}, {Title: "Depth, external"}, {Title: "Cross-slide collar, reads " + reads}, {Title: "Best wire"}}, Rows: rows})
	}
	return append(out, Para("By the pitch, never by the lead. Straight infeed by the cross-slide; measure before the last passes, spindle stopped.")), nil
}

func millimetres(mm float64) string { return strconv.FormatFloat(mm, 'f', 3, 64) + " mm" }

// crossSlideReads says what the cross-slide's collar reads.
func crossSlideReads(l threadmath.Lathe) string {
	if l.CrossSlide != nil && l.CrossSlide.Reads != "" {
		return l.CrossSlide.Reads
	}
	return "radius"
}
