package generate

import (
	"fmt"
	"math"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var angledModels = []*model{
	{skill: "angled-slide", name: "per-pitch", version: 1, weight: 1, serve: serveCompound, draw: angledPerPitch},
	{skill: "angled-slide", name: "to-start", version: 1, weight: 1, serve: serveParallel, draw: angledToStart},
	{skill: "angled-slide", name: "set-wrong", version: 1, weight: 1, serve: serveCompound, draw: angledSetWrong},
}

// angled is a thread that is fed and indexed with the slide left at its infeed
// angle.
type angled struct {
	n       int
	s       spacing
	words   string
	deg     float64
	request threadmath.Request
}

// angleText writes an angle with its sign: "29.5°".
func angleText(deg float64) string { return strconv.FormatFloat(deg, 'f', -1, 64) + "°" }

// angled draws a thread of 60° or a power thread, the infeed angle that a shop
// sets for it (29° to 30°; the flank's own angle), on this lathe's slides.
func (d *draw) angled(choices []weighted) (a angled, err error) {
	if a.n, err = d.starts(choices); err != nil {
		return a, err
	}
	// Of each form the pitches for which the slide has the travel.
	fine := d.angledPitches(spacings[d.units], a.n, 29)
	power := d.angledPitches(powerSpacings[d.units], a.n, 14.5)
	var forms []weighted
	if len(fine) > 0 {
		forms = append(forms, weighted{"60°", 2})
	}
	if len(power) > 0 {
		forms = append(forms, weighted{"power", 1})
	}
	if len(forms) == 0 {
		return a, reject("the slide has not the travel for %d starts", a.n)
	}
	form, err := d.radical("form", forms)
	if err != nil {
		return a, err
	}
	f := isoExternal
	if d.units == threadmath.Inch {
		f = national
	}
	slug := f.form
	if form == "power" {
		slug, a.words, a.deg = "trapezoidal", "metric trapezoidal thread", 15
		if d.units == threadmath.Inch {
			slug, a.words, a.deg = "acme", "Acme thread", 14.5
		}
		a.s = oneOf(d, power)
	} else {
		a.words, a.deg, a.s = f.words, oneOf(d, []float64{29, 29.5, 30}), oneOf(d, fine)
	}
	thread := a.s.request(a.n)
	thread.Form = slug
	a.request = threadmath.Request{
		Thread: thread, Cut: &threadmath.Cut{InfeedAngleDeg: &a.deg},
		Lathe: &threadmath.Lathe{Name: d.lathe.Name, CompoundSlide: d.lathe.CompoundSlide, CrossSlide: d.lathe.CrossSlide},
	}
	return a, nil
}

// powerSpacings are the pitches of the trapezoidal and Acme series.
var powerSpacings = map[threadmath.System][]spacing{
	threadmath.Metric: spacingsOf(trapezoidalPitches), threadmath.Inch: spacingsOf(acmeThreads),
}

func spacingsOf(texts []string) []spacing {
	var out []spacing
	for _, text := range texts {
		out = append(out, mustSpacing(text))
	}
	return out
}

// angledPitches returns the pitches that the lathe cuts with n starts and whose
// moves, depth and a reserve lie within the slide's travel at the angle.
func (d *draw) angledPitches(from []spacing, n int, deg float64) []spacing {
	var out []spacing
	for _, s := range from {
		needs := float64(n)*s.length.MM()/math.Sin(deg*math.Pi/180) + 2*s.length.MM()
		if t := d.machine.compound.travel; d.machine.cuts(s.length.Times(n)) && (t == nil || needs <= t.MM()) {
			out = append(out, s)
		}
	}
	return out
}

// flat reports whether the angle is so small that its cosine hardly differs from 1.
func (a angled) flat() bool { return a.deg < 20 }

// item begins the exercise; the words go on behind what stands fixed.
func (a angled) item(d *draw, more string) *item {
	it := d.item(fmt.Sprintf("%s %s has %s. The compound slide of %s stays at %s from the cross-slide, for the feed and for the way to the next start. %s",
		capital(article(startWords[a.n])), a.words, a.s.words(), d.latheName(), angleText(a.deg), more))
	a.s.give(it)
	it.given("n", "starts", itoa(a.n))
	it.given("A", "angle of the slide from the cross-slide", angleText(a.deg))
	it.solve(a.request)
	it.ex.Drawing = "compound"
	return it
}

func angledPerPitch(d *draw) (*item, error) {
	a, err := d.angled(manyStarts)
	if err != nil {
		return nil, err
	}
	it := a.item(d, "Its backlash is taken up with the tool's travel.")
	wrong := []string{"straight", "times-sine", "lead-for-pitch"}
	if !a.flat() {
		wrong = append(wrong, "cosine")
	}
	unit := d.units.String()
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How far is the slide moved to shift the tool by one pitch along the axis?", Unit: unit, Decimals: d.askedLength(), Marks: 2, At: "/angled_slide/slide_per_pitch",
		Steps: append(a.s.steps(), curriculum.Step{Name: "s", Say: "Of its way, the sine of the angle from the cross-slide goes along the axis: divide the pitch by it.", Rule: "P/sin(A)", Unit: unit, Method: true}),
		Wrong: mistakes("angled-slide", wrong...),
	})
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: "How far is the cross-slide drawn back, so that the tool stays as deep as it was?", Unit: unit, Decimals: d.askedLength(), Marks: 2, At: "/angled_slide/cross_slide_withdrawal",
		Steps: append(a.s.steps(), curriculum.Step{Name: "w", Say: "What goes in with one pitch along is the pitch divided by the tangent of the angle.", Rule: "P/tan(A)", Unit: unit, Method: true}),
		Wrong: mistakes("angled-slide", "not-withdrawn", "by-slide-way", "times-tangent"),
	})
	return it, nil
}

