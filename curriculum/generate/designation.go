package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// The forms whose designations are read.
var (
	metricForms = []string{"iso-metric", "trapezoidal"}
	inchForms   = []string{"unified", "acme"}
)

var designationModels = []*model{
	{skill: "designation", name: "lead-named", version: 1, weight: 1, serve: serveNominals(threadmath.Metric, metricForms...), draw: designationMetric},
	{skill: "designation", name: "starts-named", version: 1, weight: 1, serve: serveNominals(threadmath.Inch, inchForms...), draw: designationInch},
}

// serveNominals serves a notation that belongs to one unit system, where the
// lathe cuts at least two starts of some size.
func serveNominals(system threadmath.System, forms ...string) func(*machine, threadmath.System) string {
	return func(m *machine, units threadmath.System) string {
		if units != system {
			return "this notation is not written in " + units.String()
		}
		for _, form := range forms {
			if slices.ContainsFunc(nominals[form], func(size nominal) bool { return m.fits(size, 2) }) {
				return ""
			}
		}
		return "no several-start size of the series that this leadscrew would cut"
	}
}

// nominal is a diameter with its pitch, as a series lists it.
type nominal struct {
	text  string // of the diameter, as designations write it
	pitch threadmath.Length
	// steepest is the longest lead that is asked of it: two fifths of the
	// diameter, which keeps core and lead angle such as drawings show.
	steepest threadmath.Length
}

// nominals are sizes that a small shop meets with several starts, from
// threadmath's own series: ISO 262, ISO 2904, ASME B1.1 and B1.5.
var nominals = map[string][]nominal{
	"iso-metric":  seriesNominals(threadmath.Metric, "12", "64", "M coarse", "M fine"),
	"trapezoidal": seriesNominals(threadmath.Metric, "12", "80", "Tr"),
	"acme":        seriesNominals(threadmath.Inch, "1/2", "3", "ACME"),
	"unified":     seriesNominals(threadmath.Inch, "1/2", "3", "UNC", "UNF"),
}

// seriesNominals takes from the series the sizes from least to greatest whose
// threads per inch, where they are in inches, are whole.
func seriesNominals(system threadmath.System, least, greatest string, names ...string) []nominal {
	low, high := threadmath.LengthIn(mustRatio(least), system), threadmath.LengthIn(mustRatio(greatest), system)
	var out []nominal
	for _, s := range threadmath.AllSeries() {
		if !slices.Contains(names, s.Name) {
			continue
		}
		for _, size := range s.Sizes {
			whole := system == threadmath.Metric || threadmath.Inches(threadmath.Int(1)).Quo(size.Pitch).IsInt()
			if whole && size.Diameter.Cmp(low) >= 0 && size.Diameter.Cmp(high) <= 0 {
				out = append(out, nominal{sizeText(size.Diameter.In(system)), size.Pitch, size.Diameter.Mul(mustRatio("2/5"))})
			}
		}
	}
	return out
}

// sizeText writes a diameter as designations do: "24", "1-1/8".
func sizeText(r threadmath.Ratio) string {
	whole := r.Floor()
	part := r.Sub(whole)
	switch {
	case part.Sign() == 0:
		return whole.String()
	case whole.Sign() == 0:
		return part.String()
	}
	return whole.String() + "-" + part.String()
}

func mustRatio(text string) threadmath.Ratio {
	r, err := threadmath.ParseRatio(text)
	if err != nil {
		panic(err)
	}
	return r
}

// fits reports whether a thread of n starts on this size is such as drawings
// show and this lathe cuts.
func (m *machine) fits(size nominal, n int) bool {
	lead := size.pitch.Times(n)
	return lead.Cmp(size.steepest) <= 0 && m.cuts(lead)
}

// nominal draws starts, form and size of a thread that a designation names.
func (d *draw) nominal(forms ...string) (n int, form string, size nominal, err error) {
	serve := func(form string, n int) bool {
		return slices.ContainsFunc(nominals[form], func(size nominal) bool { return d.machine.fits(size, n) })
	}
	n, err = d.starts(startsThat(func(n int) bool {
		return slices.ContainsFunc(forms, func(form string) bool { return serve(form, n) })
	}))
	if err != nil {
		return
	}
	fitting := slices.DeleteFunc(slices.Clone(forms), func(form string) bool { return !serve(form, n) })
	if form, err = d.radical("form", even(fitting...)); err != nil {
		return
	}
	size = oneOf(d, slices.DeleteFunc(slices.Clone(nominals[form]), func(size nominal) bool { return !d.machine.fits(size, n) }))
	return
}

// readBack reads a designation that a model wrote and checks that it says what
// was meant.
func readBack(text string, pitch threadmath.Length, starts int) error {
	got, err := threadmath.ParseDesignation(text)
	if err != nil {
		return reject("%v", err)
	}
	if !got.Pitch.Equal(pitch) || got.Starts != starts {
		return fmt.Errorf("%s is read as %d starts of %s", text, got.Starts, got.Pitch.Exact(threadmath.Metric))
	}
	return nil
}

