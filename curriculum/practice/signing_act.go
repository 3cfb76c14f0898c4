package practice

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/signoff"
)

// Place is a learner at a lathe with an operation.
type Place struct {
	Learner   string `json:"learner"`
	Lathe     string `json:"lathe"`
	Operation string `json:"operation"`
}

type placed struct {
	learner   curriculum.Learner
	lathe     curriculum.Lathe
	operation signoff.Operation
}

// place finds what a Place names, and says which of it there is not.
func (s *Service) place(ctx context.Context, a Actor, p Place) (placed, error) {
	var out placed
	l, err := s.signOffLearner(ctx, a, p.Learner)
	if err != nil {
		return out, fieldNotFound(err, "/learner", p.Learner, "no such learner in this workshop")
	}
	out.learner = l
	if out.lathe, err = s.Lathe(ctx, a, p.Lathe); err != nil {
		return out, fieldNotFound(err, "/lathe", p.Lathe, "no such lathe in this workshop")
	}
	o, ok := signoff.OperationOf(p.Operation)
	if !ok {
		var slugs []string
		for _, o := range signoff.Operations() {
			slugs = append(slugs, o.Slug)
		}
		return out, &curriculum.FieldError{Path: "/operation", Value: p.Operation, Reason: "no such operation", Allowed: strings.Join(slugs, ", ")}
	}
	out.operation = o
	return out, nil
}

// signer returns the token and name of the person who acts. Nothing is signed by who
// has left, not even what a learner hands in of a sitting that they opened.
func (s *Service) signer(ctx context.Context, a Actor) (token, name string, err error) {
	p, err := s.store.Person(ctx, a.ID)
	if err != nil {
		return "", "", err
	}
	if p.Ended != nil {
		return "", "", fmt.Errorf("%w: %s has left; nothing is signed in their name any more", curriculum.ErrConflict, p.Name)
	}
	token, err = s.token(ctx, a.Workshop, p.ID, p.Name)
	return token, p.Name, err
}

// token returns the token of a person or learner under their name of today.
func (s *Service) token(ctx context.Context, workshop, ref, name string) (string, error) {
	salt, _, err := s.secret()
	if err != nil {
		return "", err
	}
	kept, err := s.store.KeepSignOffName(ctx, curriculum.SignOffName{
		Token: curriculum.NewToken(salt, ref, name), Workshop: workshop, Ref: ref, Name: name, Salt: salt, Created: s.now(),
	})
	return kept.Token, err
}

// triesToSign is how often a line is tried again when another about the same
// learner came in between.
const triesToSign = 5

// act is one entry to be made in the record.
type act struct {
	Actor
	at     placed
	kind   string
	signer string // token
	who    signoff.Who
	now    time.Time
}

// begin looks up who acts and about whom, and refuses who acts for themselves.
func (s *Service) begin(ctx context.Context, a Actor, p Place, kind string) (act, error) {
	out := act{Actor: a, kind: kind, now: s.now()}
	var err error
	if out.at, err = s.place(ctx, a, p); err != nil {
		return out, err
	}
	if atTheLathe(kind) {
		why, err := s.WhyOutOfUse(ctx, a, out.at.lathe)
		if err == nil && why != "" {
			err = fmt.Errorf("%w: this lathe %s", curriculum.ErrConflict, why)
		}
		if err != nil {
			return out, err
		}
	}
	var name string
	if out.signer, name, err = s.signer(ctx, a); err != nil {
		return out, err
	}
	out.who = signoff.Who{Token: out.at.learner.ID, Name: out.at.learner.Name}
	return out, signoff.NotOneself(signoff.Who{Token: a.ID, Name: name}, out.who)
}

func (x act) line(subject string, body any) (curriculum.Line, error) {
	data, err := curriculum.Canonical(body)
	return curriculum.Line{
		Workshop: x.Workshop, At: x.now, Kind: x.kind, Subject: subject, By: x.signer, Lathe: x.at.lathe.ID, Operation: x.at.operation.Slug, Body: data,
	}, err
}

// sign reads the learner's record, lets the rules decide over it and keeps what
// they give; keep is how. It begins again when another line about the learner
// came in between, so that rules are never applied to an old record.
func (s *Service) sign(ctx context.Context, x act, decide func(r *signoff.Record) (any, error), keep func(l curriculum.Line, seen int64) (curriculum.Line, error)) (SignOffState, error) {
	subject, err := s.token(ctx, x.Workshop, x.at.learner.ID, x.at.learner.Name)
	if err != nil {
		return SignOffState{}, err
	}
	if keep == nil {
		keep = func(l curriculum.Line, seen int64) (curriculum.Line, error) {
			return s.store.AppendLine(ctx, l, x.at.learner.ID, seen)
		}
	}
	for try := 1; ; try++ {
		r, _, seen, err := s.fileOf(ctx, x.Actor, x.at.learner.ID)
		if err != nil {
			return SignOffState{}, err
		}
		body, err := decide(r)
		if err != nil {
			return SignOffState{}, err
		}
		l, err := x.line(subject, body)
		if err != nil {
			return SignOffState{}, err
		}
		if _, err = keep(l, seen); errors.Is(err, curriculum.ErrConflict) && try < triesToSign {
			continue
		}
		if err != nil {
			return SignOffState{}, err
		}
		return s.SignOff(ctx, x.Actor, x.at.learner.ID, x.at.lathe.ID, x.at.operation.Slug)
	}
}
