package web

import (
	"bytes"
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
	"size":     size,
	"sentence": sentence,
	"angle":    func(f float64) string { return strconv.FormatFloat(f, 'f', 2, 64) + "°" },
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

// size writes a length in both unit systems, the one asked for first, with its
// exact fraction where that is not a short decimal.
func size(d threadmath.Dimension, first threadmath.System) string {
	decimal := func(s threadmath.System) string {
		decimals := 3
		if s == threadmath.Inch {
			decimals = 4
		}
		return strconv.FormatFloat(d.Value(s), 'f', decimals, 64) + " " + s.String()
	}
	other := threadmath.Inch
	if first == threadmath.Inch {
		other = threadmath.Metric
	}
	text := decimal(first) + " (" + decimal(other) + ")"
	if l, exact := d.Exact(); exact {
		if fraction := l.Exact(first); strings.Contains(fraction, "/") && len(fraction) <= 9 {
			return fraction + " = " + text
		}
	}
	return text
}

// number writes a float64, or what a pointer to one holds, with so many decimals.
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

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return ""
	}
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + strings.TrimSuffix(s[n:], ".") + "."
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