func angledToStart(d *draw) (*item, error) {
	a, err := d.angled(fromThree)
	if err != nil {
		return nil, err
	}
	k := d.between(2, a.n)
	if 2*k == a.n+2 {
		return nil, reject("start %d of %d is as far either way", k, a.n)
	}
	it := a.item(d, "It is moved with the tool's travel, its backlash taken up, and both slides are counted from where start 1 was cut.")
	it.given("k", "the start wanted", itoa(k))
	unit, moves := d.units.String(), a.n+1-k
	if d.machine.compound.reads(d.units) {
		it.setOn("a", d.machine.compound.graduationIn(d.units))
	}
	wrong := mistakes("angled-slide", "against-travel")
	wrong = append(wrong, mistakeWith("angled-slide", "straight", "(n+1-k)*P", nil))
	if !a.flat() {
		wrong = append(wrong, mistakeWith("angled-slide", "cosine", "(n+1-k)*P/cos(A)", nil))
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: fmt.Sprintf("How far is the compound slide moved to reach start %d?", k), Unit: unit, Decimals: d.askedLength(), Marks: 3,
		At: fmt.Sprintf("/angled_slide/moves/%d/distance", moves),
		Steps: append(a.s.steps(),
			curriculum.Step{Name: "m", Say: "With the travel, start k comes after n + 1 − k moves of one pitch.", Rule: "n+1-k", Method: true},
			curriculum.Step{Name: "s", Say: "Each of them is a pitch divided by the sine of the angle; multiply before you round.", Rule: "m*P/sin(A)", Unit: unit, Method: true}),
		Wrong: wrong,
	})
	wrong = []curriculum.WrongRule{
		mistakeWith("angled-slide", "by-slide-way", "m*P/sin(A)", nil),
		mistakeWith("angled-slide", "times-tangent", "m*P*tan(A)", nil),
	}
	if moves > 1 {
		wrong = append(wrong, mistakes("angled-slide", "once-only")...)
	}
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: "How far has the cross-slide then been drawn back?", Unit: unit, Decimals: d.askedLength(), Marks: 2,
		At:    fmt.Sprintf("/angled_slide/moves/%d/cross_slide_withdrawal", moves),
		Steps: append(a.s.steps(), curriculum.Step{Name: "w", Say: "So many pitches, divided by the tangent of the angle.", Rule: "m*P/tan(A)", Unit: unit, Method: true}),
		Wrong: wrong,
	})
	if c := d.machine.cross; c.reads(d.units) && c.readsDiameter {
		it.setOn("c", c.graduationIn(d.units))
		it.part(curriculum.Part{
			ID: "c", Kind: curriculum.KindLength, Ask: "The cross-slide's collar reads diameter. How much does it count back, whole turns included?", Unit: unit, Decimals: d.askedLength(),
			Steps: []curriculum.Step{{Name: "r", Say: "It counts twice what its slide moves.", Rule: "2*b", Unit: unit}},
			Wrong: []curriculum.WrongRule{mistakeWith("angled-slide", "as-radius", "b", nil)},
		})
	}
	return it, nil
}

func angledSetWrong(d *draw) (*item, error) {
	a, err := d.angled(manyStarts)
	if err != nil {
		return nil, err
	}
	off := oneOf(d, []float64{-2, -1.5, -1, 1, 1.5, 2})
	it := a.item(d, fmt.Sprintf("For each next start it was moved by the way that belongs to this angle; but a check shows that its base really stands at %s.", angleText(a.deg+off)))
	it.given("B", "angle at which it really stands", angleText(a.deg+off))
	it.ex.Drawing = ""
	unit, decimals := d.units.String(), d.askedLength()+1
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How far apart along the axis do neighbouring starts lie?", Unit: unit, Decimals: decimals, Marks: 2,
		Steps: append(a.s.steps(),
			curriculum.Step{Name: "s", Say: "The slide was moved by the pitch divided by the sine of the wanted angle.", Rule: "P/sin(A)", Unit: unit, Method: true},
			curriculum.Step{Name: "x", Say: "Of that, the sine of the real angle went along the axis.", Rule: "s*sin(B)", Unit: unit, Method: true}),
		Wrong: mistakes("angled-slide", "angle-no-matter", "turned-over", "by-cosine"),
	})
	wrong := mistakes("angled-slide", "one-gap-too-many")
	if a.n > 2 {
		wrong = append(wrong, mistakes("angled-slide", "one-gap")...)
	}
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindLength, Ask: "How large is the spacing error over all starts?", Unit: unit, Decimals: decimals, Marks: 2,
		Steps: append(a.s.steps(),
			curriculum.Step{Name: "y", Say: "One move is off by the difference of that distance and the pitch.", Rule: "abs(a-P)", Unit: unit, Method: true},
			curriculum.Step{Name: "e", Say: "All moves were measured on from one another, and there is one less than there are starts.", Rule: "(n-1)*y", Unit: unit}),
		Wrong: wrong,
	})
	return it, nil
}
