package practice

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/plan"
	"halfnut/threadmath"
)

// Without a course a learner practises every second day, eight exercises a time,
// what the class's sets ask for, and the plan looks a fortnight ahead.
const (
	freeDays  = 2
	freeSize  = 8
	freeAhead = 14 * 24 * time.Hour

	// forecastRuns imagined runs give a chance to within five hundredths.
	forecastRuns = 100
)

// purpose is what a learner practises for, and on which lathe.
type purpose struct {
	class curriculum.Class
	aim   plan.Aim
	days  []time.Time
	lathe curriculum.Lathe
	units string
}

// purpose finds the course of the learner's classes whose day comes next; where
// there is none, what the latest class set asked for. Classes that have ended ask for
// nothing.
func (s *Service) purpose(ctx context.Context, learner curriculum.Learner) (purpose, error) {
	classes, err := s.store.ClassesOf(ctx, learner.ID)
	if err != nil {
		return purpose{}, err
	}
	now := s.now()
	var best *curriculum.Course
	var free *curriculum.ClassSet
	var in, freeIn curriculum.Class
	for _, class := range classes {
		if class.Ended != nil {
			continue
		}
		c, err := s.store.Course(ctx, class.ID)
		switch {
		case isNotFound(err):
		case err != nil:
			return purpose{}, err
		case c.Spec.Date.After(now) && (best == nil || c.Spec.Date.Before(best.Spec.Date)):
			best, in = &c, class
		}
		sets, err := s.store.Sets(ctx, class.ID)
		if err != nil {
			return purpose{}, err
		}
		for _, set := range sets {
			if set.Spec.For == "" && (free == nil || set.Created.After(free.Created)) {
				free, freeIn = &set, class
			}
		}
	}
	switch {
	case best != nil:
		return s.purposeOf(ctx, in, *best)
	case free == nil:
		return purpose{}, fmt.Errorf("%w: no course and no class set says yet what to practise", curriculum.ErrNotFound)
	}
	return s.freePurpose(ctx, freeIn)
}

func (s *Service) purposeOf(ctx context.Context, class curriculum.Class, c curriculum.Course) (purpose, error) {
	t, err := s.target(ctx, c)
	if err != nil {
		return purpose{}, err
	}
	every := time.Duration(c.Spec.PracticeDays) * 24 * time.Hour
	return purpose{
		class: class, lathe: t.lathe, units: c.Spec.Units, days: sittings(s.now(), c.Spec.Date, every),
		aim: plan.Aim{Skills: t.skills, Can: t.can(), Gate: c.Spec.Date, Size: c.Spec.PracticeSize},
	}, nil
}

// freePurpose is to practise whatever the class's sets ask for, on the lathe of
// the latest.
func (s *Service) freePurpose(ctx context.Context, class curriculum.Class) (purpose, error) {
	sets, err := s.store.Sets(ctx, class.ID)
	if err != nil {
		return purpose{}, err
	}
	p := purpose{class: class, aim: plan.Aim{Size: freeSize}}
	for _, set := range sets { // oldest first: the latest decides the lathe
		if set.Spec.For != "" {
			continue
		}
		p.lathe = curriculum.Lathe{ID: set.Spec.Lathe, Workshop: class.Workshop, Name: set.LatheName, Profile: set.Profile}
		p.units = set.Spec.Units
		p.aim.Skills = append(p.aim.Skills, set.Spec.Skills...)
	}
	p.aim.Can = asks(p.lathe.Profile, p.units)
	p.days = sittings(s.now(), s.now().Add(freeAhead), freeDays*24*time.Hour)
	return p, nil
}

// sittings returns the times of practice from now on, before the end; at least
// one.
func sittings(now, end time.Time, every time.Duration) []time.Time {
	out := []time.Time{now}
	for at := now.Add(every); at.Before(end) && len(out) < 200; at = at.Add(every) {
		out = append(out, at)
	}
	return out
}