// designationMetric writes lead and pitch as ISO 965-1 and ISO 2904 do.
func designationMetric(d *draw) (*item, error) {
	n, form, size, err := d.nominal(metricForms...)
	if err != nil {
		return nil, err
	}
	pitch, lead := millimetres(size.pitch), millimetres(size.pitch.Times(n))
	text := fmt.Sprintf("M%sxPh%sP%s", size.text, lead, pitch)
	if form == "trapezoidal" {
		text = fmt.Sprintf("Tr %sx%s P%s", size.text, lead, pitch)
	}
	if err := readBack(text, size.pitch, n); err != nil {
		return nil, err
	}
	it := d.item("A drawing names a thread " + text + ".")
	it.given("thread", "designation", text)
	it.solve(threadmath.Request{Thread: threadmath.Thread{Designation: text}})
	after := "The number after x is the lead."
	if form == "iso-metric" {
		after = "The number after Ph is the lead."
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "What is its lead?", Unit: curriculum.UnitMM, Decimals: 2, At: "/lead",
		Steps: []curriculum.Step{{Name: "L", Say: after, Rule: lead, Unit: curriculum.UnitMM}},
		Wrong: []curriculum.WrongRule{mistakeWith("designation", "pitch-as-lead", pitch, nil), mistakeWith("designation", "diameter-as-lead", size.text, nil)},
	})
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: "What is its pitch?", Unit: curriculum.UnitMM, Decimals: 2, At: "/pitch",
		Steps: []curriculum.Step{{Name: "P", Say: "P names the pitch.", Rule: pitch, Unit: curriculum.UnitMM}},
		Wrong: mistakes("designation", "lead-as-pitch"),
	})
	it.part(curriculum.Part{
		ID: "c", Kind: curriculum.KindCount, Ask: "How many starts has it?",
		Steps: []curriculum.Step{{Name: "n", Say: "The number of starts is the lead divided by the pitch.", Rule: "a/b"}},
		Wrong: mistakes("designation", "starts-as-pitch"),
	})
	return it, nil
}

func millimetres(l threadmath.Length) string {
	text, _ := l.In(threadmath.Metric).Decimal(4)
	return trimZeros(text)
}

// designationInch writes several starts as the trade does; that writing is from
// memory (see threadmath.ParseDesignation).
func designationInch(d *draw) (*item, error) {
	n, form, size, err := d.nominal(inchForms...)
	if err != nil {
		return nil, err
	}
	perInch := threadmath.Inches(threadmath.Int(1)).Quo(size.pitch).String()
	series := map[string]string{"unified": "UN", "acme": "ACME"}[form]
	text := fmt.Sprintf("%s-%s %s %d START", size.text, perInch, series, n)
	if err := readBack(text, size.pitch, n); err != nil {
		return nil, err
	}
	it := d.item("A drawing names a thread " + text + ".")
	it.given("thread", "designation", text)
	it.solve(threadmath.Request{Thread: threadmath.Thread{Designation: text}})
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "What is its pitch?", Unit: curriculum.UnitInch, Decimals: 3, At: "/pitch",
		Steps: []curriculum.Step{
			{Name: "N", Say: "The number after the size counts threads per inch.", Rule: perInch, Unit: curriculum.UnitPerInch},
			{Name: "P", Say: "The pitch is one inch divided by the threads per inch.", Rule: "1/N", Unit: curriculum.UnitInch},
		},
		Wrong: []curriculum.WrongRule{
			mistakeWith("designation", "threads-as-lead", fmt.Sprintf("1/(%d*N)", n), nil),
			mistakeWith("designation", "threads-as-pitch", "N", nil),
		},
	})
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: "What is its lead?", Unit: curriculum.UnitInch, Decimals: 3, At: "/lead",
		Steps: []curriculum.Step{
			{Name: "n", Say: "The number before START counts the starts.", Rule: itoa(n)},
			{Name: "L", Say: "The lead is the number of starts times the pitch.", Rule: "n*a", Unit: curriculum.UnitInch},
		},
		Wrong: mistakes("designation", "one-groove", "shared"),
	})
	it.part(curriculum.Part{
		ID: "c", Kind: curriculum.KindRatio, Ask: "How many turns make an inch of travel?", Unit: curriculum.UnitPerInch, Decimals: 2, At: "/turns_per_inch",
		Steps: []curriculum.Step{{Name: "T", Say: "Divide the threads per inch by the starts.", Rule: "N/n", Unit: curriculum.UnitPerInch}},
		Wrong: []curriculum.WrongRule{
			mistakeWith("designation", "turns-as-threads", "N", nil),
			mistakeWith("designation", "turns-multiplied", "N*n", nil),
		},
	})
	return it, nil
}
