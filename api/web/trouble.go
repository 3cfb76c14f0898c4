package web

import (
	"errors"
	"html/template"
	"strconv"
	"strings"

	"halfnut/api/problem"
	"halfnut/curriculum"
)

// trouble is what was wrong with what was sent, in the words of the page.
type trouble struct {
	Title  string
	Detail string
	// Told is what the page itself says of it, in place of the detail.
	Told   english
	Faults []fault
}

// toldError is an error that the pages tell in their own words.
type toldError struct {
	error
	words english
}

func (e toldError) Unwrap() error { return e.error }

// told has the pages tell an error in these words.
func told(err error, words english) error { return toldError{err, words} }

// fault is one wrong field. ID is that of its input; empty where the page has
// none for it.
type fault struct {
	ID                     string
	Label                  phrase
	Value, Reason, Allowed string
}

// inputs finds the input a pointer into a request belongs to.
type inputs func(pointer string) (id string, label phrase)

// troubleOf puts an error, and the problem document it is for others, in the page's
// words.
func troubleOf(err error, d problem.Document, find inputs) *trouble {
	t := &trouble{Title: d.Title}
	var own toldError
	if errors.As(err, &own) {
		t.Told = own.words
	}
	for _, f := range d.Fields {
		x := fault{Label: phraseOf("%s", domain(plainPointer(f.Path))), Value: f.Value, Reason: f.Reason, Allowed: f.Allowed}
		for _, where := range []inputs{find, commonInputs} {
			if where == nil {
				continue
			}
			if id, label := where(f.Path); label.key != "" {
				x.ID, x.Label = id, label
				break
			}
		}
		t.Faults = append(t.Faults, x)
	}
	if len(t.Faults) == 0 {
		t.Detail = d.Detail
	}
	return t
}

// common are the inputs of the small forms, by the pointer of the request.
var common = map[string]struct {
	id    string
	label english
}{
	"/title": {"title", "Title"}, "/skills": {"skills", "Skills"}, "/count": {"count", "Exercises for each learner"},
	"/lathe": {"lathe", "Lathe"}, "/units": {"units", "Units"}, "/name": {"name", "Name"}, "/names": {"names", "Names"}, "/namesakes": {"namesakes", "If a name is known here already"}, "/known": {"q", "Part of the name"}, "/seat": {"seat", "Seat"},
	"/learner": {"learner", "Your name on the class list"}, "/pin": {"pin", "PIN"}, "/code": {"code", "Joining code"}, "/joining_code": {"code", "Joining code"},
	"/sheet": {"sheet", "Sheet"}, "/file": {"file", "File"}, "/roster": {"roster", "File"}, "/reason": {"reason", "Reason"}, "/first": {"first", "First meeting"}, "/date": {"date", "Day at the lathe"}, "/every_days": {"every_days", "Days between meetings"},
	"/minutes": {"minutes", "Minutes of a meeting"}, "/practice_days": {"practice_days", "Days between practice"}, "/practice_size": {"practice_size", "Exercises of a practice"},
	"/version": {"", "version"}, "/slip": {"slip", "Start 2 out of place"}, "/days": {"days", "Days it lasts"}, "/scope": {"scope", "Scope"}, "/role": {"role", "Role"},
	"/passphrase": {"passphrase", "Passphrase"}, "/again": {"again", "The same again"}, "/method": {"method", "From start to start"},
}

func commonInputs(pointer string) (id string, label phrase) {
	if x, ok := common[pointer]; ok {
		return x.id, phraseOf(x.label)
	}
	// An entry of a list belongs to the list's input: "/names/3" is its fourth.
	i := strings.LastIndexByte(pointer, '/')
	if i <= 0 {
		return "", phrase{}
	}
	x, ok := common[pointer[:i]]
	n, err := strconv.Atoi(pointer[i+1:])
	if !ok || err != nil {
		return "", phrase{}
	}
	return x.id, phraseOf("%s, entry %s", x.label, n+1)
}

// wrong is a fault of a form in the pages' own words.
func wrong(path, value string, reason, allowed english) error {
	return &curriculum.FieldError{Path: path, Value: value, Reason: string(reason), Allowed: string(allowed)}
}

// plainPointer writes a pointer for people where no input bears it: "/a_b/0/c"
// is "a b 1, c"; what is no pointer ("line 3") stays.
func plainPointer(pointer string) string {
	if !strings.HasPrefix(pointer, "/") {
		return pointer
	}
	var words []string
	for _, w := range strings.Split(pointer[1:], "/") {
		if n, err := strconv.Atoi(w); err == nil && len(words) > 0 {
			words[len(words)-1] += " " + strconv.Itoa(n+1)
			continue
		}
		if w = strings.ReplaceAll(w, "_", " "); w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, ", ")
}

// Fault returns what is wrong with the input of an id.
func (v view) Fault(id string) *fault {
	if v.Problem == nil {
		return nil
	}
	for i := range v.Problem.Faults {
		if v.Problem.Faults[i].ID == id {
			return &v.Problem.Faults[i]
		}
	}
	return nil
}

// Attrs returns the attributes that tie an input to its hints and its fault, and
// give the first wrong one the focus.
func (v view) Attrs(id string, hints ...string) template.HTMLAttr {
	f := v.Fault(id)
	out := ""
	if f != nil {
		hints = append(hints, id+"-fault")
		out = ` aria-invalid="true"`
		if v.firstFault() == id {
			out += ` autofocus`
		}
	}
	if len(hints) > 0 {
		out += ` aria-describedby="` + template.HTMLEscapeString(strings.Join(hints, " ")) + `"`
	}
	return template.HTMLAttr(strings.TrimPrefix(out, " ")) //nolint:gosec // ids of our own templates
}

// firstFault returns the id of the first input with a fault; the summary takes
// the focus where there is none.
func (v view) firstFault() string {
	if v.Problem != nil {
		for _, f := range v.Problem.Faults {
			if f.ID != "" {
				return f.ID
			}
		}
	}
	return ""
}

// SummaryFocus reports that no input can take the focus.
func (v view) SummaryFocus() bool { return v.firstFault() == "" }

// asked is an input as the form shows it.
type asked struct {
	field
	Label phrase
	Value string
	Fault *fault
	Attrs template.HTMLAttr
}

// Groups returns the fieldsets of a job form with what was typed; one that is
// folded opens when something stands in it.
func (v view) Groups(f jobForm) []askedGroup {
	var out []askedGroup
	for _, g := range f.Groups {
		a := askedGroup{Title: g.Title, Folds: !g.Open}
		for _, x := range g.Fields {
			var hints []string
			if x.Hint != "" {
				hints = append(hints, x.Name+"-hint")
			}
			q := asked{field: x, Label: x.label(), Value: v.Form.Get(x.Name), Fault: v.Fault(x.Name), Attrs: v.Attrs(x.Name, hints...)}
			a.Open = a.Open || q.Value != "" || q.Fault != nil
			a.Inputs = append(a.Inputs, q)
		}
		out = append(out, a)
	}
	return out
}

type askedGroup struct {
	Title       english
	Folds, Open bool
	Inputs      []asked
}

// How the template draws an input.
func (a asked) Chosen() bool { return a.Kind == choiceField || a.Kind == yesNoField }
func (a asked) Ticked() bool { return a.Kind == noneField || a.Kind == factField }

// InputMode brings up the number pad where only figures are typed.
func (a asked) InputMode() string {
	if a.Kind == numberField {
		return "decimal"
	}
	return "text"
}
