package practice

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"halfnut/curriculum"
	"halfnut/curriculum/generate"
	"halfnut/curriculum/grade"
	"halfnut/curriculum/mastery"
	"halfnut/curriculum/signoff"
	"halfnut/threadmath"
)

// OpeningSitting asks for a theory test or a re-check.
type OpeningSitting struct {
	Place
	Kind string `json:"kind"` // "theory" or "re-check"
}

// OpenSitting draws a theory test or a re-check from fresh numbers of the lathe
// and opens it; who opens it is the supervisor. Instructors open theory, once
// every skill of it is at the gate for the machine; stewards may open re-checks.
func (s *Service) OpenSitting(ctx context.Context, a Actor, in OpeningSitting) (curriculum.Sitting, error) {
	fail := func(err error) (curriculum.Sitting, error) { return curriculum.Sitting{}, err }
	kind, allowed := signoff.KindTheoryOpened, a.instructor()
	switch in.Kind {
	case signoff.SittingTheory:
	case signoff.SittingRecheck:
		kind, allowed = signoff.KindRecheckOpened, a.staff()
	default:
		if err := a.staff(); err != nil {
			return fail(err)
		}
		return fail(&curriculum.FieldError{Path: "/kind", Value: in.Kind, Allowed: signoff.SittingTheory + ", " + signoff.SittingRecheck})
	}
	if allowed != nil {
		return fail(allowed)
	}
	x, err := s.begin(ctx, a, in.Place, kind)
	if err != nil {
		return fail(err)
	}
	w, err := s.store.Workshop(ctx, a.Workshop)
	if err != nil {
		return fail(err)
	}
	skills, units := skillsFor(x.at.operation.Slug, x.at.lathe.Profile, system(w.Units))
	if len(skills) == 0 {
		return fail(&curriculum.FieldError{Path: "/lathe", Value: x.at.lathe.Name, Reason: "its profile says too little to ask about this operation"})
	}
	if in.Kind == signoff.SittingTheory {
		if err := s.atTheGate(ctx, x.at.learner.ID, x.at.lathe.Profile, units, skills); err != nil {
			return fail(err)
		}
	}
	out := curriculum.Sitting{
		ID: newID(), Workshop: a.Workshop, Kind: in.Kind, Learner: x.at.learner.ID, Lathe: x.at.lathe.ID, Operation: x.at.operation.Slug, Supervisor: a.ID,
		Opened: x.now.UTC().Truncate(time.Millisecond),
	}
	if in.Kind == signoff.SittingRecheck {
		if skills, err = s.coldItems(skills); err != nil {
			return fail(err)
		}
	}
	again := 0
	if out.Exercises, again, err = s.drawSitting(ctx, x, in.Kind, skills, units); err != nil {
		return fail(err)
	}
	digest, err := digestOf(out.Exercises)
	if err != nil {
		return fail(err)
	}
	_, err = s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		out.Closes = out.Opened.Add(time.Duration(r.Settings.SittingMinutes) * time.Minute)
		return signoff.Opened{Sitting: out.ID, Skills: skills, Closes: out.Closes.UnixMilli(), Exercises: digest, Again: again},
			r.MayOpen(in.Kind, x.who.Token, x.at.lathe.ID, x.at.operation.Slug, x.now)
	}, func(l curriculum.Line, seen int64) (curriculum.Line, error) {
		return s.store.OpenSitting(ctx, out, l, seen)
	})
	return out, err
}

// drawSitting draws an exercise for each skill with the lathe's own numbers, and for
// the operation's safety skill as many situations as a theory test has. No two are
// about the same situation, nor about one that the learner met in an earlier
// sitting; again counts those that had to come again, because the bank holds no
// more. One situation stands for the safety skill in a re-check.
func (s *Service) drawSitting(ctx context.Context, x act, kind string, skills []string, units threadmath.System) (out []curriculum.Exercise, again int, err error) {
	drawer, err := generate.NewDrawer(x.at.lathe.Profile)
	if err != nil {
		return nil, 0, err
	}
	met, err := s.metSituations(ctx, x)
	if err != nil {
		return nil, 0, err
	}
	for _, skill := range skills {
		if skill != curriculum.SafetySkillOf(x.at.operation.Slug) {
			e, err := s.drawFor(drawer, x.at.operation.Slug, skill, units)
			if err != nil {
				return nil, 0, err
			}
			out = append(out, e)
			continue
		}
		seed, err := s.seed()
		if err != nil {
			return nil, 0, err
		}
		count := 1
		if kind == signoff.SittingTheory {
			count = signoff.SafetyItems
		}
		situations, more, err := drawer.DrawSituations(skill, count, seed, met, generate.Options{Units: units})
		if err != nil {
			return nil, 0, err
		}
		again += more
		for _, e := range situations {
			met = append(met, e.Givens.Values[curriculum.GivenSituation])
			out = append(out, e)
		}
	}
	return out, again, nil
}

// singleStartTries is how many seeds are tried for a thread of one start; a skill
// whose models have none is then asked as it is.
const singleStartTries = 8

