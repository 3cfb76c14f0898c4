package web

import (
	"bytes"
	"fmt"
	"html/template"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"halfnut/curriculum"
	"halfnut/threadmath"
	"halfnut/worksheets"
)

// functions are what the templates may call.
var functions = template.FuncMap{
	"code":     worksheets.CodeText,
	"add":      func(a, b int) int { return a + b },
	"drawing":  drawing,
	"note":     worksheets.DrawingNote,
	"sentence": sentence,
	"number":   number,
	"letter":   func(i int) string { return string(rune('A' + i)) },
	"words":    func(s string) string { return strings.ReplaceAll(s, "-", " ") },
	"has": func(list []string, s string) bool {
		for _, x := range list {
			if x == s {
				return true
			}
		}
		return false
	},
	"is":      func(b *bool) bool { return b != nil && *b },
	"skill":   skillTitle,
	"list":    func(words ...string) []string { return words },
	"counted": counted,
	"anchor":  func(s string) string { return strings.ReplaceAll(strings.ToLower(s), " ", "-") },
	"grouped": grouped,
	"look":    look,
	"said":    said,
	"why":     whyWords,
	"dialled": dialled,
	"title":   capital,
	"pair":    func(a, b any) map[string]any { return map[string]any{"A": a, "B": b} },
	"row": func(name string, l *threadmath.LimitOfSize, v view) map[string]any {
		return map[string]any{"Name": name, "Limit": l, "View": v}
	},
	"neg":     func(n int) int { return -n },
	"clock":   clock,
	"methods": func() []string { return indexingMethods },
	"outcome": outcomeWords,
	"mark":    markClass,
}

// drawing is the drawing of an exercise as an SVG element; none where there is
// none or it cannot be made.
func drawing(e curriculum.Exercise) template.HTML {
	g, ok, err := worksheets.ExerciseDrawing(e, 70, 9)
	if err != nil || !ok {
		return ""
	}
	return svg(g)
}

func svg(g worksheets.Group) template.HTML {
	var b bytes.Buffer
	if err := worksheets.SVG(&b, g, worksheets.Standard); err != nil {
		return ""
	}
	return template.HTML(b.String()) //nolint:gosec // our own writer, which escapes all text
}

// skillTitle is what a skill is called; the slug of one that the catalogue has no
// more.
func skillTitle(slug string) string {
	if s, err := curriculum.SkillOf(slug); err == nil {
		return s.Title
	}
	return strings.ReplaceAll(slug, "-", " ")
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
func whyWords(why string) string {
	switch why {
	case curriculum.WhyNew:
		return "next"
	case curriculum.WhyDue:
		return "due again"
	case curriculum.WhyWeak:
		return "what the next one builds on"
	}
	return why
}

// wholeIn reads a whole number of a form.
func wholeIn(path, text string) (int, error) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return 0, &curriculum.FieldError{Path: path, Value: text, Reason: "not a whole number", Allowed: "figures alone, such as 6"}
	}
	return n, nil
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
func dialled(turns, divisions any) string {
	count := func(v any, unit string) string {
		text := fmt.Sprint(v)
		if w, ok := v.(*threadmath.Whole); ok {
			if w == nil {
				return ""
			}
			text = w.Num()
		}
		if text == "1" {
			return "1 " + unit
		}
		return text + " " + unit + "s"
	}
	return strings.TrimSpace(count(turns, "turn") + " " + count(divisions, "division"))
}

// outcomeWords say what an outcome means in a table.
func outcomeWords(o string) string {
	switch curriculum.Outcome(o) {
	case curriculum.Right:
		return "right"
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
	return strings.ReplaceAll(o, "-", " ")
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
