package web

import (
	"encoding/json"
	"net/url"
	"strconv"
	"strings"
)

// fieldKind says how the text of an input becomes a value of the solve contract.
type fieldKind int

const (
	textField    fieldKind = iota // text as it stands
	numberField                   // a number
	choiceField                   // one of the options, as text
	yesNoField                    // true, false or not known
	textsField                    // texts with semicolons or line ends between them
	numbersField                  // numbers likewise; spaces and commas serve too
	noneField                     // a tick box: an empty list, "has none"
	factField                     // a tick box: true
)

// field is one input of a form that describes a thread job: its name in the
// address, the JSON pointer of the solve contract that it fills, and how it is
// asked for.
type field struct {
	Name, Pointer string
	// Label has Number filled in, where there are several alike.
	Label   english
	Number  string
	Kind    fieldKind
	Example string
	Hint    english
	Options []option
}

type option struct {
	Value string
	Text  english
}

// fieldGroup is a fieldset; one that is not Open is folded away until something
// in it is filled in.
type fieldGroup struct {
	Title  english
	Open   bool
	Fields []field
}

// jobForm is a form that describes a job, or a part of one below Root.
type jobForm struct {
	Root   string
	Groups []fieldGroup
}

// document returns the JSON document that the form's values say, and where each
// of its values came from: a list without its first entries is written without
// gaps, so that pointers into it differ from the fields'. What stands in a field
// of numbers and is none is a *curriculum.FieldError.
func (f jobForm) document(values url.Values) (doc []byte, from map[string]string, err error) {
	tree := map[string]any{}
	for _, g := range f.Groups {
		for _, x := range g.Fields {
			v, err := x.value(strings.TrimSpace(values.Get(x.Name)))
			if err != nil {
				return nil, nil, err
			}
			if v != nil {
				put(tree, strings.Split(strings.TrimPrefix(x.Pointer, f.Root+"/"), "/"), v)
			}
		}
	}
	from = map[string]string{}
	doc, err = json.Marshal(closeGaps(tree, f.Root, f.Root, from))
	return doc, from, err
}

func (x field) label() phrase {
	if x.Number == "" {
		return phraseOf(x.Label)
	}
	return phraseOf(x.Label, x.Number)
}

// value reads the text of one input; nil is not known.
func (x field) value(text string) (any, error) {
	if text == "" {
		return nil, nil
	}
	switch x.Kind {
	case numberField:
		return x.number(text)
	case yesNoField:
		return text == "yes", nil
	case factField:
		return true, nil
	case noneField:
		return []any{}, nil
	case textsField:
		var out []any
		for _, t := range strings.FieldsFunc(text, func(c rune) bool { return c == ';' || c == '\n' }) {
			if t = strings.TrimSpace(t); t != "" {
				out = append(out, t)
			}
		}
		return out, nil
	case numbersField:
		var out []any
		for _, t := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune("; ,\t\r\n", c) }) {
			n, err := x.number(t)
			if err != nil {
				return nil, err
			}
			out = append(out, n)
		}
		return out, nil
	default:
		return text, nil
	}
}

// number keeps the digits as they were typed; the solver's own reader judges
// them, and refuses what is no number of its.
func (x field) number(text string) (any, error) {
	const longest = 40 // figures; no number of a lathe comes near
	if _, err := strconv.ParseFloat(text, 64); err != nil || len(text) > longest || strings.ContainsAny(text, "xXpP_iInN") {
		return nil, wrong(x.Pointer, text, "not a number", "figures with a decimal point, such as 29.5")
	}
	return json.Number(strings.TrimPrefix(text, "+")), nil
}

// put sets a value in a tree of maps.
func put(tree map[string]any, path []string, v any) {
	for _, name := range path[:len(path)-1] {
		inner, ok := tree[name].(map[string]any)
		if !ok {
			inner = map[string]any{}
			tree[name] = inner
		}
		tree = inner
	}
	last := path[len(path)-1]
	if _, filled := tree[last]; filled {
		return // "has none" beside entries: the entries count
	}
	tree[last] = v
}

// closeGaps turns maps whose keys are numbers into lists and notes for every
// pointer into the result the pointer of the field.
func closeGaps(node any, real, asked string, from map[string]string) any {
	from[real] = asked
	tree, ok := node.(map[string]any)
	if !ok {
		if list, ok := node.([]any); ok {
			for i := range list {
				from[real+"/"+strconv.Itoa(i)] = asked
			}
		}
		return node
	}
	const mostEntries = 16
	if _, isList := firstIndex(tree, mostEntries); !isList {
		for name, inner := range tree {
			tree[name] = closeGaps(inner, real+"/"+name, asked+"/"+name, from)
		}
		return tree
	}
	list := []any{}
	for i := range mostEntries {
		if inner, ok := tree[strconv.Itoa(i)]; ok {
			list = append(list, closeGaps(inner, real+"/"+strconv.Itoa(len(list)), asked+"/"+strconv.Itoa(i), from))
		}
	}
	return list
}

func firstIndex(tree map[string]any, most int) (int, bool) {
	for i := range most {
		if _, ok := tree[strconv.Itoa(i)]; ok {
			return i, true
		}
	}
	return 0, false
}

// where finds the input that a pointer of the solve contract belongs to: its own
// or that of the value it lies in.
func (f jobForm) where(pointer string) (id string, label phrase) {
	for p := pointer; p != ""; p = p[:max(strings.LastIndexByte(p, '/'), 0)] {
		for _, g := range f.Groups {
			for _, x := range g.Fields {
				if x.Pointer == p {
					return x.Name, x.label()
				}
			}
		}
	}
	return "", phrase{}
}

// whereFrom is where for pointers into a document that the form made.
func (f jobForm) whereFrom(from map[string]string) inputs {
	return func(pointer string) (id string, label phrase) {
		if asked, ok := from[pointer]; ok {
			pointer = asked
		}
		return f.where(pointer)
	}
}

// values returns what the form must hold to say the document again.
func (f jobForm) values(doc []byte) (url.Values, error) {
	var tree any
	if err := json.Unmarshal(doc, &tree); err != nil {
		return nil, err
	}
	out := url.Values{}
	for _, g := range f.Groups {
		for _, x := range g.Fields {
			v, ok := at(tree, strings.Split(strings.TrimPrefix(x.Pointer, f.Root+"/"), "/"))
			if text := x.text(v); ok && text != "" {
				out.Set(x.Name, text)
			}
		}
	}
	return out, nil
}

func at(node any, path []string) (any, bool) {
	for _, name := range path {
		switch inner := node.(type) {
		case map[string]any:
			next, ok := inner[name]
			if !ok {
				return nil, false
			}
			node = next
		case []any:
			i, err := strconv.Atoi(name)
			if err != nil || i >= len(inner) {
				return nil, false
			}
			node = inner[i]
		default:
			return nil, false
		}
	}
	return node, true
}

// text writes a value as the input shows it.
func (x field) text(v any) string {
	switch t := v.(type) {
	case string:
		return t
	case float64:
		return strconv.FormatFloat(t, 'f', -1, 64)
	case bool:
		switch {
		case x.Kind == factField && t:
			return "yes"
		case x.Kind == yesNoField && t:
			return "yes"
		case x.Kind == yesNoField:
			return "no"
		}
	case []any:
		if x.Kind == noneField {
			if len(t) == 0 {
				return "yes"
			}
			return ""
		}
		texts := make([]string, len(t))
		for i, e := range t {
			texts[i] = x.text(e)
		}
		return strings.Join(texts, "; ")
	}
	return ""
}
