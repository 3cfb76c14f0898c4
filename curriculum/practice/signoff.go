package practice

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
)

// staff refuses everyone but instructors and stewards.
func (a Actor) staff() error {
	if a.Role != curriculum.RoleInstructor && a.Role != curriculum.RoleSteward {
		return fmt.Errorf("%w: instructors and stewards only", curriculum.ErrDenied)
	}
	return nil
}

// SignOffState is how a learner stands with an operation on a lathe, in words.
type SignOffState struct {
	Learner string `json:"learner"`
	Name    string `json:"name"`
	signoff.State
	LatheName string `json:"lathe_name"`
	Title     string `json:"title"` // of the operation
	// Signer is the instructor who decided; empty where the name was erased.
	Signer string `json:"signed_by,omitempty"`
	// OutOfUse is there while nobody may use the lathe, however the sign-off stands.
	OutOfUse *curriculum.Ending `json:"out_of_use,omitempty"`
}

// SignOffFile is all that is known of a learner's sign-offs.
type SignOffFile struct {
	Learner curriculum.Learner `json:"learner"`
	States  []SignOffState     `json:"states"`
}

// SignOffRules returns the rules that hold in the actor's workshop.
func (s *Service) SignOffRules(ctx context.Context, a Actor) (signoff.Settings, error) {
	rules, _, err := s.VersionedRules(ctx, a)
	return rules, err
}

// VersionedRules returns the rules that hold in the actor's workshop, and their
// version: 1 where none were set.
func (s *Service) VersionedRules(ctx context.Context, a Actor) (signoff.Settings, int, error) {
	l, err := s.store.SettingsLine(ctx, a.Workshop)
	if isNotFound(err) {
		return signoff.DefaultSettings(), 1, nil
	}
	if err != nil {
		return signoff.Settings{}, 0, err
	}
	r, err := signoff.Read([]curriculum.Line{l}, nil)
	if err != nil {
		return signoff.Settings{}, 0, err
	}
	return r.Settings, int(l.Seq) + 1, nil
}

// SetSignOffRules sets the workshop's rules, whatever they were. Who set them
// stands in the record.
func (s *Service) SetSignOffRules(ctx context.Context, a Actor, rules signoff.Settings) error {
	_, err := s.ChangeRules(ctx, a, 0, rules)
	return err
}

// ChangeRules sets the workshop's rules if they still have the version that the
// caller saw, or whatever they were for version 0. It returns the new version.
func (s *Service) ChangeRules(ctx context.Context, a Actor, version int, rules signoff.Settings) (int, error) {
	if err := a.instructor(); err != nil {
		return 0, err
	}
	if err := rules.Check(); err != nil {
		return 0, err
	}
	by, _, err := s.signer(ctx, a)
	if err != nil {
		return 0, err
	}
	body, err := curriculum.Canonical(rules)
	if err != nil {
		return 0, err
	}
	l, err := s.store.AppendLine(ctx, curriculum.Line{Workshop: a.Workshop, At: s.now(), Kind: signoff.KindSettings, By: by, Body: body}, "", int64(version)-1)
	return int(l.Seq) + 1, err
}

// signOffLearner returns a learner to staff of the workshop and to the learner.
func (s *Service) signOffLearner(ctx context.Context, a Actor, id string) (curriculum.Learner, error) {
	if a.Role == RoleLearner && a.ID != id {
		return curriculum.Learner{}, curriculum.ErrNotFound
	}
	l, err := s.store.Learner(ctx, id)
	if err == nil && l.Workshop != a.Workshop {
		return curriculum.Learner{}, curriculum.ErrNotFound
	}
	return l, err
}

// signOffNames are the names behind a workshop's tokens.
type signOffNames struct {
	of    map[string]curriculum.SignOffName
	byRef map[string]string // what they are called today
}

func (n signOffNames) same(token string) string {
	if kept, ok := n.of[token]; ok {
		return kept.Ref
	}
	return token
}

