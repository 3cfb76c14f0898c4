package practice

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
	"halfnut/threadmath"
)

// Witnessing is a demonstration as it was seen; who sends it is the witness.
type Witnessing struct {
	Place
	Job string `json:"job"`
	// Items are the marks by the checklist's ids: "done", "not-done" or
	// "does-not-apply".
	Items map[string]string `json:"items"`
	Note  string            `json:"note"`
}

// Witness records a demonstration; stewards may.
func (s *Service) Witness(ctx context.Context, a Actor, in Witnessing) (SignOffState, error) {
	if err := a.staff(); err != nil {
		return SignOffState{}, err
	}
	x, err := s.begin(ctx, a, in.Place, signoff.KindDemonstration)
	if err != nil {
		return SignOffState{}, err
	}
	d := signoff.Demonstration{Version: x.at.operation.Version, Items: in.Items}
	if d.Job, err = signoff.Text("/job", in.Job, false); err != nil {
		return SignOffState{}, err
	}
	if d.Note, err = signoff.Text("/note", in.Note, true); err != nil {
		return SignOffState{}, err
	}
	if d.Passed, err = signoff.Witnessed(x.at.operation, in.Items); err != nil {
		return SignOffState{}, err
	}
	return s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		return d, r.MayDemonstrate(x.who.Token, x.at.lathe.ID, x.at.operation.Slug, x.now)
	}, nil)
}

// Measuring is a test piece as it was measured.
type Measuring struct {
	Place
	// Thread is a designation ("Tr 24x10 P5") or, for turning, what was turned.
	Thread     string            `json:"thread"`
	Instrument string            `json:"instrument"`
	Measures   []signoff.Measure `json:"measures"`
}

// Lead over five turns and the spacing of the starts are asked for within these
// limits of the nominal size where the instructor gives none: common practice,
// no source.
const (
	leadTolerance    = "0.05 mm"
	spacingTolerance = "0.05 mm"
)

// MeasuresFor lists what must be measured on a test piece, with limits where
// they follow from the thread: lead over five turns, spacing of the starts, and
// of the pitch diameter where the designation names a class ("M24xPh6P2-6g").
func MeasuresFor(operation, thread string) ([]signoff.Measure, int, error) {
	starts := 1
	limits := map[string][2]string{}
	if operation != signoff.Turning {
		a, err := threadmath.Solve(threadmath.Request{Thread: threadmath.Thread{Designation: thread}})
		if err != nil {
			return nil, 0, &curriculum.FieldError{Path: "/thread", Value: thread, Reason: err.Error(), Allowed: `a designation such as "Tr 24x10 P5" or "M24xPh6P2"`}
		}
		starts = len(a.Starts)
		about := func(what string, d threadmath.Dimension, times int, tolerance string) {
			size, exact := d.Exact()
			t, _, err := threadmath.ParseLength(tolerance)
			if !exact || err != nil {
				return
			}
			size = size.Times(times)
			limits[what] = [2]string{inMM(size.Sub(t)), inMM(size.Add(t))}
		}
		about(signoff.LeadOverFive, a.Lead, 5, leadTolerance)
		for k := 2; k <= starts; k++ {
			about(signoff.SpacingOf(k), a.Pitch, 1, spacingTolerance)
		}
		if a.Limits != nil && a.Limits.PitchDiameter != nil {
			limits[signoff.PitchDiameter] = [2]string{limitText(a.Limits.PitchDiameter.Min), limitText(a.Limits.PitchDiameter.Max)}
		}
	}
	out := []signoff.Measure{}
	for _, what := range signoff.SizesFor(operation, starts) {
		out = append(out, signoff.Measure{What: what, Low: limits[what][0], High: limits[what][1]})
	}
	return out, starts, nil
}

// limitText writes a limit of size; empty where there is none.
func limitText(d *threadmath.Dimension) string {
	if d == nil {
		return ""
	}
	if l, exact := d.Exact(); exact {
		return inMM(l)
	}
	return strconv.FormatFloat(d.MM(), 'f', 4, 64) + " mm"
}

// inMM writes a length in millimetres, as a decimal where that is exact in six
// places.
func inMM(l threadmath.Length) string {
	if text, exact := l.In(threadmath.Metric).Decimal(6); exact {
		return strings.TrimSuffix(strings.TrimRight(text, "0"), ".") + " mm"
	}
	return l.Exact(threadmath.Metric)
}

