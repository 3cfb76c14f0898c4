package practice

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/shop"
	"halfnut/threadmath"
)

// SetJob says what a learner of the class is to cut and where. The lathe's
// profile stands in for the request's own; the minutes must follow from it. A
// job that gets no bench card is kept, and gives no turn: Jobs says why. A lathe
// out of use can stay, for when it is back, and not be chosen.
func (s *Service) SetJob(ctx context.Context, a Actor, j curriculum.Job) (curriculum.Job, error) {
	c, err := s.openClass(ctx, a, j.Class)
	if err != nil {
		return j, err
	}
	if err := s.enrolled(ctx, c.ID, j.Learner); err != nil {
		return j, err
	}
	jobs, err := s.store.Jobs(ctx, c.ID)
	if err != nil {
		return j, err
	}
	kept := ""
	if i := slices.IndexFunc(jobs, func(k curriculum.Job) bool { return k.Learner == j.Learner }); i >= 0 {
		kept = jobs[i].Lathe
	}
	l, err := s.chooseLathe(ctx, a, "/lathe", j.Lathe, kept)
	if err != nil {
		return j, err
	}
	if j.Factor == 0 {
		j.Factor = 1
	}
	if !(j.Factor >= 1 && j.Factor <= 3) {
		return j, &curriculum.FieldError{Path: "/factor", Value: fmt.Sprint(j.Factor), Allowed: "1 to 3"}
	}
	j.Request.Lathe = nil
	if _, err := shop.Minutes(onLathe(j.Request, l), shop.Times{}, j.Factor); err != nil {
		return j, err
	}
	j.Changed = s.now()
	if err := s.store.SetJob(ctx, j, a.Workshop, a.ID); err != nil {
		return j, err
	}
	j.Version++
	return j, nil
}

// RemoveJob takes a learner's job away if it still has j's version. Sessions that
// are planned already keep their plan.
func (s *Service) RemoveJob(ctx context.Context, a Actor, j curriculum.Job) error {
	c, err := s.openClass(ctx, a, j.Class)
	if err != nil {
		return err
	}
	j.Class = c.ID
	return s.store.RemoveJob(ctx, j, a.Workshop, a.ID, s.now())
}

func (s *Service) enrolled(ctx context.Context, class, learner string) error {
	ls, err := s.store.Learners(ctx, class)
	if err != nil {
		return err
	}
	for _, l := range ls {
		if l.ID == learner {
			return nil
		}
	}
	return curriculum.ErrNotFound
}

// onLathe puts a lathe's profile into a request.
func onLathe(r threadmath.Request, l curriculum.Lathe) threadmath.Request {
	profile := l.Profile
	profile.Name = l.Name
	r.Lathe = &profile
	return r
}

// JobState is a job with what the session planner makes of it.
type JobState struct {
	curriculum.Job
	Name      string `json:"name"`
	LatheName string `json:"lathe_name"`
	Minutes   int    `json:"minutes"`
	// AllowedBy says who lets the learner work there: AllowedBySignOff,
	// AllowedByInstructor, or nobody.
	AllowedBy string `json:"allowed_by,omitempty"`
	// SignOff is the status of the learner's sign-off for what the job is, on this
	// lathe, with its restriction.
	SignOff     string `json:"sign_off"`
	Restriction string `json:"restriction,omitempty"`
	// Why says what keeps the learner from the lathe; empty where nothing does.
	Why string `json:"why,omitempty"`
}

// Jobs returns the jobs of a class in seat order, each with its minutes on its
// lathe and with what stands against a turn.
func (s *Service) Jobs(ctx context.Context, a Actor, class string) ([]JobState, error) {
	c, err := s.Class(ctx, a, class)
	if err != nil {
		return nil, err
	}
	jobs, err := s.store.Jobs(ctx, c.ID)
	if err != nil {
		return nil, err
	}
	ls, err := s.store.Learners(ctx, c.ID)
	if err != nil {
		return nil, err
	}
	lathes, err := s.store.Lathes(ctx, a.Workshop)
	if err != nil {
		return nil, err
	}
	logs, err := s.store.LoggedTimes(ctx, a.Workshop)
	if err != nil {
		return nil, err
	}
	may, err := s.leave(ctx, a)
	if err != nil {
		return nil, err
	}
	byID := map[string]curriculum.Lathe{}
	for _, l := range lathes {
		byID[l.ID] = l
	}
	of := map[string]curriculum.Job{}
	for _, j := range jobs {
		of[j.Learner] = j
	}
	out := []JobState{}
	for _, l := range ls {
		j, ok := of[l.ID]
		if !ok {
			continue
		}
		lathe := byID[j.Lathe]
		st := JobState{Job: j, Name: l.Name, LatheName: lathe.Name}
		request := onLathe(j.Request, lathe)
		if st.Minutes, err = shop.Minutes(request, shop.Medians(logs, j.Lathe), j.Factor); err != nil {
			st.Why = err.Error() // the lathe's profile was changed since
		} else if _, err := shop.BenchCard(request, j.Method, curriculum.UnitsOfJob); err != nil {
			st.Why = "no bench card: " + err.Error()
		}
		if err := may.decide(ctx, &st, lathe, request); err != nil {
			return nil, err
		}
		out = append(out, st)
	}
	return out, nil
}

