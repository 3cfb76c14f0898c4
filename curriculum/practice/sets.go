package practice

import (
	"context"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"time"

	"crypto/sha256"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/threadmath"
)

// BuildSet draws one variant of the set for each learner of the class and
// issues them. Every variant has the same skills in the same order at the same
// declared difficulty.
func (s *Service) BuildSet(ctx context.Context, a Actor, class string, spec curriculum.SetSpec) (curriculum.ClassSet, []curriculum.Variant, error) {
	set, learners, err := s.planSet(ctx, a, class, spec)
	if err != nil {
		return curriculum.ClassSet{}, nil, err
	}
	return s.issueSet(ctx, a, set, learners)
}

func (s *Service) issueSet(ctx context.Context, a Actor, set curriculum.ClassSet, learners []curriculum.Learner) (curriculum.ClassSet, []curriculum.Variant, error) {
	variants, err := s.drawVariants(set, learners, nil)
	if err != nil {
		return curriculum.ClassSet{}, nil, err
	}
	return set, variants, s.store.CreateSet(ctx, set, variants, a.Workshop, a.ID)
}

// setWork are the arguments of a work that draws a class set.
type setWork struct {
	Class string             `json:"class"`
	Spec  curriculum.SetSpec `json:"spec"`
}

// AskSet is BuildSet for a class of any size: up to [MostAtOnce] sheets it builds
// the set, for more it gives back the work that will. What cannot be built is
// refused at once in either case.
func (s *Service) AskSet(ctx context.Context, a Actor, class string, spec curriculum.SetSpec) (curriculum.ClassSet, []curriculum.Variant, *curriculum.Work, error) {
	set, learners, err := s.planSet(ctx, a, class, spec)
	if err != nil {
		return curriculum.ClassSet{}, nil, nil, err
	}
	if len(learners) <= MostAtOnce {
		set, variants, err := s.issueSet(ctx, a, set, learners)
		return set, variants, nil, err
	}
	w, err := s.ask(ctx, a, curriculum.WorkClassSet, set.Spec.Title, setWork{class, spec})
	return curriculum.ClassSet{}, nil, &w, err
}

// drawSet is BuildSet as a work.
func (s *Service) drawSet(ctx context.Context, r *Running) error {
	var in setWork
	if err := r.Args(&in); err != nil {
		return err
	}
	set, learners, err := s.planSet(ctx, r.Actor, in.Class, in.Spec)
	if err != nil {
		return err
	}
	total := len(learners) * set.Spec.Count
	variants, err := s.drawVariants(set, learners, func(drawn int) error {
		r.Progress(drawn, total)
		return ctx.Err()
	})
	if err != nil {
		return err
	}
	result := curriculum.WorkResult{Class: set.Class, Set: set.ID, Learners: len(learners)}
	return s.store.FinishSet(ctx, r.End(result), set, variants, r.Actor.Workshop, r.Actor.ID)
}

// planSet checks what is asked of a set and returns it without its variants.
func (s *Service) planSet(ctx context.Context, a Actor, class string, spec curriculum.SetSpec) (set curriculum.ClassSet, learners []curriculum.Learner, err error) {
	c, err := s.openClass(ctx, a, class)
	if err != nil {
		return set, nil, err
	}
	lathe, err := s.checkSpec(ctx, a, &spec)
	if err != nil {
		return set, nil, err
	}
	if learners, err = s.store.Learners(ctx, c.ID); err != nil {
		return set, nil, err
	}
	if len(learners) == 0 {
		return set, nil, &curriculum.FieldError{Path: "/class", Value: c.Name, Reason: "nobody is on the class list yet"}
	}
	seed, err := s.seed()
	return curriculum.ClassSet{ID: newID(), Class: c.ID, Spec: spec, LatheName: lathe.Name, Profile: lathe.Profile, Seed: seed, Created: s.now()}, learners, err
}

// drawVariants draws a set's variants; tell, where it is given, hears after each
// exercise how many there are.
func (s *Service) drawVariants(set curriculum.ClassSet, learners []curriculum.Learner, tell func(drawn int) error) ([]curriculum.Variant, error) {
	drawn, err := generate.Set(generate.SetSpec{
		Skills: set.Spec.Skills, Lathe: set.Profile, Variants: len(learners), Count: set.Spec.Count, Seed: set.Seed, Units: system(set.Spec.Units), Tell: tell,
	})
	if err != nil {
		return nil, err
	}
	variants := make([]curriculum.Variant, len(learners))
	for i, l := range learners {
		code, err := s.code(8)
		if err != nil {
			return nil, err
		}
		variants[i] = curriculum.Variant{
			Code: code, Set: set.ID, Learner: l.ID, Name: l.Name, Seat: l.Seat, Exercises: drawn[i], Created: set.Created,
		}
	}
	return variants, nil
}

