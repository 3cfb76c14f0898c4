package web

import (
	"bytes"
	"fmt"
	"html/template"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"halfnut/curriculum"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// functions are what the templates may call.
func (x *texts) functions() template.FuncMap {
	return template.FuncMap{
		// The words of the page, in its language.
		"lang":     x.tag.String,
		"t":        x.html,
		"tn":       x.counted,
		"say":      x.say,
		"sayall":   func(sep string, list []string) template.HTML { return joined(sep, list, x.say) },
		"sentence": func(s string) template.HTML { return x.foreign(s, sentence) },
		"words":    func(s string) template.HTML { return x.say(words(s)) },
		"kind":     func(s string) template.HTML { return x.foreign(words(s), capital) },
		"allowed":  x.allowed,
		"skill":    func(slug string) template.HTML { return x.say(skillTitle(slug)) },
		"skills": func(slugs []string) template.HTML {
			return joined("; ", slugs, func(slug string) template.HTML { return x.say(skillTitle(slug)) })
		},
		"dialled": x.dialled,
		"outcome": outcomeWords,
		"why":     whyWords,
		"said":    said,

		"code":    worksheets.CodeText,
		"add":     func(a, b int) int { return a + b },
		"drawing": drawing,
		"note":    worksheets.DrawingNote,
		"number":  number,
		"letter":  func(i int) string { return string(rune('A' + i)) },
		"has":     slices.Contains[[]string],
		"is":      func(b *bool) bool { return b != nil && *b },
		"list":    func(words ...string) []string { return words },
		"named": func(names map[string]string, ids []string) []string {
			out := make([]string, len(ids))
			for i, id := range ids {
				out[i] = names[id]
			}
			return out
		},
		"joined":  func(sep string, list []string) string { return strings.Join(list, sep) },
		"counted": counted,
		"anchor":  func(s string) string { return strings.ReplaceAll(strings.ToLower(s), " ", "-") },
		"grouped": grouped,
		"look":    look,
		"pair":    func(a, b any) map[string]any { return map[string]any{"A": a, "B": b} },
		"row": func(name template.HTML, l *threadmath.LimitOfSize, v view) map[string]any {
			return map[string]any{"Name": name, "Limit": l, "View": v}
		},
		"neg":       func(n int) int { return -n },
		"namesakes": func() []option { return namesakeChoices },
		"methods":   func() []string { return indexingMethods },
		"mark":      markClass,
	}
}

// joined puts texts in a row.
func joined(sep string, list []string, say func(string) template.HTML) template.HTML {
	said := make([]string, len(list))
	for i, s := range list {
		said[i] = string(say(s))
	}
	return template.HTML(strings.Join(said, sep)) //nolint:gosec // what say returns; the separators are the templates' own
}

// span is a range of numbers or times that a fault allows, as the packages behind
// write it.
var span = regexp.MustCompile(`^([-\d.,:]+(?: [ap]m)?) to ([-\d.,:]+(?: [ap]m)?)( characters)?$`)

// allowed says what a fault allows; ranges are the texts with numbers that are met
// most.
func (x *texts) allowed(s string) template.HTML {
	m := span.FindStringSubmatch(s)
	switch {
	case m == nil:
		return x.say(s)
	case m[3] != "":
		return x.markup(x.find("%s to %s characters"), []any{m[1], m[2]})
	}
	return x.markup(x.find("%s to %s"), []any{m[1], m[2]})
}

// words writes a name of the contract as people do: "chuck-jaws" is "chuck jaws".
func words(name string) string { return strings.ReplaceAll(name, "-", " ") }

// drawing is the drawing of an exercise as an SVG element; none where there is
// none or it cannot be made.
func drawing(e curriculum.Exercise) template.HTML {
	g, ok, err := worksheets.ExerciseDrawing(e, 70, 9)
	if err != nil || !ok {
		return ""
	}
	return svg(g)
}

// svg is a drawing as an SVG element. Its words are English in every language.
func svg(g worksheets.Group) template.HTML {
	var b bytes.Buffer
	if err := worksheets.SVG(&b, g, worksheets.Standard); err != nil {
		return ""
	}
	return template.HTML(strings.Replace(b.String(), "<svg ", `<svg lang="en" `, 1)) //nolint:gosec // our own writer, which escapes all text
}

// skillTitle is what a skill is called; the slug of one that the catalogue has no
// more.
func skillTitle(slug string) string {
	if s, err := curriculum.SkillOf(slug); err == nil {
		return s.Title
	}
	return words(slug)
}

// number writes a float64, or what a pointer to one holds, with so many decimals,
// as HTML wants it in an attribute; reader.Number is for people.
func number(decimals int, v any) string {
	switch f := v.(type) {
	case float64:
		return strconv.FormatFloat(f, 'f', decimals, 64)
	case *float64:
		if f != nil {
			return strconv.FormatFloat(*f, 'f', decimals, 64)
		}
	}
	return ""
}

// counted writes whole numbers in a row: "1, 3, 5".
func counted(list []int) string {
	texts := make([]string, len(list))
	for i, n := range list {
		texts[i] = strconv.Itoa(n)
	}
	return strings.Join(texts, ", ")
}

// whyWords say why an exercise stands in a plan.
func whyWords(why string) english {
	switch why {
	case curriculum.WhyNew:
		return "next"
	case curriculum.WhyDue:
		return "due again"
	case curriculum.WhyWeak:
		return "what the next one builds on"
	}
	return english(words(why))
}

// wholeIn reads a whole number of a form.
func wholeIn(path, text string) (int, error) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return 0, wrong(path, text, "not a whole number", "figures alone, such as 6")
	}
	return n, nil
}

// asCount reads a number of things out of an address; what is none is nothing.
func asCount(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		return 0
	}
	return n
}

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	return strings.TrimSuffix(capital(s), ".") + "."
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return ""
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// dialled writes a setting as the hand meets it: "2 turns 3 divisions". Turns
// may be unknown.
func (x *texts) dialled(turns, divisions any) template.HTML {
	count := func(v any, one, many english) template.HTML {
		text := fmt.Sprint(v)
		if w, ok := v.(*threadmath.Whole); ok {
			if w == nil {
				return ""
			}
			text = w.Num()
		}
		n, err := strconv.Atoi(text)
		if err != nil {
			n = 2 // a fraction, or more than can be counted
		}
		return x.markup(x.form(n, one, many), []any{text})
	}
	return template.HTML(strings.TrimSpace(string(count(turns, "%s turn", "%s turns") + " " + count(divisions, "%s division", "%s divisions")))) //nolint:gosec // our own texts
}

// outcomeWords say what an outcome means in a table.
func outcomeWords(o string) english {
	switch curriculum.Outcome(o) {
	case curriculum.Right:
		return "outcome|right"
	case curriculum.Rounding:
		return "rounded too far"
	case curriculum.FollowThrough:
		return "right from an earlier slip"
	case curriculum.UnitSlip:
		return "unit slip"
	case curriculum.RadiusDiameter:
		return "radius and diameter"
	case curriculum.SignOrHand:
		return "wrong way round"
	case curriculum.WrongRuleUsed:
		return "known mistake"
	case curriculum.Unknown:
		return "not right"
	}
	return english(words(o))
}

// markClass is how a verdict looks.
func markClass(o curriculum.Outcome) string {
	switch {
	case o.Credit():
		return "good"
	case o.Judged():
		return "bad"
	}
	return "ask"
}
