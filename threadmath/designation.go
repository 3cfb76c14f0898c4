package threadmath

import (
	"strconv"
	"strings"
)

// Designation is what a thread's name on a drawing says.
type Designation struct {
	// Form is the slug of the form.
	Form string
	// Series is the inch series as written ("UNC", "ACME"), empty for metric
	// forms.
	Series          string
	Diameter, Pitch Length
	Starts          int
	Left            bool
	// Class is the tolerance class, empty where none is named; Side is
	// "external" or "internal" where the class tells, else empty.
	Class, Side string
}

// Lead returns Starts times Pitch.
func (d Designation) Lead() Length { return d.Pitch.Times(d.Starts) }

// maxDesignation bounds the work of reading, bytes.
const maxDesignation = 60

const designationForms = "M24x1.5, M24xPh6P2, Tr 40x14(P7)LH-7e, S 48x8, Rd 40x1/6, 1/4-20 UNC-2A, 5/8-10 ACME, 1-10 UN 3 START, 1/2-12 BSW and the like"

// metricForms are the prefixes of metric designations: ISO 965-1, ISO 2904,
// DIN 513 and DIN 405.
var metricForms = []struct{ prefix, form string }{
	{"M", "iso-metric"}, {"Tr", "trapezoidal"}, {"S", "buttress-metric"}, {"Rd", "knuckle"},
}

// inchSeries are the series names of inch designations. A listed one fixes the
// pitch of a diameter, the others do not. Those of the American National form
// are the Unified ones of their time, 1-14 NF excepted (NBS Handbook H28, from
// memory); BUTT is of ASME B1.9, STUB ACME of ASME B1.8, WHIT of BS 84, all
// three from memory.
var inchSeries = []struct {
	name, form string
	listed     string // the series that fixes the pitch
}{
	{"UNC", "unified", "UNC"}, {"UNF", "unified", "UNF"}, {"UNEF", "unified", "UNEF"}, {"UN", "unified", ""}, {"UNS", "unified", ""},
	{"NC", "american-national", "UNC"}, {"NF", "american-national", "UNF"}, {"NS", "american-national", ""},
	{"ACME", "acme", ""}, {"STUB ACME", "stub-acme", ""}, {"BUTT", "buttress-inch", ""},
	{"BSW", "whitworth", "BSW"}, {"BSF", "whitworth", "BSF"}, {"WHIT", "whitworth", ""},
}

// listedSeries returns the series of allSeries that fixes the pitches of an
// inch series, empty where none does.
func listedSeries(name string) string {
	for _, s := range inchSeries {
		if s.name == name {
			return s.listed
		}
	}
	return ""
}

// system is the unit system that the pitch is written in.
func (d Designation) system() System {
	if d.Series != "" || d.Form == "knuckle" && Inches(Int(1)).Quo(d.Pitch).IsInt() {
		return Inch
	}
	return Metric
}

// String writes the designation as ParseDesignation reads it. A form without
// one, and a size that its notation cannot write exactly, give empty text.
func (d Designation) String() string {
	for _, m := range metricForms {
		if m.form == d.Form {
			return d.metricText(m.prefix)
		}
	}
	if d.Series == "" {
		d.Series = seriesOf(d)
	}
	if d.Series == "" {
		return ""
	}
	return d.inchText()
}

func (d Designation) metricText(prefix string) string {
	diameter, pitch, lead := decimalText(d.Diameter.In(Metric)), d.pitchText(d.Pitch), d.pitchText(d.Lead())
	if diameter == "" || pitch == "" || lead == "" {
		return ""
	}
	class := ""
	if d.Class != "" {
		class = "-" + d.Class
	}
	if d.Form != "iso-metric" {
		out := prefix + " " + diameter + "x" + lead
		if d.Starts > 1 {
			out += "(P" + pitch + ")"
		}
		if d.Left {
			out += "LH"
		}
		return out + class
	}
	out := prefix + diameter
	switch {
	case d.Starts > 1:
		out += "xPh" + lead + "P" + pitch
	case !inSeries("M coarse", d.Diameter, d.Pitch):
		out += "x" + pitch
	}
	out += class
	if d.Left {
		out += "-LH"
	}
	return out
}

