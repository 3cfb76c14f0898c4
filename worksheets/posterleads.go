package worksheets

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// usualLeads are what a lathe without a gearbox is tried for: the coarse pitches of ISO 261 and ISO 2904 with those of
// 1 to 6 starts that are asked for most, and the usual turns per inch (common practice, no source).
var usualLeads = []string{
	"0.5 mm", "0.7 mm", "0.75 mm", "0.8 mm", "1 mm", "1.25 mm", "1.5 mm", "1.75 mm", "2 mm", "2.5 mm", "3 mm", "3.5 mm", "4 mm", "4.5 mm", "5 mm",
	"6 mm", "7 mm", "7.5 mm", "8 mm", "9 mm", "10 mm", "12 mm", "14 mm", "15 mm", "16 mm", "18 mm", "20 mm", "24 mm",
	"2 tpi", "2 1/2 tpi", "3 tpi", "3 1/2 tpi", "4 tpi", "4 1/2 tpi", "5 tpi", "5 1/2 tpi", "6 tpi", "7 tpi", "8 tpi", "9 tpi", "10 tpi", "11 tpi",
	"11 1/2 tpi", "12 tpi", "13 tpi", "14 tpi", "16 tpi", "18 tpi", "20 tpi", "24 tpi", "28 tpi", "32 tpi",
}

// posterLead is a lead that the lathe cuts exactly, and how it is set.
type posterLead struct {
	text  string
	train string // the wheels; empty where a gearbox is set
	entry string // of the record
}

// leads are the lathe's leads: the settings of its gearbox, or what its change gears cut. missed are the usual leads
// that no train cuts exactly.
func (p poster) leads() (leads []posterLead, missed []string, err error) {
	l := p.lathe
	for i, setting := range l.Gearbox {
		leads = append(leads, posterLead{text: setting, entry: "gearbox-" + strconv.Itoa(i+1)})
	}
	if len(leads) > 0 || l.Leadscrew == "" || len(l.ChangeGears) == 0 {
		return leads, nil, nil
	}
	for _, text := range usualLeads {
		a, err := p.ofLead(text, 1, "right")
		if err != nil {
			return nil, nil, fmt.Errorf("lead %s: %w", text, err)
		}
		if len(a.GearTrains) == 0 || a.GearTrains[0].ErrorPPM != 0 {
			missed = append(missed, text)
			continue
		}
		leads = append(leads, posterLead{text: text, train: trainWords(a.GearTrains[0]), entry: "change-gears"})
	}
	return leads, missed, nil
}

// trainWords writes a train from the stud to the leadscrew: each driver over the wheel it drives.
func trainWords(t threadmath.GearTrain) string {
	pairs := make([]string, len(t.Drivers))
	for i := range t.Drivers {
		pairs[i] = strconv.Itoa(t.Drivers[i]) + "/" + strconv.Itoa(t.Driven[i])
	}
	return strings.Join(pairs, " × ")
}

// ofLead solves a thread of so many starts with the lead.
func (p poster) ofLead(text string, starts int, hand string) (threadmath.Answer, error) {
	lead, system, err := threadmath.ParsePitch(text)
	if err != nil {
		return threadmath.Answer{}, err
	}
	n := threadmath.Count(starts)
	return threadmath.Solve(threadmath.Request{Lathe: &p.lathe, Thread: threadmath.Thread{Lead: lead.Exact(system), Starts: &n, Hand: hand}})
}

// leadBlocks are the leads with the half-nut's rule, the dial tables and the offsets.
func (p poster) leadBlocks() ([]Block, error) {
	leads, missed, err := p.leads()
	switch {
	case err != nil:
		return nil, err
	case p.lathe.Leadscrew == "":
		return []Block{Para("The record names no leadscrew: without it nothing can be said of leads and half-nut.")}, nil
	case len(leads) == 0:
		return []Block{Para("The record names neither gearbox settings nor change gears that cut a usual lead exactly: nothing can be said of leads and half-nut.")}, nil
	}
	var rows, offsets [][]string
	for _, lead := range leads {
		offset := []string{lead.text}
		for starts := 1; starts <= posterStarts; starts++ {
			a, err := p.ofLead(lead.text, starts, "right")
			if err != nil {
				return nil, fmt.Errorf("lead %s, %d starts: %w", lead.text, starts, err)
			}
			if starts == 1 {
				rows = append(rows, p.leadRow(lead, a))
			} else {
				offset = append(offset, lengthText(a.Pitch))
			}
		}
		offsets = append(offsets, offset)
	}
	out := p.leadTable(rows, missed)
	dials, err := p.dialBlocks(leads)
	if err != nil {
		return nil, err
	}
	out = append(out, dials...)
	columns := []Column{{Title: "Lead", Bold: true}}
	for n := 2; n <= posterStarts; n++ {
		columns = append(columns, Column{Title: counted(n, "start"), Align: Right})
	}
	return append(out, Heading{Text: "Offset from one start to the next: lead divided by starts", Level: 2}, Table{Columns: columns, Rows: offsets}), nil
}