// JobCard returns the bench card of a learner's job, and the learner's name.
func (s *Service) JobCard(ctx context.Context, a Actor, class, learner string) (curriculum.BenchCard, string, error) {
	jobs, err := s.Jobs(ctx, a, class)
	if err != nil {
		return curriculum.BenchCard{}, "", err
	}
	j, err := learnersJob(jobs, learner)
	if err != nil {
		return curriculum.BenchCard{}, "", err
	}
	l, err := s.Lathe(ctx, a, j.Lathe)
	if err != nil {
		return curriculum.BenchCard{}, "", err
	}
	why, err := s.WhyOutOfUse(ctx, a, l)
	if err == nil && why != "" {
		err = &curriculum.RefusedCard{Reasons: []curriculum.CardReason{{Path: "/lathe", Why: "the lathe " + why}}}
	}
	if err != nil {
		return curriculum.BenchCard{}, j.Name, err
	}
	who, err := s.store.Learner(ctx, j.Learner)
	if err != nil {
		return curriculum.BenchCard{}, "", err
	}
	card, err := shop.BenchCard(onLathe(j.Request, l), j.Method, cmp.Or(who.Units, a.Units))
	if err != nil {
		return card, j.Name, err
	}
	checks, err := s.store.LatheChecks(ctx, l.ID)
	card.Prove(checks)
	return card, j.Name, err
}

// LogTime keeps what the parts of a turn took.
func (s *Service) LogTime(ctx context.Context, a Actor, t curriculum.LoggedTime) (curriculum.LoggedTime, error) {
	if err := a.instructor(); err != nil {
		return t, err
	}
	if _, err := s.Lathe(ctx, a, t.Lathe); err != nil {
		return t, err
	}
	some := false
	for _, v := range []struct {
		path string
		of   *float64
	}{{"/set_up_min", t.SetUpMin}, {"/handling_s", t.HandlingS}, {"/index_min", t.IndexMin}, {"/measure_min", t.MeasureMin}} {
		if v.of == nil {
			continue
		}
		some = true
		if !(*v.of >= 0 && *v.of <= 600) {
			return t, &curriculum.FieldError{Path: v.path, Value: fmt.Sprint(*v.of), Allowed: "0 to 600"}
		}
	}
	if !some {
		return t, &curriculum.FieldError{Path: "/", Reason: "nothing was measured", Allowed: "set_up_min, handling_s, index_min, measure_min"}
	}
	t.ID, t.By, t.At = newID(), a.ID, s.now()
	return t, s.store.LogTime(ctx, t, a.Workshop)
}

// RemoveTime takes back a time that was logged by mistake.
func (s *Service) RemoveTime(ctx context.Context, a Actor, id string) error {
	if err := a.instructor(); err != nil {
		return err
	}
	return s.store.RemoveTime(ctx, a.Workshop, id, a.ID, s.now())
}

// LoggedTimes returns the times logged in the workshop.
func (s *Service) LoggedTimes(ctx context.Context, a Actor) ([]curriculum.LoggedTime, error) {
	if err := a.instructor(); err != nil {
		return nil, err
	}
	return s.store.LoggedTimes(ctx, a.Workshop)
}

// PlanShop plans a session of a class and keeps it.
func (s *Service) PlanShop(ctx context.Context, a Actor, class string, begins time.Time, spec curriculum.ShopSpec) (curriculum.ShopSession, error) {
	now := s.now()
	out := curriculum.ShopSession{ID: newID(), Class: class, Begins: begins, Spec: shop.Defaults(spec), Version: 1, Created: now, Changed: now}
	if err := s.planShop(ctx, a, &out, nil); err != nil {
		return out, err
	}
	return out, s.store.CreateShopSession(ctx, out, a.Workshop, a.ID)
}

