// Package statistics looks at the exercises themselves: how hard they turned out,
// whether those who can do the rest can do them too, how long they take and which
// mistakes they bring out.
//
// First tries alone are looked at. Difficulty is the mean share of the marks, 0
// to 1, high where it is easy. Discrimination is the correlation, over learners,
// of the score on the item with the score on everything else (the corrected
// item-total correlation of classical test theory). What is usable by common
// rules (difficulty 0.3 to 0.9, discrimination 0.2 and more; Ebel and Frisbie,
// Essentials of Educational Measurement, 1991, from memory) cannot be told from
// twenty learners, whose difficulty is uncertain by a tenth: only what is far out
// is flagged, and nothing is ever taken away by a number.
package statistics

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"halfnut/curriculum"
)

// Item is the figures of a skill, of one of its models, or of one hard cell of a
// model: draws that declare the same difficulty.
type Item struct {
	Skill   string `json:"skill"`
	Model   string `json:"model,omitempty"`
	Version int    `json:"model_version,omitempty"`
	Cell    string `json:"cell,omitempty"`
	// Answers counts first tries, Learners those who made them.
	Answers  int `json:"answers"`
	Learners int `json:"learners"`
	// Difficulty is the mean score with its standard error.
	Difficulty float64 `json:"difficulty"`
	Error      float64 `json:"standard_error"`
	// Discrimination is nil where fewer than three learners answered other items as
	// well, or all scored alike.
	Discrimination *float64 `json:"discrimination"`
	// Minutes is the median time from the answer before, nil where none is known.
	Minutes *float64 `json:"minutes"`
	// Mistakes are the wrong rules that came up, most often first.
	Mistakes []Mistake `json:"mistakes"`
	// Flags say what is far out; empty with too few learners.
	Flags []string `json:"flags"`
}

// Mistake is a wrong rule with how often it explained a first try.
type Mistake struct {
	Rule     string `json:"rule"`
	Charges  string `json:"charges,omitempty"`
	Times    int    `json:"times"`
	Learners int    `json:"learners"`
}

// The bounds beyond which an item with enough learners is flagged.
const (
	Enough  = 20 // learners
	tooHard = 0.2
	tooEasy = 0.95

	// longest is the longest pause that still counts as time taken.
	longest = 20 * time.Minute
)

// response is one first try.
type response struct {
	learner  string
	score    float64
	minutes  float64 // 0 where it is not known
	mistakes []Mistake
}

// key names an item; the empty fields make the broader ones.
type key struct {
	skill, model string
	version      int
	cell         string
}

// Of returns the figures of every skill, model and hard cell that was answered,
// in the order of the catalogue, each skill before its models and each model
// before its cells. The attempts may come in any order.
func Of(answered []curriculum.Answered) []Item {
	by := map[key][]response{}
	totals := map[string]*sum{} // over everything, by learner
	for _, r := range firstTries(answered) {
		levels := []key{{skill: r.skill}, {r.skill, r.model, r.version, ""}}
		if r.cell != "" {
			levels = append(levels, r.key)
		}
		for _, k := range levels {
			by[k] = append(by[k], r.response)
		}
		if totals[r.learner] == nil {
			totals[r.learner] = &sum{}
		}
		totals[r.learner].add(r.score)
	}
	place := map[string]int{}
	for i, s := range curriculum.Skills() {
		place[s.Slug] = i
	}
	keys := slices.SortedFunc(maps.Keys(by), func(a, b key) int {
		return cmp.Or(cmp.Compare(place[a.skill], place[b.skill]), cmp.Compare(a.skill, b.skill),
			cmp.Compare(a.model, b.model), cmp.Compare(a.version, b.version), cmp.Compare(a.cell, b.cell))
	})
	out := make([]Item, 0, len(keys))
	for _, k := range keys {
		out = append(out, figures(k, by[k], totals))
	}
	return out
}

type keyed struct {
	key
	response
}

// firstTries picks the first judged try at every exercise, with the time since
// the answer before on the same sheet.
func firstTries(answered []curriculum.Answered) []keyed {
	sorted := slices.Clone(answered)
	slices.SortFunc(sorted, func(a, b curriculum.Answered) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.ID, b.ID)) })
	last := map[string]time.Time{}
	seen := map[curriculum.Place]bool{}
	var out []keyed
	for _, a := range sorted {
		before := last[a.Variant]
		if a.Source == curriculum.SourceTyped {
			last[a.Variant] = a.At
		}
		at := curriculum.Place{Variant: a.Variant, Position: a.Position}
		if seen[at] || !a.Judged() || a.OutOf == 0 {
			continue
		}
		seen[at] = true
		r := keyed{key{a.Skill, a.Model, a.ModelVersion, cellText(a.Difficulty)}, response{learner: a.Learner, score: float64(a.Marks) / float64(a.OutOf)}}
		if pause := a.At.Sub(before); a.Source == curriculum.SourceTyped && !before.IsZero() && pause <= longest {
			r.minutes = pause.Minutes()
		}
		for _, v := range a.Verdicts {
			if v.WrongRule != "" {
				r.mistakes = append(r.mistakes, Mistake{Rule: v.WrongRule, Charges: v.Charges})
			}
		}
		out = append(out, r)
	}
	return out
}

