package shop

import (
	"cmp"
	"fmt"
	"slices"

	"halfnut/curriculum"
)

// Learner is one learner of the session. On holds the lathes that can take the
// learner's job; Why says why nothing can ("no job card", "not allowed yet") and
// keeps the learner off the lathes.
type Learner struct {
	ID  string
	On  []Option
	Why string
}

// Option is a lathe and the whole minutes the job takes there.
type Option struct {
	Lathe   string
	Minutes int
}

// planner holds a session while it is planned. Learners, lathes and stations are
// numbers here; minutes count from the session's beginning.
type planner struct {
	spec     curriculum.ShopSpec
	learners []Learner
	who      map[string]int
	lathe    map[string]int
	station  map[string]int
	open     int // opening's end
	close    int // closing's beginning

	minutes  [][]int // [learner][lathe], 0 where the lathe cannot take the job
	priority []int   // 0 first
	fixed    []curriculum.Booking
	turn     map[int]bool // learners whose turn is fixed
	ofLathe  [][]span     // fixed spans
	ofPerson [][]span
	// checks are when fixed turns end, to be checked off with the others.
	checks []release
}

type span struct{ begin, end int }

// Plan plans a session. Learners come in the order in which ties are broken (by
// seat). A FieldError names what in the spec cannot be, two decisions made by
// hand that book somebody or something twice among them.
func Plan(spec curriculum.ShopSpec, learners []Learner) (curriculum.ShopPlan, error) {
	p, err := newPlanner(spec, learners)
	if err != nil {
		return curriculum.ShopPlan{}, err
	}
	turns, left := p.choose()
	out := p.write(turns, left)
	out.Sessions = p.sessions(left)
	return out, nil
}

func newPlanner(spec curriculum.ShopSpec, learners []Learner) (*planner, error) {
	if err := Check(spec); err != nil {
		return nil, err
	}
	p := &planner{
		spec: spec, learners: learners, who: map[string]int{}, lathe: map[string]int{}, station: map[string]int{},
		open: spec.Opening, close: spec.Minutes - spec.Closing, turn: map[int]bool{},
		ofLathe: make([][]span, len(spec.Lathes)), ofPerson: make([][]span, len(learners)),
		minutes: make([][]int, len(learners)), priority: make([]int, len(learners)),
	}
	for i, l := range spec.Lathes {
		p.lathe[l] = i
	}
	for i, s := range spec.Stations {
		p.station[s.ID] = i
	}
	for i, l := range learners {
		if _, twice := p.who[l.ID]; twice {
			return nil, &curriculum.FieldError{Path: "/learners", Value: l.ID, Reason: "stands twice in the list"}
		}
		p.who[l.ID] = i
		p.priority[i] = 1
		p.minutes[i] = make([]int, len(spec.Lathes))
		if l.Why != "" {
			continue
		}
		for _, o := range l.On {
			if k, ok := p.lathe[o.Lathe]; ok && o.Minutes > 0 {
				p.minutes[i][k] = o.Minutes
			}
		}
	}
	for _, id := range spec.First {
		if i, ok := p.who[id]; ok {
			p.priority[i] = 0
		}
	}
	return p, p.fix()
}

// fix enters what was decided by hand.
func (p *planner) fix() error {
	for n, f := range p.spec.Fixed {
		path := fmt.Sprintf("/spec/fixed/%d", n)
		who, ok := p.who[f.Learner]
		if !ok {
			return &curriculum.FieldError{Path: path + "/learner", Value: f.Learner, Reason: "is not in this session"}
		}
		k, isLathe := p.lathe[f.Place]
		s, isStation := p.station[f.Place]
		if !isLathe && !isStation {
			return &curriculum.FieldError{Path: path + "/place", Value: f.Place, Reason: "is no lathe or station of this session"}
		}
		minutes := f.Minutes
		if isLathe {
			if why := p.learners[who].Why; why != "" {
				return &curriculum.FieldError{Path: path + "/learner", Value: f.Learner, Reason: "gets no turn at a lathe: " + why}
			}
			if p.minutes[who][k] == 0 {
				return &curriculum.FieldError{Path: path + "/place", Value: f.Place, Reason: "this lathe cannot take the learner's job"}
			}
			if f.Begin == nil {
				only := p.minutes[who][k]
				clear(p.minutes[who])
				p.minutes[who][k] = only
				continue
			}
			if p.turn[who] {
				return &curriculum.FieldError{Path: path, Value: f.Learner, Reason: "already has a fixed turn"}
			}
			if minutes == 0 {
				minutes = p.minutes[who][k]
			}
		} else {
			if f.Begin == nil {
				return &curriculum.FieldError{Path: path + "/begin", Reason: "a visit to a station needs its beginning"}
			}
			if minutes == 0 {
				minutes = p.spec.Stations[s].Minutes
			}
		}
		b := curriculum.Booking{Kind: curriculum.BookedStation, Learner: f.Learner, Place: f.Place, Begin: *f.Begin, End: *f.Begin + minutes, Fixed: true}
		if isLathe {
			b.Kind = curriculum.BookedLathe
		}
		if err := p.enter(path, b); err != nil {
			return err
		}
	}
	return nil
}