// pitchText writes a pitch or lead in mm, and that of a knuckle thread in parts
// of an inch where the pitch is a whole part of one (DIN 405) or no decimal.
func (d Designation) pitchText(l Length) string {
	mm := decimalText(l.In(Metric))
	if d.Form == "knuckle" && (mm == "" || Inches(Int(1)).Quo(d.Pitch).IsInt()) {
		in := l.In(Inch)
		return in.Num() + "/" + in.Den()
	}
	return mm
}

func (d Designation) inchText() string {
	perInch := Inches(Int(1)).Quo(d.Pitch)
	if perInch.Cmp(Int(1)) < 0 {
		return ""
	}
	out := d.inchSize(perInch) + "-"
	if text := decimalText(perInch); text != "" {
		out += text
	} else {
		out += perInch.String()
	}
	out += " " + d.Series
	if d.Class != "" {
		out += "-" + d.Class
	}
	if d.Starts > 1 {
		out += " " + strconv.Itoa(d.Starts) + " START"
	}
	if d.Left {
		out += "-LH"
	}
	return out
}

// inchSize writes the diameter: a screw number where a series lists it, a
// fraction down to 64ths, else a decimal. A whole inch that would read as a
// screw number gets a point.
func (d Designation) inchSize(perInch Ratio) string {
	screws := d.Form == "unified" || d.Form == "american-national"
	if screws {
		if number := d.screw(); number != "" {
			return number
		}
	}
	in := d.Diameter.In(Inch)
	if n, whole := in.Int64(); whole {
		text := in.String()
		if screws && n <= 12 && (perInch.Cmp(Int(32)) > 0 || d.matches(screwDiameter(in), listedSeries(d.Series))) {
			text += ".0"
		}
		return text
	}
	if in.Mul(Int(64)).IsInt() {
		whole := in.Floor()
		if whole.Sign() == 0 {
			return in.String()
		}
		return whole.String() + "-" + in.Sub(whole).String()
	}
	if text := decimalText(in); text != "" {
		return text
	}
	return in.String()
}

// screw returns the screw number under which a series lists the size.
func (d Designation) screw() string {
	names := []string{listedSeries(d.Series)}
	if names[0] == "" {
		names = []string{"UNC", "UNF", "UNEF"}
	}
	for _, name := range names {
		for _, s := range sizesOf(name) {
			if s.Screw != "" && s.Diameter.Equal(d.Diameter) && s.Pitch.Equal(d.Pitch) {
				return s.Screw
			}
		}
	}
	return ""
}

// decimalText writes r as a decimal, empty where it has no end within 40 places.
func decimalText(r Ratio) string {
	if r.IsInt() {
		return r.String()
	}
	for _, places := range []int{6, 40} {
		if text, exact := r.Decimal(places); exact {
			return strings.TrimRight(text, "0")
		}
	}
	return ""
}

// seriesOf names the series that an inch thread is written with.
func seriesOf(d Designation) string {
	switch d.Form {
	case "unified":
		return unifiedSeriesOf(d.Diameter, d.Pitch, d.Starts)
	case "american-national":
		d.Series = "NF"
		switch {
		case inSeries("UNC", d.Diameter, d.Pitch):
			return "NC"
		case inSeries("UNF", d.Diameter, d.Pitch), d.oldFine():
			return "NF"
		}
		return "NS"
	case "whitworth":
		for _, name := range []string{"BSW", "BSF"} {
			if inSeries(name, d.Diameter, d.Pitch) {
				return name
			}
		}
		return "WHIT"
	}
	for _, s := range inchSeries {
		if s.form == d.Form {
			return s.name
		}
	}
	return ""
}

// designationOf writes the designation of a job whose form and diameter are known.
func (j *job) designationOf() string {
	if j.form == nil || j.diameter == nil {
		return ""
	}
	return Designation{
		Form: j.form.Slug, Series: j.series, Diameter: *j.diameter, Pitch: j.pitch, Starts: j.starts, Left: j.left, Class: j.class,
	}.String()
}
