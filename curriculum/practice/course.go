package practice

import (
	"context"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"strconv"
	"sync"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/plan"
	"halfnut/threadmath"
)

// Bounds of what a course may ask.
const (
	leastMinutes, mostMinutes = 30, 480
	mostEveryDays             = 60
	mostCourse                = 400 * 24 * time.Hour
	mostPracticeSize          = 20
)

// SetCourse sets what a class is taught for. version is that of the course the
// caller saw, 0 for the first.
func (s *Service) SetCourse(ctx context.Context, a Actor, class string, version int, spec curriculum.CourseSpec) (curriculum.Course, error) {
	c, err := s.openClass(ctx, a, class)
	if err != nil {
		return curriculum.Course{}, err
	}
	before, err := s.store.Course(ctx, c.ID)
	if err != nil && !isNotFound(err) {
		return curriculum.Course{}, err
	}
	lathe, err := s.chooseLathe(ctx, a, "/lathe", spec.Lathe, before.Spec.Lathe)
	if err != nil {
		return curriculum.Course{}, err
	}
	if err := checkCourse(&spec); err != nil {
		return curriculum.Course{}, err
	}
	if _, _, err := jobOf(spec, lathe.Profile); err != nil {
		return curriculum.Course{}, err
	}
	course := curriculum.Course{Class: c.ID, Spec: spec, Version: version, Changed: s.now()}
	if err := s.store.SetCourse(ctx, course, a.Workshop, a.ID); err != nil {
		return curriculum.Course{}, err
	}
	return s.store.Course(ctx, class)
}

func checkCourse(c *curriculum.CourseSpec) (err error) {
	if c.Title, err = cleanName("/title", c.Title); err != nil {
		return err
	}
	if c.Units, err = cleanUnits("/units", c.Units); err != nil {
		return err
	}
	between := func(path string, n, least, most int) {
		if err == nil && (n < least || n > most) {
			err = &curriculum.FieldError{Path: path, Value: strconv.Itoa(n), Allowed: fmt.Sprintf("%d to %d", least, most)}
		}
	}
	between("/every_days", c.EveryDays, 1, mostEveryDays)
	between("/minutes", c.Minutes, leastMinutes, mostMinutes)
	between("/practice_days", c.PracticeDays, 1, mostEveryDays)
	between("/practice_size", c.PracticeSize, 1, mostPracticeSize)
	switch {
	case err != nil:
		return err
	case c.First.IsZero():
		return &curriculum.FieldError{Path: "/first", Reason: "say when the first meeting begins"}
	case !c.Date.After(c.First) || c.Date.Sub(c.First) > mostCourse:
		return &curriculum.FieldError{Path: "/date", Value: c.Date.Format(time.RFC3339), Reason: "the day at the lathe", Allowed: "after the first meeting, within 400 days"}
	}
	return nil
}

// jobOf solves the course's thread on its lathe.
func jobOf(spec curriculum.CourseSpec, lathe threadmath.Lathe) (threadmath.Request, threadmath.Answer, error) {
	r := threadmath.Request{Thread: spec.Thread, Cut: spec.Cut, Lathe: &lathe}
	a, err := threadmath.Solve(r)
	return r, a, err
}

// Course returns a class's course to an instructor.
func (s *Service) Course(ctx context.Context, a Actor, class string) (curriculum.Course, error) {
	if _, err := s.Class(ctx, a, class); err != nil {
		return curriculum.Course{}, err
	}
	return s.store.Course(ctx, class)
}

// target is a course with what follows from its lathe.
type target struct {
	course curriculum.Course
	lathe  curriculum.Lathe
	answer threadmath.Answer
	skills []string
}

func (s *Service) target(ctx context.Context, c curriculum.Course) (target, error) {
	lathe, err := s.store.Lathe(ctx, c.Spec.Lathe)
	if err != nil {
		return target{}, err
	}
	request, answer, err := jobOf(c.Spec, lathe.Profile)
	if err != nil {
		return target{}, err
	}
	return target{course: c, lathe: lathe, answer: answer, skills: plan.JobSkills(request, answer)}, nil
}