// drawFor draws an exercise for an operation: a thread of one start for single-start
// threading, wherever the skill has such.
func (s *Service) drawFor(drawer *generate.Drawer, operation, skill string, units threadmath.System) (curriculum.Exercise, error) {
	opts := generate.Options{Units: units}
	if operation == signoff.SingleStart {
		opts.Starts = 1
	}
	for try := 0; ; try++ {
		seed, err := s.seed()
		if err != nil {
			return curriculum.Exercise{}, err
		}
		if try == singleStartTries {
			opts.Starts = 0
		}
		e, err := drawer.Draw(skill, seed, opts)
		var unserved *generate.UnservedError
		if opts.Starts == 0 || !errors.As(err, &unserved) {
			return e, err
		}
	}
}

// metSituations returns the situations of the operation's earlier sittings of the
// learner, oldest first.
func (s *Service) metSituations(ctx context.Context, x act) ([]string, error) {
	r, _, _, err := s.fileOf(ctx, x.Actor, x.at.learner.ID)
	if err != nil {
		return nil, err
	}
	var met []string
	for _, id := range r.Sittings(x.who.Token, x.at.operation.Slug) {
		t, err := s.store.Sitting(ctx, id)
		if errors.Is(err, curriculum.ErrNotFound) {
			continue // erased with the learner's record
		}
		if err != nil {
			return nil, err
		}
		for _, e := range t.Exercises {
			if situation := e.Givens.Values[curriculum.GivenSituation]; situation != "" {
				met = append(met, situation)
			}
		}
	}
	return met, nil
}

// skillsFor returns the skills of an operation on a lathe in the unit system that
// serves more of them, the workshop's own where both serve as many.
func skillsFor(operation string, lathe threadmath.Lathe, own threadmath.System) ([]string, threadmath.System) {
	drawer, err := generate.NewDrawer(lathe)
	in := func(units threadmath.System) []string {
		return signoff.Skills(operation, lathe, func(skill string) bool { return err == nil && drawer.Serves(skill, units) == nil })
	}
	other := threadmath.Inch
	if own == threadmath.Inch {
		other = threadmath.Metric
	}
	skills, others := in(own), in(other)
	if len(others) > len(skills) {
		return others, other
	}
	return skills, own
}

// atTheGate refuses while a skill does not pass the gate for the machine, and
// says what is missing. What the lathe at hand can ask decides, whatever lathes the
// learner practised on.
func (s *Service) atTheGate(ctx context.Context, learner string, lathe threadmath.Lathe, units threadmath.System, skills []string) error {
	drawer, err := generate.NewDrawer(lathe)
	if err != nil {
		return err
	}
	cells, err := s.store.Cells(ctx, learner)
	if err != nil {
		return err
	}
	by := cellsBySkill(cells)
	var missing []string
	for _, skill := range skills {
		c := curriculum.Cell{Skill: skill}
		if met := by[skill]; met != nil {
			c = *met
		}
		asks, err := drawer.Range(skill, units)
		if err != nil {
			return err
		}
		c.Range = &asks
		if !mastery.Machine.Open(c) {
			missing = append(missing, fmt.Sprintf("%s (%s)", skill, strings.Join(mastery.Machine.Missing(c), ", ")))
		}
	}
	if len(missing) > 0 {
		return fmt.Errorf("%w: not at the gate for the machine yet: %s", curriculum.ErrConflict, strings.Join(missing, "; "))
	}
	return nil
}

// coldItems picks the skills of a re-check: one of safety first, then others at
// random, each again only when there are no more.
func (s *Service) coldItems(skills []string) ([]string, error) {
	var out, pool []string
	for _, slug := range skills {
		if skill, err := curriculum.SkillOf(slug); err == nil && skill.Safety && len(out) == 0 {
			out = append(out, slug)
			continue
		}
		pool = append(pool, slug)
	}
	if len(pool) == 0 {
		pool = skills
	}
	left := slices.Clone(pool)
	for len(out) < signoff.RecheckItems {
		if len(left) == 0 {
			left = slices.Clone(pool)
		}
		var b [1]byte
		if _, err := io.ReadFull(s.random, b[:]); err != nil {
			return nil, err
		}
		i := int(b[0]) % len(left)
		out = append(out, left[i])
		left = slices.Delete(left, i, i+1)
	}
	return out, nil
}

// digestOf is the SHA-256 (hex) of a value's JSON.
func digestOf(v any) (string, error) {
	data, err := json.Marshal(v)
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:]), err
}

// sitting returns a sitting with its keys to staff of its workshop and to its
// learner.
func (s *Service) sitting(ctx context.Context, a Actor, id string) (curriculum.Sitting, error) {
	t, err := s.store.Sitting(ctx, id)
	if err == nil && (t.Workshop != a.Workshop || a.Role == RoleLearner && t.Learner != a.ID) {
		return curriculum.Sitting{}, curriculum.ErrNotFound
	}
	return t, err
}

// Sitting returns a sitting: whole to instructors, without keys to everybody
// else who may see it.
func (s *Service) Sitting(ctx context.Context, a Actor, id string) (curriculum.Sitting, error) {
	t, err := s.sitting(ctx, a, id)
	return seenBy(t, a), err
}

