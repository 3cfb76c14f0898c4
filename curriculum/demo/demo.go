package demo

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/testdata/workshop"
	"halfnut/threadmath"
)

const day = 24 * time.Hour

// filler is the demo on its way through its own past.
type filler struct {
	*practice.Service
	now        time.Time
	instructor practice.Actor
	steward    practice.Actor
	class      curriculum.Class
	lathe      curriculum.Lathe // the one that most of it is about
	learners   []curriculum.Learner
}

// Fill makes the demo workshop in an empty store, as of now, with seeds and
// codes from the random source.
func Fill(ctx context.Context, store practice.Store, now time.Time, random io.Reader) error {
	w, err := workshop.Demo()
	if err != nil {
		return err
	}
	f := &filler{now: now.Add(-firstDay)}
	f.Service = practice.New(store, practice.Options{Now: func() time.Time { return f.now }, Random: random})
	for _, step := range []func(context.Context, workshop.Workshop, time.Time) error{f.people, f.warmUps, f.signOffs, f.sets, f.course, f.shop} {
		if err := step(ctx, w, now); err != nil {
			return err
		}
	}
	return nil
}

// firstDay is how long ago the demo's past begins: a sign-off that lapses after
// 90 days unused has time to.
const firstDay = 120 * day

// people makes the workshop, its lathes, its class and its steward.
func (f *filler) people(ctx context.Context, w workshop.Workshop, _ time.Time) error {
	made, p, err := f.Begin(ctx, w.Name, w.Instructor, w.Units)
	if err != nil {
		return err
	}
	f.instructor = practice.Actor{ID: p.ID, Workshop: made.ID, Role: p.Role}
	for _, l := range w.Lathes {
		kept, err := f.AddLathe(ctx, f.instructor, l.Name, l)
		if err != nil {
			return err
		}
		if l.Name == w.Sets[0].Lathe {
			f.lathe = kept
		}
	}
	if f.class, err = f.AddClass(ctx, f.instructor, w.Class); err != nil {
		return err
	}
	if f.learners, err = f.AddLearners(ctx, f.instructor, f.class.ID, practice.Adding{Names: w.Learners}); err != nil {
		return err
	}
	s, _, err := f.AddPerson(ctx, f.instructor, w.Steward, curriculum.RoleSteward)
	f.steward = practice.Actor{ID: s.ID, Workshop: made.ID, Role: s.Role}
	return err
}

// turningSkills are those that the theory of turning asks for.
var turningSkills = []string{curriculum.SafeTurning, "collar-reading", "fractions", "inch-mm"}

// candidates are the learners, from the first seat on, who are signed off or on
// their way to it.
const candidates = 5