// asks reports whether exercises can be drawn for a skill on the lathe; it may be
// asked by several at once.
func asks(lathe threadmath.Lathe, units string) func(skill string) bool {
	drawer, err := generate.NewDrawer(lathe)
	var mu sync.Mutex
	known := map[string]bool{}
	return func(skill string) bool {
		mu.Lock()
		defer mu.Unlock()
		can, ok := known[skill]
		if !ok {
			can = err == nil && drawer.Serves(skill, system(units)) == nil
			known[skill] = can
		}
		return can
	}
}

func (t target) can() func(skill string) bool { return asks(t.lathe.Profile, t.course.Spec.Units) }

// CoursePlan works out a class's lessons from where it stands now: for the next
// one with its questions and its mistakes at the board.
func (s *Service) CoursePlan(ctx context.Context, a Actor, class string) (curriculum.CoursePlan, error) {
	course, err := s.Course(ctx, a, class)
	if err != nil {
		return curriculum.CoursePlan{}, err
	}
	t, err := s.target(ctx, course)
	if err != nil {
		return curriculum.CoursePlan{}, err
	}
	learners, err := s.store.Learners(ctx, class)
	if err != nil {
		return curriculum.CoursePlan{}, err
	}
	cells, err := s.store.ClassCells(ctx, class)
	if err != nil {
		return curriculum.CoursePlan{}, err
	}
	o := plan.Outline{Course: course, Skills: t.skills, Can: t.can(), Class: classCells(learners, cells)}
	p := plan.Lessons(o, s.now())
	p.LatheName = t.lathe.Name
	for i := range p.Lessons {
		l := &p.Lessons[i]
		for k := range l.Aims {
			if point := plan.JobPoint(l.Aims[k].Skill, t.answer); point != "" {
				l.Aims[k].Points = append(l.Aims[k].Points, "This job: "+point)
			}
		}
		if l.Past || i > 0 && !p.Lessons[i-1].Past {
			continue
		}
		if err := t.fill(l); err != nil {
			return curriculum.CoursePlan{}, err
		}
	}
	return p, nil
}

// fill draws the questions and the board examples of the next lesson; the same
// lesson gets the same ones as long as its skills stay.
func (t target) fill(l *curriculum.Lesson) error {
	random := rand.New(rand.NewPCG(seedOf(t.course.Class, strconv.Itoa(l.Number)), 0))
	for _, skill := range l.WarmUp {
		e, err := generate.Draw(skill, t.lathe.Profile, random.Uint64()>>11, generate.Options{Units: system(t.course.Spec.Units)})
		if err != nil {
			return err
		}
		l.Questions = append(l.Questions, e)
	}
	for i := range l.Mistakes {
		if err := t.board(&l.Mistakes[i], random); err != nil {
			return err
		}
	}
	return nil
}

// boardTries bounds the draws until one shows the wrong rule.
const boardTries = 60

// board works a mistake out on numbers from the course's lathe: what the wrong
// rule gives beside what is right. A mistake that this lathe cannot show keeps
// its sentence alone.
func (t target) board(b *curriculum.BoardExample, random *rand.Rand) error {
	skill, rule := mastery.RuleAt(b.Skill, b.Rule)
	drawer, err := generate.NewDrawer(t.lathe.Profile)
	if err != nil || drawer.Serves(skill, system(t.course.Spec.Units)) != nil {
		return nil // a lathe that cannot be read shows nothing either
	}
	for range boardTries {
		e, err := drawer.Draw(skill, random.Uint64()>>11, generate.Options{Units: system(t.course.Spec.Units)})
		if err != nil {
			return err
		}
		for _, p := range e.Parts {
			for _, w := range p.Wrong {
				if w.ID != rule {
					continue
				}
				lines, err := grade.Solution(e, p.ID)
				if err != nil {
					return err
				}
				b.Task = e.Prompt + " " + p.Ask
				for _, l := range lines {
					b.Right = append(b.Right, l.String())
				}
				b.Wrong, err = grade.Mistaken(e, p.ID, rule)
				return err
			}
		}
	}
	return nil
}

func seedOf(parts ...string) uint64 {
	h := fnv.New64a()
	for _, p := range parts {
		_, _ = h.Write([]byte(p + "\x00"))
	}
	return h.Sum64()
}

func classCells(learners []curriculum.Learner, cells []curriculum.Cell) []curriculum.Cells {
	by := cellsByLearner(cells)
	out := make([]curriculum.Cells, len(learners))
	for i, l := range learners {
		if out[i] = by[l.ID]; out[i] == nil {
			out[i] = curriculum.Cells{}
		}
	}
	return out
}