// Measure records a test piece; only instructors take it. Limits left out are
// those of MeasuresFor.
func (s *Service) Measure(ctx context.Context, a Actor, in Measuring) (SignOffState, error) {
	if err := a.instructor(); err != nil {
		return SignOffState{}, err
	}
	x, err := s.begin(ctx, a, in.Place, signoff.KindTestPiece)
	if err != nil {
		return SignOffState{}, err
	}
	var p signoff.TestPiece
	if p.Thread, err = signoff.Text("/thread", in.Thread, false); err != nil {
		return SignOffState{}, err
	}
	if p.Instrument, err = signoff.Text("/instrument", in.Instrument, false); err != nil {
		return SignOffState{}, err
	}
	wanted, starts, err := MeasuresFor(x.at.operation.Slug, p.Thread)
	if err != nil {
		return SignOffState{}, err
	}
	if x.at.operation.Slug == signoff.MultiStart && starts < 2 {
		return SignOffState{}, &curriculum.FieldError{Path: "/thread", Value: p.Thread, Reason: "has one start", Allowed: "two starts or more"}
	}
	if x.at.operation.Slug == signoff.SingleStart && starts != 1 {
		return SignOffState{}, &curriculum.FieldError{Path: "/thread", Value: p.Thread, Reason: "has " + strconv.Itoa(starts) + " starts", Allowed: "one start"}
	}
	measures := make([]signoff.Measure, len(in.Measures))
	for i, m := range in.Measures {
		if m.What, err = signoff.Text("/measures/"+strconv.Itoa(i)+"/what", m.What, false); err != nil {
			return SignOffState{}, err
		}
		for _, w := range wanted {
			if w.What == m.What && m.Low == "" && m.High == "" {
				m.Low, m.High = w.Low, w.High
			}
		}
		measures[i] = m
	}
	if p.Measures, p.Accepted, err = signoff.Accept(x.at.operation.Slug, starts, measures); err != nil {
		return SignOffState{}, err
	}
	return s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		return p, r.MayDemonstrate(x.who.Token, x.at.lathe.ID, x.at.operation.Slug, x.now)
	}, nil)
}

// Deciding is an instructor's decision.
type Deciding struct {
	Place
	Granted bool `json:"granted"`
	// Age states that the learner has the minimum age of the workshop's rules, or
	// that what local rules ask for in its place is there.
	Age         bool   `json:"age"`
	Restriction string `json:"restriction"`
	Reason      string `json:"reason"`
}

// Decide records an instructor's decision.
func (s *Service) Decide(ctx context.Context, a Actor, in Deciding) (SignOffState, error) {
	if err := a.instructor(); err != nil {
		return SignOffState{}, err
	}
	x, err := s.begin(ctx, a, in.Place, signoff.KindDecision)
	if err != nil {
		return SignOffState{}, err
	}
	d := signoff.Decision{Granted: in.Granted, Age: in.Age}
	if d.Restriction, err = signoff.Text("/restriction", in.Restriction, true); err != nil {
		return SignOffState{}, err
	}
	if d.Reason, err = signoff.Text("/reason", in.Reason, true); err != nil {
		return SignOffState{}, err
	}
	return s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		return r.Decide(x.who.Token, x.at.lathe.ID, x.at.operation.Slug, d, x.now)
	}, nil)
}

// CheckingIn is a learner who begins work at a lathe.
type CheckingIn struct {
	Place
	Job string `json:"job"`
	// Second is the id of the second person: a learner or a person of the workshop.
	Second string `json:"second"`
	// Dress lists the items of dress that were seen, by id.
	Dress []string `json:"dress"`
}

// CheckIn records that a learner begins work at a lathe; stewards may. It is
// refused when the sign-off is not in force.
func (s *Service) CheckIn(ctx context.Context, a Actor, in CheckingIn) (SignOffState, error) {
	if err := a.staff(); err != nil {
		return SignOffState{}, err
	}
	x, err := s.begin(ctx, a, in.Place, signoff.KindCheckIn)
	if err != nil {
		return SignOffState{}, err
	}
	c := signoff.CheckIn{Dress: in.Dress}
	if c.Job, err = signoff.Text("/job", in.Job, false); err != nil {
		return SignOffState{}, err
	}
	if err := signoff.Dressed(in.Dress); err != nil {
		return SignOffState{}, err
	}
	var second *signoff.Who
	if in.Second != "" {
		name, err := s.nameOf(ctx, a.Workshop, in.Second)
		if err != nil {
			return SignOffState{}, fieldNotFound(err, "/second", in.Second, "nobody of this workshop")
		}
		second = &signoff.Who{Token: in.Second, Name: name}
	}
	state, err := s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		if err := r.MayCheckIn(x.who, second, x.at.lathe.ID, x.at.operation.Slug, x.now); err != nil {
			return nil, err
		}
		if second != nil {
			c.Second, err = s.token(ctx, a.Workshop, second.Token, second.Name)
		}
		return c, err
	}, nil)
	return state, err
}

