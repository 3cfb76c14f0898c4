package worksheets

import (
	"cmp"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// Survey returns the sheet to fill in at a lathe. Everything that the record says already stands beside the line to
// measure it on, with what the checks, oldest first, have proved of it.
func Survey(l threadmath.Lathe, checks []curriculum.LatheCheck, style Style) Sheet {
	name := cmp.Or(l.Name, "______________")
	known := map[string]string{}
	for _, e := range curriculum.Prove(curriculum.EntriesOf(l), checks) {
		if e.Habit() && e.Found == "" {
			continue // the record has nothing of it before a check
		}
		if known[e.Part] != "" {
			known[e.Part] += "; "
		}
		known[e.Part] += e.Is + " (" + e.Words() + ")"
	}
	var rows [][]string
	for _, q := range []struct{ entry, how string }{
		{"Leadscrew", "Pitch and number of starts: measure over ten threads with a rule, count the starts at the end."},
		{"Thread dial", "Count the teeth of the gear and the lines. Which way do the numbers come up past the mark (up, down)?"},
		{"Compound slide", "One division and one turn of the collar against a dial indicator. Reads radius or diameter? Travel, lost motion."},
		{"Cross-slide", "One division and one turn of the collar against a dial indicator. Reads radius or diameter? Lost motion."},
		{"Work is turned by", "Jaws, slots, index holes: count them."},
		{"Stud gear", "Teeth, and turns for one turn of the spindle. Does the train open?"},
		{"Gear on the leadscrew", "Count its teeth."},
		{"Change gears", "Count the teeth of every wheel on the shelf."},
		{"Coast", "Turns of the spindle from switching off to standing still, at each speed used for threads."},
		{"Run-out groove", "The width that this shop cuts, and how far the tool ran on from where the half-nut was opened: twice, on scrap, at the speed used."},
	} {
		rows = append(rows, []string{q.entry + ". " + q.how, orDash(known[q.entry]), "", "☐"})
	}
	leads := make([][]string, 0, 8)
	for range 8 {
		leads = append(leads, []string{"", "", "", "", "☐"})
	}
	title := "Survey: " + name
	return Sheet{
		Owner: "the survey of " + name, Style: style,
		Running: Running{Title: title, Lines: []string{"Date: ____________" + fieldGap + "Surveyed by: ____________________"}, Footer: safetyFooter},
		Body: []Block{
			Boxed{Title: "⚠ At the lathe", Body: []Block{List{Entries: []string{
				"Spindle stopped and the machine isolated before a guard or the gear cover is opened, and before anything is counted or turned by hand.",
				"The machine's manual comes first. With the shop's qualified supervisor, never alone.",
			}}}},
			Para("An entry is unproved until it was measured here and the check is recorded with the lathe: what was done, what was predicted, what was measured. An entry that is changed is unproved again. Tick what is recorded."),
			Table{Columns: []Column{{Title: "Entry, and how"}, {Title: "In the record"}, {Title: "Found", Min: 40}, {Title: "Done"}}, Rows: rows, RowMin: style.WriteHeight},
			Keep{Name: "the scratch checks", OrFlow: true, Body: []Block{
				Heading{Text: "Scratch checks", Level: 2},
				Para("A light scratch over ten turns on scrap, spindle stopped before it is measured. Then the half-nut opened, closed by the rule under test, and scratched again: does it fall into the same groove?"),
				Table{Columns: []Column{{Title: "Setting", Min: 25}, {Title: "Lead measured", Min: 34}, {Title: "Dial, line", Min: 26}, {Title: "Second scratch", Min: 34}, {Title: "Done"}}, Rows: leads, RowMin: style.WriteHeight},
			}},
		},
	}
}
