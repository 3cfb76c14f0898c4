package generate

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

var stationModels = []*model{
	{skill: "station-index", name: "stations", version: 2, weight: 2, serve: serveStations, draw: stationsOfStarts},
	{skill: "station-index", name: "which-holder", version: 3, weight: 1, serve: serveHolders, draw: whichHolder},
}

// holderWords describe a holder in a prompt.
func holderWords(h threadmath.Holder) string {
	switch h.Kind {
	case "chuck-jaws":
		return fmt.Sprintf("a chuck with %d jaws", h.Stations)
	case "faceplate-slots":
		return fmt.Sprintf("a faceplate with %d slots", h.Stations)
	case "drive-plate-slots":
		return fmt.Sprintf("a drive plate with %d slots", h.Stations)
	}
	return fmt.Sprintf("a ring of %d index holes on the spindle", h.Stations)
}

// stationWords name a holder's stations and which way they are numbered.
func stationWords(kind string) (name, order string) {
	switch kind {
	case "chuck-jaws":
		return "jaws", "numbered in the direction of rotation"
	case "index-holes":
		return "holes", "numbered in the order in which they reach the pin"
	}
	return "slots", "numbered in the direction of rotation"
}

// startsThat keeps the numbers of starts that a lathe can be asked about.
func startsThat(serve func(n int) bool) []weighted {
	return slices.DeleteFunc(slices.Clone(manyStarts), func(w weighted) bool {
		n, err := strconv.Atoi(w.value)
		return err != nil || !serve(n)
	})
}

// shares reports whether a holder gives each of n starts one of several stations.
func shares(h threadmath.Holder, n int) bool { return int(h.Stations) > n && int(h.Stations)%n == 0 }

func (m *machine) sharing(n int) []threadmath.Holder {
	return slices.DeleteFunc(m.turning(), func(h threadmath.Holder) bool { return !shares(h, n) })
}

// turning are the holders that can turn the work on from start to start: index
// holes only where the train opens, since the spindle turns alone then.
func (m *machine) turning() []threadmath.Holder {
	return slices.DeleteFunc(slices.Clone(m.holders), func(h threadmath.Holder) bool {
		return m.gears.shut && h.Kind == threadmath.IndexHoles
	})
}

func serveStations(m *machine, _ threadmath.System) string {
	if len(startsThat(func(n int) bool { return len(m.sharing(n)) > 0 })) > 0 {
		return ""
	}
	return "no jaws, slots or index holes that several starts could share"
}

func stationsOfStarts(d *draw) (*item, error) {
	n, err := d.starts(startsThat(func(n int) bool { return len(d.machine.sharing(n)) > 0 }))
	if err != nil {
		return nil, err
	}
	h := oneOf(d, d.machine.sharing(n))
	stations := int(h.Stations)
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	name, order := stationWords(h.Kind)
	it := d.item(fmt.Sprintf("%s thread with %s is indexed with %s, %s. Start 1 uses number 1.", capital(article(startWords[n])), s.words(), holderWords(h), order))
	it.given("n", "starts", itoa(n))
	it.given("J", name, itoa(stations))
	it.solve(threadmath.Request{Thread: s.request(n), Lathe: &threadmath.Lathe{Name: d.lathe.Name, TrainOpens: d.lathe.TrainOpens, Holders: []threadmath.Holder{h}}})
	it.ex.Drawing = "end-view"
	step := stations / n
	next := make([]int, n)
	fromStep := make([]int, n)
	for i := range n {
		next[i] = i + 1
		fromStep[i] = (i + 1) * step
	}
	it.part(curriculum.Part{
		ID: "a", Kind: curriculum.KindCount, Ask: "How many " + name + " on from one start to the next?",
		Steps: []curriculum.Step{{Name: "t", Say: "The stations are shared by the starts.", Rule: "J/n"}},
		Wrong: mistakesApart(map[string]int{"gaps": wholeGaps(stations, n), "starts-as-step": n, "difference": stations - n}, step, "gaps", "starts-as-step", "difference"),
	})
	it.part(curriculum.Part{
		ID: "b", Kind: curriculum.KindList, Ask: "Which " + name + " do the starts use, in order?", Marks: 1, At: "/holders/0/stations_of_starts",
		Steps: []curriculum.Step{{Name: "b", Say: fmt.Sprintf("Begin at 1 and count %d on for each start.", step)}},
		Wrong: []curriculum.WrongRule{
			mistakeWith("station-index", "next-station", "", &curriculum.Value{List: next}),
			mistakeWith("station-index", "counted-from-step", "", &curriculum.Value{List: fromStep}),
		},
	})
	return it, nil
}