// Plan returns the practice plan of a learner, to the learner and to an
// instructor of the workshop, with the chance of being ready where it is asked
// for: the first time of a day that takes far longer than the rest.
func (s *Service) Plan(ctx context.Context, a Actor, learner string, forecast bool) (curriculum.PracticePlan, error) {
	l, err := s.Learner(ctx, a, learner)
	if err != nil {
		return curriculum.PracticePlan{}, err
	}
	what, err := s.purpose(ctx, l)
	if err != nil {
		return curriculum.PracticePlan{}, err
	}
	cells, err := s.store.Cells(ctx, l.ID)
	if err != nil {
		return curriculum.PracticePlan{}, err
	}
	p := plan.Dated(cellsBySkill(cells), what.aim, what.days)
	p.Learner, p.Name = l.ID, l.Name
	if p.Gate != nil && forecast {
		chance, err := s.chance(what, cellsBySkill(cells))
		if err != nil {
			return curriculum.PracticePlan{}, err
		}
		p.Chance = &chance
	}
	return p, nil
}

// chance is the forecast from a record: the same draws for everybody, so that
// equal records get equal forecasts. It takes a tenth of a second, so a record's
// is worked out once a day.
func (s *Service) chance(p purpose, cells curriculum.Cells) (float64, error) {
	body, err := json.Marshal([]any{
		cells, p.aim.Gate, p.aim.Size, p.aim.Skills, p.lathe.ID, p.lathe.Version, p.units, len(p.days), p.days[0].Format(time.DateOnly),
	})
	if err != nil {
		return 0, err
	}
	key := sha256.Sum256(body)
	if kept, ok := s.chances.Get(key); ok {
		return kept, nil
	}
	random := rand.New(rand.NewPCG(seedOf(p.aim.Gate.String()), 1))
	out := plan.Forecast(cells, p.aim, p.days, forecastRuns, random)
	s.chances.Add(key, out)
	return out, nil
}

// mostChances are kept; a district's learners of one day.
const mostChances = 10_000

// Forecast is who of a class will be ready at the lathe's day.
type Forecast struct {
	Class curriculum.Class `json:"class"`
	Gate  time.Time        `json:"gate"`
	// Expected is the number of learners that should be ready.
	Expected float64       `json:"expected"`
	Rows     []ForecastRow `json:"rows"`
}

// ForecastRow is one learner's forecast.
type ForecastRow struct {
	Learner string `json:"learner"`
	Name    string `json:"name"`
	Seat    int    `json:"seat"`
	// Through counts the goals that have passed the machine's gate already, of so
	// many that exercises can be drawn for.
	Through int `json:"through"`
	Goals   int `json:"goals"`
	// Chance is the probability of being ready if every sitting is kept; Late the
	// days by which the gate is missed even if every answer is right.
	Chance float64 `json:"chance"`
	Late   int     `json:"late_days"`
}

// ClassForecast says for each learner of a class with a course how probably they
// are ready on the day at the lathe.
func (s *Service) ClassForecast(ctx context.Context, a Actor, class string) (Forecast, error) {
	course, err := s.Course(ctx, a, class)
	if err != nil {
		return Forecast{}, err
	}
	c, err := s.Class(ctx, a, class)
	if err != nil {
		return Forecast{}, err
	}
	p, err := s.purposeOf(ctx, c, course)
	if err != nil {
		return Forecast{}, err
	}
	learners, err := s.store.Learners(ctx, class)
	if err != nil {
		return Forecast{}, err
	}
	cells, err := s.store.ClassCells(ctx, class)
	if err != nil {
		return Forecast{}, err
	}
	f := Forecast{Class: c, Gate: course.Spec.Date, Rows: make([]ForecastRow, len(learners))}
	all := classCells(learners, cells)
	failed := make([]error, len(learners))
	var wait sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, l := range learners {
		free <- struct{}{}
		wait.Go(func() {
			defer func() { <-free }()
			if ctx.Err() == nil {
				f.Rows[i], failed[i] = s.forecastRow(p, l, all[i])
			}
		})
	}
	wait.Wait()
	if err := errors.Join(append(failed, ctx.Err())...); err != nil {
		return Forecast{}, err
	}
	for _, r := range f.Rows {
		f.Expected += r.Chance
	}
	return f, nil
}

