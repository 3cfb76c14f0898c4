package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"halfnut/curriculum"
	"halfnut/curriculum/practice"
)

type planData struct {
	Plan curriculum.PracticePlan
	// Today is the next sitting and Later those after it.
	Today curriculum.PracticeSession
	Later []curriculum.PracticeSession
}

// plan shows a learner's own plan: what is next, why, and until when.
func (w *Pages) plan(c *gin.Context, a practice.Actor) error {
	return w.showPlan(c, a, nil)
}

func (w *Pages) showPlan(c *gin.Context, a practice.Actor, fault error) error {
	p, err := w.practice.Plan(c.Request.Context(), a, a.ID, c.Query("chance") != "")
	if err != nil {
		return err
	}
	d := planData{Plan: p}
	if len(p.Sessions) > 0 {
		d.Today, d.Later = p.Sessions[0], p.Sessions[1:]
		const shown = 8 // sittings ahead; the calendar file has them all
		d.Later = d.Later[:min(shown, len(d.Later))]
	}
	v := view{Title: w.t(c, "My plan"), Role: a.Role, Data: d}
	if fault != nil {
		return w.again(c, fault, "plan.html", v)
	}
	w.show(c, http.StatusOK, "plan.html", v)
	return nil
}

// planChance is the part of the plan that takes long the first time of a day.
func (w *Pages) planChance(c *gin.Context, a practice.Actor) error {
	p, err := w.practice.Plan(c.Request.Context(), a, a.ID, true)
	if err != nil {
		return err
	}
	w.showPart(c, http.StatusOK, "plan.html", "chance", view{Role: a.Role, Data: planData{Plan: p}})
	return nil
}

// practise draws the next sitting and opens its first question.
func (w *Pages) practise(c *gin.Context, a practice.Actor) error {
	_, v, err := w.practice.PracticeSheet(c.Request.Context(), a, a.ID)
	if err != nil {
		if errors.Is(err, curriculum.ErrConflict) || errors.Is(err, curriculum.ErrInvalid) {
			return w.showPlan(c, a, err)
		}
		return err
	}
	c.Redirect(http.StatusSeeOther, sheetAddress(v.Code, 1, true))
	return nil
}

// sheetAddress is where a question of a sheet is shown, alone or among the rest.
func sheetAddress(code string, position int, alone bool) string {
	n := strconv.Itoa(position)
	u := url.URL{Path: "/sheets/" + code, Fragment: "e" + n}
	if alone {
		u.RawQuery = "one=" + n
	}
	return u.String()
}

// kindOfItem is the items of a sitting that are alike.
type kindOfItem struct {
	curriculum.PracticeItem
	Times int
}

// grouped gathers the items of a sitting by skill and reason, in the order of
// their first appearance.
func grouped(items []curriculum.PracticeItem) []kindOfItem {
	var out []kindOfItem
	for _, x := range items {
		i := slices.IndexFunc(out, func(k kindOfItem) bool { return k.Skill == x.Skill && k.Why == x.Why })
		if i < 0 {
			out, i = append(out, kindOfItem{PracticeItem: x}), len(out)
		}
		out[i].Times++
	}
	return out
}

// skillLevel is the skills that build on those of the levels before.
type skillLevel []skillCard

type skillCard struct {
	practice.Standing
	Purpose string
	// Needs are the titles of the skills that it builds on.
	Needs []string
	// State is how it stands: "machine", "held", "cold", "begun", "ready" or "later";
	// Word says it.
	State string
	Word  english
}

// skillMap shows a learner's skills by the graph of what builds on what.
func (w *Pages) skillMap(c *gin.Context, a practice.Actor) error {
	st, err := w.practice.Mastery(c.Request.Context(), a, a.ID)
	if err != nil {
		return err
	}
	w.show(c, http.StatusOK, "skills.html", view{Title: w.t(c, "My skills"), Role: a.Role, Data: skillLevels(st)})
	return nil
}

func skillLevels(standings []practice.Standing) []skillLevel {
	by := map[string]practice.Standing{}
	for _, s := range standings {
		by[s.Skill] = s
	}
	level := map[string]int{}
	var depth func(slug string) int
	depth = func(slug string) int {
		if d, ok := level[slug]; ok {
			return d
		}
		d := 0
		if s, err := curriculum.SkillOf(slug); err == nil {
			for _, n := range s.Needs {
				d = max(d, depth(n)+1)
			}
		}
		level[slug] = d
		return d
	}
	var out []skillLevel
	for _, st := range standings {
		skill, err := curriculum.SkillOf(st.Skill)
		if err != nil {
			continue
		}
		card := skillCard{Standing: st, Purpose: skill.Purpose}
		open := true
		for _, n := range skill.Needs {
			open = open && by[n].MoveOn
			card.Needs = append(card.Needs, by[n].Title)
		}
		card.State, card.Word = stateOf(st, open)
		d := depth(st.Skill)
		for len(out) <= d {
			out = append(out, nil)
		}
		out[d] = append(out[d], card)
	}
	return out
}

// stateOf says how a skill stands, in a word that also picks its look.
func stateOf(s practice.Standing, open bool) (state string, word english) {
	switch {
	case s.Machine && !s.Cold:
		return "machine", "ready for the machine"
	case s.Cold:
		return "cold", "held, due again"
	case s.MoveOn:
		return "held", "held"
	case s.Chances > 0:
		return "begun", "begun"
	case open:
		return "ready", "can be begun"
	}
	return "later", "comes later"
}