// name returns the name behind a token or an id.
func (n signOffNames) name(ref string) string {
	if name, ok := n.byRef[n.same(ref)]; ok {
		return name
	}
	return ""
}

func (s *Service) signOffNames(ctx context.Context, workshop string) (signOffNames, error) {
	out := signOffNames{map[string]curriculum.SignOffName{}, map[string]string{}}
	names, err := s.store.SignOffNames(ctx, workshop)
	for _, n := range names {
		out.of[n.Token], out.byRef[n.Ref] = n, n.Today
	}
	return out, err
}

// record reads lines together with the rules in force; subjects are ids.
func (s *Service) record(ctx context.Context, a Actor, lines []curriculum.Line, names signOffNames) (*signoff.Record, error) {
	rules, err := s.store.SettingsLine(ctx, a.Workshop)
	if err == nil {
		lines = append([]curriculum.Line{rules}, lines...)
	} else if !isNotFound(err) {
		return nil, err
	}
	return signoff.Read(lines, names.same)
}

// fileOf reads a learner's lines, with the number of the newest.
func (s *Service) fileOf(ctx context.Context, a Actor, learner string) (r *signoff.Record, names signOffNames, seen int64, err error) {
	lines, err := s.store.LinesOf(ctx, a.Workshop, learner)
	if err != nil {
		return nil, names, 0, err
	}
	if len(lines) > 0 {
		seen = lines[len(lines)-1].Seq
	}
	if names, err = s.signOffNames(ctx, a.Workshop); err != nil {
		return nil, names, 0, err
	}
	r, err = s.record(ctx, a, lines, names)
	return r, names, seen, err
}

// SignOffs returns how a learner stands on every lathe of the workshop with
// every operation: to staff, and to the learner.
func (s *Service) SignOffs(ctx context.Context, a Actor, learner string) (SignOffFile, error) {
	return s.signOffsAs(ctx, a, learner, s.today)
}

// signOffsAs is a learner's file with each state seen in a way.
func (s *Service) signOffsAs(ctx context.Context, a Actor, learner string, seen func(context.Context, Actor, SignOffState, curriculum.Lathe) (SignOffState, error)) (SignOffFile, error) {
	l, err := s.signOffLearner(ctx, a, learner)
	if err != nil {
		return SignOffFile{}, err
	}
	lathes, err := s.store.Lathes(ctx, a.Workshop)
	if err != nil {
		return SignOffFile{}, err
	}
	r, names, _, err := s.fileOf(ctx, a, learner)
	if err != nil {
		return SignOffFile{}, err
	}
	out := SignOffFile{Learner: l, States: []SignOffState{}}
	for _, lathe := range lathes {
		for _, o := range signoff.Operations() {
			state, err := seen(ctx, a, inWords(r, names, l, lathe, o, s.now()), lathe)
			if err != nil {
				return SignOffFile{}, err
			}
			out.States = append(out.States, state)
		}
	}
	return out, nil
}

func inWords(r *signoff.Record, names signOffNames, l curriculum.Learner, lathe curriculum.Lathe, o signoff.Operation, now time.Time) SignOffState {
	state := r.State(l.ID, lathe.ID, o.Slug, now)
	return SignOffState{Learner: l.ID, Name: l.Name, State: state, LatheName: lathe.Name, Title: o.Title, Signer: names.name(state.SignedBy)}
}

// SignOff answers: may this person use this lathe for this operation today,
// until when, with what restriction, and who signed?
func (s *Service) SignOff(ctx context.Context, a Actor, learner, lathe, operation string) (SignOffState, error) {
	at, err := s.place(ctx, a, Place{learner, lathe, operation})
	if err != nil {
		return SignOffState{}, err
	}
	r, names, _, err := s.fileOf(ctx, a, learner)
	if err != nil {
		return SignOffState{}, err
	}
	return s.today(ctx, a, inWords(r, names, at.learner, at.lathe, at.operation, s.now()), at.lathe)
}