// wholeGaps is what a learner finds who takes n − 1 gaps; 0 where that is not
// whole.
func wholeGaps(stations, n int) int {
	if stations%(n-1) != 0 {
		return 0
	}
	return stations / (n - 1)
}

// mistakesApart returns the wrong rules of station-index whose whole numbers
// stand apart from the answer and from those before them; a rule listed with 0
// always does.
func mistakesApart(values map[string]int, answer int, ids ...string) []curriculum.WrongRule {
	seen := []int{answer}
	var kept []string
	for _, id := range ids {
		v := values[id]
		if v != 0 && slices.Contains(seen, v) {
			continue
		}
		seen = append(seen, v)
		kept = append(kept, id)
	}
	return mistakes("station-index", kept...)
}

func serveHolders(m *machine, _ threadmath.System) string {
	if len(startsThat(m.choiceFor)) > 0 {
		return ""
	}
	return "no choice of jaws, slots or index holes"
}

func (m *machine) choiceFor(n int) bool {
	_, _, ok := m.oneServing(n)
	return ok
}

// oneServing returns the holder that serves n starts if it is the only one, and
// the others.
func (m *machine) oneServing(n int) (serving threadmath.Holder, others []threadmath.Holder, ok bool) {
	for _, h := range m.turning() {
		if int(h.Stations)%n != 0 {
			others = append(others, h)
			continue
		}
		if ok {
			return serving, nil, false
		}
		serving, ok = h, true
	}
	return serving, others, ok && len(others) > 0
}

func whichHolder(d *draw) (*item, error) {
	n, err := d.starts(startsThat(d.machine.choiceFor))
	if err != nil {
		return nil, err
	}
	serving, others, ok := d.machine.oneServing(n)
	if !ok {
		return nil, reject("not one holder of this lathe serves %d starts", n)
	}
	s, err := d.spacing(n)
	if err != nil {
		return nil, err
	}
	all := append([]threadmath.Holder{serving}, others...)
	d.rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	it := d.item(fmt.Sprintf("%s thread with %s is to be indexed on %s.", capital(article(startWords[n])), s.words(), d.latheName()))
	it.given("n", "starts", itoa(n))
	it.solve(threadmath.Request{Thread: s.request(n), Lathe: &threadmath.Lathe{Name: d.lathe.Name, TrainOpens: d.lathe.TrainOpens, Holders: all}})
	p := curriculum.Part{
		ID: "a", Kind: curriculum.KindChoice, Ask: "Which of these serves?",
		Steps: []curriculum.Step{{Name: "a", Say: fmt.Sprintf("The number of starts, %d, must divide the stations without a remainder.", n)}},
	}
	for i, h := range all {
		id := string(rune('A' + i))
		p.Choices = append(p.Choices, curriculum.Choice{ID: id, Text: holderWords(h)})
		if int(h.Stations)%n == 0 {
			p.Answer = curriculum.TextValue(id)
			continue
		}
		p.Wrong = append(p.Wrong, mistakeWith("station-index", "any-holder", "", curriculum.TextValue(id)))
	}
	it.part(p)
	it.part(stepOn(serving, n))
	return it, nil
}

// stepOn asks how far the work is turned on with the holder that serves. Its number
// of stations stands in the key alone: a given would say which holder it is.
func stepOn(h threadmath.Holder, n int) curriculum.Part {
	stations := int(h.Stations)
	p := curriculum.Part{
		ID: "b", Kind: curriculum.KindCount, Ask: "How many of its jaws, slots or holes on from one start to the next?",
		Steps: []curriculum.Step{{Name: "t", Say: "The stations are shared by the starts.", Rule: fmt.Sprintf("%d/n", stations)}},
	}
	values := map[string]int{"gaps": wholeGaps(stations, n), "starts-as-step": n, "difference": stations - n}
	for _, w := range mistakesApart(values, stations/n, "gaps", "starts-as-step", "difference") {
		if values[w.ID] > 0 {
			w.Rule = strings.ReplaceAll(w.Rule, "J", strconv.Itoa(stations))
			p.Wrong = append(p.Wrong, w)
		}
	}
	return p
}
