package practice

import (
	"context"
	"fmt"
	"slices"
	"time"

	"halfnut/curriculum"
	"halfnut/curriculum/mastery"
)

// Standing is where a learner stands with one skill, at one moment.
type Standing struct {
	Skill string `json:"skill"`
	Title string `json:"title"`
	// Known is the probability, 0 to 1, that the skill is held; Recall the share of
	// it that is still there by the retention curve, 0 where the skill was never met.
	Known  float64 `json:"known"`
	Recall float64 `json:"recall"`
	// Chances counts first tries, Rights those that were right.
	Chances int `json:"chances"`
	Rights  int `json:"rights"`
	// MoveOn and Machine say whether the gates to the next skill and to the machine
	// are open; Missing says what the machine's gate lacks. Cold asks for a fresh
	// check before the skill is relied on.
	MoveOn  bool     `json:"move_on"`
	Machine bool     `json:"machine"`
	Cold    bool     `json:"cold"`
	Missing []string `json:"missing"`
	// Held are the mistakes that came up again and again.
	Held []mastery.Misconception `json:"held"`
	Last *time.Time              `json:"last"` // nil where the skill was never met
	// Due is when it should be met again.
	Due *time.Time `json:"due"`
}

// Mastery returns where a learner stands with every skill of the catalogue, in
// its order: to an instructor of the workshop, and to the learner.
func (s *Service) Mastery(ctx context.Context, a Actor, learner string) ([]Standing, error) {
	if _, err := s.Learner(ctx, a, learner); err != nil {
		return nil, err
	}
	cells, err := s.store.Cells(ctx, learner)
	if err != nil {
		return nil, err
	}
	return standings(cellsBySkill(cells), s.now(), time.Time{}), nil
}

// Learner returns a learner to whoever may know of them: an instructor of the
// workshop, and the learner.
func (s *Service) Learner(ctx context.Context, a Actor, id string) (curriculum.Learner, error) {
	if a.Role == RoleLearner && a.ID != id {
		return curriculum.Learner{}, curriculum.ErrNotFound
	}
	if a.Role != RoleLearner {
		if err := a.instructor(); err != nil {
			return curriculum.Learner{}, err
		}
	}
	l, err := s.store.Learner(ctx, id)
	if err == nil && l.Workshop != a.Workshop {
		return curriculum.Learner{}, curriculum.ErrNotFound
	}
	return l, err
}

func cellsBySkill(cells []curriculum.Cell) curriculum.Cells {
	out := make(curriculum.Cells, len(cells))
	for i := range cells {
		out[cells[i].Skill] = &cells[i]
	}
	return out
}

// standings describes the cells for every skill; gate is the day at the lathe,
// or zero.
func standings(cells curriculum.Cells, now, gate time.Time) []Standing {
	skills := curriculum.Skills()
	out := make([]Standing, len(skills))
	for i, skill := range skills {
		c := curriculum.Cell{Skill: skill.Slug, Known: mastery.ParamsOf(skill.Slug, 0).Start}
		met := cells[skill.Slug]
		if met != nil {
			c = *met
		}
		out[i] = Standing{
			Skill: skill.Slug, Title: skill.Title, Known: c.Known, Recall: mastery.Recall(c, now), Chances: c.Chances, Rights: c.Rights,
			MoveOn: mastery.MoveOn.Open(c), Machine: mastery.Machine.Open(c), Cold: met != nil && mastery.Cold(c, now),
			Missing: mastery.Machine.Missing(c), Held: append([]mastery.Misconception{}, mastery.Held(c)...),
		}
		if met != nil {
			last, due := c.Last, mastery.Due(c, gate)
			out[i].Last, out[i].Due = &last, &due
		}
	}
	return out
}

// MasteryMap is how a class stands: a row for each learner, a column for each
// skill that anybody has met.
type MasteryMap struct {
	Class  curriculum.Class `json:"class"`
	Skills []MapColumn      `json:"skills"`
	Rows   []MapRow         `json:"rows"`
	// Held are the mistakes that the class holds now, most learners first.
	Held []ClassMistake `json:"held"`
}

// MapColumn is one skill of a class.
type MapColumn struct {
	Skill string `json:"skill"`
	Title string `json:"title"`
	// Met, MoveOn and Machine count learners.
	Met     int `json:"met"`
	MoveOn  int `json:"move_on"`
	Machine int `json:"machine"`
}

// MapRow is one learner of a class; Cells follow the columns.
type MapRow struct {
	Learner string     `json:"learner"`
	Name    string     `json:"name"`
	Seat    int        `json:"seat"`
	Cells   []Standing `json:"cells"`
	// Stuck are the skills that practice alone no longer moves.
	Stuck []Stuck `json:"stuck"`
}