// checkSpec cleans what is asked of a set and returns its lathe.
func (s *Service) checkSpec(ctx context.Context, a Actor, spec *curriculum.SetSpec) (lathe curriculum.Lathe, err error) {
	if spec.Title, err = cleanName("/title", spec.Title); err != nil {
		return lathe, err
	}
	if spec.For != "" {
		return lathe, &curriculum.FieldError{Path: "/for", Value: spec.For, Reason: "a class set is for the whole class; practice sheets are drawn from a learner's plan"}
	}
	if spec.Units, err = cleanUnits("/units", spec.Units); err != nil {
		return lathe, err
	}
	if spec.Count < 1 || spec.Count > MaxCount {
		return lathe, &curriculum.FieldError{Path: "/count", Value: strconv.Itoa(spec.Count), Allowed: fmt.Sprintf("1 to %d", MaxCount)}
	}
	if lathe, err = s.chooseLathe(ctx, a, "/lathe", spec.Lathe, ""); err != nil {
		return lathe, err
	}
	return lathe, checkSkills(*spec, lathe.Profile)
}

// previewDraws bounds the exercises that a preview draws.
const previewDraws = 600

// SetPreview is what a class set would be.
type SetPreview struct {
	// Exercises are the first learner's.
	Exercises []curriculum.Exercise
	// Spread says how the set comes out for so many learners, skill by skill: all of
	// the class, or as many as a preview draws for.
	Spread   []generate.Spread
	Learners int
	Whole    bool // whether those are the class
}

// PreviewSet draws what a class would get; nothing is issued. The same spec shows
// the same numbers, which no learner will meet but by chance. A class without
// learners is taken for a class of two.
func (s *Service) PreviewSet(ctx context.Context, a Actor, class string, spec curriculum.SetSpec) (SetPreview, error) {
	c, err := s.Class(ctx, a, class)
	if err != nil {
		return SetPreview{}, err
	}
	if spec.Title == "" {
		spec.Title = "Preview" // it may come last
	}
	lathe, err := s.checkSpec(ctx, a, &spec)
	if err != nil {
		return SetPreview{}, err
	}
	learners, err := s.store.Learners(ctx, c.ID)
	if err != nil {
		return SetPreview{}, err
	}
	out := SetPreview{Learners: min(max(len(learners), 2), max(previewDraws/spec.Count, 2))}
	out.Whole = out.Learners >= len(learners)
	drawn, err := generate.Set(generate.SetSpec{
		Skills: spec.Skills, Lathe: lathe.Profile, Variants: out.Learners, Count: spec.Count, Seed: seedOf(c.ID, lathe.ID, spec.Units) >> 11, Units: system(spec.Units),
		Tell: func(int) error { return ctx.Err() },
	})
	if err != nil {
		return SetPreview{}, err
	}
	out.Exercises = drawn[0]
	out.Spread, err = generate.SpreadOf(drawn)
	return out, err
}

func checkSkills(spec curriculum.SetSpec, lathe threadmath.Lathe) error {
	if len(spec.Skills) == 0 {
		return &curriculum.FieldError{Path: "/skills", Reason: "choose at least one skill"}
	}
	seen := map[string]bool{}
	for i, slug := range spec.Skills {
		path := "/skills/" + strconv.Itoa(i)
		if seen[slug] {
			return &curriculum.FieldError{Path: path, Value: slug, Reason: "is chosen twice"}
		}
		seen[slug] = true
		if err := generate.Serves(slug, lathe, system(spec.Units)); err != nil {
			return &curriculum.FieldError{Path: path, Value: slug, Reason: err.Error()}
		}
	}
	return nil
}

func system(units string) threadmath.System {
	if units == "in" {
		return threadmath.Inch
	}
	return threadmath.Metric
}

// Sets returns the sets of a class, without the sheets drawn for one learner.
func (s *Service) Sets(ctx context.Context, a Actor, class string) ([]curriculum.ClassSet, error) {
	if _, err := s.Class(ctx, a, class); err != nil {
		return nil, err
	}
	sets, err := s.store.Sets(ctx, class)
	return slices.DeleteFunc(sets, func(set curriculum.ClassSet) bool { return set.Spec.For != "" }), err
}

// Set returns a set with its class, for an instructor.
func (s *Service) Set(ctx context.Context, a Actor, id string) (curriculum.ClassSet, curriculum.Class, error) {
	set, err := s.store.Set(ctx, id)
	if err != nil {
		return set, curriculum.Class{}, err
	}
	c, err := s.Class(ctx, a, set.Class)
	if err != nil {
		return curriculum.ClassSet{}, c, err
	}
	return set, c, nil
}

func (s *Service) setEnding(ctx context.Context, a Actor, id string) ending[curriculum.ClassSet] {
	return ending[curriculum.ClassSet]{
		read: func() (curriculum.ClassSet, error) {
			set, _, err := s.Set(ctx, a, id)
			return set, err
		},
		of: func(set curriculum.ClassSet) *curriculum.Ending { return set.Withdrawn },
		keep: func(set curriculum.ClassSet, e *curriculum.Ending, now time.Time) error {
			return s.store.EndSet(ctx, set, e, a.Workshop, a.ID, now)
		},
		is: "is withdrawn",
	}
}

