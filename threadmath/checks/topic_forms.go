package checks

import (
	"fmt"
	"math"
	"strings"

	"halfnut/threadmath"
)

// formWords are what the sources call the forms.
var formWords = []struct{ pattern, slug string }{
	{`US standard`, "american-national"},
	{`sharp V`, "sharp-v"},
	{`ISO metric`, "iso-metric"},
	{`Unified`, "unified"},
	{`(?i)whitworth|BSW`, "whitworth"},
	{`(?i)stub acme`, "stub-acme"},
	{`(?i)acme`, "acme"},
	{`(?i)square`, "square"},
	{`(?i)trapezoidal`, "trapezoidal"},
	{`buttress|^S \d`, "buttress-metric"},
	{`^Rd`, "knuckle"},
}

// form returns the form that the text names.
func (in *inputs) form() string {
	for _, w := range formWords {
		if in.has(w.pattern) {
			return w.slug
		}
	}
	in.find(`\b(form that is known)\b`)
	return ""
}

// unit is a thread of the form with a pitch of 1/4 in and 6 in diameter: what
// is proportional to the pitch is read off it.
func unit(slug, side, class string) (d *document, pitch, diameter float64) {
	d = solveThread(threadmath.Thread{Form: slug, Side: side, Diameter: "6 in", Pitch: "1/4 in", Class: class})
	return d, 0.25, 6
}

// readDepthConstant reads the constants k of the 60° forms.
func readDepthConstant(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	slug := in.form()
	if in.err != nil {
		return answer{}, in.err
	}
	if slug == "unified" { // the table's largest minor diameter, 3A having no allowance
		d, p, _ := unit(slug, "external", "3A")
		return d.number((d.length("/limits/major_diameter/max", "in") - d.length("/limits/minor_diameter/max", "in")) / p)
	}
	d, p, diameter := unit(slug, "external", "")
	switch {
	case strings.HasPrefix(r.Quantity, "root diameter = D - k/N"):
		return d.number((diameter - d.length("/minor_diameter", "in")) / p)
	case r.Quantity == "H / P": // the height of the sharp triangle
		d, p, _ = unit("sharp-v", "external", "")
	case strings.Contains(r.Quantity, "internal thread depth"):
		d, p, _ = unit(slug, "internal", "")
	case r.Quantity == "(d - d2) / P":
		return d.number((diameter - d.length("/pitch_diameter", "in")) / p)
	}
	return d.number(d.length("/depth", "in") / p)
}

