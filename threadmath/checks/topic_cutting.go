package checks

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// readInfeed reads the compound's travel to full depth.
func readInfeed(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if r.Quantity == "compound rest angle recommended" { // along the flank of the form
		f, err := threadmath.FormOf("american-national")
		if in.whole(`^(\d+) deg`) != int(2*f.LoadFlankDeg) {
			return answer{}, fmt.Errorf("no form of %s", r.Inputs)
		}
		return number(f.LoadFlankDeg), firstError(in.err, err)
	}
	angle := in.float(`compound at ` + mixed + ` deg`)
	thread := threadmath.Thread{Form: "american-national"} // the depth 0.6495 P is its own
	if in.has(`threads/in`) {
		thread.Pitch = perInch(in.ratio(mixed + ` threads/in`))
	} else {
		thread.Pitch = inch(in.ratio(`P = ` + mixed + ` in`))
	}
	d := solve(threadmath.Request{Thread: thread, Cut: &threadmath.Cut{InfeedAngleDeg: &angle}})
	d.err = firstError(in.err, d.err)
	if d.at("/infeed/0/fed_by") != "compound" {
		d.fail("the first plan is not the compound's")
	}
	return d.number(d.length("/infeed/0/slide_travel", r.Unit))
}

// angleForms are the included angles of the forms that wires measure.
var angleForms = map[float64]string{60: "american-national", 55: "whitworth", 29: "acme", 30: "trapezoidal"}