// cellText writes what a draw declares hard, always in the same order.
func cellText(difficulty map[string]string) string {
	var words []string
	for _, name := range slices.Sorted(maps.Keys(difficulty)) {
		words = append(words, name+" "+difficulty[name])
	}
	return strings.Join(words, ", ")
}

type sum struct {
	total float64
	n     int
}

func (s *sum) add(x float64) { s.total += x; s.n++ }

func figures(k key, rs []response, totals map[string]*sum) Item {
	it := Item{Skill: k.skill, Model: k.model, Version: k.version, Cell: k.cell, Answers: len(rs), Mistakes: []Mistake{}, Flags: []string{}}
	own := map[string]*sum{}
	var minutes []float64
	for _, r := range rs {
		it.Difficulty += r.score / float64(len(rs))
		if own[r.learner] == nil {
			own[r.learner] = &sum{}
		}
		own[r.learner].add(r.score)
		if r.minutes > 0 {
			minutes = append(minutes, r.minutes)
		}
	}
	it.Learners = len(own)
	it.Error = math.Sqrt(it.Difficulty * (1 - it.Difficulty) / float64(len(rs)))
	var item, rest []float64
	for _, who := range slices.Sorted(maps.Keys(own)) {
		if others := totals[who].n - own[who].n; others > 0 {
			item = append(item, own[who].total/float64(own[who].n))
			rest = append(rest, (totals[who].total-own[who].total)/float64(others))
		}
	}
	if r, ok := Correlation(item, rest); ok && len(item) > 2 {
		it.Discrimination = &r
	}
	if len(minutes) > 0 {
		slices.Sort(minutes)
		m := (minutes[(len(minutes)-1)/2] + minutes[len(minutes)/2]) / 2
		it.Minutes = &m
	}
	it.Mistakes = mistakes(rs)
	it.flag(len(item))
	return it
}

// flag names what is far out, with enough learners; with is how many learners the
// discrimination rests on.
func (it *Item) flag(with int) {
	if it.Learners >= Enough && it.Difficulty < tooHard {
		it.Flags = append(it.Flags, fmt.Sprintf("harder than four in five can do (%.2f)", it.Difficulty))
	}
	if it.Learners >= Enough && it.Difficulty > tooEasy {
		it.Flags = append(it.Flags, fmt.Sprintf("nearly everybody can do it (%.2f)", it.Difficulty))
	}
	if d := it.Discrimination; d != nil && with >= Enough && *d < 0 {
		it.Flags = append(it.Flags, fmt.Sprintf("those who do well elsewhere do worse here (%.2f): look at its wording and key", *d))
	}
}

func mistakes(rs []response) []Mistake {
	type rule struct{ id, charges string }
	counts := map[rule]*Mistake{}
	who := map[rule]map[string]bool{}
	for _, r := range rs {
		for _, m := range r.mistakes {
			k := rule{m.Rule, m.Charges}
			if counts[k] == nil {
				counts[k], who[k] = &Mistake{Rule: m.Rule, Charges: m.Charges}, map[string]bool{}
			}
			counts[k].Times++
			who[k][r.learner] = true
			counts[k].Learners = len(who[k])
		}
	}
	out := make([]Mistake, 0, len(counts))
	for _, m := range counts {
		out = append(out, *m)
	}
	slices.SortFunc(out, func(a, b Mistake) int {
		return cmp.Or(b.Times-a.Times, cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Charges, b.Charges))
	})
	return out
}

// Correlation returns the product-moment correlation of two samples of the same
// length; ok is false where one of them does not vary. For an item that is right
// or wrong it is the point-biserial correlation.
func Correlation(x, y []float64) (r float64, ok bool) {
	if len(x) != len(y) || len(x) < 2 {
		return 0, false
	}
	var mx, my float64
	for i := range x {
		mx += x[i] / float64(len(x))
		my += y[i] / float64(len(y))
	}
	var sxy, sxx, syy float64
	for i := range x {
		sxy += (x[i] - mx) * (y[i] - my)
		sxx += (x[i] - mx) * (x[i] - mx)
		syy += (y[i] - my) * (y[i] - my)
	}
	if sxx < 1e-12 || syy < 1e-12 {
		return 0, false
	}
	return sxy / math.Sqrt(sxx*syy), true
}
