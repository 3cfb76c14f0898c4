package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

// furthest sittings are looked at to find out how late a plan is.
const furthest = 200

// Dated returns the plan of a learner for sittings at the given times, in order,
// of which only those before the gate are listed. After the last one it goes on
// at the same rhythm to see when the learner would be ready.
func Dated(cells curriculum.Cells, a Aim, days []time.Time) curriculum.PracticePlan {
	c := newCourse(a)
	p := curriculum.PracticePlan{Wanted: Wanted(a.Skills), NotAsked: []string{}, Sessions: []curriculum.PracticeSession{}}
	p.Goals = []string{}
	for _, slug := range p.Wanted {
		if slices.Contains(a.Skills, slug) {
			p.Goals = append(p.Goals, slug)
		}
		if !c.asked[placeOf[slug]] {
			p.NotAsked = append(p.NotAsked, slug)
		}
	}
	if !a.Gate.IsZero() {
		gate := a.Gate
		p.Gate = &gate
	}
	if len(days) == 0 || len(c.wanted) == 0 {
		return p
	}
	ahead := clone(cells)
	rhythm := 24 * time.Hour
	if n := len(days); n > 1 {
		rhythm = days[n-1].Sub(days[n-2])
	}
	ready := c.through(ahead)
	if ready {
		p.Ready = &days[0]
	}
	for n := 0; n < len(days) || !ready && n < furthest; n++ {
		var at time.Time
		if n < len(days) {
			at = days[n]
		} else {
			at = days[len(days)-1].Add(time.Duration(n-len(days)+1) * rhythm)
		}
		items := c.next(ahead, at)
		if n < len(days) && (a.Gate.IsZero() || at.Before(a.Gate)) {
			p.Sessions = append(p.Sessions, curriculum.PracticeSession{Date: at, Items: items})
		}
		for i, item := range items {
			mastery.Expect(ahead, item.Skill, true, at, strconv.Itoa(n)+"-"+strconv.Itoa(i))
		}
		if !ready && c.through(ahead) {
			ready = true
			p.Ready = &at
		}
	}
	if p.Gate != nil && p.Ready != nil && p.Ready.After(a.Gate) {
		p.Late = int(math.Ceil(p.Ready.Sub(a.Gate).Hours() / 24))
	}
	return p
}

// through reports whether every skill that the job itself needs has passed the
// machine's gate.
func (c *course) through(cells curriculum.Cells) bool {
	for _, i := range c.goals {
		cell := cells[nodes[i].slug]
		if cell == nil || !mastery.Machine.Open(*cell) {
			return false
		}
	}
	return true
}

func clone(cells curriculum.Cells) curriculum.Cells {
	out := make(curriculum.Cells, len(nodes))
	for slug, c := range cells {
		kept := *c
		kept.RightOn = append([]string(nil), c.RightOn...)
		kept.Recent = append(make([]curriculum.Chance, 0, len(c.Recent)+1), c.Recent...)
		out[slug] = &kept
	}
	return out
}

// Forecast returns the probability that the learner has passed the machine's
// gate in every skill that the job itself needs after the sittings at the given times: the share
// of the given number of imagined runs, in each of which the learner holds each
// skill as probably as the cells say, learns and guesses by the parameters of
// package mastery, and slips as often as the own record shows. Nothing is forgotten and no sitting is missed.
func Forecast(cells curriculum.Cells, a Aim, days []time.Time, runs int, random *rand.Rand) float64 {
	c := newCourse(a)
	ready := 0
	for range runs {
		if c.imagine(clone(cells), days, random) {
			ready++
		}
	}
	return float64(ready) / float64(max(runs, 1))
}

func (c *course) imagine(cells curriculum.Cells, days []time.Time, random *rand.Rand) bool {
	holds := make([]bool, len(nodes))
	slip := mastery.SlipOf(cells)
	for _, i := range c.wanted {
		known := mastery.ParamsOf(nodes[i].slug, 0).Start
		if cell := cells[nodes[i].slug]; cell != nil {
			known = cell.Known
		}
		holds[i] = random.Float64() < known
	}
	for n, at := range days {
		if !c.Gate.IsZero() && !at.Before(c.Gate) {
			break
		}
		for k, item := range c.next(cells, at) {
			i := placeOf[item.Skill]
			p := mastery.ParamsOf(item.Skill, 0)
			right := random.Float64() < p.Guess
			if holds[i] {
				right = random.Float64() >= slip
			}
			mastery.Expect(cells, item.Skill, right, at, strconv.Itoa(n)+"-"+strconv.Itoa(k))
			holds[i] = holds[i] || random.Float64() < p.Learn
		}
	}
	return c.through(cells)
}
