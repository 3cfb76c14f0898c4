package shop

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"halfnut/curriculum"
)

// write turns the chosen turns into a plan: check-offs, stations, and what is
// left over.
func (p *planner) write(s solution, left []curriculum.LeftOut) curriculum.ShopPlan {
	out := curriculum.ShopPlan{Bookings: slices.Clone(p.fixed), Left: left, Unchecked: []string{}}
	busy := make([][]span, len(p.learners))
	for i, spans := range p.ofPerson {
		busy[i] = slices.Clone(spans)
	}
	ends := slices.Clone(p.checks)
	longest := 0
	for _, b := range p.fixed {
		if b.Kind == curriculum.BookedLathe {
			longest = max(longest, b.End-b.Begin)
		}
	}
	last := p.open
	for _, b := range p.fixed {
		if b.Kind == curriculum.BookedLathe {
			last = max(last, b.End)
		}
	}
	p.times(s.order, func(k, who, begin, end int) {
		out.Bookings = append(out.Bookings, curriculum.Booking{Kind: curriculum.BookedLathe, Learner: p.learners[who].ID, Place: p.spec.Lathes[k], Begin: begin, End: end})
		busy[who] = insert(busy[who], span{begin, end})
		ends = append(ends, release{end, who})
		longest, last = max(longest, end-begin), max(last, end)
	})
	checking := 0
	p.checkOffs(ends, func(who, instructor, begin, end int) {
		last = max(last, end)
		if end > p.close {
			out.Unchecked = append(out.Unchecked, p.learners[who].ID)
			return
		}
		checking += end - begin
		busy[who] = insert(busy[who], span{begin, end})
		out.Bookings = append(out.Bookings, curriculum.Booking{Kind: curriculum.BookedCheck, Learner: p.learners[who].ID, Place: strconv.Itoa(instructor + 1), Begin: begin, End: end})
	})
	out.Bookings = append(out.Bookings, p.rotate(busy)...)
	slices.SortStableFunc(out.Bookings, func(a, b curriculum.Booking) int {
		return cmp.Or(cmp.Compare(a.Begin, b.Begin), cmp.Compare(p.who[a.Learner], p.who[b.Learner]))
	})
	out.Bound = p.bound(s.order)
	out.Makespan = last - p.open
	out.Idle = p.idle(out.Bookings, checking)
	out.Waiting = Help(len(p.spec.Lathes), p.spec.CallEveryMin, p.spec.HelpMin, p.spec.Instructors)
	if p.spec.CallEveryMin > 0 {
		out.Waiting.LongestTurn = float64(longest) / p.spec.CallEveryMin * out.Waiting.Minutes
	}
	out.CheckOff = p.load(len(ends), out.Waiting, len(out.Unchecked))
	return out
}

// bound returns what no plan with these turns can be shorter than, counted from
// the opening's end.
func (p *planner) bound(order [][]int) curriculum.LowerBound {
	var b curriculum.LowerBound
	total, turns := 0, 0
	alone := make([]int, len(p.spec.Lathes))
	count := func(minutes, only int) {
		total += minutes
		turns++
		b.LongestJob = max(b.LongestJob, minutes+p.spec.CheckMinutes)
		if only >= 0 {
			alone[only] += minutes
		}
	}
	for _, f := range p.fixed {
		if k, ok := p.lathe[f.Place]; ok {
			count(f.End-f.Begin, k)
		}
	}
	for _, list := range order {
		for _, who := range list {
			only, able := -1, 0
			for k, m := range p.minutes[who] {
				if m > 0 {
					only, able = k, able+1
				}
			}
			if able > 1 {
				only = -1
			}
			count(p.least(who), only)
		}
	}
	up := func(n, by int) int { return (n + by - 1) / by }
	b.Lathes = up(total, len(p.spec.Lathes))
	b.OneLathe = slices.Max(alone)
	b.Instructor = up(turns, p.spec.Instructors) * p.spec.CheckMinutes
	b.Minutes = max(b.Lathes, b.OneLathe, b.LongestJob, b.Instructor)
	return b
}

func (p *planner) idle(bookings []curriculum.Booking, checking int) curriculum.Idle {
	window := p.close - p.open
	places, people := map[string]int{}, map[string]int{}
	for _, b := range bookings {
		people[b.Learner] += b.End - b.Begin
		if b.Kind == curriculum.BookedLathe {
			places[b.Place] += b.End - b.Begin
		}
	}
	out := curriculum.Idle{Lathes: []curriculum.PlaceMinutes{}, Learners: []curriculum.LearnerMinutes{}, Instructor: window*p.spec.Instructors - checking}
	for _, l := range p.spec.Lathes {
		out.Lathes = append(out.Lathes, curriculum.PlaceMinutes{Place: l, Minutes: window - places[l]})
	}
	for _, l := range p.learners {
		out.Learners = append(out.Learners, curriculum.LearnerMinutes{Learner: l.ID, Minutes: window - people[l.ID]})
	}
	return out
}

// load compares the check-offs with the time that calls for help leave.
func (p *planner) load(turns int, w curriculum.Waiting, unchecked int) curriculum.CheckOff {
	c := curriculum.CheckOff{
		Needs: float64(turns * p.spec.CheckMinutes),
		Has:   float64((p.close-p.open)*p.spec.Instructors) * (1 - w.Busy),
	}
	c.Fits = c.Needs <= c.Has && unchecked == 0
	switch {
	case c.Needs > c.Has:
		c.Why = fmt.Sprintf("check-offs need %.0f minutes, helping leaves %.0f: split the check-offs over two days, or bring a second instructor", c.Needs, c.Has)
	case unchecked > 0:
		c.Why = fmt.Sprintf("%d check-offs do not fit before the closing", unchecked)
	}
	return c
}