func (s *Service) forecastRow(p purpose, l curriculum.Learner, cells curriculum.Cells) (ForecastRow, error) {
	dated := plan.Dated(cells, p.aim, p.days)
	chance, err := s.chance(p, cells)
	r := ForecastRow{Learner: l.ID, Name: l.Name, Seat: l.Seat, Late: dated.Late, Chance: chance}
	for _, slug := range dated.Goals {
		if slices.Contains(dated.NotAsked, slug) {
			continue
		}
		r.Goals++
		c := cells[slug]
		count(&r.Through, c != nil && mastery.Machine.Open(*c))
	}
	return r, err
}

// PracticeSheet draws the exercises of the next sitting of a learner's plan as
// a sheet of the learner's own. A sheet that was drawn before and has no answer
// yet comes back in its place, so that asking twice makes one.
func (s *Service) PracticeSheet(ctx context.Context, a Actor, learner string) (curriculum.ClassSet, curriculum.Variant, error) {
	fail := func(err error) (curriculum.ClassSet, curriculum.Variant, error) {
		return curriculum.ClassSet{}, curriculum.Variant{}, err
	}
	l, err := s.Learner(ctx, a, learner)
	if err != nil {
		return fail(err)
	}
	p, err := s.purpose(ctx, l)
	if err != nil {
		return fail(err)
	}
	if set, v, err := s.openSheet(ctx, a, l.ID); !isNotFound(err) {
		return set, v, err
	}
	cells, err := s.store.Cells(ctx, l.ID)
	if err != nil {
		return fail(err)
	}
	now := s.now()
	items := plan.Next(cellsBySkill(cells), p.aim, now)
	if len(items) == 0 {
		return fail(fmt.Errorf("%w: there is nothing to practise today; what was learned needs a night's rest", curriculum.ErrConflict))
	}
	seed, err := s.seed()
	if err != nil {
		return fail(err)
	}
	code, err := s.code(8)
	if err != nil {
		return fail(err)
	}
	set := curriculum.ClassSet{ID: newID(), Class: p.class.ID, LatheName: p.lathe.Name, Profile: p.lathe.Profile, Seed: seed, Created: now,
		Spec: curriculum.SetSpec{Title: "Practice " + now.Format(time.DateOnly), Count: len(items), Lathe: p.lathe.ID, Units: p.units, For: l.ID}}
	v := curriculum.Variant{Code: code, Set: set.ID, Learner: l.ID, Name: l.Name, Seat: cmp.Or(l.Seat, 1), Created: now}
	for _, item := range items {
		if !slices.Contains(set.Spec.Skills, item.Skill) {
			set.Spec.Skills = append(set.Spec.Skills, item.Skill)
		}
	}
	if v.Exercises, err = drawItems(items, cellsBySkill(cells), p.lathe.Profile, seed, system(p.units)); err != nil {
		return fail(err)
	}
	if err := s.store.CreateSet(ctx, set, []curriculum.Variant{v}, a.Workshop, a.ID); err != nil {
		return fail(err)
	}
	return withoutSeed(a, set), s.shown(a, v), nil
}

// drawTries bounds the draws that look for a task that is not on the sheet yet and
// was not right before.
const drawTries = 40