// FindPresent returns the id of the one learner or person of the workshop with
// the name, for staff.
func (s *Service) FindPresent(ctx context.Context, a Actor, name string) (string, error) {
	people, err := s.Staff(ctx, a)
	if err != nil {
		return "", err
	}
	learners, err := s.store.WorkshopLearners(ctx, a.Workshop)
	if err != nil {
		return "", err
	}
	var found []string
	wanted := strings.Join(strings.Fields(name), " ")
	for _, p := range people {
		if p.Ended == nil && strings.EqualFold(p.Name, wanted) {
			found = append(found, p.ID)
		}
	}
	for _, l := range learners {
		if strings.EqualFold(l.Name, wanted) {
			found = append(found, l.ID)
		}
	}
	switch len(found) {
	case 0:
		return "", &curriculum.FieldError{Path: "/second", Value: name, Reason: "nobody of this workshop has this name", Allowed: "a name as a class list or the list of people has it"}
	case 1:
		return found[0], nil
	}
	return "", &curriculum.FieldError{Path: "/second", Value: name, Reason: fmt.Sprintf("%d people of this workshop have this name", len(found)), Allowed: "a name that one person has"}
}

// nameOf returns the name of a learner of the workshop, or of one of its people who
// has not left.
func (s *Service) nameOf(ctx context.Context, workshop, id string) (string, error) {
	l, err := s.store.Learner(ctx, id)
	if err == nil && l.Workshop == workshop {
		return l.Name, nil
	}
	if err != nil && !isNotFound(err) {
		return "", err
	}
	p, err := s.store.Person(ctx, id)
	if err == nil && (p.Workshop != workshop || p.Ended != nil) {
		err = curriculum.ErrNotFound
	}
	return p.Name, err
}

// Changing restricts or revokes a sign-off, with a reason.
type Changing struct {
	Place
	// Restriction is empty to lift the one before.
	Restriction string `json:"restriction"`
	Reason      string `json:"reason"`
}

// Restrict records a restriction, or lifts it; instructors only.
func (s *Service) Restrict(ctx context.Context, a Actor, in Changing) (SignOffState, error) {
	if err := a.instructor(); err != nil {
		return SignOffState{}, err
	}
	return s.change(ctx, a, in, signoff.KindRestriction)
}

// Revoke takes a sign-off back at once; stewards may.
func (s *Service) Revoke(ctx context.Context, a Actor, in Changing) (SignOffState, error) {
	if err := a.staff(); err != nil {
		return SignOffState{}, err
	}
	if in.Restriction != "" {
		return SignOffState{}, &curriculum.FieldError{Path: "/restriction", Value: in.Restriction, Reason: "a revocation has none"}
	}
	return s.change(ctx, a, in, signoff.KindRevocation)
}

func (s *Service) change(ctx context.Context, a Actor, in Changing, kind string) (SignOffState, error) {
	x, err := s.begin(ctx, a, in.Place, kind)
	if err != nil {
		return SignOffState{}, err
	}
	var c signoff.Reason
	if c.Reason, err = signoff.Text("/reason", in.Reason, false); err != nil {
		return SignOffState{}, err
	}
	if c.Restriction, err = signoff.Text("/restriction", in.Restriction, true); err != nil {
		return SignOffState{}, err
	}
	return s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		return c, r.MayChange(x.who.Token, x.at.lathe.ID, x.at.operation.Slug, x.now)
	}, nil)
}

// AddPerson adds an instructor or steward to the workshop and returns the secret
// of their one-time link.
func (s *Service) AddPerson(ctx context.Context, a Actor, name, role string) (curriculum.Person, string, error) {
	var p curriculum.Person
	if err := a.instructor(); err != nil {
		return p, "", err
	}
	name, err := cleanName("/name", name)
	if err != nil {
		return p, "", err
	}
	if role != curriculum.RoleInstructor && role != curriculum.RoleSteward {
		return p, "", &curriculum.FieldError{Path: "/role", Value: role, Allowed: fmt.Sprintf("%s, %s", curriculum.RoleInstructor, curriculum.RoleSteward)}
	}
	p = curriculum.Person{ID: newID(), Workshop: a.Workshop, Name: name, Role: role, Created: s.now()}
	if err := s.store.AddPerson(ctx, p, a.ID); err != nil {
		return p, "", err
	}
	link, err := s.newLink(ctx, p, a.ID)
	return p, link, err
}

// LinkFor returns the secret of a new one-time link for somebody of the workshop
// whose session has run out.
func (s *Service) LinkFor(ctx context.Context, a Actor, person string) (curriculum.Person, string, error) {
	p, err := s.personOf(ctx, a, person)
	if err != nil {
		return curriculum.Person{}, "", err
	}
	if p.Ended != nil {
		return p, "", errPersonEnded
	}
	link, err := s.newLink(ctx, p, a.ID)
	return p, link, err
}

// Staff returns the instructors and stewards of the workshop, those who have left
// too, for staff.
func (s *Service) Staff(ctx context.Context, a Actor) ([]curriculum.Person, error) {
	if err := a.staff(); err != nil {
		return nil, err
	}
	return s.store.People(ctx, a.Workshop)
}
