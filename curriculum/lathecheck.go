package curriculum

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"halfnut/threadmath"
)

// LatheEntry is one thing that a lathe's record says of the machine, in the
// pieces that sheets lean on.
type LatheEntry struct {
	// Entry names it within the lathe: "leadscrew", "thread-dial-2", "gearbox-5".
	Entry string `json:"entry"`
	Part  string `json:"part"` // of the machine
	Is    string `json:"is"`   // what the record says it is
	// Stated is the entry exactly, as JSON: a check holds for what it was made of.
	Stated string `json:"stated"`
	// Assumes is a value that a card takes from elsewhere than the record, such as
	// the turns of coasting in its job; only a check that predicted it counts.
	Assumes string `json:"assumes,omitempty"`
}

// Habit reports whether the entry is one that no record states: it is known from its checks alone.
func (e LatheEntry) Habit() bool {
	kind := kindOf(e.Entry)
	return kind == coastKind || kind == RunOutGroove
}

// RunOutGroove is the entry for the run-out grooves of a lathe: its checks say how wide one was and how far the tool
// ran on in it.
const (
	RunOutGroove = "run-out-groove"
	coastKind    = "coast"
)

// LatheCheck is one check made at a lathe: a light scratch, a collar against an
// indicator, teeth counted. Checks are never changed; a newer one counts more.
type LatheCheck struct {
	ID    string `json:"id"`
	Lathe string `json:"lathe"`
	// Entry and Stated are those of the LatheEntry when it was checked.
	Entry  string `json:"entry"`
	Stated string `json:"stated"`
	// What was done: the setting, over how many turns, on which line.
	What      string `json:"what"`
	Predicted string `json:"predicted"`
	Measured  string `json:"measured"`
	// Division is one division of the instrument a length was measured with.
	Division string    `json:"division,omitempty"`
	Agrees   bool      `json:"agrees"`
	By       string    `json:"by"`
	ByName   string    `json:"by_name"` // looked up, never kept
	At       time.Time `json:"at"`
}

// LatheProof is an entry with what the checks say of it.
type LatheProof struct {
	LatheEntry
	Proved bool       `json:"proved"`
	At     *time.Time `json:"at,omitempty"` // of the check that proved it
	// Found is what that check found, in words where the record states nothing.
	Found string `json:"found,omitempty"`
	Why   string `json:"why,omitempty"` // it is unproved again; empty where it never was checked
}

// Words says whether the entry is proved, with the day or the reason.
func (p LatheProof) Words() string {
	if p.Proved {
		if p.Habit() {
			return p.Found + ", proved " + dayOf(*p.At)
		}
		return "proved " + dayOf(*p.At)
	}
	if p.Why != "" {
		return "unproved: " + p.Why
	}
	return "unproved"
}

func (c LatheCheck) found() string {
	switch kindOf(c.Entry) {
	case coastKind:
		return c.Measured + " turns"
	case RunOutGroove:
		return "ran on " + c.Measured + " in a groove of " + c.Predicted
	}
	return c.Measured
}

func dayOf(t time.Time) string { return t.UTC().Format("2 Jan 2006") }

// kind is the entry without its number: checks follow a thing when the list it
// stands in changes its order.
func kindOf(entry string) string {
	at := strings.LastIndexByte(entry, '-')
	if at < 0 {
		return entry
	}
	if _, err := strconv.Atoi(entry[at+1:]); err != nil {
		return entry
	}
	return entry[:at]
}

// Prove says of each entry whether it is proved by the checks, oldest first. The
// last check of an entry as it stands decides; one of what it was before does
// not count, so that a changed entry is unproved again.
func Prove(entries []LatheEntry, checks []LatheCheck) []LatheProof {
	out := make([]LatheProof, len(entries))
	for i, e := range entries {
		p := LatheProof{LatheEntry: e}
		for _, c := range checks {
			switch {
			case kindOf(c.Entry) != kindOf(e.Entry) || e.Assumes != "" && !sameReading(e.Assumes, c.Predicted):
			case c.Stated != e.Stated:
				if c.Entry == e.Entry && !p.Proved {
					p.Why = "it was changed after the check of " + dayOf(c.At)
				}
			case c.Agrees:
				at := c.At
				p.Proved, p.At, p.Found, p.Why = true, &at, c.found(), ""
			default:
				p.Proved, p.At, p.Found = false, nil, ""
				p.Why = "the check of " + dayOf(c.At) + " did not agree"
			}
		}
		out[i] = p
	}
	return out
}

