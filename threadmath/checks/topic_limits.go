package checks

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"halfnut/threadmath"
)

// limitPointer turns "pitch diameter max" into the answer's pointer.
func limitPointer(quantity string) string {
	q := strings.NewReplacer("major diameter", "major_diameter", "pitch diameter", "pitch_diameter", "minor diameter", "minor_diameter").Replace(quantity)
	return "/limits/" + strings.ReplaceAll(q, " ", "/")
}

// readISO965 reads "M10x1.25 6H: pitch diameter max".
func readISO965(r Row) (answer, error) {
	name, class, _ := strings.Cut(r.Inputs, " ")
	d := solveThread(threadmath.Thread{Designation: name, Class: class, Side: sideOf(class)})
	return d.number(d.length(limitPointer(r.Quantity), "mm"))
}

// sideOf tells the side from a class: capital letters are internal, B is.
func sideOf(class string) string {
	if strings.ContainsAny(class, "GHB") {
		return "internal"
	}
	return "external"
}

// metric is an ISO metric thread of a class.
func metric(diameter, pitch float64, class string) *document {
	return solveThread(threadmath.Thread{
		Form: "iso-metric", Side: sideOf(class), Class: class,
		Diameter: fmt.Sprintf("%.6f mm", diameter), Pitch: fmt.Sprintf("%.6f mm", pitch),
	})
}

// isoDiameters are sizes to look a pitch up at, one in each of the standard's
// steps of diameter.
var isoDiameters = []float64{1.2, 2, 4, 8, 16, 30, 64, 120, 250}

// metricOfPitch solves the smallest of isoDiameters that the standard gives the
// pitch for.
func metricOfPitch(pitch float64, class string) (d *document, diameter float64) {
	for _, diameter = range isoDiameters {
		if diameter < 2*pitch {
			continue
		}
		d = metric(diameter, pitch, class)
		if d.err == nil {
			if l, _ := d.at("/limits").(map[string]any); l["pitch_diameter"] != nil {
				return d, diameter
			}
		}
	}
	d.fail("no limits for pitch %g", pitch)
	return d, diameter
}

// width returns the tolerance of a diameter, µm.
func (d *document) width(name string) float64 {
	return 1000 * (d.length("/limits/"+name+"/max", "mm") - d.length("/limits/"+name+"/min", "mm"))
}

