package checks

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halfnut/threadmath"
)

// readLeadPitch reads leads and pitches of multi-start threads.
func readLeadPitch(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	var thread threadmath.Thread
	switch {
	case in.has(`^designation `):
		thread.Designation = in.find(`^designation (.*)$`)
	case in.has(`; lead `):
		thread.Starts, thread.Lead = in.starts(), inch(in.ratio(`; lead `+mixed+` in`))
	case in.has(`geared for `):
		thread.Starts, thread.Lead = in.starts(), perInch(in.ratio(`geared for `+mixed+` threads/in`))
	case in.has(`pitch P`):
		thread.Starts, thread.Pitch = in.starts(), "1 mm"
	default:
		thread.Starts, thread.Pitch = in.starts(), mm(in.ratio(`pitch `+mixed+` mm`))
	}
	d := solveThread(thread)
	d.err = firstError(in.err, d.err)
	switch {
	case strings.HasPrefix(r.Quantity, "single threads per inch"):
		return d.number(d.num("/turns_per_inch"))
	case strings.HasPrefix(r.Quantity, "lead / pitch"):
		return d.number(d.length("/lead", "mm") / d.length("/pitch", "mm"))
	case strings.HasPrefix(r.Quantity, "pitch"):
		return d.number(d.length("/pitch", r.Unit))
	case r.Quantity == "lead":
		return d.number(d.length("/lead", r.Unit))
	case r.Quantity == "number of starts":
		return d.number(float64(d.count("/starts")))
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// readIndexing reads angles and tooth counts from start to start.
func readIndexing(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if in.has(`any multiple thread`) { // the same for every number of starts
		for n := threadmath.Count(2); n <= 8; n++ {
			d := solve(threadmath.Request{
				Thread: threadmath.Thread{Pitch: "2 mm", Starts: &n},
				Lathe:  &threadmath.Lathe{CompoundSlide: &threadmath.Slide{Travel: "80 mm"}},
			})
			if got := d.length("/compound_slide/moves/1/distance", "mm") / d.length("/pitch", "mm"); got != 1 || d.err != nil {
				return d.number(got)
			}
		}
		return number(1), nil
	}
	q := threadmath.Request{Thread: threadmath.Thread{Starts: in.starts(), Pitch: "1/8 in"}}
	if in.has(`stud gear`) {
		q.Lathe = &threadmath.Lathe{StudGear: &threadmath.StudGear{Teeth: threadmath.Count(in.whole(`stud gear (\d+) teeth`))}}
		d := solve(q)
		d.err = firstError(in.err, d.err)
		return d.number(d.num("/stud_gear/teeth_per_start"))
	}
	d := solve(q)
	d.err = firstError(in.err, d.err)
	return d.number(d.num("/starts/1/angle_deg"))
}

// readCarriageShift reads measured shifts of the carriage. Where a row names no
// leadscrew, one of 6 per inch serves, which closes on every shift named.
func readCarriageShift(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	if strings.HasPrefix(r.Quantity, "lead-screw threads per inch must be a multiple of") {
		// s·N is whole for the multiples of the denominator of s.
		den, err := strconv.ParseFloat(in.ratio(`shift `+mixed+` in`).Den(), 64)
		return number(den), firstError(in.err, err)
	}
	q := threadmath.Request{
		Thread: threadmath.Thread{Starts: in.starts()},
		Lathe:  &threadmath.Lathe{Leadscrew: "6 tpi"},
	}
	if in.has(`single threads per inch`) {
		q.Thread.Lead = perInch(in.ratio(mixed + ` single threads per inch`))
	} else {
		q.Thread.Lead = inch(in.ratio(`lead ` + mixed + ` in`))
	}
	pointer := "/carriage_shift/shifts/1/distance"
	if in.has(`in long`) {
		q.Thread.Length = inch(in.ratio(`part ` + mixed + ` in long`))
		pointer = "/carriage_shift/shifts/1/clears"
	}
	d := solve(q)
	d.err = firstError(in.err, d.err)
	shift := d.length(pointer, "in")
	if in.has(`pitch \+ \d+ leads`) {
		shift += in.float(`pitch \+ (\d+) leads`) * d.length("/lead", "in")
	}
	return d.number(shift)
}

// dialOf returns the lines, counted from 1, that always come back to the start
// cut on the first. The sources' dial moves the carriage 4 in a turn: 24 teeth on
// 6 per inch.
func dialOf(perInchCut threadmath.Ratio, lines int) ([]int, error) {
	d := solve(threadmath.Request{
		Thread: threadmath.Thread{Pitch: perInch(perInchCut)},
		Lathe: &threadmath.Lathe{Leadscrew: "6 tpi", ThreadDials: []threadmath.ThreadDial{
			{Teeth: 24, Graduations: threadmath.Count(lines)},
		}},
	})
	var out []int
	for i := range d.count("/thread_dials/0/lines") {
		if d.at(fmt.Sprintf("/thread_dials/0/lines/%d/catches", i)) == "start" {
			out = append(out, i+1)
		}
	}
	return out, d.err
}

// readThreadDial reads the thread dial of the sources.
func readThreadDial(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	const travel = 4.0 // inches a turn
	switch {
	case strings.HasPrefix(r.Quantity, "carriage travel"):
		turn := float64(in.whole(`(\d+) teeth`)) / in.float(`lead-screw `+mixed)
		if in.has(`divided into`) {
			turn /= float64(in.whole(`divided into (\d+) lines`))
		}
		return number(turn), in.err
	case strings.Contains(r.Quantity, "interval"):
		lines := 8
		if in.has(`11-1/2`) {
			lines = 4
		}
		serve, err := dialOf(in.ratio(`cut `+mixed), lines)
		if err := firstError(in.err, err); err != nil {
			return answer{}, err
		}
		gap := lines
		if len(serve) > 1 {
			gap = serve[1] - serve[0]
		}
		return number(float64(gap) * travel / float64(lines)), nil
	case in.has(`even threads per inch`):
		for n := int64(2); n <= 40; n += 2 {
			serve, err := dialOf(threadmath.Int(n), 8)
			if err != nil || len(serve) != 8 {
				return text(fmt.Sprint(n, " per inch: lines ", serve)), err
			}
		}
		return text("any"), nil
	case in.has(`odd threads per inch`):
		for part := range strings.SplitSeq(in.find(`\(([\d, ]+)\)`), ", ") {
			n, _ := strconv.ParseInt(part, 10, 64)
			serve, err := dialOf(threadmath.Int(n), 8)
			if err != nil || !slices.Equal(serve, []int{1, 3, 5, 7}) { // every second line is numbered
				return text(fmt.Sprint(n, " per inch: lines ", serve)), err
			}
		}
		return text("numbered only"), in.err
	}
	serve, err := dialOf(in.ratio(`(?:cut|per inch) `+mixed), 4)
	if err := firstError(in.err, err); err != nil {
		return answer{}, err
	}
	got := fmt.Sprint(serve)
	if got == fmt.Sprint(wholes(r.Value)) {
		return text(r.Value), nil
	}
	return text(got), nil
}

// wholes returns the whole numbers in a text.
func wholes(s string) []int {
	var out []int
	for _, f := range strings.FieldsFunc(s, func(c rune) bool { return c < '0' || c > '9' }) {
		n, _ := strconv.Atoi(f)
		out = append(out, n)
	}
	return out
}

// train solves a lead on a leadscrew with the wheels on hand and returns the
// error of the first train in parts of one; ok is false where none comes near.
func train(leadscrew, lead string, wheels ...int) (drivers, driven []int, deviation float64, ok bool) {
	gears := make([]threadmath.Count, len(wheels))
	for i, w := range wheels {
		gears[i] = threadmath.Count(w)
	}
	d := solve(threadmath.Request{
		Thread: threadmath.Thread{Pitch: lead},
		Lathe:  &threadmath.Lathe{Leadscrew: leadscrew, ChangeGears: gears},
	})
	if d.err != nil || d.count("/gear_trains") == 0 {
		return nil, nil, 0, false
	}
	drivers, driven = d.list("/gear_trains/0/drivers"), d.list("/gear_trains/0/driven")
	return drivers, driven, d.num("/gear_trains/0/error_ppm") / 1e6, d.err == nil
}

// exact reports whether the wheels give a train that is exactly right.
func exact(leadscrew, lead string, wheels ...int) (drivers, driven []int, ok bool) {
	drivers, driven, deviation, ok := train(leadscrew, lead, wheels...)
	return drivers, driven, ok && deviation == 0
}

// readChangeGears reads trains, wheels and what they cut.
func readChangeGears(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	screw := ""
	if in.has(`(?:lead-screw|lathe-screw|screw constant) \d`) {
		screw = perInch(in.ratio(`(?:lead-screw|lathe-screw|screw constant) ` + mixed))
	}
	lead := ""
	switch {
	case in.has(`cut ` + mixed + ` mm lead`):
		lead = mm(in.ratio(`cut ` + mixed + ` mm lead`))
	case in.has(`cut ` + mixed):
		lead = perInch(in.ratio(`cut ` + mixed))
	}
	if in.err != nil {
		return answer{}, in.err
	}
	switch {
	case r.Tolerance == "exact ratio": // the row's own wheels must make an exact train
		above, below, _ := strings.Cut(r.Value, "/")
		drivers, driven, ok := exact(screw, lead, append(wholes(above), wholes(below)...)...)
		if ok && sameWheels(drivers, wholes(above)) && sameWheels(driven, wholes(below)) {
			return text(r.Value), nil
		}
		return text(fmt.Sprint(drivers, "/", driven, " exact: ", ok)), nil
	case in.has(`(?:driver|mandrel wheel) (\d+)`) && strings.Contains(r.Quantity, "wheel"):
		driver := in.whole(`(?:driver|mandrel wheel) (\d+)`)
		for w := 12; w <= 130; w++ {
			if drivers, _, ok := exact(screw, lead, driver, w); ok && drivers[0] == driver {
				return number(float64(w)), nil
			}
		}
		// No whole wheel: driver·p/L.
		p, _, err1 := threadmath.ParsePitch(screw)
		l, _, err2 := threadmath.ParsePitch(lead)
		if err := firstError(err1, err2); err != nil {
			return answer{}, err
		}
		return number(p.Quo(l).Float64() * float64(driver)), nil
	case strings.Contains(r.Quantity, "; k"): // stud = 127·L/p with p = 1/C in, for C = 1 and L = 1 mm
		return number(threadmath.Millimetres(threadmath.Int(1)).Quo(threadmath.Inches(threadmath.Int(1))).Float64() * 127), nil
	case strings.HasPrefix(r.Quantity, "screw constant"):
		stud, wheel, cut := in.whole(`stud gear (\d+)`), in.whole(`lead-screw gear (\d+)`), in.ratio(`cuts `+mixed)
		for n := int64(1); n <= 20; n++ {
			if drivers, _, ok := exact(perInch(threadmath.Int(n)), perInch(cut), stud, wheel); ok && drivers[0] == stud {
				return number(float64(n)), in.err
			}
		}
	case in.has(`extra pair`):
		pair := in.ratio(`extra pair ` + mixed)
		return number(threadmath.Inches(in.ratio(`cutting ` + mixed)).Mul(pair).In(threadmath.Inch).Float64()), in.err
	case r.Quantity == "intermediate value":
		return number(float64(in.whole(`driver (\d+)`)) / float64(in.whole(`driven (\d+)`))), in.err
	case r.Quantity == "threads per inch cut":
		// The source multiplies the leadscrew's threads by its wheels' ratio, so its
		// drivers stand on the leadscrew's side.
		pairs := wholes(in.find(`; (driver[^(]*)`))
		if len(pairs) != 4 {
			return answer{}, fmt.Errorf("no four wheels in %q", in.text)
		}
		theirDrivers, theirDriven := []int{pairs[0], pairs[2]}, []int{pairs[1], pairs[3]}
		for n := int64(1); n <= 40; n++ {
			drivers, driven, ok := exact(screw, perInch(threadmath.Int(n)), pairs...)
			if ok && sameWheels(driven, theirDrivers) && sameWheels(drivers, theirDriven) {
				return number(float64(n)), in.err
			}
		}
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

func sameWheels(a, b []int) bool {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	return slices.Equal(a, b)
}

// readApproximation reads how near small wheels come to a ratio.
func readApproximation(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	switch {
	case r.Quantity == "continued fraction terms":
		rest := in.ratio(`^` + mixed)
		var terms []string
		for range 20 {
			whole := rest.Floor()
			terms = append(terms, whole.String())
			if rest = rest.Sub(whole); rest.Sign() == 0 {
				break
			}
			rest = threadmath.Int(1).Quo(rest)
		}
		return text(terms[0] + ";" + strings.Join(terms[1:], ",")), in.err
	case r.Quantity == "relative error":
		wheels := wholes(in.find(`pair (\d+/\d+)`))
		target := in.ratio(`against ` + mixed)
		if in.err != nil {
			return answer{}, in.err
		}
		_, _, deviation, ok := train("1 mm", mm(target), wheels...)
		if !ok {
			return answer{}, fmt.Errorf("no train from %v", wheels)
		}
		return number(math.Abs(deviation)), nil
	case r.Quantity == "best pair":
		target, most := in.ratio(`target `+mixed), in.whole(`up to (\d+) teeth`)
		if in.err != nil {
			return answer{}, in.err
		}
		best, pair := math.Inf(1), ""
		for driven := 1; driven <= most; driven++ {
			driver := int(math.Round(target.Float64() * float64(driven)))
			if driver < 1 || driver > most || driver == driven {
				continue
			}
			drivers, _, deviation, ok := train("1 mm", mm(target), driver, driven)
			if ok && drivers[0] == driver && math.Abs(deviation) < best {
				best, pair = math.Abs(deviation), fmt.Sprintf("%d/%d", driver, driven)
			}
		}
		return text(pair), nil
	case strings.HasPrefix(r.Quantity, "pitch drift"):
		share := in.float(`error ` + mixed + ` %`)
		over := wholes(r.Quantity)
		if len(over) != 1 {
			return answer{}, fmt.Errorf("no length in %q", r.Quantity)
		}
		return number(share / 100 * float64(over[0]) * 1000), in.err
	}
	return answer{}, fmt.Errorf("no reading of %q", r.Quantity)
}

// readLeadAngle reads lead angles at the pitch diameter.
func readLeadAngle(r Row) (answer, error) {
	in := &inputs{text: r.Inputs}
	switch {
	case in.has(`^square thread tool`):
		n, relief := threadmath.Count(4), 8.0
		d := solve(threadmath.Request{
			Thread: threadmath.Thread{Form: "square", Diameter: "1 in", Pitch: "1/4 in", Starts: &n},
			Cut:    &threadmath.Cut{ReliefDeg: &relief},
		})
		leading, trailing := d.num("/tool/leading_grind_deg"), d.num("/tool/trailing_grind_deg")
		if leading != trailing {
			return d.text("yes")
		}
		return d.text("no")
	case r.Quantity == "pitch":
		d := solveThread(threadmath.Thread{Pitch: perInch(in.ratio(mixed + ` threads per inch`))})
		d.err = firstError(in.err, d.err)
		return d.number(d.length("/pitch", r.Unit))
	case in.has(`^M`):
		single, err := threadmath.ParseDesignation(in.find(`^(M\d+)`))
		d := solveThread(threadmath.Thread{
			Form: single.Form, Diameter: single.Diameter.Exact(threadmath.Metric), Pitch: single.Pitch.Exact(threadmath.Metric), Starts: in.starts(),
		})
		d.err = firstError(in.err, err, d.err)
		return d.number(d.num("/lead_angle_deg/pitch"))
	}
	d := solveThread(threadmath.Thread{Form: "unified", Diameter: in.find(`^(\S+)-\d+`) + " in", Pitch: in.find(`-(\d+),`) + " tpi", Starts: in.starts()})
	d.err = firstError(in.err, d.err)
	return d.number(d.num("/lead_angle_deg/pitch"))
}