// warmUps are evenings of a few questions each. Half the class has them all right;
// the others slip now and then. Four evenings are enough for the gate of the
// machine unless chance gives somebody the same numbers twice, or asks one skill in one
// way only: then there are more, in the breaks of the days after.
func (f *filler) warmUps(ctx context.Context, _ workshop.Workshop, now time.Time) error {
	const most = 60 // chance needs more once in a million demos
	ago := []time.Duration{119, 117, 114, 112}
	for i := range most {
		if i < len(ago) {
			f.now = now.Add(-ago[i] * day)
		} else {
			if open, err := f.atTheGate(ctx); open || err != nil {
				return err
			}
			f.now = f.now.Add(4 * time.Hour)
		}
		err := f.answered(ctx, curriculum.SetSpec{
			Title: "Warm-up " + strconv.Itoa(i+1), Skills: turningSkills, Count: len(turningSkills), Lathe: f.lathe.ID, Units: "mm",
		}, func(learner, position int) answer {
			if learner >= len(f.learners)/2 && (learner+position+i)%5 == 0 {
				return wrong
			}
			return right
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// atTheGate reports whether all candidates may sit the theory of turning.
func (f *filler) atTheGate(ctx context.Context) (bool, error) {
	for _, l := range f.learners[:candidates] {
		held, err := f.Mastery(ctx, f.instructor, l.ID)
		if err != nil {
			return false, err
		}
		for _, h := range held {
			if slices.Contains(turningSkills, h.Skill) && !h.Machine {
				return false, nil
			}
		}
	}
	return true, nil
}

// sets are the class sets of the last days, a good part of them answered: some of
// it wrong in a known way, by a few learners again and again, some not yet.
func (f *filler) sets(ctx context.Context, w workshop.Workshop, now time.Time) error {
	for i, set := range w.Sets {
		f.now = now.Add(-time.Duration(len(w.Sets)-i) * day)
		err := f.answered(ctx, curriculum.SetSpec{Title: set.Title, Skills: set.Skills, Count: set.Count, Lathe: f.lathe.ID, Units: set.Units}, func(learner, position int) answer {
			switch {
			case learner >= 9 || position > 4+learner%3:
				return none
			case learner%3 == 1 || (learner+position)%5 == 0:
				return wrong
			}
			return right
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// answer is how a learner of the demo answers an exercise.
type answer int

const (
	none answer = iota
	right
	wrong
)

// answered builds a class set and enters its answers from paper.
func (f *filler) answered(ctx context.Context, spec curriculum.SetSpec, how func(learner, position int) answer) error {
	set, variants, err := f.BuildSet(ctx, f.instructor, f.class.ID, spec)
	if err != nil {
		return err
	}
	var papers []practice.PaperAnswer
	for i, v := range variants {
		for k, e := range v.Exercises {
			if h := how(i, k+1); h != none {
				papers = append(papers, practice.PaperAnswer{Variant: v.Code, Position: k + 1, Answers: texts(e, h)})
			}
		}
	}
	_, err = f.EnterPaper(ctx, f.instructor, set.ID, papers)
	return err
}

// texts writes the answers to an exercise.
func texts(e curriculum.Exercise, how answer) map[string]string {
	out := map[string]string{}
	for _, p := range e.Parts {
		out[p.ID] = p.Answer.String()
		if l := p.Answer.Length; l != nil { // in what is asked for: the same size in another unit is asked back
			out[p.ID] = strconv.FormatFloat(l.MM(), 'f', max(p.Decimals, 3), 64) + " mm"
			if p.Unit == curriculum.UnitInch {
				out[p.ID] = strconv.FormatFloat(l.Value(threadmath.Inch), 'f', max(p.Decimals, 4), 64) + " in"
			}
		}
		if how == right {
			continue
		}
		pitch := e.Givens.Values["P"]
		switch {
		case p.Kind == curriculum.KindLength && pitch != "":
			out[p.ID] = pitch // the pitch for whatever was asked: the commonest slip
		case len(p.Choices) > 1 && p.Kind == curriculum.KindChoice:
			i := slices.IndexFunc(p.Choices, func(c curriculum.Choice) bool { return c.ID != out[p.ID] })
			out[p.ID] = p.Choices[i].ID
		case len(p.Choices) == 0:
			out[p.ID] = "1"
		}
	}
	return out
}

// signOffs are those for turning: in force, in force with a restriction, lapsed,
// revoked, and one half-way.
func (f *filler) signOffs(ctx context.Context, _ workshop.Workshop, now time.Time) error {
	for _, s := range []struct {
		learner     int
		ago         time.Duration
		restriction string
	}{{1, 100, ""}, {2, 40, "soft metals, chuck work only"}, {3, 30, ""}, {0, 20, ""}} {
		f.now = now.Add(-s.ago * day)
		if err := f.signUp(ctx, f.turning(s.learner), s.restriction); err != nil {
			return err
		}
	}
	f.now = now.Add(-5 * day)
	dress := []string{}
	for _, it := range signoff.DressItems() {
		dress = append(dress, it.ID)
	}
	for _, i := range []int{0, 2} {
		if _, err := f.CheckIn(ctx, f.steward, practice.CheckingIn{Place: f.turning(i), Job: "stepped shaft", Second: f.learners[5].ID, Dress: dress}); err != nil {
			return err
		}
	}
	if _, err := f.Revoke(ctx, f.steward, practice.Changing{Place: f.turning(3), Reason: "chuck key left in the chuck"}); err != nil {
		return err
	}
	if err := f.theory(ctx, f.turning(4)); err != nil {
		return err
	}
	return f.demonstrate(ctx, f.turning(4))
}

func (f *filler) turning(learner int) practice.Place {
	return practice.Place{Learner: f.learners[learner].ID, Lathe: f.lathe.ID, Operation: signoff.Turning}
}

// signUp takes a learner from the theory to the decision, over two days.
func (f *filler) signUp(ctx context.Context, at practice.Place, restriction string) error {
	if err := f.theory(ctx, at); err != nil {
		return err
	}
	for range 2 {
		if err := f.demonstrate(ctx, at); err != nil {
			return err
		}
		f.now = f.now.Add(day)
	}
	const work = "three diameters"
	sizes, _, err := practice.MeasuresFor(at.Operation, work)
	if err != nil {
		return err
	}
	for i := range sizes {
		sizes[i].Low, sizes[i].High, sizes[i].Measured, sizes[i].U = "21.3 mm", "21.5 mm", "21.41 mm", "0.03 mm"
	}
	if _, err := f.Measure(ctx, f.instructor, practice.Measuring{Place: at, Thread: work, Instrument: "micrometer", Measures: sizes}); err != nil {
		return err
	}
	_, err = f.Decide(ctx, f.instructor, practice.Deciding{Place: at, Granted: true, Age: true, Restriction: restriction})
	return err
}

// theory is a sitting with every answer right.
func (f *filler) theory(ctx context.Context, at practice.Place) error {
	s, err := f.OpenSitting(ctx, f.instructor, practice.OpeningSitting{Place: at, Kind: signoff.SittingTheory})
	if err != nil {
		return err
	}
	answers := make([]map[string]string, len(s.Exercises))
	for i, e := range s.Exercises {
		answers[i] = texts(e, right)
	}
	result, err := f.HandIn(ctx, f.instructor, s.ID, answers)
	if err == nil && !result.Result.Passed {
		err = fmt.Errorf("the demo's theory is not passed: %d of %d", result.Result.Marks, result.Result.OutOf)
	}
	return err
}

// demonstrate is a witnessed demonstration with every line done.
func (f *filler) demonstrate(ctx context.Context, at practice.Place) error {
	o, _ := signoff.OperationOf(at.Operation)
	items := map[string]string{}
	for _, it := range o.Checklist {
		items[it.ID] = signoff.Done
	}
	_, err := f.Witness(ctx, f.steward, practice.Witnessing{Place: at, Job: "stepped shaft", Items: items})
	return err
}

// course is what the class is taught for: it began two weeks ago and ends at the
// lathe in twenty.
func (f *filler) course(ctx context.Context, w workshop.Workshop, now time.Time) error {
	f.now = now
	request, err := job("three-start-m30")
	if err != nil {
		return err
	}
	_, err = f.SetCourse(ctx, f.instructor, f.class.ID, 0, curriculum.CourseSpec{
		Title: w.Course, Thread: request.Thread, Lathe: f.lathe.ID, Units: w.Units,
		First: evening(now.Add(-14 * day)), EveryDays: 7, Minutes: 150, Date: evening(now.Add(140 * day)), PracticeDays: 2, PracticeSize: 8,
	})
	return err
}

// job is a thread of the workshop's without its lathe: the learner's stands in.
func job(name string) (threadmath.Request, error) {
	jobs, err := workshop.Jobs()
	if err != nil {
		return threadmath.Request{}, err
	}
	r, err := threadmath.ParseRequest(jobs["jobs/"+name+".json"])
	r.Lathe = nil
	return r, err
}

// evening is half past six of a day.
func evening(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 18, 30, 0, 0, t.Location())
}

// shop gives nine learners their jobs, every third of them a thread in inches on
// the lathe that cuts those, and plans the evening of it.
func (f *filler) shop(ctx context.Context, w workshop.Workshop, now time.Time) error {
	metric, err := job("three-start-m30")
	if err != nil {
		return err
	}
	inch, err := job("two-start-twelve-per-inch")
	if err != nil {
		return err
	}
	lathes, err := f.Lathes(ctx, f.instructor)
	if err != nil {
		return err
	}
	for i, l := range f.learners[:9] {
		j := curriculum.Job{Class: f.class.ID, Learner: l.ID, Lathe: f.lathe.ID, Request: metric, Factor: 1 + float64(i%3)/4, Allowed: i < 6}
		if i%3 == 2 {
			j.Lathe, j.Request = lathes[0].ID, inch
		}
		if _, err := f.SetJob(ctx, f.instructor, j); err != nil {
			return err
		}
	}
	spec := curriculum.ShopSpec{Title: w.Course + ", first evening", CheckMinutes: 5}
	for _, l := range lathes {
		if strings.HasPrefix(l.Name, "Lathe") {
			spec.Lathes = append(spec.Lathes, l.ID)
		}
	}
	_, err = f.PlanShop(ctx, f.instructor, f.class.ID, evening(now.Add(7*day)), spec)
	return err
}
