package generate

import (
	"fmt"
	"slices"
	"strconv"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// orderModels ask for a safe order, a model for each procedure.
var orderModels = []*model{
	orderModel("half-nut-closed", 2, nil, keptClosedActions, "the half-nut stays closed until the thread is done. The tool has come to its withdrawal mark at the end of a pass."),
	orderModel("first-cut", 2, nil, firstCutActions, "nothing has been cut in this set-up yet."),
	orderModel("next-station", 2, serveAnyHolder, stationActions, "start 1 is done, and the work is turned to another station for the next."),
	orderModel("next-by-gear", 2, serveStudGear, gearActions, "start 1 is done, and teeth of the stud gear are let by for the next."),
	orderModel("reground-tool", 1, nil, regroundActions, "the tool has been taken out and reground before the last start is finished."),
}

// action is one thing that is done, and the mistake of leaving it until a later
// one is done.
type action struct{ text, late string }

// The procedures: each action must be done before the one that follows, for the
// reason that its mistake gives, so that any of them have one safe order. Stop,
// withdraw, reverse: Jones, Turning and Boring, 1914. Isolating, winding back and
// checking again after every index, measuring at a standstill: common practice.
var (
	keptClosedActions = []action{
		{"Stop the spindle at the withdrawal mark.", "overrun"},
		{"Withdraw the tool clear of the work.", "reversed-in-cut"},
		{"Reverse the spindle and run the carriage back.", "set-in-before-return"},
		{"Stop the spindle with the tool beyond the beginning of the work.", "set-in-reversing"},
		{"Set the infeed for the next pass.", "fed-in-late"},
		{"Start the spindle forward for the next pass.", ""},
	}
	firstCutActions = []action{
		{"Work out the greatest speed for this lead and this run-out.", "run-out-unchecked"},
		{"Set a spindle speed no greater than the run-out figure.", "too-fast"},
		{"Run dry passes up to the withdrawal mark, the tool clear of the work.", "no-dry-pass"},
		{"Take a light scratch over the length.", "no-scratch"},
		{"Stop the spindle after the scratch, the tool withdrawn.", "measured-running"},
		{"Measure the lead of the scratch over several turns.", "lead-unchecked"},
		{"Take the first real pass.", ""},
	}
	stationActions = []action{
		{"Stop the spindle, the tool withdrawn.", "hands-at-turning-work"},
		{"Isolate the lathe.", "not-isolated"},
		{"Turn the work to the station of the next start.", "index-late"},
		{"At the new station, wind the infeed back to its starting reading and see that the tool clears the work.", "infeed-not-back"},
		{"Switch on again and scratch the new start lightly.", "no-scratch-of-start"},
		{"Stop, and measure from the finished groove to the scratch.", "spacing-unchecked"},
		{"Cut the new start, pass by pass.", ""},
	}
	gearActions = []action{
		{"Stop the spindle, the tool withdrawn, the half-nut left closed.", "hands-at-turning-work"},
		{"Isolate the lathe.", "not-isolated"},
		{"Open the guard and mark the teeth that mesh.", "teeth-not-marked"},
		{"Draw the wheels out of mesh and turn the spindle forward by the counted teeth.", "index-late"},
		{"Mesh the wheels again and close the guard.", "guard-open"},
		{"With the guard closed, wind the infeed back to its starting reading and see that the tool clears the work.", "infeed-not-back"},
		{"Switch on again and scratch the new start lightly.", "no-scratch-of-start"},
		{"Stop, and measure from the finished groove to the scratch.", "spacing-unchecked"},
		{"Cut the new start, pass by pass.", ""},
	}
	regroundActions = []action{
		{"Stop and isolate the lathe before the tool is touched.", "tool-changed-running"},
		{"Set the reground tool to centre height and square to the axis.", "squared-late"},
		{"Half-nut closed, let the squared tool travel a little with the spindle forward, clear of the work, and stop: the slack is out.", "slack-left"},
		{"Bring the tool into the groove with both slides.", "collar-before-groove"},
		{"Set the collars to zero where the tool stands in the groove.", "old-collar"},
		{"Take a light pass and see that the tool follows the groove.", "no-light-pass"},
		{"Go on to full depth.", ""},
	}
)

func serveAnyHolder(m *machine, _ threadmath.System) string {
	if len(m.holders) == 0 {
		return "no jaws, slots or index holes"
	}
	return ""
}

func serveStudGear(m *machine, _ threadmath.System) string {
	switch {
	case m.ways.TrainOpens != nil && !*m.ways.TrainOpens:
		return "the gear train cannot be opened"
	case m.ways.StudGear == nil:
		return "no stud gear"
	}
	return ""
}

func orderModel(name string, weight int, serve func(*machine, threadmath.System) string, actions []action, where string) *model {
	return &model{skill: "safe-order", name: name, version: 1, weight: weight, serve: serve, draw: func(d *draw) (*item, error) {
		return safeOrder(d, actions, where)
	}}
}

// safeOrder asks for the order of five or six of the actions. Its cautions are
// left out: they would give the order away. What holds at every lathe stands on
// the sheet anyway.
func safeOrder(d *draw, actions []action, where string) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	size, err := d.radical("actions", []weighted{{"5", 1}, {"6", 1}})
	if err != nil {
		return nil, err
	}
	count, err := strconv.Atoi(size)
	if err != nil {
		return nil, err
	}
	kept := d.some(len(actions), count)
	shown := make([]int, count) // place on paper → place in kept
	for i := range shown {
		shown[i] = i
	}
	d.rng.Shuffle(count, func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
	if slices.IsSorted(shown) { // the right order must not stand there
		slices.Reverse(shown)
	}
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s; %s", capital(article(startWords[n])), s.words(), d.latheName(), where))
	s.give(it)
	it.given("n", "starts", itoa(n))
	p := curriculum.Part{ID: "a", Kind: curriculum.KindOrder, Ask: "In which order is this done safely?", Marks: 2, Safety: true}
	ids := make([]string, count)
	for place, i := range shown {
		ids[i] = string(rune('A' + place))
		p.Choices = append(p.Choices, curriculum.Choice{ID: ids[i], Text: actions[kept[i]].text})
	}
	p.Answer = &curriculum.Value{Order: ids}
	p.Steps = []curriculum.Step{{Name: "a", Say: "Ask of each action what goes wrong if another one comes before it: what still turns, where the tool stands, what has not been looked at yet."}}
	for i := range ids {
		a := actions[kept[i]]
		if i == count-1 {
			p.Steps = append(p.Steps, curriculum.Step{Say: ids[i] + ". " + a.text})
			break
		}
		wrong := mistakes("safe-order", a.late)[0]
		p.Steps = append(p.Steps, curriculum.Step{Say: ids[i] + ". " + a.text + " " + wrong.Feedback})
		for _, later := range ids[i+1:] {
			w := wrong
			w.Answer = &curriculum.Value{Order: []string{later, ids[i]}}
			p.Wrong = append(p.Wrong, w)
		}
	}
	it.part(p)
	return it, nil
}

// some returns k of the numbers below n, ascending.
func (d *draw) some(n, k int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	for len(all) > k {
		i := d.rng.IntN(len(all))
		all = slices.Delete(all, i, i+1)
	}
	return all
}