// Stuck is a skill that a learner has met often without getting through.
type Stuck struct {
	Skill   string `json:"skill"`
	Chances int    `json:"chances"`
	Rights  int    `json:"rights"`
	Reason  string `json:"reason"`
}

// ClassMistake is a mistake with the learners who hold it.
type ClassMistake struct {
	Skill    string   `json:"skill"`
	Rule     string   `json:"rule"`
	Feedback string   `json:"feedback"`
	Learners []string `json:"learners"` // ids, in the order of seats
}

// stuckAfter first tries a skill should have moved: a learner who does not hold
// it yet needs 8.4 on average to pass the gate (simulation of package
// mastery's parameters), and one in twenty more than this.
const stuckAfter = 12

// ClassMap returns the map of an instructor's class.
func (s *Service) ClassMap(ctx context.Context, a Actor, class string) (MasteryMap, error) {
	c, err := s.Class(ctx, a, class)
	if err != nil {
		return MasteryMap{}, err
	}
	learners, err := s.store.Learners(ctx, class)
	if err != nil {
		return MasteryMap{}, err
	}
	cells, err := s.store.ClassCells(ctx, class)
	if err != nil {
		return MasteryMap{}, err
	}
	return classMap(c, learners, cells, s.now()), nil
}

func classMap(class curriculum.Class, learners []curriculum.Learner, cells []curriculum.Cell, now time.Time) MasteryMap {
	by := cellsByLearner(cells)
	m := MasteryMap{Class: class, Skills: []MapColumn{}, Rows: make([]MapRow, len(learners)), Held: classMistakes(learners, by)}
	all := make([][]Standing, len(learners))
	for i, l := range learners {
		all[i] = standings(by[l.ID], now, time.Time{})
		m.Rows[i] = MapRow{Learner: l.ID, Name: l.Name, Seat: l.Seat, Cells: []Standing{}, Stuck: stuck(by[l.ID])}
	}
	for column, skill := range curriculum.Skills() {
		c := MapColumn{Skill: skill.Slug, Title: skill.Title}
		for i := range all {
			st := &all[i][column]
			count(&c.Met, st.Chances > 0)
			count(&c.MoveOn, st.MoveOn)
			count(&c.Machine, st.Machine)
		}
		if c.Met == 0 {
			continue
		}
		m.Skills = append(m.Skills, c)
		for i := range all {
			m.Rows[i].Cells = append(m.Rows[i].Cells, all[i][column])
		}
	}
	return m
}

func cellsByLearner(cells []curriculum.Cell) map[string]curriculum.Cells {
	out := map[string]curriculum.Cells{}
	for i := range cells {
		c := &cells[i]
		if out[c.Learner] == nil {
			out[c.Learner] = curriculum.Cells{}
		}
		out[c.Learner][c.Skill] = c
	}
	return out
}

func count(n *int, yes bool) {
	if yes {
		*n++
	}
}

// stuck names the skills with many first tries and no open gate, or with a
// mistake that comes again and again.
func stuck(cells curriculum.Cells) []Stuck {
	out := []Stuck{}
	for _, skill := range curriculum.Skills() {
		c := cells[skill.Slug]
		if c == nil || mastery.MoveOn.Open(*c) {
			continue
		}
		held := mastery.Held(*c)
		switch {
		case len(held) > 0:
			out = append(out, Stuck{c.Skill, c.Chances, c.Rights, held[0].Feedback})
		case c.Chances >= stuckAfter:
			out = append(out, Stuck{c.Skill, c.Chances, c.Rights, fmt.Sprintf("%d first tries and not through: go over it together.", c.Chances)})
		}
	}
	return out
}

// classMistakes gathers who holds what, most learners first, then in the
// catalogue's order.
func classMistakes(learners []curriculum.Learner, by map[string]curriculum.Cells) []ClassMistake {
	out := []ClassMistake{}
	at := map[string]int{}
	for _, skill := range curriculum.Skills() {
		for _, l := range learners {
			c := by[l.ID][skill.Slug]
			if c == nil {
				continue
			}
			for _, m := range mastery.Held(*c) {
				key := m.Skill + " " + m.Rule
				i, ok := at[key]
				if !ok {
					i = len(out)
					at[key] = i
					out = append(out, ClassMistake{Skill: m.Skill, Rule: m.Rule, Feedback: m.Feedback})
				}
				out[i].Learners = append(out[i].Learners, l.ID)
			}
		}
	}
	sortByMost(out)
	return out
}

func sortByMost(ms []ClassMistake) {
	slices.SortStableFunc(ms, func(a, b ClassMistake) int { return len(b.Learners) - len(a.Learners) })
}
