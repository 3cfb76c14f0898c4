package plan

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

// The shape of a meeting, in minutes: questions without notes, demonstration,
// check-off and cleaning are fixed; the rest is practice at the stations. Start
// values of this project, no source.
const (
	warmUpMinutes   = 10
	showMinutes     = 5 // for each aim
	boardMinutes    = 3
	checkOffMinutes = 10
	cleanMinutes    = 10

	mostAims  = 3 // new skills of one meeting
	warmUps   = 5 // mixed questions
	mistakes  = 3 // at the board
	worksheet = 6 // exercises at least

	// heldShare of the class holding a skill is enough not to teach it again.
	heldShare = 0.8
)

// Outline is what a course is planned from.
type Outline struct {
	Course curriculum.Course
	// Skills are what the job needs; Can reports whether exercises can be drawn.
	Skills []string
	Can    func(skill string) bool
	// Class holds each learner's cells.
	Class []curriculum.Cells
}

// Meetings returns the meetings before the day at the lathe, at most a hundred.
func Meetings(s curriculum.CourseSpec) []time.Time {
	var out []time.Time
	for at := s.First; at.Before(s.Date) && len(out) < 100; at = at.AddDate(0, 0, max(s.EveryDays, 1)) {
		out = append(out, at)
	}
	return out
}

// Lessons plans the meetings from now to the day at the lathe backwards from
// what the job needs: every wanted skill that the class does not hold yet is met
// in the order of the prerequisites, those for safety as early as it allows, three
// a meeting at most, and the last meeting before the lathe brings nothing new.
// What does not fit is named.
func Lessons(o Outline, now time.Time) curriculum.CoursePlan {
	p := curriculum.CoursePlan{Course: o.Course, Wanted: Wanted(o.Skills), Held: []string{}, NotAsked: []string{}, NotTaught: []string{}, Lessons: []curriculum.Lesson{}}
	var teach []string
	for _, slug := range p.Wanted {
		switch {
		case o.Can != nil && !o.Can(slug):
			p.NotAsked = append(p.NotAsked, slug)
			teach = append(teach, slug) // it is shown all the same
		case o.holds(slug):
			p.Held = append(p.Held, slug)
		default:
			teach = append(teach, slug)
		}
	}
	teach = safetyFirst(teach)
	meetings := Meetings(o.Course.Spec)
	var left int
	for _, at := range meetings {
		if !at.Before(now) {
			left++
		}
	}
	room := left
	if left > 1 {
		room = left - 1
	}
	if most := room * mostAims; len(teach) > most {
		p.NotTaught = teach[most:]
		p.MeetingsShort = (len(p.NotTaught) + mostAims - 1) / mostAims
		teach = teach[:most]
	}
	known := slices.Clone(p.Held)
	next := true
	for i, at := range meetings {
		l := curriculum.Lesson{
			Number: i + 1, Date: at, Minutes: o.Course.Spec.Minutes, Past: at.Before(now),
			Aims: []curriculum.LessonAim{}, Parts: []curriculum.Phase{}, WarmUp: []string{}, Questions: []curriculum.Exercise{}, Mistakes: []curriculum.BoardExample{},
		}
		if !l.Past {
			share := 0
			if room > 0 {
				share = (len(teach) + room - 1) / room
			}
			o.fill(&l, teach[:share], known, next)
			known = append(known, teach[:share]...)
			teach = teach[share:]
			room--
			next = false
		}
		p.Lessons = append(p.Lessons, l)
	}
	return p
}

// safetyFirst keeps the order of the prerequisites and moves what must never be
// missed as far to the front as it allows: the skills marked for safety come
// right after what they need.
func safetyFirst(teach []string) []string {
	rank := map[string]int{} // of the safety skill that a skill is needed for
	for n, slug := range teach {
		s, _ := curriculum.SkillOf(slug)
		if !s.Safety {
			continue
		}
		for _, need := range append(curriculum.Prerequisites(slug), slug) {
			if _, ok := rank[need]; !ok {
				rank[need] = n
			}
		}
	}
	out := slices.Clone(teach)
	slices.SortStableFunc(out, func(a, b string) int {
		x, ok := rank[a]
		y, ok2 := rank[b]
		if ok != ok2 {
			if ok {
				return -1
			}
			return 1
		}
		return cmp.Compare(x, y)
	})
	return out
}

// holds reports whether nearly everybody is through with a skill.
func (o *Outline) holds(slug string) bool {
	n := 0
	for _, cells := range o.Class {
		if c := cells[slug]; c != nil && mastery.MoveOn.Open(*c) {
			n++
		}
	}
	return len(o.Class) > 0 && float64(n) >= heldShare*float64(len(o.Class))
}

