package plan

import (
	"cmp"
	"slices"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

// Aim is what a learner practises for.
type Aim struct {
	// Skills are what the job needs, and what must pass the machine's gate; all that
	// they build on is practised as well.
	Skills []string
	// Can reports whether exercises can be drawn for a skill; nil means for all.
	Can func(skill string) bool
	// Gate is the day at the lathe, zero where there is none.
	Gate time.Time
	// Size is the number of exercises of one sitting.
	Size int
}

// The shares of a sitting, in tenths; what is left belongs to the weakest
// prerequisite.
const (
	shareNew = 5
	shareDue = 3

	firstBlock = 3 // exercises in a row at the first meeting of a skill
	mostOfOne  = 4 // exercises of one new skill in a sitting
	mostOfNext = 2 // of each further one that a sitting is filled up with
)

// course is an aim worked out for the planner.
type course struct {
	Aim
	wanted []int // places in the catalogue, those that can be asked
	goals  []int // those of them that the job itself needs
	asked  []bool
	views  []view // of the last look, used again by the next
}

func newCourse(a Aim) *course {
	c := &course{Aim: a, asked: make([]bool, len(nodes)), views: make([]view, len(nodes))}
	for _, slug := range Wanted(a.Skills) {
		if a.Can == nil || a.Can(slug) {
			i := placeOf[slug]
			c.wanted = append(c.wanted, i)
			c.asked[i] = true
			if slices.Contains(a.Skills, slug) {
				c.goals = append(c.goals, i)
			}
		}
	}
	return c
}

// Next returns the exercises of a learner's next sitting at the moment now.
func Next(cells curriculum.Cells, a Aim, now time.Time) []curriculum.PracticeItem {
	return newCourse(a).next(cells, now)
}

// view is how one skill stands for the planner.
type view struct {
	at      int
	cell    *curriculum.Cell
	open    bool // through the gate that leads on
	machine bool
	// resting skills have all the evidence that one day can give.
	resting bool
	weight  float64 // known and still recalled
	due     time.Time
}

func (c *course) look(cells curriculum.Cells, now time.Time) []view {
	for _, i := range c.wanted {
		v := view{at: i, cell: cells[nodes[i].slug]}
		if v.cell != nil {
			v.open, v.machine = mastery.MoveOn.Open(*v.cell), mastery.Machine.Open(*v.cell)
			v.resting = !v.open && mastery.Resting(*v.cell, now)
			v.weight = v.cell.Known * mastery.Recall(*v.cell, now)
			v.due = mastery.Due(*v.cell, c.Gate)
		}
		c.views[i] = v
	}
	return c.views
}

// sitting gathers items without asking one skill more often than is good.
type sitting struct {
	size  int
	items []curriculum.PracticeItem
	of    []int // by place
}

func (s *sitting) add(v view, why string, times, most int) (added int) {
	for ; added < times && len(s.items) < s.size && s.of[v.at] < most; added++ {
		n := nodes[v.at]
		s.items = append(s.items, curriculum.PracticeItem{Skill: n.slug, Title: n.title, Why: why, First: v.cell == nil})
		s.of[v.at]++
	}
	return added
}

func (c *course) next(cells curriculum.Cells, now time.Time) []curriculum.PracticeItem {
	views := c.look(cells, now)
	fresh, due, review := c.pools(views, now)
	s := &sitting{size: c.Size, items: make([]curriculum.PracticeItem, 0, c.Size), of: make([]int, len(nodes))}
	newShare := max(1, (c.Size*shareNew+5)/10)
	dueShare := (c.Size*shareDue + 5) / 10
	if len(fresh) > 0 {
		left := newShare - s.add(fresh[0], curriculum.WhyNew, newShare, mostOfOne)
		for _, v := range fresh[1:] {
			left -= s.add(v, curriculum.WhyNew, left, mostOfNext)
		}
	}
	left := dueShare
	for _, v := range due {
		left -= s.add(v, curriculum.WhyDue, min(left, 1), 1)
	}
	if len(fresh) > 0 {
		weak := c.weakest(views, fresh[0].at)
		for left := c.Size - newShare - dueShare; left > 0 && len(weak) > 0; weak = weak[1:] {
			left -= s.add(weak[0], curriculum.WhyWeak, 1, 1)
		}
	}
	// What one share does not use the others may.
	for _, v := range due {
		s.add(v, curriculum.WhyDue, 1, 1)
	}
	for _, v := range fresh {
		s.add(v, curriculum.WhyNew, mostOfNext, mostOfNext)
	}
	for _, v := range review {
		s.add(v, curriculum.WhyDue, 1, 1)
	}
	return mixed(s.items)
}

// pools sorts the wanted skills into what is new (begun ones first), what is due
// (least recalled first), and what could be reviewed early.
func (c *course) pools(views []view, now time.Time) (fresh, due, review []view) {
	for _, i := range c.wanted {
		v := views[i]
		switch {
		case v.resting:
		case v.cell == nil || !v.open:
			if v.cell != nil || c.ready(views, i) {
				fresh = append(fresh, v)
			}
		case !v.machine || !v.due.After(now):
			due = append(due, v)
		default:
			review = append(review, v)
		}
	}
	slices.SortStableFunc(fresh, func(a, b view) int { return cmp.Compare(unmet(a), unmet(b)) })
	byWeight := func(a, b view) int { return cmp.Compare(a.weight, b.weight) }
	slices.SortStableFunc(due, byWeight)
	slices.SortStableFunc(review, byWeight)
	return fresh, due, review
}

// unmet ranks what is begun before what is not, and safety before the rest.
func unmet(v view) int {
	switch {
	case v.cell != nil:
		return 0
	case nodes[v.at].safety:
		return 1
	}
	return 2
}

// ready reports whether all that a skill needs is through, or has done what it
// can today.
func (c *course) ready(views []view, i int) bool {
	for _, n := range nodes[i].needs {
		if c.asked[n] && !views[n].open && !views[n].resting {
			return false
		}
	}
	return true
}

// weakest returns what a skill builds on, weakest first.
func (c *course) weakest(views []view, i int) []view {
	var out []view
	for _, n := range nodes[i].all {
		if c.asked[n] && views[n].cell != nil {
			out = append(out, views[n])
		}
	}
	slices.SortStableFunc(out, func(a, b view) int { return cmp.Compare(a.weight, b.weight) })
	return out
}

// mixed puts the items of a sitting in an order in which no skill follows
// itself, but for the block at a first meeting, which comes first. What cannot
// be kept apart is left out.
func mixed(items []curriculum.PracticeItem) []curriculum.PracticeItem {
	out := make([]curriculum.PracticeItem, 0, len(items))
	rest := slices.Clone(items)
	if len(items) > 0 && items[0].First {
		for len(rest) > 0 && len(out) < firstBlock && rest[0].Skill == items[0].Skill {
			out, rest = append(out, rest[0]), rest[1:]
		}
	}
	left := make(map[string]int, len(rest))
	for _, item := range rest {
		left[item.Skill]++
	}
	for len(rest) > 0 {
		best, most := -1, 0
		for i := range rest {
			skill := rest[i].Skill
			if n := left[skill]; n > most && (len(out) == 0 || out[len(out)-1].Skill != skill) {
				best, most = i, n
			}
		}
		if best < 0 {
			break
		}
		out = append(out, rest[best])
		left[rest[best].Skill]--
		rest = slices.Delete(rest, best, best+1)
	}
	return out
}