// LatheToday is who may use a lathe now.
type LatheToday struct {
	Lathe curriculum.Lathe `json:"lathe"`
	At    time.Time        `json:"at"`
	// MayUse are the sign-offs in force, by name; they say for what. Nobody may use
	// a lathe that is out of use.
	MayUse []SignOffState `json:"may_use"`
	// Why says why nobody may use it; empty while it is in use.
	Why string `json:"why,omitempty"`
}

// SignOffToday lists who may use a lathe today, for staff.
func (s *Service) SignOffToday(ctx context.Context, a Actor, lathe string) (LatheToday, error) {
	if err := a.staff(); err != nil {
		return LatheToday{}, err
	}
	machine, err := s.Lathe(ctx, a, lathe)
	if err != nil {
		return LatheToday{}, err
	}
	lines, err := s.store.LinesAt(ctx, a.Workshop, lathe)
	if err != nil {
		return LatheToday{}, err
	}
	names, err := s.signOffNames(ctx, a.Workshop)
	if err != nil {
		return LatheToday{}, err
	}
	r, err := s.record(ctx, a, lines, names)
	if err != nil {
		return LatheToday{}, err
	}
	out := LatheToday{Lathe: machine, At: s.now(), MayUse: []SignOffState{}}
	if why, err := s.WhyOutOfUse(ctx, a, machine); err != nil || why != "" {
		out.Why = why
		return out, err
	}
	for _, subject := range r.Subjects(lathe) {
		name := names.name(subject)
		if name == "" { // erased: nobody can be let in as them
			continue
		}
		for _, o := range signoff.Operations() {
			if state := inWords(r, names, curriculum.Learner{ID: subject, Name: name}, machine, o, out.At); state.MayUse {
				out.MayUse = append(out.MayUse, state)
			}
		}
	}
	slices.SortStableFunc(out.MayUse, func(a, b SignOffState) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return out, nil
}

// mostFound bounds what a search lists.
const mostFound = 50

// FindSignOff finds learners of the workshop by a part of their name or by the
// code of their card, for staff. An empty text finds the first of all.
func (s *Service) FindSignOff(ctx context.Context, a Actor, text string) ([]curriculum.Learner, error) {
	if err := a.staff(); err != nil {
		return nil, err
	}
	text = strings.TrimSpace(text)
	found := []curriculum.Learner{}
	if id, err := s.store.SignOffCardLearner(ctx, a.Workshop, CleanCode(text)); err == nil {
		l, err := s.store.Learner(ctx, id)
		return append(found, l), err
	} else if !isNotFound(err) {
		return nil, err
	}
	all, err := s.store.WorkshopLearners(ctx, a.Workshop)
	if err != nil {
		return nil, err
	}
	wanted := strings.ToLower(text)
	for _, l := range all {
		if strings.Contains(strings.ToLower(l.Name), wanted) {
			found = append(found, l)
		}
	}
	slices.SortStableFunc(found, func(a, b curriculum.Learner) int {
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
	return found[:min(len(found), mostFound)], nil
}

// SignOffEntry is a line of the record in words.
type SignOffEntry struct {
	Seq       int64     `json:"seq"`
	At        time.Time `json:"at"`
	Kind      string    `json:"kind"`
	What      string    `json:"what"`
	Lathe     string    `json:"lathe"` // its name
	Operation string    `json:"operation"`
	By        string    `json:"by"` // a name; empty where it was erased
	Second    string    `json:"second,omitempty"`
	Digest    string    `json:"digest"`
}

// SignOffHistory returns what was recorded about a learner, newest first, for
// staff.
func (s *Service) SignOffHistory(ctx context.Context, a Actor, learner string) ([]SignOffEntry, error) {
	if err := a.staff(); err != nil {
		return nil, err
	}
	if _, err := s.signOffLearner(ctx, a, learner); err != nil {
		return nil, err
	}
	lines, err := s.store.LinesOf(ctx, a.Workshop, learner)
	if err != nil {
		return nil, err
	}
	names, err := s.signOffNames(ctx, a.Workshop)
	if err != nil {
		return nil, err
	}
	lathes, err := s.store.Lathes(ctx, a.Workshop)
	if err != nil {
		return nil, err
	}
	latheName := map[string]string{}
	for _, l := range lathes {
		latheName[l.ID] = l.Name
	}
	out := make([]SignOffEntry, 0, len(lines))
	for _, l := range slices.Backward(lines) {
		e := SignOffEntry{
			Seq: l.Seq, At: l.At, Kind: l.Kind, What: signoff.Describe(l), Lathe: latheName[l.Lathe], Operation: l.Operation, By: names.name(l.By), Digest: l.Digest,
		}
		if body, err := signoff.Body(l); err == nil {
			if in, ok := body.(*signoff.CheckIn); ok {
				e.Second = names.name(in.Second)
			}
		}
		out = append(out, e)
	}
	return out, nil
}

// ChainEnd returns the end of the workshop's chain, to be kept elsewhere.
func (s *Service) ChainEnd(ctx context.Context, a Actor) (curriculum.ChainHead, error) {
	if err := a.staff(); err != nil {
		return curriculum.ChainHead{}, err
	}
	return s.store.EndOfChain(ctx, a.Workshop)
}

// Audit is what an audit of a workshop's chain found.
type Audit struct {
	Workshop curriculum.Workshop
	Lines    int
	Head     curriculum.ChainHead
	Faults   []string
}

// AuditSignOffs goes through a workshop's chain and the names beside it; kept
// are heads printed or exported earlier.
func (s *Service) AuditSignOffs(ctx context.Context, w curriculum.Workshop, kept ...curriculum.ChainHead) (Audit, error) {
	out := Audit{Workshop: w}
	lines, head, err := s.store.Chain(ctx, w.ID)
	if err != nil {
		return out, err
	}
	out.Lines, out.Head = len(lines), head
	for _, f := range curriculum.CheckChain(lines, head, kept...) {
		out.Faults = append(out.Faults, f.Error())
	}
	names, err := s.store.SignOffNames(ctx, w.ID)
	for _, n := range names {
		if !n.Proves() {
			out.Faults = append(out.Faults, fmt.Sprintf("the name %q is not the one that its token %.8s… was made for", n.Name, n.Token))
		}
	}
	return out, err
}

// CardOf is what a learner's card shows.
type CardOf struct {
	SignOffFile
	Workshop curriculum.Workshop
	Code     string
	Head     curriculum.ChainHead
	At       time.Time
}

// SignOffCard returns a learner's card for printing, to staff. It lasts longer than
// a lathe is out of use, so that it says what was signed off; who may use a lathe
// today is told where its code leads.
func (s *Service) SignOffCard(ctx context.Context, a Actor, learner string) (CardOf, error) {
	if err := a.staff(); err != nil {
		return CardOf{}, err
	}
	asSigned := func(_ context.Context, _ Actor, st SignOffState, _ curriculum.Lathe) (SignOffState, error) {
		return st, nil
	}
	file, err := s.signOffsAs(ctx, a, learner, asSigned)
	if err != nil {
		return CardOf{}, err
	}
	out := CardOf{SignOffFile: file, At: s.now()}
	if out.Workshop, err = s.store.Workshop(ctx, a.Workshop); err != nil {
		return CardOf{}, err
	}
	code, err := s.code(8)
	if err != nil {
		return CardOf{}, err
	}
	if out.Code, err = s.store.SignOffCard(ctx, a.Workshop, learner, code, out.At); err != nil {
		return CardOf{}, err
	}
	out.Head, err = s.store.EndOfChain(ctx, a.Workshop)
	return out, err
}

// EraseSignOffName removes a learner's name from beside the sign-off record,
// with the card and the sittings. The chain stays whole; nobody can be let in on
// it afterwards.
func (s *Service) EraseSignOffName(ctx context.Context, a Actor, learner string) error {
	if err := a.instructor(); err != nil {
		return err
	}
	if _, err := s.signOffLearner(ctx, a, learner); err != nil {
		return err
	}
	return s.store.ForgetSignOffName(ctx, a.Workshop, learner, a.ID, s.now())
}
