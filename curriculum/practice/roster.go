package practice

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"halfnut/curriculum"
)

// rosterColumns are the header of a roster. Seat orders the list (the class
// gives out its own seats, following the last one taken); class names the class
// the line is for, and may be empty.
var rosterColumns = []string{"seat", "name", "class"}

// maxRosterFaults bounds the bad lines that are named; their number is said.
const maxRosterFaults = 200

// RosterResult says what came of a roster.
type RosterResult struct {
	Learners []curriculum.Learner `json:"learners"`
	// Bad are the lines that were left out; empty unless partial was asked for.
	Bad []curriculum.RosterLine `json:"bad"`
}

// Roster is a class list as it is handed in.
type Roster struct {
	CSV       []byte
	Partial   bool   // take the good lines of a list that has bad ones
	Namesakes string // as in Adding
}

// ImportRoster reads a roster (CSV, RFC 4180, UTF-8, a byte order mark is
// tolerated) into a class. Every bad line is named; unless it is partial, one bad
// line and nothing changes. A long list
// is read and judged at once, and put on the class list by the work that is given
// back.
func (s *Service) ImportRoster(ctx context.Context, a Actor, class string, r Roster) (RosterResult, *curriculum.Work, error) {
	c, err := s.openClass(ctx, a, class)
	if err != nil {
		return RosterResult{}, nil, err
	}
	there, err := s.store.Learners(ctx, c.ID)
	if err != nil {
		return RosterResult{}, nil, err
	}
	known, err := s.knownTo(ctx, a, c.ID, r.Namesakes)
	if err != nil {
		return RosterResult{}, nil, err
	}
	names, bad, err := readRoster(r.CSV, c.Name, there, known)
	if err != nil {
		return RosterResult{}, nil, err
	}
	if len(bad) > 0 && !r.Partial || len(names) == 0 {
		return RosterResult{}, nil, rosterError(bad)
	}
	if len(names) <= mostNamesAtOnce {
		ls, err := s.AddLearners(ctx, a, class, Adding{Names: names, Namesakes: r.Namesakes})
		return RosterResult{Learners: ls, Bad: bad}, nil, err
	}
	if len(names) > maxLearners {
		return RosterResult{}, nil, tooManyLearners(len(names))
	}
	w, err := s.ask(ctx, a, curriculum.WorkRoster, c.Name, rosterWork{c.ID, names, r.Namesakes, bad})
	return RosterResult{}, &w, err
}

// rosterWork are the arguments of a work that puts names on a class list.
type rosterWork struct {
	Class     string                  `json:"class"`
	Names     []string                `json:"names"`
	Namesakes string                  `json:"namesakes"`
	Bad       []curriculum.RosterLine `json:"bad"`
}

// addRoster is AddLearners as a work. It is one transaction, so there is nothing to
// see between its beginning and its end.
func (s *Service) addRoster(ctx context.Context, r *Running) error {
	var in rosterWork
	if err := r.Args(&in); err != nil {
		return err
	}
	c, err := s.openClass(ctx, r.Actor, in.Class)
	if err != nil {
		return err
	}
	ls, err := s.learnersOf(ctx, r.Actor, c.ID, Adding{Names: in.Names, Namesakes: in.Namesakes})
	if err != nil {
		return err
	}
	r.Progress(0, len(ls))
	result := curriculum.WorkResult{Class: c.ID, Learners: len(ls), Bad: in.Bad}
	return s.store.FinishLearners(ctx, r.End(result), c, ls, r.Actor.ID)
}

func rosterError(bad []curriculum.RosterLine) error {
	if len(bad) == 0 {
		return &curriculum.FieldError{Path: "line 1", Reason: "no learner stands in the file"}
	}
	var out []error
	for i, b := range bad {
		if i == maxRosterFaults {
			out = append(out, &curriculum.FieldError{Path: "line " + strconv.Itoa(b.Line), Reason: fmt.Sprintf("and %d further bad lines from here on", len(bad)-i)})
			break
		}
		out = append(out, &curriculum.FieldError{Path: "line " + strconv.Itoa(b.Line), Reason: b.Reason})
	}
	return errors.Join(out...)
}

