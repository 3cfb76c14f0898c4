package web

import (
	"html/template"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/go-playground/locales"
	"github.com/go-playground/locales/bg"
	"github.com/go-playground/locales/cs"
	"github.com/go-playground/locales/da"
	"github.com/go-playground/locales/de"
	"github.com/go-playground/locales/de_AT"
	"github.com/go-playground/locales/de_CH"
	"github.com/go-playground/locales/el"
	"github.com/go-playground/locales/en_AU"
	"github.com/go-playground/locales/en_CA"
	"github.com/go-playground/locales/en_GB"
	"github.com/go-playground/locales/en_IE"
	"github.com/go-playground/locales/en_IN"
	"github.com/go-playground/locales/en_NZ"
	"github.com/go-playground/locales/en_US"
	"github.com/go-playground/locales/es"
	"github.com/go-playground/locales/es_MX"
	"github.com/go-playground/locales/et"
	"github.com/go-playground/locales/fi"
	"github.com/go-playground/locales/fr"
	"github.com/go-playground/locales/fr_CA"
	"github.com/go-playground/locales/fr_CH"
	"github.com/go-playground/locales/hr"
	"github.com/go-playground/locales/hu"
	"github.com/go-playground/locales/it"
	"github.com/go-playground/locales/ja"
	"github.com/go-playground/locales/ko"
	"github.com/go-playground/locales/lt"
	"github.com/go-playground/locales/lv"
	"github.com/go-playground/locales/nb"
	"github.com/go-playground/locales/nl"
	"github.com/go-playground/locales/pl"
	"github.com/go-playground/locales/pt"
	"github.com/go-playground/locales/pt_PT"
	"github.com/go-playground/locales/ro"
	"github.com/go-playground/locales/ru"
	"github.com/go-playground/locales/sk"
	"github.com/go-playground/locales/sl"
	"github.com/go-playground/locales/sv"
	"github.com/go-playground/locales/tr"
	"github.com/go-playground/locales/uk"
	"github.com/go-playground/locales/zh"
	"golang.org/x/text/language"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// known are the languages whose days and numbers can be written; the first is
// for those that are not among them.
var known = []locales.Translator{
	en_GB.New(), en_US.New(), en_AU.New(), en_CA.New(), en_IE.New(), en_IN.New(), en_NZ.New(),
	bg.New(), cs.New(), da.New(), de.New(), de_AT.New(), de_CH.New(), el.New(), es.New(), es_MX.New(), et.New(), fi.New(), fr.New(), fr_CA.New(), fr_CH.New(),
	hr.New(), hu.New(), it.New(), ja.New(), ko.New(), lt.New(), lv.New(), nb.New(), nl.New(), pl.New(), pt.New(), pt_PT.New(), ro.New(), ru.New(), sk.New(), sl.New(),
	sv.New(), tr.New(), uk.New(), zh.New(),
}

var matcher = func() language.Matcher {
	tags := make([]language.Tag, len(known))
	for i, l := range known {
		tags[i] = language.MustParse(strings.ReplaceAll(l.Locale(), "_", "-"))
	}
	return language.NewMatcher(tags)
}()

// reader is who a page is written for: its texts, how days and numbers are written,
// by the language of the browser, and in which units lengths are shown. What goes into
// an input, and what an exercise says, is written as the answers are read,
// whatever the language: with a decimal point.
type reader struct {
	*texts
	locale locales.Translator
	// point is the decimal mark. Thousands are not set off: 1,250 would be read as
	// one and a quarter by some and as a thousand by others.
	point string
	units curriculum.Units
}

// readerOf reads the language of a request.
func readerOf(r *http.Request, units curriculum.Units) reader {
	_, i := language.MatchStrings(matcher, r.Header.Get("Accept-Language"))
	l := known[i]
	return reader{texts: builtIn.offered[0], locale: l, point: strings.Trim(l.FmtNumber(0.5, 1), "05"), units: units}
}

// figure writes a number with so many decimals, -1 for as many as it has.
func (r reader) figure(f float64, decimals int) string {
	return r.local(strconv.FormatFloat(f, 'f', decimals, 64))
}

// local puts the reader's decimal mark into a number's text.
func (r reader) local(text string) string { return strings.Replace(text, ".", r.point, 1) }

// Number writes a float64, or what a pointer to one holds, with so many decimals;
// -1 writes as many as it has.
func (r reader) Number(decimals int, v any) string {
	switch f := v.(type) {
	case float64:
		return r.figure(f, decimals)
	case *float64:
		if f != nil {
			return r.figure(*f, decimals)
		}
	}
	return ""
}

// Angle writes degrees to a hundredth.
func (r reader) Angle(f float64) string { return r.figure(f, 2) + "°" }

// Percent writes a share of one as a whole percentage.
func (r reader) Percent(v any) string {
	switch f := v.(type) {
	case float64:
		return r.figure(f*100, 0) + "\u00a0%"
	case *float64:
		if f != nil {
			return r.figure(*f*100, 0) + "\u00a0%"
		}
	}
	return ""
}

// Size writes a length of a job in its system, in the reader's units: to 0.001 mm
// or 0.0001 in, with its exact fraction where that is not a short decimal.
func (r reader) Size(d threadmath.Dimension, job threadmath.System) string {
	if d.MM() == 0 {
		return "0"
	}
	first := r.units.First(job)
	text := r.beside(d, first, sizeDecimals)
	if l, exact := d.Exact(); exact {
		if fraction := l.Exact(first); strings.Contains(fraction, "/") && len(fraction) <= 9 {
			return fraction + " = " + text
		}
	}
	return text
}

// Small writes an error or a cost, with a figure more than Size and no fraction.
func (r reader) Small(d threadmath.Dimension, job threadmath.System) string {
	if d.MM() == 0 {
		return r.T("none")
	}
	return r.beside(d, r.units.First(job), func(s threadmath.System) int { return sizeDecimals(s) + 1 })
}

// beside writes a length in a system and, where the reader wants both, in the
// other.
func (r reader) beside(d threadmath.Dimension, first threadmath.System, decimals func(threadmath.System) int) string {
	in := func(s threadmath.System) string { return r.figure(d.Value(s), decimals(s)) + " " + s.String() }
	if !r.units.Both() {
		return in(first)
	}
	return in(first) + " (" + in(first.Other()) + ")"
}

func sizeDecimals(s threadmath.System) int {
	if s == threadmath.Inch {
		return 4
	}
	return 3
}

// short writes a length as a drawing's label, in one system.
func (r reader) short(d threadmath.Dimension, job threadmath.System) string {
	s := r.units.First(job)
	if e, ok := d.Exact(); ok {
		if text := e.Exact(s); len(text) <= 9 {
			return r.local(text)
		}
	}
	return r.figure(d.Value(s), sizeDecimals(s)) + " " + s.String()
}

// Typed writes a length as somebody typed it, and beside it what it comes to in
// the reader's units where they are others.
func (r reader) Typed(text string) string {
	if r.units == curriculum.UnitsOfJob {
		return text
	}
	l, typed, err := threadmath.ParsePitch(text)
	if err != nil || r.units.First(typed) == typed && !r.units.Both() {
		return text
	}
	other := typed.Other()
	return text + " (" + r.figure(threadmath.ExactDimension(l, other).Value(other), sizeDecimals(other)) + " " + other.String() + ")"
}

// Date writes a day; the page's script puts it into the reader's time zone. Nil is
// nothing.
func (r reader) Date(t any) template.HTML {
	var at time.Time
	switch x := t.(type) {
	case time.Time:
		at = x
	case *time.Time:
		if x == nil {
			return ""
		}
		at = *x
	}
	return template.HTML(`<time datetime="` + at.UTC().Format(time.RFC3339) + `">` + template.HTMLEscapeString(r.day(at)) + `</time>`) //nolint:gosec // figures and the library's names of days and months
}

// day writes a day with its weekday.
func (r reader) day(at time.Time) string {
	return r.locale.WeekdayAbbreviated(at.Weekday()) + ", " + r.locale.FmtDateMedium(at)
}

// hour is the hour in a time of day.
var hour = regexp.MustCompile(`^\D*(\d+)`)

// Clock writes a time of day, with twelve hours or twenty-four.
func (r reader) Clock(at time.Time) string {
	text := r.locale.FmtTimeShort(at)
	if noon := r.locale.FmtTimeShort(at.Add(-time.Duration(at.Hour()-13) * time.Hour)); at.Hour() == 0 && !strings.Contains(noon, "13") {
		// The library counts the first hour of twelve as 0.
		i := hour.FindStringSubmatchIndex(text)
		text = text[:i[2]] + "12" + text[i[3]:]
	}
	return text
}

// Moment writes a day and the time on the clock of its zone, which is named.
func (r reader) Moment(at time.Time) string {
	return r.day(at) + ", " + r.Clock(at) + " " + at.Format("MST")
}