// drawItems draws one exercise for each item: by the item models that the skill was
// not right by yet, as long as there are any, and with another task each time as
// long as the lathe has one.
func drawItems(items []curriculum.PracticeItem, cells curriculum.Cells, lathe threadmath.Lathe, seed uint64, units threadmath.System) ([]curriculum.Exercise, error) {
	drawer, err := generate.NewDrawer(lathe)
	if err != nil {
		return nil, err
	}
	random := rand.New(rand.NewPCG(seed, 2))
	draws := map[string]*itemDraws{}
	var out []curriculum.Exercise
	for _, item := range items {
		d := draws[item.Skill]
		if d == nil {
			r, err := drawer.Range(item.Skill, units)
			if err != nil {
				return nil, err
			}
			d = newItemDraws(cells[item.Skill], r)
			draws[item.Skill] = d
		}
		e, err := d.next(func(model string) (curriculum.Exercise, error) {
			return drawer.Draw(item.Skill, random.Uint64()>>11, generate.Options{Units: units, Model: model})
		})
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}

// itemDraws chooses among the exercises of one skill on a sheet.
type itemDraws struct {
	unmet []string // models, the next one first
	known map[string]bool
	seen  map[string]bool
}

func newItemDraws(c *curriculum.Cell, r curriculum.Range) *itemDraws {
	d := &itemDraws{known: map[string]bool{}, seen: map[string]bool{}}
	var met curriculum.Cell
	if c != nil {
		met = *c
	}
	met.Range = &r
	d.unmet = mastery.Unmet(met)
	for _, key := range met.RightOn {
		d.known[key] = true
	}
	return d
}

// next draws until an exercise shows something new; of the others the one that is
// least known already does where there is none.
func (d *itemDraws) next(draw func(model string) (curriculum.Exercise, error)) (curriculum.Exercise, error) {
	model := ""
	if len(d.unmet) > 0 {
		model, d.unmet = d.unmet[0], d.unmet[1:]
	}
	var kept curriculum.Exercise
	best := -1
	for range drawTries {
		e, err := draw(model)
		if err != nil {
			return e, err
		}
		if rank := d.rank(e); rank > best {
			kept, best = e, rank
		}
		if best == newTask {
			break
		}
	}
	d.seen[kept.Numbers()], d.known[kept.BasisOf().Keys[kept.Skill]] = true, true
	return kept, nil
}

// newTask is the rank of an exercise that shows something new.
const newTask = 3

func (d *itemDraws) rank(e curriculum.Exercise) int {
	b := e.BasisOf()
	shows, _ := e.Shows(b, e.Skill)
	switch {
	case d.seen[e.Numbers()]:
		return 0
	case !shows:
		return 1
	case d.known[b.Keys[e.Skill]]:
		return 2
	}
	return newTask
}

// openSheet returns the learner's newest practice sheet if it has no answer yet.
func (s *Service) openSheet(ctx context.Context, a Actor, learner string) (curriculum.ClassSet, curriculum.Variant, error) {
	vs, err := s.store.VariantsOf(ctx, learner)
	if err != nil {
		return curriculum.ClassSet{}, curriculum.Variant{}, err
	}
	for _, v := range vs {
		set, err := s.store.Set(ctx, v.Set)
		if err != nil {
			return curriculum.ClassSet{}, curriculum.Variant{}, err
		}
		if set.Spec.For != learner || set.Withdrawn != nil {
			continue
		}
		marks, err := s.store.Marks(ctx, set.ID)
		if err == nil && len(marks) > 0 {
			err = curriculum.ErrNotFound
		}
		if err == nil {
			v, err = s.store.Variant(ctx, v.Code)
		}
		return withoutSeed(a, set), s.shown(a, v), err
	}
	return curriculum.ClassSet{}, curriculum.Variant{}, curriculum.ErrNotFound
}

// shown is a variant as the actor may see it.
func (s *Service) shown(a Actor, v curriculum.Variant) curriculum.Variant {
	if a.Role == RoleLearner {
		v.Exercises = slices.Clone(v.Exercises)
		for i, e := range v.Exercises {
			v.Exercises[i] = e.Public()
		}
	}
	return v
}

func withoutSeed(a Actor, set curriculum.ClassSet) curriculum.ClassSet {
	if a.Role == RoleLearner {
		set.Seed = 0
	}
	return set
}
