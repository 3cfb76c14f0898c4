package shop

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// effort bounds the plans that a search looks at for so many turns. It is a count
// and not a time, so that the same session gives the same plan on every machine;
// looking at one takes time in proportion to its turns.
func effort(turns int) int { return 100_000 / max(turns, 6) }

// solution is an order of turns on each lathe; minutes follow from it.
type solution struct {
	order [][]int // [lathe] learners
	cost  cost
}

// cost compares solutions: minutes beyond the closing first, then the end of the
// last turn or check-off, then the sum over lathes of their last turn's end.
type cost struct{ over, end, sum int }

func (c cost) less(o cost) bool {
	return cmp.Or(cmp.Compare(c.over, o.over), cmp.Compare(c.end, o.end), cmp.Compare(c.sum, o.sum)) < 0
}

// release is the end of a turn, from which on the learner can be checked off.
type release struct{ at, who int }

// earliest returns the first minute from t on at which a span of that many
// minutes meets none of the two lists.
func earliest(t, minutes int, a, b []span) int {
	for moved := true; moved; {
		moved = false
		for _, list := range [2][]span{a, b} {
			for _, s := range list {
				if s.begin < t+minutes && t < s.end {
					t, moved = s.end, true
				}
			}
		}
	}
	return t
}

// times returns the turns of a solution: each as early as its place in the
// lathe's order allows.
func (p *planner) times(order [][]int, each func(lathe, who, begin, end int)) cost {
	var c cost
	var buffer [64]release
	ends := append(buffer[:0], p.checks...)
	for k, list := range order {
		t := p.open
		for _, who := range list {
			m := p.minutes[who][k]
			begin := t
			if len(p.ofLathe[k]) > 0 || len(p.ofPerson[who]) > 0 {
				begin = earliest(t, m, p.ofLathe[k], p.ofPerson[who])
			}
			t = begin + m
			c.over += max(0, t-p.close)
			ends = append(ends, release{t, who})
			if each != nil {
				each(k, who, begin, t)
			}
		}
		c.sum += t
		c.end = max(c.end, t)
	}
	for _, s := range p.ofLathe {
		if n := len(s); n > 0 {
			c.end = max(c.end, s[n-1].end)
		}
	}
	c.end = max(c.end, p.checkOffs(ends, nil))
	return c
}

// checkOffs checks learners off in the order in which their turns end, which
// ends soonest for check-offs of one length, and returns the last one's end.
func (p *planner) checkOffs(ends []release, each func(who, instructor, begin, end int)) int {
	m := p.spec.CheckMinutes
	if m == 0 {
		return 0
	}
	slices.SortFunc(ends, func(a, b release) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.who, b.who)) })
	var buffer [8]int
	free := append(buffer[:0], make([]int, p.spec.Instructors)...)
	last := 0
	for _, r := range ends {
		who := 0
		for i, t := range free {
			if t < free[who] {
				who = i
			}
		}
		begin := max(r.at, free[who])
		if spans := p.ofPerson[r.who]; len(spans) > 0 {
			begin = earliest(begin, m, spans, nil)
		}
		free[who] = begin + m
		last = max(last, begin+m)
		if each != nil {
			each(r.who, who, begin, begin+m)
		}
	}
	return last
}

func (p *planner) rated(order [][]int) solution { return solution{order, p.times(order, nil)} }

// longestFirst gives each job, the longest first, to the lathe that would be
// done with it first.
func (p *planner) longestFirst(todo []int) solution {
	list := slices.Clone(todo)
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(p.least(b), p.least(a)) })
	order := make([][]int, len(p.spec.Lathes))
	at := make([]int, len(order))
	for k := range at {
		at[k] = p.open
	}
	for _, who := range list {
		best, when := -1, 0
		for k, m := range p.minutes[who] {
			if m == 0 {
				continue
			}
			if end := earliest(at[k], m, p.ofLathe[k], p.ofPerson[who]) + m; best < 0 || end < when {
				best, when = k, end
			}
		}
		order[best] = append(order[best], who)
		at[best] = when
	}
	return p.rated(order)
}

