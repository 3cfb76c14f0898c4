package shop

import (
	"cmp"
	"slices"

	"halfnut/curriculum"
)

// rotate fills the learners' free time with visits to the stations, each station
// once. It walks through the minutes at which somebody or something comes free;
// at each, those whose next booking is soonest choose first, so that a short gap
// is not lost.
func (p *planner) rotate(busy [][]span) []curriculum.Booking {
	var out []curriculum.Booking
	r := rotation{p: p, busy: busy, visits: make([][]span, len(p.spec.Stations)), seen: make([][]bool, len(p.learners)), turnAt: make([]int, len(p.learners))}
	for i := range p.learners {
		r.seen[i] = make([]bool, len(p.spec.Stations))
		r.turnAt[i] = p.close
		if len(busy[i]) > 0 {
			r.turnAt[i] = busy[i][0].begin
		}
	}
	for _, f := range p.fixed {
		if s, ok := p.station[f.Place]; ok {
			r.visits[s] = insert(r.visits[s], span{f.Begin, f.End})
			r.seen[p.who[f.Learner]][s] = true
		}
	}
	for t := p.open; t < p.close; t = r.next(t) {
		free := r.free(t)
		for len(free) > 0 {
			who := free[0]
			s := r.choose(who, t)
			if s < 0 {
				free = free[1:]
				continue
			}
			group := r.group(s, free, t)
			if group == nil {
				// Nobody to begin with: another station, or wait for somebody.
				if s = r.chooseAlone(who, t); s < 0 {
					free = free[1:]
					continue
				}
				group = []int{who}
			}
			for _, g := range group {
				b := span{t, t + p.spec.Stations[s].Minutes}
				r.visits[s] = insert(r.visits[s], b)
				r.busy[g] = insert(r.busy[g], b)
				r.seen[g][s] = true
				out = append(out, curriculum.Booking{Kind: curriculum.BookedStation, Learner: p.learners[g].ID, Place: p.spec.Stations[s].ID, Begin: b.begin, End: b.end})
			}
			free = slices.DeleteFunc(free, func(i int) bool { return slices.Contains(group, i) })
		}
	}
	return out
}

type rotation struct {
	p      *planner
	busy   [][]span // of each learner
	visits [][]span // of each station
	seen   [][]bool // [learner][station]
	turnAt []int    // when a learner's turn begins; the closing for those without
}

// next returns the first minute after t at which a booking ends.
func (r *rotation) next(t int) int {
	out := r.p.close
	for _, spans := range r.busy {
		for _, s := range spans {
			if s.end > t && s.end < out {
				out = s.end
			}
		}
	}
	return out
}

// free returns who has nothing to do at t, the soonest booked first.
func (r *rotation) free(t int) []int {
	var out []int
	until := make([]int, len(r.busy))
	for i, spans := range r.busy {
		until[i] = r.p.close
		now := false
		for _, s := range spans {
			if s.begin <= t && t < s.end {
				now = true
			}
			if s.begin > t {
				until[i] = min(until[i], s.begin)
			}
		}
		if !now {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(until[a], until[b]) })
	return out
}

// fits reports whether a learner can visit a station at t.
func (r *rotation) fits(who, s, t int) bool {
	st := r.p.spec.Stations[s]
	end := t + st.Minutes
	if r.seen[who][s] || end > r.p.close || earliest(t, st.Minutes, r.busy[who], nil) != t {
		return false
	}
	return r.places(s, t, end) > 0
}

// places returns how many places of a station stay free from t to end.
func (r *rotation) places(s, t, end int) int {
	most := 0
	// The fullest minute is one at which a visit begins, or t itself.
	for _, v := range append([]span{{t, t}}, r.visits[s]...) {
		if v.begin < t || v.begin >= end {
			continue
		}
		n := 0
		for _, o := range r.visits[s] {
			if o.begin <= v.begin && v.begin < o.end {
				n++
			}
		}
		most = max(most, n)
	}
	return r.p.spec.Stations[s].Places - most
}

// choose returns the best station for a learner at t, or -1: those that belong
// before the turn while it is still to come, the others in the order given.
func (r *rotation) choose(who, t int) int { return r.pick(who, t, false) }

func (r *rotation) chooseAlone(who, t int) int { return r.pick(who, t, true) }

func (r *rotation) pick(who, t int, alone bool) int {
	best, rank := -1, 0
	for s, st := range r.p.spec.Stations {
		if alone && st.Together > 1 || !r.fits(who, s, t) {
			continue
		}
		k := 1
		if st.Before == (t < r.turnAt[who]) {
			k = 0
		}
		if best < 0 || k < rank {
			best, rank = s, k
		}
	}
	return best
}

// group returns those who begin at a station together, the first of free among
// them; nil where there are not enough.
func (r *rotation) group(s int, free []int, t int) []int {
	need := max(1, r.p.spec.Stations[s].Together)
	if r.places(s, t, t+r.p.spec.Stations[s].Minutes) < need {
		return nil
	}
	var out []int
	for _, i := range free {
		if len(out) < need && r.fits(i, s, t) {
			out = append(out, i)
		}
	}
	if len(out) < need {
		return nil
	}
	return out
}