// readRoster returns the names of the good lines in the order of their seats,
// and the bad lines. Each line is read for itself, so that a stray quote or a
// byte that is no UTF-8 spoils its own line only; a name therefore cannot hold a
// line break.
func readRoster(data []byte, class string, there []curriculum.Learner, known known) ([]string, []curriculum.RosterLine, error) {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	type entry struct {
		seat int
		name string
	}
	var entries []entry
	bad := []curriculum.RosterLine{}
	taken := map[string]string{}
	for _, l := range there {
		taken[l.Name] = "is in the class already"
	}
	seats := map[int]int{}
	line := 0
	for raw := range bytes.Lines(data) {
		line++
		raw = bytes.TrimRight(raw, "\r\n")
		fail := func(reason string) { bad = append(bad, curriculum.RosterLine{Line: line, Reason: reason}) }
		if !utf8.Valid(raw) {
			if line == 1 {
				return nil, nil, &curriculum.FieldError{Path: "line 1", Reason: "is not UTF-8 text", Allowed: strings.Join(rosterColumns, ",")}
			}
			fail("is not UTF-8 text")
			continue
		}
		if len(bytes.TrimSpace(raw)) == 0 {
			if line > 1 {
				fail("is empty")
			}
			continue
		}
		r := csv.NewReader(bytes.NewReader(raw))
		r.FieldsPerRecord = -1
		r.TrimLeadingSpace = true
		record, err := r.Read()
		if err != nil && !errors.Is(err, io.EOF) {
			fail("a quotation mark is out of place")
			continue
		}
		if line == 1 {
			if !slices.EqualFunc(record, rosterColumns, func(got, want string) bool { return strings.EqualFold(strings.TrimSpace(got), want) }) {
				return nil, nil, &curriculum.FieldError{Path: "line 1", Value: string(raw), Reason: "not the header", Allowed: strings.Join(rosterColumns, ",")}
			}
			continue
		}
		if len(record) != len(rosterColumns) {
			fail(fmt.Sprintf("has %d columns, not %d", len(record), len(rosterColumns)))
			continue
		}
		seat, err := strconv.Atoi(strings.TrimSpace(record[0]))
		if err != nil || seat < 1 || seat > maxLearners {
			fail(fmt.Sprintf("seat %q is no number from 1 to %d", short(record[0]), maxLearners))
			continue
		}
		name, err := cleanName("/name", record[1])
		var field *curriculum.FieldError
		if errors.As(err, &field) {
			fail("the name " + field.Reason)
			continue
		}
		if in := strings.TrimSpace(record[2]); in != "" && !strings.EqualFold(in, class) {
			fail(fmt.Sprintf("is for the class %q, this is %q", short(in), class))
			continue
		}
		if before, twice := seats[seat]; twice {
			fail(fmt.Sprintf("seat %d stands in line %d already", seat, before))
			continue
		}
		if why := taken[name]; why != "" {
			fail(fmt.Sprintf("%q %s", name, why))
			continue
		}
		if _, why := known.called(name); why != "" {
			fail(fmt.Sprintf("%q %s", name, why))
			continue
		}
		seats[seat], taken[name] = line, "stands in line "+strconv.Itoa(line)+" already"
		entries = append(entries, entry{seat, name})
	}
	if line == 0 {
		return nil, nil, &curriculum.FieldError{Path: "line 1", Reason: "the file is empty", Allowed: strings.Join(rosterColumns, ",")}
	}
	slices.SortFunc(entries, func(a, b entry) int { return a.seat - b.seat })
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.name
	}
	return names, bad, nil
}

// short keeps what is echoed of a line readable.
func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// MarksCSV writes the marks of a class set, one line a learner: seat, name, the
// best marks of each exercise, total and the marks to be had.
func (s *Service) MarksCSV(ctx context.Context, a Actor, set string) ([]byte, error) {
	t, err := s.ClassMarks(ctx, a, set)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true // RFC 4180
	header := []string{"seat", "name"}
	most := 0
	for i, n := range t.OutOf {
		header = append(header, "exercise "+strconv.Itoa(i+1))
		most += n
	}
	_ = w.Write(append(header, "total", "out of")) // a buffer takes everything
	for _, r := range t.Rows {
		line := []string{strconv.Itoa(r.Seat), harmless(r.Name)}
		for _, m := range r.Marks {
			mark := ""
			if m != nil {
				mark = strconv.Itoa(m.Best)
			}
			line = append(line, mark)
		}
		_ = w.Write(append(line, strconv.Itoa(r.Total), strconv.Itoa(most)))
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// harmless keeps a spreadsheet from taking a name for a formula.
func harmless(name string) string {
	if strings.ContainsRune("=+-@", rune(name[0])) {
		return "'" + name
	}
	return name
}