// readISO965Tolerance reads the standard's own tables: a deviation by pitch, a
// tolerance by pitch, by pitch and step of diameters, or of a size.
func readISO965Tolerance(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	micrometres := func(d *document, f float64) (answer, error) { return d.number(math.Round(f*1e4) / 1e4) }
	switch {
	case in.has(`position g`):
		p := in.float(`pitch ` + mixed + ` mm`)
		inner, diameter := metricOfPitch(p, "6G")
		outer, same := metricOfPitch(p, "6g")
		below := 1000 * (same - outer.length("/limits/major_diameter/max", "mm"))
		above := 1000 * (inner.length("/limits/major_diameter/min", "mm") - diameter)
		if outer.err == nil && math.Abs(above-below) > 1e-6 {
			return answer{}, fmt.Errorf("es %g and EI %g differ", below, above)
		}
		inner.err = firstError(in.err, inner.err, outer.err)
		return micrometres(inner, above)
	case r.Quantity == "TD1":
		d, _ := metricOfPitch(in.float(`pitch `+mixed+` mm`), "6H")
		return micrometres(d, d.width("minor_diameter"))
	case r.Quantity == "TD2":
		p, low, high := in.float(`pitch `+mixed+` mm`), in.float(`over `+mixed), in.float(`to `+mixed+` mm`)
		least, greatest := metric(low+0.001, p, "6H"), metric(high, p, "6H")
		change := least.width("pitch_diameter") - greatest.width("pitch_diameter")
		greatest.err = firstError(in.err, least.err, greatest.err)
		if greatest.err == nil && math.Abs(change) > 1e-3 {
			return answer{}, fmt.Errorf("the tolerance changes between %g and %g mm", low, high)
		}
		return micrometres(greatest, greatest.width("pitch_diameter"))
	}
	d := solveThread(threadmath.Thread{Designation: in.find(`^(M\d+)`), Class: "6g"})
	if in.err != nil {
		return answer{}, in.err
	}
	name := "pitch_diameter"
	if strings.HasPrefix(r.Quantity, "Td ") {
		name = "major_diameter"
	}
	return micrometres(d, d.width(name))
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// readISO965Formula holds a formula of the standard against the tables: the
// tables are R40 numbers, so the two may differ by a step of the series, 6 %,
// and half a step of rounding. It answers with the formula where that holds.
func readISO965Formula(r Row) (answer, error) {
	if strings.HasPrefix(r.Quantity, "grade ratios") {
		return gradeRatios(r)
	}
	formula := regexp.MustCompile(` um.*$`).ReplaceAllString(r.Value, "")
	for _, p := range []float64{0.5, 0.6, 0.7, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6, 8} {
		class, name, deviation := "6g", "", ""
		switch {
		case strings.HasPrefix(r.Quantity, "es, position "):
			deviation = strings.TrimPrefix(r.Quantity, "es, position ")
			class = "6" + deviation
		case strings.HasPrefix(r.Quantity, "Td2"):
			name = "pitch_diameter"
		case strings.HasPrefix(r.Quantity, "TD1"):
			if p > 0.8 {
				continue
			}
			class, name = "6H", "minor_diameter"
		default:
			name = "major_diameter"
		}
		d, diameter := metricOfPitch(p, class)
		want, err := evaluate(formula, map[string]float64{"P": p, "d": middleOfStep(diameter)})
		if err := firstError(err, d.err); err != nil {
			return answer{}, err
		}
		if deviation != "" {
			got := 1000 * (d.length("/limits/major_diameter/max", "mm") - diameter)
			if math.Abs(got-want) > 6 { // es(e) of P 0.5: 50 in the table
				return text(fmt.Sprintf("%.0f µm in the table at pitch %g, %.1f by the formula", got, p, want)), nil
			}
			continue
		}
		if got := d.width(name); math.Abs(got/want-1) > 0.075 {
			return text(fmt.Sprintf("%.0f µm in the table at pitch %g, %.1f by the formula", got, p, want)), nil
		}
	}
	return text(r.Value), nil
}

// middleOfStep returns the geometric mean of the standard's step of diameters.
func middleOfStep(d float64) float64 {
	ends := []float64{0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45, 90, 180, 355}
	for i := 1; i < len(ends); i++ {
		if d <= ends[i] {
			return math.Sqrt(ends[i-1] * ends[i])
		}
	}
	return d
}

// gradeRatios compares Td2 of the grades with grade 6, within the rounding of
// R40 numbers.
func gradeRatios(r Row) (answer, error) {
	want := strings.Split(r.Value, ", ")
	got := make([]string, len(want))
	six := metric(16, 2, "6g")
	for i, w := range want {
		d := metric(16, 2, fmt.Sprintf("%dg6g", i+3))
		if err := firstError(six.err, d.err); err != nil {
			return answer{}, err
		}
		ratio := d.width("pitch_diameter") / six.width("pitch_diameter")
		got[i] = fmt.Sprintf("%.3g", ratio)
		if f, err := evaluate(w, nil); err == nil && math.Abs(ratio/f-1) < 0.03 {
			got[i] = w
		}
	}
	return text(strings.Join(got, ", ")), nil
}

// readUnified reads "5/8-11 UNC 3A: pitch diameter min" and allowances.
func readUnified(r Row) (answer, error) {
	cut := strings.LastIndex(r.Inputs, " ")
	class := r.Inputs[cut+1:]
	d := solveThread(threadmath.Thread{Designation: r.Inputs[:cut], Class: class, Side: sideOf(class)})
	if r.Quantity == "allowance" {
		return d.number(d.length("/major_diameter", "in") - d.length("/limits/major_diameter/max", "in"))
	}
	return d.number(d.length(limitPointer(r.Quantity), "in"))
}

// readUnifiedSize reads "2-3/8 in; 20 tpi; 2A: UNR minor diameter max (reference)".
func readUnifiedSize(r Row) (answer, error) {
	fields := strings.Split(r.Inputs, "; ")
	if len(fields) != 3 {
		return answer{}, fmt.Errorf("%q: want diameter, threads per inch and class", r.Inputs)
	}
	d := solveThread(threadmath.Thread{
		Form: "unified", Diameter: strings.Replace(fields[0], "-", " ", 1), Pitch: fields[1], Class: fields[2], Side: sideOf(fields[2]),
	})
	quantity := strings.TrimSuffix(strings.TrimPrefix(r.Quantity, "UNR "), " (reference)")
	return d.number(d.length(limitPointer(quantity), "in"))
}

// readUnifiedFormula holds a formula of ASME B1.1 against limits.
func readUnifiedFormula(r Row) (answer, error) {
	for _, size := range []string{"0-80 UNF", "4-40 UNC", "1/4-20 UNC", "1/2-13 UNC", "3/4-16 UNF", "1-8 UNC", "2-4.5 UNC"} {
		solved := map[string]*document{}
		for _, class := range []string{"2A", "3A", "3B"} {
			solved[class] = solveThread(threadmath.Thread{Designation: size, Class: class, Side: sideOf(class)})
		}
		d := solved["2A"]
		width := func(class, name string) float64 { return solved[class].width(name) / 25_400 }
		var got, want float64
		var err error
		switch {
		case strings.HasPrefix(r.Quantity, "PD tolerance class 2A"), strings.HasPrefix(r.Quantity, "major dia"):
			name := "pitch_diameter"
			if strings.HasPrefix(r.Quantity, "major dia") {
				name = "major_diameter"
			}
			got = width("2A", name)
			want, err = evaluate(strings.TrimSuffix(r.Value, " in"), map[string]float64{
				"D": d.length("/major_diameter", "in"), "Le": d.length("/major_diameter", "in"), "n": 1 / d.length("/pitch", "in"),
			})
		default:
			class := r.Quantity[strings.LastIndex(r.Quantity, " ")+1:]
			got = width(class, "pitch_diameter")
			want, err = evaluate(strings.TrimSuffix(r.Value, " x 2A"), nil)
			want *= width("2A", "pitch_diameter")
		}
		if err := firstError(err, d.err, solved["3A"].err, solved["3B"].err); err != nil {
			return answer{}, err
		}
		if math.Abs(got-want) > 0.0001 {
			return text(fmt.Sprintf("%s: %.4f in, %.5f by the formula", size, got, want)), nil
		}
	}
	return text(r.Value), nil
}

// readAcme reads "5/8-10 Acme-2G external: minor diameter max".
func readAcme(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	d := solveThread(threadmath.Thread{
		Designation: in.find(`^(\S+) Acme`) + " ACME", Class: in.find(`Acme-(\dG)`), Side: in.find(`(external|internal)`),
	})
	d.err = firstError(in.err, d.err)
	return d.number(d.length(limitPointer(r.Quantity), "in"))
}

// readAcmeFormula holds a formula of ASME B1.5 against limits.
func readAcmeFormula(r Row) (answer, error) {
	for _, size := range []string{"1/4-16", "3/8-12", "1/2-10", "5/8-8", "1-5", "2-4", "4-2"} {
		d := solveThread(threadmath.Thread{Designation: size + " ACME", Class: "2G"})
		p := d.length("/pitch", "in")
		variables := map[string]float64{"D": d.length("/major_diameter", "in"), "P": p}
		formula := r.Value
		var got, least float64
		switch {
		case strings.HasPrefix(r.Quantity, "pitch diameter allowance"):
			got = d.length("/pitch_diameter", "in") - d.length("/limits/pitch_diameter/max", "in")
		case strings.HasPrefix(r.Quantity, "minor diameter external max"):
			got = d.length("/limits/minor_diameter/max", "in")
			coarse, fine, _ := strings.Cut(formula, ", ")
			formula = coarse
			if 1/p > 10+1e-9 {
				formula = fine
			}
		default:
			got = d.width("major_diameter") / 25_400
			var floor string
			formula, floor, _ = strings.Cut(formula, ", not less than ")
			var err error
			if least, err = evaluate(strings.TrimSuffix(floor, " in"), nil); err != nil {
				return answer{}, err
			}
		}
		formula = regexp.MustCompile(` in( \(.*\))?$`).ReplaceAllString(formula, "")
		want, err := evaluate(formula, variables)
		if err := firstError(err, d.err); err != nil {
			return answer{}, err
		}
		if math.Abs(got-max(want, least)) > 0.0006 {
			return text(fmt.Sprintf("%s: %.4f in, %.5f by the formula", size, got, want)), nil
		}
	}
	return text(r.Value), nil
}

// readTrapezoidalLimit reads "Tr 16x4 7e external, single start: …".
func readTrapezoidalLimit(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	d := solveThread(threadmath.Thread{
		Form: "trapezoidal", Diameter: in.find(`Tr (\d+)x`) + " mm", Pitch: in.find(`x([\d.]+)`) + " mm",
		Class: in.find(` (\d[a-zH]) `), Side: in.find(`(external|internal)`), Starts: in.starts(),
	})
	d.err = firstError(in.err, d.err)
	return d.number(d.length(limitPointer(r.Quantity), "mm"))
}

// readTrapezoidalStarts compares the pitch diameter tolerance of several starts
// with that of one.
func readTrapezoidalStarts(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	n := threadmath.Count(in.whole(mixed + ` starts`))
	thread := threadmath.Thread{Form: "trapezoidal", Diameter: "60 mm", Pitch: "9 mm", Class: "8e"}
	one := solveThread(thread)
	thread.Starts = &n
	several := solveThread(thread)
	several.err = firstError(in.err, one.err, several.err)
	// The widened tolerance is a whole number of µm.
	ratio := several.width("pitch_diameter") / one.width("pitch_diameter")
	return several.number(math.Round(ratio*100) / 100)
}