// readThreeWire reads best wires and the constants of measurement over wires,
// these from two measurements of a thread over wires of different size. The
// forms of the contract are solved; other angles go through the functions for
// any angle.
func readThreeWire(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	included := in.float(mixed + ` deg`)
	if in.has(`\d min`) {
		included += in.float(mixed+` min`) / 60
	}
	p := 0.25
	if in.has(`threads/in`) {
		p = 1 / in.float(mixed+` threads/in`)
	}
	if in.has(`worm thread`) {
		return flushWire(in, included)
	}
	w := wiresOf(included, p)
	w.err = firstError(in.err, w.err)
	switch {
	case strings.HasPrefix(r.Quantity, "best wire ("):
		return w.number(w.best)
	case r.Quantity == "best wire / pitch":
		return w.number(w.best / p)
	}
	larger := w.best * 1.03
	first, second := w.over(w.best), w.over(larger)
	perWire := (second - first) / (larger - w.best)
	from := w.major
	if strings.HasPrefix(r.Quantity, "E =") {
		from = w.pitchDiameter
	}
	switch r.Quantity[strings.LastIndex(r.Quantity, ";")+2:] {
	case "c", "k1":
		return w.number(perWire)
	case "k", "k2":
		return w.number((from + perWire*w.best - first) / p)
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// wires measures a single thread of 6 in over wires, in inches and without the
// lead term.
type wires struct {
	best, major, pitchDiameter float64
	// over is the measurement over wires of a size.
	over func(wire float64) float64
	err  error
}

func (w *wires) number(f float64) (answer, error) { return number(f), w.err }

func wiresOf(included, pitch float64) *wires {
	w := &wires{}
	slug, known := angleForms[included]
	if !known { // threads so large that the lead term is nothing
		const size = 2000.0
		w.pitchDiameter, w.major = size, math.NaN()
		w.best, w.err = threadmath.BestWire(pitch*25.4, included/2)
		w.best /= 25.4
		w.over = func(wire float64) float64 {
			m, err := threadmath.OverWires(size*25.4, pitch*25.4, pitch*25.4, wire*25.4, included/2)
			w.err = firstError(w.err, err)
			return m / 25.4
		}
		return w
	}
	at := func(wire float64) *document {
		q := threadmath.Request{Thread: threadmath.Thread{Form: slug, Diameter: "6 in", Pitch: fmt.Sprintf("%.9f in", pitch)}}
		if wire > 0 {
			q.Cut = &threadmath.Cut{Wire: fmt.Sprintf("%.9f in", wire)}
		}
		d := solve(q)
		w.err = firstError(w.err, d.err)
		return d
	}
	d := at(0)
	w.best, w.major, w.pitchDiameter = d.length("/wires/best", "in"), d.length("/major_diameter", "in"), d.length("/pitch_diameter", "in")
	w.over = func(wire float64) float64 {
		d := at(wire)
		m := d.length("/wires/over", "in") - d.length("/wires/lead_term", "in")
		w.err = firstError(w.err, d.err)
		return m
	}
	return w
}

// flushWire returns the wire over pitch that lies flush with the crest of the
// worm thread. The tool's point, 0.31 P, is that of the embedded row on it.
func flushWire(in *inputs, included float64) (answer, error) {
	depth, point := in.float(`depth `+mixed+` P`), 0.0
	rows, err := Rows()
	for _, r := range rows {
		if strings.HasPrefix(r.Inputs, "29 deg worm thread") && r.Quantity == "tool tip width / P" {
			point, err = strconv.ParseFloat(r.Value, 64)
		}
	}
	if err := firstError(err, in.err); err != nil || point == 0 {
		return answer{}, firstError(err, fmt.Errorf("no row on the tool of the worm thread"))
	}
	// Pitch 1 mm, large: the groove is half a pitch wide at the pitch line.
	const major = 2000.0
	pitchDiameter := major - 2*(depth-(0.5-point)/(2*math.Tan(included/2*math.Pi/180)))
	low, high := 0.1, 1.0
	for range 60 {
		mid := (low + high) / 2
		m, err := threadmath.OverWires(pitchDiameter, 1, 1, mid, included/2)
		if err != nil {
			return answer{}, err
		}
		if m < major {
			low = mid
		} else {
			high = mid
		}
	}
	return number(low), nil
}

// readWireLeadAngle reads the lead term: its coefficient on a thread so large
// that the wire's diameter does not matter, and the general formula.
func readWireLeadAngle(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if in.has(`included angle`) {
		slug := angleForms[in.float(`angle `+mixed)]
		d := solveThread(threadmath.Thread{Form: slug, Diameter: "50000 mm", Pitch: "6 mm"})
		tan := d.length("/lead", "mm") / (math.Pi * d.length("/pitch_diameter", "mm"))
		d.err = firstError(in.err, d.err)
		return d.number(d.length("/wires/lead_term", "mm") / (d.length("/wires/used", "mm") * tan * tan))
	}
	formula := strings.TrimPrefix(r.Value, "E = ")
	for _, slug := range []string{"american-national", "iso-metric", "acme", "trapezoidal"} {
		f, err := threadmath.FormOf(slug)
		d := solveThread(threadmath.Thread{Form: slug, Diameter: "40 mm", Pitch: "4 mm"})
		d2, p := d.length("/pitch_diameter", "mm"), d.length("/pitch", "mm")
		got, err2 := evaluate(formula, map[string]float64{
			"M": d.length("/wires/over", "mm"), "a": f.LoadFlankDeg * math.Pi / 180, "p": p,
			"w": d.length("/wires/used", "mm"), "s": math.Atan(d.length("/lead", "mm") / (math.Pi * d2)),
		})
		if err := firstError(err, err2, d.err); err != nil {
			return answer{}, err
		}
		if math.Abs(got-d2) > 1e-4*p {
			return text(fmt.Sprintf("%s: E %.5f by the formula, pitch diameter %.5f", slug, got, d2)), nil
		}
	}
	return text(r.Value), nil
}

// readPowerScrew reads forces, efficiency and power of loaded screws. Collar
// friction, which threadmath leaves out, is added as the examples do it: at the
// collar's mean radius.
func readPowerScrew(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if r.Unit == "formula" {
		return selfLocking(r)
	}
	thread := threadmath.Thread{Form: "square"}
	if in.has(`trapezoidal`) {
		thread.Form = "trapezoidal"
	}
	if in.has(`start`) {
		thread.Starts = in.starts()
	}
	pitch := 5.0 // the book's table, where the row says so
	if in.has(`\bp \d`) {
		pitch = in.float(`\bp ` + mixed)
	}
	thread.Pitch = fmt.Sprintf("%g mm", pitch)
	if in.has(`\bdm \d`) { // mean diameter: half a pitch under the nominal
		thread.Diameter = fmt.Sprintf("%g mm", in.float(`\bdm `+mixed)+pitch/2)
	} else {
		thread.Diameter = fmt.Sprintf("%g mm", in.float(`\bd[o]? `+mixed))
	}
	load, screws := 1000.0, 1.0
	if in.has(` kN`) {
		load = 1000 * in.float(mixed+` kN`)
	}
	if in.has(`two screws`) {
		load, screws = load/2, 2
	}
	friction := in.float(`\bmu ` + mixed)
	d := solve(threadmath.Request{Thread: thread, Cut: &threadmath.Cut{LoadN: &load, Friction: &friction}})
	d.err = firstError(in.err, d.err)
	collar := 0.0 // N·m
	if in.has(`(?:collar|nut face)`) && !in.has(`collar friction nil`) {
		collar = in.float(`(?:collar|nut face)[^;]* mu `+mixed) * load * collarRadius(in) / 1000
	}
	arm := 0.0
	if in.has(`(?:radius|lever) \d+ mm$`) || in.has(`lever \d+ mm`) {
		arm = in.float(`(?:radius|lever) (\d+) mm`) / 1000
	}
	if in.has(`spanner`) {
		arm = in.float(`spanner ` + mixed + ` m`)
	}
	d.err = firstError(d.err, in.err)
	raise := d.num("/use/torque_raise") + collar
	both := 1.0
	if strings.Contains(r.Quantity, "both screws") {
		both = screws
	}
	switch {
	case r.Quantity == "efficiency":
		return d.number(100 * d.num("/use/efficiency"))
	case r.Quantity == "power":
		return d.number(raise * 2 * math.Pi * in.float(mixed+` rpm`) / 60)
	case strings.HasPrefix(r.Quantity, "overhauling"):
		if d.flag("/use/self_locking") {
			return d.text("no")
		}
		return d.text("yes")
	case r.Quantity == "axial force": // the force that the lever's torque raises
		return d.number(in.float(mixed+` N;`) * arm / raise * load)
	case r.Quantity == "load raised":
		return d.number(in.float(`torque `+mixed+` N m`) / raise * load)
	case strings.HasPrefix(r.Quantity, "force to lower"):
		return d.number(both * (d.num("/use/torque_lower") + collar) / arm)
	case strings.HasPrefix(r.Quantity, "force"):
		return d.number(both * raise / arm)
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// collarRadius returns the mean radius in mm of the collar that the text
// describes.
func collarRadius(in *inputs) float64 {
	switch {
	case in.has(`mean radius`):
		return in.float(`mean radius ` + mixed)
	case in.has(`mean dia`):
		return in.float(`mean dia `+mixed) / 2
	}
	return (in.float(`collar (\d+)/`) + in.float(`collar \d+/(\d+)`)) / 4
}

// selfLocking holds the condition of a square thread just above and below it.
func selfLocking(r Row) (answer, error) {
	bound := strings.TrimPrefix(r.Value, "mu > ")
	for _, lead := range []float64{5, 10, 40} {
		limit, err := evaluate(bound, map[string]float64{"L": lead, "dm": 30, "pi": math.Pi})
		if err != nil {
			return answer{}, err
		}
		for _, share := range []float64{0.999, 1.001} {
			mu := limit * share
			d := solve(threadmath.Request{
				Thread: threadmath.Thread{Form: "square", Pitch: "5 mm", Lead: fmt.Sprintf("%g mm", lead), Diameter: "32.5 mm"},
				Cut:    &threadmath.Cut{Friction: &mu},
			})
			if locks := d.flag("/use/self_locking"); locks != (share > 1) {
				return text(fmt.Sprintf("lead %g, friction %.5f: self-locking %v", lead, mu, locks)), d.err
			}
		}
	}
	return text(r.Value), nil
}

const metresPerFoot = 0.3048

// readSpeed reads spindle and surface speeds.
func readSpeed(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	rpmOf := func(feet, inches float64) float64 {
		rpm, err := threadmath.SpindleRPM(feet*metresPerFoot, inches*25.4)
		in.err = firstError(in.err, err)
		return rpm
	}
	switch {
	case r.Quantity == "cutting speed range":
		d := turning(in.find(`(machine steel|tool steel|brass)`))
		d.err = firstError(in.err, d.err)
		return d.text(fmt.Sprintf("%.4g-%.4g", d.num("/speed/turning_m_per_min/low")/metresPerFoot, d.num("/speed/turning_m_per_min/high")/metresPerFoot))
	case r.Quantity == "threading speed on the same job": // the share of turning speed that threading takes
		d := turning("machine steel")
		share := d.num("/speed/threading_m_per_min/low") / d.num("/speed/turning_m_per_min/low")
		d.err = firstError(in.err, d.err)
		return d.number(share * in.float(`turning `+mixed+` ft/min`))
	case r.Quantity == "shop approximation":
		rule := regexp.MustCompile(`^rpm = `).ReplaceAllString(r.Value, "")
		got, err := evaluate(rule, map[string]float64{"CS": 100, "D": 2})
		if want := rpmOf(100, 2); math.Abs(got/want-1) > 0.05 {
			return text(fmt.Sprintf("%.1f by the rule, %.1f exactly", got, want)), err
		}
		return text(r.Value), firstError(err, in.err)
	case strings.HasPrefix(r.Quantity, "surface speed"):
		v := in.float(mixed+` rpm`) / rpmOf(1, in.float(`diameter `+mixed+` in`))
		return number(v), in.err
	}
	rpm := rpmOf(in.float(mixed+` ft/min`), in.float(`diameter `+mixed+` in`))
	return number(rpm), in.err
}

// turning solves a job in a material.
func turning(material string) *document {
	return solve(threadmath.Request{Thread: threadmath.Thread{Pitch: "2 mm"}, Cut: &threadmath.Cut{Material: material}})
}
