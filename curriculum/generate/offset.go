package generate

import (
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var offsetModels = []*model{
	{skill: "axial-offset", name: "behind", version: 1, weight: 2, draw: offsetBehind},
	{skill: "axial-offset", name: "with-travel", version: 2, weight: 1, serve: serveParallel, draw: offsetWithTravel},
}

// leadOf draws a thread and gives it by its lead and starts.
func (d *draw) leadOf(choices []weighted) (n int, s spacing, lead string, err error) {
	if n, s, err = d.thread(choices); err != nil {
		return
	}
	return n, s, lengthText(s.length.Times(n), d.units), nil
}

func pitchStep(units threadmath.System) curriculum.Step {
	return curriculum.Step{Name: "P", Say: "The pitch is the lead divided by the number of starts.", Rule: "L/n", Unit: units.String(), Method: true}
}

func offsetBehind(d *draw) (*item, error) {
	n, _, lead, err := d.leadOf(few2)
	if err != nil {
		return nil, err
	}
	k := d.between(2, n)
	it := d.item(fmt.Sprintf("%s thread has a lead of %s. Start 1 is cut.", capital(article(startWords[n])), lead))
	it.given("L", "lead", lead)
	it.given("n", "starts", itoa(n))
	it.given("k", "the start wanted", itoa(k))
	it.solve(threadmath.Request{Thread: threadmath.Thread{Lead: lead, Starts: count(n)}})
	it.ex.Drawing = "starts"
	wrong := []string{"whole-lead"}
	if k < n { // at the last start both give the whole lead
		wrong = append(wrong, "gaps", "one-too-many")
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: fmt.Sprintf("How far behind start 1, against the tool's travel, does start %d lie?", k),
		Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2, At: fmt.Sprintf("/starts/%d/offset", k-1),
		Steps: []curriculum.Step{pitchStep(d.units), {Name: "s", Say: "Start k lies k − 1 pitches behind start 1.", Rule: "(k-1)*P", Unit: d.units.String()}},
		Wrong: mistakes("axial-offset", wrong...),
	})
	return it, nil
}

func serveParallel(m *machine, units threadmath.System) string {
	if m.compound == nil {
		return "no compound slide"
	}
	if m.compound.graduation != nil && !m.compound.reads(units) {
		return "the compound slide's collar does not read " + units.String()
	}
	return ""
}

// fromThree leaves two starts out: their second lies as far either way, and no
// draw of them would be kept.
var fromThree = slices.DeleteFunc(slices.Clone(few2), func(w weighted) bool { return w.value == "2" })

func offsetWithTravel(d *draw) (*item, error) {
	n, s, lead, err := d.leadOf(fromThree)
	if err != nil {
		return nil, err
	}
	k := d.between(2, n)
	if 2*k == n+2 {
		return nil, reject("start %d of %d is as far either way", k, n)
	}
	if t := d.machine.compound.travel; t != nil && s.length.Times(n).Cmp(*t) > 0 {
		return nil, reject("the compound slide does not travel %s", lead)
	}
	it := d.item(fmt.Sprintf("%s thread has a lead of %s. The compound slide of %s is set parallel to the axis, and its backlash is taken up with the tool's travel.",
		capital(article(startWords[n])), lead, d.latheName()))
	it.given("L", "lead", lead)
	it.given("n", "starts", itoa(n))
	it.given("k", "the start wanted", itoa(k))
	it.solve(threadmath.Request{Thread: threadmath.Thread{Lead: lead, Starts: count(n)}, Lathe: &threadmath.Lathe{Name: d.lathe.Name, CompoundSlide: d.lathe.CompoundSlide}})
	it.ex.Drawing = "starts"
	if d.machine.compound.reads(d.units) {
		it.setOn("a", d.machine.compound.graduationIn(d.units))
	}
	wrong := []string{"against-travel", "whole-lead"}
	if k < n { // before the last start the count is one short
		wrong = append(wrong, "one-less")
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindLength, Ask: fmt.Sprintf("How far is the slide moved with the travel, from where start 1 was cut, to reach start %d?", k),
		Unit: d.units.String(), Decimals: d.askedLength(), Marks: 2, At: fmt.Sprintf("/compound_slide/moves/%d/distance", n+1-k),
		Steps: []curriculum.Step{pitchStep(d.units), {Name: "m", Say: "With the travel, start k comes after n + 1 − k moves of one pitch.", Rule: "(n+1-k)*P", Unit: d.units.String()}},
		Wrong: mistakes("axial-offset", wrong...),
	})
	return it, nil
}

var angleModels = []*model{{skill: "index-angle", name: "step", version: 1, weight: 1, draw: indexAngle}}

func indexAngle(d *draw) (*item, error) {
	n, _, lead, err := d.leadOf(few2)
	if err != nil {
		return nil, err
	}
	it := d.item(fmt.Sprintf("%s thread has a lead of %s. The work is turned to begin each next start.", capital(article(startWords[n])), lead))
	it.given("L", "lead", lead)
	it.given("n", "starts", itoa(n))
	it.solve(threadmath.Request{Thread: threadmath.Thread{Lead: lead, Starts: count(n)}})
	wrong := []string{"by-lead", "gaps", "half-turn"}
	if n > 2 { // half a turn is half a turn either way
		wrong = append(wrong, "backwards")
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindAngle, Ask: "Through what angle from one start to the next?", Unit: curriculum.UnitDegrees, Decimals: 1, At: "/starts/1/angle_deg",
		Steps: []curriculum.Step{{Name: "A", Say: "A whole turn is shared by the starts.", Rule: "360/n", Unit: curriculum.UnitDegrees}},
		Wrong: mistakes("index-angle", wrong...),
	})
	if n > 2 {
		k := d.between(3, n)
		it.given("k", "the start wanted", itoa(k))
		it.part(curriculum.Part{
			ID: "b", Kind: curriculum.KindAngle, Ask: fmt.Sprintf("At what angle from start 1 does start %d stand?", k), Unit: curriculum.UnitDegrees, Decimals: 1, At: fmt.Sprintf("/starts/%d/angle_deg", k-1),
			Steps: []curriculum.Step{{Name: "B", Say: "Start k stands k − 1 steps on.", Rule: "(k-1)*a", Unit: curriculum.UnitDegrees}},
			Wrong: mistakes("index-angle", "one-too-many"),
		})
	}
	it.ex.Drawing = "end-view"
	return it, nil
}