// insertBest puts one more learner where it costs least.
func (p *planner) insertBest(s solution, who int) solution {
	best := solution{cost: cost{over: 1 << 30}}
	for k, m := range p.minutes[who] {
		if m == 0 {
			continue
		}
		for at := range len(s.order[k]) + 1 {
			order := slices.Clone(s.order)
			order[k] = slices.Insert(slices.Clone(order[k]), at, who)
			if t := p.rated(order); t.cost.less(best.cost) {
				best = t
			}
		}
	}
	return best
}

// improve moves and exchanges turns while that makes the plan better, and then
// shakes it up and tries again, as long as the budget of plans to look at lasts.
func (p *planner) improve(s solution, budget int) solution {
	floor := p.open + p.bound(s.order).Minutes
	best := p.descend(s, &budget)
	random := rand.New(rand.NewPCG(1, uint64(len(p.learners))))
	for budget > 0 && (best.cost.over > 0 || best.cost.end > floor) {
		shaken := p.shake(best, random)
		if shaken == nil {
			break
		}
		budget--
		if t := p.descend(p.rated(shaken), &budget); t.cost.less(best.cost) {
			best = t
		}
	}
	return best
}

// descend takes the first better neighbour until there is none.
func (p *planner) descend(s solution, budget *int) solution {
	try := func(order [][]int) bool {
		*budget--
		if c := p.times(order, nil); c.less(s.cost) {
			s = solution{order, c}
			return true
		}
		return false
	}
	for better := true; better && *budget > 0; {
		better = p.exchange(&s, try, budget) || p.shift(&s, try, budget)
	}
	return s
}

// shift takes one turn out and puts it elsewhere.
func (p *planner) shift(s *solution, try func([][]int) bool, budget *int) bool {
	for k := range s.order {
		for i := range s.order[k] {
			who := s.order[k][i]
			for to, m := range p.minutes[who] {
				if m == 0 {
					continue
				}
				without := slices.Delete(slices.Clone(s.order[k]), i, i+1)
				target := s.order[to]
				if to == k {
					target = without
				}
				for at := range len(target) + 1 {
					if *budget <= 0 {
						return false
					}
					if to == k && at == i {
						continue
					}
					order := slices.Clone(s.order)
					order[k] = without
					order[to] = slices.Insert(slices.Clone(target), at, who)
					if try(order) {
						return true
					}
				}
			}
		}
	}
	return false
}

// exchange lets two learners change places.
func (p *planner) exchange(s *solution, try func([][]int) bool, budget *int) bool {
	for k := range s.order {
		for i, a := range s.order[k] {
			for l := k; l < len(s.order); l++ {
				for j, b := range s.order[l] {
					if l == k && j <= i || p.minutes[a][l] == 0 || p.minutes[b][k] == 0 {
						continue
					}
					if *budget <= 0 {
						return false
					}
					order := slices.Clone(s.order)
					order[k] = slices.Clone(order[k])
					if l != k {
						order[l] = slices.Clone(order[l])
					}
					order[k][i], order[l][j] = b, a
					if try(order) {
						return true
					}
				}
			}
		}
	}
	return false
}

// shake moves a few turns at random; nil where nothing can move.
func (p *planner) shake(s solution, random *rand.Rand) [][]int {
	order := make([][]int, len(s.order))
	total := 0
	for k := range order {
		order[k] = slices.Clone(s.order[k])
		total += len(order[k])
	}
	if total < 2 {
		return nil
	}
	for range 2 + random.IntN(3) {
		n, k := random.IntN(total), 0
		for n >= len(order[k]) {
			n -= len(order[k])
			k++
		}
		who := order[k][n]
		order[k] = slices.Delete(order[k], n, n+1)
		var can []int
		for to, m := range p.minutes[who] {
			if m > 0 {
				can = append(can, to)
			}
		}
		to := can[random.IntN(len(can))]
		order[to] = slices.Insert(order[to], random.IntN(len(order[to])+1), who)
	}
	return order
}