// ChangeShop plans a session again around what its spec fixes, if it still has
// the version that the caller saw. A lathe that it had and that is out of use by now
// stays its own, and gets no turns.
func (s *Service) ChangeShop(ctx context.Context, a Actor, id string, version int, begins time.Time, spec curriculum.ShopSpec) (curriculum.ShopSession, error) {
	out, err := s.ShopSession(ctx, a, id)
	if err != nil {
		return out, err
	}
	why, err := s.WhyCalledOff(ctx, a, out)
	if err == nil && why != "" {
		err = fmt.Errorf("%w: the session %s; hold it after all before it is planned again", curriculum.ErrConflict, why)
	}
	if err != nil {
		return out, err
	}
	if out.Version != version {
		return out, fmt.Errorf("%w, it has version %d; read it again, nothing of yours was kept", curriculum.ErrChanged, out.Version)
	}
	had := out.Spec.Lathes
	out.Begins, out.Spec, out.Changed = begins, shop.Defaults(spec), s.now()
	if err := s.planShop(ctx, a, &out, had); err != nil {
		return out, err
	}
	if err := s.store.UpdateShopSession(ctx, out, a.Workshop, a.ID); err != nil {
		return out, err
	}
	out.Version++
	return out, nil
}

// planShop fills in the plan from the class's jobs as they are now. Had are the
// lathes of the plan before.
func (s *Service) planShop(ctx context.Context, a Actor, out *curriculum.ShopSession, had []string) (err error) {
	if _, err := s.openClass(ctx, a, out.Class); err != nil {
		return err
	}
	jobs, err := s.Jobs(ctx, a, out.Class)
	if err != nil {
		return err
	}
	if out.Spec.Title, err = cleanName("/spec/title", out.Spec.Title); err != nil {
		return err
	}
	if y := out.Begins.Year(); y < 2000 || y > 2200 {
		return &curriculum.FieldError{Path: "/begins", Value: out.Begins.Format(time.RFC3339), Allowed: "a moment between 2000 and 2200"}
	}
	if _, err := time.LoadLocation(out.Spec.Zone); err != nil || len(out.Spec.Zone) > maxName {
		return &curriculum.FieldError{Path: "/spec/zone", Value: out.Spec.Zone, Reason: "no such time zone", Allowed: `a name such as "Europe/Prague"`}
	}
	spec, err := s.usable(ctx, a, out.Spec, had)
	if err != nil {
		return err
	}
	ls, err := s.store.Learners(ctx, out.Class)
	if err != nil {
		return err
	}
	of := map[string]JobState{}
	for _, j := range jobs {
		of[j.Learner] = j
	}
	away := map[string]bool{}
	for _, id := range out.Spec.Away {
		away[id] = true
	}
	learners := make([]shop.Learner, 0, len(ls))
	for _, l := range ls {
		if away[l.ID] {
			continue
		}
		j, ok := of[l.ID]
		one := shop.Learner{ID: l.ID, Why: j.Why}
		switch {
		case !ok:
			one.Why = "no job"
		case j.Why == "":
			one.On = []shop.Option{{Lathe: j.Lathe, Minutes: j.Minutes}}
		}
		learners = append(learners, one)
	}
	out.Plan, err = shop.Plan(spec, learners)
	return err
}

// usable is a session without what cannot be planned at lathes out of use. Those it
// had may be among its lathes, as long as one is left; others are refused.
func (s *Service) usable(ctx context.Context, a Actor, spec curriculum.ShopSpec, had []string) (curriculum.ShopSpec, error) {
	if err := shop.Check(spec); err != nil {
		return spec, err
	}
	out := map[string]bool{}
	why := ""
	for i, id := range spec.Lathes {
		kept := ""
		if slices.Contains(had, id) {
			kept = id
		}
		l, err := s.chooseLathe(ctx, a, fmt.Sprintf("/spec/lathes/%d", i), id, kept)
		if err != nil {
			return spec, err
		}
		if l.OutOfUse != nil {
			out[id] = true
			if why, err = s.WhyOutOfUse(ctx, a, l); err != nil {
				return spec, err
			}
			why = l.Name + " " + why
		}
	}
	if len(out) == len(spec.Lathes) {
		return spec, &curriculum.FieldError{Path: "/spec/lathes", Reason: "none of its lathes is in use: " + why, Allowed: "at least one that is in use"}
	}
	spec.Lathes = slices.DeleteFunc(slices.Clone(spec.Lathes), func(id string) bool { return out[id] })
	spec.Fixed = slices.DeleteFunc(slices.Clone(spec.Fixed), func(f curriculum.Fixed) bool { return out[f.Place] })
	return spec, nil
}

// LatheOut is a lathe of a session that is out of use, and who has a turn there
// that cannot be taken.
type LatheOut struct {
	Lathe curriculum.Lathe
	Why   string
	// Turns are ids of learners, in the order of their turns.
	Turns []string
}

func (s *Service) shopEnding(ctx context.Context, a Actor, id string) ending[curriculum.ShopSession] {
	return ending[curriculum.ShopSession]{
		read: func() (curriculum.ShopSession, error) { return s.ShopSession(ctx, a, id) },
		of:   func(x curriculum.ShopSession) *curriculum.Ending { return x.CalledOff },
		keep: func(x curriculum.ShopSession, e *curriculum.Ending, now time.Time) error {
			return s.store.EndShopSession(ctx, x, e, a.Workshop, a.ID, now)
		},
		is: "is called off",
	}
}

