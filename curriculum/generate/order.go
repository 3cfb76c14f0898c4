package generate

import (
	"cmp"
	"fmt"
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// orderModels ask for a safe order, a model for each round of orderRounds.
var orderModels = func() []*model {
	out := make([]*model, len(orderRounds))
	for i := range orderRounds {
		r := &orderRounds[i]
		out[i] = &model{skill: "safe-order", name: r.name, version: 2, weight: r.weight, serve: r.serve, draw: func(d *draw) (*item, error) {
			return safeOrder(d, r)
		}}
	}
	return out
}()

// deed is one thing that is done.
type deed struct {
	id string
	// says are the ways of putting it, after how the lathe stands once it is done.
	says []string
	then string
}

// need says that first comes before next within a round; hazard is the wrong rule
// of the catalogue that the other way round is.
type need struct{ first, next, hazard string }

// round is work that comes round again, pass by pass, start by start or try by
// try. What must be done next depends on where in the round the lathe stands, and
// the order of two deeds on how the thread ends, so that no one rank of the
// sentences is a safe order.
type round struct {
	name   string
	weight int
	serve  func(*machine, threadmath.System) string
	// lathe is on what the thread is cut, where that is not the drawer's lathe with
	// any thread.
	lathe string
	// opens are ways of telling what is done.
	opens []string
	// deeds are the round in one safe order; the two deeds of an ending are put in
	// before deeds[at].
	deeds []deed
	at    int
	needs []need
	ends  []ending
	// asked is how many deeds a draw shows.
	asked int
}

// ending is how a pass comes to its end: two deeds in their order, and why it is
// theirs.
type ending struct {
	says  []string
	deeds [2]deed
	needs []need
}

// lap is a round with an ending, from one of its deeds on.
type lap struct {
	deeds []deed
	// stands says how the lathe stands before the first of them.
	stands string
	// hazards[i][j] is the hazard of doing deed j before deed i, empty where the two
	// may be done either way.
	hazards [][]string
}

// from returns the lap of the round that begins with deed number first. A need
// holds in it when its two deeds stand that way round in the lap; one that leads
// over its end belongs to the next.
func (r *round) from(e *ending, first int) *lap {
	all := slices.Insert(slices.Clone(r.deeds), r.at, e.deeds[:]...)
	n := len(all)
	l := &lap{deeds: slices.Concat(all[first:], all[:first]), stands: all[(first+n-1)%n].then}
	place := map[string]int{}
	l.hazards = make([][]string, n)
	for i, d := range l.deeds {
		place[d.id] = i
		l.hazards[i] = make([]string, n)
	}
	for _, needs := range [2][]need{r.needs, e.needs} {
		for _, x := range needs {
			if i, j := place[x.first], place[x.next]; i < j {
				l.hazards[i][j] = x.hazard
			}
		}
	}
	l.close()
	return l
}

// close adds what follows: a before b and b before c is a before c, for the
// reason that a comes before b.
func (l *lap) close() {
	n := len(l.deeds)
	for i := n - 2; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			if l.hazards[i][k] == "" {
				continue
			}
			for j := k + 1; j < n; j++ {
				if l.hazards[k][j] != "" && l.hazards[i][j] == "" {
					l.hazards[i][j] = l.hazards[i][k]
				}
			}
		}
	}
}

// only keeps the deeds at the places, which ascend.
func (l *lap) only(places []int) *lap {
	out := &lap{stands: l.stands}
	for _, i := range places {
		out.deeds = append(out.deeds, l.deeds[i])
		var row []string
		for _, j := range places {
			row = append(row, l.hazards[i][j])
		}
		out.hazards = append(out.hazards, row)
	}
	return out
}

// lap draws where the lathe stands and which deeds are asked: the two of the
// ending and some of the others, beginning with any of them alike.
func (r *round) lap(d *draw, e *ending) *lap {
	places := d.some(len(r.deeds), r.asked-len(e.deeds))
	for i, p := range places {
		if p >= r.at {
			places[i] = p + len(e.deeds)
		}
	}
	places = append(places, r.at, r.at+1)
	slices.Sort(places)
	begin := d.rng.IntN(len(places))
	n := len(r.deeds) + len(e.deeds)
	first := places[begin]
	// The deeds left out before the first one may be done already, or not yet.
	gap := (first - places[(begin+len(places)-1)%len(places)] + n) % n
	first = (first - d.rng.IntN(gap) + n) % n
	for i, p := range places {
		places[i] = (p - first + n) % n
	}
	slices.Sort(places)
	return r.from(e, first).only(places)
}

// safeOrder asks for the order of the deeds of a lap. Its cautions are left out:
// they would give the order away. What holds at every lathe stands on the sheet
// anyway.
func safeOrder(d *draw, r *round) (*item, error) {
	n, s, err := d.thread(manyStarts)
	if err != nil {
		return nil, err
	}
	e := &r.ends[d.rng.IntN(len(r.ends))]
	l := r.lap(d, e)
	count := len(l.deeds)
	it := d.item(fmt.Sprintf("%s thread with %s is cut on %s; %s %s Now %s.",
		capital(article(startWords[n])), s.words(), cmp.Or(r.lathe, d.latheName()), oneOf(d, r.opens), oneOf(d, e.says), l.stands))
	s.give(it)
	it.given("n", "starts", itoa(n))
	p := curriculum.Part{
		ID: "a", Kind: curriculum.KindOrder, Marks: 2, Safety: true, Partial: true,
		Ask: "From here on each of these is done once more. In which order is that safe? Where two can safely be done either way, either order is right.",
	}
	ids, texts := make([]string, count), make([]string, count) // in the order of the lap
	for place, i := range l.shuffled(d) {
		ids[i], texts[i] = string(rune('A'+place)), oneOf(d, l.deeds[i].says)
		p.Choices = append(p.Choices, curriculum.Choice{ID: ids[i], Text: texts[i]})
	}
	p.Answer = &curriculum.Value{Order: ids}
	p.Steps = []curriculum.Step{{Name: "a", Say: "See how the lathe stands now, then ask of each action what goes wrong if another one comes before it: what still turns, where the tool is, what has not been looked at yet."}}
	for i, id := range ids {
		say := id + ". " + texts[i]
		told := map[string]bool{}
		for j := i + 1; j < count; j++ {
			hazard := l.hazards[i][j]
			if hazard == "" {
				continue
			}
			w := mistakes("safe-order", hazard)[0]
			if !told[hazard] {
				say += " " + w.Feedback
				told[hazard] = true
			}
			w.Answer = &curriculum.Value{Order: []string{ids[j], id}}
			p.Wrong = append(p.Wrong, w)
		}
		p.Steps = append(p.Steps, curriculum.Step{Say: say})
	}
	it.part(p)
	return it, nil
}

// shuffled returns which deed is shown at each place; as shown they are in no
// safe order.
func (l *lap) shuffled(d *draw) []int {
	shown := make([]int, len(l.deeds))
	for i := range shown {
		shown[i] = i
	}
	d.rng.Shuffle(len(shown), func(i, j int) { shown[i], shown[j] = shown[j], shown[i] })
	if l.safe(shown) {
		slices.Reverse(shown)
	}
	return shown
}

// safe reports whether no deed of the order comes before one that it needs.
func (l *lap) safe(order []int) bool {
	for at, j := range order {
		for _, i := range order[at+1:] {
			if l.hazards[i][j] != "" {
				return false
			}
		}
	}
	return true
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