// leadRow is a lead, how it is set, and what the half-nut may do.
func (p poster) leadRow(lead posterLead, a threadmath.Answer) []string {
	if lead.train != "" {
		return []string{lead.text, lead.train, halfNutWords(a)}
	}
	proved := "unproved"
	if e, ok := p.proof(lead.entry); ok && e.Proved {
		proved = e.Words()
	}
	return []string{lead.text, halfNutWords(a), proved}
}

func (p poster) leadTable(rows [][]string, missed []string) []Block {
	columns := []Column{{Title: "Lead", Bold: true, Min: 25}, {Title: "Half-nut"}, {Title: "Lead checked"}}
	title := "Leads, and the half-nut between passes on one start"
	names := []string{"leadscrew"}
	var notes []Block
	if len(p.lathe.Gearbox) == 0 {
		columns = []Column{{Title: "Lead", Bold: true, Min: 25}, {Title: "Train, drivers/driven"}, {Title: "Half-nut"}}
		title = "Leads by the lathe's own wheels, and the half-nut between passes on one start"
		names = append(names, "stud-gear", "change-gears")
		notes = append(notes, Para("The first wheel is on the stud, the last on the leadscrew; a train of two wheels needs an idler. Spindle stopped and the machine isolated before the cover is opened."))
		if len(missed) > 0 {
			notes = append(notes, Para("No train of these wheels cuts exactly: "+strings.Join(missed, ", ")+"."))
		}
	}
	out := append([]Block{Heading{Text: title, Level: 2}}, notes...)
	return append(append(out, Table{Columns: columns, Rows: rows}), p.leansOn(names...)...)
}

// dialBlocks are the tables of the dials, or why there is none and what that means.
func (p poster) dialBlocks(leads []posterLead) ([]Block, error) {
	l := p.lathe
	switch {
	case l.HalfNut != nil && !*l.HalfNut:
		return []Block{Heading{Text: "No half-nut, so no dial", Level: 2},
			Para("This lathe has no half-nut: the carriage stays geared to the spindle, so there is no line to close on and nothing to catch. Between passes stop, withdraw the tool and reverse the spindle, for every lead. From start to start turn the work or open the train as the tables of stations say, or move the compound slide by the offset; never by the dial, the half-nut or a shift of the carriage.")}, nil
	case l.ThreadDials == nil:
		return []Block{Heading{Text: "Thread dial not known", Level: 2},
			Para("The record does not say whether this lathe has a thread dial. Keep the half-nut closed for every lead that is not said to close anywhere.")}, nil
	case len(l.ThreadDials) == 0:
		return []Block{Heading{Text: "No thread dial", Level: 2},
			Para("This lathe has a half-nut and no thread dial. Where the half-nut may be closed anywhere none is needed; for every other lead it stays closed, and from start to start the work is turned, the train opened or the compound slide moved.")}, nil
	}
	columns := []Column{{Title: "Lead", Bold: true}}
	for n := 1; n <= posterStarts; n++ {
		columns = append(columns, Column{Title: counted(n, "start")})
	}
	right, err := p.dialRows(leads, "right")
	if err != nil {
		return nil, err
	}
	left, err := p.dialRows(leads, "left")
	if err != nil {
		return nil, err
	}
	const how = "Start: lines that always catch it, when start 1 was cut on line 0. A dash: no line of this dial serves every start; go from start to start another way."
	var out []Block
	for i, d := range l.ThreadDials {
		title := fmt.Sprintf("Dial, gear of %d teeth, %d lines", d.Teeth, d.Graduations)
		if reflect.DeepEqual(right[i], left[i]) {
			out = append(out, Heading{Text: title + ": threads of either hand", Level: 2}, Para(how), Table{Columns: columns, Rows: right[i]})
		} else {
			out = append(out,
				Heading{Text: title + ": right-hand threads", Level: 2}, Para(how), Table{Columns: columns, Rows: right[i]},
				Heading{Text: title + ": left-hand threads", Level: 2},
				Para("A left-hand thread turns the leadscrew, and so the dial, the other way. "+how), Table{Columns: columns, Rows: left[i]})
		}
		out = append(out, p.leansOn("leadscrew", "thread-dial-"+strconv.Itoa(i+1))...)
	}
	return out, nil
}

// dialRows are the rows of each dial's table for threads of a hand.
func (p poster) dialRows(leads []posterLead, hand string) ([][][]string, error) {
	out := make([][][]string, len(p.lathe.ThreadDials))
	for _, lead := range leads {
		for i := range out {
			out[i] = append(out[i], []string{lead.text})
		}
		for starts := 1; starts <= posterStarts; starts++ {
			a, err := p.ofLead(lead.text, starts, hand)
			if err != nil {
				return nil, fmt.Errorf("lead %s, %d starts: %w", lead.text, starts, err)
			}
			for i := range out {
				cell := "–"
				if i < len(a.ThreadDials) {
					cell = dialCell(a.ThreadDials[i], starts)
				}
				last := len(out[i]) - 1
				out[i][last] = append(out[i][last], cell)
			}
		}
	}
	return out, nil
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
