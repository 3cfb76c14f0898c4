package generate

import (
	"fmt"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var leadModels = []*model{{skill: "lead", name: "from-pitch", version: 1, weight: 1, draw: leadFromPitch}}

func leadFromPitch(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread has %s.", capital(article(startWords[n])), s.words()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.solve(threadmath.Request{Thread: s.request(n)})
	it.ex.Drawing = "starts"
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "What is its lead?", Unit: d.units.String(), Decimals: d.askedLength(), At: "/lead",
		Steps: append(s.steps(), curriculum.Step{Name: "L", Say: "The lead is the number of starts times the pitch.", Rule: "n*P", Unit: d.units.String()}),
		Wrong: mistakes("lead", "pitch-for-lead", "divided", "added"),
	})
	return it, nil
}

var startsModels = []*model{
	{skill: "starts-from-lead", name: "starts", version: 1, weight: 1, draw: startsOfLead},
	{skill: "starts-from-lead", name: "pitch", version: 1, weight: 1, draw: pitchOfLead},
}

func startsOfLead(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	lead := lengthText(s.length.Times(n), d.units)
	it := d.item(fmt.Sprintf("A worn screw shows %s, and the nut moves %s in one turn.", s.words(), lead))
	it.given("L", "lead", lead)
	s.give(it)
	it.solve(threadmath.Request{Thread: threadmath.Thread{Pitch: s.text, Lead: lead}})
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindCount, Ask: "How many starts has it?",
		Steps: append(s.steps(), curriculum.Step{Name: "n", Say: "The number of starts is the lead divided by the pitch.", Rule: "L/P"}),
		Wrong: mistakes("starts-from-lead", "inverted", "difference"),
	})
	return it, nil
}

func pitchOfLead(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	lead := lengthText(s.length.Times(n), d.units)
	it := d.item(fmt.Sprintf("%s thread has a lead of %s.", capital(article(startWords[n])), lead))
	it.given("L", "lead", lead)
	it.given("n", "starts", itoa(n))
	it.solve(threadmath.Request{Thread: threadmath.Thread{Lead: lead, Starts: count(n)}})
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "What is its pitch?", Unit: d.units.String(), Decimals: d.askedLength(), At: "/pitch",
		Steps: []curriculum.Step{{Name: "P", Say: "The pitch is the lead divided by the number of starts.", Rule: "L/n", Unit: d.units.String()}},
		Wrong: mistakes("starts-from-lead", "lead-for-pitch", "multiplied", "starts-on-top"),
	})
	return it, nil
}

var gearboxModels = []*model{{skill: "gearbox-setting", name: "setting", version: 1, weight: 1, serve: serveGearbox, draw: gearboxSetting}}

func serveGearbox(m *machine, units threadmath.System) string {
	if len(m.gearbox) == 0 {
		return "no gearbox settings"
	}
	for n := 2; n <= 6; n++ {
		for _, s := range spacings[units] {
			if m.setting(s.length.Times(n), units) != nil {
				return ""
			}
		}
	}
	return "the gearbox has no setting in " + units.String() + " that several starts would use"
}

// setting returns the gearbox setting of the lead that is written in the units;
// nil where there is none.
func (m *machine) setting(lead threadmath.Length, units threadmath.System) *setting {
	for i := range m.gearbox {
		if s := &m.gearbox[i]; s.system == units && s.lead.Equal(lead) {
			return s
		}
	}
	return nil
}

func gearboxSetting(d *draw) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	if d.machine.setting(s.length.Times(n), d.units) == nil {
		return nil, reject("the gearbox does not cut %d × %s", n, s.text)
	}
	it := d.item(fmt.Sprintf("%s thread with %s is to be cut on %s.", capital(article(startWords[n])), s.words(), d.latheName()))
	s.give(it)
	it.given("n", "starts", itoa(n))
	it.solve(threadmath.Request{Thread: s.request(n), Lathe: &threadmath.Lathe{Name: d.lathe.Name, Gearbox: d.lathe.Gearbox}})
	if d.units == threadmath.Inch {
		it.part(curriculum.Part{
			ID: "a", Kind: curriculum.KindRatio, Ask: "How many turns per inch is the gearbox set to?", Unit: curriculum.UnitPerInch, Decimals: 2, At: "/turns_per_inch",
			Steps: []curriculum.Step{{Name: "T", Say: "The gearbox makes the lead: divide the threads per inch by the starts.", Rule: "N/n", Unit: curriculum.UnitPerInch}},
			Wrong: mistakes("gearbox-setting", "grooves", "multiplied"),
		})
		return it, nil
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: "Which lead is the gearbox set to?", Unit: curriculum.UnitMM, Decimals: 2, At: "/lead",
		Steps: []curriculum.Step{{Name: "L", Say: "The gearbox makes the lead: starts times pitch.", Rule: "n*P", Unit: curriculum.UnitMM}},
		Wrong: mistakes("gearbox-setting", "pitch-set", "divided"),
	})
	return it, nil
}

// latheName names the lathe in a prompt.
func (d *draw) latheName() string {
	if d.lathe.Name == "" {
		return "this lathe"
	}
	return d.lathe.Name
}