// WithdrawSet takes a set back that was built by mistake. Its sheets are not found,
// answered or printed any more; what was answered before keeps counting.
func (s *Service) WithdrawSet(ctx context.Context, a Actor, id, reason string) (curriculum.ClassSet, error) {
	return s.setEnding(ctx, a, id).end(ctx, s, a, reason)
}

// BringSetBack undoes that.
func (s *Service) BringSetBack(ctx context.Context, a Actor, id string) (curriculum.ClassSet, error) {
	return s.setEnding(ctx, a, id).lift(s)
}

// inUse refuses what is withdrawn, with the reason.
func (s *Service) inUse(ctx context.Context, a Actor, what string, e *curriculum.Ending) error {
	if e == nil {
		return nil
	}
	why, err := s.endingText(ctx, a, "is withdrawn", *e)
	if err == nil {
		err = fmt.Errorf("%w: this %s %s", curriculum.ErrConflict, what, why)
	}
	return err
}

// SetInUse is Set for whoever prints it or enters answers; one that is withdrawn is
// refused.
func (s *Service) SetInUse(ctx context.Context, a Actor, id string) (curriculum.ClassSet, curriculum.Class, error) {
	set, c, err := s.Set(ctx, a, id)
	if err == nil {
		err = s.inUse(ctx, a, "class set", set.Withdrawn)
	}
	return set, c, err
}

// Variants returns a set's variants whole, keys included.
func (s *Service) Variants(ctx context.Context, a Actor, set string) ([]curriculum.Variant, error) {
	if _, _, err := s.Set(ctx, a, set); err != nil {
		return nil, err
	}
	return s.store.Variants(ctx, set)
}

// Variant returns one variant: whole to an instructor of its workshop; to its
// own learner as a learner may see it; to others not at all.
func (s *Service) Variant(ctx context.Context, a Actor, code string) (curriculum.Variant, error) {
	v, err := s.variant(ctx, a, CleanCode(code))
	if err != nil {
		return v, err
	}
	if a.Role == RoleLearner {
		for i, e := range v.Exercises {
			v.Exercises[i] = e.Public()
		}
	}
	return v, nil
}

// variant returns a variant with its keys to whoever may answer it; a withdrawn one
// is not for learners any more.
func (s *Service) variant(ctx context.Context, a Actor, code string) (curriculum.Variant, error) {
	v, err := s.store.Variant(ctx, code)
	if err != nil {
		return v, err
	}
	if a.Role == RoleLearner {
		if v.Learner != a.ID {
			return curriculum.Variant{}, curriculum.ErrNotFound
		}
		return v, s.inUse(ctx, a, "sheet", v.Withdrawn)
	}
	if _, _, err := s.Set(ctx, a, v.Set); err != nil {
		return curriculum.Variant{}, err
	}
	return v, nil
}

// Sheet is one of a learner's own variants with how far it has come.
type Sheet struct {
	Variant curriculum.Variant `json:"variant"`
	Title   string             `json:"title"`
	Marks   []curriculum.Mark  `json:"marks"`
}

// OwnSheets returns a learner's variants, newest first, without their exercises and
// without those that are withdrawn.
func (s *Service) OwnSheets(ctx context.Context, a Actor) ([]Sheet, error) {
	if a.Role != RoleLearner {
		return nil, fmt.Errorf("%w: learners only", curriculum.ErrDenied)
	}
	vs, err := s.store.VariantsOf(ctx, a.ID)
	if err != nil {
		return nil, err
	}
	vs = slices.DeleteFunc(vs, func(v curriculum.Variant) bool { return v.Withdrawn != nil })
	out := make([]Sheet, len(vs))
	for i, v := range vs {
		set, err := s.store.Set(ctx, v.Set)
		if err != nil {
			return nil, err
		}
		marks, err := s.store.Marks(ctx, v.Set)
		if err != nil {
			return nil, err
		}
		v.Exercises = []curriculum.Exercise{}
		out[i] = Sheet{Variant: v, Title: set.Spec.Title, Marks: []curriculum.Mark{}}
		for _, m := range marks {
			if m.Variant == v.Code {
				out[i].Marks = append(out[i].Marks, m)
			}
		}
	}
	return out, nil
}

// Me returns the learner who asks.
func (s *Service) Me(ctx context.Context, a Actor) (curriculum.Learner, error) {
	if a.Role != RoleLearner {
		return curriculum.Learner{}, fmt.Errorf("%w: learners only", curriculum.ErrDenied)
	}
	return s.store.Learner(ctx, a.ID)
}

// contentID names an attempt after its content, so that the same line of paper
// answers typed in or uploaded twice counts once.
func contentID(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		_, _ = fmt.Fprintf(h, "%d:%s", len(p), p)
	}
	return "paper-" + hex.EncodeToString(h.Sum(nil)[:16])
}

func fieldNotFound(err error, path, value, reason string) error {
	if isNotFound(err) {
		return &curriculum.FieldError{Path: path, Value: value, Reason: reason}
	}
	return err
}