// readFormConstant reads depths, angles and tool widths of the other forms.
func readFormConstant(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	slug := in.form()
	f, err := threadmath.FormOf(slug)
	if err := firstError(in.err, err); err != nil {
		return answer{}, err
	}
	if in.has(`caliper`) { // the tool's point from a width measured further back
		at, back := in.float(`caliper `+mixed), in.float(`measured `+mixed)
		return number(at - 2*back*math.Tan(f.LoadFlankDeg*math.Pi/180)), in.err
	}
	d, p, _ := unit(slug, "external", "")
	inner, _, _ := unit(slug, "internal", "")
	d.err = firstError(d.err, inner.err)
	switch r.Quantity {
	case "included angle":
		return number(f.LoadFlankDeg + f.ClearanceFlankDeg), nil
	case "flank angles (load / clearance)":
		return text(fmt.Sprintf("%g/%g", f.LoadFlankDeg, f.ClearanceFlankDeg)), nil
	case "depth = P/2 + k; k":
		return d.number(d.length("/depth", "in") - p/2)
	case "tool width / P":
		return d.number(d.length("/tool/nose", "in") / p)
	case "basic height / P": // depth less the root clearance is the engagement
		return d.number((d.length("/major_diameter", "in") - d.length("/pitch_diameter", "in")) / p)
	case "H / p": // the crest is rounded off at H/6 at both ends
		return d.number(d.length("/depth", "in") / p * 3 / 2)
	case "H1 / P":
		return d.number(inner.length("/depth", "in") / p)
	case "ac / P":
		return d.number((d.length("/depth", "in") - inner.length("/depth", "in")) / p)
	case "R / P":
		return d.number(d.length("/tool/nose_radius", "in") / p)
	case "thread depth / P", "depth / p", "depth = k/N; k":
		return d.number(d.length("/depth", "in") / p)
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// readWorked60 reads the worked example of an American National thread.
func readWorked60(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if in.has(`machine screw`) {
		d := solveThread(threadmath.Thread{Designation: in.find(`#(\d+)`) + "-32 UNF"})
		d.err = firstError(in.err, d.err)
		return d.number(d.length("/major_diameter", "in"))
	}
	thread := threadmath.Thread{
		Form: "american-national", Diameter: in.find(`^(\S+)-\d+`) + " in", Pitch: in.find(`-(\d+)`) + " tpi", Starts: in.starts(),
	}
	d := solveThread(thread)
	thread.Form = "sharp-v"
	sharp := solveThread(thread)
	d.err = firstError(in.err, d.err, sharp.err)
	pitchDiameter := d.length("/pitch_diameter", "in")
	switch r.Quantity {
	case "flat P/8":
		return d.number(d.length("/tool/nose", "in"))
	case "pitch diameter":
		return d.number(pitchDiameter)
	case "vertex diameter": // where the flanks of the groove meet
		return d.number(pitchDiameter - sharp.length("/depth", "in"))
	case "best wire":
		return d.number(d.length("/wires/best", "in"))
	case "pitch circumference":
		return d.number(math.Pi * pitchDiameter)
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// readISOBasic reads basic diameters and the stress area π/4·((d2 + d3)/2)².
func readISOBasic(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	d := solveThread(threadmath.Thread{Designation: in.find(`^(M\d+)`)})
	d.err = firstError(in.err, d.err)
	d2, d3 := d.length("/pitch_diameter", "mm"), d.length("/minor_diameter", "mm")
	switch r.Quantity {
	case "pitch diameter d2":
		return d.number(d2)
	case "minor diameter d3":
		return d.number(d3)
	case "stress area":
		return d.number(math.Pi / 16 * (d2 + d3) * (d2 + d3))
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// readUnifiedBasic reads basic diameters and the tensile stress area, over the
// mean of pitch diameter and 3/4 H minor diameter (American National's).
func readUnifiedBasic(r Row) (answer, error) {
	d := solveThread(threadmath.Thread{Designation: r.Inputs})
	inner := solveThread(threadmath.Thread{Designation: r.Inputs, Side: "internal"})
	d.err = firstError(d.err, inner.err)
	switch {
	case r.Quantity == "pitch diameter":
		return d.number(d.length("/pitch_diameter", "in"))
	case strings.HasPrefix(r.Quantity, "internal minor diameter"):
		return d.number(inner.length("/minor_diameter", "in"))
	case r.Quantity == "tensile stress area":
		major, d2 := d.length("/major_diameter", "in"), d.length("/pitch_diameter", "in")
		mean := (d2 + major - 2*(major-d2)) / 2
		return d.number(math.Pi / 4 * mean * mean)
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// readISOPitches reads the coarse pitch of a size.
func readISOPitches(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	d := solveThread(threadmath.Thread{Designation: in.find(`^(M\d+) coarse`)})
	d.err = firstError(in.err, d.err)
	return d.number(d.length("/pitch", "mm"))
}

// readTrapezoidalBasic reads the basic diameters of ISO 2904.
func readTrapezoidalBasic(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	thread := threadmath.Thread{Form: "trapezoidal", Diameter: in.find(`Tr (\d+)`) + " mm", Pitch: in.find(`x ([\d.]+)`) + " mm"}
	pointer := "/pitch_diameter"
	switch r.Quantity {
	case "D4":
		thread.Side, pointer = "internal", "/major_diameter"
	case "d3":
		pointer = "/minor_diameter"
	case "D1":
		thread.Side, pointer = "internal", "/minor_diameter"
	}
	d := solveThread(thread)
	d.err = firstError(in.err, d.err)
	return d.number(d.length(pointer, "mm"))
}

// readTrapezoidalForm holds the proportions of the form, which the rows give as
// formulas, at several pitches, and the clearance a_c at the pitches named.
func readTrapezoidalForm(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	pitches := []float64{2, 4, 7, 12, 18, 44}
	switch {
	case in.has(` to `):
		pitches = []float64{in.float(`pitch ` + mixed), in.float(`to ` + mixed)}
	case in.has(`pitch \d`):
		pitches = []float64{in.float(`pitch ` + mixed)}
	}
	if in.err != nil {
		return answer{}, in.err
	}
	clearance := 0.0
	for _, p := range pitches {
		thread := threadmath.Thread{Form: "trapezoidal", Diameter: "300 mm", Pitch: fmt.Sprintf("%g mm", p)}
		d := solveThread(thread)
		thread.Side = "internal"
		inner := solveThread(thread)
		d.err = firstError(d.err, inner.err)
		ac := (inner.length("/major_diameter", "mm") - 300) / 2
		if clearance != 0 && in.has(` to `) && ac != clearance {
			return text(fmt.Sprintf("%g at one end, %g at the other", clearance, ac)), nil
		}
		clearance = ac
		if r.Unit != "formula" { // the clearance itself
			continue
		}
		got := map[string]float64{
			"H1": inner.length("/depth", "mm") - ac, "d2 = D2": d.length("/pitch_diameter", "mm"),
			"D4": inner.length("/major_diameter", "mm"), "D1": inner.length("/minor_diameter", "mm"),
		}
		v, ok := got[r.Quantity]
		want, err := evaluate(r.Value, map[string]float64{"P": p, "d": 300, "ac": ac})
		switch {
		case d.err != nil:
			return answer{}, d.err
		case err != nil:
			return answer{}, err
		case !ok:
			return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
		case math.Abs(v-want) > 1e-6:
			return text(fmt.Sprintf("%g at pitch %g, %g by the formula", v, p, want)), nil
		}
	}
	if r.Unit == "formula" {
		return text(r.Value), nil
	}
	return number(clearance), nil
}

// readInchSize reads the diameters of BSW sizes.
func readInchSize(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	d := solveThread(threadmath.Thread{
		Form: in.form(), Diameter: inch(in.ratio(`BSW ` + mixed + ` in`)), Pitch: perInch(in.ratio(mixed + ` threads/in`)),
	})
	d.err = firstError(in.err, d.err)
	pointer := "/minor_diameter"
	if r.Quantity == "effective diameter" {
		pointer = "/pitch_diameter"
	}
	return d.number(d.length(pointer, "in"))
}

// readKnuckle reads pitch diameters of DIN 405, metric diameters with inch
// pitches, and the form's constants.
func readKnuckle(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if !in.has(`^Rd \d`) {
		return readFormConstant(r)
	}
	d := solveThread(threadmath.Thread{Form: "knuckle", Diameter: in.find(`^Rd (\d+)`) + " mm", Pitch: inch(in.ratio(`x ` + mixed + ` in`))})
	d.err = firstError(in.err, d.err)
	return d.number(d.length("/pitch_diameter", "mm"))
}

// readButtress reads the metric buttress thread.
func readButtress(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if !in.has(`^S \d`) {
		return readFormConstant(r)
	}
	thread := threadmath.Thread{Form: "buttress-metric", Diameter: in.find(`^S (\d+)`) + " mm", Pitch: in.find(`x (\d+)`) + " mm"}
	pointer := "/pitch_diameter"
	switch {
	case strings.HasPrefix(r.Quantity, "D1"):
		thread.Side, pointer = "internal", "/minor_diameter"
	case strings.HasPrefix(r.Quantity, "d3"):
		pointer = "/minor_diameter"
	}
	d := solveThread(thread)
	d.err = firstError(in.err, d.err)
	return d.number(d.length(pointer, "mm"))
}
