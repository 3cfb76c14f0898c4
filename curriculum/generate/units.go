package generate

import (
	"fmt"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var fractionModels = []*model{
	{skill: "fractions", name: "to-decimal", version: 1, weight: 2, draw: fractionToDecimal},
	{skill: "fractions", name: "nearest-64th", version: 1, weight: 1, draw: nearest64th},
}

// fractionToDecimal asks for a size of an inch rule in thousandths; inches are
// inches whatever the units of the rest.
func fractionToDecimal(d *draw) (*item, error) {
	size, err := d.radical("size", []weighted{{"mixed", 2}, {"proper", 1}})
	if err != nil {
		return nil, err
	}
	bottom := oneOf(d, []int{8, 16, 32, 64})
	top := 2*d.between(0, bottom/2-1) + 1
	text := fmt.Sprintf("%d/%d in", top, bottom)
	whole := 0
	if size == "mixed" {
		whole = d.between(1, 3)
		text = fmt.Sprintf("%d %s", whole, text)
	}
	it := d.item("A drawing gives a size as " + text + ".")
	it.given("x", "size", text)
	for name, v := range map[string]int{"w": whole, "a": top, "b": bottom} {
		it.ex.Givens.Values[name] = itoa(v)
	}
	digits := len(itoa(top) + itoa(bottom))
	wrong := []curriculum.WrongRule{
		mistakeWith("fractions", "run-together", fmt.Sprintf("w + (a*10^%d + b)/10^%d", len(itoa(bottom)), digits), nil),
	}
	wrong = append(wrong, mistakes("fractions", "upside-down")...)
	steps := []curriculum.Step{{Name: "f", Say: "Divide the top of the fraction by its bottom.", Rule: "a/b", Unit: curriculum.UnitInch}}
	if whole > 0 {
		wrong = append(wrong, mistakes("fractions", "whole-lost")...)
		steps = append(steps, curriculum.Step{Name: "s", Say: "Add the whole inches.", Rule: "w + f", Unit: curriculum.UnitInch})
	}
	it.part(curriculum.Part{
		ID: "s", Kind: curriculum.KindLength, Ask: "What does a micrometer read at that size?", Unit: curriculum.UnitInch, Decimals: 3, Steps: steps, Wrong: wrong,
	})
	return it, nil
}

// nearest64th asks the other way round: which mark of the rule is meant.
func nearest64th(d *draw) (*item, error) {
	k := d.between(3, 63)
	decimal, _ := threadmath.Int(int64(k)).Quo(threadmath.Int(64)).Decimal(3)
	if k%2 == 0 {
		return nil, reject("%d/64 is written with a smaller number", k)
	}
	it := d.item(fmt.Sprintf("A drill is %s in by the micrometer; it is one of a set in sixty-fourths.", decimal))
	it.given("x", "size", decimal+" in")
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindCount, Ask: "How many sixty-fourths of an inch is it?",
		Steps: []curriculum.Step{
			{Name: "k", Say: "An inch has sixty-four sixty-fourths.", Rule: "64*x"},
			{Name: "K", Say: "Take the nearest whole number; the decimal was rounded.", Rule: "round(k)"},
		},
		Wrong: mistakes("fractions", "hundredths", "thirty-seconds"),
	})
	return it, nil
}

var inchMMModels = []*model{
	{skill: "inch-mm", name: "to-mm", version: 1, weight: 1, draw: inchToMM},
	{skill: "inch-mm", name: "to-inch", version: 1, weight: 1, draw: mmToInch},
}

func inchToMM(d *draw) (*item, error) {
	written, err := d.radical("written", even("decimal", "fraction"))
	if err != nil {
		return nil, err
	}
	text := ""
	var steps []curriculum.Step
	rule := "25.4*x"
	if written == "decimal" {
		text, _ = threadmath.Int(int64(d.between(150, 2500))).Quo(threadmath.Int(1000)).Decimal(3)
	} else {
		bottom := oneOf(d, []int{8, 16, 32})
		text = fmt.Sprintf("%d/%d", 2*d.between(bottom/8, bottom/2-1)+1, bottom)
		if whole := d.between(0, 2); whole > 0 {
			text = fmt.Sprintf("%d %s", whole, text)
		}
		rule = "25.4*i"
		steps = []curriculum.Step{{Name: "i", Say: "Write the size as a decimal first.", Rule: "x", Unit: curriculum.UnitInch}}
	}
	it := d.item(fmt.Sprintf("A shaft on an inch drawing is %s in; the micrometer reads millimetres.", text))
	it.given("x", "size", text+" in")
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How many millimetres is that?", Unit: curriculum.UnitMM, Decimals: 2,
		Steps: append(steps, curriculum.Step{Name: "m", Say: "An inch is exactly 25.4 mm.", Rule: rule, Unit: curriculum.UnitMM}),
		Wrong: mistakes("inch-mm", "divided", "twenty-five"),
	})
	return it, nil
}

