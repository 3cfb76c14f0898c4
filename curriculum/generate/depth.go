package generate

import (
	"fmt"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var depthModels = []*model{{skill: "depth-60", name: "depth", version: 1, weight: 1, draw: depth60}}

// sixty is a 60° form and side as an exercise names it, with its constant in
// figures and as a formula.
type sixty struct {
	words, form, side, constant, rule string
	wrong                             []string
}

var (
	isoExternal     = sixty{"ISO metric external thread", "iso-metric", "external", "0.6134", "17*sqrt(3)/48", []string{"lead-for-pitch", "sharp-v", "internal-height"}}
	isoInternal     = sixty{"ISO metric internal thread", "iso-metric", "internal", "0.5413", "5*sqrt(3)/16", []string{"lead-for-pitch", "sharp-v", "external-height"}}
	unifiedInternal = sixty{"Unified internal thread", "unified", "internal", "0.5413", "5*sqrt(3)/16", []string{"lead-for-pitch", "sharp-v", "external-height"}}
	national        = sixty{"American National thread", "american-national", "external", "0.6495", "3*sqrt(3)/8", []string{"lead-for-pitch", "sharp-v", "internal-height"}}
)

var sixties = map[threadmath.System]map[string]sixty{
	threadmath.Metric: {"ISO metric external": isoExternal, "ISO metric internal": isoInternal},
	threadmath.Inch:   {"American National": national, "Unified internal": unifiedInternal},
}

func (d *draw) sixty() (sixty, error) {
	choices := even("ISO metric external", "ISO metric internal")
	if d.units == threadmath.Inch {
		choices = even("American National", "Unified internal")
	}
	v, err := d.radical("form", choices)
	return sixties[d.units][v], err
}

// request is the thread of the form with n starts.
func (f sixty) request(s spacing, n int) threadmath.Thread {
	t := s.request(n)
	t.Form, t.Side = f.form, f.side
	return t
}

// steps lead from the pitch to the depth h.
func (f sixty) steps(s spacing, units threadmath.System) []curriculum.Step {
	return append(s.steps(),
		curriculum.Step{Name: "K", Say: "The constant of this form is " + f.constant + ".", Rule: f.rule},
		curriculum.Step{Name: "h", Say: "The depth is the constant times the pitch, whatever the number of starts.", Rule: "K*P", Unit: units.String(), Method: true},
	)
}

func depth60(d *draw) (*item, error) {
	n, err := d.starts(manyStarts)
	if err != nil {
		return nil, err
	}
	f, err := d.sixty()
	if err != nil {
		return nil, err
	}
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s %s has %s. The constant for the depth of this form is %s.", capital(article(startWords[n])), f.words, s.words(), f.constant))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.solve(threadmath.Request{Thread: f.request(s, n)})
	it.ex.Drawing = "profile"
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How deep is the groove, measured square to the axis?", Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2, At: "/depth",
		Steps: f.steps(s, d.units), Wrong: mistakes("depth-60", f.wrong...),
	})
	return it, nil
}

// external60 draws the starts and pitch of an external thread of 60°: ISO metric,
// American National on an inch sheet.
func (d *draw) external60() (n int, s spacing, form sixty, err error) {
	form = isoExternal
	if d.units == threadmath.Inch {
		form = national
	}
	if n, err = d.starts(manyStarts); err != nil {
		return 0, s, form, err
	}
	s, err = d.spacing(n)
	return n, s, form, err
}

var infeedModels = []*model{{skill: "infeed-angle", name: "travel", version: 1, weight: 1, serve: serveCompound, draw: infeedTravel}}

func serveCompound(m *machine, _ threadmath.System) string {
	if m.compound == nil {
		return "no compound slide"
	}
	return ""
}

func infeedTravel(d *draw) (*item, error) {
	n, s, f, err := d.external60()
	if err != nil {
		return nil, err
	}
	// Shops set 29°, 29.5° or 30° (common practice, no source).
	angle := oneOf(d, []float64{29, 29.5, 30})
	text := trimZeros(fmt.Sprintf("%.1f", angle))
	it := d.item(fmt.Sprintf("%s %s has %s. The compound slide stands at %s° from the cross-slide. The constant for the depth of this form is %s.",
		capital(article(startWords[n])), f.words, s.words(), text, f.constant))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.given("A", "infeed angle from the cross-slide", text+"°")
	it.solve(threadmath.Request{Thread: f.request(s, n), Lathe: &threadmath.Lathe{Name: d.lathe.Name, CompoundSlide: d.lathe.CompoundSlide}, Cut: &threadmath.Cut{InfeedAngleDeg: &angle}})
	it.ex.Drawing = "compound"
	if d.machine.compound.reads(d.units) {
		it.setOn("a", d.machine.compound.graduationIn(d.units))
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "How far does the compound slide travel to full depth?", Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2, At: "/infeed/0/slide_travel",
		Steps: append(f.steps(s, d.units), curriculum.Step{Name: "c", Say: "Along the slanted slide the way is longer: divide the depth by the cosine.", Rule: "h/cos(A)", Unit: d.units.String(), Method: true}),
		Wrong: mistakes("infeed-angle", "multiplied", "sine", "straight", "lead-for-pitch"),
	})
	return it, nil
}