// CallOffShop says that a session is not held, and why. Its plan stays, and is not
// changed until the session is held after all.
func (s *Service) CallOffShop(ctx context.Context, a Actor, id, reason string) (curriculum.ShopSession, error) {
	return s.shopEnding(ctx, a, id).end(ctx, s, a, reason)
}

// HoldShop takes that back.
func (s *Service) HoldShop(ctx context.Context, a Actor, id string) (curriculum.ShopSession, error) {
	return s.shopEnding(ctx, a, id).lift(s)
}

// WhyCalledOff says why a session is not held; empty while it is.
func (s *Service) WhyCalledOff(ctx context.Context, a Actor, x curriculum.ShopSession) (string, error) {
	if x.CalledOff == nil {
		return "", nil
	}
	return s.endingText(ctx, a, "is called off", *x.CalledOff)
}

// ShopLathesOut returns which lathes of a session to come are out of use.
func (s *Service) ShopLathesOut(ctx context.Context, a Actor, x curriculum.ShopSession) ([]LatheOut, error) {
	if x.CalledOff != nil || s.now().After(x.Begins.Add(time.Duration(x.Spec.Minutes)*time.Minute)) {
		return nil, nil
	}
	var out []LatheOut
	for _, id := range x.Spec.Lathes {
		l, err := s.Lathe(ctx, a, id)
		if err != nil {
			return nil, err
		}
		if l.OutOfUse == nil {
			continue
		}
		lo := LatheOut{Lathe: l}
		if lo.Why, err = s.WhyOutOfUse(ctx, a, l); err != nil {
			return nil, err
		}
		for _, b := range x.Plan.Bookings {
			if b.Kind == curriculum.BookedLathe && b.Place == id {
				lo.Turns = append(lo.Turns, b.Learner)
			}
		}
		out = append(out, lo)
	}
	return out, nil
}

// ShopSession returns a session of the instructor's workshop.
func (s *Service) ShopSession(ctx context.Context, a Actor, id string) (curriculum.ShopSession, error) {
	if err := a.instructor(); err != nil {
		return curriculum.ShopSession{}, err
	}
	out, err := s.store.ShopSession(ctx, id)
	if err != nil {
		return curriculum.ShopSession{}, err
	}
	if _, err := s.Class(ctx, a, out.Class); err != nil {
		return curriculum.ShopSession{}, err
	}
	return out, nil
}

// ShopSessions returns the sessions of a class, the earliest first.
func (s *Service) ShopSessions(ctx context.Context, a Actor, class string) ([]curriculum.ShopSession, error) {
	if _, err := s.Class(ctx, a, class); err != nil {
		return nil, err
	}
	return s.store.ShopSessions(ctx, class)
}

// ShopNames names the learners and lathes of a session.
func (s *Service) ShopNames(ctx context.Context, a Actor, out curriculum.ShopSession) (map[string]string, error) {
	ls, err := s.Learners(ctx, a, out.Class)
	if err != nil {
		return nil, err
	}
	lathes, err := s.Lathes(ctx, a)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, l := range ls {
		names[l.ID] = l.Name
	}
	for _, l := range lathes {
		names[l.ID] = l.Name
	}
	for _, st := range out.Spec.Stations {
		names[st.ID] = st.Name
	}
	return names, nil
}

// Preparation lists what the jobs of a class need, and names the class.
func (s *Service) Preparation(ctx context.Context, a Actor, class string) (curriculum.Preparation, string, error) {
	c, err := s.Class(ctx, a, class)
	if err != nil {
		return curriculum.Preparation{}, "", err
	}
	jobs, err := s.Jobs(ctx, a, class)
	if err != nil {
		return curriculum.Preparation{}, "", err
	}
	var named []shop.NamedJob
	var idle []curriculum.CardRow // for whom no bench card is printed today
	for _, j := range jobs {
		l, err := s.Lathe(ctx, a, j.Lathe)
		if err != nil {
			return curriculum.Preparation{}, "", err
		}
		why, err := s.WhyOutOfUse(ctx, a, l)
		if err != nil {
			return curriculum.Preparation{}, "", err
		}
		if why != "" {
			idle = append(idle, curriculum.CardRow{What: j.Name, Is: l.Name + " " + why})
			continue
		}
		named = append(named, shop.NamedJob{Name: j.Name, Request: onLathe(j.Request, l), Method: j.Method})
	}
	p := shop.Prepare(named)
	p.Without = append(p.Without, idle...)
	return p, c.Name, nil
}