func mmToInch(d *draw) (*item, error) {
	text, _ := threadmath.Int(int64(d.between(24, 400))).Quo(threadmath.Int(4)).Decimal(2)
	text = trimZeros(text)
	it := d.item(fmt.Sprintf("A shaft on a metric drawing is %s mm; the micrometer reads inches.", text))
	it.given("x", "size", text+" mm")
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How many inches is that?", Unit: curriculum.UnitInch, Decimals: 3,
		Steps: []curriculum.Step{{Name: "i", Say: "An inch is exactly 25.4 mm.", Rule: "x/25.4", Unit: curriculum.UnitInch}},
		Wrong: mistakes("inch-mm", "multiplied", "by-twenty-five"),
	})
	return it, nil
}

var tpiModels = []*model{
	{skill: "tpi-pitch", name: "pitch", version: 1, weight: 2, draw: pitchOfThreads},
	{skill: "tpi-pitch", name: "threads", version: 1, weight: 1, draw: threadsOfPitch},
}

func pitchOfThreads(d *draw) (*item, error) {
	s := oneOf(d, spacings[threadmath.Inch])
	it := d.item(fmt.Sprintf("A pitch gauge with %s fits a worn screw.", s.words()))
	s.give(it)
	p := curriculum.Part{ID: "a", Kind: curriculum.KindLength, Ask: "What is the pitch?", Unit: d.units.String(), Decimals: 3}
	if d.units == threadmath.Inch {
		p.Steps = s.steps()
		p.Wrong = mistakes("tpi-pitch", "whole-inch", "mm-as-inch")
	} else {
		p.Steps = []curriculum.Step{{Name: "P", Say: "An inch, exactly 25.4 mm, holds this many pitches.", Rule: "25.4/N", Unit: curriculum.UnitMM}}
		p.Wrong = mistakes("tpi-pitch", "inverted", "inch-as-mm", "twenty-five")
	}
	it.part(p)
	return it, nil
}

func threadsOfPitch(d *draw) (*item, error) {
	s := oneOf(d, spacings[d.units])
	if d.units == threadmath.Metric {
		it := d.item(fmt.Sprintf("The gearbox of an inch lathe is compared with %s.", s.words()))
		s.give(it)
		it.part(curriculum.Part{
			ID: "a", Kind: curriculum.KindRatio, Ask: "How many threads per inch is that, to 0.01?", Unit: curriculum.UnitPerInch, Decimals: 2,
			Steps: []curriculum.Step{{Name: "N", Say: "See how often the pitch goes into an inch, exactly 25.4 mm.", Rule: "25.4/P", Unit: curriculum.UnitPerInch}},
			Wrong: mistakes("tpi-pitch", "inverted-back", "one-over-mm", "twenty-five-back"),
		})
		return it, nil
	}
	// A rule laid over ten grooves shows ten pitches.
	ten, _ := s.length.Times(10).In(threadmath.Inch).Decimal(3)
	it := d.item(fmt.Sprintf("Ten grooves of a worn screw measure %s in from the first to the eleventh.", ten))
	it.given("m", "ten pitches", ten+" in")
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindCount, Ask: "How many threads per inch has it?", Unit: curriculum.UnitPerInch,
		Steps: []curriculum.Step{
			{Name: "P", Say: "One pitch is a tenth of the measured length.", Rule: "m/10", Unit: curriculum.UnitInch},
			{Name: "T", Say: "See how often the pitch goes into an inch.", Rule: "1/P", Unit: curriculum.UnitPerInch},
			{Name: "N", Say: "Threads per inch are whole here; the measurement was rounded.", Rule: "round(T)", Unit: curriculum.UnitPerInch},
		},
		Wrong: mistakes("tpi-pitch", "mm-back", "nine-gaps"),
	})
	return it, nil
}