// fill plans one meeting; next says that it is the coming one, where the board
// shows the mistakes that the class holds now.
func (o *Outline) fill(l *curriculum.Lesson, aims, known []string, next bool) {
	spec := o.Course.Spec
	for _, slug := range aims {
		s, _ := curriculum.SkillOf(slug) // aims are of the catalogue
		a := curriculum.LessonAim{Skill: slug, Title: s.Title, Purpose: s.Purpose, Points: []string{"Rule: " + s.Rule, "Example: " + s.Example.Prompt}}
		a.Points = append(a.Points, s.Example.Lines...)
		a.Points = append(a.Points, "Answer: "+s.Example.Answer)
		l.Aims = append(l.Aims, a)
	}
	l.WarmUp = o.warmUp(known, l.Number, l.Date)
	if next {
		l.Mistakes = o.mistakes()
	}
	asked := o.worksheet(aims, known, l.Date)
	if len(asked) > 0 {
		l.Worksheet = &curriculum.SetSpec{
			Title: fmt.Sprintf("%s, meeting %d", spec.Title, l.Number), Skills: asked, Count: max(worksheet, 2*len(asked)), Lathe: spec.Lathe, Units: spec.Units,
		}
	}
	l.Parts = o.phases(l)
}

// phases divides the minutes; what is left is practice, and never less than
// nothing.
func (o *Outline) phases(l *curriculum.Lesson) []curriculum.Phase {
	out := []curriculum.Phase{}
	used := 0
	add := func(minutes int, what string) {
		if minutes > 0 {
			out = append(out, curriculum.Phase{Minutes: minutes, What: what})
			used += minutes
		}
	}
	if len(l.WarmUp) > 0 {
		add(warmUpMinutes, fmt.Sprintf("%d mixed questions, without notes", len(l.WarmUp)))
	}
	add(boardMinutes*len(l.Mistakes), "Mistakes of this class at the board")
	add(showMinutes*len(l.Aims), "Demonstration")
	practice := l.Minutes - used - checkOffMinutes - cleanMinutes
	add(practice, "Practice at the stations, the lathes among them")
	add(checkOffMinutes, "Check-off")
	add(cleanMinutes, "Cleaning; spindles stopped and isolated")
	return out
}

// spread orders skills by how little of them the class holds and recalls at a
// moment, least first.
func (o *Outline) spread(skills []string, at time.Time) []string {
	weight := map[string]float64{}
	for _, slug := range skills {
		for _, cells := range o.Class {
			if c := cells[slug]; c != nil {
				weight[slug] += c.Known * mastery.Recall(*c, at)
			}
		}
	}
	out := slices.Clone(skills)
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(weight[a], weight[b]) })
	return out
}

func (o *Outline) askable(skills []string) []string {
	return slices.DeleteFunc(slices.Clone(skills), func(s string) bool { return o.Can != nil && !o.Can(s) })
}

// warmUp picks five mixed questions from what was taught before, no skill twice
// running; before anything was taught, from what learners bring along.
func (o *Outline) warmUp(known []string, number int, at time.Time) []string {
	pool := o.askable(known)
	if len(pool) == 0 {
		pool = o.askable(mastery.BroughtAlong())
	}
	if len(pool) == 0 {
		return []string{}
	}
	// Where the record tells no difference the questions change from meeting to
	// meeting.
	turn := 2 * number % len(pool)
	pool = o.spread(append(slices.Clone(pool[turn:]), pool[:turn]...), at)
	if len(pool) > warmUps {
		pool = pool[:warmUps]
	}
	var out []string
	for i := range warmUps {
		if s := pool[i%len(pool)]; len(out) == 0 || out[len(out)-1] != s {
			out = append(out, s)
		}
	}
	return out
}

// worksheet mixes the aims with the two weakest skills of before.
func (o *Outline) worksheet(aims, known []string, at time.Time) []string {
	out := o.askable(aims)
	weak := o.spread(o.askable(known), at)
	return append(out, weak[:min(len(weak), max(2, 4-len(out)))]...)
}

// mistakes returns the wrong rules that most of the class holds now, three at
// most; where fewer are held, those that came up most often lately.
func (o *Outline) mistakes() []curriculum.BoardExample {
	held, seen := map[[2]string]int{}, map[[2]string]int{}
	for _, cells := range o.Class {
		for slug, c := range cells {
			once := map[string]bool{}
			for _, m := range mastery.Held(*c) {
				held[[2]string{slug, m.Rule}]++
				once[m.Rule] = true
			}
			for _, ch := range c.Recent {
				if ch.Rule != "" && !once[ch.Rule] {
					once[ch.Rule] = true
					seen[[2]string{slug, ch.Rule}]++
				}
			}
		}
	}
	out := []curriculum.BoardExample{}
	take := func(counts map[[2]string]int, only bool) {
		keys := make([][2]string, 0, len(counts))
		for k := range counts {
			if !slices.ContainsFunc(out, func(b curriculum.BoardExample) bool { return b.Skill == k[0] && b.Rule == k[1] }) {
				keys = append(keys, k)
			}
		}
		slices.SortFunc(keys, func(a, b [2]string) int {
			return cmp.Or(counts[b]-counts[a], cmp.Compare(placeOf[a[0]], placeOf[b[0]]), cmp.Compare(a[1], b[1]))
		})
		for _, k := range keys[:min(len(keys), mistakes-len(out))] {
			out = append(out, curriculum.BoardExample{
				Skill: k[0], Rule: k[1], Feedback: mastery.Feedback(k[0], k[1]), Learners: counts[k], Seen: only, Minutes: boardMinutes,
				Wrong: []string{}, Right: []string{},
			})
		}
	}
	take(held, false)
	take(seen, true)
	return out
}