// EntriesOf takes a lathe's record apart into what can be checked at the machine.
func EntriesOf(l threadmath.Lathe) []LatheEntry {
	var out []LatheEntry
	add := func(entry, part, is string, stated any) {
		text, err := json.Marshal(stated)
		if err != nil {
			panic(err) // numbers and texts of our own types
		}
		out = append(out, LatheEntry{Entry: entry, Part: part, Is: is, Stated: string(text)})
	}
	number := func(name string, i int) string { return name + "-" + strconv.Itoa(i+1) }
	if l.Leadscrew != "" {
		starts, is := 1, l.Leadscrew
		if l.LeadscrewStarts != nil && *l.LeadscrewStarts != 1 {
			starts = int(*l.LeadscrewStarts)
			is += ", " + strconv.Itoa(starts) + " starts"
		}
		add("leadscrew", "Leadscrew", is, []any{l.Leadscrew, starts})
	}
	for i, d := range l.ThreadDials {
		is := fmt.Sprintf("gear of %d teeth, %d lines", d.Teeth, d.Graduations)
		if d.Runs != "" {
			is += ", numbers run " + d.Runs
		}
		add(number("thread-dial", i), "Thread dial", is, d)
	}
	for _, s := range []struct {
		entry, part string
		slide       *threadmath.Slide
	}{{"compound-slide", "Compound slide", l.CompoundSlide}, {"cross-slide", "Cross-slide", l.CrossSlide}} {
		if is := collarWords(s.slide); is != "" {
			add(s.entry, s.part, is, []string{s.slide.Graduation, s.slide.PerTurn, s.slide.Collar()})
		}
	}
	for i, h := range l.Holders {
		add(number("holder", i), "Work is turned by", strconv.Itoa(int(h.Stations))+" "+strings.ReplaceAll(h.Kind, "-", " "), []any{h.Kind, h.Stations})
	}
	if g := l.StudGear; g != nil {
		is := strconv.Itoa(int(g.Teeth)) + " teeth"
		if g.TurnsPerSpindleTurn != "" {
			is += ", " + string(g.TurnsPerSpindleTurn) + " of a turn for each of the spindle"
		}
		add("stud-gear", "Stud gear", is, g)
	}
	if g := l.LeadscrewGear; g != nil {
		add("leadscrew-gear", "Gear on the leadscrew", strconv.Itoa(int(g.Teeth))+" teeth", g)
	}
	if len(l.ChangeGears) > 0 {
		texts := make([]string, len(l.ChangeGears))
		for i, n := range l.ChangeGears {
			texts[i] = strconv.Itoa(int(n))
		}
		add("change-gears", "Change gears", strings.Join(texts, ", "), l.ChangeGears)
	}
	for i, setting := range l.Gearbox {
		add(number("gearbox", i), "Gearbox setting", setting, setting)
	}
	for i, rpm := range l.SpindleSpeeds {
		text := strconv.FormatFloat(rpm, 'f', -1, 64)
		add(number(coastKind, i), "Coast", "at "+text+" rev/min", text)
	}
	if len(out) > 0 { // a lathe of which something is known
		add(RunOutGroove, "Run-out groove", "as this shop cuts it", "")
	}
	return out
}

// collarWords describes a slide's collar; empty where it has none.
func collarWords(s *threadmath.Slide) string {
	if s == nil || s.Graduation == "" {
		return ""
	}
	words := "collar of " + s.Graduation + " a division, reads " + s.Collar()
	if s.PerTurn != "" {
		words += ", " + s.PerTurn + " a turn"
	}
	return words
}

// Judge sets Agrees: lengths must lie within one division of the instrument, a
// spindle may not coast further than predicted nor the tool run on further than the
// groove is wide, anything else must read the same. It fails with a FieldError where a length is
// measured without its division, or against something that is no length.
func (c *LatheCheck) Judge() error {
	switch kindOf(c.Entry) {
	case coastKind:
		return c.judgeCoast()
	case RunOutGroove:
		return c.judgeRunOut()
	}
	predicted, _, err := threadmath.ParseLength(c.Predicted)
	if err != nil {
		c.Agrees = sameReading(c.Predicted, c.Measured)
		return nil
	}
	measured, _, err := threadmath.ParseLength(c.Measured)
	if err != nil {
		return &FieldError{Path: "/measured", Value: c.Measured, Reason: "a length was predicted", Allowed: "a length with its unit, such as 39.98 mm"}
	}
	division, _, err := threadmath.ParseLength(c.Division)
	if err != nil || division.Sign() <= 0 {
		return &FieldError{Path: "/division", Value: c.Division, Reason: "a length agrees within one division of the instrument", Allowed: "a length with its unit, such as 0.02 mm"}
	}
	apart := measured.Sub(predicted)
	if apart.Sign() < 0 {
		apart = predicted.Sub(measured)
	}
	c.Agrees = apart.Cmp(division) <= 0
	return nil
}

func (c *LatheCheck) judgeCoast() error {
	predicted, err := threadmath.ParseRatio(c.Predicted)
	if err != nil {
		return &FieldError{Path: "/predicted", Value: c.Predicted, Allowed: "the turns that the spindle coasts, a number such as 1.5"}
	}
	measured, err := threadmath.ParseRatio(c.Measured)
	if err != nil {
		return &FieldError{Path: "/measured", Value: c.Measured, Allowed: "the turns that the spindle coasts, a number such as 1.5"}
	}
	c.Agrees = measured.Cmp(predicted) <= 0
	return nil
}

// judgeRunOut compares how far the tool ran on with the width of the groove it ran in.
func (c *LatheCheck) judgeRunOut() error {
	var lengths [2]threadmath.Length
	for i, in := range []struct{ path, text string }{{"/predicted", c.Predicted}, {"/measured", c.Measured}} {
		l, _, err := threadmath.ParseLength(in.text)
		if err != nil || l.Sign() <= 0 {
			return &FieldError{Path: in.path, Value: in.text, Reason: "predicted is the width of the groove, measured how far the tool ran on in it", Allowed: "a length with its unit, such as 6 mm"}
		}
		lengths[i] = l
	}
	c.Agrees = lengths[1].Cmp(lengths[0]) <= 0
	return nil
}

// sameReading compares readings: lengths and numbers by value, words by letters.
func sameReading(a, b string) bool {
	l, _, err1 := threadmath.ParseLength(a)
	m, _, err2 := threadmath.ParseLength(b)
	if err1 == nil && err2 == nil {
		return l.Cmp(m) == 0
	}
	x, err1 := threadmath.ParseRatio(a)
	y, err2 := threadmath.ParseRatio(b)
	if err1 == nil && err2 == nil {
		return x.Equal(y)
	}
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}
