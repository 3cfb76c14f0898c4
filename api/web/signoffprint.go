package web

import (
	"context"
	"time"

	"halfnut/curriculum/practice"
	"halfnut/curriculum/signoff"
	"halfnut/worksheets"
)

// Card makes a learner's card for print; origin is the service's address.
func Card(c practice.CardOf, origin string, style worksheets.Style) worksheets.SignOffCard {
	out := worksheets.SignOffCard{
		Workshop: c.Workshop.Name, Name: c.Learner.Name, Code: c.Code, Address: origin + "/signoff/cards/" + c.Code,
		Date: c.At.Format(time.DateOnly), Style: style,
	}
	if c.Head.Seq > 0 {
		out.Head = c.Head.String()
	}
	for _, s := range c.States {
		if s.MayUse {
			out.Entries = append(out.Entries, worksheets.SignOffEntry{
				Operation: s.Title, Lathe: s.LatheName, Until: s.Until.Format(time.DateOnly), Restriction: s.Restriction, Signer: s.Signer,
			})
		}
	}
	return out
}

// SignOffSheet gathers the paper form of one sign-off, for staff; with a thread
// the sizes of its test piece have limits.
func SignOffSheet(ctx context.Context, p *practice.Service, a practice.Actor, at practice.Place, thread string, style worksheets.Style) (worksheets.SignOffSheet, error) {
	card, err := p.SignOffCard(ctx, a, at.Learner)
	if err != nil {
		return worksheets.SignOffSheet{}, err
	}
	state, err := p.SignOff(ctx, a, at.Learner, at.Lathe, at.Operation)
	if err != nil {
		return worksheets.SignOffSheet{}, err
	}
	o, _ := signoff.OperationOf(at.Operation)
	out := worksheets.SignOffSheet{
		Workshop: card.Workshop.Name, Name: card.Learner.Name, Lathe: state.LatheName, Operation: o.Title, Date: card.At.Format(time.DateOnly),
		Status: state.Status, Version: o.Version, Style: style,
	}
	if card.Head.Seq > 0 {
		out.Head = card.Head.String()
	}
	for _, step := range state.Steps {
		out.Steps = append(out.Steps, worksheets.SignOffStep{Name: step.Name, Done: step.Done, What: step.What})
	}
	for _, it := range o.Checklist {
		out.Checklist = append(out.Checklist, worksheets.SignOffItem{Text: it.Text, Unless: it.Unless})
	}
	sizes := []signoff.Measure{}
	switch {
	case thread != "" || at.Operation == signoff.Turning:
		if sizes, _, err = practice.MeasuresFor(at.Operation, thread); err != nil {
			return worksheets.SignOffSheet{}, err
		}
	default:
		starts := 1
		if at.Operation == signoff.MultiStart {
			starts = 4 // room for four; lines too many stay empty
		}
		for _, what := range signoff.SizesFor(at.Operation, starts) {
			sizes = append(sizes, signoff.Measure{What: what})
		}
	}
	for _, m := range sizes {
		out.Sizes = append(out.Sizes, worksheets.SignOffSize{What: m.What, Low: m.Low, High: m.High})
	}
	return out, nil
}
