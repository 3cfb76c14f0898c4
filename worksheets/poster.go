package worksheets

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
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

// Poster returns the tables to hang beside a lathe: its leads and whether the half-nut may be opened, what the lines
// of its dials catch for 1 to 6 starts, offsets and index stations, depths, infeed and wires. Each says which of the
// entries it leans on were proved by the checks, oldest first.
func Poster(l threadmath.Lathe, checks []curriculum.LatheCheck, style Style) (Sheet, error) {
	p := poster{lathe: l, proofs: curriculum.Prove(curriculum.EntriesOf(l), checks)}
	s := Sheet{
		Owner: "the poster of " + l.Name, Style: style,
		Running: Running{Title: "Reference: " + l.Name, Footer: safetyFooter},
	}
	s.Body = append(s.Body, p.entryBlocks()...)
	for _, part := range []func() ([]Block, error){p.leadBlocks, p.stationBlocks, p.depthBlocks} {
		blocks, err := part()
		if err != nil {
			return Sheet{}, err
		}
		s.Body = append(s.Body, blocks...)
	}
	return s, nil
}

// poster is a lathe with what is proved of its record.
type poster struct {
	lathe  threadmath.Lathe
	proofs []curriculum.LatheProof
}

// entryBlocks are the record, and what of it is not proved.
func (p poster) entryBlocks() []Block {
	var rows [][]string
	open := false
	for _, e := range p.proofs {
		open = open || !e.Proved
		if !ofMany(e) {
			rows = append(rows, []string{e.Part, e.Is, e.Words()})
		}
	}
	var out []Block
	if len(rows) > 0 {
		out = append(out, Table{Columns: []Column{{Title: "Part"}, {Title: "What the record says"}, {Title: "Checked at the lathe"}}, Rows: rows})
	}
	if open || len(rows) == 0 {
		out = append(out, Boxed{Title: "⚠ Unproved", Body: []Block{Para(
			"What leans on an entry that is unproved was computed and never seen at this lathe. Cut nothing by it until a light scratch, measured with the spindle stopped, agrees; then record the check.")}})
	}
	return out
}

// ofMany reports whether an entry is none of the table of the record: one of a long list, which has a table of its own, or a habit.
func ofMany(e curriculum.LatheProof) bool {
	return strings.HasPrefix(e.Entry, "gearbox-") || e.Habit()
}

// proof returns an entry by its name.
func (p poster) proof(name string) (curriculum.LatheProof, bool) {
	i := slices.IndexFunc(p.proofs, func(e curriculum.LatheProof) bool { return e.Entry == name })
	if i < 0 {
		return curriculum.LatheProof{}, false
	}
	return p.proofs[i], true
}

// leansOn says what a table comes from; nothing where the record has none of it.
func (p poster) leansOn(names ...string) []Block {
	var texts []string
	for _, name := range names {
		if e, ok := p.proof(name); ok {
			texts = append(texts, strings.ToLower(e.Part[:1])+e.Part[1:]+", "+e.Is+" ("+e.Words()+")")
		}
	}
	if texts == nil {
		return nil
	}
	return []Block{Paragraph{Scale: 0.9, Spans: Plain("Leans on: " + strings.Join(texts, "; ") + ".")}}
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
func (p poster) stationBlocks() ([]Block, error) {
	l := p.lathe
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
	names := make([]string, len(l.Holders))
	for i := range names {
		names[i] = "holder-" + strconv.Itoa(i+1)
	}
	return slices.Concat([]Block{
		Heading{Text: "Index stations, in the order of the starts", Level: 2},
		Para("A dash: the starts do not divide the stations."),
		Table{Columns: columns, Rows: rows},
	}, p.leansOn(names...)), nil
}

// depthBlocks are depth, infeed by the cross-slide's collar and best wire by form and pitch.
func (p poster) depthBlocks() ([]Block, error) {
	reads := p.lathe.CrossSlide.Collar()
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
	out = append(out, Para("By the pitch, never by the lead. Straight infeed by the cross-slide; measure before the last passes, spindle stopped."))
	return append(out, p.leansOn("cross-slide")...), nil
}

func millimetres(mm float64) string { return strconv.FormatFloat(mm, 'f', 3, 64) + " mm" }