// OpenSittings returns a learner's sittings that are open now, newest first, to
// staff and to the learner; exercises are left out.
func (s *Service) OpenSittings(ctx context.Context, a Actor, learner string) ([]curriculum.Sitting, error) {
	if _, err := s.signOffLearner(ctx, a, learner); err != nil {
		return nil, err
	}
	return s.store.OpenSittings(ctx, learner, s.now())
}

func seenBy(t curriculum.Sitting, a Actor) curriculum.Sitting {
	if a.Role == curriculum.RoleInstructor {
		return t
	}
	for i, e := range t.Exercises {
		t.Exercises[i] = e.Public()
	}
	for i := range t.Verdicts {
		for j := range t.Verdicts[i] {
			v := &t.Verdicts[i][j]
			v.Evidence = curriculum.Evidence{Given: v.Evidence.Given, Read: v.Evidence.Read}
		}
	}
	return t
}

// SatResult is what became of a sitting.
type SatResult struct {
	Sitting curriculum.Sitting `json:"sitting"`
	Result  signoff.Sat        `json:"result"`
	State   SignOffState       `json:"state"`
}

// HandIn marks a sitting, once. The learner hands it in, or from paper the staff
// that may open such a sitting; answers are by exercise, in order, then by part.
// A part that is left out earns nothing.
func (s *Service) HandIn(ctx context.Context, a Actor, id string, answers []map[string]string) (SatResult, error) {
	t, err := s.sitting(ctx, a, id)
	if err != nil {
		return SatResult{}, err
	}
	if a.Role == curriculum.RoleSteward && t.Kind != signoff.SittingRecheck {
		return SatResult{}, a.instructor()
	}
	now := s.now().UTC().Truncate(time.Millisecond)
	switch {
	case !t.HandedIn.IsZero():
		return SatResult{}, fmt.Errorf("%w: this sitting has been handed in", curriculum.ErrConflict)
	case now.After(t.Closes):
		return SatResult{}, fmt.Errorf("%w: this sitting is closed; another can be opened after the pause", curriculum.ErrConflict)
	}
	if t.Answers, err = cleanAnswers(t.Exercises, answers); err != nil {
		return SatResult{}, err
	}
	t.HandedIn, t.Verdicts = now, make([][]curriculum.Verdict, len(t.Exercises))
	for i, e := range t.Exercises {
		t.Verdicts[i] = grade.Mark(e, t.Answers[i], grade.Test)
	}
	// The line is the supervisor's, whoever typed.
	supervisor := Actor{ID: t.Supervisor, Workshop: t.Workshop, Role: curriculum.RoleInstructor}
	kind := signoff.KindTheory
	if t.Kind == signoff.SittingRecheck {
		kind = signoff.KindRecheck
	}
	x, err := s.begin(ctx, supervisor, Place{t.Learner, t.Lathe, t.Operation}, kind)
	if err != nil {
		return SatResult{}, err
	}
	x.now = now
	digest, err := digestOf([]any{t.Answers, t.Verdicts})
	if err != nil {
		return SatResult{}, err
	}
	out := SatResult{}
	out.State, err = s.sign(ctx, x, func(r *signoff.Record) (any, error) {
		out.Result = signoff.Mark(t.Kind, t.Exercises, t.Verdicts, r.Settings.PassMark)
		out.Result.Sitting, out.Result.Answers = t.ID, digest
		return out.Result, nil
	}, func(l curriculum.Line, seen int64) (curriculum.Line, error) {
		return s.store.HandInSitting(ctx, t, l, seen)
	})
	out.Sitting = seenBy(t, a)
	return out, err
}

// cleanAnswers brings answers to the length of the exercises and refuses what no
// exercise asks.
func cleanAnswers(exercises []curriculum.Exercise, answers []map[string]string) ([]map[string]string, error) {
	if len(answers) > len(exercises) {
		return nil, &curriculum.FieldError{Path: "/answers", Value: strconv.Itoa(len(answers)) + " exercises", Allowed: "up to " + strconv.Itoa(len(exercises))}
	}
	out := make([]map[string]string, len(exercises))
	for i, e := range exercises {
		out[i] = map[string]string{}
		if i >= len(answers) {
			continue
		}
		for _, part := range slices.Sorted(maps.Keys(answers[i])) {
			text := answers[i][part]
			path := "/answers/" + strconv.Itoa(i)
			name, _, _ := strings.Cut(part, ".")
			if e.Part(name) == nil {
				return nil, &curriculum.FieldError{Path: path, Value: part, Reason: "the exercise has no such part", Allowed: partIDs(e)}
			}
			if len(text) > maxAnswerText || !utf8.ValidString(text) {
				return nil, &curriculum.FieldError{Path: path + "/" + part, Reason: "too long, or not UTF-8 text", Allowed: fmt.Sprintf("up to %d bytes", maxAnswerText)}
			}
			if text != "" {
				out[i][part] = text
			}
		}
	}
	return out, nil
}
