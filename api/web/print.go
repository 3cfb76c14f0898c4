package web

import (
	"context"
	"net/url"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
	"halfnut/worksheets"
)

// Pack gathers what is printed of a class set for an instructor. The query may
// ask for paper=letter, large=1, contrast=1, spacing=1, double=1.
func Pack(ctx context.Context, p *practice.Service, a practice.Actor, set string, query url.Values) (worksheets.Pack, error) {
	cs, class, err := p.Set(ctx, a, set)
	if err != nil {
		return worksheets.Pack{}, err
	}
	variants, err := p.Variants(ctx, a, set)
	if err != nil {
		return worksheets.Pack{}, err
	}
	w, err := p.Workshop(ctx, a)
	if err != nil {
		return worksheets.Pack{}, err
	}
	style, err := Style(query)
	if err != nil {
		return worksheets.Pack{}, err
	}
	return worksheets.Pack{
		Workshop: w.Name, Class: class.Name, Set: cs, Variants: variants, Solution: practice.Solutions, Looks: practice.Looks,
		Style: style, DoubleSided: query.Get("double") == "1",
	}, nil
}

// Style reads how something is to be printed: paper=letter, large=1, contrast=1,
// spacing=1.
func Style(query url.Values) (worksheets.Style, error) {
	name := query.Get("paper")
	if name == "" {
		name = "a4"
	}
	paper, err := worksheets.PaperNamed(name)
	if err != nil {
		return worksheets.Style{}, &curriculum.FieldError{Path: "?paper", Value: name, Allowed: "a4, letter"}
	}
	return worksheets.NewStyle(paper, worksheets.Options{
		LargePrint: query.Get("large") == "1", HighContrast: query.Get("contrast") == "1", WideSpacing: query.Get("spacing") == "1",
	}), nil
}
