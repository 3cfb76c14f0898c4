package generate

import (
	"slices"

	"halfnut/curriculum"
	"halfnut/threadmath"
)

// usualShare is the share of a model's draws above which one choice that is right
// counts as the usual one: choosing it always would do too well to show anything.
const usualShare = 0.6

// shareDraws are drawn of a model to find the shares. A share of 0.6 is then known
// to within a standard error of 0.04.
const shareDraws = 160

// Share is how often what is most often right is right.
type Share struct {
	Part string `json:"part"`
	// Choice is what the choice says.
	Choice string  `json:"choice"`
	Share  float64 `json:"share"` // 0 to 1
}

// Usual reports whether choosing it shows nothing.
func (s Share) Usual() bool { return s.Share > usualShare }

// Range returns what the lathe can ask of the skill in these units. Errors are those
// of [Draw].
func (d *Drawer) Range(skill string, units threadmath.System) (curriculum.Range, error) {
	models, err := d.bench.models(skill, Options{Units: units})
	if err != nil {
		return curriculum.Range{}, err
	}
	r := d.bench.ranges(skill, models, units)
	r.Models = slices.Clone(r.Models)
	return r, nil
}

// Shares measures, for each part of the model that is chosen, which choice is most
// often right on this lathe in these units, and how often: among the draws of a
// fixed run of seeds, so that the answer is always the same.
func (d *Drawer) Shares(skill, name string, units threadmath.System) ([]Share, error) {
	models, err := d.bench.models(skill, Options{Units: units, Model: name})
	if err != nil {
		return nil, err
	}
	return slices.Clone(d.bench.shares(models[0], units)), nil
}

// knownShares are kept by the lathe's numbers, the units and the model.
var knownShares = cellCache[Share]{most: evidenceKept}

func (b *bench) shares(m *model, units threadmath.System) []Share {
	return knownShares.at(m.skill+"/"+m.name+"\x00"+units.String()+b.machine.text, func() []Share { return b.findShares(m, units) })
}

func (b *bench) findShares(m *model, units threadmath.System) []Share {
	type answer struct{ part, choice string }
	times := map[answer]int{}
	parts := map[string]int{}
	var order []answer
	for seed := range uint64(shareDraws) {
		it, _, err := b.drawItem(m, seed, Options{Units: units})
		if err != nil {
			break // the draw that asks for the shares meets the same error
		}
		chosen := false
		for _, p := range it.ex.Parts {
			text := p.RightChoice()
			if text == "" {
				continue
			}
			chosen = true
			a := answer{p.ID, text}
			if times[a]++; times[a] == 1 {
				order = append(order, a)
			}
			parts[p.ID]++
		}
		if !chosen {
			break // nothing is chosen in this model
		}
	}
	best := map[string]Share{}
	for _, a := range order {
		if share := float64(times[a]) / float64(parts[a.part]); share > best[a.part].Share {
			best[a.part] = Share{Part: a.part, Choice: a.choice, Share: share}
		}
	}
	var out []Share
	for _, a := range order {
		if s, ok := best[a.part]; ok {
			out = append(out, s)
			delete(best, a.part)
		}
	}
	return out
}

// knownRanges are kept by the lathe's numbers, the units and the skill.
var knownRanges = cellCache[curriculum.Range]{most: evidenceKept}

func (b *bench) ranges(skill string, models []*model, units threadmath.System) curriculum.Range {
	return knownRanges.at(skill+"\x00"+units.String()+b.machine.text, func() []curriculum.Range {
		return []curriculum.Range{b.findRange(skill, models, units)}
	})[0]
}

// findRange draws a fixed run of seeds until it has seen all that a gate wants.
func (b *bench) findRange(skill string, models []*model, units threadmath.System) curriculum.Range {
	r := curriculum.Range{Models: []string{}}
	keys, worked := map[string]bool{}, map[string]bool{}
	for _, m := range models {
		seen := false
		for seed := range uint64(shareDraws) {
			it, _, err := b.drawItem(m, seed, Options{Units: units})
			if err != nil {
				break // what cannot be drawn is not asked
			}
			basis := b.ownBasis(m, it, units)
			shows, works := it.ex.Shows(basis, skill)
			seen = seen || shows
			if shows {
				keys[basis.Keys[skill]] = true
			}
			if works {
				worked[basis.Keys[skill]] = true
			}
			if seen && len(keys) >= curriculum.MostKeys && len(worked) >= curriculum.MostKeys {
				break
			}
		}
		if seen {
			r.Models = append(r.Models, m.name)
		}
	}
	r.Keys, r.Worked = min(len(keys), curriculum.MostKeys), min(len(worked), curriculum.MostKeys)
	return r
}

// ownBasis says what the item is evidence of, but for what else the lathe can ask.
func (b *bench) ownBasis(m *model, it *item, units threadmath.System) curriculum.Basis {
	out := curriculum.NewBasis(it.ex, it.decisive...)
	for _, p := range it.ex.Parts {
		if p.Kind != curriculum.KindChoice {
			continue
		}
		for _, s := range b.shares(m, units) {
			if s.Part == p.ID && s.Usual() && s.Choice == p.RightChoice() {
				out.Usual = append(out.Usual, p.ID)
			}
		}
	}
	return out
}

// basis says what the exercise is evidence of.
func (b *bench) basis(m *model, it *item, units threadmath.System) (*curriculum.Basis, error) {
	out := b.ownBasis(m, it, units)
	all, err := b.models(m.skill, Options{Units: units})
	if err != nil {
		return nil, err
	}
	r := b.ranges(m.skill, all, units)
	out.Range = &r
	return &out, nil
}