// enter keeps one fixed booking unless it books something twice.
func (p *planner) enter(path string, b curriculum.Booking) error {
	if b.Begin < p.open || b.End > p.close {
		return &curriculum.FieldError{
			Path: path + "/begin", Value: fmt.Sprintf("%d to %d", b.Begin, b.End),
			Reason: "outside the time between opening and closing", Allowed: fmt.Sprintf("minutes %d to %d", p.open, p.close),
		}
	}
	who := p.who[b.Learner]
	places, taken := 1, 0
	if s, ok := p.station[b.Place]; ok {
		places = p.spec.Stations[s].Places
	}
	for _, o := range p.fixed {
		if o.Begin >= b.End || b.Begin >= o.End {
			continue
		}
		if o.Learner == b.Learner {
			return &curriculum.FieldError{Path: path, Value: b.Learner, Reason: fmt.Sprintf("is already at %s from minute %d to %d", o.Place, o.Begin, o.End)}
		}
		if o.Place == b.Place {
			taken++
		}
	}
	if taken >= places {
		return &curriculum.FieldError{Path: path, Value: b.Place, Reason: fmt.Sprintf("is full from minute %d to %d", b.Begin, b.End)}
	}
	p.fixed = append(p.fixed, b)
	p.ofPerson[who] = insert(p.ofPerson[who], span{b.Begin, b.End})
	if k, ok := p.lathe[b.Place]; ok {
		p.ofLathe[k] = insert(p.ofLathe[k], span{b.Begin, b.End})
		p.turn[who] = true
		p.checks = append(p.checks, release{b.End, who})
	}
	return nil
}

func insert(spans []span, s span) []span {
	i, _ := slices.BinarySearchFunc(spans, s, func(a, b span) int { return cmp.Compare(a.begin, b.begin) })
	return slices.Insert(spans, i, s)
}

// choose says who gets a turn, and when. If all do not fit, those who are to be
// first come first, and then the shortest jobs, which gives the most turns.
func (p *planner) choose() (solution, []curriculum.LeftOut) {
	var todo []int
	left := []curriculum.LeftOut{}
	for i, l := range p.learners {
		switch {
		case p.turn[i]:
		case l.Why != "":
			left = append(left, curriculum.LeftOut{Learner: l.ID, Why: l.Why})
		case p.least(i) == 0:
			left = append(left, curriculum.LeftOut{Learner: l.ID, Why: "no lathe of this session can take the job"})
		default:
			todo = append(todo, i)
		}
	}
	if !p.tooMuch(todo) {
		if s := p.improve(p.longestFirst(todo), effort(len(todo))); s.cost.over == 0 {
			return s, left
		}
	}
	s, out := p.squeeze(todo)
	for _, i := range out {
		why := fmt.Sprintf("no room for %d minutes at a lathe", p.least(i))
		if p.least(i) > p.close-p.open {
			why = fmt.Sprintf("the job takes %d minutes, there are %d between opening and closing", p.least(i), p.close-p.open)
		}
		left = append(left, curriculum.LeftOut{Learner: p.learners[i].ID, Why: why, Waits: true})
	}
	return p.improve(s, effort(len(todo)-len(out))), left
}

// squeeze fits in as many turns as it can and returns who is left out.
func (p *planner) squeeze(todo []int) (solution, []int) {
	order := slices.Clone(todo)
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(p.priority[a], p.priority[b]), cmp.Compare(p.least(a), p.least(b)))
	})
	s := p.longestFirst(nil)
	var in, out []int
	failed := map[string]int{} // least minutes that did not fit, by the lathes that can take them
	for _, i := range order {
		key := p.signature(i)
		if most, tried := failed[key]; tried && p.least(i) >= most {
			out = append(out, i)
			continue
		}
		with := p.insertBest(s, i)
		if all := append(slices.Clone(in), i); with.cost.over > 0 && !p.tooMuch(all) {
			with = p.improve(p.longestFirst(all), effort(len(all))/8)
		}
		if with.cost.over > 0 {
			out = append(out, i)
			if most, tried := failed[key]; !tried || p.least(i) < most {
				failed[key] = p.least(i)
			}
			continue
		}
		s, in = with, append(in, i)
	}
	slices.Sort(out)
	return s, out
}

// signature tells apart learners whose jobs other lathes can take.
func (p *planner) signature(i int) string {
	b := make([]byte, len(p.spec.Lathes))
	for k, m := range p.minutes[i] {
		b[k] = '0'
		if m > 0 {
			b[k] = '1'
		}
	}
	return string(b)
}

// least returns the fewest minutes any lathe takes for a learner's job, 0 where
// none can.
func (p *planner) least(i int) int {
	best := 0
	for _, m := range p.minutes[i] {
		if m > 0 && (best == 0 || m < best) {
			best = m
		}
	}
	return best
}

// tooMuch reports whether these turns need more minutes than the lathes have.
func (p *planner) tooMuch(turns []int) bool {
	has := len(p.spec.Lathes) * (p.close - p.open)
	for _, spans := range p.ofLathe {
		for _, s := range spans {
			has -= s.end - s.begin
		}
	}
	for _, i := range turns {
		has -= p.least(i)
	}
	return has < 0
}

// sessions counts sessions like this one, without what was fixed, until those
// left out for want of room have had a turn too; 0 where that never happens.
func (p *planner) sessions(left []curriculum.LeftOut) int {
	waiting := map[string]bool{}
	for _, l := range left {
		if l.Waits {
			waiting[l.Learner] = true
		}
	}
	for n := 1; ; n++ {
		if len(waiting) == 0 {
			return n
		}
		spec := p.spec
		spec.Fixed = nil
		var rest []Learner
		for _, l := range p.learners {
			if waiting[l.ID] {
				rest = append(rest, l)
			}
		}
		next, err := newPlanner(spec, rest)
		if err != nil {
			return 0
		}
		todo := make([]int, len(rest))
		for i := range todo {
			todo[i] = i
		}
		_, out := next.squeeze(todo)
		if len(out) == len(rest) {
			return 0
		}
		clear(waiting)
		for _, i := range out {
			waiting[rest[i].ID] = true
		}
	}
}
